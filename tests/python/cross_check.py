"""lookwright, from outside, against references that know nothing of it.

References: colour-science (log encodings, CIELAB, CIEDE2000, its own reader of cube files and its interpolation),
the equations of docs/look-maths.md written a second time in numpy (look.py), and ffmpeg's lut3d filter.
Prints, for each, the number of points and the worst disagreement; exits 1 beyond a tolerance.
"""

import collections
import json
import pathlib
import sys
import tempfile
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np

import camera
import look
import pictures
import random_looks
import recipe as recipes
from program import ROOT, compile_recipe, node_inputs, read_cube, read_cube_diagonal, refusal, run, write_recipe
from tally import Tally, finish

# Half a unit of the sixth printed decimal, and room for the mathematics of two libraries at the steep start of a
# power law: the contract of docs/look-maths.md.
NODE_TOLERANCE = 2e-6
# Code values from two implementations of one formula in double precision, as parts of the signal.
CODE_TOLERANCE = 1e-9
# CIELAB of the same signal from two implementations, and CIEDE2000 of the same pair: double precision, through a
# cube root and a display decode.
LAB_TOLERANCE = 1e-6
# The exact look's signal as printed in the report: two implementations in double precision, through power laws.
SIGNAL_TOLERANCE = 1e-8
# Interpolation of the same table, in double precision, at full floating-point precision of the report.
TABLE_TOLERANCE = 1e-9
# Both round, but the program blends in integers of 16 bits: half a code each.
PICTURE_CODES = 1.0

# Primaries and whites are printed decimals on both sides.
CHROMATICITY_TOLERANCE = 1e-12

STOPS_OVER_WHITE = -6.0
RANDOM_LOOKS = 200


def all_recipes():
    """Every recipe of the repository; a table that is no recipe (a show, a base without a camera) is left out by name."""
    found = sorted((ROOT / "tests/data/looks").glob("*.toml")) + sorted((ROOT / "recipes").glob("*.toml"))
    return [path for path in found if "camera" in recipes.read(path)]


def check_decoding(folder):
    """Every encoding through a technical LUT: neutral nodes are its decode, and nothing else, behind a display's power law."""
    tally = Tally("log decoding (colour-science), through technical LUTs", NODE_TOLERANCE, "of the signal")
    for name, index in camera.ids():
        for stops in (0.0, STOPS_OVER_WHITE):
            entries = {"encoding": name, "gamut": "bt709"} | ({} if index is None else {"exposure_index": index})
            path = write_recipe(
                folder / "technical.toml",
                look={"name": "technical"},
                camera=entries,
                exposure={"stops": stops},
                gamut={"input_compress": False, "output_compress": False},
                display={"encoding": "bt1886", "gamut": "bt709"},
                lut={"size": 65},
            )
            diagonal = read_cube_diagonal(compile_recipe(path, folder, verify=False)["file"])
            code = np.linspace(0, 1, len(diagonal))
            light = camera.decode(name, code, index) * 2.0**stops
            expected = np.clip(light, 0, 1) ** (1 / 2.4)
            label = f"{name}{'' if index is None else f' EI {index}'}, {stops:+g} stops"
            tally.add(
                diagonal,
                np.repeat(expected[:, None], 3, axis=1),
                lambda at, label=label: f"{label}, node {at // 3}",
            )
    return [tally]


def check_encoding(folder):
    """Every encoding's code values for the grey scale, from the verifier's report."""
    tally = Tally("log encoding (colour-science), -8..+8 stops in thirds", CODE_TOLERANCE, "of the signal")
    for name, index in camera.ids():
        entries = {"encoding": name, "gamut": "bt709"} | ({} if index is None else {"exposure_index": index})
        path = write_recipe(folder / "grey.toml", look={"name": "grey"}, camera=entries, tone={}, lut={"size": 2})
        grey = compile_recipe(path, folder)["verify"]["grey"]
        stops = np.array([point["stops"] for point in grey])
        got = np.array([point["code_in"] for point in grey]) / 1023
        expected = np.clip(camera.encode(name, 0.18 * 2.0**stops, index), 0, 1)
        tally.add(got, expected, lambda at, s=stops, n=name, i=index: f"{n} {i or ''} at {s[at]:+.2f} stops")
    return [tally]


def check_lists(folder):
    """`encodings`: that the list is the one tested here, its tables, and every gamut's primaries and white."""
    listed = json.loads(run("encodings", "--json"))
    here, there = {name for name, _ in camera.ids()}, {entry["id"] for entry in listed["encodings"]}
    if here != there:
        raise SystemExit(f"encodings that only one side knows: {sorted(here ^ there)}")
    table = Tally("stops-to-code tables of `encodings` (colour-science)", CODE_TOLERANCE, "of the signal")
    for name, index in camera.ids():
        option = [] if index is None else ["--exposure-index", index]
        rows = json.loads(run("encodings", name, *option, "--json"))["stops"]
        # Unlike a camera, the table is not held to 0..1: it says where the signal ends.
        expected = camera.encode(name, [0.18 * 2.0 ** row["stops"] for row in rows], index)
        table.add([row["signal"] for row in rows], expected, f"{name} {index or ''}")
    gamuts = Tally("primaries and whites of gamuts (colour-science)", CHROMATICITY_TOLERANCE, "x or y")
    for entry in listed["gamuts"]:
        primaries, white = camera.gamut(entry["id"])
        got = [*entry["red"], *entry["green"], *entry["blue"], *entry["white"]]
        gamuts.add(got, [*primaries.ravel(), *white], entry["id"])
    return [table, gamuts]


def check_looks(folder):
    """Every node of every recipe's LUT, and the whole report, against the numpy implementation and colour-science."""
    nodes = Tally("nodes of compiled looks (numpy implementation of docs/look-maths.md)", NODE_TOLERANCE, "of the signal")
    exact = Tally("exact signal of greys and patches in the report (numpy)", SIGNAL_TOLERANCE, "of the signal")
    through = Tally("greys through the file, interpolated (colour-science)", TABLE_TOLERANCE, "of the signal")
    lab = Tally("CIELAB of patches (colour-science)", LAB_TOLERANCE, "L*, a* or b*")
    difference = Tally("CIEDE2000 of patches and greys (colour-science)", LAB_TOLERANCE, "dE2000")
    for path in all_recipes():
        tables = recipes.read(path)
        lut = compile_recipe(path, folder)
        reference = look.Look(tables)
        size, rows = read_cube(lut["file"])
        assert size == reference.r["lut"]["size"], f"{path.name}: size {size}"
        inputs = node_inputs(size)
        nodes.add(
            rows,
            reference.output(inputs),
            lambda at, p=path, i=inputs: f"{p.name}, input {np.round(i[at // 3], 4)}",
        )
        _check_report(path.name, lut, reference, rows, exact, through, lab, difference)
    return [nodes, exact, through, lab, difference]


def check_random_looks(folder):
    """Nodes of random recipes over the whole language. What the program refuses as impossible is not compared."""
    nodes = Tally("nodes of random looks (numpy implementation of docs/look-maths.md)", NODE_TOLERANCE, "of the signal")
    refused = {}
    for seed in range(RANDOM_LOOKS):
        path = write_recipe(folder / "random.toml", **random_looks.recipe(seed))
        codes = refusal(path)
        if codes:
            refused[seed] = codes
            continue
        size, rows = read_cube(compile_recipe(path, folder, verify=False)["file"])
        expected = look.Look(recipes.read(path)).output(node_inputs(size))
        nodes.add(rows, expected, lambda at, s=seed, i=node_inputs(size): f"seed {s}, input {np.round(i[at // 3], 4)}")
    counts = collections.Counter(code for codes in refused.values() for code in codes)
    print(f"       random looks: {len(refused)} of {RANDOM_LOOKS} refused: {dict(counts)}")
    if len(refused) > RANDOM_LOOKS / 2:
        raise SystemExit("more than half of the random looks were refused: nothing is tested")
    return [nodes]


def _check_report(name, lut, reference, rows, exact, through, lab, difference):
    r, report = reference.r, lut["verify"]
    grey, patches = report["grey"], report["patches"]
    assert len(grey) == 49 and len(patches) == 24 * 7, f"{name}: {len(grey)} greys, {len(patches)} patches"
    code = np.array([point["code_in"] for point in grey]) / 1023
    u = np.clip((code * 1023 - 64) / 876, 0, 1) if r["lut"]["input_levels"] == "legal" else code
    u = np.repeat(u[:, None], 3, axis=1)

    def shown(signal):
        return (signal * 1023 - 64) / 876 if r["lut"]["output_levels"] == "legal" else signal

    def where(points):
        return lambda at: f"{name}, {points[at // 3].get('name', 'grey')} at {points[at // 3]['stops']:+.2f} stops"

    exact.add([point["exact"] for point in grey], shown(reference.output(u)), where(grey))
    table = rows.reshape(*[lut["size"]] * 3, 3).transpose(2, 1, 0, 3)
    through.add([point["signal"] for point in grey], shown(interpolate(table, u, r["lut"]["interpolation"])), where(grey))

    pairs = []
    for which, key in (("exact", "lab_exact"), ("signal", "lab_lut")):
        signals = np.array([point[which] for point in patches])
        expected = display_lab(reference, signals)
        lab.add([point[key] for point in patches], expected, where(patches))
        pairs.append(expected)
    got = [point["de2000"] for point in patches]
    each = lambda points: lambda at: f"{name}, {points[at].get('name', 'grey')} at {points[at]['stops']:+.2f} stops"
    difference.add(got, colour.difference.delta_E_CIE2000(*pairs), each(patches))
    difference.add(report["patch_mean_de"], np.mean(colour.difference.delta_E_CIE2000(*pairs)), f"{name}, mean")
    greys = [display_lab(reference, np.array([point[key] for point in grey])) for key in ("exact", "signal")]
    difference.add([point["de2000"] for point in grey], colour.difference.delta_E_CIE2000(*greys), each(grey))


def interpolate(table, u, kind):
    """colour-science's interpolation of a table indexed [r, g, b]."""
    function = {
        "tetrahedral": colour.algebra.table_interpolation_tetrahedral,
        "trilinear": colour.algebra.table_interpolation_trilinear,
    }[kind]
    return function(u, table)


def display_lab(reference, signal):
    """CIELAB of a display signal against display white, by colour-science."""
    display = reference.r["display"]
    light = look.decode_display(np.clip(signal, 0, 1), display["encoding"], display["peak_nits"])
    xyz = light @ reference.display_to_xyz.T
    return colour.XYZ_to_Lab(xyz, reference.display_white)


def check_patches_at_the_camera(folder):
    """The chart's own way to the camera: 24 published CIELAB values, adapted, encoded, and through the exact look."""
    tally = Tally("exact look of 24 patches from their published CIELAB (numpy)", SIGNAL_TOLERANCE, "of the signal")
    chart = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    names = list(chart.data)
    xyz = np.array([colour.xyY_to_XYZ(chart.data[name]) for name in names])
    for path in sorted((ROOT / "tests/data/looks").glob("*.toml")):
        reference = look.Look(recipes.read(path))
        r = reference.r
        primaries, white = camera.gamut(r["camera"]["gamut"])
        adapt = look.adaptation(reference.cone, np.asarray(chart.illuminant), white)
        linear = xyz @ (np.linalg.inv(look.primary_matrix(primaries, white)) @ adapt).T
        points = compile_recipe(path, folder)["verify"]["patches"]
        for stop in range(-3, 4):
            code = camera.encode(r["camera"]["encoding"], linear * 2.0**stop, r["camera"].get("exposure_index"))
            code = np.clip(np.nan_to_num(code, nan=0.0), 0, 1)
            u = np.clip((code * 1023 - 64) / 876, 0, 1) if r["lut"]["input_levels"] == "legal" else code
            signal = reference.output(u)
            signal = (signal * 1023 - 64) / 876 if r["lut"]["output_levels"] == "legal" else signal
            got = np.array([point["exact"] for point in points if point["stops"] == stop])
            tally.add(got, signal, lambda at, p=path, s=stop: f"{p.name}, {names[at // 3]} at {s:+d} stops")
    return [tally]


def check_pictures(folder):
    """A 16-bit picture through `preview`, colour-science and ffmpeg's lut3d."""
    frame = pictures.test_frame()
    source = folder / "frame.png"
    pictures.write_png16(source, frame)
    tallies = []
    for kind in ("tetrahedral", "trilinear"):
        path = write_recipe(
            folder / f"picture-{kind}.toml",
            look={"name": f"picture {kind}"},
            camera={"encoding": "s-log3", "gamut": "s-gamut3.cine"},
            white={"warmer_mired": 20, "greener_cc": 4},
            tone={"contrast": 1.5},
            lut={"size": 33, "interpolation": kind},
        )
        cube = compile_recipe(path, folder)["file"]
        ours = pictures.preview(cube, path, source, folder / f"ours-{kind}")

        lut = colour.io.read_LUT(str(cube))
        assert lut.size == 33, f"colour-science read size {lut.size}"
        applied = interpolate(lut.table, frame / 65535, kind)
        tally = Tally(f"preview, {kind} (colour-science reads and applies the file)", PICTURE_CODES, "16-bit codes")
        tally.add(ours, np.rint(np.clip(applied, 0, 1) * 65535), lambda at: f"pixel {at // 3}")
        tallies.append(tally)

        for layout in ("gbrp16le", "rgb48le"):
            theirs = folder / f"ffmpeg-{kind}-{layout}.png"
            pictures.ffmpeg_lut3d(source, cube, kind, layout, theirs)
            # ffmpeg truncates where the program rounds, and blends in single precision.
            name = f"preview, {kind} (ffmpeg lut3d, {layout})"
            tally = Tally(name, PICTURE_CODES, "16-bit codes")
            reference = pictures.read_png16(theirs)
            tally.add(ours, reference, lambda at: f"pixel {at // 3}")
            print(f"       {name}: on average ffmpeg is {np.mean(ours - reference.astype(float)):+.3f} codes lower")
            tallies.append(tally)
    return tallies


def main():
    print(f"lookwright: {run('--version').strip()}; colour-science {colour.__version__}, numpy {np.__version__}")
    checks = [
        check_lists,
        check_decoding,
        check_encoding,
        check_looks,
        check_random_looks,
        check_patches_at_the_camera,
        check_pictures,
    ]
    tallies = []
    with tempfile.TemporaryDirectory() as temporary:
        for check in checks:
            tallies += check(pathlib.Path(temporary))
    return finish(tallies)


if __name__ == "__main__":
    sys.exit(main())
