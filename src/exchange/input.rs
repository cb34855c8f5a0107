//! From a camera's signal to ACEScg.

use super::curve::curve_step;
use super::table::{Axis, StepError, lut3, measured, sampled, told};
use super::translation::{Step, matrix_node};
use crate::colour::encodings::Curve;
use crate::formats::clf::Node;
use crate::maths::{CODE10_MAX, Rgb, exp2};
use crate::pipeline::{Block, Clips, Pipeline, Row, transform};
use crate::plan::Plan;
use nalgebra::Matrix3;

/// Signals that a table stores stay within this of 0..1: further out they have no meaning.
const BEYOND: f64 = 0.25;

/// From the camera's signal to linear ACEScg, its gamut compressed, if the plan asks for it. The recipe's exposure is not in it: neither of
/// the two knows how bright light is.
///
/// The compression, and root terms of a trim, stand before the decoding, in the camera's own signal: what they leave as it was, a table
/// leaves exactly as it was, and no light needs an axis of its own.
pub(super) fn input(plan: &Plan, pipeline: &Pipeline, size: usize, signals: &[Rgb]) -> Vec<Step> {
    let curve = &plan.camera.curve;
    let mut steps = Vec::new();
    let blocks = pipeline.camera_blocks();
    let linear = linear_part(blocks);
    if blocks.iter().any(|block| !matches!(block, Block::Matrix(_))) {
        steps.push(correction(curve, blocks, &linear, size, signals, plan));
    }
    let decode = curve_step(curve);
    let error =
        StepError { name: decode.node.name.clone(), most: decode.codes, mean: decode.codes, unit: "ten-bit codes" };
    steps.push(Step { node: decode.node, error: (decode.codes > 0.0).then_some(error) });
    let matrix = linear / exp2(plan.exposure_stops);
    if matrix != Matrix3::identity() {
        steps.push(Step::exact(camera_matrix(plan, &matrix)));
    }
    steps
}

/// All matrices of the blocks in one.
fn linear_part(blocks: &[Block]) -> Matrix3<f64> {
    blocks.iter().fold(Matrix3::identity(), |all, block| if let Block::Matrix(one) = block { one * all } else { all })
}

fn camera_matrix(plan: &Plan, matrix: &Matrix3<f64>) -> Node {
    let trim = if plan.camera_trim == crate::plan::Trim::IDENTITY && plan.trim == crate::plan::Trim::IDENTITY {
        ""
    } else {
        ", with the camera's trim"
    };
    let description = format!("{} to ACEScg, adapted by {}{trim}", plan.camera.gamut.id, plan.adaptation.id());
    matrix_node("camera to ACEScg", &description, matrix)
}

/// What the other blocks do to the camera's signal.
fn correction(
    curve: &Curve,
    blocks: &[Block],
    linear: &Matrix3<f64>,
    size: usize,
    signals: &[Rgb],
    plan: &Plan,
) -> Step {
    let back = linear.try_inverse().unwrap_or_else(Matrix3::identity);
    let stored = |row: &mut Row| {
        let before: Vec<Rgb> = row.pixels().collect();
        row.each(|signal| signal.map(|value| curve.decode(value)));
        for block in blocks {
            block.apply(row, &mut Clips::default());
        }
        row.each(|light| transform(&back, light).map(|value| signal_of(curve, value)));
        // What no block has touched keeps its signal to the last digit: decoding and encoding again would move it by rounding.
        let mut place = 0;
        row.each(|signal| {
            let untouched = (0..3).all(|channel| (signal[channel] - before[place][channel]).abs() < UNTOUCHED);
            let kept = if untouched { before[place] } else { signal };
            place += 1;
            kept
        });
    };
    let axis = Axis { place: &|signal| signal, value: &|place| place };
    let table = sampled(size, &axis, &stored);
    let mut row = Row::default();
    row.fill_pixels(signals.iter().copied());
    stored(&mut row);
    let exact: Vec<Rgb> = row.pixels().collect();
    let codes = |read: f64, exact: f64| (read - exact).abs() * CODE10_MAX;
    let (most, mean) = measured(&table, &axis, signals, &exact, codes);
    let has_root = blocks.iter().any(|block| matches!(block, Block::RootTrim(_)));
    let what = match (has_root, plan.input_compress) {
        (true, true) => "root terms of the trim and input gamut compression, in the camera's own signal",
        (true, false) => "root terms of the trim, in the camera's own signal",
        _ => {
            "input gamut compression (ACES Reference Gamut Compression), in the camera's own signal: colours inside the gamut pass untouched"
        }
    };
    let name = if has_root { "trim and gamut compression" } else { "input gamut compression" };
    let error = StepError { name: name.to_owned(), most, mean, unit: "ten-bit codes of the camera" };
    Step { node: lut3(name, told(what, size, &error), table), error: Some(error) }
}

/// Signals closer than this were not touched: a thousandth of what the digits of a file can say.
const UNTOUCHED: f64 = 1e-9;

/// The signal of a light, kept near 0..1, also where the curve has none.
fn signal_of(curve: &Curve, light: f64) -> f64 {
    let signal = curve.encode(light);
    if signal.is_nan() { -BEYOND } else { signal.clamp(-BEYOND, 1.0 + BEYOND) }
}
