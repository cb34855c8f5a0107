"""White shifts along and across the Planckian locus (docs/look-maths.md, section 6), in numpy.

Source of the colour-matching functions: colour-science, CIE 1931 2 degree observer at 1 nm, 360..830 nm.
"""

import functools

import colour
import numpy as np
from scipy.optimize import brentq

# Second radiation constant, m K (CODATA 2018, exact value rounded as the look-maths page prints it).
C2 = 1.438776877e-2
CC_TO_DUV = 0.020 / 30
# Reciprocal temperatures searched for the nearest point of the locus: T from infinity down to 500 K.
_GRID = np.linspace(0.0, 2000.0, 20001)


@functools.cache
def _observer():
    functions = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    nanometres = np.asarray(functions.wavelengths, float)
    assert nanometres[0] == 360 and nanometres[-1] == 830 and len(nanometres) == 471
    return nanometres * 1e-9, np.asarray(functions.values, float)


def _planck(mired):
    """Black-body spectrum up to a factor; finite and smooth down to 0 mired (T without bound)."""
    wavelength, _ = _observer()
    exponent = C2 * mired * 1e-6 / wavelength
    # e / expm1(e) is 1 at 0; the factor lambda^-4 is what remains of lambda^-5 / expm1.
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.where(exponent == 0, 1.0, exponent / np.expm1(exponent))
    return (wavelength * 1e9) ** -4 * ratio


def _uv(xyz):
    x, y, z = xyz
    denominator = x + 15 * y + 3 * z
    return np.array([4 * x, 6 * y]) / denominator


def _spectrum_uv(spectrum):
    return _uv(spectrum @ _observer()[1])


def _locus(mired):
    return _spectrum_uv(_planck(mired))


def _tangent(mired):
    """d(u, v)/d(mired), from the analytic derivative of the spectrum."""
    wavelength, functions = _observer()
    k = C2 * 1e-6 / wavelength
    e = k * mired
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        # d/de [e / expm1(e)] = (expm1(e) - e exp(e)) / expm1(e)^2, and -1/2 at 0 (series below 1e-4).
        slope = np.where(
            e < 1e-4, -0.5 + e / 6, (np.expm1(e) - e * np.exp(e)) / np.expm1(e) ** 2
        )
    xyz = _planck(mired) @ functions
    dxyz = ((wavelength * 1e9) ** -4 * slope * k) @ functions
    weights = np.array([1.0, 15.0, 3.0])
    denominator, ddenominator = weights @ xyz, weights @ dxyz
    numerator, dnumerator = np.array([4, 6]) * xyz[:2], np.array([4, 6]) * dxyz[:2]
    return (dnumerator * denominator - numerator * ddenominator) / denominator**2


@functools.cache
def _grid_uv():
    return np.array([_locus(mired) for mired in _GRID])


def _nearest_mired(uv):
    index = int(np.argmin(np.sum((_grid_uv() - uv) ** 2, axis=1)))

    def along(mired):
        return float((uv - _locus(mired)) @ _tangent(mired))

    low, high = _GRID[max(index - 1, 0)], _GRID[min(index + 1, len(_GRID) - 1)]
    if low == 0.0 and along(0.0) <= 0:
        return 0.0
    return brentq(along, low, high, xtol=1e-12)


def white_xyz(reference_kelvin, warmer_mired, duv):
    """Reference and shifted white as XYZ with Y = 1."""
    wavelength, _ = _observer()
    reference = _planck(1e6 / reference_kelvin)
    shifted = reference * np.exp(-C2 * warmer_mired * 1e-6 / wavelength)
    uv0, uv1 = _spectrum_uv(reference), _spectrum_uv(shifted)
    if duv != 0:
        tangent = _tangent(_nearest_mired(uv1))
        normal = np.array([-tangent[1], tangent[0]]) / np.hypot(*tangent)
        uv1 = uv1 + duv * normal
    return _xyz_from_uv(uv0), _xyz_from_uv(uv1)


def _xyz_from_uv(uv):
    u, v = uv
    x, y = 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)
    return np.array([x / y, 1.0, (1 - x - y) / y])


def shift_matrix(table, reference_kelvin, cone, ap1_to_xyz):
    """The matrix G of section 6 for a table with warmer_mired and greener_duv or greener_cc; None when it is the identity."""
    mired = table.get("warmer_mired", 0.0)
    duv = table.get("greener_duv", table.get("greener_cc", 0.0) * CC_TO_DUV)
    if mired == 0 and duv == 0:
        return None
    before, after = white_xyz(reference_kelvin, mired, duv)
    gain = np.diag((cone @ after) / (cone @ before))
    matrix = np.linalg.inv(ap1_to_xyz) @ np.linalg.inv(cone) @ gain @ cone @ ap1_to_xyz
    return matrix / (ap1_to_xyz[1] @ matrix @ np.ones(3))
