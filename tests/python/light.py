"""Lights, their filters and the casts that they leave, computed a second time: docs/light.md in numpy.

The reference is first held to colour-science and to the tables of tests/data; then `lookwright light --json` is held to
the reference, for the demo show and for a show of seeded random lights; last, the stand-in for LEDs is held to the CIE's
LED illuminants, whose spectra are known. Prints, for each, the number of points and the worst disagreement; exits 1
beyond a tolerance.
"""

import csv
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile
import tomllib
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np
from scipy.interpolate import make_interp_spline
from scipy.optimize import brentq
from scipy.spatial import Delaunay, cKDTree

import camera as logs
import look as looks
import recipe as recipes
from program import ROOT, program, run, toml_value
from tally import Tally, finish

# CODATA 2018, rounded as docs/look-maths.md prints it, m K.
C2 = 1.438776877e-2
CC_PER_DUV = 30 / 0.020
DATA = ROOT / "tests/data"
# Reciprocal temperatures at which the locus is computed, mired; they go on beyond the coldest that is told, for lights that
# are colder. Between them a spline of the fifth degree: off by less than 1e-15 in (u, v) and 1e-10 in the direction of its
# tangents, measured against the exact sums and derivatives of white.py.
MIREDS = np.arange(0.0, 2600.25, 0.25)
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
# As in cross_check.py: signals of two implementations of docs/look-maths.md.
SIGNAL_TOLERANCE = 2e-6
# A chromaticity that is the same by two ways of cones; the shift that stands for it was found by root finding.
WAYS_TOLERANCE = 1e-7

SETUPS, LIGHTS = 45, 8
STRENGTHS = ("full", "3/4", "1/2", "1/4", "1/8")
KINDS = ("CTO", "CTB", "plus green", "minus green")
MOST_MIRED = 300.0
MOST_FILTERS = 4

# Measured, this project's own bounds, rounded up: how far the stand-in is from LEDs whose spectra are known, behind ideal
# filters, in casts as seen from the LED's own colour temperature. Wider would hide a change of the method.
LED_FILTERS = (-137, -109, -64, -26, 26, 64, 109, 159)
PHOSPHOR = ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-V1", "LED-V2")
LED_BOUNDS = {"phosphor": (29.2, 0.0061), "RGB": (43.8, 0.0135)}


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


def uv_from_xyz(xyz):
    return np.array([4 * xyz[0], 6 * xyz[1]]) / (xyz @ [1, 15, 3])


def xyz_from_uv(uv):
    return looks.xy_to_xyz(xy_from_uv(uv))


# The locus of black bodies -------------------------------------------------------------------------------
LOCUS = make_interp_spline(MIREDS, uv_of(planck(MIREDS)), k=5)
TANGENT, BEND = LOCUS.derivative(1), LOCUS.derivative(2)
_TREE = cKDTree(LOCUS(MIREDS))


def foot(uv):
    """Mireds of the nearest points of the locus, 0 past its hot end."""
    nearest = MIREDS[_TREE.query(uv)[1]]
    mired, step = nearest, MIREDS[1]
    for _ in range(8):
        away, tangent = uv - LOCUS(mired), TANGENT(mired)
        along = np.sum(away * tangent, axis=-1)
        slope = np.sum(away * BEND(mired), axis=-1) - np.sum(tangent**2, axis=-1)
        mired = np.clip(mired - along / slope, np.maximum(nearest - step, 0), nearest + step)
    return mired


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
    if mired == 0 or mired > COLDEST_MIRED:
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


class Balance:
    """A camera's balance, and what lights look like at it."""

    def __init__(self, kelvin, duv, cone=looks.BRADFORD):
        self.kelvin, self.cone, self.black_body = kelvin, cone, planck(1e6 / kelvin)
        at = LOCUS(1e6 / kelvin)
        self.reference = xyz_from_uv(at)
        self.white = xyz_from_uv(at + duv * normal(1e6 / kelvin))
        # No whole numbers: at those, a light of the balance's own temperature would have its root.
        self.grid = np.linspace(-CAST_MIREDS, CAST_MIREDS, 2000)
        self.points = uv_of(filtered(self.black_body, self.grid))
        self.tangents = TANGENT(foot(self.points))
        self.most_casts = 0

    def seen(self, uv):
        """XYZ of a light as it looks from the balance's black body."""
        gains = (self.cone @ xyz_from_uv(uv)) / (self.cone @ self.white)
        return np.linalg.solve(self.cone, gains * (self.cone @ self.reference))

    def cast(self, uv):
        """Mired and Duv of the cast that a light leaves, None beyond the search."""
        target = uv_from_xyz(self.seen(uv))
        beyond = np.sum((target - self.points) * self.tangents, axis=-1) < 0

        def along(mired):
            point = uv_of(filtered(self.black_body, mired))
            return float((target - point) @ TANGENT(foot(point)))

        casts = []
        for index in np.flatnonzero(beyond[1:] != beyond[:-1]):
            mired = brentq(along, *self.grid[index : index + 2], xtol=1e-11)
            point = uv_of(filtered(self.black_body, mired))
            casts.append((mired, float((target - point) @ normal(foot(point)))))
        self.most_casts = max(self.most_casts, len(casts))
        return min(casts, key=lambda cast: abs(cast[1]), default=None)


def shift_gains(cone, kelvin, mired, duv):
    """Gains on cones of section 6 of docs/look-maths.md."""
    shifted = moved(uv_of(filtered(planck(1e6 / kelvin), mired)), duv)
    return (cone @ xyz_from_uv(shifted)) / (cone @ xyz_from_uv(LOCUS(1e6 / kelvin)))


def white_gains(cone, white):
    duv = white.get("greener_duv", white.get("greener_cc", 0.0) / CC_PER_DUV)
    return shift_gains(cone, white["reference_kelvin"], white["warmer_mired"], duv)


# The reference against others ----------------------------------------------------------------------------
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


# Shows ---------------------------------------------------------------------------------------------------
RECIPES = ("dusk-car-deck.toml", "fog-morning.toml")
OTHER_CONES = """\
lookwright = 1
adaptation = "cat16"

[look]
name = "Dusk by other cones"
extends = "dusk-car-deck.toml"
"""
SHOW = """\
lookwright = 1

[show]
name = "Tidewater, lights at random"

[[camera]]
id = "a"
encoding = "s-log3"
gamut = "s-gamut3.cine"

[[camera]]
id = "b"
encoding = "logc4"
gamut = "awg4"

[[monitor]]
id = "deck"
encoding = "bt1886"
gamut = "bt709"
output_levels = "legal"

[[monitor]]
id = "lounge"
encoding = "pq"
gamut = "bt2020"
peak_nits = 1000

[[look]]
id = "dusk"
recipe = "dusk-car-deck.toml"
monitors = ["deck"]
variants = [{ id = "half", strength = 0.5 }]

[[look]]
id = "fog"
recipe = "fog-morning.toml"
monitors = ["lounge"]
variants = [{ id = "mono", monochrome = true, exposure_stops = 0.7 }]

[[look]]
id = "cones"
recipe = "other-cones.toml"
monitors = ["deck"]

[[filter]]
name = "house amber"
mired = 41.5
cc = -2.25
stops = 0.4

[[filter]]
name = "house lavender"
mired = -12.25
duv = -0.0061
stops = 0.55
"""
LOOKS = (("dusk", None), ("dusk", "half"), ("fog", None), ("fog", "mono"), ("cones", None))
OWN_FILTERS = ("house amber", "house lavender")
BUILT_IN = tuple(f"{strength} {kind}" for kind in KINDS for strength in STRENGTHS)


def write_show(folder, setups):
    """A show with these setups, its recipes beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in RECIPES:
        shutil.copy(ROOT / "recipes" / name, folder)
    (folder / "other-cones.toml").write_text(OTHER_CONES, encoding="utf-8")
    path, lines = folder / "show.toml", [SHOW]
    for entry in setups:
        lines += ["[[setup]]", *(f"{key} = {toml_value(value)}" for key, value in entry.items()), ""]
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def setup(name, lights, look=LOOKS[0], **keys):
    """A setup as the show has it; its lights get roles that tell them apart."""
    variant = {"variant": look[1]} if look[1] else {}
    roles = [{"role": f"light {index}"} | light for index, light in enumerate(lights)]
    return {"id": name, "look": look[0], **variant, **keys, "lights": roles}


def filters_of(*mireds, cc=0):
    """Filters of these shifts; the first is green or magenta as well."""
    return [
        {"name": "measured", "mired": mired, "cc": 0 if index else cc, "stops": 1} for index, mired in enumerate(mireds)
    ]


def lights_at_the_ends():
    """Where something is missing: a colour temperature, a cast, or both.

    The light below 500 K gets no green: the page doesn't say where normals are taken out there.
    """
    return [
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(400, 400, 400)},  # 556 K: a cast of 1700 mired
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(400, 400, 400, 400)},  # 455 K
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(248, 247, cc=-4)},  # 913 K: a cast of 984 mired, inside the search
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(260, 260, cc=-4)},  # 893 K: beyond it
        {"source": "daylight", "kelvin": 25000, "filters": filters_of(-400, -400, -400)},  # far past the hot end
        {"source": "planckian", "kelvin": 25000, "filters": filters_of(-40.5, cc=12)},  # just past it
        {"source": "planckian", "kelvin": 25000, "filters": filters_of(-38.5, cc=12)},  # just short of it
        {"source": "led", "kelvin": 6000, "duv": 0.03, "filters": filters_of(0, cc=29)},  # 0.0493 from the locus
        {"source": "led", "kelvin": 6000, "duv": 0.03, "filters": filters_of(0, cc=31)},  # 0.0507
        {"source": "led", "kelvin": 6000, "duv": -0.03, "filters": filters_of(0, cc=-31)},
    ]


def setups_with_several_casts():
    """Lights whose cast has three solutions each, as found by trying: the one with the smallest Duv is told."""
    far_blue = [
        {"source": "planckian", "kelvin": 6742, "filters": filters_of(-240, -239, cc=-64.5)},
        {"source": "planckian", "kelvin": 6664, "filters": filters_of(-265, -265, cc=-54)},
    ]
    magenta = [{"source": "planckian", "kelvin": 20254, "filters": filters_of(184, 184, cc=-75) + filters_of(0, cc=-72)}]
    yield setup("several-1", far_blue, LOOKS[0], balance_kelvin=2800, balance_greener_duv=-0.03)
    yield setup("several-2", magenta, LOOKS[0], balance_kelvin=5600, balance_greener_duv=0.03)


def report(path):
    return json.loads(run("light", path, "--json"))


def named_filters(folder):
    """Mired and Duv of every filter that has a name, as the program tells them."""
    names = [*BUILT_IN, *OWN_FILTERS]
    lights = [{"source": "planckian", "kelvin": 3200, "filters": [name]} for name in names]
    told = report(write_show(folder, [setup("1", lights)]))["setups"][0]["lights"]
    entries = {name: light["filters"] for name, light in zip(names, told, strict=True)}
    assert all(len(entry) == 1 and entry[0]["name"] == name for name, entry in entries.items())
    return {name: (entry[0]["mired"], entry[0]["greener_duv"]) for name, entry in entries.items()}


class Visible:
    """Which chromaticities are lights: the spectral locus and the line of purples."""

    def __init__(self):
        xy = OBSERVER / OBSERVER.sum(axis=1, keepdims=True)
        self.centre, self.hull = np.array([1 / 3, 1 / 3]), Delaunay(xy[:, :2])

    def holds(self, uv, scale):
        """Whether the light, as far again from the equal-energy white as `scale` says, is inside."""
        xy = self.centre + scale * (xy_from_uv(uv) - self.centre)
        return bool(self.hull.find_simplex(xy) >= 0)


class Lights:
    """Seeded random lights."""

    def __init__(self, known, seed):
        self.known, self.rng, self.visible = known, np.random.default_rng(seed), Visible()

    def filter(self):
        """A filter as the show has it, its mired and its Duv."""
        rng = self.rng
        if rng.random() < 0.6:
            name = str(rng.choice(list(self.known)))
            return name, *self.known[name]
        mired, cc = round(float(rng.uniform(-150, 150)), 2), round(float(rng.uniform(-30, 30)), 2)
        entry = {"name": "measured", "mired": mired, "stops": round(float(rng.uniform(0, 2)), 3)}
        if rng.random() < 0.5:
            return entry | {"cc": cc}, mired, cc / CC_PER_DUV
        duv = round(cc / CC_PER_DUV, 5)
        return entry | {"duv": duv}, mired, duv

    def tint(self, kelvin):
        """Duv of an LED: the bare source, too, must be a light."""
        while True:
            duv = round(float(self.rng.uniform(-0.02, 0.02)), 4)
            if self.visible.holds(moved(LOCUS(1e6 / kelvin), duv), 1.01):
                return duv

    def draw(self):
        """A light as the show has it, and its chromaticity."""
        rng = self.rng
        source = str(rng.choice(["planckian", "daylight", "led"]))
        hottest, coldest = 1e6 / 25000, 1e6 / (4000 if source == "daylight" else 1667)
        # Whole kelvins, and rounded away from the ends of the range.
        kelvin = int(np.clip(round(1e6 / rng.uniform(hottest, coldest)), 1667, 25000))
        duv = self.tint(kelvin) if source == "led" else 0.0
        filters = [self.filter() for _ in range(rng.integers(0, MOST_FILTERS + 1))]
        numbers = [{"mired": mired, "greener_duv": greener} for _, mired, greener in filters]
        uv = light_uv({"source": source, "kelvin": kelvin, "source_duv": duv, "filters": numbers})
        light = {"source": source, "kelvin": kelvin, "filters": [entry for entry, _, _ in filters]}
        mired = sum(entry["mired"] for entry in numbers)
        return light | ({"duv": duv} if source == "led" else {}), uv, mired

    def light(self, wanted):
        """A light that `wanted` (of its chromaticity and shift) accepts."""
        while True:
            light, uv, mired = self.draw()
            if wanted(uv, mired):
                return light

    def setups(self):
        """The setups of the show. Lights near the border of the visible ones are left out: there, the last digit decides."""
        for index in range(SETUPS):
            lights = [
                self.light(lambda uv, mired: abs(mired) <= MOST_MIRED and self.visible.holds(uv, 1.01))
                for _ in range(LIGHTS)
            ]
            keys = {"cameras": [str(self.rng.choice(["a", "b"]))]}
            # One setup has no balance, and so no casts.
            if index:
                keys["balance_kelvin"] = int(round(1e6 / self.rng.uniform(1e6 / 12000, 1e6 / 2000)))
            if index % 3 == 2:
                keys["balance_greener_duv"] = round(float(self.rng.uniform(-0.012, 0.012)), 4)
            for light in lights[::2]:
                light["lux"] = round(float(10 ** self.rng.uniform(0, 5)), 2)
            for light in lights[1::4]:
                light |= {"candela": 30000, "distance_m": round(float(self.rng.uniform(1, 20)), 2)}
            keys |= {"iso": int(self.rng.integers(100, 3200)), "shutter_deg": 172.8, "stop": "T2.8", "lens_stops": 0.9}
            if index % 3:
                keys["meter"] = "dome" if index % 3 == 1 else "flat"
            yield setup(str(index), lights, LOOKS[index % len(LOOKS)], **keys)


# The program against the reference -----------------------------------------------------------------------
class Reports:
    """Everything that the report of a show is held to."""

    def __init__(self):
        self.xy = Tally("lights: x, y", XY_TOLERANCE, "in x, y")
        self.cct = Tally("lights: colour temperature", CCT_TOLERANCE, "relative")
        self.duv = Tally("lights: Duv", DUV_TOLERANCE, "Duv")
        self.loss = Tally("lights: loss and sum of the filters", ARITHMETIC_TOLERANCE, "stops, mired, Duv")
        self.balance = Tally("balances: x, y", XY_TOLERANCE, "in x, y")
        self.mired = Tally("casts: warmer", MIRED_TOLERANCE, "mired")
        self.greener = Tally("casts: greener", DUV_TOLERANCE, "Duv")
        self.cc = Tally("casts: greener in CC of its own Duv", 1e-9, "CC")
        self.none = Tally("no colour temperature, no cast: where the reference has none", 0, "lights that differ")
        self.exposure = Tally("exposure: lux for the stop, stop for the lux", ARITHMETIC_TOLERANCE, "relative")
        self.cards = Tally("grey cards through the look (numpy, docs/look-maths.md)", SIGNAL_TOLERANCE, "of the signal")
        self.ways = Tally("recipe's [white] with the cast in it: a neutral", WAYS_TOLERANCE, "in x, y")
        self.lights, self.no_cct, self.no_cast, self.warmest, self.no_ways, self.several = 0, 0, 0, 0.0, 0, 0

    @property
    def tallies(self):
        lights = [self.xy, self.cct, self.duv, self.loss, self.none, self.exposure]
        return [*lights, self.balance, self.mired, self.greener, self.cc, self.cards, self.ways]

    def hold(self, path):
        """Every setup of a show."""
        show = tomllib.loads(path.read_text(encoding="utf-8"))
        told = report(path)["setups"]
        written = show["setup"]
        assert [entry["id"] for entry in told] == [entry["id"] for entry in written], "setups in the show's order"
        for entry, source in zip(told, written, strict=True):
            self.hold_setup(show, path.parent, entry, source)

    def hold_setup(self, show, folder, told, written):
        look = self.look(show, folder, told, written)
        balance = None
        if told["balance"] is not None:
            kelvin, duv = told["balance"]["kelvin"], told["balance"]["greener_duv"]
            assert (kelvin, duv) == (written["balance_kelvin"], written.get("balance_greener_duv", 0.0))
            balance = Balance(kelvin, duv, look.cone)
            self.balance.add(told["balance"]["xy"], xy_from_uv(uv_from_xyz(balance.white)), f"setup {told['id']}")
        assert len(told["lights"]) == len(written["lights"])
        casts = {}
        for light, source in zip(told["lights"], written["lights"], strict=True):
            where = f"setup {told['id']}, {light['role']}"
            uv = light_uv(light)
            self.hold_light(light, source, uv, where)
            self.hold_exposure(told, light, source, where)
            if balance is not None:
                casts[light["role"]] = self.hold_cast(light, balance, uv, where)
            if balance is not None and light["card"] is not None:
                self.hold_card(told, show, look, balance, light, uv, where)
        self.several += balance is not None and balance.most_casts > 1
        if told["ways"] is not None:
            self.hold_ways(told["ways"], look, balance, casts, f"setup {told['id']}")
        else:
            self.no_ways += 1

    @staticmethod
    def look(show, folder, told, written):
        """The numpy look of a setup, for the camera and monitor that its cards are seen through."""
        named = {kind: {entry["id"]: entry for entry in show[kind]} for kind in ("look", "camera", "monitor")}
        look = named["look"][written["look"]]
        variant = next((entry for entry in look.get("variants", []) if entry["id"] == written.get("variant")), {})
        camera, monitor = told["seen_through"]
        tables = recipes.for_show(recipes.read(folder / look["recipe"]), named["camera"][camera], named["monitor"][monitor])
        return looks.Look(tables, None, {key: value for key, value in variant.items() if key != "id"})

    def hold_light(self, light, source, uv, where):
        kelvin, duv = cct_duv(uv)
        self.lights += 1
        self.no_cct += kelvin is None
        told = (light["source"], light["kelvin"], light["source_duv"])
        assert told == (source["source"], source["kelvin"], source.get("duv", 0.0)), where
        self.xy.add(light["xy"], xy_from_uv(uv), where)
        self.none.add(int((light["cct"] is None) != (kelvin is None) or (light["duv"] is None) != (duv is None)), 0, where)
        if kelvin is not None and light["cct"] is not None:
            self.cct.add(light["cct"] / kelvin, 1.0, where)
            self.duv.add(light["duv"], duv, where)
        sums = [sum(entry[key] for entry in light["filters"]) for key in ("stops", "mired", "greener_duv")]
        self.loss.add([light[key] for key in ("loss_stops", "warmer_mired", "greener_duv")], sums, where)

    def hold_exposure(self, told, light, source, where):
        """E = C T^2 / (S t), both ways; filters before the lamp and on the lens take theirs."""
        exposure, reading = told["exposure"], light["reading"]
        if reading is None:
            return
        lux = source["lux"] if "lux" in source else source["candela"] / source["distance_m"] ** 2 * 2.0 ** -light["loss_stops"]
        self.exposure.add(reading["lux"] / lux, 1.0, where)
        lens = 2.0 ** exposure["lens_stops"]
        constants = {"dome": 340.0, "flat": 250.0}
        for need in exposure["needs"]:
            wanted = constants[need["receptor"]] * exposure["t_stop"] ** 2 / (exposure["iso"] * exposure["shutter_s"]) * lens
            self.exposure.add(need["lux"] / wanted, 1.0, where)
        for stop in reading["stops"]:
            t_stop = np.sqrt(lux * exposure["iso"] * exposure["shutter_s"] / (constants[stop["receptor"]] * lens))
            self.exposure.add(stop["t_stop"] / t_stop, 1.0, where)

    def hold_cast(self, light, balance, uv, where):
        """The reference's cast."""
        cast, told = balance.cast(uv), light["cast"]
        self.no_cast += cast is None
        self.none.add(int((cast is None) != (told is None)), 0, where)
        if cast is not None and told is not None:
            self.warmest = max(self.warmest, abs(cast[0]))
            self.mired.add(told["warmer_mired"], cast[0], where)
            self.greener.add(told["greener_duv"], cast[1], where)
            self.cc.add(told["greener_cc"], told["greener_duv"] * CC_PER_DUV, where)
        return cast

    def hold_card(self, told, show, look, balance, light, uv, where):
        """The look of a grey card that has the cast: what a camera would record of it, through the whole look."""
        entry = next(entry for entry in show["camera"] if entry["id"] == told["seen_through"][0])
        if "trim" in entry:
            return
        gains = (look.cone @ balance.seen(uv)) / (look.cone @ balance.reference)
        neutral = np.linalg.solve(look.cone, gains * (look.cone @ looks.AP1 @ np.full(3, looks.GREY)))
        grey = np.linalg.solve(looks.AP1, neutral * looks.GREY / neutral[1])
        records = look.r["camera"]
        recorded = np.linalg.solve(look.camera, grey)[None]
        code = logs.encode(records["encoding"], recorded, records.get("exposure_index"))
        back = logs.decode(records["encoding"], code, records.get("exposure_index"))
        assert np.allclose(back, recorded, rtol=1e-9, atol=1e-12), f"{where}: {records['encoding']} does not hold {recorded}"
        display = look.r["display"]
        signal = np.clip(looks.encode_display(look.display_light(code), display["encoding"], display["peak_nits"]), 0, 1)
        self.cards.add(light["card"]["signal"], signal[0], where)

    def hold_ways(self, ways, look, balance, casts, where):
        """The [white] that holds both the recipe's shift and the cast: gains on cones multiply."""
        cone, told = look.cone, ways["white"]
        mired, duv = casts[ways["light"]]
        both = white_gains(cone, look.r["white"]) * shift_gains(cone, balance.kelvin, mired, duv)
        neutral = cone @ looks.xy_to_xyz(looks.ACES_WHITE)
        xyz = [np.linalg.solve(cone, gains * neutral) for gains in (white_gains(cone, told), both)]
        self.ways.add(*[xy_from_uv(uv_from_xyz(light)) for light in xyz], where)


def check_invisible(folder, lights):
    """Lights outside the spectral locus are refused."""
    tally = Tally("lights outside the spectral locus are refused", 0, "lights that pass")
    for index in range(5):
        light = lights.light(lambda uv, mired: not lights.visible.holds(uv, 0.99))
        path = write_show(folder / str(index), [setup("1", [light])])
        done = subprocess.run([program(), "light", path, "--json"], capture_output=True, text=True, check=False)
        codes = {entry["code"] for entry in json.loads(done.stdout)["diagnostics"] if entry["severity"] == "error"}
        tally.add(int(done.returncode != 2 or codes != {"LW0619"}), 0, f"{light} {codes}")
    return tally


# The stand-in for LEDs -----------------------------------------------------------------------------------
def led_errors(name):
    """Mired and Duv by which the stand-in's cast misses that of the true spectrum, one row for each filter."""
    sd = colour.SDS_ILLUMINANTS[name]
    spectrum = np.interp(NANOMETRES, sd.wavelengths, sd.values, left=0.0, right=0.0)
    kelvin, duv = cct_duv(uv_of(spectrum))
    balance = Balance(kelvin, 0.0)

    def error(mired):
        stand_in = moved(uv_of(filtered(planck(1e6 / kelvin), mired)), duv)
        return np.subtract(balance.cast(stand_in), balance.cast(uv_of(filtered(spectrum, mired))))

    return np.abs([error(mired) for mired in LED_FILTERS])


def check_leds():
    tallies = []
    for group, names in (("phosphor", PHOSPHOR), ("RGB", ("LED-RGB1",))):
        bounds = LED_BOUNDS[group]
        about = f"stand-in for {group} LEDs (CIE illuminants; measured, this project's own bound)"
        shift, tint = Tally(f"{about}: warmer", bounds[0], "mired"), Tally(f"{about}: greener", bounds[1], "Duv")
        errors = np.array([led_errors(name) for name in names])
        for name, of_filters in zip(names, errors, strict=True):
            for mired, (warmer, greener) in zip(LED_FILTERS, of_filters, strict=True):
                shift.add(warmer, 0, f"{name} behind {mired:+d} mired")
                tint.add(greener, 0, f"{name} behind {mired:+d} mired")
        worst = zip(LED_FILTERS, errors.max(axis=0), strict=True)
        print(
            f"       {group} LEDs, off behind filters of "
            + "; ".join(f"{mired:+d}: {warmer:.1f} mired, {greener:.4f} Duv" for mired, (warmer, greener) in worst)
        )
        tallies += [shift, tint]
    return tallies


def main():
    print(f"lookwright: {run('--version').strip()}; colour-science {colour.__version__}, numpy {np.__version__}")
    tallies = [*check_black_bodies(), *check_daylight(), *check_feet()]
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary).resolve()
        lights = Lights(named_filters(folder / "named"), seed=20261125)
        reports = Reports()
        reports.hold(ROOT / "recipes/tidewater/show.toml")
        ends = setup("ends", lights_at_the_ends(), LOOKS[2], balance_kelvin=10000)
        reports.hold(write_show(folder / "random", [*lights.setups(), ends, *setups_with_several_casts()]))
        tallies += [*reports.tallies, check_invisible(folder / "invisible", lights)]
        print(
            f"       {reports.lights} lights, {reports.no_cct} without colour temperature, {reports.no_cast} without cast,"
            f" casts up to {reports.warmest:.0f} mired; setups: {reports.several} where a cast has several solutions,"
            f" {reports.no_ways} without two ways"
        )
    return finish([*tallies, *check_leds()])


if __name__ == "__main__":
    sys.exit(main())
