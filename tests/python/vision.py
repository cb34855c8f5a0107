"""The zones of an exposure map as people with other colour vision see them, computed again from the command's own document.

The matrices are those of Machado, Oliveira and Fernandes (2009) as colour-science has them, live; so are CIELAB and CIEDE2000. Prints, for
each comparison, the number of points and the worst disagreement; exits 1 beyond a tolerance.
"""

import json
import sys
import tempfile
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np

from program import ROOT, run
from tally import Tally, finish

RECIPES = ["dusk-car-deck", "crossing-noon", "snack-bar"]
KINDS = {"protan": "Protanomaly", "deutan": "Deuteranomaly", "tritan": "Tritanomaly"}
WHITE = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]


def decode(signal):
    signal = np.asarray(signal, float)
    return np.where(signal <= 0.04045, signal / 12.92, ((signal + 0.055) / 1.055) ** 2.4)


def encode(light):
    light = np.clip(light, 0.0, 1.0)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def seen(srgb, vision):
    if vision == "normal":
        return np.asarray(srgb, float)
    matrix = colour.blindness.matrix_cvd_Machado2009(KINDS[vision], 1.0)
    return encode(matrix @ decode(srgb))


def lab(srgb):
    # The published matrix of sRGB has four digits; the one from its primaries has all.
    matrix = colour.normalised_primary_matrix([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]], WHITE)
    return colour.XYZ_to_Lab(matrix @ decode(srgb), WHITE)


def apart(one, other):
    """CIEDE2000, the smaller side of the jump that it makes where two hues are exactly opposite."""

    def turned(by):
        turn = np.array([[1, 0, 0], [0, np.cos(by), -np.sin(by)], [0, np.sin(by), np.cos(by)]])
        return float(colour.delta_E(one, turn @ other, method="CIE 2000"))

    return min(turned(1e-6), turned(-1e-6))


def main():
    colours = Tally("zones as they are seen (colour-science, Machado 2009)", 1e-6, "of the signal")
    least_apart = Tally("least difference of neighbours (colour-science)", 1e-3, "CIEDE2000")
    with tempfile.TemporaryDirectory() as folder:
        for recipe in RECIPES:
            told = json.loads(run("false-colour", ROOT / f"recipes/{recipe}.toml", "--out", folder, "--json"))["maps"][0]["map"]
            zones = [zone for zone in told["zones"] if zone["shown"]]
            for zone in zones:
                for one in zone["seen"]:
                    colours.add(one["srgb"], seen(zone["srgb"], one["vision"]), f"{recipe}: {zone['name']}, {one['vision']}")
            for one in told["separations"]["visions"]:
                labs = [lab(seen(zone["srgb"], one["vision"])) for zone in zones]
                least = min(apart(a, b) for a, b in zip(labs, labs[1:]))
                least_apart.add(one["neighbours"], least, f"{recipe}: {one['vision']}")
    return finish([colours, least_apart])


if __name__ == "__main__":
    sys.exit(main())
