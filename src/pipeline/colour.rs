//! Colour: saturation and hue bands in Oklab, on the display side. Greys never move.

use super::fault::Fault;
use super::transform;
use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::{self, xy_to_xyz};
use crate::colour::oklab::Oklab;
use crate::colour::whites::D65;
use crate::diagnostics::codes;
use crate::maths::{Rgb, atan2, cos, hypot, sin};
use crate::plan::{Band, Colour};
use nalgebra::Matrix3;
use std::f64::consts::{FRAC_PI_2, PI};

/// Chroma over which a band's lightness comes in, so that greys keep theirs.
const LIGHTNESS_CHROMA: f64 = 0.05;

/// A hue shift of more than this share of the band's half-width makes hues pass each other.
const FOLDING_SHARE: f64 = 0.6;

/// The colour block.
#[derive(Clone, Debug)]
pub struct ColourBlock {
    colour: Colour,
    oklab: Oklab,
    to_xyz_d65: Matrix3<f64>,
    from_xyz_d65: Matrix3<f64>,
}

impl ColourBlock {
    pub(super) fn new(colour: &Colour, adaptation: Adaptation) -> (Self, Vec<Fault>) {
        let acescg = &gamuts::ACESCG;
        let d65 = xy_to_xyz([D65.x, D65.y]);
        let block = Self {
            colour: colour.clone(),
            oklab: Oklab::new(),
            to_xyz_d65: adaptation.matrix(acescg.white_xyz(), d65) * acescg.to_xyz(),
            from_xyz_d65: acescg.from_xyz() * adaptation.matrix(d65, acescg.white_xyz()),
        };
        let warnings = colour.bands.iter().enumerate().filter_map(|(index, band)| folds(index, band)).collect();
        (block, warnings)
    }

    /// Display-linear ACEScg in and out.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        let [lightness, a, b] = self.oklab.from_xyz_d65(transform(&self.to_xyz_d65, rgb));
        let changed = if self.colour.bands.is_empty() {
            [lightness, self.colour.saturation * a, self.colour.saturation * b]
        } else {
            self.banded(lightness, a, b)
        };
        transform(&self.from_xyz_d65, self.oklab.to_xyz_d65(changed))
    }

    fn banded(&self, lightness: f64, a: f64, b: f64) -> Rgb {
        let chroma = hypot(a, b);
        let hue = atan2(b, a) * (180.0 / PI);
        let presence = chroma * chroma / (chroma * chroma + LIGHTNESS_CHROMA * LIGHTNESS_CHROMA);
        let (mut shift, mut saturation, mut light) = (0.0, self.colour.saturation, 1.0);
        for band in &self.colour.bands {
            let weight = weight(band, hue);
            shift += weight * band.shift_deg;
            saturation *= 1.0 + weight * (band.saturation - 1.0);
            light *= 1.0 + weight * presence * (band.lightness - 1.0);
        }
        let turned = (hue + shift) * (PI / 180.0);
        let chroma = chroma * saturation;
        [lightness * light, chroma * cos(turned), chroma * sin(turned)]
    }
}

/// cos² over the half-width, 0 beyond.
fn weight(band: &Band, hue: f64) -> f64 {
    let turn = hue - band.centre_deg;
    let distance = (turn - 360.0 * (turn / 360.0).round()).abs();
    if distance >= band.width_deg {
        return 0.0;
    }
    let bell = cos(FRAC_PI_2 * distance / band.width_deg);
    bell * bell
}

fn folds(index: usize, band: &Band) -> Option<Fault> {
    let limit = FOLDING_SHARE * band.width_deg;
    (band.shift_deg.abs() > limit).then(|| {
        let name = if band.name.is_empty() { format!("{}", index + 1) } else { format!("\"{}\"", band.name) };
        let message = format!("band {name} turns its hues past their neighbours");
        let label = format!("expected at most {limit:.1}° for a half-width of {}°", band.width_deg);
        Fault::warning(&codes::BAND_FOLDS, format!("colour.band.{index}.shift_deg"), message, label)
            .help("widen the band or shift it less")
    })
}
