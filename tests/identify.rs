//! Loose files of a show of two hundred looks: what was done to them is known, because it is done here.
#![allow(clippy::print_stdout, reason = "the count is wanted, with --nocapture")]

#[path = "identify/changes.rs"]
mod changes;
mod common;
#[path = "identify/show.rs"]
mod show;

use changes::{Change, changes};
use lookwright::formats::cube::{CubeFile, Header, Tables};
use lookwright::identify::{Agreement, Candidate, Certainty, Identification, Verdict, identify};
use lookwright::lut::{Domain, Interpolation, Table1, Table3};
use lookwright::maths::{Rgb, pow};
use show::{Random, Show, built, file_of, show, table_of};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use std::time::Instant;

/// Looks of the show.
const LOOKS: usize = 200;

/// How often each kind of change is made, each time to another look: the ordinary run, and the thorough one.
const TURNS: [usize; 2] = [2, 7];

/// The share of them that must be named. This project's own goal.
const NAMED: f64 = 0.99;

/// The show, made once.
fn whole_show() -> &'static Show {
    static SHOW: OnceLock<Show> = OnceLock::new();
    SHOW.get_or_init(|| show(LOOKS))
}

fn candidates_of(found: &Identification) -> &[usize] {
    match &found.verdict {
        Verdict::Is { candidates, .. } => candidates,
        Verdict::None => &[],
    }
}

/// Whether the answer holds the look, and no other that is not the same table to the file's precision.
fn is_right(show: &Show, found: &Identification, look: usize, step: f64) -> bool {
    let answer = candidates_of(found);
    answer.contains(&look) && answer.iter().all(|other| show.distance(look, *other) <= step)
}

#[test]
fn files_of_the_show_are_named_whatever_was_done_to_them() {
    let show = whole_show();
    let mut random = Random(11);
    let changes = changes();
    let mut tally: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let (mut right, mut exact, mut wrong) = (Vec::new(), 0, Vec::new());
    let mut margins = Vec::new();
    let files = changes.len() * TURNS[usize::from(common::thorough())];
    assert!(files >= 88, "{files} files");
    for turn in 0..files {
        let change: &Change = &changes[turn % changes.len()];
        let look = random.below(show.candidates.len());
        let file = change.make(&show.candidates[look], &show.tables[look]);
        let found = identify(&file, &show.candidates);
        let entry = tally.entry(change.kind).or_default();
        entry.1 += 1;
        if is_right(show, &found, look, change.step) {
            entry.0 += 1;
            let mine = found
                .nearest
                .iter()
                .find(|near| near.candidates.contains(&look))
                .map_or(1.0, |near| near.residual.mean);
            let other = found
                .nearest
                .iter()
                .find(|near| !near.candidates.iter().any(|c| show.distance(look, *c) <= change.step));
            margins.push((mine, other.map_or(1.0, |near| near.residual.mean)));
            if let Verdict::Is { certainty: Certainty::Exact, .. } = found.verdict {
                exact += 1;
            }
            right.push(turn);
        } else {
            wrong.push(format!("{} of {}: {:?}", change.name, show.names[look], found.verdict));
        }
    }
    for (kind, (right, all)) in &tally {
        println!("{kind:44} {right} of {all}");
    }
    margins.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |part: f64| margins[((margins.len() - 1) as f64 * part) as usize].0;
    println!("mean residual of right answers: median {:e}, 95 % {:e}, largest {:e}", at(0.5), at(0.95), at(1.0));
    margins.sort_by(|a, b| a.1.total_cmp(&b.1));
    let at = |part: f64| margins[((margins.len() - 1) as f64 * part) as usize].1;
    println!(
        "mean residual of the nearest other look: smallest {:e}, 5 % {:e}, median {:e}",
        at(0.0),
        at(0.05),
        at(0.5)
    );
    let ratio = margins.iter().map(|(mine, other)| other / mine.max(1e-12)).fold(f64::INFINITY, f64::min);
    println!("smallest ratio of the two {ratio:.1}; {exact} of {} exact", right.len());
    for line in &wrong {
        println!("wrong: {line}");
    }
    assert!(right.len() as f64 >= NAMED * files as f64, "{} of {files} files were named; not: {wrong:#?}", right.len());
}

/// A file without a header that would give it away.
fn bare(table: &Table3) -> CubeFile {
    file_of(table, &Header::default())
}

/// Files of no look of the show.
fn strangers(show: &Show, random: &mut Random) -> Vec<(String, CubeFile)> {
    let mut files = Vec::new();
    let some = |random: &mut Random| random.below(show.candidates.len());
    // Looks of the same family, nowhere nearer than five mired or 0.05 of contrast to one of the show.
    for turn in 0..16 {
        let mut variation = show.variations[some(random)].clone();
        match turn % 4 {
            0 => variation.mired += 7.0,
            1 => variation.mired -= 5.0,
            2 => variation.contrast += 0.07,
            _ => variation.contrast -= 0.05,
        }
        if let Some(other) = variation.build() {
            let table = table_of(&other);
            files.push((format!("another look: {variation:?}"), bare(&table)));
            files.push((
                format!("another look at 33: {variation:?}"),
                bare(&changes::resample(&table, 33, Interpolation::Tetrahedral)),
            ));
        }
    }
    // Edited copies.
    for _ in 0..3 {
        let look = some(random);
        for (name, edited) in edits(&show.tables[look]) {
            files.push((format!("{name} of {}", show.names[look]), bare(&edited)));
        }
    }
    // Plain conversions of the show's cameras.
    for camera in [
        ["s-log3", "s-gamut3.cine"],
        ["logc4", "awg4"],
        ["v-log", "v-gamut"],
        ["bmd-film-gen5", "blackmagic-wide-gamut"],
    ] {
        let overrides = [
            format!("camera.encoding=\"{}\"", camera[0]),
            format!("camera.gamut=\"{}\"", camera[1]),
            "lut.size=33".to_owned(),
        ];
        files.push((
            format!("technical of {}", camera[0]),
            bare(&table_of(&built("technical", &overrides).expect("a conversion"))),
        ));
    }
    for size in [17, 33] {
        files.push((format!("identity, {size} points"), bare(&show::table(size, |rgb| rgb))));
        let [a, b, c] = [0; 3].map(|_: i32| random.between(0.6, 2.2));
        let smooth =
            show::table(size, |[r, g, b1]| [0.8 * pow(r, a) + 0.2 * g, pow(g, b), 0.9 * pow(b1, c) + 0.1 * r * g]);
        files.push((format!("a smooth table, {size} points"), bare(&smooth)));
    }
    files
}

/// What somebody may have done by hand.
fn edits(of: &Table3) -> Vec<(&'static str, Table3)> {
    let each = |change: &dyn Fn(Rgb) -> Rgb| {
        let mut table = of.clone();
        table.nodes_mut().iter_mut().for_each(|node| *node = change(*node));
        table
    };
    let mut one = of.clone();
    // A node in the middle: no clipping hides it.
    let middle = one.nodes().len() / 2;
    one.nodes_mut()[middle][1] += 0.004;
    vec![
        ("red gained by 2 %", each(&|[r, g, b]| [1.02 * r, g, b])),
        ("blue gained by 2 %, cut", each(&|[r, g, b]| [r, g, (1.02 * b).min(1.0)])),
        ("green lifted by half a code", each(&|[r, g, b]| [r, g + 0.0005, b])),
        ("a gamma of 1.03", each(&|rgb| rgb.map(|value| pow(value, 1.03)))),
        ("columns swapped", each(&|[r, g, b]| [b, g, r])),
        ("one number changed", one),
    ]
}

#[test]
fn strangers_are_none_of_the_looks() {
    let show = whole_show();
    let files = strangers(show, &mut Random(5));
    assert!(files.len() >= 40, "{} strangers", files.len());
    let mut named = Vec::new();
    let mut nearest = Vec::new();
    for (name, file) in &files {
        let found = identify(file, &show.candidates);
        if !candidates_of(&found).is_empty() {
            named.push(format!("{name}: {:?}", found.verdict));
        }
        assert_eq!(found.nearest.len(), 5, "{name}: the nearest are named");
        let rising = found.nearest.windows(2).all(|pair| pair[0].left.mean_de <= pair[1].left.mean_de);
        assert!(rising, "{name}: the nearest comes first");
        nearest.push(found.nearest[0].left.mean_de);
    }
    nearest.sort_by(f64::total_cmp);
    println!(
        "{} strangers; the nearest look lies {:.3} to {:.1} (CIEDE2000, mean) away",
        files.len(),
        nearest[0],
        nearest[nearest.len() - 1]
    );
    assert!(named.is_empty(), "{named:#?}");
}

/// The header that a compile writes, as far as it matters here.
fn claiming(candidate: &Candidate) -> Header {
    Header { comments: vec![format!("fingerprint: {}", candidate.plan.fingerprint())], ..Header::default() }
}

#[test]
fn a_header_is_held_against_the_numbers() {
    let show = show(24);
    let (look, other) = (4, 13);
    let of = |table: &Table3, header: Header| identify(&file_of(table, &header), &show.candidates);
    let right = of(&show.tables[look], claiming(&show.candidates[look]));
    assert_eq!(right.header.agreement, Agreement::Agrees);
    assert_eq!(right.header.candidates, [look]);
    assert!(right.nearest[0].origin.is_unchanged() && right.nearest[0].left.max_de < 0.01, "{:?}", right.nearest[0]);
    let resampled = changes::resample(&show.tables[look], 32, Interpolation::Trilinear);
    assert_eq!(of(&resampled, claiming(&show.candidates[look])).header.agreement, Agreement::Agrees);

    let copied = of(&show.tables[look], claiming(&show.candidates[other]));
    assert_eq!(copied.header.agreement, Agreement::OtherLook);
    assert!(candidates_of(&copied).contains(&look) && !candidates_of(&copied).contains(&other));
    let (_, edited) = edits(&show.tables[look]).remove(0);
    assert_eq!(of(&edited, claiming(&show.candidates[look])).header.agreement, Agreement::NoLook);

    assert_eq!(of(&show.tables[look], Header::default()).header.agreement, Agreement::NoClaim);
    let unknown = built("technical", &[]).expect("a conversion");
    let found = of(&show.tables[look], claiming(&unknown));
    assert_eq!(found.header.agreement, Agreement::Unknown);
    assert!(candidates_of(&found).contains(&look));
}

/// Of two looks that explain a file, the one for which nothing need have been done is the answer.
#[test]
fn the_simplest_explanation_wins() {
    let full = built("snack-bar", &["lut.size=17".to_owned()]).expect("a look");
    let legal = built("snack-bar", &["lut.size=17", "lut.output_levels=\"legal\""].map(str::to_owned)).expect("a look");
    let larger = built("snack-bar", &["lut.size=33".to_owned()]).expect("a look");
    let table = table_of(&legal);
    let larger_table = table_of(&larger);
    let candidates = [full, legal, larger];
    let found = identify(&file_of(&table, &claiming(&candidates[0])), &candidates);
    assert_eq!(candidates_of(&found), [1]);
    assert_eq!(found.header.agreement, Agreement::LessSimply);
    assert!(matches!(&found.verdict, Verdict::Is { origin, .. } if origin.is_unchanged()));
    let found = identify(&bare(&larger_table), &candidates);
    assert_eq!(candidates_of(&found), [2], "not the smaller look compiled anew");
}

/// What is said of how a file came about.
#[test]
fn the_origin_of_a_file_is_told() {
    let candidates = [built("dusk-car-deck", &[]).expect("a look")];
    let written = table_of(&candidates[0]);
    let told = |table: &Table3, decimals: usize| {
        let found = identify(&file_of(table, &Header { decimals, ..Header::default() }), &candidates);
        match &found.verdict {
            Verdict::Is { origin, .. } => origin.words(),
            Verdict::None => format!("none: {:?}", found.nearest[0]),
        }
    };
    assert_eq!(told(&written, 6), "unchanged");
    assert_eq!(told(&written, 4), "numbers in 4 decimals");
    let at = |size| changes::resample(&written, size, Interpolation::Trilinear);
    assert_eq!(
        told(&at(17), 6),
        "re-sampled from 33 to 17 points (compiled anew, tetrahedral, trilinear give the same numbers)"
    );
    assert_eq!(told(&at(65), 5), "re-sampled from 33 to 65 points (trilinear); numbers in 5 decimals");
    let back = changes::resample(&at(17), 33, Interpolation::Tetrahedral);
    assert!(told(&back, 6).starts_with("re-sampled from 33 to 17 to 33 points"), "{}", told(&back, 6));
    let legal = show::table(33, |[r, g, b]| {
        let index = |value: f64| (value * 32.0).round() as usize;
        written.node(index(r), index(g), index(b)).map(|value| (64.0 + 876.0 * value) / 1023.0)
    });
    assert_eq!(told(&legal, 6), "output re-scaled from full to legal levels (64 to 940 of 1023)");
    assert_eq!(
        told(&lookwright::lut::sample(&candidates[0].pipeline, 29).table, 6),
        "compiled anew at 29 points instead of 33"
    );
}

/// Domains, shapers and 1D tables: forms that the program doesn't write, and others do.
#[test]
fn other_forms_are_read_for_what_they_are() {
    let candidates = [built("fog-morning", &[]).expect("a look"), built("snack-bar", &[]).expect("a look")];
    let written = table_of(&candidates[0]);
    let of =
        |tables: Tables| identify(&CubeFile { title: None, comments: vec![], tables, warnings: vec![] }, &candidates);
    let with_domain = |min: f64, max: f64, table: &Table3| {
        Tables::Three(
            Table3::new(table.size(), Domain { min: [min; 3], max: [max; 3] }, table.nodes().to_vec())
                .expect("a table"),
        )
    };
    let codes = of(with_domain(0.0, 1023.0, &written));
    assert_eq!(candidates_of(&codes), [0]);
    assert!(codes.nearest[0].origin.is_unchanged() && codes.notes[0].contains("other units"), "{:?}", codes.notes);
    let legal = of(with_domain(64.0 / 1023.0, 940.0 / 1023.0, &written));
    assert_eq!(candidates_of(&legal), [0]);
    assert!(legal.notes[0].contains("legal levels"), "{:?}", legal.notes);
    // The look over more than its own range: the ends are held.
    let wide = show::table(33, |rgb| written.sample(rgb.map(|value| -0.1 + 1.2 * value), Interpolation::Tetrahedral));
    assert_eq!(candidates_of(&of(with_domain(-0.1, 1.1, &wide))), [0]);

    let shaper = |of: fn(f64) -> f64| {
        Table1::new(Domain::UNIT, (0..1025).map(|row| [of(f64::from(row) / 1024.0); 3]).collect()).expect("rows")
    };
    assert_eq!(candidates_of(&of(Tables::Shaped { shaper: shaper(|v| v), table: written.clone() })), [0]);
    // A square root in front, its nodes found from the look.
    let rooted = show::table(33, |rgb| written.sample(rgb.map(|value| value * value), Interpolation::Tetrahedral));
    let found = of(Tables::Shaped { shaper: shaper(f64::sqrt), table: rooted });
    assert_eq!(found.nearest[0].candidates, [0]);

    let greys: Vec<Rgb> =
        (0..1024).map(|row| written.sample([f64::from(row) / 1023.0; 3], Interpolation::Tetrahedral)).collect();
    let scale = of(Tables::One(Table1::new(Domain::UNIT, greys).expect("rows")));
    assert!(candidates_of(&scale).is_empty() && scale.notes[0].contains("1D"), "{:?}", scale.verdict);
}

#[test]
fn nothing_is_none_of_nothing() {
    let found = identify(&bare(&show::table(5, |rgb| rgb)), &[]);
    assert!(candidates_of(&found).is_empty() && found.nearest.is_empty());
}

/// Eight corners, black and white in any look, are no evidence.
#[test]
fn a_table_that_tells_little_is_not_named() {
    let candidates = [built("snack-bar", &[]).expect("a look")];
    let corners = changes::resample(&table_of(&candidates[0]), 2, Interpolation::Tetrahedral);
    let found = identify(&bare(&corners), &candidates);
    assert!(candidates_of(&found).is_empty() && found.notes.iter().any(|note| note.contains("too few")), "{found:?}");
    assert_eq!(found.nearest[0].candidates, [0]);
}

/// Twelve hundred candidates: this project's own goal is ten seconds a file in the development profile on two cores.
#[test]
#[ignore = "a question of time, to be asked on a quiet machine"]
fn a_long_show_is_quick() {
    let show = show(1200);
    for (at, change) in changes().iter().enumerate() {
        let look = at * 27 % show.candidates.len();
        let file = change.make(&show.candidates[look], &show.tables[look]);
        let start = Instant::now();
        let found = identify(&file, &show.candidates);
        let seconds = start.elapsed().as_secs_f64();
        println!(
            "{seconds:6.2} s  {}: {}",
            change.name,
            if is_right(&show, &found, look, change.step) { "right" } else { "wrong" }
        );
        assert!(seconds < 10.0, "{}: {seconds:.1} s", change.name);
    }
}
