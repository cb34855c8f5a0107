"""Lights, their filters and the casts that they leave, computed a second time.

The model (light_model.py) is first held to colour-science and to the tables of tests/data; then `lookwright light --json`
is held to the model, for the demo show and for a show of seeded random lights; last, what the model leaves out: its
stand-in for LEDs is held to the CIE's LED illuminants, its ideal filters to curves of real ones. Prints, for each, the
number of points and the worst disagreement; exits 1 beyond a tolerance.
"""

import pathlib
import sys
import tempfile
import warnings

warnings.filterwarnings("ignore")  # colour-science warns that its plotting is absent; none is used.

import colour
import numpy as np

from light_filters import check_published, check_real_filters
from light_leds import check_leds
from light_references import check_black_bodies, check_casts, check_daylight, check_feet, check_losses
from light_reports import Reports, check_invisible
from light_shows import LOOKS, Lights, lights_at_the_ends, named_filters, setup, setups_with_several_casts, write_show
from program import ROOT, run
from tally import finish


def check_program(folder):
    """The demo show, and shows of random and of extreme lights."""
    named = named_filters(folder / "named")
    lights, reports = Lights(named, seed=20261125), Reports()
    reports.hold(ROOT / "recipes/tidewater/show.toml")
    ends = setup("ends", lights_at_the_ends(), LOOKS[2], balance_kelvin=10000)
    reports.hold(write_show(folder / "random", [*lights.setups(), ends, *setups_with_several_casts()]))
    print(
        f"       {reports.lights} lights, {reports.no_cct} without colour temperature, {reports.no_cast} without cast,"
        f" casts up to {reports.warmest:.0f} mired; setups: {reports.several} where a cast has several solutions,"
        f" {reports.no_ways} without two ways"
    )
    return [*check_published(named), *reports.tallies, check_invisible(folder / "invisible", lights)]


def main():
    print(f"lookwright: {run('--version').strip()}; colour-science {colour.__version__}, numpy {np.__version__}")
    tallies = [*check_black_bodies(), *check_daylight(), *check_feet(), *check_casts(), *check_losses()]
    with tempfile.TemporaryDirectory() as temporary:
        tallies += check_program(pathlib.Path(temporary).resolve())
    return finish([*tallies, *check_leds(), *check_real_filters()])


if __name__ == "__main__":
    sys.exit(main())
