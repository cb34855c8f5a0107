"""Shows of lights: one of seeded random lights, and lights at the ends of what there is."""

import json
import shutil

import numpy as np
from scipy.spatial import Delaunay

from light_model import CC_PER_DUV, LOCUS, OBSERVER, light_uv, moved, xy_from_uv
from program import ROOT, run, toml_value


SETUPS, LIGHTS = 45, 8
STRENGTHS = ("full", "3/4", "1/2", "1/4", "1/8")
KINDS = ("CTO", "CTB", "plus green", "minus green")
MOST_MIRED = 300.0
MOST_FILTERS = 4
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
    """Where something is missing: a colour temperature, a cast, or both."""
    return [
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(400, 400, 400)},  # 556 K: a cast of 1700 mired
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(400, 400, 400, 400)},  # 455 K
        {"source": "planckian", "kelvin": 1667, "filters": filters_of(400, 400, 400, 400, cc=-3)},  # magenta by the normal at 500 K
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
    """Every filter that has a name, by that name, as the program tells it."""
    names = [*BUILT_IN, *OWN_FILTERS]
    lights = [{"source": "planckian", "kelvin": 3200, "filters": [name]} for name in names]
    told = report(write_show(folder, [setup("1", lights)]))["setups"][0]["lights"]
    entries = {name: light["filters"] for name, light in zip(names, told, strict=True)}
    assert all(len(entry) == 1 and entry[0]["name"] == name for name, entry in entries.items())
    return {name: entry[0] for name, entry in entries.items()}


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
        self.known = {name: (entry["mired"], entry["greener_duv"]) for name, entry in known.items()}
        self.rng, self.visible = np.random.default_rng(seed), Visible()

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
