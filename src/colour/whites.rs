//! Whites: chromaticities, black bodies, ideal conversion filters, mired and Duv.
//!
//! Every light here is a spectrum summed over the [CIE 1931 2° observer](super::observer), 360–830 nm at 1 nm; none is
//! a polynomial fit, except the daylight locus, which the CIE defines as one.

use super::locus::{Nearest, nearest, planck_over_wien};
use super::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE, LAST_NANOMETRE, Spectrum, nanometres, tristimulus};
use crate::maths::{exp, root};
use nalgebra::Vector3;

pub use super::daylight::{DAYLIGHT_KELVIN, daylight, daylight_spectrum};
pub use super::locus::SECOND_RADIATION_CONSTANT;

/// D65. Source: CIE 015:2018, Colorimetry; the rounded chromaticity that ITU-R BT.709 and BT.2020 print.
pub const D65: Chromaticity = Chromaticity { x: 0.3127, y: 0.3290 };

/// The ACES white, near D60. Source: AMPAS S-2014-004, ACEScg.
pub const ACES_WHITE: Chromaticity = Chromaticity { x: 0.32168, y: 0.33767 };

/// Duv of one CC of green, the trade's unit: a full plus-green filter, 30 CC, is about 0.020 Duv. Common practice, no source.
pub const DUV_PER_CC: f64 = 0.020 / 30.0;

/// A chromaticity of the CIE 1931 2° observer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chromaticity {
    /// x = X/(X+Y+Z).
    pub x: f64,
    /// y = Y/(X+Y+Z).
    pub y: f64,
}

impl Chromaticity {
    /// Chromaticity of tristimulus values of any scale; NaN for black.
    #[must_use]
    pub fn from_xyz(xyz: Vector3<f64>) -> Self {
        let sum = xyz.x + xyz.y + xyz.z;
        Self { x: xyz.x / sum, y: xyz.y / sum }
    }

    /// Tristimulus values with Y = 1. Not finite for y = 0, which no light has.
    #[must_use]
    pub fn to_xyz(self) -> Vector3<f64> {
        Vector3::new(self.x / self.y, 1.0, (1.0 - self.x - self.y) / self.y)
    }

    /// The chromaticity at a point of the CIE 1960 uniform chromaticity scale diagram. Source: CIE 015, appendix on
    /// evaluations no longer recommended but in use (section from memory).
    #[must_use]
    pub fn from_uv([u, v]: [f64; 2]) -> Self {
        let denominator = 2.0 * u - 8.0 * v + 4.0;
        Self { x: 3.0 * u / denominator, y: 2.0 * v / denominator }
    }

    /// CIE 1960 (u, v), where Duv is measured: u = 4x/(−2x + 12y + 3), v = 6y/(−2x + 12y + 3).
    #[must_use]
    pub fn to_uv(self) -> [f64; 2] {
        let denominator = -2.0 * self.x + 12.0 * self.y + 3.0;
        [4.0 * self.x / denominator, 6.0 * self.y / denominator]
    }
}

/// Reciprocal megakelvin of a colour temperature: 1e6 / T.
#[must_use]
pub fn mired(kelvin: f64) -> f64 {
    1e6 / kelvin
}

/// Colour temperature in kelvin of a reciprocal megakelvin: 1e6 / mired; infinite for 0.
#[must_use]
pub fn kelvin(mired: f64) -> f64 {
    1e6 / mired
}

/// Chromaticity of a black body at `kelvin`, by Planck's law.
///
/// `f64::INFINITY` gives the limit, a spectrum like λ⁻⁴. Meant for 500 K and above; the formula holds for every
/// positive temperature that f64 can tell from 0, and gives NaN for 0, and nothing that is a light below.
#[must_use]
pub fn planckian(kelvin: f64) -> Chromaticity {
    filtered_planckian(kelvin, 0.0)
}

/// Chromaticity of a black body at `kelvin` behind an ideal conversion filter of `warmer_mired`.
///
/// The filter is the one that turns any radiator of Wien's law into another: τ(λ) = exp(−c₂ · m·1e-6 / λ). It is
/// defined for every shift, also where 1e6/T + m ≤ 0 and no colour temperature is left. Positive shifts warm.
#[must_use]
pub fn filtered_planckian(kelvin: f64, warmer_mired: f64) -> Chromaticity {
    Chromaticity::from_xyz(tristimulus(&filtered_planckian_spectrum(kelvin, warmer_mired)))
}

/// Relative spectral power of a black body at `kelvin` behind an ideal filter of `warmer_mired` (0 = none).
///
/// The scale is arbitrary, chosen so that nothing overflows. Domain as [`planckian`].
#[must_use]
pub fn filtered_planckian_spectrum(kelvin: f64, warmer_mired: f64) -> Spectrum {
    let reciprocal = 1.0 / kelvin;
    let shifted = reciprocal + warmer_mired * 1e-6;
    // Counted from the end where it is greatest, the exponent is never positive: no shift overflows or leaves nothing.
    let strongest = if shifted >= 0.0 { LAST_NANOMETRE } else { FIRST_NANOMETRE };
    let reference = 1.0 / (strongest as f64 * 1e-9);
    let mut light = [0.0; CIE_1931_2_DEGREE.len()];
    for (row, power) in light.iter_mut().enumerate() {
        let wave_number = 1.0 / (nanometres(row) * 1e-9);
        let square = wave_number * wave_number;
        let planck = planck_over_wien(SECOND_RADIATION_CONSTANT * reciprocal * wave_number);
        *power = square * square * planck * exp(-SECOND_RADIATION_CONSTANT * shifted * (wave_number - reference));
    }
    light
}

/// Spectral transmittance of an ideal conversion filter of `warmer_mired`, with its peak at 1.
#[must_use]
pub fn filter_transmittance(warmer_mired: f64) -> Spectrum {
    let strongest = if warmer_mired >= 0.0 { LAST_NANOMETRE } else { FIRST_NANOMETRE };
    let reference = 1.0 / (strongest as f64 * 1e-9);
    let mut transmittance = [0.0; CIE_1931_2_DEGREE.len()];
    for (row, value) in transmittance.iter_mut().enumerate() {
        let wave_number = 1.0 / (nanometres(row) * 1e-9);
        *value = exp(-SECOND_RADIATION_CONSTANT * warmer_mired * 1e-6 * (wave_number - reference));
    }
    transmittance
}

/// Correlated colour temperature in kelvin and Duv: the foot of the perpendicular from `chromaticity` to the locus of
/// black bodies in CIE 1960 (u, v), and the signed distance from it, > 0 above, towards green.
///
/// `None` where the nearest point is an end of the locus: hotter than any black body (T → ∞), or under 500 K; also
/// where the chromaticity is not finite. Source: ANSI C78.377 for the sign (from memory); found by root finding.
#[must_use]
pub fn cct_duv(chromaticity: Chromaticity) -> Option<(f64, f64)> {
    let uv = chromaticity.to_uv();
    match nearest(uv) {
        Nearest::Foot(mired, point) => Some((kelvin(mired), point.height(uv))),
        Nearest::End(_) => None,
    }
}

/// Correlated colour temperature in kelvin, as [`cct_duv`].
#[must_use]
pub fn cct(chromaticity: Chromaticity) -> Option<f64> {
    cct_duv(chromaticity).map(|(kelvin, _)| kelvin)
}

/// Signed distance from the locus of black bodies in CIE 1960 (u, v), as [`cct_duv`].
#[must_use]
pub fn duv(chromaticity: Chromaticity) -> Option<f64> {
    cct_duv(chromaticity).map(|(_, duv)| duv)
}

/// `chromaticity` moved by `duv` in CIE 1960 (u, v) along the normal of the locus at the point nearest to it.
///
/// Beyond an end of the locus the normal is that of the end (T → ∞, or 500 K). Positive is above the locus, greener.
/// A `duv` of 0 gives back exactly the same chromaticity.
#[must_use]
pub fn offset_duv(chromaticity: Chromaticity, duv: f64) -> Chromaticity {
    if duv == 0.0 {
        return chromaticity;
    }
    let [u, v] = chromaticity.to_uv();
    let normal = nearest([u, v]).point().normal();
    Chromaticity::from_uv([u + duv * normal[0], v + duv * normal[1]])
}

/// The white that a reference black body becomes behind a filter of `warmer_mired`, moved by `duv` off the locus.
///
/// Finite for `reference_kelvin` 1667..25000, `warmer_mired` ±400 and `duv` ±0.05. Far off the locus a result may be
/// no light at all (y ≤ 0 or a negative component of [`Chromaticity::to_xyz`]): the caller checks.
#[must_use]
pub fn shifted_white(reference_kelvin: f64, warmer_mired: f64, duv: f64) -> Chromaticity {
    offset_duv(filtered_planckian(reference_kelvin, warmer_mired), duv)
}

/// Shifts that [`white_shift`] looks among, mired either way: more than any stack of filters that leaves a light worth the name.
const SHIFT_MIRED: f64 = 1000.0;

/// Steps of its coarse search, mired.
const SHIFT_STEP: f64 = 20.0;

/// A shift is the answer if it leads back to the white to within this distance in CIE 1960 (u, v): the root is exact to about
/// 1e-12 mired.
const SHIFT_RETURN: f64 = 1e-9;

/// The shift that makes a white of a reference black body: mired (positive warms) and Duv, so that [`shifted_white`] of both
/// gives `white` back. Of several, the one with the smallest Duv.
///
/// `None` for a white that no shift within ±1000 mired reaches, or that is not finite.
#[must_use]
pub fn white_shift(white: Chromaticity, reference_kelvin: f64) -> Option<(f64, f64)> {
    let target = white.to_uv();
    let from = |mired: f64| filtered_planckian(reference_kelvin, mired).to_uv();
    let distance = |[u, v]: [f64; 2]| (u - target[0]) * (u - target[0]) + (v - target[1]) * (v - target[1]);
    let steps = (SHIFT_MIRED / SHIFT_STEP) as i32;
    let coarse = (-steps..=steps).map(|step| f64::from(step) * SHIFT_STEP);
    let nearest_step = coarse
        .min_by(|a, b| distance(from(*a)).partial_cmp(&distance(from(*b))).unwrap_or(std::cmp::Ordering::Equal))?;
    // Along the locus, at the point that the normal belongs to, nothing of the way to the target may be left.
    let along = |mired: f64| {
        let start = from(mired);
        let slope = nearest(start).point().slope;
        (start[0] - target[0]) * slope[0] + (start[1] - target[1]) * slope[1]
    };
    let mut margin = SHIFT_STEP;
    let bracket = loop {
        let (low, high) = (nearest_step - margin, nearest_step + margin);
        let ends = ((low, along(low)), (high, along(high)));
        if ends.0.1 <= 0.0 && ends.1.1 >= 0.0 {
            break ends;
        }
        margin *= 2.0;
        // Written so that NaN ends the search too.
        if !(margin < SHIFT_MIRED && ends.0.1.is_finite() && ends.1.1.is_finite()) {
            return None;
        }
    };
    let mired = root(along, bracket.0, bracket.1);
    let start = from(mired);
    let normal = nearest(start).point().normal();
    let duv = (target[0] - start[0]) * normal[0] + (target[1] - start[1]) * normal[1];
    let back = shifted_white(reference_kelvin, mired, duv).to_uv();
    (distance(back) < SHIFT_RETURN * SHIFT_RETURN && mired.abs() <= SHIFT_MIRED).then_some((mired, duv))
}
