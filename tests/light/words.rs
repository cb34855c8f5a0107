//! What is said of impossible lights in a show, in exact words with line and column.

use super::common::told;
use super::kit::Set;
use lookwright::show::{Show, prepare};

/// What is said of the show with lines in its first setup, which is at line 34.
fn with(lines: &str) -> Vec<String> {
    let set = Set::new();
    set.change("show.toml", "cameras = [\"a\"]\n", &format!("cameras = [\"a\"]\n{lines}\n"));
    let found = match Show::load(&set.path("show.toml"), None).and_then(|(show, doubts)| prepare(show, doubts)) {
        Ok(work) => work.warnings,
        Err(found) => found,
    };
    found.iter().map(|one| told(one, set.folder.path())).collect()
}

#[test]
fn sources_that_cannot_be() {
    assert_eq!(
        with("lights = [{ role = \"key\", source = \"daylight\", kelvin = 3200 }]"),
        [
            "error LW0619 show.toml:35:57: there is no daylight of 3200 K | expected 4000 to 25000 K for daylight, found 3200 | help: the CIE defines daylight from 4000 to 25000 K; a low sun is better written as source = \"led\" with its measured kelvin and duv",
        ]
    );
    assert_eq!(
        with("lights = [{ role = \"key\", source = \"planckian\", kelvin = 3200, duv = 0.004 }]"),
        [
            "error LW0619 show.toml:35:70: a planckian source has no Duv of its own | expected 0 for this source, found 0.004 | help: write source = \"led\" for a light that is known by measured CCT and Duv, or hang a green or magenta filter before it",
        ]
    );
    assert_eq!(
        with("lights = [{ role = \"key\", source = \"led\", kelvin = 2000, duv = 0.04 }]"),
        [
            "error LW0619 show.toml:35:64: no light has 0.04 Duv at 2000 K | expected a Duv that a light of 2000 K can have; 0.04 would be x 0.6407, y 0.5651 | help: Duv is mostly between -0.02 and 0.02; look whether the decimal point is right",
        ]
    );
    assert_eq!(
        with("lights = [{ role = \"key\", source = \"led\", kelvin = 270, duv = 0.4 }]\nbalance_kelvin = 43000"),
        [
            "error LW0104 show.toml:35:52: `setup.lights.kelvin` is out of range | expected 1667 to 25000 K, found 270 | help: Colour temperature of the bare source",
            "error LW0104 show.toml:35:63: `setup.lights.duv` is out of range | expected -0.05 to 0.05 Duv, found 0.4 | help: Its distance from the locus, for an `led` only; positive is greener",
            "error LW0104 show.toml:36:18: `setup.balance_kelvin` is out of range | expected 1667 to 25000 K, found 43000 | help: The camera's white balance",
        ]
    );
}

#[test]
fn filters_that_cannot_be() {
    assert_eq!(
        with(
            "lights = [{ role = \"key\", source = \"planckian\", kelvin = 1700, filters = [{ name = \"green\", duv = 0.05, stops = 1 }, \"full CTO\"] }]"
        ),
        [
            "error LW0619 show.toml:35:75: the filters make a colour that no light has | behind them the light would be x 0.7718, y 0.5480 | help: take some away, or look at their numbers",
        ]
    );
    assert_eq!(
        with(
            "lights = [{ role = \"key\", source = \"led\", kelvin = 3200, filters = [{ name = \"amber\", mired = 900, stops = 40 }] }]"
        ),
        [
            "error LW0104 show.toml:35:95: `filter.mired` is out of range | expected -400 to 400 mired, found 900 | help: Shift; positive warms",
            "error LW0104 show.toml:35:108: `filter.stops` is out of range | expected 0 to 10 stops, found 40 | help: Light that it takes; without it, about what filters of this strength take, and a warning",
        ]
    );
    assert_eq!(
        with("filters = [\"1/2 CTO\"]"),
        [
            "error LW0102 show.toml:35:1: unknown key `filters` in [[setup]] | not a key of [[setup]] | help: `filters` is a key of lights = [{ … }] in [[setup]]",
        ]
    );
}

#[test]
fn a_filter_without_its_loss_is_doubtful() {
    assert_eq!(
        with(
            "lights = [{ role = \"key\", source = \"led\", kelvin = 3200, filters = [{ name = \"amber\", mired = 109 }] }]"
        ),
        [
            "warning LW0620 show.toml:35:78: the filter \"amber\" does not say how much light it takes | expected `stops`; taken to be 0.50, as filters of this strength take | help: write the measured loss, or the one of its maker",
        ]
    );
}

#[test]
fn readings_are_one_thing() {
    assert_eq!(
        with(
            "lights = [{ role = \"key\", source = \"led\", kelvin = 3200, lux = 100, candela = 500, distance_m = 2 }]"
        ),
        [
            "error LW0107 show.toml:35:64: `lux` and `candela` exclude each other in a light | expected one of the two, found both | help: remove `lux` or `candela`",
        ]
    );
    assert_eq!(
        with("lights = [{ role = \"key\", source = \"led\", kelvin = 3200, candela = 500 }]"),
        [
            "error LW0108 show.toml:35:68: `candela` needs `distance_m` | expected `distance_m` beside it | help: or write `lux`, what a meter reads at the subject",
        ]
    );
}

#[test]
fn stops_below_the_physical_limit() {
    assert_eq!(
        with("stop = \"T0.3\""),
        [
            "error LW0705 show.toml:35:8: no lens has T0.3 | expected T0.5 to T128, found \"T0.3\" | help: no lens in air is faster than f/0.5, and T is never below f",
        ]
    );
    for wrong in ["T1e9", "Tinf", "TNaN", "T-2", "T0"] {
        let said = with(&format!("stop = \"{wrong}\""));
        assert!(said.len() == 1 && said[0].starts_with("error LW0705 show.toml:35:8: "), "{wrong}: {said:?}");
    }
    assert_eq!(with("stop = \"T0.95\""), Vec::<String>::new(), "fast lenses exist");
}

#[test]
fn diffusion_twice_is_doubtful() {
    let set = Set::new();
    set.change("warm.toml", "[tone]", "[diffusion]\ngrade = \"1/4\"\n[tone]");
    set.change("show.toml", "cameras = [\"a\"]\n", "cameras = [\"a\"]\ndiffusion_on_lens = \"1/8\"\n");
    let (show, doubts) = Show::load(&set.path("show.toml"), None).expect("a show");
    let work = prepare(show, doubts).expect("doubtful is not wrong");
    let said: Vec<String> = work.warnings.iter().map(|one| told(one, set.folder.path())).collect();
    assert_eq!(
        said,
        [
            "warning LW0623 show.toml:35:21: setup \"7b\" has diffusion on the lens and in its look | shadows six stops under grey rise by 1.09 stops with both, 0.81 with the look's own alone | help: take the filter off the lens, or [diffusion] out of the look; `lookwright sheet` shows what both together do",
        ]
    );
}
