//! The CIE 1931 2° standard observer at 1 nm, and plain sums of spectra over it.
//!
//! Source: CIE 1931 standard colorimetric observer (CIE 018:2019, ISO/CIE 11664-1; document numbers from memory).
//! The sums are plain: no weighting at the ends, no interpolation, in order of rising wavelength.

use nalgebra::Vector3;

/// Wavelength of the first row of the table, in nanometres.
pub const FIRST_NANOMETRE: usize = 360;

/// Wavelength of the last row of the table, in nanometres.
pub const LAST_NANOMETRE: usize = 830;

/// Number of rows: one a nanometre, both ends included.
pub const SAMPLES: usize = LAST_NANOMETRE - FIRST_NANOMETRE + 1;

/// A quantity at every whole nanometre from 360 to 830, in any unit.
pub type Spectrum = [f64; SAMPLES];

/// The colour-matching functions x̄, ȳ, z̄; row 0 is 360 nm.
pub static CIE_1931_2_DEGREE: [[f64; 3]; SAMPLES] = include!("data/cie_1931_2_degree.rs");

/// Wavelength in nanometres of a row of the table. Rows past the end continue the count.
#[must_use]
pub fn nanometres(row: usize) -> f64 {
    (FIRST_NANOMETRE + row) as f64
}

/// Tristimulus values of a light: plain sums over the whole table, not normalised.
///
/// The result has the unit of the spectrum; divide by a Y to normalise. What is not finite stays so.
#[must_use]
pub fn tristimulus(light: &Spectrum) -> Vector3<f64> {
    let mut sum = Vector3::zeros();
    for (row, power) in CIE_1931_2_DEGREE.iter().zip(light) {
        sum += Vector3::new(row[0] * power, row[1] * power, row[2] * power);
    }
    sum
}

/// Wavelengths between which the spectral locus is a convex curve; towards its ends the table's digits are too few to tell.
const LOCUS_ROWS: std::ops::RangeInclusive<usize> = 410 - FIRST_NANOMETRE..=690 - FIRST_NANOMETRE;

/// Whether some light has the chromaticity (x, y): whether it lies within the spectral locus and the line of purples.
///
/// What is not finite is no light.
#[must_use]
pub fn is_light(x: f64, y: f64) -> bool {
    let corner = |row: usize| {
        let [cx, cy, cz] = CIE_1931_2_DEGREE[row];
        let sum = cx + cy + cz;
        [cx / sum, cy / sum]
    };
    let (mut inside, mut before) = (false, corner(*LOCUS_ROWS.end()));
    for row in LOCUS_ROWS {
        let here = corner(row);
        // A ray to the right crosses the boundary an odd number of times from the inside.
        if (here[1] > y) != (before[1] > y) {
            let crossing = here[0] + (y - here[1]) / (before[1] - here[1]) * (before[0] - here[0]);
            inside ^= x < crossing;
        }
        before = here;
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::{CIE_1931_2_DEGREE, is_light, nanometres};

    #[test]
    fn lights_lie_within_the_spectral_locus() {
        // D65, and whites well off it; the primaries of CIE RGB lie on the locus. Corners of the diagram are no lights.
        for (x, y) in [(0.3127, 0.3290), (0.60, 0.38), (0.2, 0.2), (0.25, 0.6)] {
            assert!(is_light(x, y), "({x}, {y}) is a light");
        }
        for (x, y) in [(0.0, 0.0), (0.05, 0.1), (0.6, 0.45), (0.4, 0.1), (0.75, 0.3), (f64::NAN, 0.3)] {
            assert!(!is_light(x, y), "({x}, {y}) is none");
        }
    }

    #[test]
    fn luminous_efficiency_peaks_with_one_at_555_nm() {
        // CIE 018: V(λ) is 1 at 555 nm and less everywhere else.
        for (row, matching) in CIE_1931_2_DEGREE.iter().enumerate() {
            let wavelength = nanometres(row);
            assert_eq!(matching[1] == 1.0, wavelength == 555.0, "ȳ is {} at {wavelength} nm", matching[1]);
            assert!(matching.iter().all(|value| *value >= 0.0), "negative at {wavelength} nm: {matching:?}");
        }
    }
}
