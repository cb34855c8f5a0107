//! What was cut on the way, counted in pixels.

use crate::maths::Rgb;
use serde::Serialize;
use std::ops::AddAssign;

/// Values this close outside 0..1 are rounding, not clipping: far below the last digit of a cube file (5e-7) and far
/// above the rounding of the matrices (1e-15).
pub const CLIP_TOLERANCE: f64 = 1e-9;

/// How many pixels were cut, and where.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Clips {
    /// Pixels that the grade's floor at 0 cut (scene values below −0.0069 for an identity slope and offset).
    pub grade_floor: u64,
    /// Pixels with a channel below display black after the output compression.
    pub below_black: u64,
    /// Pixels with a channel above display white after the output compression.
    pub above_white: u64,
    /// Pixels with a channel on either side; each counts once.
    pub clipped: u64,
    /// Pixels whose encoded signal exceeds 1 (only HLG can).
    pub over_signal: u64,
    /// Pixels that the domain of a table from post held, or that it sent out of 0..1.
    pub after_held: u64,
    /// Pixels that stopped being finite.
    pub not_finite: u64,
}

impl Clips {
    pub(super) fn count_display(&mut self, rgb: Rgb) {
        let below = rgb.iter().any(|value| *value < -CLIP_TOLERANCE);
        let above = rgb.iter().any(|value| *value > 1.0 + CLIP_TOLERANCE);
        self.below_black += u64::from(below);
        self.above_white += u64::from(above);
        self.clipped += u64::from(below || above);
    }

    pub(super) fn count_over_signal(&mut self, signal: Rgb) {
        self.over_signal += u64::from(signal.iter().any(|value| *value > 1.0 + CLIP_TOLERANCE));
    }
}

impl AddAssign for Clips {
    fn add_assign(&mut self, other: Self) {
        self.grade_floor += other.grade_floor;
        self.below_black += other.below_black;
        self.above_white += other.above_white;
        self.clipped += other.clipped;
        self.over_signal += other.over_signal;
        self.after_held += other.after_held;
        self.not_finite += other.not_finite;
    }
}
