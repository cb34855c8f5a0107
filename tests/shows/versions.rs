//! Looks that are changed on the day: written beside the old ones, recorded in the show, found again.

use super::kit::{SHOW, Set, count};
use serde_json::Value;
use std::fs;

fn change(set: &Set, arguments: &[&str]) -> (Option<i32>, Value) {
    let mut all = vec!["compile", "show.toml"];
    all.extend(arguments);
    set.json(&all)
}

#[test]
fn a_version_stands_beside_the_old_files_and_is_recorded() {
    let set = Set::new();
    set.json(&["compile", "show.toml"]);
    let before = set.cubes();
    let (code, document) = change(
        &set,
        &["--setup", "7b", "--set", "white.warmer_mired=+5", "--set", "tone.contrast=1.3", "--as", "7b-b"],
    );
    assert_eq!(code, Some(0), "{document:#}");
    assert_eq!(document["version"]["changed"], "5 mired warmer, contrast 1.25 → 1.30");
    // The setup has one camera, its look two monitors.
    assert_eq!(count(&document, "written"), 2);
    let after = set.cubes();
    assert_eq!(after.len(), before.len() + 2);
    assert!(before.iter().all(|(name, bytes)| after.get(name) == Some(bytes)), "the old files are as they were");
    let show = set.read("show.toml");
    assert!(show.starts_with(SHOW), "comments and order stay");
    assert!(show.contains("id = \"7b-b\"") && show.contains("from = \"7b\""), "{show}");
    assert!(show.contains("set = [\"white.warmer_mired=29\", \"tone.contrast=1.3\"]"), "{show}");
    // When it was made, to the minute, with the distance from UTC (ISO 8601): a moment, wherever it is read.
    let made = show.split_once("made = \"").and_then(|(_, rest)| rest.split_once('"')).expect("it says when").0;
    assert_eq!(made.len(), "2026-11-28 18:40+01:00".len(), "{made}");
    let moment: jiff::Timestamp = made.parse().expect("a moment");
    let minutes = moment.duration_until(jiff::Timestamp::now()).as_mins();
    assert!((0..10).contains(&minutes), "{made} is {minutes} minutes ago");
    // The next one starts from the newest; one can start from an earlier.
    let (_, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+1", "--as", "7b-c"]);
    assert_eq!(document["version"]["changed"], "1 mired warmer");
    assert_eq!(document["version"]["from"], "7b-b");
    let (_, document) =
        change(&set, &["--setup", "7b", "--set", "white.warmer_mired=20", "--as", "7b-d", "--from", "7b"]);
    assert_eq!(document["version"]["changed"], "4 mired cooler");
    // The whole show now has them all, and nothing is left to do for them.
    let (code, document) = set.json(&["compile", "show.toml"]);
    assert_eq!((code, count(&document, "unchanged"), count(&document, "written")), (Some(0), 18, 0), "{document:#}");
}

#[test]
fn the_log_lists_versions_in_order_with_what_changed() {
    let set = Set::new();
    change(&set, &["--setup", "9", "--set", "exposure.stops=+0.3", "--as", "9-b"]);
    change(&set, &["--setup", "7b", "--set", "white.greener_cc=+2", "--as", "7b-b"]);
    change(&set, &["--setup", "9", "--set", "exposure.stops-=0.1", "--set", "colour.saturation=0.9", "--as", "9-c"]);
    let (code, document) = set.json(&["log", "show.toml"]);
    assert_eq!(code, Some(0));
    let setup = |place: usize| &document["setups"][place];
    let ids = |setup: &Value| -> Vec<String> {
        let versions = setup["versions"].as_array().expect("a list");
        versions.iter().map(|version| version["id"].as_str().expect("an id").to_owned()).collect()
    };
    assert_eq!(ids(setup(0)), ["7b", "7b-b"]);
    assert_eq!(ids(setup(1)), ["9", "9-b", "9-c"]);
    assert_eq!(setup(0)["versions"][1]["changed"], "2 CC greener");
    assert_eq!(setup(1)["versions"][1]["changed"], "0.3 stops brighter");
    assert_eq!(setup(1)["versions"][2]["changed"], "0.1 stops darker, saturation 1.0 → 0.9");
    let prints: std::collections::BTreeSet<&str> = setup(1)["versions"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|v| v["look_fingerprint"].as_str())
        .collect();
    assert_eq!(prints.len(), 3, "each version is another look");
    let text = String::from_utf8(set.run(&["log", "show.toml", "--setup", "9"]).stdout).expect("UTF-8");
    assert!(!text.contains("7b") && text.contains("9-c") && text.contains("newest"), "{text}");
}

#[test]
fn what_a_monitor_may_hold_is_never_replaced() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    let made = set.cubes();
    let (code, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+9", "--as", "7b-b"]);
    assert_eq!(code, Some(2), "{document:#}");
    assert_eq!(document["diagnostics"][0]["code"], "LW0602");
    assert_eq!(set.cubes(), made);
    // The record is lost, and somebody makes another look of the same name: the files are held.
    set.write("show.toml", SHOW);
    let (code, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+9", "--as", "7b-b"]);
    assert_eq!(code, Some(3), "{document:#}");
    assert_eq!(document["version"]["recorded"], false);
    assert_eq!(document["diagnostics"][0]["code"], "LW0405");
    assert_eq!(set.cubes(), made);
    assert_eq!(set.read("show.toml"), SHOW, "a version that could not be made is not recorded");
    // The same look again is the same file, and the record comes back.
    let (code, _) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    assert_eq!(code, Some(0));
    assert_eq!(set.cubes(), made);
    assert!(set.read("show.toml").contains("7b-b"));
}

#[test]
fn a_recipe_that_changes_under_a_version_is_told_and_its_files_stay() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    set.json(&["compile", "show.toml"]);
    let before = set.cubes();
    set.change("warm.toml", "contrast = 1.25", "contrast = 1.4");
    let (code, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!(code, Some(0), "{document:#}");
    assert_eq!(document["diagnostics"][0]["code"], "LW0612");
    assert_eq!(document["removed"].as_array().map(Vec::len), Some(0));
    let after = set.cubes();
    for (name, bytes) in before.iter().filter(|(name, _)| name.to_lowercase().contains("7b_b")) {
        assert_eq!(after.get(name), Some(bytes), "{name}");
    }
    assert_eq!(before.iter().filter(|(name, _)| name.to_lowercase().contains("7b_b")).count(), 2);
    let (_, log) = set.json(&["log", "show.toml", "--setup", "7b"]);
    assert!(log["setups"][0]["versions"][1]["drifted"].is_string(), "{log:#}");
    set.change("warm.toml", "contrast = 1.4", "contrast = 1.25");
    assert!(set.json(&["log", "show.toml"]).1["setups"][0]["versions"][1]["drifted"].is_null());
}

#[test]
fn what_is_not_the_looks_is_refused() {
    let set = Set::new();
    let code = |set_to: &str| {
        change(&set, &["--setup", "7b", "--set", set_to, "--as", "x"]).1["diagnostics"][0]["code"].clone()
    };
    assert_eq!(code("display.peak_nits=200"), "LW0609");
    assert_eq!(code("camera.encoding=logc4"), "LW0609");
    assert_eq!(code("lut.size=17"), "LW0609");
    assert_eq!(code("trim.stops=0.1"), "LW0609");
    assert_eq!(code("look.name=Other"), "LW0609");
    assert_eq!(code("white.warmer_mired=24"), "LW0611");
    assert_eq!(code("tone.hue_hold=0"), "LW0611");
    assert_eq!(code("white.wramer_mired=+5"), "LW0102");
    assert_eq!(code("adaptation=+5"), "LW0116");
    assert_eq!(code("white.greener_duv=+0.001"), Value::Null, "a key that is not written starts from its default");
    let other = Set::new();
    let (code, document) = change(&other, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b"]);
    assert_eq!((code, &document["diagnostics"][0]["code"]), (Some(2), &Value::from("LW0602")), "{document:#}");
    let (code, _) = change(&other, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "P1"]);
    assert_eq!(code, Some(2), "a variant of the look has that name");
    assert_eq!(other.read("show.toml"), SHOW);
}

#[test]
fn line_ends_and_a_missing_last_one_stay_as_they_are() {
    let set = Set::new();
    let show = SHOW.trim_end().replace('\n', "\r\n");
    set.write("show.toml", &show);
    let (code, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    assert_eq!(code, Some(0), "{document:#}");
    let after = set.read("show.toml");
    assert!(after.starts_with(&show));
    assert_eq!(after.matches('\n').count(), after.matches("\r\n").count());
    assert_eq!(set.json(&["check", "show.toml"]).0, Some(0));
}

#[test]
fn loose_files_are_found_again_by_header_and_by_numbers() {
    let set = Set::new();
    set.json(&["compile", "show.toml"]);
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    for (name, bytes) in set.cubes() {
        let text = String::from_utf8(bytes).expect("ASCII");
        let stripped: String = text
            .lines()
            .filter(|line| !line.starts_with('#') && !line.starts_with("TITLE"))
            .fold(String::new(), |text, line| text + line + "\n");
        fs::write(set.path("loose.cube"), stripped).expect("writable");
        let (code, document) = set.json(&["identify", "loose.cube"]);
        assert_eq!(code, Some(0), "{name}: {document:#}");
        let parts: Vec<&str> = name.split('/').collect();
        // Both monitors show the same picture here, so that their tables are equal: the file is one of two.
        let matches = document["files"][0]["matches"].as_array().expect("a list");
        let path = parts[1..].join("/");
        assert!(matches.iter().any(|found| found["file"] == path.as_str()), "{name}: {matches:#?}");
        assert_eq!(matches.len(), 2, "{name}: {matches:#?}");
        assert!(matches.iter().all(|found| found["look"] == parts[2]), "{name}");
    }
    set.run(&[
        "compile",
        "warm.toml",
        "--set",
        "camera.encoding=logc4",
        "--set",
        "camera.gamut=awg4",
        "--out",
        "other",
    ]);
    let (code, document) = set.json(&["identify", "other/quay-warm.cube"]);
    assert_eq!(code, Some(1), "{document:#}");
    assert_eq!(document["files"][0]["identified"], false);
    assert!(document["files"][0]["nearest"].as_array().is_some_and(|near| !near.is_empty()));
}

/// After a version was made, its monitor shows another gamut: its file stays, everything else is made, and the run says so.
#[test]
fn a_version_whose_monitor_changes_holds_up_nobody_else() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    set.json(&["compile", "show.toml"]);
    let before = set.cubes();
    set.change("show.toml", "id = \"onboard\"", "id = \"onboard\"\ngamut = \"p3-d65\"");
    let (code, document) = set.json(&["compile", "show.toml"]);
    assert_eq!(code, Some(1), "{document:#}");
    assert_eq!((count(&document, "held"), count(&document, "written"), count(&document, "unchanged")), (1, 6, 7));
    assert!(document["diagnostics"].as_array().expect("a list").iter().any(|one| one["code"] == "LW0405"));
    let after = set.cubes();
    for (name, bytes) in before.iter().filter(|(name, _)| name.to_lowercase().contains("7b_b")) {
        assert_eq!(after.get(name), Some(bytes), "{name}");
    }
    // Moved away, it is made anew.
    let held = before.keys().find(|name| name.contains("onboard") && name.contains("7B_B")).expect("its file");
    fs::remove_file(set.path("luts-out").join(held)).expect("there");
    assert_eq!(set.json(&["compile", "show.toml"]).0, Some(0));
}

#[test]
fn a_version_follows_new_header_rules_with_the_same_numbers() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    set.change(
        "show.toml",
        "name_max = 16, charset = \"upper\"",
        "name_max = 16, charset = \"upper\", comments = false, newline = \"crlf\"",
    );
    assert_eq!(set.json(&["compile", "show.toml"]).0, Some(0));
    for (name, bytes) in set.cubes() {
        let text = String::from_utf8(bytes).expect("ASCII");
        assert!(!text.contains('#') && text.matches('\n').count() == text.matches("\r\n").count(), "{name}");
    }
}

/// Two digits are few: names meet, and no later look takes that of a version.
#[test]
fn no_look_takes_the_file_of_a_version() {
    let set = Set::new();
    set.change("show.toml", "name_max = 16, charset = \"upper\"", "name_max = 2, charset = \"digits\"");
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    let made = set.cubes();
    let show = set.read("show.toml");
    for count_of_variants in 2..40 {
        let variants: Vec<String> =
            (0..count_of_variants).map(|n| format!("{{ id = \"w{n}\", strength = 0.{n:02} }}")).collect();
        set.write("show.toml", &show.replace("{ id = \"p1\", exposure_stops = 1.0 }", &variants.join(", ")));
        if count_of_variants % 13 == 0 {
            set.json(&["compile", "show.toml", "--no-verify"]);
            let after = set.cubes();
            assert!(
                made.iter().all(|(name, bytes)| after.get(name) == Some(bytes)),
                "with {count_of_variants} variants"
            );
        }
    }
}

#[test]
fn prune_leaves_the_files_of_versions() {
    let set = Set::new();
    change(&set, &["--setup", "9", "--set", "white.warmer_mired=+5", "--as", "9-b"]);
    let made = set.cubes();
    assert_eq!(made.len(), 4);
    set.change("show.toml", "look = \"cold\"", "look = \"cold\"\ncameras = [\"a\"]");
    let (code, document) = set.json(&["compile", "show.toml", "--prune"]);
    assert_eq!(code, Some(0), "{document:#}");
    let after = set.cubes();
    assert!(made.iter().all(|(name, bytes)| after.get(name) == Some(bytes)));
    let output = set.run(&["compile", "show.toml", "--prune", "--setup", "9"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn two_records_at_once_are_both_kept_or_one_is_refused() {
    let set = Set::new();
    let children: Vec<_> = (0..4)
        .map(|n| {
            let (id, out) = (format!("7b-{n}"), format!("out{n}"));
            set.command(&[
                "compile",
                "show.toml",
                "--setup",
                "7b",
                "--set",
                "white.warmer_mired=+5",
                "--as",
                &id,
                "--out",
                &out,
            ])
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("starts")
        })
        .collect();
    let ended: Vec<bool> =
        children.into_iter().map(|child| child.wait_with_output().expect("ends").status.success()).collect();
    let show = set.read("show.toml");
    for (n, kept) in ended.iter().enumerate() {
        assert_eq!(show.contains(&format!("id = \"7b-{n}\"")), *kept, "7b-{n}: {ended:?}\n{show}");
    }
    assert!(ended.contains(&true));
}

#[test]
fn hand_written_nonsense_in_records_is_told_and_shown() {
    let set = Set::new();
    set.write(
        "show.toml",
        &format!("{SHOW}[[version]]\nsetup = \"7b\"\nid = \"7b-b\"\nfrom = \"7b\"\nlook_fingerprint = \"aéééééé\"\n"),
    );
    let (code, document) = set.json(&["log", "show.toml"]);
    assert_eq!(code, Some(0), "{document:#}");
    assert!(
        String::from_utf8(set.run(&["log", "show.toml"]).stdout)
            .is_ok_and(|text| text.contains("no longer what it was"))
    );
}

#[test]
fn a_tint_in_the_other_unit_is_one_change() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.greener_cc=2", "--as", "x"]);
    let (_, document) = change(&set, &["--setup", "7b", "--set", "white.greener_duv=0.001", "--as", "y"]);
    assert_eq!(document["version"]["changed"], "green 2 CC → 0.001 Duv");
}

#[test]
fn an_earlier_version_comes_back_under_a_new_name() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    change(&set, &["--setup", "7b", "--set", "tone.contrast=1.4", "--as", "7b-c"]);
    let (code, document) = change(&set, &["--setup", "7b", "--from", "7b-b", "--as", "7b-d"]);
    assert_eq!((code, &document["version"]["changed"]), (Some(0), &Value::from("back to 7b-b")), "{document:#}");
    let (_, log) = set.json(&["log", "show.toml", "--setup", "7b"]);
    let versions = &log["setups"][0]["versions"];
    assert_eq!(versions[3]["look_fingerprint"], versions[1]["look_fingerprint"]);
    assert_eq!(versions[3]["files"].as_array().map(Vec::len), Some(2));
    // What holds already is no change.
    let (code, document) = change(&set, &["--setup", "7b", "--from", "7b-b", "--as", "7b-e"]);
    assert_eq!((code, &document["diagnostics"][0]["code"]), (Some(2), &Value::from("LW0611")));
    // The recipe as it stands comes back by the setup's own id.
    let (code, _) = change(&set, &["--setup", "7b", "--from", "7b", "--as", "7b-f"]);
    assert_eq!(code, Some(0));
}

#[test]
fn a_version_of_a_look_that_was_edited_says_so() {
    let set = Set::new();
    change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    set.change("warm.toml", "contrast = 1.25", "contrast = 1.4");
    let (_, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+3", "--as", "7b-c"]);
    assert_eq!(document["version"]["changed"], "3 mired warmer, and its recipe was changed since 7b-b");
}

/// A version of which a file could not be made is neither in the show nor on the card.
#[cfg(unix)]
#[test]
fn half_a_version_is_none() {
    let set = Set::new();
    set.json(&["compile", "show.toml"]);
    let card = set.read("luts-out/quay-test/loading-card.txt");
    let onboard = set.path("luts-out/quay-test/onboard");
    fs::rename(onboard.join("warm"), onboard.join("kept")).expect("there");
    fs::write(onboard.join("warm"), "a file where a folder should be").expect("writable");
    let (code, document) = change(&set, &["--setup", "7b", "--set", "white.warmer_mired=+5", "--as", "7b-b"]);
    assert_eq!((code, &document["version"]["recorded"]), (Some(3), &Value::from(false)), "{document:#}");
    assert_eq!(set.read("show.toml"), SHOW);
    assert_eq!(set.read("luts-out/quay-test/loading-card.txt"), card);
}
