//! The viewer: from the camera's signal, through a table or the exact look, to what the display shows.

use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{self, Patch};
use crate::colour::difference::{Lab, xyz_to_lab};
use crate::colour::displays::Display;
use crate::lut::Table3;
use crate::maths::{Rgb, exp2, linear_from_stops};
use crate::pipeline::{Pipeline, transform};
use crate::plan::{Camera, DisplayTarget, Plan};
use nalgebra::Matrix3;

/// Sees what a camera's signal becomes on the plan's display.
#[derive(Clone, Debug)]
pub struct Viewer<'a> {
    plan: &'a Plan,
    pipeline: &'a Pipeline,
    picture: Picture,
    gamut_from_xyz: Matrix3<f64>,
}

/// A display as an instrument sees it: signal → light → CIELAB against display white.
#[derive(Clone, Debug)]
pub struct Picture {
    display: Display,
    to_xyz: Matrix3<f64>,
    white: Rgb,
    white_signal: f64,
}

impl Picture {
    /// The display of a plan.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        Self::of(&plan.display)
    }

    /// Any display.
    #[must_use]
    pub fn of(target: &DisplayTarget) -> Self {
        let white = target.gamut.white_xyz();
        let display = Display::new(target.encoding, target.peak_nits);
        Self {
            white_signal: display.encode([1.0; 3])[1],
            display,
            to_xyz: target.gamut.to_xyz(),
            white: [white[0], white[1], white[2]],
        }
    }

    /// XYZ of a signal, display white at Y = 1. Signals are held to 0..1, as a display does.
    #[must_use]
    pub fn xyz(&self, signal: Rgb) -> Rgb {
        transform(&self.to_xyz, self.display.decode(signal.map(|value| value.clamp(0.0, 1.0))))
    }

    /// CIELAB of a signal against display white.
    #[must_use]
    pub fn lab(&self, signal: Rgb) -> Lab {
        xyz_to_lab(self.xyz(signal), self.white)
    }

    /// CIELAB of a signal against light of which display white is `white` times as much.
    pub(super) fn lab_against(&self, signal: Rgb, white: f64) -> Lab {
        xyz_to_lab(self.xyz(signal), self.white.map(|part| part * white))
    }

    /// Signal of display white: 1, but for encodings of absolute light.
    #[must_use]
    pub fn white_signal(&self) -> f64 {
        self.white_signal
    }

    /// Signal of the neutral that has the luminance of `signal`.
    #[must_use]
    pub fn neutral_signal(&self, signal: Rgb) -> f64 {
        self.display.encode([self.xyz(signal)[1]; 3])[1]
    }
}

/// Camera-linear light as the camera's signal, held to 0..1. Pure logarithms have no signal for light at or below 0: that is
/// recorded as 0.
pub(super) fn record(camera: &Camera, linear: Rgb) -> Rgb {
    linear.map(|value| {
        let signal = camera.curve.encode(value);
        if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) }
    })
}

/// What a camera records of a patch, `stops` over or under; `from_xyz` is the matrix of its gamut.
pub(super) fn record_patch(
    camera: &Camera,
    from_xyz: &Matrix3<f64>,
    adaptation: Adaptation,
    patch: &Patch,
    stops: f64,
) -> Rgb {
    let linear = chart::to_linear(patch, from_xyz, camera.gamut.white_xyz(), adaptation);
    record(camera, linear.map(|value| exp2(stops) * value))
}

impl<'a> Viewer<'a> {
    /// A viewer of one look.
    #[must_use]
    pub fn new(plan: &'a Plan, pipeline: &'a Pipeline) -> Self {
        Self { plan, pipeline, picture: Picture::new(plan), gamut_from_xyz: plan.camera.gamut.from_xyz() }
    }

    /// The plan.
    #[must_use]
    pub fn plan(&self) -> &'a Plan {
        self.plan
    }

    /// What the camera records of a neutral, `stops` from grey: the signal as a fraction of full scale, held to 0..1.
    #[must_use]
    pub fn camera_neutral(&self, stops: f64) -> Rgb {
        record(&self.plan.camera, [linear_from_stops(stops); 3])
    }

    /// What the camera records of a patch, `stops` over or under.
    #[must_use]
    pub fn camera_patch(&self, patch: &Patch, stops: f64) -> Rgb {
        record_patch(&self.plan.camera, &self.gamut_from_xyz, self.plan.adaptation, patch, stops)
    }

    /// What the device feeds to its LUT stage, held to 0..1.
    #[must_use]
    pub fn lut_input(&self, signal: Rgb) -> Rgb {
        signal.map(|value| self.plan.device.input_levels.from_signal(value).clamp(0.0, 1.0))
    }

    /// The display's signal through a table, applied as the device does. `signal` is the camera's.
    #[must_use]
    pub fn of_table(&self, table: &Table3, signal: Rgb) -> Rgb {
        self.shown(table.sample(self.lut_input(signal), self.plan.device.interpolation))
    }

    /// The display's signal through the exact look.
    #[must_use]
    pub fn of_look(&self, signal: Rgb) -> Rgb {
        self.shown(self.pipeline.evaluate(self.lut_input(signal)))
    }

    /// The display's signal through the exact look, had the device not held its input to 0..1.
    #[must_use]
    pub fn of_look_uncut(&self, signal: Rgb) -> Rgb {
        self.shown(self.pipeline.evaluate(signal.map(|value| self.plan.device.input_levels.from_signal(value))))
    }

    /// The display's signal for what a table gives.
    #[must_use]
    pub fn shown(&self, output: Rgb) -> Rgb {
        output.map(|value| self.plan.device.output_levels.from_signal(value))
    }

    /// CIELAB of a display signal.
    #[must_use]
    pub fn lab(&self, signal: Rgb) -> Lab {
        self.picture.lab(signal)
    }

    /// Signal of display white.
    #[must_use]
    pub fn white_signal(&self) -> f64 {
        self.picture.white_signal()
    }

    /// Signal of the neutral that has the luminance of `signal`.
    #[must_use]
    pub fn neutral_signal(&self, signal: Rgb) -> f64 {
        self.picture.neutral_signal(signal)
    }
}
