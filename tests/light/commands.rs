//! The commands `light` and `sheet` from outside.

use super::kit::Set;
use lookwright::maths::{exp2, log2};
use serde_json::Value;
use std::process::Output;

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// Exit code and what stands on stderr.
fn refused(output: &Output) -> (Option<i32>, String) {
    assert!(output.stdout.is_empty(), "nothing is told beside the fault: {}", text(&output.stdout));
    (output.status.code(), text(&output.stderr))
}

/// The show of these tests with lights in its first setup.
fn lit() -> Set {
    let set = Set::new();
    let lights = "cameras = [\"a\"]
balance_kelvin = 4300
lights = [
    { role = \"fill\", source = \"daylight\", kelvin = 6500, filters = [\"1/2 CTB\"], lux = 40 },
    { role = \"key\", source = \"led\", kelvin = 2700, duv = 0.004, filters = [\"1/4 minus green\"], candela = 900, distance_m = 2 },
]
iso = 800
shutter_deg = 180
stop = \"T2.8\"
lens_stops = 0.5
meter = \"dome\"
haze = true
diffusion_on_lens = \"1/8\"
note = \"ramp up\"\n";
    set.change("show.toml", "cameras = [\"a\"]\n", lights);
    set
}

#[test]
fn a_show_is_told_setup_by_setup() {
    let set = lit();
    let output = set.run(&["light", "show.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    for part in [
        "setup 7b",
        "setup 9",
        "4300 K (233 mired)",
        "1/2 CTB (-78 mired)",
        "1/4 minus green (-7.5 CC)",
        "cooler",
        "none said",
    ] {
        assert!(told.contains(part), "{part:?} is missing:\n{told}");
    }
    assert!(told.lines().all(|line| line.chars().count() <= 130), "{told}");
    let only = text(&set.run(&["light", "show.toml", "--setup", "9"]).stdout);
    assert!(only.contains("setup 9") && !only.contains("setup 7b"), "{only}");
}

/// E = I/d² and E = C·T²/(S·t), see `exposure.rs` for their sources; here by hand.
#[test]
fn readings_become_stops() {
    let (code, document) = lit().json(&["light", "show.toml"]);
    assert_eq!(code, Some(0));
    let setup = &document["setups"][0];
    let number = |value: &Value| value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    let close = |value: &Value, expected: f64| {
        let value = number(value);
        assert!((value - expected).abs() < 1e-9 * expected.abs().max(1.0), "{value}, expected {expected}");
    };
    let need = &setup["exposure"]["needs"][0];
    assert_eq!((need["receptor"].as_str(), number(&need["constant"])), (Some("dome"), 340.0));
    let needed = 340.0 * 2.8 * 2.8 / (800.0 / 48.0) * 2_f64.sqrt();
    close(&need["lux"], needed);
    close(&need["foot_candles"], needed * 0.3048 * 0.3048);
    let fill = &setup["lights"][0]["reading"];
    close(&fill["lux"], 40.0);
    close(&fill["stops"][0]["over_stops"], log2(40.0 / needed));
    let key = &setup["lights"][1];
    let lux = 225.0 * exp2(-number(&key["loss_stops"]));
    close(&key["reading"]["lux"], lux);
    close(&key["reading"]["stops"][0]["t_stop"], 2.8 * (lux / needed).sqrt());
    assert_eq!(key["reading"]["from_output"], true);
}

/// The key light is the one that says so, wherever it stands.
#[test]
fn what_if_filters_hang_before_the_light_that_is_meant() {
    let set = lit();
    let lights = |arguments: &[&str]| {
        let mut all = vec!["light", "show.toml", "--setup", "7b"];
        all.extend(arguments);
        let (code, document) = set.json(&all);
        assert_eq!(code, Some(0), "{document}");
        document["setups"][0]["lights"].clone()
    };
    let shift = |lights: &Value| [0, 1].map(|light| lights[light]["warmer_mired"].as_f64().expect("a shift"));
    assert_eq!(shift(&lights(&["--filter", "1/2 CTO"])), [-78.0, 109.0]);
    assert_eq!(shift(&lights(&["--filter", "1/2 CTO", "--filter", "1/4 cto"])), [-78.0, 173.0]);
    assert_eq!(shift(&lights(&["--light", "Fill", "--filter", "none"])), [0.0, 0.0]);
    assert_eq!(
        shift(&lights(&["--light", "fill", "--filter", "12 mired warmer, 4 cc magenta, 0.3 stops"])),
        [12.0, 0.0]
    );
    let cooler = lights(&["--balance", "3200"]);
    let warmer = lights(&[]);
    let cast = |lights: &Value| lights[1]["cast"]["warmer_mired"].as_f64().expect("a cast");
    assert!(
        cast(&warmer) - cast(&cooler) > 60.0,
        "a lower balance leaves less warmth: {} {}",
        cast(&warmer),
        cast(&cooler)
    );
    assert_eq!(set.read("show.toml"), lit().read("show.toml"), "the show stays as it is");
}

#[test]
fn every_way_to_a_cast_leaves_it() {
    let (code, document) =
        lit().json(&["light", "show.toml", "--setup", "7b", "--want", "40 mired warmer, 2 cc greener"]);
    assert_eq!(code, Some(0), "{document}");
    let wanted = &document["wanted"];
    assert_eq!(wanted["light"], "key");
    let number = |value: &Value| value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    let exact = &wanted["balance"]["cast"];
    assert!(
        (number(&exact["warmer_mired"]) - 40.0).abs() < 1e-4 && (number(&exact["greener_cc"]) - 2.0).abs() < 1e-4,
        "{exact}"
    );
    assert!((number(&wanted["balance_without_tint"]["cast"]["warmer_mired"]) - 40.0).abs() < 1e-4);
    let stacks = wanted["stacks"].as_array().expect("stacks");
    assert!(!stacks.is_empty(), "{wanted}");
    for stack in stacks {
        let left = number(&stack["cast"]["warmer_mired"]) - 40.0;
        assert!((left - number(&stack["off_mired"])).abs() < 1e-9, "{stack}");
    }
    let white = &wanted["ways"]["white"];
    assert!(number(&white["reference_kelvin"]) > 1667.0, "{white}");
    assert!(number(&wanted["ways"]["like_recipe"]["skins_mean"]) < 1.0, "{wanted}");
}

#[test]
fn a_single_light_needs_no_show() {
    let set = Set::new();
    let (code, document) = set.json(&[
        "light",
        "--source",
        "daylight",
        "--kelvin",
        "5600",
        "--filter",
        "CTB",
        "--filter",
        "CTB",
        "--balance",
        "5600",
    ]);
    assert_eq!(code, Some(0));
    let light = &document["light"];
    assert!(light["cct"].is_null() && light["mired"].is_null() && light["duv"].is_null(), "{light}");
    assert_eq!(light["no_cct"], "no colour temperature: bluer than any black body");
    assert!(light["cast"]["warmer_mired"].as_f64().expect("a cast") < -200.0, "{light}");
    // mired_filter_xy.csv: daylight of 5600 K behind +159 has 2994.8 K, 155.3 mired from 5600 K. Its Duv counts from another place of the locus,
    // so that the cast differs from that by a little more.
    let camera = "[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[white]";
    set.write("look.toml", &super::kit::WARM.replace("[white]", camera));
    let (_, document) = set.json(&[
        "light",
        "look.toml",
        "--source",
        "daylight",
        "--kelvin",
        "5600",
        "--filter",
        "full CTO",
        "--balance",
        "5600",
    ]);
    let warmer = document["light"]["cast"]["warmer_mired"].as_f64().expect("a cast");
    assert!((warmer - 155.3).abs() < 3.0, "{warmer}");
    assert_eq!(document["look"], "Quay warm");
}

#[test]
fn wrong_arguments_are_told_at_their_place() {
    let set = lit();
    for (arguments, expected) in [
        (&["light"][..], "there is no light to look at"),
        (&["light", "--filter", "1/2 CTO"], "no light that the filter could hang before"),
        (&["light", "--source", "led"], "a source has a colour temperature"),
        (&["light", "--source", "sun", "--kelvin", "5600"], "unknown source of light \"sun\""),
        (&["light", "--source", "led", "--kelvin", "hot"], "`--kelvin` is not a number"),
        (&["light", "--source", "led", "--kelvin", "NaN"], "`--kelvin` is not a finite number"),
        (&["light", "--source", "led", "--kelvin", "-5"], "`--kelvin` is out of range"),
        (&["light", "--source", "daylight", "--kelvin", "3200"], "there is no daylight of 3200 K"),
        (&["light", "--source", "led", "--kelvin", "2000", "--duv", "0.04"], "no light has 0.04 Duv at 2000 K"),
        (&["light", "--source", "led", "--kelvin", "3200", "--filter", "1/2 CTX"], "did you mean \"1/2 CTO\"?"),
        (
            &["light", "--source", "led", "--kelvin", "3200", "--filter", "900 mired warmer"],
            "expected at most 400 mired",
        ),
        (&["light", "--source", "led", "--kelvin", "3200", "--want", "neutral"], "a cast is seen at a balance"),
        (
            &["light", "--source", "led", "--kelvin", "3200", "--balance", "4300", "--want", "blue"],
            "\"blue\" is not a cast",
        ),
        (&["light", "show.toml", "--setup", "7c"], "the show has no setup \"7c\""),
        (&["light", "show.toml", "--filter", "CTO"], "are about one setup, and the show has several"),
        (
            &["light", "show.toml", "--setup", "7b", "--light", "kick", "--filter", "CTO"],
            "setup \"7b\" has no light \"kick\"",
        ),
        (
            &["light", "show.toml", "--setup", "9", "--filter", "CTO"],
            "setup \"9\" has no light that a filter could hang before",
        ),
        (&["light", "show.toml", "--setup", "9", "--want", "neutral"], "the setup has no lights"),
        (&["light", "show.toml", "--kelvin", "3200"], "the show says it of its lights"),
    ] {
        let (code, said) = refused(&set.run(arguments));
        assert_eq!(code, Some(2), "{arguments:?}: {said}");
        assert!(said.contains(expected), "{arguments:?}: {said}");
    }
    let (code, said) = refused(&set.run(&["light", "gone.toml"]));
    assert_eq!(code, Some(3), "{said}");
}

#[test]
fn sheets_are_written_beside_the_files_of_the_show() {
    let set = lit();
    let output = set.run(&["sheet", "show.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let told = text(&output.stdout);
    for name in ["setup-7b", "setup-9"] {
        let page = set.read(&format!("luts-out/quay-test/sheets/{name}.html"));
        let sheet = set.read(&format!("luts-out/quay-test/sheets/{name}.txt"));
        assert!(told.contains(&format!("{name}.html")), "{told}");
        assert!(page.contains("Quay test") && sheet.contains("Quay test"), "{name}");
        assert!(!page.contains("NaN") && !sheet.contains("NaN"), "{name}");
    }
    let sheet = set.read("luts-out/quay-test/sheets/setup-7b.txt");
    let one_line = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in ["never cover, disable or isolate a detector", "ramp up", "T2.8", "800"] {
        assert!(one_line.contains(part), "{part:?} is missing:\n{sheet}");
    }
    let printed = text(&set.run(&["sheet", "show.toml", "--setup", "7b", "--print"]).stdout);
    assert_eq!(printed, sheet);
}

#[test]
fn sheets_do_not_go_into_the_folder_of_another_show() {
    let set = lit();
    assert_eq!(set.run(&["compile", "show.toml", "--no-verify"]).status.code(), Some(0));
    set.write("other.toml", &set.read("show.toml").replace("Quay test", "Quay-Test"));
    let (code, said) = refused(&set.run(&["sheet", "other.toml"]));
    assert_eq!(code, Some(3), "{said}");
    assert!(said.contains("LW0406"), "{said}");
}
