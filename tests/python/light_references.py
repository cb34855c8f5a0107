"""The model of lights against others: the tables of tests/data, and colour-science, live."""

import colour
import numpy as np

import look as looks
import white
from light_model import (
    CCT_TOLERANCE,
    DUV_TOLERANCE,
    LOCUS,
    NANOMETRES,
    OBSERVER,
    XY_TOLERANCE,
    Balance,
    cct_duv,
    daylight,
    filtered,
    light_uv,
    normal,
    planck,
    table,
    uv_from_xyz,
    uv_of,
    xy_from_uv,
)
from tally import Tally


def check_black_bodies():
    """The locus: the table of this project, and colour-science with its own constants and with ours."""
    ours = Tally("black bodies (tests/data/planckian_xy.csv)", 1e-8, "in x, y")
    # Its c2 is 1.4388e-2 and its table ends at 780 nm: with both taken over, the same sums.
    same = Tally("black bodies (colour-science, with its c2 and its 780 nm)", 1e-9, "in u, v")
    # What that difference makes, at most: 2.5e-5 at 1000 K, as planckian_xy.csv says.
    apart = Tally("black bodies, our c2 and 830 nm (colour-science, 1.4388e-2 and 780 nm)", 2.6e-5, "in x, y")
    inside = NANOMETRES <= 780
    for row in table("planckian_xy.csv"):
        kelvin, mired = row["cct"], row["mired"]
        ours.add(xy_from_uv(LOCUS(mired)), [row["x"], row["y"]], f"{kelvin:g} K")
        if not np.isfinite(kelvin):
            continue
        theirs = colour.temperature.CCT_to_uv_Planck1900(kelvin)
        same.add(uv_of(planck(mired, c2=1.4388e-2) * inside), theirs, f"{kelvin:g} K")
        apart.add(xy_from_uv(LOCUS(mired)), xy_from_uv(theirs), f"{kelvin:g} K")
    return [ours, same, apart]


def check_daylight():
    """The D series: spectra where colour-science has them, chromaticities of the table."""
    spectra = Tally("daylight spectra (colour-science, sd_CIE_illuminant_D_series)", 1e-9, "of 100 at 560 nm")
    tabled = Tally("daylight (tests/data/daylight_xy.csv)", 1e-9, "in x, y")
    for row in table("daylight_xy.csv"):
        kelvin = row["cct"]
        tabled.add(xy_from_uv(uv_of(daylight(kelvin))), [row["spd_x"], row["spd_y"]], f"{kelvin:g} K")
        xy = colour.temperature.CCT_to_xy_CIE_D(kelvin)
        theirs = colour.sd_CIE_illuminant_D_series(xy, M1_M2_rounding=True)
        common = np.isin(theirs.wavelengths, NANOMETRES)
        places = np.searchsorted(NANOMETRES, theirs.wavelengths[common])
        spectra.add(daylight(kelvin)[places], theirs.values[common], f"{kelvin:g} K")
    return [spectra, tabled]


def check_feet():
    """Colour temperature and Duv: the exact table, and two published methods as colour-science has them, live."""
    exact = Tally("CCT (tests/data/cct_duv.csv, exact)", CCT_TOLERANCE, "relative")
    exact_duv = Tally("Duv (tests/data/cct_duv.csv, exact)", DUV_TOLERANCE, "Duv")
    # The comments of cct_duv.csv: about 4e-5 relative and 1e-5 in u, v, by c2 and the cut at 780 nm.
    ohno = Tally("CCT (colour-science, Ohno 2013)", 4e-5, "relative")
    ohno_duv = Tally("Duv (colour-science, Ohno 2013)", 1e-5, "Duv")
    # The same comments: a few kelvin, and its table ends at 1667 K.
    robertson = Tally("CCT (colour-science, Robertson 1968)", 3.0, "K")
    for row in table("cct_duv.csv"):
        uv, where = np.array([row["u"], row["v"]]), f"{row['cct']:g} K, Duv {row['duv']:g}"
        kelvin, duv = cct_duv(uv)
        exact.add(kelvin / row["cct"], 1.0, where)
        exact_duv.add(duv, row["duv"], where)
    for cct in (2000.0, 2500.0, 3200.0, 4300.0, 5600.0, 6500.0):
        for shift in (-0.01, 0.0, 0.01):
            uv, where = LOCUS(1e6 / cct) + shift * normal(1e6 / cct), f"{cct:g} K, Duv {shift:g}"
            kelvin, duv = cct_duv(uv)
            theirs = colour.temperature.uv_to_CCT_Ohno2013(uv)
            ohno.add(theirs[0] / kelvin, 1.0, where)
            ohno_duv.add(theirs[1], duv, where)
            robertson.add(colour.temperature.uv_to_CCT_Robertson1968(uv)[0], kelvin, where)
    return [exact, exact_duv, ohno, ohno_duv, robertson]


def check_casts():
    """Casts and back: the way back by white.py, which reads section 6 of docs/look-maths.md."""
    tally = Tally("casts and back (white.py, docs/look-maths.md)", XY_TOLERANCE, "in u, v")
    cone = looks.BRADFORD
    lights = ((2400, 64, 0.01), (3200, 0, 0.0), (5600, -274, -0.01), (8000, 26, 0.02), (25000, 0, 0.0))
    for kelvin, greener in ((3200, 0.0), (4300, 0.01), (5600, -0.006), (12000, 0.002)):
        balance = Balance(kelvin, greener)
        for source, mired, duv in lights:
            filters = [{"mired": mired, "greener_duv": duv}]
            uv = light_uv({"source": "planckian", "kelvin": source, "source_duv": 0.0, "filters": filters})
            reference, left = white.white_xyz(kelvin, *balance.cast(uv))
            back = np.linalg.solve(cone, (cone @ left) / (cone @ reference) * (cone @ balance.white))
            tally.add(uv_from_xyz(back), uv, f"{source} K behind {mired:+d} mired at {kelvin} K")
    return [tally]


def check_losses():
    """What ideal filters take from 3200 K, scaled to a peak of 1 between 400 and 700 nm, as docs/light.md says."""
    tally = Tally("losses of ideal filters (docs/light.md)", 0.005, "stops, half of the last digit")
    tungsten, inside = planck(1e6 / 3200), (NANOMETRES >= 400) & (NANOMETRES <= 700)
    for mired, stops in ((159, 1.05), (-137, 2.04)):
        behind = filtered(tungsten, mired) / filtered(np.ones_like(tungsten), mired)[inside].max()
        tally.add(np.log2((tungsten @ OBSERVER)[1] / (behind @ OBSERVER)[1]), stops, f"{mired:+d} mired")
    return [tally]
