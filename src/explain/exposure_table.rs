//! Which code a camera records for which light: the stops-to-code table of one curve.

use super::TABLE_STOPS;
use crate::colour::encodings::{Curve, Step};
use crate::maths::{CODE10_MAX, GREY, linear_from_stops, stops_from_grey};
use crate::plan::Levels;
use serde::Serialize;

/// Light of a white that reflects 90 %, the reference white of camera documents (grey is 18 %).
const WHITE_90: f64 = 0.9;

/// Light far beyond the end of every camera's signal: a curve whose code is still below full scale here holds its codes
/// to a highest one, as `ACESproxy` does.
const BEYOND_EVERY_SIGNAL_STOPS: f64 = 40.0;

/// One light and its code.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ExposureStep {
    /// Stops from grey; minus infinity for no light.
    pub stops: f64,
    /// Scene-linear light, grey at 0.18.
    pub linear: f64,
    /// Code value by the formula as a fraction of full scale; beyond 0..1 where the signal has ended. Minus infinity
    /// where the formula takes the logarithm of zero.
    pub signal: f64,
    /// The same as a 10-bit code, 0..1023, not rounded.
    pub code: f64,
    /// What a device shows that scales codes 64..940 to 0..1: below 0 or above 1 where it cuts.
    pub scaled: f64,
    /// The same on a scale of 0..1023.
    pub scaled_code: f64,
    /// Whether the camera's signal has ended there, so that its last code is recorded instead.
    pub beyond_signal: bool,
}

/// A light that everybody looks for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Landmark {
    /// What it is: `black`, `grey 18 %`, `white 90 %`.
    pub name: &'static str,
    /// Its light and code.
    pub at: ExposureStep,
}

/// The stops-to-code table of one curve.
#[derive(Clone, Debug)]
pub struct ExposureTable {
    /// The curve.
    pub curve: Curve,
    /// No light, grey and white.
    pub landmarks: [Landmark; 3],
    /// Every whole stop, −8..+8.
    pub steps: Vec<ExposureStep>,
    /// The highest code of the signal and the light that reaches it: brighter light is recorded as the same code.
    pub clip: ExposureStep,
    /// Steps that the published constants leave.
    pub jumps: Vec<Step>,
}

impl ExposureTable {
    /// The table of a curve.
    #[must_use]
    pub fn new(curve: Curve) -> Self {
        let highest = curve.encode(linear_from_stops(BEYOND_EVERY_SIGNAL_STOPS)).min(1.0);
        let at = |linear: f64| step(&curve, linear, stops_from_grey(linear), highest);
        let clip_light = curve.decode(highest);
        Self {
            landmarks: [("black", 0.0), ("grey 18 %", GREY), ("white 90 %", WHITE_90)]
                .map(|(name, linear)| Landmark { name, at: at(linear) }),
            steps: (-TABLE_STOPS..=TABLE_STOPS)
                .map(f64::from)
                .map(|stops| step(&curve, linear_from_stops(stops), stops, highest))
                .collect(),
            clip: coded(clip_light, stops_from_grey(clip_light), highest, false),
            jumps: curve.steps(),
            curve,
        }
    }
}

fn step(curve: &Curve, linear: f64, stops: f64, highest: f64) -> ExposureStep {
    let signal = curve.encode(linear);
    coded(linear, stops, signal, signal >= highest && linear > curve.decode(highest))
}

fn coded(linear: f64, stops: f64, signal: f64, beyond_signal: bool) -> ExposureStep {
    let scaled = Levels::Legal.from_signal(signal);
    ExposureStep {
        stops,
        linear,
        signal,
        code: signal * CODE10_MAX,
        scaled,
        scaled_code: scaled * CODE10_MAX,
        beyond_signal,
    }
}
