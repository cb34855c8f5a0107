//! Input gamut compression: the ACES Reference Gamut Compression, forward, on AP1.
//!
//! Source: Academy of Motion Picture Arts and Sciences, ACES 1.3, LMT.Academy.ReferenceGamutCompress
//! (bibliography: ampas-rgc).

use crate::maths::{Rgb, pow};

/// Limits for cyan, magenta and yellow: the distance that the compression maps to the gamut's edge. [ampas-rgc]
const LIMITS: [f64; 3] = [1.147, 1.264, 1.312];
/// Thresholds for cyan, magenta and yellow: distances below stay untouched. [ampas-rgc]
const THRESHOLDS: [f64; 3] = [0.815, 0.803, 0.880];
/// Power of the curve. [ampas-rgc]
const POWER: f64 = 1.2;

/// The compression with its scale worked out for each of the three distances.
#[derive(Clone, Debug)]
pub struct InputCompression {
    scales: [f64; 3],
}

impl InputCompression {
    /// The published parameters.
    #[must_use]
    pub fn published() -> Self {
        let scale = |i: usize| {
            let (limit, threshold) = (LIMITS[i], THRESHOLDS[i]);
            let base = pow((1.0 - threshold) / (limit - threshold), -POWER) - 1.0;
            (limit - threshold) / pow(base, 1.0 / POWER)
        };
        Self { scales: [scale(0), scale(1), scale(2)] }
    }

    /// Linear ACEScg in and out.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        let achromatic = rgb[0].max(rgb[1]).max(rgb[2]);
        if achromatic == 0.0 {
            // The published form gives every distance 0 here, so that all channels become the achromatic 0.
            return [0.0; 3];
        }
        let size = achromatic.abs();
        let mut out = rgb;
        for i in 0..3 {
            let distance = (achromatic - rgb[i]) / size;
            // Untouched distances keep their exact value: going there and back would round.
            if distance >= THRESHOLDS[i] {
                out[i] = achromatic - bend(distance, THRESHOLDS[i], self.scales[i], POWER) * size;
            }
        }
        out
    }
}

/// threshold + scale · n / (1 + n^power)^(1/power), n = (distance − threshold)/scale: leaves the threshold with slope 1
/// and never passes threshold + scale. For distances at or above the threshold.
#[must_use]
pub fn bend(distance: f64, threshold: f64, scale: f64, power: f64) -> f64 {
    let n = (distance - threshold) / scale;
    threshold + scale * n / pow(1.0 + pow(n, power), 1.0 / power)
}
