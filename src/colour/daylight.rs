//! CIE daylight: the locus of chromaticities and the spectra of the D series.
//!
//! Source: CIE 015:2004, Colorimetry, the method of calculating D illuminants; Wyszecki and Stiles (2000), pp. 145–146.

use super::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE, Spectrum};
use super::whites::Chromaticity;
use core::ops::RangeInclusive;

/// Colour temperatures in kelvin for which the CIE defines daylight.
pub const DAYLIGHT_KELVIN: RangeInclusive<f64> = 4000.0..=25000.0;

/// Colour temperature in kelvin at which the locus changes from one polynomial to the other.
const BREAK_KELVIN: f64 = 7000.0;

/// The basis functions S₀, S₁, S₂, every 5 nm.
static BASIS: [[f64; 3]; 107] = include!("data/daylight_basis.rs");

/// Wavelength in nanometres of the first row of the basis functions.
const BASIS_FIRST: usize = 300;

/// Nanometres from one row of the basis functions to the next.
const BASIS_STEP: usize = 5;

/// Chromaticity of CIE daylight at `kelvin`, as given: no scaling by an older c₂.
///
/// Defined for [`DAYLIGHT_KELVIN`]; outside, the polynomials are simply continued, and mean nothing.
#[must_use]
pub fn daylight(kelvin: f64) -> Chromaticity {
    let (t1, t2, t3) = (1e3 / kelvin, 1e6 / (kelvin * kelvin), 1e9 / (kelvin * kelvin * kelvin));
    let x = if kelvin <= BREAK_KELVIN {
        0.244063 + 0.09911 * t1 + 2.9678 * t2 - 4.6070 * t3
    } else {
        0.237040 + 0.24748 * t1 + 1.9018 * t2 - 2.0064 * t3
    };
    Chromaticity { x, y: -3.000 * x * x + 2.870 * x - 0.275 }
}

/// Relative spectral power of CIE daylight at `kelvin`: S₀ + M₁ S₁ + M₂ S₂, M₁ and M₂ rounded to three decimals as the
/// method asks, linearly interpolated to 1 nm.
///
/// Defined for [`DAYLIGHT_KELVIN`]; outside, as [`daylight`], and powers may be negative.
#[must_use]
pub fn daylight_spectrum(kelvin: f64) -> Spectrum {
    let Chromaticity { x, y } = daylight(kelvin);
    let denominator = 0.0241 + 0.2562 * x - 0.7341 * y;
    let m1 = three_decimals((-1.3515 - 1.7703 * x + 5.9114 * y) / denominator);
    let m2 = three_decimals((0.0300 - 31.4424 * x + 30.0717 * y) / denominator);
    let at = |row: usize| BASIS[row][0] + m1 * BASIS[row][1] + m2 * BASIS[row][2];
    let mut light = [0.0; CIE_1931_2_DEGREE.len()];
    for (index, power) in light.iter_mut().enumerate() {
        let offset = FIRST_NANOMETRE + index - BASIS_FIRST;
        let row = (offset / BASIS_STEP).min(BASIS.len() - 2);
        let fraction = (offset - row * BASIS_STEP) as f64 / BASIS_STEP as f64;
        *power = at(row) * (1.0 - fraction) + at(row + 1) * fraction;
    }
    light
}

fn three_decimals(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
