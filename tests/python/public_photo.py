"""A photograph through the main job: light, a camera's log signal, a compiled LUT, a preview, against numpy.

The photograph is the portrait of the astronaut Eileen Collins from NASA's Great Images, "No known copyright
restrictions, released into the public domain" (scikit-image, skimage.data.astronaut; the picture comes with
its wheel). It stands in for a camera's frame: decoded by IEC 61966-2-1, its BT.709 light goes into the
camera's gamut and log encoding with formulas of colour-science, exposed from two stops under to two over.
"""

import pathlib
import sys
import tempfile
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np
import skimage.data

import camera
import look
import pictures
import recipe as recipes
from program import ROOT, compile_recipe, node_inputs
from tally import Tally, finish

# Against the look's exact values at the nodes, interpolated in double precision: half a 16-bit code of rounding in
# the preview, and half a unit of the file's sixth decimal (0.03 codes).
TABLE_CODES = 0.54
# Against the look itself, what a table of 33 points costs: the tolerance for the mean of the chart, which is also what
# the verifier holds these looks to (`patch_mean_de`, docs/look-maths.md: a fraction of a just noticeable difference).
MEAN_DE = 0.5
# A table of twice the grid must be better. Smooth looks gain four times, kinks twice on average (hue bands turn at the
# neutral axis, linear segments of log curves end), so that no other limit than 1 follows from theory.
SHARE_OF_65_POINTS = 1.0

EXPOSURES = (-2.0, 0.0, 2.0)
LOOKS = ("white-cool", "diffusion-half", "bands-p3")


def photograph():
    """Scene light of the photograph in BT.709 primaries."""
    signal = skimage.data.astronaut() / 255
    assert signal.shape == (512, 512, 3), f"the photograph is {signal.shape}"
    return look.decode_display(signal, "srgb", 100)


def recorded(light, stops, settings):
    """16-bit codes of the camera's log signal."""
    primaries, white = camera.gamut(settings["gamut"])
    bt709, d65 = camera.gamut("bt709")
    cone = look.BRADFORD
    to_camera = (
        np.linalg.inv(look.primary_matrix(primaries, white))
        @ look.adaptation(cone, d65, white)
        @ look.primary_matrix(bt709, d65)
    )
    linear = light.reshape(-1, 3) @ to_camera.T * 2.0**stops
    code = camera.encode(settings["encoding"], linear, settings.get("exposure_index"))
    return np.rint(np.clip(code, 0, 1) * 65535).astype(np.uint16).reshape(light.shape)


def shown(signal, settings):
    """What the monitor shows of the LUT's output."""
    return (signal * 1023 - 64) / 876 if settings["output_levels"] == "legal" else signal


def lut_input(code, settings):
    """What the monitor feeds to its LUT stage."""
    return np.clip((code * 1023 - 64) / 876, 0, 1) if settings["input_levels"] == "legal" else code


def display_lab(reference, signal):
    """CIELAB of a display signal against display white."""
    display = reference.r["display"]
    light = look.decode_display(np.clip(signal, 0, 1), display["encoding"], display["peak_nits"])
    return colour.XYZ_to_Lab(light @ reference.display_to_xyz.T, reference.display_white)


def main():
    light, tallies = photograph(), []
    with tempfile.TemporaryDirectory() as temporary:
        for name in LOOKS:
            tallies += check_look(name, light, pathlib.Path(temporary))
    return finish(tallies)


def check_look(name, light, folder):
    path = ROOT / "tests/data/looks" / f"{name}.toml"
    reference = look.Look(recipes.read(path))
    table = Tally(f"{name}: photograph through preview (numpy look at the nodes, colour-science between)", TABLE_CODES, "16-bit codes")
    mean = Tally(f"{name}: photograph at 33 points, mean (numpy look)", MEAN_DE, "dE2000")
    gain = Tally(f"{name}: mean dE2000 at 65 points", SHARE_OF_65_POINTS, "of that at 33 points")
    tables = {size: compiled(reference, path, size, folder) for size in (33, 65)}
    for stops in EXPOSURES:
        source = folder / f"{name}{stops:+.0f}.png"
        frame = recorded(light, stops, reference.r["camera"])
        pictures.write_png16(source, frame)
        means = []
        for size, (cube, nodes) in tables.items():
            shot = folder / f"{source.stem}-{size}"
            ours = pictures.preview(cube, path, source, shot).reshape(-1, 3) / 65535
            error = one_preview(reference, nodes, frame, ours, shot.name, table)
            means.append(error.mean())
            print(
                f"       {name}, {stops:+.0f} stops, {size} points: dE2000 mean {error.mean():.3f},"
                f" 99 % below {np.percentile(error, 99):.2f}, worst {error.max():.2f}"
            )
        mean.add(means[0], 0, f"{stops:+.0f} stops")
        gain.add(means[1] / means[0], 0, f"{stops:+.0f} stops")
    return [table, mean, gain]


def compiled(reference, path, size, folder):
    """The LUT of a size, and the look's exact values at its nodes."""
    cube = compile_recipe(path, folder / str(size), "--size", size, verify=False)["file"]
    return cube, reference.output(node_inputs(size)).reshape(size, size, size, 3).transpose(2, 1, 0, 3)


def one_preview(reference, nodes, frame, ours, name, table):
    """Holds one preview against the nodes; adds to the table's tally, and gives the CIEDE2000 of every pixel against the look."""
    lut = reference.r["lut"]
    u = lut_input(frame.reshape(-1, 3) / 65535, lut)
    interpolated = shown(colour.algebra.table_interpolation_tetrahedral(u, nodes), lut)
    table.add(ours * 65535, np.clip(interpolated, 0, 1) * 65535, lambda at: f"{name} points, pixel {at // 3}")
    exact = shown(reference.output(u), lut)
    return colour.difference.delta_E_CIE2000(display_lab(reference, exact), display_lab(reference, ours))


if __name__ == "__main__":
    sys.exit(main())
