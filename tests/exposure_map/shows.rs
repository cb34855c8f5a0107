//! Maps of a show: one for each camera and monitor, by the monitors' rules, whatever the looks.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

const SHOW: &str = "lookwright = 1
[show]
name = \"Tidewater\"
[[camera]]
id = \"a\"
encoding = \"s-log3\"
gamut = \"s-gamut3.cine\"
trim = \"a.toml\"
[[camera]]
id = \"b\"
encoding = \"logc4\"
gamut = \"awg4\"
[[monitor]]
id = \"deck\"
encoding = \"bt1886\"
gamut = \"bt709\"
[[monitor]]
id = \"box\"
encoding = \"bt1886\"
gamut = \"bt709\"
file = { name_max = 8, charset = \"upper\", comments = false }
[[look]]
id = \"dusk\"
recipe = \"dusk.toml\"
variants = [{ id = \"half\", strength = 0.5 }]
[[look]]
id = \"noon\"
recipe = \"noon.toml\"
";

fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).expect("the folder can be written");
}

fn show(trim_stops: f64, map: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    write(folder.path(), "show.toml", SHOW);
    write(folder.path(), "a.toml", &format!("lookwright = 1\n[trim]\nstops = {trim_stops}\n"));
    let recipe = |name: &str| format!("lookwright = 1\n[look]\nname = \"{name}\"\n[tone]\n");
    write(folder.path(), "dusk.toml", &recipe("Dusk"));
    write(folder.path(), "noon.toml", &format!("{}{map}", recipe("Noon")));
    folder
}

fn run(folder: &Path, more: &[&str]) -> (Option<i32>, Value) {
    let out = Command::new(env!("CARGO_BIN_EXE_lookwright"))
        .args(["false-colour", "show.toml", "--out", "out", "--json"])
        .args(more)
        .current_dir(folder)
        .output()
        .expect("it runs");
    (out.status.code(), serde_json::from_slice(&out.stdout).expect("one document"))
}

/// SHA-256 of each map's cube file, by its path.
fn hashes(document: &Value) -> BTreeMap<String, String> {
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    let maps = document["maps"].as_array().expect("maps");
    maps.iter().map(|map| (text(&map["cube"]["file"]), text(&map["cube"]["sha256"]))).collect()
}

#[test]
fn each_camera_and_monitor_has_one_map_in_the_monitors_own_names() {
    let folder = show(0.0, "");
    let (code, document) = run(folder.path(), &[]);
    let files = hashes(&document);
    assert_eq!((code, files.len()), (Some(0), 4), "{document:#}");
    for path in files.keys() {
        let path = folder.path().join(path);
        let bytes = std::fs::read(&path).expect("it was written");
        assert!(path.with_extension("png").exists(), "no legend beside {}", path.display());
        let stem = path.file_stem().expect("a name").to_string_lossy().into_owned();
        if path.to_string_lossy().contains("box") {
            assert!(stem.len() <= 8 && !stem.contains(|c: char| c.is_ascii_lowercase()), "{stem}");
            assert_ne!(bytes.first(), Some(&b'#'), "the device takes no comments");
        }
    }
    // The looks' own files stand beside them and have other names.
    let out = Command::new(env!("CARGO_BIN_EXE_lookwright"))
        .args(["compile", "show.toml", "--out", "out", "--no-verify", "--json"])
        .current_dir(folder.path())
        .output()
        .expect("it runs");
    let made: Value = serde_json::from_slice(&out.stdout).expect("one document");
    let cubes = cubes(&folder.path().join("out"));
    assert_eq!(cubes.len(), 4 + 12, "{cubes:?}, {made:#}");
    let names: BTreeSet<String> =
        cubes.iter().map(|path| path.file_name().expect("a name").to_string_lossy().into_owned()).collect();
    // A name is a name of one monitor: each has its own eight.
    assert!(names.len() >= 8, "{names:?}");
}

fn cubes(folder: &Path) -> Vec<std::path::PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    let one = |path: std::path::PathBuf| match path.is_dir() {
        true => cubes(&path),
        false if path.extension().is_some_and(|end| end == "cube") => vec![path],
        false => Vec::new(),
    };
    entries.flat_map(one).collect()
}

#[test]
fn a_cameras_trim_changes_its_own_maps_only() {
    let [plain, trimmed] = [0.0, 0.25].map(|stops| hashes(&run(show(stops, "").path(), &[]).1));
    let changed: Vec<&String> =
        plain.iter().filter(|(path, hash)| trimmed[*path] != **hash).map(|(path, _)| path).collect();
    assert_eq!(changed.len(), 2, "camera a on two monitors: {changed:?}");
    assert!(
        changed.iter().all(|path| path.to_ascii_lowercase().contains("_a_") || path.contains("box")),
        "{changed:?}"
    );
}

#[test]
fn looks_that_ask_for_different_maps_are_told() {
    let folder = show(0.0, "[map]\nzero_stops = 1\n");
    let (code, document) = run(folder.path(), &["--legend-only", "--size", "65"]);
    let told: Vec<&Value> = document["diagnostics"].as_array().expect("diagnostics").iter().collect();
    assert_eq!((code, told.len()), (Some(0), 1), "{document:#}");
    assert_eq!((&told[0]["code"], &told[0]["line"]), (&"LW0224".into(), &5.into()));
    assert!(
        document["maps"]
            .as_array()
            .expect("maps")
            .iter()
            .all(|map| map["map"]["zero_stops"] == 0.0 && map["cube"].is_null())
    );
}

#[test]
fn a_show_takes_values_of_the_map_only() {
    let folder = show(0.0, "");
    let (code, document) = run(folder.path(), &["--set", "white.warmer_mired=5"]);
    assert_eq!((code, &document["diagnostics"][0]["code"]), (Some(2), &"LW0609".into()));
    let (code, document) = run(folder.path(), &["--set", "map.zero_stops=0.5", "--legend-only"]);
    assert_eq!((code, &document["maps"][0]["map"]["zero_stops"]), (Some(0), &0.5.into()));
}
