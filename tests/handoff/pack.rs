//! What `handoff` packs.

use crate::kit::{DATE, Set, files, json, small, whole, write};
use lookwright::formats::package::Package;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The program prints figures of the sheets with three decimals: half a unit of the last, and rounding.
const PRINTED_CODES: f64 = 0.000_51;
/// CIELAB has four.
const PRINTED_LAB: f64 = 0.000_051;

/// Every text that whoever reads the first page must not miss.
fn start_here() -> String {
    words_of(&whole().1)
}

/// The first page of a package, on one line.
fn words_of(package: &Path) -> String {
    let text = fs::read_to_string(package.join("START-HERE.txt")).expect("there");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_same_texts_make_the_same_bytes_wherever_and_however() {
    let (set, folder) = whole();
    // A copy on another path, with other files around it, by one thread.
    let elsewhere = Set::new();
    let first = elsewhere.handoff("a much longer name.zip", &["--edl", "reel.edl", "--luts", "luts/of day 1"], Some(1));
    let first = fs::read(first).expect("there");
    // The archive itself, of one setup: on two paths, by one thread and by two, over what was compiled before.
    let zip = |set: &Set, out: &str, threads: usize| {
        fs::read(set.handoff(out, &["--setups", "14"], Some(threads))).expect("there")
    };
    let (one, other) = (zip(&elsewhere, "of one.zip", 1), zip(set, "again.ZIP", 2));
    assert!(one == other, "{} and {} bytes", one.len(), other.len());
    // The folder holds the same files.
    let zip = Package::from_zip("first.zip", first).expect("sound");
    let unpacked = files(folder);
    let names: BTreeSet<&str> = zip.entries().iter().map(|entry| entry.path.as_str()).collect();
    assert_eq!(names, unpacked.keys().map(String::as_str).collect());
    assert!(names.len() > 100, "{} files", names.len());
    for (name, path) in &unpacked {
        assert!(zip.read(name).expect("read") == fs::read(path).expect("read"), "{name}");
    }
    // No file names the machine's folders.
    let places = [set, &elsewhere].map(|set| set.folder.path().file_name().expect("a name").to_str().expect("UTF-8"));
    let temporary = std::env::temp_dir().to_string_lossy().into_owned();
    let forbidden: Vec<&[u8]> = places.iter().map(|place| place.as_bytes()).chain([temporary.as_bytes()]).collect();
    for (name, path) in &unpacked {
        let bytes = fs::read(path).expect("read");
        for place in &forbidden {
            let found = memchr(&bytes, place);
            assert!(!found, "{name} names {}", String::from_utf8_lossy(place));
        }
    }
}

fn memchr(bytes: &[u8], what: &[u8]) -> bool {
    what.len() > 3 && bytes.windows(what.len()).any(|window| window == what)
}

/// Every resolved recipe is a recipe: it compiles in its place in the package and means what its head says.
#[test]
fn resolved_recipes_compile_on_their_own() {
    let (set, package) = whole();
    for name in ["graded", "dusk", "dusk.7b-b.version"] {
        let (stated, compiled) = fingerprints(set, package, name);
        assert_eq!(stated, compiled, "{name}");
    }
    // A variant is more than keys of a recipe can say, and the head says so.
    let (stated, compiled) = fingerprints(set, package, "dusk.half");
    assert_ne!(stated, compiled);
    let text = fs::read_to_string(package.join("resolved/dusk.half.toml")).expect("there");
    assert!(
        text.contains(
            "# variant half: no key says that the look is mixed with the plain conversion at a strength of 0.5"
        ),
        "{text}"
    );
    assert!(!text.contains("camera's own trim"), "camera a has none");
    // Values say where they come from, in the package.
    let text = fs::read_to_string(package.join("resolved/dusk.7b-b.version.toml")).expect("there");
    for line in [
        "warmer_mired = 25  # set for this version",
        "contrast = 1.3  # show/looks/base.toml:9",
        "gamut = \"s-gamut3.cine\"  # show/show.toml:15",
        "veil = 0.012  # preset of grade 1/4",
    ] {
        assert!(text.contains(line), "{line}: {text}");
    }
}

/// What a resolved recipe states and what it compiles to.
fn fingerprints(set: &Set, package: &Path, name: &str) -> (String, String) {
    let recipe = package.join(format!("resolved/{name}.toml"));
    let text = fs::read_to_string(&recipe).expect("there");
    let stated = text.lines().find_map(|line| line.strip_prefix("# fingerprint ")).expect("it states one").to_owned();
    let output = set.run(&["compile", &recipe.to_string_lossy(), "--out", &format!("single-{name}"), "--json"]);
    let document = json(&output);
    let compiled = document["luts"][0]["fingerprint"].as_str().unwrap_or_else(|| panic!("{name}: {document:#}"));
    (stated, compiled.to_owned())
}

#[test]
fn the_first_page_says_what_must_not_be_missed() {
    let text = start_here();
    for words in [
        "all looks of the show; dated 2026-11-30. Made by lookwright",
        "give full-range signal for bt1886 / bt709, the display of monitor onboard",
        "A look is applied once: take one row of this table, never two.",
        "edit decision lists; 2 of 3 events with the [grade] of their setup post/edl/",
        "made for the monitors hdr, onboard.",
        "7b dusk.7b-b.version a, b 4300 K ISO 800 T2.8",
        "14 graded a not said",
        "9 dusk.half b not said",
        // The look that the version took the place of lies there too.
        "NOT 7b dusk a, b superseded: setup 7b takes dusk.7b-b.version",
        "What is marked NOT was changed on set",
        "a: S-Log3 / S-Gamut3.Cine; b: LogC3 at EI 1280 / ARRI Wide Gamut 3, with a trim in every file",
        "The look is not in it, and neither is its exposure",
        "Diffusion on the lens: setup 14 (grade 1/8). It is in the negative",
        "Haze in the air: setup 7b. It is in the negative",
        "its halo is spatial, and no LUT holds that",
        "3 of 4 looks are more than an ASC CDL",
        "They are a place to start from, never the look.",
        "sha256sum -c SHA256SUMS",
        "lookwright receive PACKAGE",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let html = fs::read_to_string(whole().1.join("START-HERE.html")).expect("there");
    assert!(
        html.contains("Diffusion on the lens: setup 14 (grade 1/8)") && html.contains("dusk.7b-b.version"),
        "{html}"
    );
    // The figures are those of the files.
    let manifest = manifest(&whole().1);
    let most = |key: &str, figure: &str| {
        let all = manifest["post"].as_array().expect("a list").iter();
        all.map(|post| post[key][figure].as_f64().expect("a number")).fold(0.0, f64::max)
    };
    let truth = format!(
        "cubes miss it by {:.2} on average in the worst file and {:.2} at most, steps by {:.2} and {:.2}. With all hues and -6 to +6 stops single \
         channels are off by up to {:.0} ten-bit codes in cubes and {:.0} in steps",
        most("cube_error", "mean_de"),
        most("cube_error", "max_de"),
        most("clf_error", "mean_de"),
        most("clf_error", "max_de"),
        most("cube_error", "codes"),
        most("clf_error", "codes")
    );
    assert!(text.contains(&truth), "{truth}: {text}");
    let one = words_of(&small().1);
    assert!(one.contains("made for the monitor onboard."), "{one}");
}

fn manifest(package: &Path) -> Value {
    serde_json::from_slice(&fs::read(package.join("package.json")).expect("there")).expect("JSON")
}

fn rows(package: &Path, name: &str) -> Vec<BTreeMap<String, String>> {
    let text = fs::read_to_string(package.join(name)).expect("there");
    let mut lines = text.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
    let head = lines.next().expect("a head");
    lines
        .map(|cells| {
            assert_eq!(cells.len(), head.len(), "{name}: {cells:?}");
            head.iter().cloned().zip(cells).collect()
        })
        .collect()
}

/// The sheets' figures are those that `compile --json` has of the same recipe at full levels: its exact look, not its table.
#[test]
fn tables_hold_the_figures_of_the_exact_look() {
    let (set, package) = whole();
    for name in ["graded", "dusk"] {
        let recipe = format!("looks/{name}.toml");
        let full = ["--set", "lut.input_levels=full", "--set", "lut.size=5", "--out", "of-tables", "--json"];
        let document = json(&set.run(&[&["compile", &recipe], &full[..]].concat()));
        let verify = &document["luts"][0]["verify"];
        let number = |row: &BTreeMap<String, String>, key: &str| row[key].parse::<f64>().expect("a number");
        let near =
            |place: &str, row: &BTreeMap<String, String>, keys: [&str; 3], expected: &Value, scale: f64, by: f64| {
                for (index, key) in keys.into_iter().enumerate() {
                    let expected = expected[index].as_f64().expect("a number") * scale;
                    let found = number(row, key);
                    assert!((found - expected).abs() <= by, "{name} {place} {key}: {found}, {expected}");
                }
            };
        let shown = ["display_r", "display_g", "display_b"];
        let greys = rows(package, &format!("tables/{name}.a.grey.csv"));
        assert_eq!(greys.len(), 33);
        let mut compared = 0;
        for point in verify["grey"].as_array().expect("greys") {
            let stops = point["stops"].as_f64().expect("a number");
            if let Some(row) = greys.iter().find(|row| number(row, "stops") == stops) {
                near("grey", row, shown, &point["exact"], 1023.0, PRINTED_CODES);
                let code = point["code_in"].as_f64().expect("a number");
                assert!((number(row, "camera_code") - code).abs() <= PRINTED_CODES, "{name} {stops}: {code}");
                compared += 1;
            }
        }
        assert!(compared >= 17, "{compared} greys");
        let patches = rows(package, &format!("tables/{name}.a.patches.csv"));
        let mut compared = 0;
        for point in verify["patches"].as_array().expect("patches") {
            let (patch, stops) = (point["name"].as_str().expect("text"), point["stops"].as_f64().expect("a number"));
            let row = patches.iter().find(|row| row["patch"] == patch && number(row, "stops") == stops);
            let row = row.unwrap_or_else(|| panic!("no {patch} at {stops}"));
            near(patch, row, shown, &point["exact"], 1023.0, PRINTED_CODES);
            near(patch, row, ["lab_l", "lab_a", "lab_b"], &point["lab_exact"], 1.0, PRINTED_LAB);
            compared += 1;
        }
        assert_eq!(compared, 24 * 7);
    }
}

/// Whoever has nothing but a table knows what its numbers are codes of.
#[test]
fn tables_say_what_their_numbers_are() {
    let package = &whole().1;
    for (name, camera, display, white) in [
        ("dusk.a.grey", "s-log3 / s-gamut3.cine", "bt1886 / bt709", "100"),
        ("dusk.b.patches", "logc3 at EI 1280 / awg3", "bt1886 / bt709", "100"),
    ] {
        let rows = rows(package, &format!("tables/{name}.csv"));
        assert!(rows.len() > 30, "{name}: {} rows", rows.len());
        for row in rows {
            assert_eq!(row["camera_signal"], format!("full-range 10-bit codes of {camera}"), "{name}");
            assert_eq!(row["display_signal"], format!("full-range 10-bit codes of {display}"), "{name}");
            assert_eq!(row["lab_white"], format!("display white at {white} cd/m2"), "{name}");
        }
    }
}

/// Which setups use which look, for programs: a superseded cube is marked as that, and names what took its place.
#[test]
fn looks_say_which_setups_they_are_for() {
    let package = &whole().1;
    let looks = manifest(package)["looks"].clone();
    let expected = serde_json::json!([
        {"look": "graded", "part": "", "files": "graded", "setups": ["14"], "superseded": []},
        {"look": "dusk", "part": "", "files": "dusk", "setups": [],
         "superseded": [{"setup": "7b", "by": "dusk.7b-b.version"}]},
        {"look": "dusk", "part": "half", "files": "dusk.half", "setups": ["9"], "superseded": []},
        {"look": "dusk", "part": "7b-b", "files": "dusk.7b-b.version", "setups": ["7b"], "superseded": []},
    ]);
    assert_eq!(looks, expected, "{looks:#}");
    let viewer = fs::read_to_string(package.join("viewer.html")).expect("there");
    assert!(viewer.contains("look dusk, superseded, camera a") && viewer.contains("look dusk, version 7b-b, camera a"));
    let all = rows(package, "tables/looks.csv");
    let names: BTreeSet<String> = files(package).into_keys().filter(|name| name.starts_with("post/cube/")).collect();
    assert_eq!(all.iter().map(|row| row["cube"].clone()).collect::<BTreeSet<_>>(), names);
    let of = |files: &str| all.iter().find(|row| row["files"] == files).expect("a row");
    assert_eq!(of("dusk")["superseded"], "setup 7b takes dusk.7b-b.version");
    assert_eq!((of("dusk.7b-b.version")["setups"].as_str(), of("dusk")["setups"].as_str()), ("7b", ""));
}

/// In the package the sheets name files as they lie there.
#[test]
fn sheets_name_files_by_their_path_in_the_package() {
    let package = &whole().1;
    let there: BTreeSet<String> = files(package).into_keys().collect();
    let mut named = 0;
    for setup in ["7b", "14", "9"] {
        let text = fs::read_to_string(package.join(format!("setups/{setup}.txt"))).expect("there");
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for (before, after) in text.match_indices(", in ").map(|(at, found)| (&text[..at], &text[at + found.len()..])) {
            let Some((before, _)) = before.rsplit_once(", code ") else { continue };
            let (file, folder) =
                (before.rsplit(' ').next().expect("a name"), after.split(' ').next().expect("a folder"));
            assert!(there.contains(&format!("{folder}{file}")), "setup {setup}: {folder}{file}");
            named += 1;
        }
        let html = fs::read_to_string(package.join(format!("setups/{setup}.html"))).expect("there");
        assert!(html.contains("<code class=\"file\">monitors/<wbr>"), "setup {setup}");
    }
    // Two cameras and one of three setups, on two monitors, and one look for one.
    assert_eq!(named, 4 + 1 + 2);
}

#[test]
fn notes_and_versions_say_what_people_wrote() {
    let package = &whole().1;
    let notes = fs::read_to_string(package.join("notes.txt")).expect("there");
    for words in ["first week, on the quay", "a: deck", "said \"warm\"", "7b: ramp closes at 18:40"] {
        assert!(notes.contains(words), "{words}: {notes}");
    }
    let versions = fs::read_to_string(package.join("versions.txt")).expect("there");
    assert!(versions.contains("setup 7b: ") && versions.contains("5 mired warmer, made from 7b"), "{versions}");
    let lines: Vec<&str> = versions.lines().map(str::trim).collect();
    for line in [
        "superseded: LOOK dusk is not for setup 7b any more",
        "in use: LOOK dusk.7b-b.version",
        "in use: LOOK graded",
        "in use: LOOK dusk.half",
    ] {
        assert!(lines.contains(&line), "{line}: {versions}");
    }
}

/// Of some setups only their looks are packed, for their cameras; what belongs to the others stays at home.
#[test]
fn only_the_setups_that_were_named_are_packed() {
    let set = Set::new();
    let package = set.handoff("part", &["--setups", "9", "--display", "HDR"], None);
    let names: BTreeSet<String> = files(&package).into_keys().collect();
    let cubes: Vec<&String> = names.iter().filter(|name| name.starts_with("post/cube/")).collect();
    assert_eq!(cubes, ["post/cube/dusk.half.b.cube"]);
    let setups: Vec<&String> = names.iter().filter(|name| name.starts_with("setups/")).collect();
    assert_eq!(setups, ["setups/9.html", "setups/9.txt"]);
    let monitors: Vec<&String> = names.iter().filter(|name| name.starts_with("monitors/")).collect();
    assert!(monitors.len() == 2 && monitors.iter().all(|name| name.contains("half_b")), "{monitors:?}");
    let manifest = manifest(&package);
    assert_eq!(manifest["setups"], serde_json::json!(["9"]));
    let reference = serde_json::json!({"monitor": "hdr", "encoding": "pq", "gamut": "bt2020", "peak_nits": 203.0});
    assert_eq!(manifest["reference"], reference);
    // A camera's trim is no key of the recipe; whoever compiles the resolved recipe is told.
    let text = fs::read_to_string(package.join("resolved/dusk.half.toml")).expect("there");
    assert!(text.contains("# the camera's own trim, trims/b.toml, stands before everything here"), "{text}");
    let start = words_of(&package);
    assert!(start.contains("1 of 1 look is more than an ASC CDL: the nearest one"), "{start}");
    assert!(!start.contains("reports/") && !start.contains("NOT 7b"), "{start}");
    assert!(start.contains("setup 9") && start.contains("white at 203 cd/m²") && !start.contains("Haze"), "{start}");
    let arrived = crate::kit::receive(&package);
    assert_eq!((arrived.code, arrived.findings().len()), (Some(0), 0), "{:#}", arrived.document);
}

/// A monitor that not every look is seen on: the others are for their own, the first page says so, and the other side makes the same.
#[test]
fn a_display_that_some_looks_are_never_seen_on() {
    let set = Set::new();
    let package = set.handoff("hdr", &["--setups", "14,9", "--display", "hdr"], None);
    let manifest = manifest(&package);
    assert_eq!(manifest["reference"]["monitor"], "hdr");
    let monitors: BTreeSet<(String, String)> = manifest["post"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|post| ["look", "monitor"].map(|key| post[key].as_str().expect("text").to_owned()).into())
        .collect();
    let expected =
        [("dusk", "hdr"), ("graded", "onboard")].map(|(look, monitor)| (look.to_owned(), monitor.to_owned()));
    assert_eq!(monitors, BTreeSet::from(expected));
    let start = words_of(&package);
    assert!(start.contains("look graded for monitor onboard"), "{start}");
    let arrived = crate::kit::receive(&package);
    assert_eq!((arrived.code, arrived.findings().len()), (Some(0), 0), "{:#}", arrived.document);
    // Where no look is seen on it at all, the package is for the first that one is.
    let package = set.handoff("none", &["--setups", "14", "--display", "hdr"], None);
    assert_eq!(self::manifest(&package)["reference"]["monitor"], "onboard");
    assert_eq!(crate::kit::receive(&package).code, Some(0));
}

#[test]
fn dates_are_those_that_were_given_or_the_newest_version_s() {
    let set = Set::new();
    let dated = |out: &str, date: &[&str]| {
        let all = [&["handoff", "show.toml", "--setups", "14", "--json", "--no-reports", "--out", out], date].concat();
        json(&set.run(&all))["manifest"]["date"].clone()
    };
    assert_eq!(dated("1.zip", &[]), "2026-11-28T18:40:00Z");
    // A date alone is what all packages of these tests have.
    assert_eq!(manifest(&whole().1)["date"], format!("{DATE}T00:00:00Z"));
    assert_eq!(dated("2.zip", &["--date", "2027-01-02T09:00:00+01:00"]), "2027-01-02T08:00:00Z");
    set.change("show.toml", "[[version]]", "[[setup]]\nid = \"99\"\nlook = \"graded\"\n# [[version]]");
    let text = fs::read_to_string(set.path("show.toml")).expect("there");
    let (before, _) = text.split_once("# [[version]]").expect("there");
    set.write("show.toml", before);
    assert_eq!(dated("3.zip", &[]), "1980-01-01T00:00:00Z");
}

#[test]
fn json_tells_every_file_and_the_manifest() {
    let set = Set::new();
    let output = set.run(&["handoff", "show.toml", "--setups", "14", "--out", "x", "--date", "2026-11-30", "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let document = json(&output);
    let listed: BTreeSet<&str> =
        document["files"].as_array().expect("a list").iter().filter_map(|file| file["path"].as_str()).collect();
    let there = files(&set.path("x"));
    assert_eq!(listed, there.keys().map(String::as_str).collect());
    assert_eq!(document["manifest"], manifest(&set.path("x")));
    assert_eq!(document["package"], "x");
}

#[test]
fn what_can_t_be_packed_is_refused_before_anything_is_made() {
    let set = Set::new();
    let case = |arguments: &[&str], code: i32, words: &str| {
        let (found, told) = set.refused(&[&["handoff", "show.toml"], arguments].concat());
        assert_eq!(found, Some(code), "{arguments:?}: {told}");
        assert!(told.contains(words), "{arguments:?}: {words}: {told}");
        assert!(!set.path("luts-out").exists(), "{arguments:?} made LUT files");
    };
    case(&["--out", "x.zip", "--setups", "7b,99"], 2, "LW0603");
    case(&["--out", "x.zip", "--display", "cinema"], 2, "LW0603");
    case(&["--out", "x.zip", "--date", "30.11.2026"], 2, "LW0823");
    case(&["--out", "x.zip", "--edl", "other.edl"], 3, "LW0401");
    set.write("there.zip", "not to be lost");
    case(&["--out", "there.zip"], 3, "LW0403");
    set.write("there/file", "not to be lost");
    case(&["--out", "there"], 3, "LW0403");
    assert_eq!(fs::read(set.path("there.zip")).expect("there"), b"not to be lost");
    assert!(!set.path("x.zip").exists());
    let (code, told) = set.refused(&["handoff", "nowhere.toml", "--out", "x.zip"]);
    assert_eq!(code, Some(3), "{told}");
}

/// Paths that lead nowhere on another machine, wherever they are written.
#[test]
fn absolute_paths_are_refused() {
    let case = |file: &str, from: &str, to: &str| {
        let set = Set::new();
        write(&set.path("looks/cube.cube"), b"LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        let folder = set.folder.path().to_string_lossy().into_owned();
        set.change(file, from, &to.replace("FOLDER", &folder));
        let (code, told) = set.refused(&["handoff", "show.toml", "--setups", "14", "--out", "x.zip"]);
        assert_eq!(code, Some(2), "{to}: {told}");
        assert!(told.contains("LW0820") && told.contains("relative"), "{to}: {told}");
        assert!(!set.path("x.zip").exists(), "{to}");
    };
    case("show.toml", "\"looks/graded.toml\"", "\"FOLDER/looks/graded.toml\"");
    case("show.toml", "\"trims/b.toml\"", "\"FOLDER/trims/b.toml\"");
    case("looks/graded.toml", "\"base.toml\"", "\"FOLDER/looks/base.toml\"");
    case("looks/graded.toml", "[grade]", "[after]\ncube = \"FOLDER/looks/cube.cube\"\ndomain = \"display\"\n[grade]");
}
