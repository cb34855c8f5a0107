//! What `receive` finds.

use crate::kit::{Copied, Set, json, receive, small, whole};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Words that may stand beside the one that a change is known by.
const BESIDE: [&str; 3] = ["changed", "out of tolerance", "another picture"];

#[test]
fn an_untouched_package_is_as_it_was_packed() {
    let arrived = receive(&whole().1);
    assert_eq!(arrived.code, Some(0), "{:#}", arrived.document);
    let document = &arrived.document;
    assert!(arrived.findings().is_empty(), "{document:#}");
    assert_eq!((&document["pass"], &document["same_version"]), (&true.into(), &true.into()));
    assert_eq!((&document["verified"], &document["luts"]), (&13.into(), &13.into()));
    assert!(document["identical"].as_u64().expect("a number") > 90, "{document:#}");
    let pictures = document["pictures"].as_array().expect("a list");
    assert_eq!(pictures.len(), 7);
    for picture in pictures {
        let number = |value: &serde_json::Value| value.as_f64().unwrap_or_else(|| panic!("{picture:#}"));
        assert!(number(&picture["apart_de"]) < 0.01, "{picture:#}");
        // Cube and steps miss the look by their own errors, and each other by no more than both together.
        let own = number(&picture["cube"]["max_de"]) + number(&picture["clf"]["max_de"]);
        assert!(number(&picture["between_de"]) < own + 0.5, "{picture:#}");
        assert_eq!(picture["nearest_de"].is_null(), picture["look"] == "graded", "{picture:#}");
    }
}

/// What became of the list of checksums.
#[derive(Clone, Copy, PartialEq)]
enum Sums {
    Kept,
    /// Whoever changed the package made them anew.
    Anew,
    Removed,
}

/// Many changes at once, each to a file of its own: every one is found and named, whatever became of the checksums.
fn every_change(sums: Sums) {
    let copy = Copied::whole();
    let mut expected: BTreeMap<String, &str> = BTreeMap::new();
    let monitor = |parts: &[&str]| copy.one(&[&["monitors/"], parts].concat());

    let edited = monitor(&["onboard/graded/"]);
    edit_row(&copy, &edited, 2500);
    expected.insert(edited, "edited");
    edit_row(&copy, "post/cube/dusk.a.cube", 150_000);
    expected.insert("post/cube/dusk.a.cube".to_owned(), "edited");
    edit_row(&copy, "post/clf/dusk.half.a.clf", 60_000);
    expected.insert("post/clf/dusk.half.a.clf".to_owned(), "edited");
    copy.change("post/cdl/graded.cc", "1.05 1 0.95", "1.06 1 0.95");
    expected.insert("post/cdl/graded.cc".to_owned(), "edited");

    let pair = [monitor(&["onboard/dusk/dusk_a_"]), monitor(&["hdr/dusk/dusk_a_"])];
    copy.swap(&pair[0], &pair[1]);
    expected.extend(pair.map(|name| (name, "swapped")));
    let pair = ["post/linear/dusk.clf", "post/linear/dusk.half.clf"].map(str::to_owned);
    copy.swap(&pair[0], &pair[1]);
    expected.extend(pair.map(|name| (name, "swapped")));
    let pair = ["post/cube/dusk.half.a.cube", "post/cube/dusk.half.b.cube"].map(str::to_owned);
    copy.swap(&pair[0], &pair[1]);
    expected.extend(pair.map(|name| (name, "swapped")));

    let lost = monitor(&["hdr/dusk/dusk_half_b_"]);
    copy.remove(&lost);
    expected.insert(lost, "missing");
    copy.remove("tables/dusk.b.grey.csv");
    expected.insert("tables/dusk.b.grey.csv".to_owned(), "missing");
    let renamed = monitor(&["onboard/dusk/dusk_half_a_"]);
    copy.write("monitors/onboard/dusk/renamed.cube", &copy.read(&renamed));
    copy.remove(&renamed);
    if sums == Sums::Kept {
        expected.insert(renamed, "renamed");
    } else {
        // Nothing says any more that it was the same file.
        expected.insert(renamed, "missing");
        expected.insert("monitors/onboard/dusk/renamed.cube".to_owned(), "added");
    }
    copy.write("post/cube/other.a.cube", &copy.read("post/cube/dusk.b.cube"));
    expected.insert("post/cube/other.a.cube".to_owned(), "added");

    let saved = monitor(&["hdr/dusk/dusk_b_"]);
    copy.write(&saved, &copy.read(&saved).replace('\n', "\r\n"));
    expected.insert(saved, "re-saved");
    let saved = "post/cube/dusk.7b-b.version.a.cube";
    copy.write(saved, &without_comments(&copy.read(saved)));
    expected.insert(saved.to_owned(), "re-saved");

    copy.change("START-HERE.txt", "Haze in the air", "No haze in the air");
    expected.insert("START-HERE.txt".to_owned(), "edited");
    copy.change("START-HERE.html", "Haze in the air", "No haze in the air");
    expected.insert("START-HERE.html".to_owned(), "edited");
    copy.change("post/aces/dusk.b.amf", "applied=\"false\"", "applied=\"true\"");
    expected.insert("post/aces/dusk.b.amf".to_owned(), "edited");
    let manifest: serde_json::Value = serde_json::from_str(&copy.read("package.json")).expect("JSON");
    let fingerprint = manifest["luts"][0]["fingerprint"].as_str().expect("text").to_owned();
    copy.change("package.json", &fingerprint, &fingerprint.chars().rev().collect::<String>());
    expected.insert("package.json".to_owned(), "edited");
    copy.change("resolved/dusk.toml", "saturation = 0.95", "saturation = 0.96");
    expected.insert("resolved/dusk.toml".to_owned(), "edited");
    copy.change("post/edl/reel.edl", "(1.05 1 0.95)", "(1.06 1 0.95)");
    expected.insert("post/edl/reel.edl".to_owned(), "edited");
    copy.change("notes.txt", "first week", "last week");
    expected.insert("notes.txt".to_owned(), "edited");

    match sums {
        Sums::Kept => {}
        Sums::Anew => copy.sum_again(),
        Sums::Removed => {
            copy.remove("SHA256SUMS");
            expected.insert("SHA256SUMS".to_owned(), "missing");
        }
    }
    let arrived = copy.receive();
    assert_eq!(arrived.code, Some(1), "{:#}", arrived.document);
    let mut found = arrived.findings();
    for (file, what) in &expected {
        let words = found.remove(file).unwrap_or_else(|| panic!("{file} was not found: {:#}", arrived.document));
        assert!(words.iter().any(|word| word == what), "{file}: {what}: {words:?}");
        let others: Vec<&String> =
            words.iter().filter(|word| *word != what && !BESIDE.contains(&word.as_str())).collect();
        assert!(others.is_empty(), "{file}: {what}: {words:?}");
        let is_changed = words.iter().any(|word| word == "changed");
        let by_sums = sums == Sums::Kept && !["missing", "renamed", "added"].contains(what);
        assert_eq!(is_changed, by_sums, "{file}: {words:?}");
    }
    // The metadata files whose lists were changed, and nothing else.
    found.retain(|file, words| !(file.ends_with(".amf") && *words == ["another picture"]));
    assert!(found.is_empty(), "{found:#?}");
    assert_eq!(arrived.document["pass"], false);
}

/// Changes a number in a row of a table, by a hundredth in its last channel.
fn edit_row(copy: &Copied, name: &str, row: usize) {
    let text = copy.read(name);
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let mut cells: Vec<String> = lines[row].split(' ').map(str::to_owned).collect();
    let number: f64 = cells[2].parse().unwrap_or_else(|_| panic!("{name}, line {row}: {cells:?}"));
    cells[2] = format!("{:.6}", if number > 0.5 { number - 0.01 } else { number + 0.01 });
    lines[row] = cells.join(" ");
    copy.write(name, &(lines.join("\n") + "\n"));
}

fn without_comments(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with('#')).map(|line| format!("{line}\n")).collect()
}

#[test]
fn every_change_is_found_and_named() {
    every_change(Sums::Kept);
}

#[test]
fn every_change_is_found_where_the_checksums_were_made_anew() {
    every_change(Sums::Anew);
}

#[test]
fn every_change_is_found_where_the_checksums_are_gone() {
    every_change(Sums::Removed);
}

/// A package of one look, for what takes a package of its own.
fn one_look() -> Copied {
    Copied::of(&small().1)
}

/// Findings say what is off, and by how much: in words for people too.
#[test]
fn findings_are_told_in_words() {
    let copy = one_look();
    let file = copy.one(&["monitors/"]);
    edit_row(&copy, &file, 2500);
    let output = small().0.run(&["receive", &copy.path("").to_string_lossy()]);
    assert_eq!(output.status.code(), Some(1));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    for words in [
        "not as packed: 3 findings",
        "changed",
        "edited",
        "out of tolerance",
        &file,
        // The line that an editor shows: `edit_row` counts from 0.
        "1 of 4913 rows differs, the most by 10.23 ten-bit codes in line 2501",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(text.contains("of 1 LUT file holds the tolerances of its recipe"), "{text}");
}

/// A table for spreadsheets says which line was edited, as editors count: the heading is line 1.
#[test]
fn an_edited_table_says_its_line() {
    let copy = one_look();
    let name = "tables/graded.a.grey.csv";
    let mut lines: Vec<String> = copy.read(name).lines().map(str::to_owned).collect();
    let mut cells: Vec<String> = lines[11].split(',').map(str::to_owned).collect();
    cells[2] = "999".to_owned();
    lines[11] = cells.join(",");
    copy.write(name, &(lines.join("\n") + "\n"));
    copy.change("tables/graded.a.patches.csv", "\n", "\r\n");
    copy.sum_again();
    let arrived = copy.receive();
    let told = arrived.told(name);
    assert!(told.contains("line 12 (display_r: 999 instead of"), "{told}");
    let expected = [("tables/graded.a.grey.csv", "edited"), ("tables/graded.a.patches.csv", "re-saved")];
    let expected = expected.map(|(file, what)| (file.to_owned(), vec![what.to_owned()]));
    assert_eq!(arrived.findings(), BTreeMap::from(expected), "{:#}", arrived.document);
}

/// One changed recipe is named for all that it makes, and told once: with how many files follow from it, and not once for each of them.
#[test]
fn a_recipe_that_was_changed_is_told_once_for_all_that_it_makes() {
    for anew in [false, true] {
        let copy = one_look();
        copy.change("show/looks/graded.toml", "saturation = 0.9", "saturation = 0.8");
        copy.write("extra.txt", "whose is it");
        if anew {
            copy.sum_again();
        }
        let arrived = copy.receive();
        assert_eq!(arrived.code, Some(1), "{:#}", arrived.document);
        let found = arrived.findings();
        assert_eq!(found.contains_key("show/looks/graded.toml"), !anew, "{found:#?}");
        let lut = copy.one(&["monitors/"]);
        for file in [
            lut.as_str(),
            "post/cube/graded.a.cube",
            "post/clf/graded.a.clf",
            "post/aces/look.graded.clf",
            "post/aces/graded.a.amf",
            "post/linear/graded.clf",
            "post/cdl/graded.cc",
            "resolved/graded.toml",
            "tables/graded.a.grey.csv",
            "frames/graded.a.look.png",
            "viewer.html",
            "setups/14.txt",
            "package.json",
            "START-HERE.txt",
            "START-HERE.html",
            "post/edl/reel.edl",
        ] {
            let words = found.get(file).unwrap_or_else(|| panic!("{file}: {found:#?}"));
            assert!(words.iter().any(|word| word == "recipe changed"), "{file}: {words:?}");
            assert!(words.iter().all(|word| word != "edited" && word != "changed"), "{file}: {words:?}");
        }
        // What does not depend on the look is as it was.
        assert!(!found.contains_key("notes.txt") && !found.contains_key("frames/a.log.png"), "{found:#?}");
        assert!(arrived.told(&lut).contains("makes another picture now"), "{}", arrived.told(&lut));
        let files = arrived.document["recipe_changed"]["files"].as_array().expect("a list").len();
        let output = small().0.run(&["receive", &copy.path("").to_string_lossy()]);
        assert_eq!(output.status.code(), Some(1));
        let text = String::from_utf8(output.stdout).expect("UTF-8");
        let cause = if anew { "the recipe of graded" } else { "show/looks/graded.toml" };
        for words in [
            "not as packed: a recipe or the show was changed, and 1 finding beside that",
            &format!("recipe changed  {cause} was changed since the package was made"),
            &format!("{files} files follow from it, and are not what it makes now: 1 LUT file for a monitor, 1 cube,"),
            &format!("and {} more, which --json names", files - 3),
            "added           extra.txt: ",
        ] {
            assert!(text.contains(words), "{words}: {text}");
        }
        assert_eq!(text.matches("recipe changed").count(), 1, "{text}");
        assert!(text.lines().count() < 14, "{text}");
    }
}

#[test]
fn a_show_that_was_changed_is_named() {
    let copy = one_look();
    // The show asks for another file, under another name.
    copy.change("show/show.toml", "id = \"onboard\"", "id = \"outboard\"");
    copy.change("show/show.toml", "monitors = [\"onboard\"]", "monitors = [\"outboard\"]");
    copy.sum_again();
    let arrived = copy.receive();
    // The package's own description speaks of a monitor that is not there any more.
    assert_eq!((arrived.code, arrived.refusal()), (Some(2), "LW0824"), "{:#}", arrived.document);
    let copy = one_look();
    copy.change("show/show.toml", "size = 17", "size = 9");
    copy.sum_again();
    let arrived = copy.receive();
    assert_eq!(arrived.code, Some(1), "{:#}", arrived.document);
    let found = arrived.findings();
    assert!(found.values().flatten().any(|word| word == "recipe changed"), "{found:#?}");
    // Comments mean nothing, and only the checksums know.
    let copy = one_look();
    copy.change("show/show.toml", "lookwright = 1", "lookwright = 1 # mine");
    let arrived = copy.receive();
    assert_eq!(arrived.findings(), BTreeMap::from([("show/show.toml".to_owned(), vec!["changed".to_owned()])]));
    // A text that is no recipe any more can't be held against anything.
    let copy = one_look();
    copy.change("show/looks/graded.toml", "saturation = 0.9", "saturation = \"much\"");
    let arrived = copy.receive();
    assert_eq!(arrived.code, Some(2), "{:#}", arrived.document);
}

#[test]
fn lists_that_are_none_of_the_package_s_are_findings() {
    let copy = one_look();
    copy.write("post/edl/other.edl", "TITLE: OTHER\n\n001  Q V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n");
    copy.write("post/edl/reel.edl", "001  nonsense\n");
    copy.sum_again();
    let arrived = copy.receive();
    assert_eq!(arrived.code, Some(1), "{:#}", arrived.document);
    let found = arrived.findings();
    assert_eq!(found.get("post/edl/other.edl"), Some(&vec!["edited".to_owned()]), "{found:#?}");
    assert_eq!(found.get("post/edl/reel.edl"), Some(&vec!["edited".to_owned()]), "{found:#?}");
    assert_eq!(found.len(), 2, "{found:#?}");
}

#[test]
fn packages_of_another_form_are_refused() {
    let case = |what: &str, change: &dyn Fn(&Copied)| {
        let copy = one_look();
        change(&copy);
        copy.sum_again();
        let arrived = copy.receive();
        assert_eq!((arrived.code, arrived.refusal()), (Some(2), "LW0824"), "{what}: {:#}", arrived.document);
    };
    case("another form", &|copy| copy.change("package.json", "\"form\": 1", "\"form\": 2"));
    case("no package.json", &|copy| copy.remove("package.json"));
    case("no JSON", &|copy| copy.write("package.json", "{"));
    case("an unknown setup", &|copy| copy.change("package.json", "\"14\"", "\"15\""));
    case("a show elsewhere", &|copy| {
        copy.change("package.json", "show/show.toml", "../show.toml");
    });
    case("a show by an absolute path", &|copy| {
        copy.change("package.json", "show/show.toml", "/show/show.toml");
    });
    case("no show", &|copy| copy.remove("show/show.toml"));
    // Of another version, files may be written in other words: only what they mean counts.
    let copy = one_look();
    copy.change("package.json", &format!("\"program\": \"{}\"", env!("CARGO_PKG_VERSION")), "\"program\": \"0.0.1\"");
    copy.change("START-HERE.txt", "start here", "begin here");
    copy.sum_again();
    let arrived = copy.receive();
    assert_eq!((arrived.code, arrived.findings().len()), (Some(0), 0), "{:#}", arrived.document);
    assert_eq!(arrived.document["same_version"], false);
    edit_row(&copy, "post/clf/graded.a.clf", 60_000);
    edit_row(&copy, "post/cube/graded.a.cube", 150_000);
    copy.change("post/cdl/graded.cc", "1.05 1 0.95", "1.25 1 0.95");
    copy.sum_again();
    let found = copy.receive().findings();
    assert!(found.contains_key("post/cube/graded.a.cube") && found.contains_key("post/cdl/graded.cc"), "{found:#?}");
}

/// The container has its own tests; here, that nothing of a bad one is written.
#[test]
fn damaged_archives_are_refused_and_nothing_is_unpacked() {
    let set = Set::new();
    let zip = set.handoff("small.zip", &["--setups", "14"], None);
    let mut bytes = fs::read(&zip).expect("read");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x10;
    fs::write(&zip, bytes).expect("written");
    let output = set.run(&["receive", "small.zip", "--to", "unpacked", "--json"]);
    let code = output.status.code();
    // A byte in the middle is in some file's packed bytes: that file can't be read, or the whole archive is refused.
    assert!(matches!(code, Some(1 | 2)), "{:#}", json(&output));
    assert!(!set.path("unpacked").exists());
    let bytes = fs::read(&zip).expect("read");
    fs::write(&zip, &bytes[..bytes.len() - 40]).expect("written");
    let output = set.run(&["receive", "small.zip", "--to", "unpacked", "--json"]);
    assert_eq!(output.status.code(), Some(2), "{:#}", json(&output));
    assert!(!set.path("unpacked").exists());
    let (code, told) = set.refused(&["receive", "nowhere.zip"]);
    assert_eq!(code, Some(3), "{told}");
}

#[test]
fn packages_are_unpacked_where_asked() {
    let set = Set::new();
    let folder = &small().1;
    set.handoff("small.zip", &["--setups", "14", "--edl", "reel.edl"], None);
    let output = set.run(&["receive", "small.zip", "--to", "unpacked"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(text.contains("as packed: nothing was changed") && text.contains("unpacked"), "{text}");
    same_files(folder, &set.path("unpacked"));
    // What is there is not lost.
    let (code, told) = set.refused(&["receive", "small.zip", "--to", "unpacked"]);
    assert_eq!(code, Some(3), "{told}");
    // Another program goes on with the hash lists: that is theirs to do.
    set.write("unpacked/ascmhl/0002_quay-handover_2026-12-01_000000Z.mhl", "theirs");
    let arrived = receive(&set.path("unpacked"));
    assert_eq!((arrived.code, arrived.findings().len()), (Some(0), 0), "{:#}", arrived.document);
}

fn same_files(one: &Path, other: &Path) {
    let (one, other) = (crate::kit::files(one), crate::kit::files(other));
    assert!(one.keys().eq(other.keys()));
    for (name, path) in &one {
        assert!(fs::read(path).expect("read") == fs::read(&other[name]).expect("read"), "{name}");
    }
}
