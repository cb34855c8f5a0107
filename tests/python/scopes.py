"""Colour bars as codes and as places on a vectorscope, computed again: what the tests of scopes are held to.

The table `tests/data/bars_ycbcr.csv` is held to colour-science, live, and to the equations of ITU-R BT.709-6 and BT.2020-2 as
they are printed. Prints, for each, the number of points and the worst disagreement; exits 1 beyond a tolerance.
"""

import csv
import sys
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np

from program import ROOT
from tally import Tally, finish

TABLE = ROOT / "tests/data/bars_ycbcr.csv"
# Weights of R' and B', and the divisors of the colour differences, as the recommendations print them (from memory).
PRINTED = {"BT.709": (0.2126, 0.0722, 1.8556, 1.5748), "BT.2020": (0.2627, 0.0593, 1.8814, 1.4746)}


def rows():
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    found = list(csv.DictReader(lines))
    assert {row["coding"] for row in found} == set(PRINTED), "both codings are in the table"
    return found


def numbers(row, *columns):
    return np.array([float(row[column]) for column in columns])


def by_library(row, whole):
    """Ten-bit codes Y', C'B, C'R by colour-science; not rounded unless `whole`."""
    codes = colour.RGB_to_YCbCr(
        numbers(row, "r", "g", "b").astype(int),
        K=colour.WEIGHTS_YCBCR[f"ITU-R {row['coding']}"],
        in_bits=10,
        in_legal=True,
        in_int=True,
        out_bits=10,
        out_legal=True,
        out_int=whole,
    )
    return np.asarray(codes, float) * (1 if whole else 1023)


def by_equations(row):
    """INT[(219 E'Y + 16) * 4 + 0.5] and INT[(224 E'C + 128) * 4 + 0.5], items 3.2 to 3.4 of BT.709-6 (items from memory)."""
    red_weight, blue_weight, blue_divisor, red_divisor = PRINTED[row["coding"]]
    red, green, blue = (numbers(row, "r", "g", "b") - 64) / 876
    luma = red_weight * red + (1 - red_weight - blue_weight) * green + blue_weight * blue
    signals = np.array([219 * luma + 16, 224 * (blue - luma) / blue_divisor + 128, 224 * (red - luma) / red_divisor + 128])
    return np.floor(signals * 4 + 0.5)


def check_bars():
    library = Tally("codes of bars and colours (colour-science, RGB_to_YCbCr)", 0, "codes")
    equations = Tally("codes of bars and colours (the equations of BT.709-6 and BT.2020-2)", 0, "codes")
    degrees = Tally("angles on the vectorscope (colour-science)", 1e-8, "degrees")
    magnitudes = Tally("distances on the vectorscope (colour-science)", 1e-8, "of 896 codes")
    for row in rows():
        name = f"{row['name']}, {row['percent']} % of {row['coding']}"
        expected = numbers(row, "y", "cb", "cr")
        library.add(by_library(row, whole=True), expected, name)
        equations.add(by_equations(row), expected, name)
        blue, red = (by_library(row, whole=False)[1:] - 512) / 896
        magnitudes.add(np.hypot(blue, red), float(row["magnitude"]), name)
        if row["degrees"] != "nan":
            degrees.add(np.degrees(np.arctan2(red, blue)) % 360, float(row["degrees"]), name)
    return [library, equations, degrees, magnitudes]


def main():
    print(f"colour-science {colour.__version__}, numpy {np.__version__}")
    return finish(check_bars())


if __name__ == "__main__":
    sys.exit(main())
