"""The JSON Schemas that editors use (docs/recipe.schema.json, docs/show.schema.json) judge as the program does.

The schema is applied by jsonschema (draft-07). What is tried comes from docs/recipe.md: each of its keys with the
page's own example, which both sides must take, and with other types and values beyond its range, which both must
refuse; then every recipe of the repository, the starter, and documents with one fault each. Exits 1 if the two
sides disagree with each other or with what is expected.
"""

import json
import pathlib
import re
import sys
import tempfile
import tomllib

import jsonschema

from program import ROOT, refusal, run
from tally import Tally, finish

START = "lookwright = 1\n"
# The least that a recipe must say.
LEAST = {
    "look": {"name": '"Quayside"'},
    "camera": {"encoding": '"s-log3"', "gamut": '"s-gamut3.cine"'},
    # A cube needs it, and without one it changes nothing.
    "after": {"domain": '"display"'},
    "colour.band": {"name": '"sea"', "centre_deg": "230", "width_deg": "50"},
    "map.band": {"name": '"skin"', "from_stops": "0.7", "to_stops": "1.3"},
}
# Tables that are lists of bands.
BANDS = {"colour.band", "map.band"}
BASE = """lookwright = 1
[look]
name = "Quayside"
[camera]
encoding = "s-log3"
gamut = "s-gamut3.cine"
[[colour.band]]
name = "sea"
centre_deg = 230
width_deg = 50
"""

# What no key of a kind takes. A date is no value of any key.
DATE = "1979-05-27"
WRONG_VALUES = {
    "number": ['"1"', "-1e9", "true"],
    "whole": ['"1"', "1.5", "0", "10000000"],
    "flag": ["1", '"true"'],
    "choice": ["1", '"nothing of that name"', '""'],
    "text": ["1", "[]"],
    "triple": ["1", "[1, 1]", "[1, 1, 99]", '[1, 1, "1"]'],
    "matrix": ["1", "[1, 0, 0]", "[[1, 0, 0], [0, 1, 0]]", "[[99, 0, 0], [0, 1, 0], [0, 0, 1]]"],
}


def kind(told):
    """What a key takes, from the page's column "range"."""
    number = r"-?[0-9.]+"
    if told == "true, false":
        return "flag"
    if told in ("text", "path"):
        return "text"
    if told.startswith("three of "):
        return "triple"
    if told.startswith("3×3 of "):
        return "matrix"
    if told.endswith(", whole"):
        return "whole"
    if re.fullmatch(rf"{number} or more|{number}\.\.({number}|`\w+`)", told):
        return "number"
    return "choice"


def declared():
    """Every key of docs/recipe.md as (table, key, kind, example); the version of the language is left out."""
    keys, table = [], None
    for line in (ROOT / "docs/recipe.md").read_text(encoding="utf-8").splitlines():
        heading = re.fullmatch(r"## (?:Top level|\[+([a-z._]+)\]+|.*)", line)
        if heading:
            table = "" if line == "## Top level" else heading[1]
        row = re.fullmatch(r"\| `(\w+)` \| .* \| .* \| (.*) \| .* \| `(.*)` \|", line)
        if row and table is not None and row[1] != "lookwright":
            keys.append((table, row[1], kind(row[2]), row[3]))
    return keys


def described(schema, table=""):
    """Every key of the schema as (table, key), without the version of the language."""
    found = set()
    for name, entry in schema["properties"].items():
        inner = entry.get("items", {}) if entry.get("type") == "array" else entry
        if inner.get("type") == "object":
            found |= described(inner, f"{table}.{name}".lstrip("."))
        elif name != "lookwright":
            found.add((table, name))
    return found


def recipe_with(table, key, value):
    """The least that a recipe must say, with one key of one table written as given."""
    tables = {name: dict(entries) for name, entries in LEAST.items() if name not in BANDS or table == name}
    text = START + (f"{key} = {value}\n" if table == "" else "")
    if table:
        tables.setdefault(table, {})[key] = value
    for name, entries in tables.items():
        text += f"[[{name}]]\n" if name in BANDS else f"[{name}]\n"
        text += "".join(f"{entry} = {written}\n" for entry, written in entries.items())
    return text


def right_recipes(folder):
    """Texts that both sides must take, each with its name; `folder` is where relative paths begin."""
    for place in ("tests/data/looks", "recipes"):
        for path in sorted((ROOT / place).glob("*.toml")):
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8"), path
    run("new", folder / "starter")
    starter = folder / "starter/look.toml"
    yield "the starter", starter.read_text(encoding="utf-8"), starter
    extends = START + '[look]\nextends = "base.toml"\n'
    spelling = recipe_with("display", "encoding", '"BT.1886"\ngamut = "P3 D65"')
    for name, text in (
        ("a look that extends", extends),
        ("a band of the base", extends + '[[colour.band]]\nname = "sea"\nsaturation = 0.5\n'),
        ("another spelling", spelling),
    ):
        yield name, text, None


def wrong_recipes():
    """Texts with one fault each."""
    rest = recipe_with("", "adaptation", '"bradford"')
    unnamed = rest + "[colour]\n"
    return {
        "no version": rest.removeprefix(START),
        "another version": rest.replace(START, "lookwright = 2\n"),
        "an unknown table": rest + "[lens]\n",
        "an unknown key": recipe_with("tone", "contrsat", "1.2"),
        "another key misspelt": recipe_with("exposure", "stopps", "1"),
        "too much of a number": recipe_with("exposure", "stops", "11"),
        "both units of green": recipe_with("white", "greener_cc", "3\ngreener_duv = 0.002"),
        "both units of grey": recipe_with("tone", "grey", "0.1\ngrey_nits = 10"),
        "an empty name": recipe_with("look", "name", '" "'),
        "a table instead of bands": unnamed + "band = { centre_deg = 1, width_deg = 2 }\n",
        "a band without its place": unnamed + "band = [{ saturation = 0.5 }]\n",
        "a band without its width": unnamed + "band = [{ centre_deg = 30 }]\n",
        "a value instead of a table": rest.replace(START, START + "tone = 1.2\n"),
    }


class Judges:
    """Program and schema over one document after another."""

    def __init__(self, folder, validator):
        self.folder, self.validator = folder, validator
        (folder / "base.toml").write_text(BASE, encoding="utf-8")
        # What the examples of keys name has to be there.
        (folder / "from-post.cube").write_text('TITLE "x"\nLUT_1D_SIZE 2\n0.0 0.0 0.0\n1.0 1.0 1.0\n', encoding="ascii")
        (folder / "from-post.cc").write_text('<ColorCorrection xmlns="urn:ASC:CDL:v1.01"/>', encoding="utf-8")

    def both(self, tally, name, text, right, path=None):
        """One document, which both must take (`right`) or both must refuse."""
        if path is None:
            path = self.folder / "look.toml"
            path.write_text(text, encoding="utf-8")
        by_schema = [f"{error.json_path}: {error.message}" for error in self.validator.iter_errors(tomllib.loads(text))]
        by_program = refusal(path)
        wrong = [
            f"{side} {'refuses' if found else 'accepts'} {name} {found[:1]}"
            for side, found in (("the schema", by_schema), ("the program", by_program))
            if bool(found) == right
        ]
        tally.add(len(wrong), 0, "; ".join(wrong) if wrong else name)


def check_documents(judges):
    taken = Tally("right recipes: the schema and the program take them (jsonschema)", 0, "disagreements")
    refused = Tally("wrong recipes: the schema and the program refuse them (jsonschema)", 0, "disagreements")
    for name, text, path in right_recipes(judges.folder):
        judges.both(taken, name, text, True, path)
    for name, text in wrong_recipes().items():
        judges.both(refused, name, text, False)
    return [taken, refused]


def check_keys(judges, schema):
    same = Tally("keys of docs/recipe.md and of the schema are the same", 0, "keys on one side")
    taken = Tally("every key with its own example: both take it (jsonschema)", 0, "disagreements")
    refused = Tally("every key with another type or beyond its range: both refuse it (jsonschema)", 0, "disagreements")
    keys = declared()
    paths, there = {(table, key) for table, key, _, _ in keys}, described(schema)
    for path in sorted(paths | there):
        same.add(int(path not in paths or path not in there), 0, ".".join(path))
    for table, key, what, example in keys:
        judges.both(taken, f"{table}.{key} = {example}", recipe_with(table, key, example), True)
        for value in [DATE, *WRONG_VALUES[what]]:
            judges.both(refused, f"{table}.{key} = {value}", recipe_with(table, key, value), False)
    return [same, taken, refused]


SHOW = """lookwright = 1
[show]
name = "Quay"
[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"
[[monitor]]
id = "onboard"
[[look]]
id = "warm"
recipe = "base.toml"
[[setup]]
id = "7b"
look = "warm"
"""


def wrong_shows():
    """Shows with one fault each that a schema can see: what the fault is, what stands in SHOW, and what instead."""
    table = {
        "no version": ("lookwright = 1\n", ""),
        "no name": ('name = "Quay"', ""),
        "no camera": (SHOW[SHOW.index("[[camera]]"):SHOW.index("[[monitor]]")], ""),
        "a camera without a gamut": ('gamut = "s-gamut3.cine"\n', ""),
        "an unknown encoding": ('"s-log3"', '"z-log3"'),
        "an id that makes no file name": ('id = "a"', 'id = "camera A"'),
        "a look without a recipe": ('recipe = "base.toml"\n', ""),
        "an unknown key": ('id = "onboard"', 'id = "onboard"\nnits = 100'),
        "a size beyond the range": ('id = "onboard"', 'id = "onboard"\nsize = 200'),
        "an unknown rule": ('id = "onboard"', 'id = "onboard"\nfile = { length = 8 }'),
        "an unknown set of characters": ('id = "onboard"', 'id = "onboard"\nfile = { charset = "latin" }'),
        "no sizes": ('id = "onboard"', 'id = "onboard"\nfile = { sizes = [] }'),
        "a variant without an id": ('recipe = "base.toml"', 'recipe = "base.toml"\nvariants = [{ strength = 0.5 }]'),
        "too much strength": ('recipe = "base.toml"', 'recipe = "base.toml"\nvariants = [{ id = "x", strength = 2 }]'),
        "ids that are no list": ('look = "warm"', 'look = "warm"\ncameras = "a"'),
        "a light without a source": ('look = "warm"', 'look = "warm"\nlights = [{ role = "key", kelvin = 5600 }]'),
        "a filter in both units": (
            'look = "warm"',
            'look = "warm"\nlights = [{ role = "key", source = "led", kelvin = 5600,'
            ' filters = [{ name = "x", cc = 3, duv = 0.001 }] }]',
        ),
    }
    return {name: SHOW.replace(old, new, 1) for name, (old, new) in table.items()}


def check_shows(judges):
    taken = Tally("right shows: the schema and the program take them (jsonschema)", 0, "disagreements")
    refused = Tally("wrong shows: the schema and the program refuse them (jsonschema)", 0, "disagreements")
    for path in (ROOT / "recipes/tidewater/show.toml", judges.folder / "starter/show.toml"):
        judges.both(taken, path.name, path.read_text(encoding="utf-8"), True, path)
    judges.both(taken, "the least show", SHOW, True)
    for name, text in wrong_shows().items():
        judges.both(refused, name, text, False)
    return [taken, refused]


def validator(name):
    schema = json.loads((ROOT / "docs" / name).read_text(encoding="utf-8"))
    jsonschema.Draft7Validator.check_schema(schema)
    return schema, jsonschema.Draft7Validator(schema)


def main():
    schema, of_recipes = validator("recipe.schema.json")
    _, of_shows = validator("show.schema.json")
    with tempfile.TemporaryDirectory() as temporary:
        judges = Judges(pathlib.Path(temporary), of_recipes)
        tallies = check_documents(judges) + check_keys(judges, schema)
        # The starter was written into the same folder.
        judges.validator = of_shows
        return finish(tallies + check_shows(judges))


if __name__ == "__main__":
    sys.exit(main())
