//! Whites: chromaticities, black bodies, ideal conversion filters, mired and Duv.
//!
//! Every light here is a spectrum summed over the [CIE 1931 2° observer](super::observer), 360–830 nm at 1 nm; none is
//! a polynomial fit, except the daylight locus, which the CIE defines as one.

use super::locus::{Nearest, nearest, planck_over_wien};
use super::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE, LAST_NANOMETRE, Spectrum, nanometres, tristimulus};
use crate::maths::exp;
use nalgebra::Vector3;

pub use super::daylight::{DAYLIGHT_KELVIN, daylight, daylight_spectrum};
pub use super::locus::SECOND_RADIATION_CONSTANT;

/// D65. Source: CIE 015:2018, Colorimetry; the rounded chromaticity that ITU-R BT.709 and BT.2020 print.
pub const D65: Chromaticity = Chromaticity { x: 0.3127, y: 0.3290 };

/// The ACES white, near D60. Source: AMPAS S-2014-004, ACEScg.
pub const ACES_WHITE: Chromaticity = Chromaticity { x: 0.32168, y: 0.33767 };

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
