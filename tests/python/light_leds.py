"""How good the stand-in for LEDs is: the CIE's LED illuminants, whose spectra are known, behind ideal filters."""

import colour
import numpy as np

from light_model import NANOMETRES, Balance, cct_duv, filtered, moved, planck, uv_of
from tally import Tally

# Measured, this project's own bounds, rounded up: how far the stand-in is from LEDs whose spectra are known, behind ideal
# filters, in casts as seen from the LED's own colour temperature. Wider would hide a change of the method.
LED_FILTERS = (-137, -109, -64, -26, 26, 64, 109, 159)
PHOSPHOR = ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-V1", "LED-V2")
LED_BOUNDS = {"phosphor": (29.2, 0.0061), "RGB": (43.8, 0.0135)}


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
