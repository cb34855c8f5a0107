//! Output gamut: into the display's primaries; bright saturated light goes towards white at its own luminance instead
//! of clipping to another hue. What still lies outside is clipped and counted.

use super::clips::Clips;
use super::compression::bend;
use super::transform;
use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::{self, Gamut, xy_to_xyz};
use crate::colour::whites::D65;
use crate::maths::Rgb;
use crate::plan::OutputCompression;
use nalgebra::{Matrix3, Vector3};

/// Display-linear values this close to 0 are rounding of the matrices, and count as 0: a power law starts vertically,
/// so that it would lift them to a visible 1e-5.
const ZERO: f64 = 1e-12;

/// The output block.
#[derive(Clone, Debug)]
pub struct OutputBlock {
    to_display: Matrix3<f64>,
    luminance: Vector3<f64>,
    compression: OutputCompression,
}

impl OutputBlock {
    pub(super) fn new(compression: &OutputCompression, display: &Gamut, adaptation: Adaptation) -> Self {
        let acescg = &gamuts::ACESCG;
        let d65 = xy_to_xyz([D65.x, D65.y]);
        // Through D65 as section 12 has it, also where the display's own white is another.
        let mut to_xyz = adaptation.matrix(acescg.white_xyz(), d65) * acescg.to_xyz();
        if display.white != [D65.x, D65.y] {
            to_xyz = adaptation.matrix(d65, display.white_xyz()) * to_xyz;
        }
        Self {
            to_display: display.from_xyz() * to_xyz,
            luminance: display.to_xyz().row(1).transpose(),
            compression: *compression,
        }
    }

    /// The matrix from display-linear ACEScg to the display's linear RGB, before anything is compressed.
    #[must_use]
    pub fn matrix(&self) -> &Matrix3<f64> {
        &self.to_display
    }

    /// Display-linear ACEScg in, the display's own linear RGB out, 0..1.
    pub fn apply(&self, rgb: Rgb, clips: &mut Clips) -> Rgb {
        let mut rgb = transform(&self.to_display, rgb);
        if self.compression.compress {
            rgb = self.above_white(self.below_zero(rgb));
        }
        let rgb = rgb.map(|value| if value.abs() < ZERO { 0.0 } else { value });
        clips.count_display(rgb);
        rgb.map(|value| value.clamp(0.0, 1.0))
    }

    fn below_zero(&self, rgb: Rgb) -> Rgb {
        let achromatic = rgb[0].max(rgb[1]).max(rgb[2]);
        if achromatic == 0.0 {
            return [0.0; 3];
        }
        let size = achromatic.abs();
        rgb.map(|channel| {
            let distance = (achromatic - channel) / size;
            if distance < self.compression.threshold { channel } else { achromatic - self.knee(distance) * size }
        })
    }

    fn above_white(&self, rgb: Rgb) -> Rgb {
        let weights = &self.luminance;
        let luminance = (weights[0] * rgb[0] + weights[1] * rgb[1] + weights[2] * rgb[2]).clamp(0.0, 1.0);
        if luminance == 1.0 {
            return [1.0; 3];
        }
        let excess = (rgb[0].max(rgb[1]).max(rgb[2]) - luminance) / (1.0 - luminance);
        if excess <= self.compression.threshold {
            return rgb;
        }
        let share = self.knee(excess) / excess;
        rgb.map(|channel| luminance + share * (channel - luminance))
    }

    /// K(r): untouched below the threshold, never reaches 1.
    fn knee(&self, distance: f64) -> f64 {
        let threshold = self.compression.threshold;
        if distance < threshold {
            return distance;
        }
        bend(distance, threshold, 1.0 - threshold, self.compression.power)
    }
}
