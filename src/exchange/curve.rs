//! A camera's curve as a step of the Common LUT Format.

use crate::colour::encodings::Curve;
use crate::formats::clf::{Log, LogParams, LogStyle, Lut1, Node, Operation};
use crate::maths::{CODE10_MAX, GREY, log10, pow};

/// Rows of a table that stands for a curve that the standard's logarithm can't say: between two rows of a logarithmic curve the
/// straight line is off by less than a hundred-thousandth of a stop.
const TABLE_ROWS: usize = 16_384;

/// The standard's logarithm may miss the published curve by this much, in 10-bit codes: what the constants of some makers leave
/// as a step at their break. Everything larger needs a table.
const MOST_CODES: f64 = 0.15;

/// The error is measured at this many codes of the signal.
const MEASURED: usize = 8192;

/// A camera's curve, as a step from signal to scene-linear light.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveStep {
    /// The step.
    pub node: Node,
    /// The most that it misses the published curve by, in 10-bit codes of the signal.
    pub codes: f64,
}

/// The step that decodes a camera's signal, 0..1, to scene-linear light.
///
/// It is the standard's logarithm with a straight line wherever that says the published curve, else a table.
#[must_use]
pub fn curve_step(curve: &Curve) -> CurveStep {
    let name = curve.encoding().name;
    let decoded = |operation: &Operation, kind: &str| {
        let step = Node::new(String::new(), String::new(), operation.clone());
        let codes = worst_codes(curve, &step);
        let description = format!(
            "{name} signal to scene-linear light, 18 % grey at 0.18; {kind}; off by at most {codes:.1e} ten-bit codes of the published curve"
        );
        CurveStep { node: Node::new(format!("{name} decode"), description, operation.clone()), codes }
    };
    if let Some(params) = camera_log(curve) {
        let log = Operation::Log(Log { style: LogStyle::CameraLogToLin, params: [params; 3] });
        let step = decoded(&log, "the standard's logarithm with a straight line below its break");
        if step.codes <= MOST_CODES {
            return step;
        }
    }
    if let Some(params) = plain_log(curve) {
        let log = Operation::Log(Log { style: LogStyle::LogToLin, params: [params; 3] });
        let step = decoded(&log, "the standard's logarithm");
        if step.codes <= MOST_CODES {
            return step;
        }
    }
    let last = (TABLE_ROWS - 1) as f64;
    let rows = (0..TABLE_ROWS).map(|row| [curve.decode(row as f64 / last); 3]).collect();
    let table = Lut1 { half_domain: false, hue_adjust: false, one_column: true, rows };
    decoded(&Operation::Lut1(table), "a table, for the standard's logarithm can't say this curve")
}

/// The logarithm through the curve's upper branch, in the form whose argument is 1 at grey.
fn plain_log(curve: &Curve) -> Option<LogParams> {
    // Three values at equal distances: their differences stand to each other as the base to the step.
    let grey = curve.encode(GREY);
    let step = (1.0 - grey) / 2.0;
    let [first, middle, last] = [grey, grey + step, 1.0].map(|code| curve.decode(code));
    let ratio = (last - middle) / (middle - first);
    if !(ratio.is_finite() && ratio > 1.0) {
        return None;
    }
    let log_side_slope = step / log10(ratio);
    // x = (10^((v − grey) / slope) − b) / a, with a · 0.18 + b = 1.
    let a = (ratio - 1.0) / (middle - first);
    let lin_side_offset = 1.0 - a * first;
    let params = LogParams {
        base: 10.0,
        log_side_slope,
        log_side_offset: grey,
        lin_side_slope: a,
        lin_side_offset,
        lin_side_break: None,
        linear_slope: None,
    };
    [log_side_slope, a, lin_side_offset].iter().all(|value| value.is_finite()).then_some(params)
}

/// The same with the straight line below the curve's break.
fn camera_log(curve: &Curve) -> Option<LogParams> {
    let params = plain_log(curve)?;
    let [code] = curve.breaks()[..] else { return None };
    let below = code - 0.5 / CODE10_MAX;
    let slope = (code.next_down() - below) / (curve.decode(code.next_down()) - curve.decode(below));
    // The light where the logarithm has the code of the break.
    let light = (pow(params.base, (code - params.log_side_offset) / params.log_side_slope) - params.lin_side_offset)
        / params.lin_side_slope;
    (slope.is_finite() && slope > 0.0 && light.is_finite()).then_some(LogParams {
        lin_side_break: Some(light),
        linear_slope: Some(slope),
        ..params
    })
}

/// The most that a step misses the published curve by, in 10-bit codes: the light that it gives, encoded again.
fn worst_codes(curve: &Curve, step: &Node) -> f64 {
    let mut worst = 0.0_f64;
    for place in 0..=MEASURED {
        let code = place as f64 / MEASURED as f64;
        let (light, exact) = (step.operation.apply([code; 3])[0], curve.decode(code));
        // Around a code the curve is as good as straight; its slope turns a difference of light into codes.
        let reach = 0.25 / CODE10_MAX;
        let slope = (curve.decode(code + reach) - curve.decode(code - reach)) / (2.0 * reach);
        let codes = if light == exact { 0.0 } else { ((light - exact) / slope).abs() * CODE10_MAX };
        // Where the curve stands still, any light has that code.
        if slope > 0.0 {
            worst = if codes > worst || codes.is_nan() { codes } else { worst };
        }
    }
    worst
}
