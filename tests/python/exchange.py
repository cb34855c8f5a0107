"""The steps, corrections and ACES files of a hand-off package, seen by readers and mathematics that are not the program's.

A show is made around the recipes of tests/data/looks and three cameras, one with a trim with root terms, one whose curve the Common LUT
Format can't say. `handoff` packs it. Its lists of steps are parsed by colour-clf-io and computed by the equations of S-2014-006 as
clf.py has them, and held against docs/look-maths.md in numpy (look.py): as wholes, whose difference must be what the files say of
themselves, and step by step. CDLs are read by an XML parser, their residuals recomputed with colour-science's CIEDE2000; metadata files
are checked element by element against the published schema. The archive is read by zipfile and unzip, its hash list by ascmhl.
Exits 1 beyond a tolerance.
"""

import base64
import hashlib
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import warnings
import xml.etree.ElementTree as ElementTree
import zipfile

warnings.filterwarnings("ignore")  # Of powers and logarithms of negative values, whose results are not taken.

import colour
import numpy as np

import camera as cameras
import clf
import look as looks
import mhl
import recipe as recipes
from cross_check import display_lab
from program import ROOT, read_cube, run, toml_value
from tally import Tally, finish

RECIPES = ROOT / "tests" / "data" / "looks"
TRIM = {
    "stops": 0.2,
    "matrix": [[0.94, 0.05, -0.01], [0.01, 0.97, 0.01], [0.0, -0.03, 1.02]],
    "root": [[0.02, 0.0, 0.0], [0.0, 0.0, 0.01], [0.01, 0.0, 0.0]],
}
CAMERAS = [
    {"id": "a", "encoding": "s-log3", "gamut": "s-gamut3.cine"},
    {"id": "b", "encoding": "logc3", "gamut": "awg3", "exposure_index": 1280, "trim": "trims/b.toml"},
    # Its lowest branch is a square: no logarithm of the format has that.
    {"id": "c", "encoding": "apple-log", "gamut": "bt2020"},
]
# The other looks have one camera each, in turn: all of them with all would take a minute.
WITH_ALL_CAMERAS = ("cdl-split", "diffusion-half")

# Figures are stated with three, two and one decimals: half a unit of the last. What is measured here at signals that the package prints to a
# thousandth of a code, and through the printed numbers of single precision, differs by a little more.
MEAN_DE = 0.0005 + 0.0005
MAX_DE = 0.005 + 0.003
CODES = 0.05 + 0.02
NEAREST_DE = 0.01
# Used through the files, a nearest CDL has the table of the look's own whole list before it and one like that list's behind: on average
# it misses its exact picture by about what that list misses the look by. A step in the wrong place costs twenty times that.
USED_RATIO = 2.0
# Parameters of steps are printed in full: what is left is rounding of a few operations in 64 bits, relative above 1.
PRINTED = 1e-12
# The same through tables and all steps, of the display's signal.
CHAINED = 1e-12
# The tone curve between rows of its table, of the display's signal: a thousandth of a ten-bit code.
TONE = 1e-6
# The worst place of a curve is sampled elsewhere here: ten-bit codes.
DECODED = 0.001


class Package:
    """The package as a folder, with what the show says of every look and camera."""

    def __init__(self, folder, show):
        self.folder, self.show = folder, show
        self.manifest = json.loads((folder / "package.json").read_text(encoding="utf-8"))
        self.lists = {}

    def list(self, name):
        if name not in self.lists:
            self.lists[name] = clf.parsed(self.folder / name)
        return self.lists[name]

    def apply(self, name, values):
        return clf.by_specification(self.list(name), values, False)

    def text_of(self, name):
        """All that a list says of itself and its steps."""
        head = (self.folder / name).read_bytes()
        return " ".join(re.findall(r"<Description>(.*?)</Description>", head.decode("utf-8"), flags=re.DOTALL))

    def reference(self, post):
        """The look in numpy, at full levels: what the files for post are of."""
        look, camera, monitor = (self.entry(kind, post[kind]) for kind in ("look", "camera", "monitor"))
        monitor = {key: value for key, value in monitor.items() if key in ("encoding", "gamut", "peak_nits")}
        tables = recipes.for_show(recipes.read(self.show["folder"] / look["recipe"]), camera, monitor)
        return looks.Look(tables, TRIM if "trim" in camera else None)

    def entry(self, kind, name):
        (one,) = (entry for entry in self.show[kind] if entry["id"] == name)
        return one


def make_show(folder):
    """Writes a show of all recipes; each is seen on the display that it was written for."""
    shutil.copytree(RECIPES, folder / "looks", ignore=shutil.ignore_patterns("*.csv"))
    (folder / "trims").mkdir()
    trim = "\n".join(f"{key} = {toml_value(value)}" for key, value in TRIM.items())
    (folder / "trims" / "b.toml").write_text(f"lookwright = 1\n[trim]\n{trim}\n", encoding="utf-8")
    show = {"folder": folder, "camera": CAMERAS, "monitor": [], "look": []}
    for place, path in enumerate(sorted(RECIPES.glob("*.toml"))):
        display = {"encoding": "bt1886", "gamut": "bt709"} | recipes.read(path).get("display", {})
        known = [monitor for monitor in show["monitor"] if {**monitor, **display} == monitor]
        if not known:
            known = [{"id": f"m{len(show['monitor'])}", **display, "size": 9}]
            show["monitor"] += known
        chosen = CAMERAS if path.stem in WITH_ALL_CAMERAS else [CAMERAS[place % 3]]
        entry = {"id": path.stem, "recipe": f"looks/{path.name}", "monitors": [known[0]["id"]]}
        show["look"].append(entry | {"cameras": [camera["id"] for camera in chosen]})
    lines = ["lookwright = 1", "[show]", 'name = "Exchange"']
    for kind in ("camera", "monitor", "look"):
        for entry in show[kind]:
            lines += [f"[[{kind}]]"] + [f"{key} = {toml_value(value)}" for key, value in entry.items()]
    (folder / "show.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return show


# Colours that the files are measured at ------------------------------------------------------------------


def patch_signals(package, post):
    """Chart and skins at -3..+3 stops as the camera records them, from the package's own sheet, and the stops."""
    part = f"{post['look']}.{post['part']}" if post["part"] else post["look"]
    path = package.folder / "tables" / f"{part}.{post['camera']}.patches.csv"
    rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()[1:]]
    return np.array([row[2:5] for row in rows], float) / 1023, np.array([row[1] for row in rows], float)


def encoded(reference, linear):
    camera = reference.r["camera"]
    signal = cameras.encode(camera["encoding"], linear, camera.get("exposure_index"))
    return np.clip(np.where(np.isnan(signal), 0, signal), 0, 1)


def wide_signals(reference, signals, stops):
    """The same patches at 4 to 6 stops either way, hues of three chromas, and greys: what the largest difference in codes is of."""
    camera = reference.r["camera"]
    patches = cameras.decode(camera["encoding"], signals[stops == 0], camera.get("exposure_index"))
    found = [encoded(reference, patches * 2.0**over) for over in (-6, -5, -4, 4, 5, 6)]
    primaries, white = cameras.gamut(camera["gamut"])
    to_camera = np.linalg.inv(looks.primary_matrix(primaries, white)) @ looks.adaptation(reference.cone, looks.D65, white)
    for hue in np.radians(np.arange(0, 360, 15)):
        for chroma in (0.03, 0.06, 0.12):
            for over in range(-6, 7):
                lightness = np.cbrt(0.18 * 2.0**over)
                spread = chroma * lightness / np.cbrt(0.18)
                lab = np.array([[lightness, spread * np.cos(hue), spread * np.sin(hue)]])
                linear = looks.from_oklab(lab) @ to_camera.T
                raw = cameras.encode(camera["encoding"], linear, camera.get("exposure_index"))
                # Only colours that the camera's signal has room for.
                if np.all((raw >= -0.5 / 1023) & (raw <= 1 + 0.5 / 1023)):
                    found.append(encoded(reference, linear))
    greys = 0.18 * 2.0 ** (np.arange(-16, 17)[:, None] / 2)
    found.append(encoded(reference, np.repeat(greys, 3, axis=1)))
    return np.concatenate(found)


def differences(reference, found, expected):
    return colour.difference.delta_E_CIE2000(display_lab(reference, found), display_lab(reference, expected))


# Wholes ----------------------------------------------------------------------------------------------------


def check_wholes(package):
    """What each whole list and cube misses of the look is what the list, and the package, say that it misses."""
    mean = Tally("steps against the look: mean CIEDE2000 as stated", MEAN_DE, "dE2000")
    most = Tally("steps against the look: largest CIEDE2000 as stated", MAX_DE, "dE2000")
    codes = Tally("steps against the look: largest difference as stated", CODES, "ten-bit codes")
    cube_de = Tally("cubes against the look: largest CIEDE2000 as stated", MAX_DE, "dE2000")
    chained = Tally("input, look and output one behind the other are the whole", CHAINED, "of the signal")
    for post in package.manifest["post"]:
        reference, name = package.reference(post), post["clf"]
        signals, stops = patch_signals(package, post)
        every = np.concatenate([signals, wide_signals(reference, signals, stops)])
        expected, found = reference.output(every), package.apply(name, every)
        de = differences(reference, found[: len(signals)], expected[: len(signals)])
        stated = re.search(r"CIEDE2000 ([\d.]+) mean and ([\d.]+) most .*?; at most ([\d.]+) ten-bit codes", package.text_of(name))
        mean.add(de.mean(), float(stated[1]), name)
        most.add(de.max(), float(stated[2]), name)
        codes.add(np.abs(found - expected).max() * 1023, float(stated[3]), name)
        size, rows = read_cube(package.folder / post["cube"])
        table = colour.LUT3D(rows.reshape(size, size, size, 3).transpose(2, 1, 0, 3))
        shown = table.apply(signals, interpolator=colour.algebra.table_interpolation_tetrahedral)
        cube_de.add(differences(reference, shown, expected[: len(signals)]).max(), post["cube_error"]["max_de"], post["cube"])
        scene = [post["scene"]] if post["scene"] else []
        for lists in ([post["input"], *scene, post["output"]], [post["input"], post["linear"]]):
            value = every
            for one in lists:
                value = package.apply(one, value)
            chained.add(value, found, name)
    return [mean, most, codes, cube_de, chained]


# Steps -----------------------------------------------------------------------------------------------------


def nodes_of(package, name):
    return {node.name: node for node in package.list(name).process_nodes}


def through(nodes, names, values):
    for name in names:
        node = nodes[name]
        kind = type(node).__name__
        if kind == "LUT1D":
            values = clf.lut1(node, values, False)
        else:
            step = {"LUT3D": clf.lut3, "Matrix": clf.matrix, "Range": clf.range_, "Log": clf.log, "Exponent": clf.exponent, "ASC_CDL": clf.asc_cdl}[kind]
            values = step(node, values)
    return values


def rows_of(node):
    return np.array(node.array.values, float).reshape(node.array.dim[:2])[:, :3]


GRADE = ("to ACEScct", "grade: slope and offset", "grade: floor", "grade: power and saturation", "from ACEScct")


def check_steps(package):
    """Steps that the standard has, against the equations of the look."""
    decoded = Tally("decoding steps against colour-science's curves, beyond what they state", DECODED, "ten-bit codes")
    matrices = Tally("matrices of cameras, exposure, white (numpy)", PRINTED, "relative above 1")
    graded = Tally("the five steps of a grade against the ASC CDL in ACEScct (numpy)", PRINTED, "relative above 1")
    toned = Tally("axis and table of the tone curve against its equations (numpy)", TONE, "of the signal")
    kinds = set()
    ap0 = looks.primary_matrix(*cameras.gamut("aces2065-1"))
    to_aces = np.linalg.inv(ap0) @ looks.AP1
    for post in package.manifest["post"]:
        reference = package.reference(post)
        r, camera = reference.r, reference.r["camera"]
        index = camera.get("exposure_index")
        nodes = nodes_of(package, post["input"])
        (decode,) = (node for name, node in nodes.items() if name.endswith(" decode"))
        kinds.add(type(decode).__name__)
        code = np.repeat(np.linspace(0, 1, 4001)[:, None], 3, axis=1)
        light, exact = through(nodes, [decode.name], code), cameras.decode(camera["encoding"], code, index)
        slope = cameras.decode(camera["encoding"], code + 2e-4, index) - cameras.decode(camera["encoding"], code - 2e-4, index)
        stated = float(re.search(rf"signal to scene-linear light.*?off by at most ([-\de.]+) ten-bit", package.text_of(post["input"]))[1])
        off = np.abs(light - exact) / np.where(slope > 0, slope, np.inf) * 4e-4 * 1023
        decoded.add_differences(np.maximum(off - stated, 0), post["input"])
        # A trim with root terms is in the table before the decoding; one without is part of the matrix.
        expected = reference.camera
        for trim in (reference.camera_trim, r["trim"]):
            if trim is not None and not np.any(trim["root"]):
                expected = 2.0 ** trim["stops"] * np.array(trim["matrix"]) @ expected
        matrices.add_differences(clf.relative(rows_of(nodes["camera to ACEScg"]), expected), post["input"])
        matrices.add_differences(clf.relative(rows_of(nodes["ACEScg to ACES2065-1"]), to_aces), post["input"])
        if post["scene"]:
            nodes = nodes_of(package, post["scene"])
            matrices.add_differences(clf.relative(rows_of(nodes["ACES2065-1 to ACEScg"]), np.linalg.inv(to_aces)), post["scene"])
            assert ("exposure" in nodes) == (r["exposure"]["stops"] != 0), post["scene"]
            if "exposure" in nodes:
                matrices.add_differences(clf.relative(rows_of(nodes["exposure"]), np.eye(3) * 2.0 ** r["exposure"]["stops"]), post["scene"])
            if "white" in nodes:
                matrices.add_differences(clf.relative(rows_of(nodes["white"]), reference.white), post["scene"])
            if GRADE[0] in nodes:
                light = np.concatenate([np.linspace(-0.02, 1, 300), np.geomspace(1, 200, 300)])
                light = np.stack([light, np.roll(light, 31), np.roll(light, 170)], axis=1)
                got, want = through(nodes, GRADE, light), looks.grade(light, r["grade"])
                graded.add_differences(clf.relative(got, want), post["scene"])
        nodes = nodes_of(package, post["output"])
        if "tone" in nodes:
            light = np.repeat(np.concatenate([np.linspace(-0.01, 0.05, 400), np.geomspace(1e-5, 60, 4000)])[:, None], 3, axis=1)
            got = through(nodes, ["to the tone curve's axis", "tone"], light)
            told = package.text_of(post["output"])
            power = 1 / 2.4 if "to display-linear light to the power 1/2.4" in told else 1.0
            want = looks.tone_curve(light, r["tone"])
            toned.add(np.maximum(got, 0) ** (1 / 2.4 / power), want ** (1 / 2.4), post["output"])
    assert kinds == {"Log", "LUT1D"}, f"{kinds}: one of the cameras needs a table, the others don't"
    return [decoded, matrices, graded, toned]


# Corrections -----------------------------------------------------------------------------------------------

CDL = "{urn:ASC:CDL:v1.01}"
# ASC CDL 1.01: elements of a correction in the order of its schema. From memory of the schema; the library's examples have the same.
ORDER = ["Description", "InputDescription", "ViewingDescription", "SOPNode", "SatNode"]


def correction(element):
    """The ten numbers of a correction, whose elements must stand in the schema's order."""
    tags = [child.tag.removeprefix(CDL) for child in element]
    places = [ORDER.index(tag) for tag in tags]
    assert places == sorted(places) and tags[-2:] == ORDER[-2:], tags
    sop, sat = element.find(f"{CDL}SOPNode"), element.find(f"{CDL}SatNode")
    assert [child.tag.removeprefix(CDL) for child in sop] == ["Slope", "Offset", "Power"], list(sop)
    numbers = [[float(word) for word in child.text.split()] for child in sop]
    return {"slope": numbers[0], "offset": numbers[1], "power": numbers[2], "saturation": float(sat.findtext(f"{CDL}Saturation"))}


def flat(grade):
    return np.array([*grade["slope"], *grade["offset"], *grade["power"], grade["saturation"]], float)


def check_corrections(package):
    """The recipes' grades to the last digit, and what the nearest CDLs are said to miss."""
    exact = Tally("grades in .cc, .ccc and .cdl against the recipes", 0, "")
    nearest = Tally("nearest CDL: mean, 95 % and largest CIEDE2000 as stated", NEAREST_DE, "dE2000")
    used = Tally("nearest CDL used as its file says, through input and plain conversion: mean CIEDE2000", USED_RATIO, "times that of the steps")
    together = {}
    for path in sorted((package.folder / "post" / "cdl").glob("*.c*")):
        if path.suffix in (".ccc", ".cdl"):
            root = ElementTree.parse(path).getroot()
            assert root.tag == f"{CDL}{'ColorCorrectionCollection' if path.suffix == '.ccc' else 'ColorDecisionList'}", root.tag
            together[path.suffix] = {one.get("id"): one for one in root.iter(f"{CDL}ColorCorrection")}
    assert set(together) == {".ccc", ".cdl"}, together
    for grade in package.manifest["grades"]:
        post = next(post for post in package.manifest["post"] if post["look"] == grade["look"])
        reference = package.reference(post)
        want = flat(reference.r["grade"])
        single = ElementTree.parse(package.folder / grade["file"]).getroot()
        assert single.tag == f"{CDL}ColorCorrection", single.tag
        for element in (single, *(group[grade["look"]] for group in together.values())):
            exact.add(flat(correction(element)), want, grade["file"])
        more = any((reference.white is not None, reference.shadows is not None, reference.after is not None, reference.r["colour"]["band"],
                    reference.r["colour"]["saturation"] != 1, reference.r["diffusion"]["veil"] > 0))
        assert grade["is_all"] == (not more) and (grade["fit"] is None) == grade["is_all"], grade
        if grade["fit"]:
            check_nearest(package, post, grade["fit"], reference, nearest, used)
    return [exact, nearest, used]


def check_nearest(package, post, fit, reference, nearest, used):
    root = ElementTree.parse(package.folder / fit["file"]).getroot()
    cdl = correction(root)
    told = " ".join(element.text for element in root.iter(f"{CDL}Description"))
    assert told.startswith("NOT the look"), told
    stated = re.search(r"CIEDE2000 ([\d.]+) mean, 95 % below ([\d.]+), ([\d.]+) at most.* misses ([\d.]+)", told)
    signals, _ = patch_signals(package, post)
    look = package.entry("look", post["look"])
    camera, monitor = package.entry("camera", post["camera"]), package.entry("monitor", post["monitor"])
    display = {key: value for key, value in monitor.items() if key in ("encoding", "gamut", "peak_nits")}
    bare = recipes.for_show(recipes.read(package.show["folder"] / look["recipe"]), camera, display)
    bare = {name: table for name, table in bare.items() if name not in (*looks.LOOK_BLOCKS, "after", "exposure")}
    trim = TRIM if "trim" in camera else None
    expected = reference.output(signals)
    shown = looks.Look(bare | {"grade": cdl}, trim).output(signals)
    de = np.sort(differences(reference, shown, expected))
    plain = differences(reference, looks.Look(bare, trim).output(signals), expected).mean()
    got = [de.mean(), de[len(de) * 19 // 20], de[-1], plain]
    nearest.add(got, [float(one) for one in stated.groups()], fit["file"])
    nearest.add(got, [fit[key] for key in ("mean_de", "de_95", "max_de", "plain_mean_de")], fit["file"])
    # As the file says: the correction in ACEScct, in place of the look, then the plain conversion. Its own tables miss something too.
    ap0 = np.linalg.inv(looks.primary_matrix(*cameras.gamut("aces2065-1"))) @ looks.AP1
    light = package.apply(post["input"], signals) @ np.linalg.inv(ap0).T
    seen = package.apply(fit["through"], looks.grade(light, cdl) @ ap0.T)
    used.add_differences([differences(reference, seen, shown).mean() / post["clf_error"]["mean_de"]], fit["file"])


# ACES metadata files -----------------------------------------------------------------------------------------

# Elements and attributes of the schema urn:ampas:aces:amf:v1.0 that a file needs or uses, in its order. Source: repository ampas/aces-amf,
# schema/acesMetadataFile.xsd. The pattern of uuids is that of the imported SMPTE ST 433 (from memory).
AMF = "{urn:ampas:aces:amf:v1.0}"
UUID = r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}"
MOMENT = r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z"
DIGIT = r"\d"
DATES = [("creationDateTime", MOMENT), ("modificationDateTime", MOMENT)]
INFO = [("description?", r".+"), ("dateTime", DATES), ("uuid", UUID)]
VERSION = [("majorVersion", DIGIT), ("minorVersion", DIGIT), ("patchVersion", DIGIT)]
# hash is base64Binary of SHA-256: 44 characters; file is anyURI, here a name beside the file.
TRANSFORM = [("description?", r".+"), ("hash?", r"[A-Za-z0-9+/]{43}="), ("file", r"[a-z0-9.-]+\.clf")]
SCHEMA = [
    ("amfInfo", INFO),
    ("pipeline", [("pipelineInfo", [*INFO, ("systemVersion", VERSION)]), ("inputTransform?", TRANSFORM),
                  ("lookTransform*", TRANSFORM), ("outputTransform", TRANSFORM)]),
]
ATTRIBUTES = {
    "acesMetadataFile": {"version": "1.0"},
    "inputTransform": {"applied": "false"},
    "lookTransform": {"applied": "false"},
    "outputTransform": {"applied": "false"},
    "hash": {"algorithm": "http://www.w3.org/2001/04/xmlenc#sha256"},
}


def check_element(element, content, where):
    """An element against its content: a pattern for its text, or a sequence of elements."""
    name = element.tag.removeprefix(AMF)
    assert element.attrib == ATTRIBUTES.get(name, {}), (where, name, element.attrib)
    if isinstance(content, str):
        assert len(element) == 0 and re.fullmatch(content, element.text or ""), (where, name, element.text)
        return 1
    assert not (element.text or "").strip(), (where, name, element.text)
    children, count = list(element), 1
    for child, inner in content:
        plain = child.rstrip("?*")
        fitting = []
        while children and children[0].tag == AMF + plain and (child.endswith("*") or not fitting):
            fitting.append(children.pop(0))
        assert fitting or child != plain, (where, name, f"no {plain}")
        count += sum(check_element(one, inner, where) for one in fitting)
    assert not children, (where, name, children)
    return count


def check_metadata(package):
    """Metadata files against the schema, their hashes against the files, their files against the package's own list."""
    elements, hashes, uuids = 0, Tally("hashes of metadata files", 0, "differences"), set()
    for post in package.manifest["post"]:
        path = package.folder / post["amf"]
        root = ElementTree.parse(path).getroot()
        assert root.tag == f"{AMF}acesMetadataFile", root.tag
        elements += check_element(root, SCHEMA, path.name)
        named = [element.text for element in root.iter(f"{AMF}file")]
        assert [f"post/aces/{name}" for name in named] == [one for one in (post["input"], post["scene"], post["output"]) if one], named
        for name, element in zip(named, root.iter(f"{AMF}hash")):
            digest = hashlib.sha256((path.parent / name).read_bytes()).digest()
            hashes.add_differences([0.0 if base64.b64decode(element.text) == digest else 1.0], path.name)
        uuids.update(element.text for element in root.iter(f"{AMF}uuid"))
    assert len(uuids) == 2 * len(package.manifest["post"]), "every file and pipeline has an identifier of its own"
    print(f"{elements} elements of metadata files as the schema has them")
    return [hashes]


# The archive -------------------------------------------------------------------------------------------------


def check_archive(package, archive, folder):
    """zipfile and unzip read it whole; ascmhl accepts its list of hashes and sees a change; every resolved recipe is one."""
    subprocess.run(["unzip", "-tqq", archive], check=True)
    with zipfile.ZipFile(archive) as read:
        assert read.testzip() is None
        names = read.namelist()
        read.extractall(folder)
    assert len(names) == len(set(names)) and len(names) > 100, len(names)
    command = ["sha256sum", "--check", "--strict", "--quiet", "SHA256SUMS"]
    subprocess.run(command, cwd=folder, check=True)
    code, told = mhl.tool("ascmhl-debug", "verify", folder)
    assert code == 0, told
    for path in sorted((folder / "resolved").glob("*.toml")):
        run("check", path)
    changed = folder / "post" / "cdl" / "cdl-split.cc"
    changed.write_bytes(changed.read_bytes().replace(b"0.96", b"0.97"))
    code, told = mhl.tool("ascmhl-debug", "verify", folder)
    assert code != 0, told
    print(f"archive: {len(names)} files read by zipfile, unzip and sha256sum, accepted by ascmhl")


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        show = make_show(folder)
        archive, unpacked = folder / "exchange.zip", folder / "unpacked"
        # A table of nine points misses its tolerances: exit 1 is no failure here.
        made = ("--out", archive, "--luts", folder / "luts", "--date", "2026-11-30", "--no-reports")
        run("handoff", folder / "show.toml", *made, accept=(0, 1))
        with zipfile.ZipFile(archive) as read:
            read.extractall(folder / "package")
        package = Package(folder / "package", show)
        tallies = [*check_wholes(package), *check_steps(package), *check_corrections(package), *check_metadata(package)]
        check_archive(package, archive, unpacked)
        return finish(tallies)


if __name__ == "__main__":
    sys.exit(main())
