"""What `lookwright light --json` says of a show against the model."""

import json
import subprocess
import tomllib

import numpy as np

import camera as logs
import look as looks
import recipe as recipes
from light_model import (
    ARITHMETIC_TOLERANCE,
    CC_PER_DUV,
    CCT_TOLERANCE,
    DUV_TOLERANCE,
    MIRED_TOLERANCE,
    XY_TOLERANCE,
    Balance,
    cct_duv,
    light_uv,
    shift_gains,
    uv_from_xyz,
    white_gains,
    xy_from_uv,
)
from light_shows import report, setup, write_show
from program import program
from tally import Tally

# As in cross_check.py: signals of two implementations of docs/look-maths.md.
SIGNAL_TOLERANCE = 2e-6
# A chromaticity that is the same by two ways of cones; the shift that stands for it was found by root finding.
WAYS_TOLERANCE = 1e-7


class Reports:
    """Everything that the report of a show is held to."""

    def __init__(self):
        self.xy = Tally("lights: x, y", XY_TOLERANCE, "in x, y")
        self.cct = Tally("lights: colour temperature", CCT_TOLERANCE, "relative")
        self.duv = Tally("lights: Duv", DUV_TOLERANCE, "Duv")
        self.loss = Tally("lights: loss and sum of the filters", ARITHMETIC_TOLERANCE, "stops, mired, Duv")
        self.written = Tally("lights: filters by their numbers, as they are written", ARITHMETIC_TOLERANCE, "mired, Duv, stops")
        self.balance = Tally("balances: x, y", XY_TOLERANCE, "in x, y")
        self.mired = Tally("casts: warmer", MIRED_TOLERANCE, "mired")
        self.greener = Tally("casts: greener", DUV_TOLERANCE, "Duv")
        self.cc = Tally("casts: greener in CC of its own Duv", 1e-9, "CC")
        self.none = Tally("no colour temperature, no cast: where the reference has none", 0, "lights that differ")
        self.exposure = Tally("exposure: lux for the stop, stop for the lux", ARITHMETIC_TOLERANCE, "relative")
        self.cards = Tally("grey cards through the look (numpy, docs/look-maths.md)", SIGNAL_TOLERANCE, "of the signal")
        self.ways = Tally("recipe's [white] with the cast in it: a neutral", WAYS_TOLERANCE, "in x, y")
        self.own = {}
        self.lights, self.no_cct, self.no_cast, self.warmest, self.no_ways, self.several = 0, 0, 0, 0.0, 0, 0

    @property
    def tallies(self):
        lights = [self.xy, self.cct, self.duv, self.loss, self.written, self.none, self.exposure]
        return [*lights, self.balance, self.mired, self.greener, self.cc, self.cards, self.ways]

    def hold(self, path):
        """Every setup of a show."""
        show = tomllib.loads(path.read_text(encoding="utf-8"))
        self.own = {entry["name"]: entry for entry in show.get("filter", [])}
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
        self.several += balance is not None and balance.black_body.most_solutions > 1
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
        self.hold_filters(light["filters"], source.get("filters", []), where)
        sums = [sum(entry[key] for entry in light["filters"]) for key in ("stops", "mired", "greener_duv")]
        self.loss.add([light[key] for key in ("loss_stops", "warmer_mired", "greener_duv")], sums, where)

    def hold_filters(self, told, written, where):
        """Numbers that the show gives; those of the trade's names are held in light_filters.py."""
        assert len(told) == len(written), where
        for entry, source in zip(told, written, strict=True):
            name = source if isinstance(source, str) else source["name"]
            assert entry["name"] == name, where
            numbers = self.own.get(name) if isinstance(source, str) else source
            if numbers is None:
                continue
            duv = numbers.get("duv", numbers.get("cc", 0.0) / CC_PER_DUV)
            expected = [numbers.get("mired", 0.0), duv, numbers["stops"]]
            self.written.add([entry[key] for key in ("mired", "greener_duv", "stops")], expected, f"{where}, {name}")

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
