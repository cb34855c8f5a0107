"""The filters that have names against what their makers print, and ideal filters against curves of real ones."""

import re

import colour
import numpy as np

from light_model import (
    ARITHMETIC_TOLERANCE,
    CC_PER_DUV,
    NANOMETRES,
    OBSERVER,
    Source,
    daylight,
    planck,
    table,
    uv_from_xy,
    uv_of,
)
from light_shows import OWN_FILTERS
from program import ROOT
from tally import Tally

GREENS = ("plus green", "minus green")
# Whose curves tests/data/filters_published.csv has.
CURVE_NANOMETRES = np.arange(410, 701, 10)
# Measured, this project's own bound, rounded up: losses by the curves against those by the transmissions that the maker prints.
CURVE_BOUND = 0.094
# The page has whole mireds and CC, and hundredths of a stop.
WHOLE, HUNDREDTH = 0.5 + ARITHMETIC_TOLERANCE, 0.005 + ARITHMETIC_TOLERANCE
ROW = re.compile(r"^\| (?P<name>[^|]+) \|" + 3 * r" ([-+]\d+) / ([-+]?\d+) \|" + r" ([.\d]+) / ([.\d]+) \|$", re.MULTILINE)


def published():
    """Rows of both makers, by the program's names: the built-in filters' maker is the first."""
    makers = {}
    for row in table("filters_published.csv"):
        makers.setdefault(row["maker"], {})[f"{row['strength']} {row['kind']}"] = row
    first, second = makers.values()
    return first, second


def check_published(named):
    """Mired, CC and stops of the trade's names, as the program tells them."""
    numbers = Tally("filters of the trade: as published (tests/data/filters_published.csv)", ARITHMETIC_TOLERANCE, "mired, CC, stops")
    between = Tally("filters of the trade: 3/4 greens, halfway between neighbours", ARITHMETIC_TOLERANCE, "CC, stops")
    first, _ = published()
    assert set(named) == {*first, *(f"3/4 {kind}" for kind in GREENS), *OWN_FILTERS}, "every name is held to something"

    def told(name):
        return np.array([named[name]["mired"], named[name]["greener_duv"] * CC_PER_DUV, named[name]["stops"]])

    for name, row in first.items():
        numbers.add(told(name), [row["mired"] or 0.0, row["cc"] or 0.0, row["stops"]], name)
    for kind in GREENS:
        between.add(told(f"3/4 {kind}"), (told(f"full {kind}") + told(f"1/2 {kind}")) / 2, f"3/4 {kind}")
    return [numbers, between]


# Real filters --------------------------------------------------------------------------------------------
def curve(row):
    """Transmittance of a real filter, its ends going on as they are."""
    values = np.array(row["curve"].split(), float)
    assert values.shape == CURVE_NANOMETRES.shape, row["name"]
    return np.interp(NANOMETRES, CURVE_NANOMETRES, values)


def stops_behind(spectrum, transmittance):
    return np.log2((spectrum @ OBSERVER)[1] / (spectrum * transmittance @ OBSERVER)[1])


def stops_of(row):
    """Losses before 3200 K and daylight, as the first maker's transmissions say: its column is the lamp that the filter is for."""
    losses = [-np.log2(row[key] / 100) for key in ("transmission", "transmission_other")]
    return losses if row["kind"] == "CTB" else losses[::-1]


def check_real_filters():
    """The table of docs/light.md: the numbers that real filters would need to have, mired and CC."""
    first, second = published()
    source_c = colour.SDS_ILLUMINANTS["C"]
    source_c = np.interp(NANOMETRES, source_c.wavelengths, source_c.values)
    tungsten, day, source_a = Source(planck(1e6 / 3200)), Source(daylight(5600)), Source(planck(1e6 / 2855.5))
    shift = Tally("real filters: the shifts of docs/light.md", WHOLE, "mired")
    tint = Tally("real filters: the greens of docs/light.md", WHOLE, "CC")
    loss = Tally("real filters: the losses of docs/light.md", HUNDREDTH, "stops")
    curves = Tally("real filters: losses by curves and as printed (measured, this project's own bound)", CURVE_BOUND, "stops")
    rows = ROW.findall((ROOT / "docs/light.md").read_text(encoding="utf-8"))
    assert {row[0] for row in rows} == {name for name, row in first.items() if row["curve"]}, "docs/light.md lists every curve"
    for name, *told in rows:
        row, other = first[name], second[name]
        behind = curve(row)
        before = (("3200 K", tungsten, uv_of(tungsten.spectrum * behind)), ("daylight", day, uv_of(day.spectrum * behind)))
        before += (("illuminant A", source_a, uv_from_xy(other["a_x"], other["a_y"])),)
        for index, (lamp, source, uv) in enumerate(before):
            mired, duv = source.shift_to(uv)
            shift.add(float(told[2 * index]), mired, f"{name} before {lamp}: {mired:+.1f} mired")
            tint.add(float(told[2 * index + 1]), duv * CC_PER_DUV, f"{name} before {lamp}: {duv * CC_PER_DUV:+.1f} CC")
        loss.add([float(stops) for stops in told[-2:]], stops_of(row), name)
        curves.add([stops_behind(spectrum, behind) for spectrum in (tungsten.spectrum, source_c)], stops_of(row), name)
    return [shift, tint, loss, curves]
