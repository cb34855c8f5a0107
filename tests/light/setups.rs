//! What is told of a show's setups: which light counts, what another balance or filter does to the others and to the stop.

use super::common::told;
use super::kit::Set;
use lookwright::maths::{exp2, log2};
use lookwright::show::{Show, prepare, sheets};
use serde_json::Value;

const LIGHTS: &str = "cameras = [\"a\"]
balance_kelvin = 4300
lights = [
    { role = \"fill\", source = \"daylight\", kelvin = 6500, filters = [\"1/2 CTB\"], lux = 40 },
    { role = \"key\", source = \"led\", kelvin = 2700, duv = 0.004, filters = [\"1/4 minus green\"], lux = 160 },
]
iso = 800
shutter_deg = 180
meter = \"dome\"\n";

/// The show of these tests with two lights in its first setup, the key second.
fn lit() -> Set {
    let set = Set::new();
    set.change("show.toml", "cameras = [\"a\"]\n", LIGHTS);
    set
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn document(set: &Set, arguments: &[&str]) -> Value {
    let all: Vec<&str> = ["light", "show.toml", "--setup", "7b"].into_iter().chain(arguments.iter().copied()).collect();
    let (code, document) = set.json(&all);
    assert_eq!(code, Some(0), "{document:#}");
    document
}

fn said(set: &Set, arguments: &[&str]) -> String {
    let all: Vec<&str> = ["light", "show.toml", "--setup", "7b"].into_iter().chain(arguments.iter().copied()).collect();
    let output = set.run(&all);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8(output.stderr).expect("UTF-8")
}

/// "key" counts wherever it stands, and `--light` takes its place for the two ways.
#[test]
fn everything_is_seen_from_the_key() {
    let set = lit();
    let setup = document(&set, &[])["setups"][0].clone();
    assert_eq!((&setup["between"][0]["from"], &setup["between"][0]["to"]), (&"key".into(), &"fill".into()));
    let cast = |light: usize| number(&setup["lights"][light]["cast"]["warmer_mired"]);
    assert!((number(&setup["between"][0]["warmer_mired"]) - (cast(0) - cast(1))).abs() < 1e-9, "{setup:#}");
    assert_eq!(setup["ways"]["light"], "key");
    let of_fill = document(&set, &["--light", "fill", "--two-ways"])["setups"][0]["ways"].clone();
    assert_eq!(of_fill["light"], "fill");
    assert!((number(&of_fill["cast"]["warmer_mired"]) - cast(0)).abs() < 1e-9, "{of_fill:#}");
}

#[test]
fn a_role_that_two_lights_have_names_none() {
    let set = lit();
    set.change("show.toml", "role = \"fill\"", "role = \"Key\"");
    let told = said(&set, &["--light", "key", "--filter", "none"]);
    assert!(told.contains("LW0622") && told.contains("has several lights \"Key\""), "{told}");
}

/// A balance acts on every light, a filter on one: the sheet of another balance says the same of the others.
#[test]
fn another_balance_is_told_with_what_it_does_to_the_others() {
    let set = lit();
    let wanted = document(&set, &["--want", "neutral"])["wanted"].clone();
    for found in [&wanted["balance"], &wanted["balance_without_tint"]] {
        assert_eq!(found["others"].as_array().map(Vec::len), Some(1), "{found:#}");
        assert_eq!(found["others"][0]["light"], "fill");
        let (kelvin, tint) = (found["kelvin"].to_string(), found["greener_duv"].to_string());
        let there = document(&set, &["--balance", &kelvin, "--balance-duv", &tint]);
        let (then, now) = (&found["others"][0]["cast"], &there["setups"][0]["lights"][0]["cast"]);
        assert!((number(&then["warmer_mired"]) - number(&now["warmer_mired"])).abs() < 1e-6, "{then} {now}");
        assert!((number(&then["greener_duv"]) - number(&now["greener_duv"])).abs() < 1e-9, "{then} {now}");
    }
}

/// A reading was taken behind what hangs there: other filters change it by the difference of their losses.
/// E = C·T²/(S·t), see `exposure.rs` for its source.
#[test]
fn other_filters_are_told_with_the_stop_that_is_left() {
    let set = lit();
    let wanted = document(&set, &["--want", "20 mired warmer"])["wanted"].clone();
    let hanging = number(&document(&set, &[])["setups"][0]["lights"][1]["loss_stops"]);
    let stacks = wanted["stacks"].as_array().expect("stacks");
    assert!(!stacks.is_empty(), "{wanted:#}");
    for stack in stacks {
        let change = hanging - number(&stack["loss_stops"]);
        assert!((number(&stack["light_stops"]) - change).abs() < 1e-12, "{stack:#}");
        let lux = 160.0 * exp2(change);
        assert!((number(&stack["reading"]["lux"]) - lux).abs() < 1e-9 * lux, "{stack:#}");
        let t_stop = (lux * 800.0 / 48.0 / 340.0).sqrt();
        assert!((number(&stack["reading"]["stops"][0]["t_stop"]) - t_stop).abs() < 1e-9, "{stack:#}");
    }
}

#[test]
fn a_wish_can_start_from_what_the_light_leaves_now() {
    let set = lit();
    let now = document(&set, &["--want", "neutral"])["wanted"]["now"].clone();
    let wanted = document(&set, &["--want", "10 mired cooler and 3 cc greener than now"])["wanted"].clone();
    assert!(
        (number(&wanted["cast"]["warmer_mired"]) - (number(&now["warmer_mired"]) - 10.0)).abs() < 1e-9,
        "{wanted:#}"
    );
    assert!((number(&wanted["from_now"]["greener_cc"]) - 3.0).abs() < 1e-9, "{wanted:#}");
    let there = &wanted["balance"]["cast"];
    assert!((number(&there["greener_cc"]) - number(&wanted["cast"]["greener_cc"])).abs() < 1e-4, "{wanted:#}");
}

/// Nothing of the trade makes an LED 400 mired cooler: what is told is marked as far off.
#[test]
fn stacks_that_are_far_off_are_told_as_such() {
    let set = lit();
    let wanted = document(&set, &["--want", "300 mired cooler"])["wanted"].clone();
    assert_eq!(wanted["stacks_far"], true, "{wanted:#}");
    assert!(wanted["stacks"].as_array().is_some_and(|stacks| stacks.iter().all(|one| number(&one["off_uv"]) > 0.004)));
    assert_eq!(document(&set, &["--want", "20 mired warmer"])["wanted"]["stacks_far"], false);
}

#[test]
fn filters_on_the_command_line_are_understood_or_told() {
    let set = lit();
    let light = |filter: &str| document(&set, &["--filter", filter])["setups"][0]["lights"][1].clone();
    assert_eq!(number(&light("−40 mired")["warmer_mired"]), -40.0);
    let nothing = light("0 mired");
    assert_eq!((number(&nothing["loss_stops"]), &nothing["loss_estimated"]), (0.0, &Value::Bool(false)));
    for (arguments, expected) in [
        (&["--filter", "half CTO"][..], "did you mean \"1/2 CTO\"?"),
        (&["--filter", "three quarter ctb"], "did you mean \"3/4 CTB\"?"),
        (&["--filter", "1/2 CTO, 1/4 CTO"], "each filter stands alone: \"1/2 CTO\", \"1/4 CTO\""),
        (&["--filter", "none", "--filter", "1/2 CTO"], "leave `none` out: 1/2 CTO take the place of what hangs there"),
    ] {
        let told = said(&set, arguments);
        assert!(told.contains(expected), "{arguments:?}: {told}");
    }
    set.change("show.toml", "balance_kelvin = 4300\n", "");
    let told = said(&set, &["--balance-duv", "0.003"]);
    assert!(told.contains("`--balance-duv` is the tint of a balance, and there is none in 7b"), "{told}");
}

/// A kind alone is a full filter, and the show's own comes before the trade's, also where filters are proposed.
#[test]
fn the_shows_own_filters_come_first() {
    let set = lit();
    let own = "[[filter]]\nname = \"full CTB\"\nmired = -120\nstops = 1.2\n[[setup]]\nid = \"7b\"";
    set.change("show.toml", "[[setup]]\nid = \"7b\"", own);
    let light = document(&set, &["--filter", "CTB"])["setups"][0]["lights"][1].clone();
    assert_eq!((number(&light["warmer_mired"]), number(&light["loss_stops"])), (-120.0, 1.2));
    // The very cast that it leaves.
    let fill = document(&set, &["--light", "fill", "--filter", "CTB"])["setups"][0]["lights"][0]["cast"].clone();
    let want = format!("{:+} mired, {:+} duv", number(&fill["warmer_mired"]), number(&fill["greener_duv"]));
    let wanted = document(&set, &["--light", "fill", "--want", &want])["wanted"].clone();
    let filters = wanted["stacks"].as_array().expect("stacks").iter().flat_map(|one| one["filters"].as_array());
    let blues: Vec<f64> =
        filters.flatten().filter(|one| one["name"] == "full CTB").map(|one| number(&one["mired"])).collect();
    assert!(!blues.is_empty() && blues.iter().all(|mired| *mired == -120.0), "{blues:?} in {wanted:#}");
}

/// The recipe's block comes after its exposure: two stops more light in, a quarter of the veil against the scene.
/// Source: the equations of section 7 of look-maths.md by hand, x ← (1 − v) x + 0.18 v.
#[test]
fn diffusion_twice_counts_the_recipes_exposure() {
    let set = Set::new();
    let recipe = "lookwright = 1\n[look]\nname = \"soft\"\n[exposure]\nstops = 2\n[tone]\n[diffusion]\ngrade = \"1/4\"\n[verify]\ngrey_codes = 300\ngrey_de = 60\npatch_mean_de = 20\npatch_max_de = 60\n";
    set.write("warm.toml", recipe);
    set.change("show.toml", "cameras = [\"a\"]\n", "cameras = [\"a\"]\ndiffusion_on_lens = \"1/8\"\n");
    let (show, doubts) = Show::load(&set.path("show.toml"), None).expect("a show");
    let work = prepare(show, doubts).unwrap_or_else(|found| panic!("{found:?}"));
    let said: Vec<String> = work.warnings.iter().map(|one| told(one, set.folder.path())).collect();
    let (light, of_lens, of_recipe) = (0.18 / 64.0, 0.006, 0.012);
    let lens = (1.0 - of_lens) * light + of_lens * 0.18;
    let recipe = |x: f64| ((1.0 - of_recipe) * 4.0 * x + of_recipe * 0.18) / 4.0;
    let [once, both] = [recipe(light), recipe(lens)].map(|x| log2(x / light));
    let expected = format!("rise by {both:.2} stops with both, {once:.2} with the look's own alone");
    assert!(said.iter().any(|one| one.contains("LW0623") && one.contains(&expected)), "{expected}: {said:?}");
}

/// A version whose recipe was changed: the sheet tells what is on record and nothing of what the recipe makes now.
#[test]
fn the_sheet_of_a_changed_version_tells_what_was_made() {
    let set = lit();
    let arguments =
        ["compile", "show.toml", "--no-verify", "--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"];
    let (code, made) = set.json(&arguments);
    assert_eq!(code, Some(0), "{made:#}");
    let fingerprint = made["version"]["look_fingerprint"].as_str().expect("a fingerprint").to_owned();
    set.change("warm.toml", "warmer_mired = 24", "warmer_mired = 24\ngreener_cc = 3");
    let (show, doubts) = Show::load(&set.path("show.toml"), None).expect("a show");
    let work = prepare(show, doubts).expect("it can be made");
    let sheet = sheets(&work, Some(0), None).expect("a sheet").swap_remove(0);
    assert!(sheet.look.changed && sheet.look.white.is_none(), "{:?}", sheet.look);
    assert!(fingerprint.starts_with(&sheet.look.fingerprint), "{} of {fingerprint}", sheet.look.fingerprint);
    assert_eq!(sheet.cameras[0].records, "s-log3 / s-gamut3.cine");
    assert!(sheet.lights.iter().all(|light| light.card.is_none() && light.cast.is_some()), "casts need no look");
    assert!(sheet.ways.is_none() && sheet.files.is_empty());
}
