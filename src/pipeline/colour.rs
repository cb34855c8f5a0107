//! Colour: saturation and hue bands in Oklab, on the display side. Greys never move.

use super::fault::Fault;
use super::row::Row;
use super::transform;
use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::{self, xy_to_xyz};
use crate::colour::oklab::Oklab;
use crate::colour::whites::D65;
use crate::diagnostics::codes;
use crate::maths::rows::cbrt_row;
use crate::maths::{Rgb, atan2, cos, hypot, sin};
use crate::plan::{Band, Colour};
use nalgebra::{Matrix3, Vector3};
use std::f64::consts::{FRAC_PI_2, PI};

/// Chroma over which a band's lightness comes in, so that greys keep theirs.
const LIGHTNESS_CHROMA: f64 = 0.05;

/// A hue shift of more than this share of the band's half-width makes hues pass each other.
const FOLDING_SHARE: f64 = 0.6;

/// Between display-linear ACEScg and the cone values of Oklab.
#[derive(Clone, Debug)]
pub(super) struct DisplayCones {
    /// Display-linear ACEScg → cone values.
    pub(super) to_cones: Matrix3<f64>,
    /// Cone values → display-linear ACEScg.
    pub(super) from_cones: Matrix3<f64>,
}

impl DisplayCones {
    pub(super) fn new(adaptation: Adaptation) -> Self {
        let (acescg, oklab) = (&gamuts::ACESCG, Oklab::new());
        let d65 = xy_to_xyz([D65.x, D65.y]);
        let to_xyz = adaptation.matrix(acescg.white_xyz(), d65) * acescg.to_xyz();
        let from_xyz = acescg.from_xyz() * adaptation.matrix(d65, acescg.white_xyz());
        Self { to_cones: oklab.xyz_to_cones * to_xyz, from_cones: from_xyz * oklab.cones_to_xyz }
    }
}

/// The colour block.
#[derive(Clone, Debug)]
pub struct ColourBlock {
    colour: Colour,
    cones: DisplayCones,
    roots_to_lab: Matrix3<f64>,
    lab_to_roots: Matrix3<f64>,
}

impl ColourBlock {
    pub(super) fn new(colour: &Colour, adaptation: Adaptation) -> (Self, Vec<Fault>) {
        let oklab = Oklab::new();
        let block = Self {
            colour: colour.clone(),
            cones: DisplayCones::new(adaptation),
            roots_to_lab: oklab.roots_to_lab,
            lab_to_roots: oklab.lab_to_roots,
        };
        let warnings = colour.bands.iter().enumerate().filter_map(|(index, band)| folds(index, band)).collect();
        (block, warnings)
    }

    /// Display-linear ACEScg in and out.
    pub fn apply(&self, row: &mut Row) {
        row.each(|rgb| transform(&self.cones.to_cones, rgb));
        row.channels().into_iter().for_each(cbrt_row);
        if self.colour.bands.is_empty() {
            let s = self.colour.saturation;
            let saturate = self.lab_to_roots * Matrix3::from_diagonal(&Vector3::new(1.0, s, s)) * self.roots_to_lab;
            row.each(|roots| transform(&saturate, roots));
        } else {
            row.each(|roots| {
                let [lightness, a, b] = transform(&self.roots_to_lab, roots);
                transform(&self.lab_to_roots, self.banded(lightness, a, b))
            });
        }
        row.each(|roots| transform(&self.cones.from_cones, roots.map(|root| root * root * root)));
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
