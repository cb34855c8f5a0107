//! From the camera's signal to stops, before any look.

use crate::colour::encodings::Curve;
use crate::colour::gamuts::ACESCG;
use crate::maths::{CODE10_MAX, GREY, Rgb, exp2, linear_from_stops, log2};
use crate::pipeline::{RootTrim, camera_to_acescg, transform};
use crate::plan::{Levels, Plan, Trim};
use nalgebra::Matrix3;

/// A 10-bit code that is worth more than this many stops is noise. This project's own.
const NOISE_STOPS_PER_CODE: f64 = 0.1;

/// How far below grey a noise floor is looked for.
const DEEPEST_STOPS: f64 = -16.0;

/// Reads exposure out of a camera's signal: luminance behind the camera's trims, in stops from the map's zero.
///
/// `u` is what the device feeds to its LUT stage, 0..1.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    curve: Curve,
    levels: Levels,
    to_acescg: Matrix3<f64>,
    trims: Vec<RootTrim>,
    /// What all trims do to a neutral.
    gain: f64,
    weights: Rgb,
    zero_stops: f64,
}

impl Reading {
    pub fn new(plan: &Plan, zero_stops: f64) -> Self {
        let trims = [&plan.camera_trim, &plan.trim].into_iter().filter(|trim| **trim != Trim::IDENTITY);
        let luminance = ACESCG.to_xyz().row(1).into_owned();
        Self {
            curve: plan.camera.curve,
            levels: plan.device.input_levels,
            to_acescg: camera_to_acescg(plan.camera.gamut, plan.adaptation),
            trims: trims.clone().map(RootTrim::new).collect(),
            gain: exp2(trims.map(|trim| trim.stops).sum()),
            weights: [luminance[0], luminance[1], luminance[2]],
            zero_stops,
        }
    }

    /// Luminance of an input, a perfect reflector at 1; below 0 for signals that no light makes.
    pub fn luminance(&self, u: Rgb) -> f64 {
        let linear = u.map(|value| self.curve.decode(self.levels.to_signal(value)));
        let scene = self.trims.iter().fold(transform(&self.to_acescg, linear), |light, trim| trim.apply(light));
        self.weights[0] * scene[0] + self.weights[1] * scene[1] + self.weights[2] * scene[2]
    }

    /// Stops of a luminance; minus infinity for none.
    pub fn stops(&self, luminance: f64) -> f64 {
        if luminance > 0.0 { log2(luminance / GREY) - self.zero_stops } else { f64::NEG_INFINITY }
    }

    /// Luminance at `stops`.
    pub fn luminance_at(&self, stops: f64) -> f64 {
        linear_from_stops(stops + self.zero_stops)
    }

    /// Signal of the neutral of that luminance, not held to 0..1.
    fn signal(&self, luminance: f64) -> f64 {
        self.curve.encode(luminance / self.gain)
    }

    /// Input of the neutral of that luminance, not held to 0..1; minus infinity where a logarithm has no value.
    pub fn position(&self, luminance: f64) -> f64 {
        self.levels.from_signal(self.signal(luminance))
    }

    /// 10-bit code of the neutral at `stops`, as a number with a fraction, not held to 0..1023.
    pub fn code_at(&self, stops: f64) -> f64 {
        CODE10_MAX * self.signal(self.luminance_at(stops))
    }

    /// Stops of the neutral of a camera signal.
    pub fn stops_of_signal(&self, signal: f64) -> f64 {
        self.stops(self.gain * self.curve.decode(signal))
    }

    /// The largest signal that the encoding makes of any light, at most 1.
    pub fn signal_end(&self) -> f64 {
        const BRIGHT: f64 = 1e9;
        self.curve.encode(BRIGHT).min(1.0)
    }

    /// Input for a camera signal.
    pub fn input(&self, signal: f64) -> f64 {
        self.levels.from_signal(signal)
    }

    /// Camera signal for an input.
    pub fn camera_signal(&self, u: f64) -> f64 {
        self.levels.to_signal(u)
    }

    /// The input for camera-linear light, held to 0..1 as a camera and a device do.
    pub fn recorded(&self, linear: Rgb) -> Rgb {
        linear.map(|value| {
            let signal = self.curve.encode(value);
            let u = self.levels.from_signal(if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) });
            u.clamp(0.0, 1.0)
        })
    }

    /// Stops from grey, counted as those of [`Self::stops`] are, below which a 10-bit code is worth more than a tenth of a stop, or
    /// the signal ends.
    pub fn noise_stops(&self) -> f64 {
        const STEP: f64 = 0.05;
        const HALVINGS: usize = 40;
        let code = |stops: f64| CODE10_MAX * self.curve.encode(linear_from_stops(stops)).clamp(0.0, 1.0);
        let half = NOISE_STOPS_PER_CODE / 2.0;
        let fine = |stops: f64| code(stops + half) - code(stops - half) >= 1.0;
        let mut low = 0.0;
        while low > DEEPEST_STOPS && fine(low) {
            low -= STEP;
        }
        let mut high = (low + STEP).min(0.0);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if fine(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        // The camera's own stops, behind its trim and from the map's zero.
        high + log2(self.gain) - self.zero_stops
    }

    /// Stops from the map's zero for stops from grey.
    pub fn counted_from_grey(&self, stops: f64) -> f64 {
        stops - self.zero_stops
    }
}
