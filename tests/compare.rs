//! `compare` from outside: what it says of two looks whose difference is known.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Bisection ends far below this, and the exposure of a look comes before its tone, so that the offset is exact.
const EXPOSURE_TOLERANCE: f64 = 1e-6;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lookwright")).args(arguments).output().expect("the program starts")
}

fn json(arguments: &[&str]) -> Value {
    let output = run(&[arguments, &["--json"]].concat());
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!("{arguments:?}: {error}\n{}", String::from_utf8_lossy(&output.stderr));
    })
}

fn recipe(folder: &Path, name: &str, more: &str) -> PathBuf {
    let path = folder.join(format!("{name}.toml"));
    let text = format!(
        "lookwright = 1\n[look]\nname = \"{name}\"\n[camera]\nencoding = \"v-log\"\ngamut = \"v-gamut\"\n{more}\n"
    );
    std::fs::write(&path, text).expect("the folder is ours");
    path
}

fn words(document: &Value) -> String {
    let words = document["comparison"]["words"].as_array().expect("a list of words");
    words.iter().map(|word| word.as_str().expect("a sentence")).collect::<Vec<_>>().join("; ")
}

#[test]
fn a_look_does_not_differ_from_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = recipe(folder.path(), "one", "[tone]");
    let document = json(&["compare", one.to_str().unwrap(), one.to_str().unwrap(), "--max-de", "0"]);
    assert_eq!(document["comparison"]["max_de"], 0.0);
    assert_eq!(words(&document), "no difference that anyone would see");
    assert_eq!(document["parameters"].as_array().map(Vec::len), Some(0));
    assert!(document["assumed"].is_null(), "nothing is assumed between recipes");
}

#[test]
fn known_differences_are_measured_and_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = recipe(folder.path(), "one", "[tone]\ncontrast = 1.35");
    for (more, parameter, told) in [
        ("[tone]\ncontrast = 1.35\n[exposure]\nstops = 0.5", "exposure.stops", "0.50 stop brighter at grey"),
        ("[tone]\ncontrast = 1.35\n[exposure]\nstops = -1.25", "exposure.stops", "1.25 stop darker at grey"),
        ("[tone]\ncontrast = 1.2", "tone.contrast", "contrast at grey 1.3"),
        ("[tone]\n[white]\nwarmer_mired = 12", "white.warmer_mired", "mired warmer on the screen"),
        ("[tone]\n[white]\ngreener_cc = -4", "white.greener_cc", "more magenta"),
        ("[tone]\n[colour]\nsaturation = 0.8", "colour.saturation", "% less colourful"),
        ("[tone]\nwhite_stops = 5", "tone.white_stops", "white at +5.0 stops against at +6.0 stops"),
    ] {
        let two = recipe(folder.path(), "two", more);
        let document = json(&["compare", one.to_str().unwrap(), two.to_str().unwrap()]);
        let said = words(&document);
        assert!(said.contains(told), "{more}: expected \"{told}\" in \"{said}\"");
        let parameters = document["parameters"].as_array().expect("a list");
        assert!(parameters.iter().any(|one| one["parameter"] == parameter), "{more}: {parameters:?}");
    }
}

#[test]
fn an_exposure_offset_comes_back_as_it_went_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = recipe(folder.path(), "one", "[tone]");
    for stops in [-2.0, -0.3, 0.7, 1.5] {
        let two = recipe(folder.path(), "two", &format!("[tone]\n[exposure]\nstops = {stops:?}"));
        let document = json(&["compare", one.to_str().unwrap(), two.to_str().unwrap()]);
        let found = document["comparison"]["exposure_stops"].as_f64().expect("within reach");
        assert!((found - stops).abs() < EXPOSURE_TOLERANCE, "{stops} stops came back as {found}");
    }
}

#[test]
fn a_cube_is_seen_as_the_recipe_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = recipe(folder.path(), "one", "[tone]\n[lut]\ninput_levels = \"legal\"\noutput_levels = \"legal\"");
    let out = folder.path().to_str().unwrap();
    assert!(run(&["compile", one.to_str().unwrap(), "--out", out]).status.success());
    let cube = folder.path().join("one.cube");
    let document = json(&["compare", one.to_str().unwrap(), cube.to_str().unwrap()]);
    let worst = document["comparison"]["max_de"].as_f64().expect("a number");
    assert!(worst < 2.0, "the file passed verification, and differs by {worst} here");
    assert!(document["assumed"].as_str().is_some_and(|said| said.contains("input legal, output legal")));
    // Seen with other levels, the same file is another picture.
    let full = recipe(folder.path(), "full", "[tone]");
    let document = json(&["compare", full.to_str().unwrap(), cube.to_str().unwrap()]);
    let worst = document["comparison"]["max_de"].as_f64().expect("a number");
    assert!(worst > 5.0, "wrong levels differ by {worst} only");
}

#[test]
fn a_limit_decides_the_exit_code_and_bad_input_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let one = recipe(folder.path(), "one", "[tone]");
    let two = recipe(folder.path(), "two", "[tone]\n[white]\nwarmer_mired = 30");
    let (one, two) = (one.to_str().unwrap(), two.to_str().unwrap());
    assert_eq!(run(&["compare", one, two]).status.code(), Some(0));
    assert_eq!(run(&["compare", one, two, "--max-de", "1"]).status.code(), Some(1));
    assert_eq!(run(&["compare", one, two, "--max-de", "50"]).status.code(), Some(0));
    assert_eq!(run(&["compare", one, two, "--max-de", "-1"]).status.code(), Some(2));
    assert_eq!(run(&["compare", one, "missing.cube"]).status.code(), Some(3));
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/cube/ok_1d.cube");
    let output = run(&["compare", one, table.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("a 1D table can't be compared"));
    let cubes = table.with_file_name("ok_minimal.cube");
    let output = run(&["compare", cubes.to_str().unwrap(), cubes.to_str().unwrap(), "--encoding", "v-lug"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("did you mean \"v-log\"?"));
}
