//! The verifier's own proof: files that were changed in known ways must fail, and be called what they are.
//!
//! Constructed: every mutation is made here from a file that `compile` wrote, so the expected answer is known; no outside
//! source is needed. Run with `--nocapture` for the table of mutations.
#![allow(clippy::print_stdout, reason = "the table of mutations is wanted, with --nocapture")]

mod common;

use lookwright::compile::{Prepared, fingerprint_in, prepare};
use lookwright::formats::cube::{self, Header, Tables};
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::maths::{Rgb, exp10, log2, pow};
use lookwright::verify::Verification;
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// Looks of the test: neutral, tinted, one that depends on the exposure index, legal levels both ways.
const LOOKS: [(&str, &str, &[&str]); 4] = [
    ("neutral", "tone-only", &[]),
    ("tinted", "white-cool", &["verify.grey_codes=6"]),
    ("exposure index", "cdl-split", &["camera.exposure_index=800"]),
    ("legal levels", "trim-root", &["lut.input_levels=\"legal\"", "lut.output_levels=\"legal\""]),
];

/// 1 in the last of the six decimals.
const LAST_DECIMAL: f64 = 1e-6;

fn recipe_path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks").join(format!("{name}.toml"))
}

fn prepared(name: &str, overrides: &[&str]) -> Prepared {
    let overrides: Vec<String> = overrides.iter().map(|text| (*text).to_owned()).collect();
    prepare(&recipe_path(name), &overrides).unwrap_or_else(|faults| panic!("{name}: {faults:?}"))
}

/// A compiled file, read back.
fn compiled(one: &Prepared) -> Table3 {
    let folder = tempfile::tempdir().expect("a folder");
    let produced = one.produce(folder.path(), false).unwrap_or_else(|faults| panic!("{faults:?}"));
    let file = cube::read(&produced.path).unwrap_or_else(|faults| panic!("{faults:?}"));
    assert_eq!(
        fingerprint_in(&file.comments),
        Some(produced.fingerprint.as_str()),
        "the header carries the fingerprint"
    );
    assert_eq!(produced.fingerprint, one.plan.fingerprint());
    three(file.tables)
}

fn three(tables: Tables) -> Table3 {
    match tables {
        Tables::Three(table) => table,
        other => panic!("a 3D table, not {other:?}"),
    }
}

/// A table as it comes back from a file with so many decimals.
fn saved(table: &Table3, decimals: usize) -> Table3 {
    let mut bytes = Vec::new();
    cube::write(table, &Header { decimals, ..Header::default() }, &mut bytes);
    three(cube::parse("saved.cube", &bytes).unwrap_or_else(|faults| panic!("{faults:?}")).tables)
}

fn mapped(table: &Table3, change: impl Fn(Rgb) -> Rgb) -> Table3 {
    let nodes = table.nodes().iter().map(|node| change(*node)).collect();
    Table3::new(table.size(), *table.domain(), nodes).expect("as many nodes as before")
}

/// A table of a size, each node from its indices on the red, green and blue axis.
fn built(size: usize, of: impl Fn([usize; 3]) -> Rgb) -> Table3 {
    let nodes =
        (0..size * size * size).map(|node| of([node % size, node / size % size, node / (size * size)])).collect();
    Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes")
}

fn resampled(table: &Table3, size: usize, interpolation: Interpolation) -> Table3 {
    let last = (size - 1) as f64;
    built(size, |index| table.sample(index.map(|place| place as f64 / last), interpolation))
}

struct Row {
    look: String,
    kind: String,
    failed: Vec<&'static str>,
    suspicion: String,
}

/// The table of mutations.
#[derive(Default)]
struct Report(Vec<Row>);

impl Report {
    /// A changed file must fail, and the suspicion must hold one of `words`.
    fn caught(&mut self, look: &str, kind: &str, one: &Prepared, table: &Table3, words: &[&str]) -> Verification {
        let verification = one.hold(table).unwrap_or_else(|faults| panic!("{look}, {kind}: {faults:?}"));
        self.note(look, kind, &verification);
        let suspicion = verification.suspicion.clone().unwrap_or_default();
        assert!(!verification.pass, "{look}, {kind}: must fail");
        assert!(!verification.nodes.pass(), "{look}, {kind}: the numbers are not the look's");
        assert!(
            words.iter().any(|word| suspicion.contains(word)),
            "{look}, {kind}: the suspicion should say one of {words:?}, but says: {suspicion}"
        );
        verification
    }

    fn note(&mut self, look: &str, kind: &str, verification: &Verification) {
        self.0.push(Row {
            look: look.to_owned(),
            kind: kind.to_owned(),
            failed: verification.failures().map(|check| check.name).collect(),
            suspicion: verification.suspicion.clone().unwrap_or_else(|| "-".to_owned()),
        });
    }

    fn print(&self) {
        println!("\n{:14} {:34} {:4} suspicion", "look", "mutation", "fail");
        for row in &self.0 {
            let own = if row.failed == ["every number of the file"] { "numbers only" } else { "" };
            println!("{:14} {:34} {:>4} {} {own}", row.look, row.kind, row.failed.len(), row.suspicion);
        }
    }
}

#[test]
fn unchanged_files_pass_and_the_verdict_is_always_the_same() {
    for (look, recipe, overrides) in LOOKS {
        let one = prepared(recipe, overrides);
        let table = compiled(&one);
        let (first, second) = (one.hold(&table).expect("a look"), one.hold(&table).expect("a look"));
        let failures: Vec<_> = first.failures().map(|check| format!("{}: {}", check.name, check.value)).collect();
        assert!(first.pass, "{look}: {failures:?}");
        assert!(first.suspicion.is_none() && first.nodes.changed == 0, "{look}: {:?}", first.suspicion);
        let told = |verification: &Verification| serde_json::to_string(verification).expect("numbers and words");
        assert_eq!(told(&first), told(&second), "{look}: verified twice");
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("one thread");
        let alone = pool.install(|| one.hold(&table)).expect("a look");
        assert_eq!(told(&first), told(&alone), "{look}: verified on one thread");
    }
}

/// Every kind of single change: first, last and inner rows, every channel, from gross to one unit in the last decimal. In an ordinary run
/// each is made to one of the looks, in a thorough one to all of them.
#[test]
fn one_changed_number_is_found_and_named() {
    let mut report = Report::default();
    let mut made = 0;
    for (turn, (look, recipe, overrides)) in LOOKS.into_iter().enumerate() {
        let one = prepared(recipe, overrides);
        let table = compiled(&one);
        let size = table.size();
        let count = table.nodes().len();
        let mut pairs = 0;
        for row in [0, 1, size, size * size + 7, count / 2, count - 2, count - 1] {
            for (channel, by) in
                [(0, 0.05), (1, 1e-3), (2, 10.0 * LAST_DECIMAL), (0, LAST_DECIMAL), (1, 1.234_567_8e-5)]
            {
                pairs += 1;
                if !common::thorough() && pairs % LOOKS.len() != turn {
                    continue;
                }
                made += 1;
                let mut changed = table.clone();
                let value = &mut changed.nodes_mut()[row][channel];
                // Towards the inside, so that it stays a signal.
                *value += if *value > 0.5 { -by } else { by };
                let kind = format!("row {} channel {channel} by {by:e}", row + 1);
                let verification = report.caught(look, &kind, &one, &changed, &["one row was changed"]);
                assert_eq!(verification.nodes.changed, 1, "{look}, {kind}");
                assert_eq!(verification.nodes.named[0].row, row + 1, "{look}, {kind}: the row is named");
            }
        }
    }
    assert!(made >= 7 * 5, "{made} changes");
    report.print();
}

#[test]
fn one_unit_in_the_last_decimal_is_found_anywhere() {
    let one = prepared("tone-only", &["lut.size=9"]);
    let table = compiled(&one);
    for row in 0..table.nodes().len() {
        for channel in 0..3 {
            for by in [-LAST_DECIMAL, LAST_DECIMAL] {
                let mut changed = table.clone();
                changed.nodes_mut()[row][channel] += by;
                let changed = saved(&changed, 6);
                let found = one.hold_nodes(&changed);
                assert_eq!(found, 1, "row {} channel {channel} by {by:e}", row + 1);
            }
        }
    }
}

/// Only the nodes: the whole proof of a thousand files would take minutes.
trait HoldNodes {
    fn hold_nodes(&self, table: &Table3) -> usize;
}

impl HoldNodes for Prepared {
    fn hold_nodes(&self, table: &Table3) -> usize {
        let exact = lookwright::lut::sample(&self.pipeline, table.size());
        lookwright::verify::compare_nodes(table, &exact.table).changed
    }
}

#[test]
fn known_mistakes_fail_and_are_called_by_their_name() {
    let rows = LOOKS.into_par_iter().flat_map_iter(|(look, recipe, overrides)| {
        let mut report = Report::default();
        let one = prepared(recipe, overrides);
        let table = compiled(&one);
        let size = table.size();
        let last = size - 1;
        let turned = |order: [usize; 3]| {
            built(size, |index| {
                let [r, g, b] = order.map(|axis| index[axis]);
                table.node(r, g, b)
            })
        };
        let mut caught = |kind: &str, changed: &Table3, words: &[&str]| {
            report.caught(look, kind, &one, &saved(changed, 6), words);
        };
        caught("axes red and blue swapped", &turned([2, 1, 0]), &["axes are swapped"]);
        caught("axes green and blue swapped", &turned([0, 2, 1]), &["axes are swapped"]);
        caught("columns red and blue swapped", &mapped(&table, |[r, g, b]| [b, g, r]), &["columns are swapped"]);
        caught("columns turned round", &mapped(&table, |[r, g, b]| [g, b, r]), &["columns are swapped"]);
        caught(
            "blue axis reversed",
            &built(size, |[r, g, b]| table.node(r, g, last - b)),
            &["blue axis runs backwards"],
        );
        caught("all axes reversed", &built(size, |[r, g, b]| table.node(last - r, last - g, last - b)), &["backwards"]);
        caught("values × 0.98", &mapped(&table, |node| node.map(|value| 0.98 * value)), &["re-scaled", "0.98"]);
        let squeezed = mapped(&table, |node| node.map(|value| (64.0 + 876.0 * value) / 1023.0));
        caught("0..1 to 64..940 numbers", &squeezed, &["output legal", "squeezed into legal range"]);
        let stretched = mapped(&table, |node| node.map(|value| ((1023.0 * value - 64.0) / 876.0).clamp(0.0, 1.0)));
        caught("64..940 numbers to 0..1", &stretched, &["output full", "stretched to full range"]);
        caught(
            "gamma applied twice",
            &mapped(&table, |node| node.map(|value| pow(value, 1.0 / 2.4))),
            &["applied once more"],
        );
        caught("gamma undone", &mapped(&table, |node| node.map(|value| pow(value, 2.4))), &["was undone"]);
        caught("negative", &mapped(&table, |node| node.map(|value| 1.0 - value)), &["negative"]);
        let identity = built(size, |index| index.map(|place| place as f64 / last as f64));
        caught("identity", &identity, &["identity"]);
        caught("flat", &mapped(&table, |_| [0.4; 3]), &["all its rows are the same"]);
        caught("65 from 33 points", &resampled(&table, 65, Interpolation::Tetrahedral), &["sampled at 33 points"]);
        caught(
            "20 from 33 points, trilinear",
            &resampled(&table, 20, Interpolation::Trilinear),
            &["sampled at 33 points"],
        );
        let codes = |bits: u32| {
            let scale = f64::from((1_u32 << bits) - 1);
            mapped(&table, |node| node.map(|value| (value * scale).round() / scale))
        };
        caught("through 10-bit codes", &codes(10), &["10-bit codes"]);
        caught("through 16-bit codes", &codes(16), &["16-bit codes"]);
        let floats = mapped(&table, |node| node.map(|value| f64::from(value as f32)));
        // Rounded to six decimals first, so that some numbers are a little more than half a millionth off.
        report.caught(look, "through 32-bit floats", &one, &saved(&floats, 9), &["another rounding"]);
        let noisy = built(size, |[r, g, b]| {
            let row = r + size * (g + size * b);
            let node = table.node(r, g, b);
            if row % 40 == 3 { node.map(|value| 0.9 * value + 0.03) } else { node }
        });
        report.caught(look, "every fortieth row changed", &one, &saved(&noisy, 6), &["the look's own file"]);
        for (kind, setting, words) in settings(look) {
            let mut other_overrides = overrides.to_vec();
            other_overrides.push(setting);
            let other = compiled(&prepared(recipe, &other_overrides));
            report.caught(look, kind, &one, &other, &[words]);
        }
        report.0
    });
    Report(rows.collect()).print();
}

/// Files that another setting makes: what it is, the setting, and what the suspicion must say.
fn settings(look: &str) -> Vec<(&'static str, &'static str, &'static str)> {
    let mut all = vec![
        ("exposure at +0.9 stops", "exposure.stops=0.9", "exposure"),
        ("exposure at −0.05 stops", "exposure.stops=-0.05", "exposure"),
        ("another gamut", "camera.gamut=\"acescg\"", "another camera gamut: acescg"),
        ("another display", "display.encoding=\"srgb\"", "another display: srgb"),
        ("another display gamut", "display.gamut=\"p3-d65\"", "another display: bt1886 / p3-d65"),
    ];
    if look == "legal levels" {
        all.push(("input full", "lut.input_levels=\"full\"", "other levels: input full, output legal"));
        all.push(("output full", "lut.output_levels=\"full\"", "other levels: input legal, output full"));
    } else {
        all.push(("input legal", "lut.input_levels=\"legal\"", "other levels: input legal, output full"));
        all.push(("output legal", "lut.output_levels=\"legal\"", "other levels: input full, output legal"));
    }
    match look {
        "tinted" => {
            all.push(("without its white shift", "white={warmer_mired=0,greener_duv=0}", "without its [white]"));
            all.push(("white the other way", "white.warmer_mired=35", "other way"));
        }
        "exposure index" => {
            all.push(("exposure index 400", "camera.exposure_index=400", "exposure index 400"));
            all.push(("another index's log", "camera.exposure_index=1600", "exposure index 1600"));
        }
        "neutral" => {
            all.push((
                "another camera",
                "camera={encoding=\"v-log\",gamut=\"v-gamut\"}",
                "another camera: v-log / v-gamut",
            ));
        }
        _ => {}
    }
    all
}

#[test]
fn the_file_of_another_recipe_fails() {
    let mut report = Report::default();
    for (look, recipe, overrides) in LOOKS {
        let one = prepared(recipe, overrides);
        for other in ["bands-p3", "diffusion-half", "filter-beyond-zero", "pq-1000"] {
            let table = compiled(&prepared(other, &["lut.size=33"]));
            report.caught(look, &format!("the file of {other}"), &one, &table, &["another recipe"]);
        }
    }
    report.print();
}

/// With fewer decimals the numbers still agree as far as they go; whether the file is good enough is for the other checks.
#[test]
fn fewer_decimals_are_held_to_what_they_claim() {
    let mut report = Report::default();
    for (look, recipe, overrides) in LOOKS {
        let one = prepared(recipe, overrides);
        let table = compiled(&one);
        for decimals in [2, 3, 4, 5] {
            let verification = one.hold(&saved(&table, decimals)).expect("a look");
            report.note(look, &format!("saved with {decimals} decimals"), &verification);
            let nodes = &verification.nodes;
            assert_eq!(nodes.decimals, decimals, "{look}: decimals of the file");
            // Rounded twice: a number that lay within half a millionth of a tie may fall to the other side.
            let beyond = nodes.worst - nodes.limit;
            assert!(beyond <= 5e-7, "{look}, {decimals} decimals: {} beyond the limit", beyond);
            if decimals == 2 {
                assert!(!verification.pass, "{look}: two decimals are 10 ten-bit codes and must be seen");
            }
        }
    }
    report.print();
}

/// The look through 32-bit floats, printed with nine decimals: as close to the look as the file that was written, so it passes.
#[test]
fn more_decimals_of_the_same_numbers_pass() {
    for (look, recipe, overrides) in LOOKS {
        let one = prepared(recipe, overrides);
        let exact = lookwright::lut::sample(&one.pipeline, 33).table;
        let floats = mapped(&exact, |node| node.map(|value| f64::from(value as f32)));
        let verification = one.hold(&saved(&floats, 9)).expect("a look");
        assert!(
            verification.pass && verification.nodes.changed == 0,
            "{look}: {} rows changed",
            verification.nodes.changed
        );
    }
}

#[test]
fn a_file_of_another_size_is_held_to_its_own_and_says_so() {
    for (look, recipe, overrides) in LOOKS {
        let one = prepared(recipe, overrides);
        let table = compiled(&one);
        let half = resampled(&table, 17, Interpolation::Tetrahedral);
        let verification = one.hold(&saved(&half, 6)).expect("a look");
        assert!(verification.nodes.pass(), "{look}: every second node is a node of the look");
        assert_eq!(verification.size, 17, "{look}");
        let told = verification.notes.iter().any(|note| note.contains("17 points") && note.contains("33"));
        assert!(told, "{look}: {:?}", verification.notes);
        if !verification.pass {
            assert!(
                verification.smallest_grid.is_some_and(|grid| grid > 17),
                "{look}: {:?}",
                verification.smallest_grid
            );
        }
    }
}

#[test]
fn another_domain_fails_but_is_looked_at() {
    let one = prepared("tone-only", &[]);
    let table = compiled(&one);
    let domain = Domain { min: [0.0; 3], max: [2.0; 3] };
    let moved = Table3::new(table.size(), domain, table.nodes().to_vec()).expect("as many nodes");
    let verification = one.hold(&moved).expect("a look");
    assert!(!verification.pass);
    assert!(
        verification.nodes.incomparable.as_ref().is_some_and(|why| why.contains("domain")),
        "{:?}",
        verification.nodes
    );
    assert_eq!(verification.grey.len(), 49, "the grey scale is still looked at");
    assert!(verification.grey_max_codes > 100.0, "and is wrong: {}", verification.grey_max_codes);
}

#[test]
fn a_truncated_file_names_what_is_missing() {
    let one = prepared("tone-only", &["lut.size=17"]);
    let folder = tempfile::tempdir().expect("a folder");
    let produced = one.produce(folder.path(), false).expect("a file");
    let text = std::fs::read_to_string(&produced.path).expect("text");
    let lines: Vec<&str> = text.lines().collect();
    let kept = lines[..lines.len() - 113].join("\n");
    std::fs::write(&produced.path, kept).expect("written");
    let faults = cube::read(&produced.path).expect_err("113 rows are missing");
    let told = format!("{faults:?}");
    assert!(told.contains("LW0306") && told.contains("4800") && told.contains("4913"), "{told}");
}

#[test]
fn a_legal_input_says_what_it_cuts() {
    let full = prepared("tone-only", &[]);
    assert!(full.hold(&compiled(&full)).expect("a look").cut.is_none(), "a full-range input cuts nothing");
    let legal = prepared("tone-only", &["lut.input_levels=\"legal\""]);
    let cut = legal.hold(&compiled(&legal)).expect("a look").cut.expect("a legal-range input cuts");
    assert_eq!((cut.first_code, cut.last_code.round()), (64.0, 940.0));
    // Sony, Technical Summary for S-Log3: code 940 is 0.19 · 10^(520 / 261.5) − 0.01 of light; black lies at code 95.
    let last = log2((0.19 * exp10(520.0 / 261.5) - 0.01) / 0.18);
    assert!(cut.first_stops.is_none(), "below the code of no light there are no stops: {cut:?}");
    assert!(cut.last_stops.is_some_and(|stops| (stops - last).abs() < 1e-9), "{cut:?}, expected {last} stops");
    assert!(cut.max_de < 0.01, "beyond +6 stops this look is white anyway: {cut:?}");
    let slow = prepared("tone-only", &["lut.input_levels=\"legal\"", "tone.white_stops=9"]);
    let cut = slow.hold(&compiled(&slow)).expect("a look").cut.expect("a legal-range input cuts");
    assert!(
        cut.max_de > 0.5 && cut.max_de_code == 1023.0,
        "a look that is white at +9 stops loses highlights: {cut:?}"
    );
}

#[test]
fn the_search_is_the_same_every_time_and_finds_a_planted_fault() {
    let one = prepared("tone-only", &[]);
    let table = compiled(&one);
    let (first, second) = (one.hold(&table).expect("a look").search, one.hold(&table).expect("a look").search);
    assert_eq!(first.worst.code_in, second.worst.code_in);
    assert_eq!((first.mean_de, first.de_95), (second.mean_de, second.de_95));
    let mut planted = table.clone();
    for node in planted.nodes_mut() {
        node[1] = (node[1] + 0.05).min(1.0);
    }
    let found = one.hold(&planted).expect("a look").search;
    assert!(found.mean_de > first.mean_de + 2.0, "{} against {}", found.mean_de, first.mean_de);
}
