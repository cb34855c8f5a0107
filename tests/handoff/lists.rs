//! Edit decision lists of a package: each event with the grade of its setup.

use crate::kit::{REEL, Set, files, json, small, whole};
use lookwright::diagnostics::Diagnostic;
use lookwright::handoff::{ListNote, Options, look_at_lists};
use lookwright::show::{Show, prepare};
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

/// What is said of a list before anything is made.
fn looked_at(set: &Set, list: &str, setups: Option<Vec<usize>>) -> (ListNote, Vec<Diagnostic>) {
    let (show, doubts) = Show::load(&set.path("show.toml"), None).expect("a show");
    let work = prepare(show, doubts).expect("looks");
    let lists = vec![("days/reel.edl".to_owned(), list.as_bytes().to_vec())];
    let options = Options { setups, reference: 0, date: String::new(), lists };
    let (mut notes, doubts) = look_at_lists(&work, &options).expect("a list of the show");
    (notes.remove(0), doubts)
}

/// (events, annotated, replaced, without a grade, without a setup, of two setups)
fn counts(note: &ListNote) -> [usize; 6] {
    [note.events, note.annotated, note.replaced, note.without_grade, note.without_setup, note.of_two_setups]
}

fn is_at(doubt: &Diagnostic, file: &str, line: usize) -> bool {
    doubt
        .span
        .as_ref()
        .is_some_and(|span| span.source.name == file && span.source.line_column(span.range.start).0 == line)
}

#[test]
fn corrections_that_were_there_already_are_told() {
    let set = Set::new();
    let (note, doubts) = looked_at(&set, REEL, None);
    assert_eq!((note.file.as_str(), counts(&note)), ("post/edl/reel.edl", [3, 2, 0, 0, 1, 0]));
    assert!(doubts.is_empty(), "{doubts:?}");
    let behind = |text: &str| REEL.replace("TW_014_0020\n", &format!("TW_014_0020\n{text}"));
    // Its own numbers: nothing is replaced.
    let same = behind("* ASC_SOP (1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1)\n* ASC_SAT 0.9\n");
    let (note, doubts) = looked_at(&set, &same, None);
    assert_eq!((counts(&note), doubts.len()), ([3, 2, 0, 0, 1, 0], 0));
    // Others: the old numbers, the file, the line and the event. A saturation that nobody wrote is 1.
    for (old, told) in [
        ("* ASC_SOP (1.2 1 1)(0 0 0)(1 1 1)\n* ASC_SAT 0.5\n", "(1.2 1 1)(0 0 0)(1 1 1) saturation 0.5"),
        ("* ASC_SOP (1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1)\n", "(1.05 1 0.95)(0.01 0 -0.01)(1 1 1.1) saturation 1"),
        ("* ASC_SAT 0.5\n", "(1 1 1)(0 0 0)(1 1 1) saturation 0.5"),
    ] {
        let (note, doubts) = looked_at(&set, &behind(old), None);
        assert_eq!((counts(&note), doubts.len()), ([3, 2, 1, 0, 1, 0], 1), "{old}");
        let doubt = format!("{:?}", doubts[0]);
        assert!(doubts[0].code.id == "LW0826" && is_at(&doubts[0], "days/reel.edl", 8), "{doubt}");
        assert!(doubts[0].message.contains("event 002") && doubts[0].label.contains(told), "{doubt}");
    }
    // Of many, the first are told one by one.
    let event = "002  X001C001 V     C        01:02:03:04 01:02:08:04 10:00:05:00 10:00:10:00\n* FROM CLIP NAME: TW_014_0020\n* ASC_SAT 0.5\n";
    let (note, doubts) = looked_at(&set, &format!("TITLE: X\n{}", event.repeat(40)), None);
    assert_eq!((counts(&note), doubts.len()), ([40, 40, 40, 0, 0, 0], 13));
    assert!(doubts[12].message.contains("28 more"), "{:?}", doubts[12]);
    // A look without a grade of its own, and a correction in another file.
    set.change("looks/dusk.toml", "[grade]\nsaturation = 0.95\n", "");
    let text = behind("* ASC_CC_XML 14\n").replace("TW_007_0010\n", "TW_007_0010\n* ASC_SAT 0.5\n");
    set.write(
        "show.toml",
        fs::read_to_string(set.path("show.toml")).expect("there").split_once("[[version]]").expect("one").0,
    );
    let (note, doubts) = looked_at(&set, &text, None);
    assert_eq!(counts(&note), [3, 1, 0, 1, 1, 0]);
    let told: Vec<&str> = doubts.iter().map(|doubt| doubt.message.as_str()).collect();
    assert!(told.len() == 2 && told[0].contains("keeps a correction") && told[1].contains("another file"), "{told:?}");
}

#[test]
fn an_event_of_two_setups_gets_the_grade_of_neither() {
    let set = Set::new();
    set.change("show.toml", "clips = [\"A003\", \"B003C00*\"]", "clips = [\"tw_014*\"]");
    let list = REEL.replace("TW_099_0010", "TW_014_0030");
    let (note, doubts) = looked_at(&set, &list.replace("TW_007_0010", "TW_014_9"), None);
    assert_eq!(counts(&note), [3, 0, 0, 0, 0, 3]);
    assert_eq!(doubts.len(), 1, "one for the two setups: {doubts:?}");
    let doubt = &doubts[0];
    assert!(
        doubt.code.id == "LW0827" && doubt.message.contains("setup 7b") && doubt.message.contains("setup 14"),
        "{doubt:?}"
    );
    assert!(doubt.message.contains("event 001, and 2 more"), "{doubt:?}");
    // The other is not packed: whose event it is is not known any better.
    assert_eq!(counts(&looked_at(&set, &list, Some(vec![1])).0), [3, 0, 0, 0, 1, 2]);
    // A longer name decides; and two setups of one look are no question.
    set.change("show.toml", "clips = [\"TW_014\"]", "clips = [\"TW_014_\"]");
    let (note, doubts) = looked_at(&set, &list, None);
    assert_eq!((counts(&note), doubts.len()), ([3, 2, 0, 0, 1, 0], 0));
    set.change("show.toml", "clips = [\"TW_014_\"]", "clips = [\"TW_014\"]");
    set.change("show.toml", "look = \"graded\"\ncameras", "look = \"dusk\"\ncameras");
    let text = fs::read_to_string(set.path("show.toml")).expect("there");
    set.write("show.toml", text.split_once("[[version]]").expect("one").0);
    assert_eq!(counts(&looked_at(&set, &list, None).0), [3, 2, 0, 0, 1, 0]);
}

#[test]
fn a_package_says_what_became_of_its_lists() {
    let text = fs::read_to_string(small().1.join("package.json")).expect("there");
    let manifest: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let expected = serde_json::json!([{"file": "post/edl/reel.edl", "events": 3, "annotated": 1, "replaced": 0, "without_grade": 0,
        "without_setup": 2, "of_two_setups": 0}]);
    assert_eq!(manifest["edl"], expected);
}

/// One error with a remedy for what is named in a show's place, for places that no package can have, and for a package beside a file.
#[test]
fn what_is_named_by_mistake_is_told_in_one_error() {
    let set = Set::new();
    let package = small().1.to_string_lossy().into_owned();
    let cases: [(&[&str], &str, &str); 9] = [
        (&["handoff", "looks/dusk.toml", "--out", "x.zip"], "LW0625", "is a recipe"),
        (&["handoff", "trims/b.toml", "--out", "x.zip"], "LW0625", "is a trim file"),
        (&["handoff", "reel.edl", "--out", "x.zip"], "LW0625", "--edl reel.edl"),
        (&["handoff", &package, "--out", "x.zip"], "LW0625", "is a package"),
        (&["handoff", "show.toml", "--out", "x.tar.gz"], "LW0829", "x.zip"),
        (&["handoff", "show.toml", "--out", "luts-out"], "LW0829", "--luts"),
        (&["handoff", "show.toml", "--out", "none/x.zip"], "LW0402", "there is no folder none"),
        (&["compare", &package, "reel.edl"], "LW0828", "is an edit decision list"),
        (&["compare", &package, &package, "--report"], "LW0828", "--report"),
    ];
    for (arguments, code, told) in cases {
        let output = set.run(&[arguments, &["--json"]].concat());
        let document = json(&output);
        let found = document["diagnostics"].as_array().expect("a list");
        assert_eq!((found.len(), &found[0]["code"]), (1, &code.into()), "{arguments:?}: {document:#}");
        let text = found[0].to_string();
        assert!(text.contains(told) && !text.contains(".part"), "{arguments:?}: {text}");
        assert!(found[0]["help"].as_array().is_some_and(|help| !help.is_empty()), "{arguments:?}: {text}");
    }
    assert!(!set.path("x.zip").exists() && !set.path("luts-out").exists());
}
