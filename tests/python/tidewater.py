"""A show for shows.py: cameras of several encodings, monitors of several displays and rules, looks and their variants.

Tables are small so that every node of every file can be held; the numbers of the trims are made up.
"""

import shutil

from program import ROOT, toml_value

# The name is no ASCII: folder and title must be.
SLUG = "tidewater-uberfahrt"
SHOW = """\
lookwright = 1

[show]
name = "Tidewater – Überfahrt"

[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"

[[camera]]
id = "b"
encoding = "logc3"
gamut = "awg3"
exposure_index = 800
trim = "trims/b.toml"

[[camera]]
id = "deck-cam"
encoding = "v-log"
gamut = "v-gamut"
trim = "trims/deck.toml"

# Of the same make as the A camera: its files must hold the same tables.
[[camera]]
id = "a2"
encoding = "S-Log3"
gamut = "S-Gamut3.Cine"

[[camera]]
id = "bow"
encoding = "apple-log"
gamut = "bt2020"

[[monitor]]
id = "onboard"
encoding = "bt1886"
gamut = "bt709"
peak_nits = 100
size = 17
input_levels = "legal"
file = { name_max = 24, charset = "upper" }

[[monitor]]
id = "hdr"
encoding = "pq"
gamut = "bt2020"
peak_nits = 1000
size = 17
interpolation = "trilinear"
output_levels = "legal"

[[monitor]]
id = "projector"
encoding = "gamma26"
gamut = "p3-dci"
peak_nits = 48
size = 9
file = { name_max = 12, charset = "upper-plain" }

# Eight small letters, and of all sizes the nearest to what is wished.
[[monitor]]
id = "pocket"
encoding = "bt1886"
gamut = "bt709"
size = 17
file = { name_max = 8, charset = "lower", newline = "crlf", comments = false, sizes = [9, 33] }

[[monitor]]
id = "box"
encoding = "gamma22"
gamut = "p3-d65"
size = 9
file = { name = "VIEW.cube", comments = false }

[[monitor]]
id = "slots"
encoding = "srgb"
gamut = "srgb"
size = 9
file = { name_max = 5, charset = "digits", newline = "crlf" }

[[monitor]]
id = "cart"
encoding = "hlg"
gamut = "bt2020"
peak_nits = 1000
size = 9
file = { name_max = 6, charset = "lower-plain" }

# Both names begin with the same eight letters.
[[look]]
id = "dusk-car-deck"
recipe = "recipes/dusk-car-deck.toml"
cameras = ["a", "b"]
variants = [
  { id = "p1", exposure_stops = 1.0 },
  { id = "m1", exposure_stops = -1.0 },
  { id = "half", strength = 0.5 },
  { id = "plain", strength = 0.0 },
  { id = "more", strength = 1.3 },
  { id = "mono", monochrome = true },
]

[[look]]
id = "dusk-car-deck-matched"
recipe = "matched.toml"
cameras = ["b", "deck-cam"]
variants = [
  { id = "half", strength = 0.5 },
  { id = "dim-mono", exposure_stops = -0.5, strength = 1.3, monochrome = true },
]

[[look]]
id = "fog"
recipe = "recipes/fog-morning.toml"
monitors = ["onboard", "slots"]
variants = [
  { id = "plain", strength = 0.0, exposure_stops = 1.0 },
  { id = "half", strength = 0.5 },
]

[[look]]
id = "snack_bar"
recipe = "recipes/snack-bar.toml"
cameras = ["bow"]
variants = [{ id = "full-mono", strength = 1.5, monochrome = true }]

# It extends another, and speaks of nits: each monitor's own peak counts.
[[look]]
id = "HDR"
recipe = "recipes/deck-hdr.toml"
cameras = ["a", "deck-cam"]
monitors = ["hdr", "projector", "cart"]

[[look]]
id = "technical"
recipe = "recipes/technical.toml"
cameras = ["bow"]
monitors = ["onboard", "hdr", "cart"]
variants = [{ id = "plain", strength = 0.0 }]
"""

TRIMS = {
    "trims/b.toml": """
lookwright = 1
[trim]
stops = 0.12
matrix = [[0.93, 0.05, -0.02], [0.01, 0.95, 0.02], [-0.03, 0.04, 0.96]]
root = [[0.03, -0.02, 0.03], [0.02, 0.01, -0.01], [0.01, 0.03, -0.01]]
""",
    "trims/deck.toml": """
lookwright = 1
[trim]
stops = -0.2
matrix = [[1.04, -0.03, -0.01], [0.02, 0.97, 0.01], [0.0, -0.05, 1.05]]
""",
}

# With a trim of its own, beside the camera's: of the two, the camera's comes first.
MATCHED = """
lookwright = 1
adaptation = "cat16"
[look]
name = "Dusk, “matched” – Überfahrt"
extends = "recipes/dusk-car-deck.toml"
[trim]
stops = 0.3
matrix = [[0.9, 0.02, 0.01], [0.03, 0.9, 0.0], [0.02, 0.01, 0.92]]
root = [[0.05, 0.01, 0.01], [0.02, 0.03, 0.02], [0.03, 0.01, 0.01]]
[grade]
slope = [1.02, 1.0, 0.98]
offset = [0.004, 0.0, -0.002]
saturation = 1.05
[diffusion]
grade = "1/4"
"""


def write(folder):
    """Writes show, trims and recipes; the path of the show."""
    (folder / "recipes").mkdir(parents=True)
    (folder / "trims").mkdir()
    for path in (ROOT / "recipes").glob("*.toml"):
        shutil.copy(path, folder / "recipes" / path.name)
    for name, text in {"show.toml": SHOW, "matched.toml": MATCHED, **TRIMS}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / "show.toml"


def write_like_ids(folder, kind):
    """A small show in which two cameras, monitors or looks have the ids `deck_1` and `deck-1`; its path."""
    write(folder)
    tables = {
        "camera": {"encoding": "s-log3", "gamut": "s-gamut3.cine"},
        "monitor": {"encoding": "bt1886", "gamut": "bt709", "size": 5},
        "look": {"recipe": "recipes/fog-morning.toml"},
    }
    text = 'lookwright = 1\n[show]\nname = "Tidewater"\n'
    for name, table in tables.items():
        for number in ("deck_1", "deck-1") if name == kind else ("one",):
            text += f"[[{name}]]\n" + "".join(f"{key} = {toml_value(value)}\n" for key, value in {"id": number, **table}.items())
    path = folder / "like-ids.toml"
    path.write_text(text, encoding="utf-8")
    return path
