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

/// What `light` prints, in single spaces, of the show with lines in its first setup.
fn light_of(lines: &str, arguments: &[&str]) -> String {
    let set = Set::new();
    set.change("show.toml", "cameras = [\"a\"]\n", &format!("cameras = [\"a\"]\n{lines}\n"));
    let output = set.run(&[&["light", "show.toml", "--setup", "7b"], arguments].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const DIM: &str = "balance_kelvin = 3200
lights = [
    { role = \"key\", source = \"planckian\", kelvin = 3200, lux = 1.2 },
    { role = \"fill\", source = \"led\", kelvin = 3200, duv = -0.00001, filters = [\"1/4 plus green\"], lux = 0.3 },
]
iso = 800
shutter_deg = 180
stop = \"T2.8\"
meter = \"flat\"";

/// The fill has a quarter of the key's light: 2 stops, 4:1 and 5:1.
#[test]
fn little_light_and_no_colour_are_told_as_people_tell_them() {
    let told = light_of(DIM, &["--two-ways"]);
    for part in [
        "source tungsten 3200 K",
        "cast neutral",
        "light 1.2 lx, 0.11 fc",
        "light 0.30 lx, 0.028 fc",
        "by a flat receptor: ",
        "2 stops under key",
        "key to fill 4:1 key alone to fill alone, 5:1 key and fill together to fill alone",
        "CC green",
        "a sensor may clip earlier",
    ] {
        assert!(told.contains(part), "{part:?} is missing: {told}");
    }
    for wrong in ["-0.0", "+0.0 ", "planckian", "Duv -0.0000", "0 lx", " 0.0 CC", "'T"] {
        assert!(!told.replace("0.30 lx", "").contains(wrong), "{wrong:?}: {told}");
    }
    // A recipe takes a zero with a sign, people don't.
    let set = Set::new();
    let neutral = ["light", "--source", "led", "--kelvin", "4300", "--duv=-0.00001", "--balance", "4300", "--two-ways"];
    let told = String::from_utf8(set.run(&neutral).stdout).expect("UTF-8");
    assert!(told.contains("warmer_mired = 0.0\n") && told.contains("greener_cc = 0.0\n"), "{told}");
}

/// The sheet and the screen tell a light with the same words; the screen's facts are found on the sheet.
#[test]
fn the_sheet_and_the_screen_have_the_same_words() {
    let set = Set::new();
    set.change("show.toml", "cameras = [\"a\"]\n", &format!("cameras = [\"a\"]\n{DIM}\n"));
    let single = |arguments: &[&str]| {
        let text = String::from_utf8(set.run(arguments).stdout).expect("UTF-8");
        text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect::<Vec<_>>()
    };
    let screen = single(&["light", "show.toml", "--setup", "7b"]);
    let sheet = single(&["sheet", "show.toml", "--setup", "7b", "--print"]).join(" ");
    let facts: Vec<&str> = screen
        .iter()
        .filter_map(|line| {
            ["source ", "becomes ", "loses ", "cast ", "light "].iter().find_map(|label| line.strip_prefix(label))
        })
        .collect();
    // Both have a source, an outcome, a cast and a reading, the second a loss.
    assert_eq!(facts.len(), 9, "{screen:?}");
    for fact in facts {
        assert!(sheet.contains(fact), "{fact:?} is not on the sheet: {sheet}");
    }
}

/// Daylight that is said by its output comes out of a lamp, which hangs and draws current.
#[test]
fn a_lamp_of_daylight_brings_the_cautions_of_lamps() {
    let titles = |light: &str| {
        let set = Set::new();
        set.change("show.toml", "cameras = [\"a\"]\n", &format!("cameras = [\"a\"]\nlights = [{light}]\n"));
        let (code, document) = set.json(&["light", "show.toml", "--setup", "7b"]);
        assert_eq!(code, Some(0), "{document}");
        let cautions = document["setups"][0]["cautions"].as_array().expect("cautions").clone();
        cautions.iter().map(|one| one["title"].as_str().expect("a title").to_owned()).collect::<Vec<_>>()
    };
    let sky = "{ role = \"key\", source = \"daylight\", kelvin = 5600, lux = 900 }";
    assert_eq!(titles(sky), ["Above this sheet"]);
    let lamp = "{ role = \"key\", source = \"daylight\", kelvin = 5600, candela = 90000, distance_m = 6 }";
    assert_eq!(titles(lamp), ["Overhead", "Power", "Flashing light", "Above this sheet"]);
}

#[test]
fn ways_to_a_cast_tell_the_other_lights_and_the_light_that_is_left() {
    let told = light_of(DIM, &["--want", "40 mired warmer"]);
    for part in
        ["wanted of key: 40 mired warm", "wanted is 40 mired warmer", "then fill ", "less light than now: ", "loses 0."]
    {
        assert!(told.contains(part), "{part:?} is missing: {told}");
    }
}
