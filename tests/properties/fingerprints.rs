//! The fingerprint covers meaning and nothing else; what is laid on top wins.

use crate::fuzzing::fuzz;
use crate::recipes::{EVERYTHING, plan};
use lookwright::recipe::parameters::PARAMETERS;
use proptest::prelude::*;
use proptest::sample::select;

/// Another value for every key of [`EVERYTHING`] that means something.
const CHANGES: &[(&str, &str)] = &[
    ("adaptation", "\"cat02\""),
    ("camera.encoding", "\"logc3\""),
    ("camera.gamut", "\"awg4\""),
    ("camera.exposure_index", "1600"),
    ("trim.stops", "0.2"),
    ("trim.matrix", "[[0.8, 0.2, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]"),
    ("trim.root", "[[0.0, 0.0, 0.0], [0.03, 0.0, -0.03], [0.0, 0.0, 0.0]]"),
    ("exposure.stops", "-0.6"),
    ("diffusion.veil", "0.03"),
    ("diffusion.veil_level", "0.25"),
    ("diffusion.knee_stops", "1.6"),
    ("diffusion.softness_stops", "2.6"),
    ("diffusion.loss_stops", "0.4"),
    ("diffusion.bleach", "0.25"),
    ("white.reference_kelvin", "4800"),
    ("white.warmer_mired", "25"),
    ("white.greener_cc", "4"),
    ("white.greener_duv", "0.003"),
    ("grade.slope", "[0.99, 1.0, 1.02]"),
    ("grade.offset", "[0.02, 0.0, 0.0]"),
    ("grade.power", "[1.0, 1.03, 1.0]"),
    ("grade.saturation", "1.1"),
    ("split.shadows.reference_kelvin", "5100"),
    ("split.shadows.warmer_mired", "-13"),
    ("split.shadows.greener_cc", "2"),
    ("split.shadows.greener_duv", "0.002"),
    ("split.highlights.reference_kelvin", "5300"),
    ("split.highlights.warmer_mired", "9"),
    ("split.highlights.greener_cc", "2"),
    ("split.highlights.greener_duv", "0.002"),
    ("split.balance_stops", "0.6"),
    ("split.width_stops", "6"),
    ("tone.contrast", "1.45"),
    ("tone.white_stops", "6.6"),
    ("tone.black_stops", "8.6"),
    ("tone.straight_up", "0.45"),
    ("tone.straight_down", "0.95"),
    ("tone.white_slope", "0.06"),
    ("tone.black_slope", "0.11"),
    ("tone.grey", "0.12"),
    ("tone.grey_nits", "70"),
    ("tone.black", "0.0007"),
    ("tone.hue_hold", "0.3"),
    ("colour.saturation", "0.96"),
    ("gamut.input_compress", "false"),
    ("gamut.output_compress", "false"),
    ("gamut.threshold", "0.86"),
    ("gamut.power", "1.4"),
    ("display.encoding", "\"srgb\""),
    ("display.gamut", "\"bt709\""),
    ("display.peak_nits", "700"),
    ("lut.size", "18"),
    ("lut.interpolation", "\"trilinear\""),
    ("lut.input_levels", "\"legal\""),
    ("lut.output_levels", "\"legal\""),
];

/// Keys that mean nothing for the picture, or are covered elsewhere: names, tolerances and the exposure map; `diffusion.grade`, all of whose
/// values are overridden in [`EVERYTHING`]; what comes from other files (`tests/cdl`); bands, which have no path of their own.
fn without_meaning(path: &str) -> bool {
    path == "lookwright"
        || ["grade.from", "grade.from_id"].contains(&path)
        || path == "diffusion.grade"
        || ["look.", "verify.", "map.", "colour.band.", "after."].iter().any(|start| path.starts_with(start))
}

#[test]
fn every_meaningful_key_changes_the_fingerprint() {
    let base = plan(EVERYTHING, &[]).fingerprint();
    for parameter in PARAMETERS.iter().filter(|parameter| !without_meaning(parameter.path)) {
        let change = CHANGES.iter().find(|(path, _)| *path == parameter.path);
        let (path, value) = change.unwrap_or_else(|| panic!("CHANGES has no value for {}", parameter.path));
        if *path == "camera.encoding" {
            continue; // with its exposure index, below
        }
        let changed = plan(EVERYTHING, &[&format!("{path}={value}")]).fingerprint();
        assert_ne!(changed, base, "{path} = {value} leaves the fingerprint as it was");
    }
    let encoding = EVERYTHING.replace("\"logc3\"", "\"logc4\"").replace("exposure_index = 800\n", "");
    assert_ne!(plan(&encoding, &[]).fingerprint(), base, "another encoding leaves the fingerprint as it was");
}

#[test]
fn every_key_of_a_band_changes_the_fingerprint_but_its_name() {
    let base = plan(EVERYTHING, &[]).fingerprint();
    for (from, to) in [
        ("centre_deg = 230", "centre_deg = 231"),
        ("width_deg = 50", "width_deg = 51"),
        ("shift_deg = -8", "shift_deg = -9"),
        ("saturation = 0.85", "saturation = 0.86"),
        ("lightness = 1.05", "lightness = 1.06"),
    ] {
        assert!(EVERYTHING.contains(from), "{from} is not in the recipe");
        assert_ne!(
            plan(&EVERYTHING.replace(from, to), &[]).fingerprint(),
            base,
            "{to} leaves the fingerprint as it was"
        );
    }
    assert_eq!(
        plan(&EVERYTHING.replace("\"sea\"", "\"open sea\""), &[]).fingerprint(),
        base,
        "a band's name is no meaning"
    );
}

#[test]
fn names_notes_and_tolerances_leave_the_fingerprint() {
    let base = plan(EVERYTHING, &[]).fingerprint();
    for over in [
        "look.name=\"Other\"",
        "look.note=\"\"",
        "verify.grey_codes=9",
        "verify.patch_max_de=3",
        "diffusion.grade=\"2\"",
    ] {
        assert_eq!(plan(EVERYTHING, &[over]).fingerprint(), base, "{over} changes the fingerprint");
    }
}

/// The tables of [`EVERYTHING`], each with its lines, the top first.
fn tables() -> Vec<Vec<&'static str>> {
    let mut tables = vec![Vec::new()];
    for line in EVERYTHING.lines() {
        // A band stands under [colour] whatever comes between, but a table may not come after its own sub-table.
        if line.starts_with('[') && !line.starts_with("[[") {
            tables.push(Vec::new());
        }
        tables.last_mut().expect("one was pushed").push(line);
    }
    tables
}

fn shuffled() -> impl Strategy<Value = Vec<Vec<&'static str>>> {
    let mut all = tables();
    let top = all.remove(0);
    let has_band = |table: &[&str]| table.iter().any(|line| line.starts_with("[["));
    let each: Vec<_> = all
        .into_iter()
        .map(|table| {
            let head = table[0];
            let keys = table[1..].to_vec();
            if has_band(&table) { Just(keys).boxed() } else { Just(keys).prop_shuffle().boxed() }
                .prop_map(move |keys| [vec![head], keys].concat())
        })
        .collect();
    (Just(top).prop_shuffle(), each.prop_flat_map(|tables| Just(tables).prop_shuffle()))
        .prop_map(|(top, tables)| [vec![top], tables].concat())
}

#[test]
fn order_space_and_comments_leave_the_fingerprint() {
    let base = plan(EVERYTHING, &[]).fingerprint();
    let space = select(vec!["", "\n", "# a comment = [1]\n", "\n  # ünïcode\n"]);
    let texts = (shuffled(), prop::collection::vec((space, any::<bool>(), any::<bool>()), 100), any::<bool>());
    fuzz("fingerprints of shuffled recipes", 100, &texts, |(tables, spaces, carriage_returns)| {
        let mut text = String::new();
        for (line, (before, wide, after)) in tables.concat().into_iter().zip(spaces.into_iter().cycle()) {
            text.push_str(before);
            match line.split_once(" = ") {
                Some((key, value)) if wide => text.push_str(&format!("\t{key}   =  {value}")),
                _ => text.push_str(line),
            }
            text.push_str(if after { "   # said by the line above\n" } else { "\n" });
        }
        let text = if carriage_returns { text.replace('\n', "\r\n") } else { text };
        prop_assert_eq!(plan(&text, &[]).fingerprint(), base.clone(), "{}", text);
        Ok(())
    });
}

#[test]
fn what_is_set_is_as_if_written_and_the_last_wins() {
    let two = (select(CHANGES), select(CHANGES));
    fuzz("--set in any order", 150, &two, |((one, first), (other, second))| {
        let (a, b) = (format!("{one}={first}"), format!("{other}={second}"));
        let table = |path: &str| path.rsplit_once('.').map_or(String::new(), |(table, _)| table.to_owned());
        let exclusive = one != other && table(one) == table(other) && (one.contains("gre") && other.contains("gre"));
        if !exclusive {
            let (ab, ba) = (plan(EVERYTHING, &[&a, &b]).fingerprint(), plan(EVERYTHING, &[&b, &a]).fingerprint());
            prop_assert_eq!(ab, ba, "{} and {} depend on their order", a, b);
        }
        let again = plan(EVERYTHING, &[&a, &a]).fingerprint();
        prop_assert_eq!(&plan(EVERYTHING, &[&a]).fingerprint(), &again, "{} twice", a);
        Ok(())
    });
    let last = |values: [&str; 2]| plan(EVERYTHING, &values).fingerprint();
    let written = plan(&EVERYTHING.replace("contrast = 1.4\n", "contrast = 1.6\n"), &[]).fingerprint();
    assert_eq!(last(["tone.contrast=1.3", "tone.contrast=1.6"]), written, "the last --set is what counts");
    assert_ne!(last(["tone.contrast=1.6", "tone.contrast=1.3"]), written, "the last --set is what counts");
}
