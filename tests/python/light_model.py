"""Lights, filters, the locus of black bodies and casts: docs/light.md in numpy, a second time.

`light_references.py` holds it to colour-science and to the tables of tests/data, `light_reports.py` the program to it.
"""

import csv

import numpy as np
from scipy.interpolate import make_interp_spline
from scipy.optimize import brentq
from scipy.spatial import cKDTree

import look as looks
from program import ROOT

# CODATA 2018, rounded as docs/look-maths.md prints it, m K.
C2 = 1.438776877e-2
CC_PER_DUV = 30 / 0.020
DATA = ROOT / "tests/data"
# Reciprocal temperatures at which the locus is computed, mired; they go on beyond the coldest that is told, where the
# spline would end. Between them a spline of the fifth degree: off by less than 1e-15 in (u, v) and 1e-10 in the direction of its
# tangents, measured against the exact sums and derivatives of white.py.
MIREDS = np.arange(0.0, 2600.25, 0.25)
# The locus ends here: past it, as past the hot end, the end is what is nearest.
COLDEST_MIRED = 1e6 / 500
# CIE 015 (from memory): a correlated colour temperature means nothing farther from the locus.
FARTHEST_DUV = 0.05
CAST_MIREDS = 1000.0

# Same table, same sums, double precision: what is left are the ways to the foot of the perpendicular.
XY_TOLERANCE = 1e-9
CCT_TOLERANCE = 1e-6  # relative
DUV_TOLERANCE = 1e-8
MIRED_TOLERANCE = 1e-4
# Sums and a few products of the same numbers.
ARITHMETIC_TOLERANCE = 1e-12


def table(name):
    """Rows of a reference table as dictionaries of numbers (text where it is none)."""
    lines = [line for line in (DATA / name).read_text(encoding="utf-8").splitlines() if not line.startswith("#")]

    def number(cell):
        try:
            return float(cell)
        except ValueError:
            return cell

    return [{key: number(cell) for key, cell in row.items()} for row in csv.DictReader(lines)]


def column(rows, name):
    return np.array([row[name] for row in rows])


_OBSERVER = table("cmf_1931_2deg_1nm.csv")
NANOMETRES = column(_OBSERVER, "nm")
METRES = NANOMETRES * 1e-9
OBSERVER = np.stack([column(_OBSERVER, axis) for axis in "xyz"], axis=-1)
_BASIS = table("daylight_basis.csv")
BASIS = np.stack([np.interp(NANOMETRES, column(_BASIS, "nm"), column(_BASIS, f"s{i}")) for i in range(3)])


# Spectra and chromaticities ------------------------------------------------------------------------------
def planck(mired, c2=C2):
    """Planck's law up to a factor; one row for each mired, 0 mired being its limit."""
    exponent = c2 * 1e-6 * np.asarray(mired, float)[..., None] / METRES
    with np.errstate(invalid="ignore"):
        # 1/(exp(e) - 1) is e/expm1(e) but for a factor that is lambda's: it takes lambda^-5 to lambda^-4.
        return (NANOMETRES / 560) ** -4 * np.where(exponent == 0, 1.0, exponent / np.expm1(exponent))


def daylight(kelvin):
    """CIE D series at exactly this temperature."""
    if kelvin <= 7000:
        x = -4.6070e9 / kelvin**3 + 2.9678e6 / kelvin**2 + 0.09911e3 / kelvin + 0.244063
    else:
        x = -2.0064e9 / kelvin**3 + 1.9018e6 / kelvin**2 + 0.24748e3 / kelvin + 0.237040
    y = -3.000 * x**2 + 2.870 * x - 0.275
    below = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = round((-1.3515 - 1.7703 * x + 5.9114 * y) / below, 3)
    m2 = round((0.0300 - 31.4424 * x + 30.0717 * y) / below, 3)
    return BASIS[0] + m1 * BASIS[1] + m2 * BASIS[2]


def filtered(spectrum, mired):
    return spectrum * np.exp(-C2 * 1e-6 * np.asarray(mired, float)[..., None] / METRES)


def uv_of(spectrum):
    xyz = spectrum @ OBSERVER
    return np.stack([4 * xyz[..., 0], 6 * xyz[..., 1]], axis=-1) / (xyz @ [1, 15, 3])[..., None]


def xy_from_uv(uv):
    u, v = uv
    return np.array([3 * u, 2 * v]) / (2 * u - 8 * v + 4)


def uv_from_xy(x, y):
    return np.array([4 * x, 6 * y]) / (-2 * x + 12 * y + 3)


def uv_from_xyz(xyz):
    return np.array([4 * xyz[0], 6 * xyz[1]]) / (xyz @ [1, 15, 3])


def xyz_from_uv(uv):
    return looks.xy_to_xyz(xy_from_uv(uv))


# The locus of black bodies -------------------------------------------------------------------------------
LOCUS = make_interp_spline(MIREDS, uv_of(planck(MIREDS)), k=5)
TANGENT, BEND = LOCUS.derivative(1), LOCUS.derivative(2)
_TREE = cKDTree(LOCUS(MIREDS))


def foot(uv):
    """Mireds of the nearest points of the locus, 0 past its hot end and COLDEST_MIRED past its cold one."""
    nearest = MIREDS[_TREE.query(uv)[1]]
    mired, step = nearest, MIREDS[1]
    for _ in range(8):
        away, tangent = uv - LOCUS(mired), TANGENT(mired)
        along = np.sum(away * tangent, axis=-1)
        slope = np.sum(away * BEND(mired), axis=-1) - np.sum(tangent**2, axis=-1)
        mired = np.clip(mired - along / slope, np.maximum(nearest - step, 0), nearest + step)
    return np.minimum(mired, COLDEST_MIRED)


def normal(mired):
    """Unit normals towards green: the tangent runs from blue to red, green lies to its left."""
    tangent = TANGENT(mired)
    left = np.stack([-tangent[..., 1], tangent[..., 0]], axis=-1)
    return left / np.hypot(*np.moveaxis(tangent, -1, 0))[..., None]


def moved(uv, duv):
    return uv + duv * normal(foot(uv))


def cct_duv(uv):
    """Correlated colour temperature (K) and Duv, or None for both."""
    mired = float(foot(uv))
    if mired in (0, COLDEST_MIRED):
        return None, None
    duv = float((uv - LOCUS(mired)) @ normal(mired))
    return (1e6 / mired, duv) if abs(duv) <= FARTHEST_DUV else (None, None)


# Lights and casts ----------------------------------------------------------------------------------------
def light_uv(light):
    """What a light becomes, from an entry of the program's report: source, its kelvin and Duv, filters as numbers."""
    filters = light["filters"]
    spectrum = daylight(light["kelvin"]) if light["source"] == "daylight" else planck(1e6 / light["kelvin"])
    behind = uv_of(filtered(spectrum, sum(entry["mired"] for entry in filters)))
    return moved(behind, light["source_duv"] + sum(entry["greener_duv"] for entry in filters))


class Source:
    """A spectrum behind ideal filters of every strength."""

    def __init__(self, spectrum):
        self.spectrum = spectrum
        # No whole numbers: at those, a light of the source's own temperature would have its root.
        self.grid = np.linspace(-CAST_MIREDS, CAST_MIREDS, 2000)
        self.points = uv_of(filtered(spectrum, self.grid))
        self.tangents = TANGENT(foot(self.points))
        self.most_solutions = 0

    def shift_to(self, uv):
        """Mired and Duv of the filter that makes this of the source: of several the one with the least Duv, None beyond the search."""
        beyond = np.sum((uv - self.points) * self.tangents, axis=-1) < 0

        def along(mired):
            point = uv_of(filtered(self.spectrum, mired))
            return float((uv - point) @ TANGENT(foot(point)))

        shifts = []
        for index in np.flatnonzero(beyond[1:] != beyond[:-1]):
            mired = brentq(along, *self.grid[index : index + 2], xtol=1e-11)
            point = uv_of(filtered(self.spectrum, mired))
            shifts.append((mired, float((uv - point) @ normal(foot(point)))))
        self.most_solutions = max(self.most_solutions, len(shifts))
        return min(shifts, key=lambda shift: abs(shift[1]), default=None)


class Balance:
    """A camera's balance, and what lights look like at it."""

    def __init__(self, kelvin, duv, cone=looks.BRADFORD):
        self.kelvin, self.cone, self.black_body = kelvin, cone, Source(planck(1e6 / kelvin))
        at = LOCUS(1e6 / kelvin)
        self.reference = xyz_from_uv(at)
        self.white = xyz_from_uv(at + duv * normal(1e6 / kelvin))

    def seen(self, uv):
        """XYZ of a light as it looks from the balance's black body."""
        gains = (self.cone @ xyz_from_uv(uv)) / (self.cone @ self.white)
        return np.linalg.solve(self.cone, gains * (self.cone @ self.reference))

    def cast(self, uv):
        """Mired and Duv of the cast that a light leaves, None beyond the search."""
        return self.black_body.shift_to(uv_from_xyz(self.seen(uv)))


def shift_gains(cone, kelvin, mired, duv):
    """Gains on cones of section 6 of docs/look-maths.md."""
    shifted = moved(uv_of(filtered(planck(1e6 / kelvin), mired)), duv)
    return (cone @ xyz_from_uv(shifted)) / (cone @ xyz_from_uv(LOCUS(1e6 / kelvin)))


def white_gains(cone, white):
    duv = white.get("greener_duv", white.get("greener_cc", 0.0) / CC_PER_DUV)
    return shift_gains(cone, white["reference_kelvin"], white["warmer_mired"], duv)
