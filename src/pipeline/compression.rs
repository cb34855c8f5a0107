//! Input gamut compression: the ACES Reference Gamut Compression, forward, on AP1.
//!
//! Source: Academy of Motion Picture Arts and Sciences, ACES 1.3, LMT.Academy.ReferenceGamutCompress
//! (bibliography: ampas-rgc).

use super::bend::Bend;
use super::row::Row;
use crate::maths::pow;

/// Limits for cyan, magenta and yellow: the distance that the compression maps to the gamut's edge. [ampas-rgc]
const LIMITS: [f64; 3] = [1.147, 1.264, 1.312];
/// Thresholds for cyan, magenta and yellow: distances below stay untouched. [ampas-rgc]
const THRESHOLDS: [f64; 3] = [0.815, 0.803, 0.880];
/// Power of the curve. [ampas-rgc]
const POWER: f64 = 1.2;

/// The compression with its scale worked out for each of the three distances.
#[derive(Clone, Debug)]
pub struct InputCompression {
    bends: [Bend; 3],
}

impl InputCompression {
    /// The published parameters.
    #[must_use]
    pub fn published() -> Self {
        let bend = |i: usize| {
            let (limit, threshold) = (LIMITS[i], THRESHOLDS[i]);
            let base = pow((1.0 - threshold) / (limit - threshold), -POWER) - 1.0;
            Bend { threshold, scale: (limit - threshold) / pow(base, 1.0 / POWER), power: POWER }
        };
        Self { bends: [bend(0), bend(1), bend(2)] }
    }

    /// Linear ACEScg in and out.
    pub fn apply(&self, row: &mut Row) {
        let (channels, scratch) = row.parts();
        let [red, green, blue] = channels;
        scratch.brightest([red, green, blue]);
        for (channel, bend) in [red, green, blue].into_iter().zip(&self.bends) {
            bend.channel(channel, scratch);
        }
    }
}
