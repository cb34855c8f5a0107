//! Output gamut: into the display's primaries; bright saturated light goes towards white at its own luminance instead
//! of clipping to another hue. What still lies outside is clipped and counted.

use super::bend::Bend;
use super::clips::{CLIP_TOLERANCE, Clips};
use super::row::Row;
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
    bend: Option<Bend>,
}

impl OutputBlock {
    pub(super) fn new(compression: &OutputCompression, display: &Gamut, adaptation: Adaptation) -> Self {
        let acescg = &gamuts::ACESCG;
        let d65 = xy_to_xyz([D65.x, D65.y]);
        // Through D65 as section 12 of docs/look-maths.md has it, also where the display's own white is another.
        let mut to_xyz = adaptation.matrix(acescg.white_xyz(), d65) * acescg.to_xyz();
        if display.white != [D65.x, D65.y] {
            to_xyz = adaptation.matrix(d65, display.white_xyz()) * to_xyz;
        }
        let OutputCompression { compress, threshold, power } = *compression;
        Self {
            to_display: display.from_xyz() * to_xyz,
            luminance: display.to_xyz().row(1).transpose(),
            bend: compress.then_some(Bend { threshold, scale: 1.0 - threshold, power }),
        }
    }

    /// The matrix from display-linear ACEScg to the display's linear RGB, before anything is compressed.
    #[must_use]
    pub fn matrix(&self) -> &Matrix3<f64> {
        &self.to_display
    }

    /// The weights of the display's luminance.
    pub(crate) fn luminance_weights(&self) -> &Vector3<f64> {
        &self.luminance
    }

    /// Whether colours outside the display's gamut are compressed before they are clipped.
    pub(crate) fn compresses(&self) -> bool {
        self.bend.is_some()
    }

    /// Display-linear ACEScg in, the display's own linear RGB out, 0..1.
    pub fn apply(&self, row: &mut Row, clips: &mut Clips) {
        row.each(|rgb| transform(&self.to_display, rgb));
        if let Some(bend) = &self.bend {
            below_zero(bend, row);
            self.above_white(bend, row);
        }
        row.each(|rgb| {
            let rgb = rgb.map(|value| if value.abs() < ZERO { 0.0 } else { value });
            clips.count_display(rgb);
            rgb.map(|value| value.clamp(0.0, 1.0))
        });
    }

    /// For each pixel of display-linear ACEScg, whether the block does more to it than its matrix: compresses or clips.
    #[must_use]
    pub fn touches(&self, row: &Row) -> Vec<bool> {
        let mut own = row.clone();
        self.apply(&mut own, &mut Clips::default());
        let differs = |(plain, own): (Rgb, Rgb)| (0..3).any(|i| (plain[i] - own[i]).abs() > CLIP_TOLERANCE);
        row.pixels().map(|rgb| transform(&self.to_display, rgb)).zip(own.pixels()).map(differs).collect()
    }

    /// The display's own linear RGB in; out comes the neutral that has the same luminance.
    pub fn to_luminance(&self, row: &mut Row) {
        row.each(|rgb| [self.luminance(rgb); 3]);
    }

    /// The luminance of the display's own linear RGB, 1 = white.
    #[must_use]
    pub fn luminance(&self, [r, g, b]: Rgb) -> f64 {
        let weights = &self.luminance;
        weights[0] * r + weights[1] * g + weights[2] * b
    }

    fn above_white(&self, bend: &Bend, row: &mut Row) {
        let weights = &self.luminance;
        let ([red, green, blue], scratch) = row.parts();
        scratch.places.clear();
        scratch.some.clear();
        scratch.values.clear();
        for place in 0..red.len() {
            let (r, g, b) = (red[place], green[place], blue[place]);
            let luminance = (weights[0] * r + weights[1] * g + weights[2] * b).clamp(0.0, 1.0);
            if luminance == 1.0 {
                (red[place], green[place], blue[place]) = (1.0, 1.0, 1.0);
                continue;
            }
            let excess = (r.max(g).max(b) - luminance) / (1.0 - luminance);
            if excess > bend.threshold {
                scratch.places.push(place);
                scratch.some.push(excess);
                scratch.values.push(luminance);
            }
        }
        let excesses = scratch.some.len();
        scratch.some.extend_from_within(..);
        bend.row(&mut scratch.some[excesses..]);
        for (index, place) in scratch.places.iter().enumerate() {
            let luminance = scratch.values[index];
            let share = scratch.some[excesses + index] / scratch.some[index];
            for channel in [&mut red[*place], &mut green[*place], &mut blue[*place]] {
                *channel = luminance + share * (*channel - luminance);
            }
        }
    }
}

fn below_zero(bend: &Bend, row: &mut Row) {
    let ([red, green, blue], scratch) = row.parts();
    scratch.brightest([red, green, blue]);
    for channel in [red, green, blue] {
        bend.channel(channel, scratch);
    }
}
