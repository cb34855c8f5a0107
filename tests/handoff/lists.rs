//! Edit decision lists of a package: each event with the grade of its setup.

use crate::kit::{REEL, Set, files, whole};
use std::fs;

/// Lines after which events' corrections stand, as common practice writes them (no source; `tests/python/edl.py` reads such lists with a
/// general editorial library).
#[test]
fn events_get_the_grade_of_their_setup_and_nothing_else_changes() {
    let text = fs::read_to_string(whole().1.join("post/edl/reel.edl")).expect("there");
    let expected = REEL
        .replace("TW_007_0010\n", "TW_007_0010\n* ASC_SOP (1 1 1)(0 0 0)(1 1 1)\n* ASC_SAT 0.95\n")
        .replace("TW_014_0020\n", "TW_014_0020\n* ASC_SOP (1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1)\n* ASC_SAT 0.9\n");
    assert_eq!(text, expected);
}

#[test]
fn events_of_setups_that_are_not_packed_get_none() {
    let set = Set::new();
    // Both setups use one look: only the one that was named counts.
    set.change("show.toml", "look = \"dusk\"", "look = \"graded\"");
    set.change("show.toml", "cameras = [\"a\", \"b\"]\nbalance", "cameras = [\"a\"]\nbalance");
    let text = fs::read_to_string(set.path("show.toml")).expect("there");
    set.write("show.toml", text.split_once("[[version]]").expect("there").0);
    let package = set.handoff("x", &["--setups", "14", "--edl", "reel.edl"], None);
    let text = fs::read_to_string(package.join("post/edl/reel.edl")).expect("there");
    let expected =
        REEL.replace("TW_014_0020\n", "TW_014_0020\n* ASC_SOP (1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1)\n* ASC_SAT 0.9\n");
    assert_eq!(text, expected);
}

/// The longest name that fits decides; names are compared without case, with or without an asterisk.
#[test]
fn the_longest_name_decides() {
    let set = Set::new();
    set.change("show.toml", "clips = [\"TW_014\"]", "clips = [\"a003c012*\"]");
    let package = set.handoff("x", &["--setups", "14", "--edl", "reel.edl"], None);
    let text = fs::read_to_string(package.join("post/edl/reel.edl")).expect("there");
    let expected =
        REEL.replace("TW_007_0010\n", "TW_007_0010\n* ASC_SOP (1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1)\n* ASC_SAT 0.9\n");
    assert_eq!(text, expected);
}

#[test]
fn lists_without_any_event_of_the_package_are_refused() {
    let set = Set::new();
    set.write("other.edl", &REEL.replace("TW_014", "TW_015").replace("A003", "A004"));
    let refused = |list: &str, setups: &str| {
        let (code, told) = set.refused(&["handoff", "show.toml", "--out", "x.zip", "--setups", setups, "--edl", list]);
        assert_eq!(code, Some(2), "{list}: {told}");
        assert!(!set.path("x.zip").exists(), "{list}");
        told
    };
    let told = refused("other.edl", "14");
    assert!(told.contains("LW0822") && told.contains("clips = "), "{told}");
    // It has events of 7b, but that one is not packed.
    set.write("other.edl", &REEL.replace("TW_014", "TW_015"));
    assert!(refused("other.edl", "14").contains("LW0822"));
    set.write("other.edl", "001  A003 V C 00:00:00:00\n");
    assert!(!refused("other.edl", "14").contains("LW0822"));
    // Two lists of one name, from different folders.
    set.write("second/reel.edl", REEL);
    let all =
        ["handoff", "show.toml", "--out", "x.zip", "--setups", "14", "--edl", "reel.edl", "--edl", "second/reel.edl"];
    let (code, told) = set.refused(&all);
    assert_eq!((code, told.contains("LW0218")), (Some(2), true), "{told}");
    assert!(files(set.folder.path()).keys().all(|name| !name.ends_with(".zip")));
}
