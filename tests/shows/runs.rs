//! What a run of a show writes, leaves, replaces and removes; and that breaking it off breaks nothing.

use super::kit::{SHOW, Set, WARM, count};
use lookwright::compile::fingerprint_in;
use lookwright::formats::cube::{self, Tables};
use lookwright::plan::hex;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

const COMPILE: [&str; 2] = ["compile", "show.toml"];

#[test]
fn every_look_camera_and_monitor_has_its_file() {
    let set = Set::new();
    let (code, document) = set.json(&COMPILE);
    assert_eq!(code, Some(0), "{document:#}");
    let cubes = set.cubes();
    // (2 looks + 1 variant) × 2 cameras × 2 monitors.
    assert_eq!((cubes.len(), count(&document, "written")), (12, 12));
    let names: BTreeSet<String> = cubes.keys().map(|name| name.to_lowercase()).collect();
    assert_eq!(names.len(), cubes.len(), "two files differ only by case");
    for lut in document["luts"].as_array().expect("a list") {
        let file = lut["file"].as_str().expect("a path");
        let name = file.strip_prefix("luts-out/").expect("in the usual folder");
        let bytes = &cubes[name];
        assert_eq!(lut["sha256"], hex(&Sha256::digest(bytes)), "{file}");
        let parts: Vec<&str> = name.split('/').collect();
        let (monitor, look) = (lut["monitor_id"].as_str().expect("an id"), lut["look"].as_str().expect("an id"));
        assert_eq!(parts[..3], ["quay-test", monitor, look], "{file}");
        let stem = parts[3].strip_suffix(".cube").expect("a cube file");
        let code = lut["code"].as_str().expect("a code");
        assert!(stem.to_uppercase().ends_with(code), "{file} ends with its code {code}");
        let read = cube::parse(name, bytes).expect("whole");
        assert!(matches!(&read.tables, Tables::Three(table) if table.size() == 9), "{file}");
        let text = String::from_utf8(bytes.clone()).expect("ASCII");
        if monitor == "onboard" {
            assert!(stem.len() <= 16 && stem.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_'));
            assert_eq!(fingerprint_in(&read.comments), lut["fingerprint"].as_str());
            assert!(!text.contains('\r'), "{file}");
        } else {
            assert!(stem.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'), "{file}");
            assert!(!text.contains('#') && text.lines().count() == text.matches("\r\n").count(), "{file}");
        }
    }
    for page in ["loading-card.html", "loading-card.txt", "consistency.html", "consistency.txt"] {
        assert!(set.path("luts-out/quay-test").join(page).is_file(), "{page}");
    }
}

#[test]
fn what_is_unchanged_is_left_and_what_changed_is_made_again() {
    let set = Set::new();
    set.json(&COMPILE);
    let before = set.cubes();
    let (code, again) = set.json(&COMPILE);
    assert_eq!((code, count(&again, "unchanged"), count(&again, "written")), (Some(0), 12, 0));
    // A comment changes no picture.
    set.change("warm.toml", "[white]", "# warmer than last year\n[white]");
    assert_eq!(count(&set.json(&COMPILE).1, "unchanged"), 12);
    set.change("warm.toml", "= 24", "= 25");
    let (_, changed) = set.json(&COMPILE);
    assert_eq!((count(&changed, "unchanged"), count(&changed, "written")), (4, 8));
    for lut in changed["luts"].as_array().expect("a list").iter().filter(|lut| lut["status"] == "written") {
        assert!(lut["replaced"].is_string(), "what was replaced is told: {lut:#}");
    }
    let after = set.cubes();
    assert!(before.keys().eq(after.keys()), "names stay");
    // One file was edited by hand, one is gone.
    let names: Vec<&String> = after.keys().collect();
    fs::write(set.path("luts-out").join(names[0]), "edited").expect("writable");
    fs::remove_file(set.path("luts-out").join(names[5])).expect("there");
    assert_eq!(count(&set.json(&COMPILE).1, "written"), 2);
    assert_eq!(set.cubes(), after);
    let (_, forced) = set.json(&["compile", "show.toml", "--force"]);
    assert_eq!(count(&forced, "written"), 12);
    assert_eq!(set.cubes(), after);
    // Tolerances are no part of a table, but of what was proved of it.
    set.change("warm.toml", "grey_codes = 300", "grey_codes = 0.001");
    let (code, strict) = set.json(&COMPILE);
    assert_eq!((code, count(&strict, "written")), (Some(1), 8));
    assert_eq!(set.json(&COMPILE).0, Some(1), "what missed a tolerance still misses it when it is left as it is");
}

#[test]
fn files_of_looks_that_are_gone_are_told_and_removed_on_request_only() {
    let set = Set::new();
    set.json(&COMPILE);
    set.change("show.toml", ", exposure_stops = 1.0", ", exposure_stops = 1.0, monochrome = true");
    set.change("show.toml", "id = \"p1\"", "id = \"night\"");
    let (_, document) = set.json(&COMPILE);
    assert_eq!(document["left"].as_array().map(Vec::len), Some(4), "{document:#}");
    assert_eq!(set.cubes().len(), 16);
    let edited = document["left"][0]["file"].as_str().expect("a path").to_owned();
    fs::write(set.path("luts-out/quay-test").join(&edited), "mine now").expect("writable");
    let (_, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!(document["removed"].as_array().map(Vec::len), Some(3));
    assert_eq!(document["left"][0]["file"], edited.as_str());
    assert!(set.path("luts-out/quay-test").join(&edited).is_file(), "what somebody changed is never removed");
    assert_eq!(set.cubes().len(), 13);
}

#[test]
fn nothing_is_written_where_anything_is_wrong() {
    let set = Set::new();
    set.change("cold.toml", "contrast = 1.25", "contrast = \"hard\"");
    let output = set.run(&COMPILE);
    assert_eq!(output.status.code(), Some(2));
    assert!(!set.path("luts-out").exists());
}

#[test]
fn two_runs_at_once_do_not_mix() {
    let set = Set::new();
    fs::create_dir_all(set.path("luts-out/quay-test")).expect("writable");
    let lock = fs::File::create(set.path("luts-out/quay-test/.lock")).expect("writable");
    lock.lock().expect("nobody else has it");
    let output = set.run(&COMPILE);
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(3), "{words}");
    assert!(words.contains("LW0404") && words.contains("another run is writing"), "{words}");
    assert_eq!(set.cubes().len(), 0);
    drop(lock);
    assert_eq!(set.run(&COMPILE).status.code(), Some(0));
}

/// More looks, so that a run lasts long enough to be broken off.
fn long_show(set: &Set) {
    let variants: Vec<String> =
        (0..40).map(|n| format!("{{ id = \"v{n}\", strength = {} }}", 0.1 + 0.02 * f64::from(n))).collect();
    set.change(
        "show.toml",
        "variants = [{ id = \"p1\", exposure_stops = 1.0 }]",
        &format!("variants = [{}]", variants.join(", ")),
    );
    set.write("show.toml", &set.read("show.toml").replace("size = 9", "size = 33"));
}

#[cfg(unix)]
#[test]
fn a_run_that_is_killed_leaves_whole_files_and_the_next_goes_on() {
    let set = Set::new();
    long_show(&set);
    let mut child = set.command(&COMPILE).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("starts");
    let started = Instant::now();
    while set.cubes().len() < 8 && started.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(20));
    }
    child.kill().expect("runs");
    child.wait().expect("ends");
    let cubes = set.cubes();
    assert!(cubes.len() >= 8, "only {} files after a minute", cubes.len());
    for (name, bytes) in &cubes {
        cube::parse(name, bytes).unwrap_or_else(|found| panic!("{name} is not whole: {found:?}"));
    }
    // A half-written file of the killed run, whether there is one or not.
    let folder = set.path("luts-out/quay-test/onboard/warm");
    fs::write(folder.join(".lookwright-x.part"), "half").expect("writable");
    let (code, document) = set.json(&COMPILE);
    assert_eq!(code, Some(0), "{document:#}");
    let (unchanged, written) = (count(&document, "unchanged"), count(&document, "written"));
    assert!(unchanged + 4 >= cubes.len(), "{unchanged} of {} finished files were kept", cubes.len());
    assert_eq!(unchanged + written, 168);
    assert!(!folder.join(".lookwright-x.part").exists(), "half files are swept");
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_after_the_files_at_hand_and_says_so() {
    let set = Set::new();
    long_show(&set);
    let mut all = COMPILE.to_vec();
    all.push("--json");
    let child = set.command(&all).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("starts");
    let started = Instant::now();
    while set.cubes().len() < 4 && started.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(20));
    }
    let sent = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    assert!(sent.success());
    let output = child.wait_with_output().expect("ends");
    assert_eq!(output.status.code(), Some(130));
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).expect("a document, even so");
    let (written, not_done) = (count(&document, "written"), count(&document, "not done"));
    assert_eq!(document["stopped"], true);
    assert_eq!(written, set.cubes().len(), "what is said to be written is there, and nothing else");
    assert!(written >= 4 && not_done > 0 && written + not_done == 168, "{written} + {not_done}");
    for (name, bytes) in &set.cubes() {
        cube::parse(name, bytes).unwrap_or_else(|found| panic!("{name} is not whole: {found:?}"));
    }
}

/// A folder that can't be written to stands for a full disk: the run ends, says what it wrote, and leaves it whole.
#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_written_ends_the_run_and_the_rest_is_told() {
    let set = Set::new();
    set.json(&COMPILE);
    let before = set.cubes();
    set.change("warm.toml", "= 24", "= 30");
    set.change("cold.toml", "= -24", "= -30");
    // A folder stands where a file should be: no permission helps, also not root's.
    let blocked = before.keys().find(|name| name.contains("onboard/cold")).expect("a file").clone();
    let path = set.path("luts-out").join(&blocked);
    fs::remove_file(&path).expect("there");
    fs::create_dir(&path).expect("free");
    let (code, document) = set.json(&["compile", "show.toml", "--threads", "1"]);
    assert_eq!(code, Some(3), "{document:#}");
    assert_eq!(count(&document, "failed"), 1);
    let message = document["diagnostics"][0]["message"].as_str().expect("words");
    assert!(message.contains(blocked.rsplit('/').next().expect("a name")), "{message}");
    for (name, bytes) in &set.cubes() {
        cube::parse(name, bytes).unwrap_or_else(|found| panic!("{name} is not whole: {found:?}"));
    }
    fs::remove_dir(&path).expect("empty");
    assert_eq!(set.json(&COMPILE).0, Some(0), "the next run goes on");
    assert_eq!(set.cubes().len(), before.len());
}

#[test]
fn options_of_shows_are_refused_for_recipes_and_the_other_way_round() {
    let set = Set::new();
    let refused = |arguments: &[&str], words: &str| {
        let output = set.run(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
        assert!(!set.path("luts-out").exists(), "{arguments:?}");
    };
    refused(&["compile", "warm.toml", "--prune"], "--prune needs a show");
    refused(&["compile", "show.toml", "warm.toml"], "this is a show, not a recipe");
    refused(&["compile", "show.toml", "--set", "white.warmer_mired=5"], "changes one setup's look");
    refused(&["compile", "show.toml", "--setup", "7b", "--set", "white.warmer_mired=5"], "needs a name of its own");
    refused(&["compile", "show.toml", "--setup", "7b", "--as", "7b-b"], "needs a change");
    refused(&["compile", "show.toml", "--setup", "7c"], "did you mean \"7b\"?");
    refused(&["compile", "show.toml", "--size", "1"], "expected 2 to 129");
    refused(&["explain", "show.toml"], "this is a show, not a recipe");
}

#[test]
fn the_size_is_asked_for_every_monitor_or_the_nearest_that_it_accepts() {
    let set = Set::new();
    set.change("show.toml", "charset = \"lower\"", "sizes = [5, 17], charset = \"lower\"");
    let (_, document) = set.json(&["compile", "show.toml", "--size", "12"]);
    for lut in document["luts"].as_array().expect("a list") {
        let size = if lut["monitor_id"] == "client" { 17 } else { 12 };
        assert_eq!(lut["size"], size, "{}", lut["file"]);
    }
    assert!(SHOW.contains("size = 9") && WARM.contains("24"));
}

#[test]
fn a_device_that_knows_one_name_gets_a_folder_for_each_file() {
    let set = Set::new();
    set.change("show.toml", "charset = \"upper\"", "charset = \"upper\", name = \"VIEW.cube\"");
    let (code, _) = set.json(&COMPILE);
    assert_eq!(code, Some(0));
    let fixed: Vec<String> = set.cubes().into_keys().filter(|name| name.ends_with("/VIEW.cube")).collect();
    assert_eq!(fixed.len(), 6, "{fixed:?}");
}

#[test]
fn two_shows_do_not_share_a_folder() {
    let set = Set::new();
    set.json(&COMPILE);
    let before = set.cubes();
    set.write(
        "other.toml",
        &SHOW
            .replace("Quay test", "Quay: Test")
            .replace("id = \"warm\"", "id = \"hot\"")
            .replace("look = \"warm\"", "look = \"hot\""),
    );
    let (code, document) = set.json(&["compile", "other.toml", "--prune"]);
    assert_eq!((code, &document["diagnostics"][0]["code"]), (Some(3), &serde_json::Value::from("LW0406")));
    assert_eq!(set.cubes(), before);
}

#[test]
fn ids_that_differ_in_a_hyphen_have_folders_of_their_own() {
    let set = Set::new();
    set.change("show.toml", "id = \"onboard\"", "id = \"deck-1\"");
    set.change("show.toml", "id = \"client\"", "id = \"deck_1\"");
    assert_eq!(set.json(&COMPILE).0, Some(0));
    assert_eq!(set.cubes().len(), 12);
}

#[test]
fn the_card_speaks_of_what_is_there_now() {
    let set = Set::new();
    set.json(&COMPILE);
    let card = || set.read("luts-out/quay-test/loading-card.txt");
    assert!(!card().contains("not made yet"));
    let name = set.cubes().into_keys().find(|name| name.contains("onboard/warm")).expect("a file");
    fs::remove_file(set.path("luts-out").join(&name)).expect("there");
    set.json(&["compile", "show.toml", "--setup", "9"]);
    assert_eq!(card().matches("not made yet").count(), 2, "once for the file, once in the sum: {}", card());
}

/// A page that can't be written is told beside what was made.
#[test]
fn a_page_that_cannot_be_written_hides_nothing() {
    let set = Set::new();
    fs::create_dir_all(set.path("luts-out/quay-test/loading-card.html")).expect("writable");
    let (code, document) = set.json(&COMPILE);
    assert_eq!((code, count(&document, "written")), (Some(3), 12), "{document:#}");
}

#[cfg(unix)]
#[test]
fn shows_and_recipes_come_from_pipes_too() {
    use std::io::Write as _;
    let set = Set::new();
    let recipe = WARM.replace("[white]", "[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[white]");
    for (arguments, text) in [
        (["compile", "/dev/stdin"], recipe.as_str()),
        (["check", "/dev/stdin"], &recipe),
        (["check", "/dev/stdin"], SHOW),
    ] {
        let mut child = set
            .command(&arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("starts");
        child.stdin.take().expect("piped").write_all(text.as_bytes()).expect("read");
        let output = child.wait_with_output().expect("ends");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        // A show from a pipe looks for its recipes in /dev: that is told at their lines.
        let shows_recipes_are_missing = text == SHOW && said.contains("LW0113");
        assert!(output.status.success() || shows_recipes_are_missing, "{arguments:?}: {said}");
    }
}
