//! What a camera records of a probe, and what of the light is lost on the way to the table.

use super::probes::Probe;
use crate::colour::adaptation::Adaptation;
use crate::colour::encodings::Curve;
use crate::colour::gamuts::ACESCG;
use crate::maths::{GREY, Rgb};
use crate::pipeline::{CLIP_TOLERANCE, camera_to_acescg, transform, undo_trim};
use crate::plan::{Camera, Levels, Plan, Trim};
use nalgebra::Matrix3;

/// The colour has a negative component in the camera's gamut.
pub(super) const OUTSIDE: u8 = 1;
/// A negative component lies below what the encoding holds.
pub(super) const LOST_NEGATIVE: u8 = 2;
/// A component that is not negative lies beyond what the encoding holds.
pub(super) const LOST_RANGE: u8 = 4;
/// The device's legal input levels cut what was recorded.
pub(super) const CUT: u8 = 8;
/// The monitor's gamut, or the end of its signal, alters the colour.
pub(super) const ALTERED: u8 = 16;
/// What the camera records can't be worked out: its trim can't be undone there.
pub(super) const UNKNOWN: u8 = 32;

/// Ten stops below grey: a change of light that an encoding tells from none if it holds both.
const STEP: f64 = GREY / 1024.0;

/// What a camera records.
pub(super) struct Recorded {
    /// Its light, in its own primaries.
    pub(super) linear: Rgb,
    /// Its signal, 0..1.
    pub(super) signal: Rgb,
    /// What was lost.
    pub(super) flags: u8,
}

/// Records probes as one camera does.
pub(super) struct Recorder<'a> {
    camera: &'a Camera,
    adaptation: Adaptation,
    levels: Levels,
    trim: &'a Trim,
    from_xyz: Matrix3<f64>,
    to_acescg: Matrix3<f64>,
    from_acescg: Matrix3<f64>,
}

impl<'a> Recorder<'a> {
    pub(super) fn new(plan: &'a Plan) -> Self {
        let (camera, adaptation) = (&plan.camera, plan.adaptation);
        let back = adaptation.matrix(ACESCG.white_xyz(), camera.gamut.white_xyz());
        Self {
            camera,
            adaptation,
            levels: plan.device.input_levels,
            trim: &plan.camera_trim,
            from_xyz: camera.gamut.from_xyz(),
            to_acescg: camera_to_acescg(camera.gamut, adaptation),
            from_acescg: camera.gamut.from_xyz() * back * ACESCG.to_xyz(),
        }
    }

    pub(super) fn record(&self, probe: &Probe) -> Recorded {
        let published = probe.linear(&self.from_xyz, self.camera.gamut, self.adaptation);
        let Some(linear) = self.before_trim(published) else {
            return Recorded { linear: [0.0; 3], signal: [0.0; 3], flags: UNKNOWN };
        };
        let mut flags = 0;
        if published.iter().chain(&linear).any(|value| *value < -CLIP_TOLERANCE) {
            flags |= OUTSIDE;
        }
        let signal = linear.map(|value| {
            let code = self.camera.curve.encode(value);
            if is_lost(&self.camera.curve, value, code) {
                flags |= if value < 0.0 { LOST_NEGATIVE } else { LOST_RANGE };
            }
            // A pure logarithm has no signal for light below 0: that is recorded as 0.
            if code.is_nan() { 0.0 } else { code.clamp(0.0, 1.0) }
        });
        let inside = -CLIP_TOLERANCE..=1.0 + CLIP_TOLERANCE;
        if signal.iter().any(|code| !inside.contains(&self.levels.from_signal(*code))) {
            flags |= CUT;
        }
        Recorded { linear, signal, flags }
    }

    /// The trim brings what the camera records to what its published response would have recorded.
    fn before_trim(&self, published: Rgb) -> Option<Rgb> {
        if *self.trim == Trim::IDENTITY {
            return Some(published);
        }
        let recorded = undo_trim(self.trim, transform(&self.to_acescg, published))?;
        Some(transform(&self.from_acescg, recorded))
    }
}

/// Whether an encoding does not hold a light: its code leaves 0..1, or is one in which the encoding ends, so that more light
/// (or less) gets the same.
fn is_lost(curve: &Curve, light: f64, code: f64) -> bool {
    let step = light.abs().max(STEP);
    !(-CLIP_TOLERANCE..=1.0 + CLIP_TOLERANCE).contains(&code)
        || curve.encode(light + step) == code
        || curve.encode(light - step) == code
}
