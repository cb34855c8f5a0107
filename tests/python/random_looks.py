"""Random recipes over the whole language: every block, every encoding, every display, ordinary and odd values."""

import numpy as np

import camera

DISPLAYS = ("bt1886", "gamma22", "gamma24", "gamma26", "srgb", "pq", "hlg")
DISPLAY_GAMUTS = ("bt709", "p3-d65", "p3-dci", "bt2020", "display-p3")


class Dice:
    """Draws values; every block is left out now and then, and so is every key."""

    def __init__(self, seed):
        self.generator = np.random.default_rng(seed)

    def number(self, low, high):
        return round(float(self.generator.uniform(low, high)), 6)

    def triple(self, low, high):
        return [self.number(low, high) for _ in range(3)]

    def one(self, choices):
        return choices[int(self.generator.integers(len(choices)))]

    def chance(self, share):
        return bool(self.generator.random() < share)

    def some(self, entries):
        """A table with about three quarters of its keys."""
        return {key: value for key, value in entries.items() if self.chance(0.75)}


def _tint(dice, largest):
    green = {"greener_cc": dice.number(-8, 8)} if dice.chance(0.5) else {"greener_duv": dice.number(-0.006, 0.006)}
    return dice.some({"reference_kelvin": dice.number(2500, 9000), "warmer_mired": dice.number(-largest, largest)} | green)


def _rows(dice):
    """A matrix and root terms whose rows together sum to 1."""
    root = [dice.triple(-0.05, 0.05) for _ in range(3)]
    rows = [dice.triple(-0.1, 0.1) for _ in range(3)]
    for index, row in enumerate(rows):
        row[index] = round(1 - sum(root[index]) - sum(value for other, value in enumerate(row) if other != index), 9)
    return rows, root


def _tone(dice):
    tone = dice.some(
        {
            "contrast": dice.number(1.0, 1.8),
            "white_stops": dice.number(4.5, 9),
            "black_stops": dice.number(6.5, 12),
            "straight_up": dice.number(0, 1),
            "straight_down": dice.number(0, 2),
            "white_slope": dice.number(0, 0.3),
            "black_slope": dice.number(0, 0.5),
            "black": dice.number(0.00005, 0.002),
            "hue_hold": dice.number(0, 1),
        }
    )
    return tone | {"grey": dice.number(0.05, 0.18)}


def _band(dice):
    centre = {"centre_deg": dice.number(0, 360), "width_deg": dice.number(10, 120)}
    return centre | dice.some(
        {"shift_deg": dice.number(-40, 40), "saturation": dice.number(0, 2), "lightness": dice.number(0.6, 1.5)}
    )


def recipe(seed):
    """Keyword tables of one recipe, for program.write_recipe."""
    dice = Dice(seed)
    encoding, index = dice.one(camera.ids())
    names = {"encoding": encoding, "gamut": dice.one(camera.GAMUT_IDS)}
    tables = {"look": {"name": f"random {seed}"}, "camera": names}
    if index is not None:
        names["exposure_index"] = index
    if dice.chance(0.7):
        tables["adaptation"] = dice.one(("bradford", "cat02", "cat16"))
    rows, root = _rows(dice)
    blocks = {
        "trim": dice.some({"stops": dice.number(-1, 1)}) | {"matrix": rows, "root": root},
        "exposure": {"stops": dice.number(-2, 2)},
        "white": _tint(dice, 80),
        "diffusion": dice.some({"grade": dice.one(("1/8", "1/4", "1/2", "1", "2")), "veil_level": dice.number(0, 1)})
        | dice.some({"veil": dice.number(0, 0.1), "knee_stops": dice.number(-1, 4), "bleach": dice.number(0, 1)}),
        "grade": dice.some(
            {
                "slope": dice.triple(0.8, 1.2),
                "offset": dice.triple(-0.05, 0.05),
                "power": dice.triple(0.8, 1.25),
                "saturation": dice.number(0.5, 1.5),
            }
        ),
        "split": {"shadows": _tint(dice, 30), "highlights": _tint(dice, 30)}
        | dice.some({"balance_stops": dice.number(-2, 2), "width_stops": dice.number(1, 10)}),
        "tone": _tone(dice),
        "colour": dice.some({"saturation": dice.number(0.3, 1.6)})
        | {"band": [_band(dice) for _ in range(int(dice.generator.integers(3)))]},
        "gamut": dice.some(
            {
                "input_compress": dice.chance(0.5),
                "output_compress": dice.chance(0.5),
                "threshold": dice.number(0, 0.99),
                "power": dice.number(1, 5),
            }
        ),
    }
    tables |= {name: block for name, block in blocks.items() if dice.chance(0.6)}
    display = dice.one(DISPLAYS)
    gamut = "bt2020" if display == "hlg" else dice.one(DISPLAY_GAMUTS)
    tables["display"] = {"encoding": display, "gamut": gamut, "peak_nits": dice.number(100, 4000)}
    tables["lut"] = {"size": int(dice.generator.integers(2, 18))} | dice.some(
        {
            "interpolation": dice.one(("tetrahedral", "trilinear")),
            "input_levels": dice.one(("full", "legal")),
            "output_levels": dice.one(("full", "legal")),
        }
    )
    return tables
