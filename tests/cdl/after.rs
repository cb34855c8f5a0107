//! `[after] cube`: a table from post over the finished signal. What it computes is held against an independent implementation by
//! `tests/python/cross_check.py` (`tests/data/looks/after-cube.toml`); here are the parts that can be worked out by hand.

use crate::told;
use lookwright::compile::{Prepared, prepare};
use lookwright::diagnostics::Diagnostic;
use lookwright::lut::sample;
use lookwright::pipeline::{Clips, Pipeline, Row};
use lookwright::plan::Levels;
use std::fs;
use tempfile::TempDir;

const HEAD: &str = "lookwright = 1\n[look]\nname = \"x\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[white]\nwarmer_mired = 20\n[tone]\n";

/// Turns the picture over, per channel.
const NEGATIVE: &str = "TITLE \"negative\"\nLUT_1D_SIZE 2\n1.0 1.0 1.0\n0.0 0.0 0.0\n";

/// The same as a 3D table, red fastest.
fn negative_3d(title: &str, places: usize) -> String {
    let rows = (0..8).map(|node| {
        let [r, g, b] = [node & 1, node >> 1 & 1, node >> 2].map(|bit| format!("{:.places$}", 1.0 - f64::from(bit)));
        format!("{r} {g} {b}\n")
    });
    format!("TITLE \"{title}\"\nLUT_3D_SIZE 2\n{}", rows.collect::<String>())
}

/// A curve before a 3D table: halves, then the negative.
fn shaped() -> String {
    let three = negative_3d("x", 1);
    let rows = three.split_once("LUT_3D_SIZE 2\n").map_or("", |(_, rows)| rows);
    format!(
        "TITLE \"shaped\"\nLUT_1D_SIZE 2\nLUT_1D_INPUT_RANGE 0.0 1.0\nLUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0.0 1.0\n\
         0.0 0.0 0.0\n0.5 0.5 0.5\n{rows}"
    )
}

fn prepared(cube: Option<(&str, &str)>, more: &str) -> Result<Prepared, Vec<Diagnostic>> {
    let folder: TempDir = tempfile::tempdir().expect("a folder");
    let mut text = HEAD.to_owned();
    if let Some((name, content)) = cube {
        fs::write(folder.path().join(name), content).expect("written");
        text = format!("{text}[after]\ncube = \"{name}\"\n");
    }
    let path = folder.path().join("look.toml");
    fs::write(&path, format!("{text}{more}")).expect("written");
    prepare(&path, &[])
}

fn right(cube: Option<(&str, &str)>, more: &str) -> Prepared {
    prepared(cube, more).unwrap_or_else(|found| panic!("{:?}", found.iter().map(told).collect::<Vec<_>>()))
}

/// Signals of a look, over its whole input.
fn signals(pipeline: &Pipeline) -> Vec<[f64; 3]> {
    sample(pipeline, 9).table.nodes().to_vec()
}

/// Rounding of a few sums.
const EXACT: f64 = 1e-12;

#[test]
fn a_negative_turns_the_finished_signal_over() {
    let plain = signals(&right(None, "").pipeline);
    let domain = "domain = \"display\"\n";
    let three = negative_3d("negative", 6);
    for (name, content, factor) in
        [("n.cube", NEGATIVE, 1.0), ("n.cube", three.as_str(), 1.0), ("s.cube", &shaped(), 0.5)]
    {
        for interpolation in ["tetrahedral", "trilinear"] {
            let more = format!("{domain}interpolation = \"{interpolation}\"\n");
            for (out, was) in signals(&right(Some((name, content)), &more).pipeline).iter().zip(&plain) {
                for channel in 0..3 {
                    let expected = 1.0 - factor * was[channel];
                    assert!((out[channel] - expected).abs() < EXACT, "{content}: {was:?} became {out:?}");
                }
            }
        }
    }
}

#[test]
fn levels_are_those_of_the_cube_and_of_the_device() {
    let plain = signals(&right(None, "").pipeline);
    let more =
        "domain = \"display\"\ninput_levels = \"legal\"\noutput_levels = \"legal\"\n[lut]\noutput_levels = \"legal\"\n";
    let mut held = Clips::default();
    let look = right(Some(("n.cube", NEGATIVE)), more);
    for (out, was) in signals(&look.pipeline).iter().zip(&plain) {
        for channel in 0..3 {
            // 1 − (64 + 876 v)/1023 as a legal signal: (1023 − 64 − 876 v − 64)/876, beyond white for the darkest.
            let expected = ((895.0 - 876.0 * was[channel]) / 876.0).clamp(0.0, 1.0);
            let expected = Levels::Legal.to_signal(expected);
            assert!((out[channel] - expected).abs() < EXACT, "{was:?} became {out:?} instead of {expected}");
        }
    }
    let mut row = Row::default();
    row.fill_pixels([[0.0; 3]].into_iter());
    look.pipeline.evaluate_row(&mut row, &mut held);
    assert_eq!(held.after_held, 1, "black is sent beyond white");
}

#[test]
fn a_domain_holds_and_counts() {
    let narrow = "TITLE \"x\"\nLUT_1D_SIZE 2\nDOMAIN_MIN 0.25 0.25 0.25\nDOMAIN_MAX 0.75 0.75 0.75\n0.25 0.25 0.25\n0.75 0.75 0.75\n";
    let plain = signals(&right(None, "").pipeline);
    let look = right(Some(("n.cube", narrow)), "domain = \"display\"\n");
    let sampled = sample(&look.pipeline, 9);
    let outside = plain.iter().filter(|signal| signal.iter().any(|value| !(0.25..=0.75).contains(value))).count();
    assert!(outside > 100 && outside < plain.len(), "{outside} of {}", plain.len());
    assert_eq!(sampled.clips.after_held, outside as u64);
    for (out, was) in sampled.table.nodes().iter().zip(&plain) {
        for channel in 0..3 {
            assert!((out[channel] - was[channel].clamp(0.25, 0.75)).abs() < EXACT, "{was:?} became {out:?}");
        }
    }
}

#[test]
fn variants_keep_the_cube_and_monochrome_stays_so() {
    let tint = "TITLE \"x\"\nLUT_1D_SIZE 2\n0.1 0.0 0.0\n1.0 1.0 0.8\n";
    let look = right(Some(("n.cube", tint)), "domain = \"display\"\n");
    let of = |strength: f64, monochrome: bool, cube: bool| {
        let mut plan = look.plan.clone();
        (plan.strength, plan.monochrome) = (strength, monochrome);
        plan.after = plan.after.filter(|_| cube);
        signals(&Pipeline::build(&plan).expect("possible").0)
    };
    for strength in [0.0, 0.4, 1.0] {
        for (out, was) in of(strength, false, true).iter().zip(of(strength, false, false)) {
            let expected = [0.1 + 0.9 * was[0], was[1], 0.8 * was[2]];
            assert!((0..3).all(|i| (out[i] - expected[i]).abs() < EXACT), "{was:?} became {out:?} at {strength}");
        }
    }
    for out in of(1.0, true, true) {
        assert!((0..3).all(|i| (out[i] - out[0]).abs() < EXACT), "{out:?} has a colour");
    }
}

#[test]
fn the_fingerprint_follows_the_numbers_and_not_the_name() {
    let domain = "domain = \"display\"\n";
    let of = |name: &str, content: &str, more: &str| {
        right(Some((name, content)), &format!("{domain}{more}")).plan.fingerprint()
    };
    let three = negative_3d("one", 1);
    let base = of("a.cube", &three, "");
    assert_eq!(of("b.cube", &negative_3d("another title", 6), ""), base, "name, title and digits are no meaning");
    let other = three.replacen("1.0", "0.9", 1);
    assert_ne!(of("a.cube", &other, ""), base, "another number");
    assert_ne!(of("a.cube", NEGATIVE, ""), base, "another kind");
    for more in ["interpolation = \"trilinear\"", "input_levels = \"legal\"", "output_levels = \"legal\""] {
        assert_ne!(of("a.cube", &three, more), base, "{more}");
    }
    let one = of("a.cube", NEGATIVE, "");
    assert_eq!(of("a.cube", NEGATIVE, "interpolation = \"trilinear\""), one, "a 1D table is read in one way");
    assert_eq!(right(None, "[after]\ndomain = \"display\"\n").plan.fingerprint(), right(None, "").plan.fingerprint());
}

#[test]
fn what_is_missing_or_wrong_is_told() {
    let wrong = |cube: Option<(&str, &str)>, more: &str| -> Vec<String> {
        prepared(cube, more).expect_err("refused").iter().map(told).collect()
    };
    assert_eq!(
        wrong(Some(("n.cube", NEGATIVE)), ""),
        ["LW0108 11:8 `after.domain` is missing | expected `domain = \"display\"` beside it"]
    );
    assert_eq!(
        wrong(Some(("n.cube", NEGATIVE)), "domain = \"scene\"\n"),
        ["LW0106 12:10 unknown domain \"scene\" | expected display, found \"scene\""]
    );
    let missing = wrong(None, "[after]\ncube = \"none.cube\"\ndomain = \"display\"\n");
    assert!(missing[0].starts_with("LW0229 11:8 the cube after the look can't be read | "), "{missing:?}");
    let broken =
        wrong(Some(("n.cube", "TITLE \"x\"\nLUT_1D_SIZE 2\n1,0 1.0 1.0\n0.0 0.0 0.0\n")), "domain = \"display\"\n");
    assert!(broken[0].starts_with("LW0304 3:1 "), "{broken:?}");
}
