//! What is said of a wrong show, in exact words with line and column.

use super::common::told;
use super::kit::{SHOW, Set, WARM};
use lookwright::diagnostics::Diagnostic;
use lookwright::show::{Show, prepare};

fn said(set: &Set) -> Vec<String> {
    let found = match Show::load(&set.path("show.toml"), None).and_then(|(show, doubts)| prepare(show, doubts)) {
        Ok(work) => work.warnings,
        Err(found) => found,
    };
    found.iter().map(|one| told(one, set.folder.path())).collect()
}

/// What is said of the show with one text replaced by another.
fn with(from: &str, to: &str) -> Vec<String> {
    let set = Set::new();
    set.change("show.toml", from, to);
    said(&set)
}

#[test]
fn the_show_of_these_tests_is_right() {
    assert_eq!(said(&Set::new()), Vec::<String>::new());
}

#[test]
fn unknown_ids_are_told_at_their_line() {
    assert_eq!(
        with("look = \"warm\"\ncameras = [\"a\"]", "look = \"wram\"\ncameras = [\"a\", \"c\"]"),
        [
            "error LW0603 show.toml:33:8: the show has no look \"wram\" | expected the id of a look, found \"wram\" | help: did you mean \"warm\"?",
            "error LW0603 show.toml:34:17: the show has no camera \"c\" | expected the id of a camera, found \"c\" | help: did you mean \"a\"?",
        ]
    );
    assert_eq!(
        with("recipe = \"cold.toml\"", "recipe = \"cold.toml\"\nmonitors = [\"onbord\"]\ncameras = []"),
        [
            "error LW0604 show.toml:28:1: `cameras` names no camera | expected at least one camera | help: leave `cameras` out to mean all",
            "error LW0603 show.toml:31:13: the show has no monitor \"onbord\" | expected the id of a monitor, found \"onbord\" | help: did you mean \"onboard\"?",
        ]
    );
    assert_eq!(
        with("look = \"cold\"", "look = \"cold\"\nvariant = \"p1\""),
        [
            "error LW0603 show.toml:38:11: look \"cold\" has no variant \"p1\" | expected the id of a variant, found \"p1\" | help: look \"cold\" has none yet",
        ]
    );
}

#[test]
fn ids_are_given_once_whatever_their_case() {
    assert_eq!(
        with("id = \"b\"", "id = \"A\""),
        [
            "error LW0602 show.toml:13:6: two cameras have the id \"A\" | expected an id of its own, found that of line 9 | help: rename one of the two",
        ]
    );
    assert_eq!(
        with(
            "variants = [{ id = \"p1\", exposure_stops = 1.0 }]",
            "variants = [{ id = \"p1\", strength = 0.5 }, { id = \"P1\", strength = 0.6 }]"
        ),
        [
            "error LW0602 show.toml:27:51: two variants have the id \"P1\" | expected an id of its own, found that of line 27 | help: rename one of the two",
        ]
    );
    assert_eq!(
        with("id = \"client\"", "id = \"Aux\""),
        [
            "error LW0601 show.toml:21:6: no file can be called \"Aux\" on some systems | expected an id that is no name of a device | help: rename it",
        ]
    );
    assert_eq!(
        with("id = \"client\"", "id = \"the client's\""),
        [
            "error LW0601 show.toml:21:6: the monitor's id \"the client's\" can't be part of a file name | expected 1 to 32 letters, digits, hyphens and underscores, found \"the client's\" | help: keep the long name for a `note` or the recipe's own name",
        ]
    );
}

#[test]
fn a_look_needs_a_recipe_that_is_there() {
    assert_eq!(
        with("id = \"cold\"\nrecipe = \"cold.toml\"", "id = \"cold\""),
        [
            "error LW0108 show.toml:28:1: `recipe` is missing in [[look]] | expected `recipe` | help: for example: recipe = \"quayside-warm.toml\"",
        ]
    );
    assert_eq!(
        with("recipe = \"cold.toml\"", "recipe = \"gone.toml\""),
        [
            "error LW0113 show.toml:30:10: the recipe of look \"cold\" can't be read | gone.toml: No such file or directory (os error 2) | help: the path is relative to the show",
        ]
    );
}

#[test]
fn a_wrong_recipe_is_told_once_and_not_for_each_camera_and_monitor() {
    let set = Set::new();
    set.write("cold.toml", &WARM.replace("contrast = 1.25", "contrast = 1.25\nstraight_up = 9"));
    let said = said(&set);
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].starts_with("error LW0210 cold.toml:8:15: "), "{said:#?}");
    assert!(said[0].ends_with("help: found for look \"cold\", camera \"a\", monitor \"onboard\""), "{said:#?}");
}

#[test]
fn a_device_whose_rules_no_names_satisfy_is_refused() {
    assert_eq!(
        with("file = { name_max = 16, charset = \"upper\" }", "file = { name_max = 1, charset = \"digits\" }"),
        Vec::<String>::new(),
        "six files find a digit each"
    );
    let many: Vec<String> = (0..6).map(|n| format!("{{ id = \"v{n}\", strength = 0.{n} }}")).collect();
    let set = Set::new();
    set.change(
        "show.toml",
        "variants = [{ id = \"p1\", exposure_stops = 1.0 }]",
        &format!("variants = [{}]", many.join(", ")),
    );
    set.change(
        "show.toml",
        "file = { name_max = 16, charset = \"upper\" }",
        "file = { name_max = 1, charset = \"digits\" }",
    );
    assert_eq!(
        said(&set),
        [
            "error LW0605 show.toml:19:8: the device's rules leave too few different names for 16 files | at most 1 characters of \"digits\" | help: look up in the device's manual how long a name may be; or give the monitor fewer looks",
        ]
    );
    assert_eq!(
        with("charset = \"upper\"", "charset = \"uper\", name = \"../view.cube\""),
        [
            "error LW0106 show.toml:19:35: unknown set of characters \"uper\" | expected mixed or upper or lower or upper-plain or lower-plain or digits, found \"uper\" | help: did you mean \"upper\"?",
            "error LW0605 show.toml:19:50: \"../view.cube\" is no name of a cube file | expected letters, digits, hyphens and underscores, and the ending .cube | help: for example: name = \"VIEW.cube\"",
        ]
    );
}

#[test]
fn a_setup_whose_camera_is_not_the_looks_is_refused() {
    assert_eq!(
        with("recipe = \"warm.toml\"", "recipe = \"warm.toml\"\ncameras = [\"b\"]"),
        [
            "error LW0603 show.toml:35:12: look \"warm\" is not made for camera \"a\" | expected a camera of the look | help: add \"a\" to the `cameras` of look \"warm\"",
        ]
    );
}

#[test]
fn sizes_move_to_what_the_device_accepts_and_say_so() {
    assert_eq!(
        with("size = 9\nfile = { name_max = 16,", "size = 25\nfile = { sizes = [17, 33], name_max = 16,"),
        [
            "warning LW0606 show.toml:18:8: monitor \"onboard\" does not accept 25 points a side | 33 are taken, the nearest that it accepts | help: write size = 33 to decide it yourself",
        ]
    );
}

#[test]
fn keys_and_types_are_held_as_in_recipes() {
    assert_eq!(
        with("[show]\nname", "[show]\nnaem"),
        ["error LW0102 show.toml:3:1: unknown key `naem` in [show] | not a key of [show] | help: did you mean `name`?"]
    );
    assert_eq!(
        with("encoding = \"v-log\"", "encoding = \"w-log\"\nexposure_index = \"800\""),
        [
            "error LW0106 show.toml:14:12: unknown camera encoding \"w-log\" | expected a known camera encoding, found \"w-log\" | help: did you mean \"s-log\"? | help: `lookwright encodings` lists them all",
            "error LW0103 show.toml:15:18: `camera.exposure_index` has the wrong type | expected a whole number, found the text \"800\" | help: remove the quotes",
        ]
    );
    assert_eq!(
        with(
            "cameras = [\"a\"]",
            "cameras = \"a\"\nlights = [{ role = \"key\", source = \"sun\", kelvin = 99, filters = [\"1/2 CTX\", { mired = 3 }] }]\nstop = \"f/2\""
        ),
        [
            "error LW0103 show.toml:34:11: `cameras` has the wrong type | expected a list in brackets, found the text \"a\" | help: for example: cameras = [\"a\"]",
            "error LW0106 show.toml:35:36: unknown source of light \"sun\" | expected planckian or daylight or led, found \"sun\"",
            "error LW0104 show.toml:35:52: `setup.lights.kelvin` is out of range | expected 1667 to 25000 K, found 99 | help: Colour temperature of the bare source",
            "error LW0614 show.toml:35:67: unknown filter \"1/2 CTX\" | expected a built-in name such as \"1/2 CTO\", or a filter of the show | help: did you mean \"1/2 CTO\"?",
            "error LW0108 show.toml:35:78: `name` is missing in [[filter]] | expected `name` | help: for example: name = \"house amber\"",
            "error LW0615 show.toml:36:8: \"f/2\" is not a T-stop | expected T and a number, found \"f/2\" | help: for example: stop = \"T3.4\"",
        ]
    );
}

#[test]
fn a_show_without_anything_to_make_says_what_is_missing() {
    let set = Set::new();
    set.write("show.toml", "lookwright = 1\n[show]\nname = \"Empty\"\n");
    assert_eq!(
        said(&set),
        [
            "error LW0604 show.toml:2:2: the show has no camera | expected at least one [[camera]] | help: add one [[camera]]",
            "error LW0604 show.toml:2:2: the show has no monitor | expected at least one [[monitor]] | help: add one [[monitor]]",
            "error LW0604 show.toml:2:2: the show has no look | expected at least one [[look]] | help: add one [[look]]",
        ]
    );
}

#[test]
fn trims_are_trims_and_nothing_else() {
    let with_trim = |trim: &str| {
        let set = Set::new();
        set.write("b.toml", trim);
        set.change("show.toml", "gamut = \"v-gamut\"", "gamut = \"v-gamut\"\ntrim = \"b.toml\"");
        said(&set)
    };
    let good = "lookwright = 1\n[trim]\nmatrix = [[0.9, 0.1, 0], [0, 1, 0], [0, 0, 1]]\n";
    assert_eq!(with_trim(good), Vec::<String>::new());
    assert_eq!(
        with_trim(&good.replace("0.9,", "0.8,")),
        [
            "error LW0206 b.toml:3:10: row 1 of the trim matrix sums to 0.9, so that a neutral would not stay neutral | expected a sum of 1 (to 1e-6), found 0.9 | help: divide the row by its sum, and put the overall gain into `trim.stops`",
        ]
    );
    assert_eq!(
        with_trim("lookwright = 1\n[white]\nwarmer_mired = 3\n"),
        [
            "error LW0608 b.toml:3:16: `white.warmer_mired` does not belong into a trim | expected keys of [trim] only | help: a trim has `lookwright = 1` and [trim]; a look is named in [[look]]",
            "error LW0608 b.toml:1:1: the file has no [trim] | expected [trim] | help: write stops and matrix under [trim]",
        ]
    );
    let set = Set::new();
    set.change("show.toml", "gamut = \"v-gamut\"", "gamut = \"v-gamut\"\ntrim = \"gone.toml\"");
    assert_eq!(
        said(&set),
        [
            "error LW0608 show.toml:16:8: the trim of camera \"b\" can't be read | gone.toml: No such file or directory (os error 2) | help: the path is relative to the show",
        ]
    );
}

#[test]
fn what_changes_nothing_or_too_much_is_doubtful() {
    assert_eq!(
        with("id = \"p1\", exposure_stops = 1.0", "id = \"p1\""),
        [
            "warning LW0617 show.toml:27:20: variant \"p1\" changes nothing | expected `exposure_stops`, `strength` or `monochrome` | help: say what it changes, or leave it out",
        ]
    );
    let set = Set::new();
    set.write("cold.toml", &set.read("cold.toml").replace("[tone]", "[trim]\nstops = 1\n[tone]"));
    assert_eq!(
        said(&set),
        [
            "warning LW0618 cold.toml:7:9: the trim of look \"cold\" is laid on every camera of the show | expected no [trim] in a recipe of a show | help: a trim corrects one camera: put it into a file of its own, and name that in [[camera]]",
        ]
    );
}

#[test]
fn records_of_versions_are_told_at_their_own_place() {
    let record = |from: &str, set: &str| {
        let one = Set::new();
        let text = format!(
            "{SHOW}[[version]]\nsetup = \"7b\"\nid = \"7b-b\"\nfrom = \"{from}\"\nset = [\"{set}\"]\nlook_fingerprint = \"0\"\n"
        );
        one.write("show.toml", &text);
        said(&one)
    };
    assert_eq!(
        record("7c", "tone.contrast=1.3"),
        [
            "error LW0603 show.toml:41:8: setup \"7b\" has no earlier version \"7c\" | expected the id of an earlier version, found \"7c\" | help: did you mean \"7b\"?"
        ]
    );
    let said = record("7b", "tone.contrsat=1.3");
    assert!(said[0].starts_with("error LW0102 show.toml:42:8: unknown key `contrsat` in [tone]"), "{said:#?}");
}

#[test]
fn more_luts_than_slots_are_doubtful() {
    assert_eq!(
        with("size = 9\nfile = { name_max = 16,", "size = 9\nslots = 4\nfile = { name_max = 16,"),
        [
            "warning LW0607 show.toml:17:6: monitor \"onboard\" holds 4 LUTs, and the show has 6 for it | the last 2 find no slot | help: give the monitor only the looks of the day with `monitors` in [[look]], or load in turns",
        ]
    );
}

/// Cutting, doubling and twisting a show never makes the reader fail in another way than with errors.
#[test]
fn no_text_makes_the_reader_fall_over() {
    let set = Set::new();
    let mut tried = 0;
    let lines: Vec<&str> = SHOW.lines().collect();
    for place in 0..lines.len() {
        let mut texts =
            vec![lines[..place].join("\n"), SHOW.replace(lines[place], ""), SHOW.replace(lines[place], "[[x]]")];
        for value in ["nan", "-1", "[]", "{}", "\"\"", "[[1]]", "1979-05-27", "true"] {
            if let Some((key, _)) = lines[place].split_once('=') {
                let mut changed = lines.clone();
                let line = format!("{key}= {value}");
                changed[place] = &line;
                texts.push(changed.join("\n"));
            }
        }
        for text in texts {
            let path = set.path("show.toml");
            match Show::parse(&path, text, None).and_then(|(show, doubts)| prepare(show, doubts)) {
                Ok(work) => assert!(!work.jobs.is_empty()),
                Err(found) => assert!(found.iter().any(Diagnostic::is_error)),
            }
            tried += 1;
        }
    }
    assert!(tried > 300, "only {tried} texts");
}
