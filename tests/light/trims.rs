//! Cameras with a trim, looks that are mixed with the plain conversion: what of the two ways holds for them.

use super::kit::{Set, WARM};
use super::ways::{PLAIN, image, mean};
use lookwright::compile::prepare_text;
use lookwright::light::{Balance, Lamp, LightSource, Source};
use lookwright::maths::{exp2, log2};
use lookwright::show::{Ways, lone_ways};
use std::path::Path;

/// What changes a plan.
type Change = dyn Fn(&mut lookwright::plan::Plan);

/// The two ways of an LED of 4300 K at its own balance, for a plan of S-Log3 that is changed.
fn ways(text: &str, change: &Change) -> Result<Ways, String> {
    let camera = "[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[tone]";
    let prepared = prepare_text(Path::new("look.toml"), text.replace("[tone]", camera), &[]);
    let mut plan = prepared.unwrap_or_else(|found| panic!("{found:?}")).plan;
    change(&mut plan);
    let (pipeline, _) = lookwright::pipeline::Pipeline::build(&plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    let lamp = Lamp { source: Source { kind: LightSource::Led, kelvin: 4300.0, duv: 0.0 }, filters: Vec::new() };
    lone_ways("key", &lamp, &Balance { kelvin: 4300.0, greener_duv: 0.0 }, (&plan, &pipeline))
}

/// A look at half strength keeps a half of the plain conversion, which has no `[white]`: no block makes the whole cast.
#[test]
fn a_mixed_look_has_one_way_only() {
    for strength in [0.5, 0.0, 1.5] {
        let why = ways(PLAIN, &move |plan| plan.strength = strength).expect_err("one way");
        assert!(why.contains(&format!("strength {strength}")) && why.contains("in the camera only"), "{why}");
    }
    assert!(ways(PLAIN, &|plan| plan.strength = 1.0).is_ok());
}

/// S-Log3 ends at 38.42 times white, by its published formula, (10^((1023 − 420)/261.5) · 0.19) − 0.01; grey is 0.18. A camera whose trim
/// doubles what it records holds half as much for the same light: a stop more of headroom.
#[test]
fn headroom_is_that_of_what_the_camera_records() {
    let end = exp2(log2(10.0) * (1023.0 - 420.0) / 261.5) * 0.19 - 0.01;
    let expected = log2(end / 0.18);
    for (stops, more) in [(0.0, 0.0), (1.0, 1.0), (-0.5, -0.5)] {
        let ways = ways(PLAIN, &move |plan| plan.camera_trim.stops = stops).expect("two ways");
        for gains in [&ways.in_camera, &ways.neutral_negative] {
            assert!((gains.headroom_stops - expected - more).abs() < 1e-3, "{stops}: {gains:?}, expected {expected}");
        }
    }
}

/// A trim is undone by the look: with it and without it the four pictures are the same, and a frame that such a camera shot is understood.
#[test]
fn pictures_of_a_camera_with_a_trim_are_the_pictures() {
    const TRIM: &str =
        "lookwright = 1\n[trim]\nstops = 0.5\nmatrix = [[0.95, 0.04, 0.01], [0.02, 0.96, 0.02], [-0.01, 0.05, 0.96]]\n";
    let set = Set::new();
    set.write(
        "warm.toml",
        &WARM.replace("warmer_mired = 24\n", "warmer_mired = 24\n[gamut]\ninput_compress = false\n"),
    );
    let light = "cameras = [\"a\"]\nbalance_kelvin = 4300\nlights = [{ role = \"key\", source = \"planckian\", kelvin = 2800 }]\n";
    set.change("show.toml", "cameras = [\"a\"]\n", light);
    set.write("plain.toml", &set.read("show.toml"));
    set.write("trim.toml", TRIM);
    set.change("show.toml", "id = \"a\"\n", "id = \"a\"\ntrim = \"trim.toml\"\n");
    let run = |show: &str, folder: &str, more: &[&str]| {
        let arguments = ["light", show, "--setup", "7b", "--pictures", folder];
        let all: Vec<&str> = arguments.iter().copied().chain(more.iter().copied()).collect();
        let (code, document) = set.json(&all);
        assert_eq!(code, Some(0), "{document}");
    };
    let names = ["camera-negative", "camera-picture", "recipe-negative", "recipe-picture"];
    let means = |folder: &str| names.map(|name| mean(&set.path(&format!("{folder}/setup-7b.{name}.png"))).0);
    let alike = |one: &str, other: &str| {
        for (name, (a, b)) in names.into_iter().zip(means(one).into_iter().zip(means(other))) {
            for channel in 0..3 {
                // Two tables of 65 points that are sampled at other places.
                assert!((a[channel] - b[channel]).abs() < 1.0, "{name} of {one} and {other}: {a:?} {b:?}");
            }
        }
    };
    run("plain.toml", "plain", &[]);
    run("show.toml", "trimmed", &[]);
    alike("plain", "trimmed");
    let sand = image(&set, "sand.png", [0.30, 0.22, 0.15]);
    run("plain.toml", "plain-still", &["--still", &sand, "--input", "linear"]);
    run("show.toml", "trimmed-still", &["--still", &sand, "--input", "linear"]);
    alike("plain-still", "trimmed-still");
}
