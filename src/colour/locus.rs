//! The locus of black bodies in CIE 1960 (u, v), its tangent, and the nearest point of it.
//!
//! Points of the locus are counted in mired (reciprocal megakelvin), where it is evenly paced and where its hot end,
//! T → ∞, is simply 0.

use super::observer::{CIE_1931_2_DEGREE, nanometres};
use crate::maths::{exp, root};

/// Second radiation constant c₂ = hc/k in metre kelvin. Source: CODATA 2018, from the exact constants of the SI (2019).
pub const SECOND_RADIATION_CONSTANT: f64 = 1.438776877e-2;

/// Cold end of the locus that is searched, in mired: 500 K, where hardly any light is left that the table could weigh.
/// The ranges of a white (1667 K, 400 mired warmer) end near 1000 K.
const COLD_END_MIRED: f64 = 2000.0;

/// Intervals of the coarse search, 50 mired each.
const COARSE_INTERVALS: usize = 40;

/// Intervals to each side of the nearest coarse point between which the root is looked for. One would do for exact
/// coarse points; the second covers the error of the coarse sums.
const COARSE_MARGIN: usize = 2;

/// Every tenth nanometre is enough to find the interval; the root in it is then found with the whole table.
const COARSE_STRIDE: usize = 10;

/// Below this x the functions of x/(1 − e⁻ˣ) come from their series, whose next term is under 1e-16 of the sum.
const SERIES_BELOW: f64 = 1e-2;

/// x/(1 − e⁻ˣ): Planck's law divided by Wien's, times x; 1 at x = 0, where the temperature is infinite.
pub(super) fn planck_over_wien(x: f64) -> f64 {
    if x.abs() < SERIES_BELOW { 1.0 + x / 2.0 + x * x / 12.0 - x * x * x * x / 720.0 } else { x / (1.0 - exp(-x)) }
}

/// The logarithmic derivative of x/(eˣ − 1): (1 − x/(1 − e⁻ˣ))/x.
fn planck_logarithmic_slope(x: f64) -> f64 {
    if x.abs() < SERIES_BELOW {
        -0.5 - x / 12.0 + x * x * x / 720.0 - x * x * x * x * x / 30240.0
    } else {
        (1.0 - planck_over_wien(x)) / x
    }
}

/// A point of the locus with its derivative by mired.
#[derive(Clone, Copy, Debug)]
pub(super) struct LocusPoint {
    /// CIE 1960 (u, v).
    pub uv: [f64; 2],
    /// d(u, v) / d mired; points towards the warm end.
    pub slope: [f64; 2],
}

impl LocusPoint {
    /// The point at `mired` (0 = infinite temperature), from every `stride`-th row of the observer's table.
    fn at(mired: f64, stride: usize) -> Self {
        let reciprocal = mired * 1e-6;
        // Only ratios matter, so the exponent is counted from the red end, where it is greatest: nothing underflows.
        let red_end = 1.0 / (nanometres(CIE_1931_2_DEGREE.len() - 1) * 1e-9);
        let (mut sum, mut slope_sum) = ([0.0; 3], [0.0; 3]);
        for (row, matching) in CIE_1931_2_DEGREE.iter().enumerate().step_by(stride) {
            let wave_number = 1.0 / (nanometres(row) * 1e-9);
            let x = SECOND_RADIATION_CONSTANT * reciprocal * wave_number;
            let wien = exp(-SECOND_RADIATION_CONSTANT * reciprocal * (wave_number - red_end));
            let square = wave_number * wave_number;
            let power = square * square * planck_over_wien(x) * wien;
            let power_slope = power * planck_logarithmic_slope(x) * SECOND_RADIATION_CONSTANT * 1e-6 * wave_number;
            for channel in 0..3 {
                sum[channel] += matching[channel] * power;
                slope_sum[channel] += matching[channel] * power_slope;
            }
        }
        Self::from_sums(sum, slope_sum)
    }

    /// u = 4X/D, v = 6Y/D, D = X + 15Y + 3Z (CIE 1960), and their derivatives by the quotient rule.
    fn from_sums([x, y, z]: [f64; 3], [dx, dy, dz]: [f64; 3]) -> Self {
        let denominator = x + 15.0 * y + 3.0 * z;
        let denominator_slope = dx + 15.0 * dy + 3.0 * dz;
        let uv = [4.0 * x / denominator, 6.0 * y / denominator];
        let slope = [
            (4.0 * dx - uv[0] * denominator_slope) / denominator,
            (6.0 * dy - uv[1] * denominator_slope) / denominator,
        ];
        Self { uv, slope }
    }

    /// Unit normal that points above the locus, towards green.
    pub fn normal(&self) -> [f64; 2] {
        let [u, v] = self.slope;
        let length = (u * u + v * v).sqrt();
        [-v / length, u / length]
    }

    /// Half the derivative by mired of the squared distance from `target`: rises through 0 at a nearest point.
    fn away(&self, target: [f64; 2]) -> f64 {
        (self.uv[0] - target[0]) * self.slope[0] + (self.uv[1] - target[1]) * self.slope[1]
    }

    /// Signed distance of `target` from the locus here, > 0 above.
    pub fn height(&self, target: [f64; 2]) -> f64 {
        let normal = self.normal();
        (target[0] - self.uv[0]) * normal[0] + (target[1] - self.uv[1]) * normal[1]
    }

    fn squared_distance(&self, target: [f64; 2]) -> f64 {
        let (u, v) = (self.uv[0] - target[0], self.uv[1] - target[1]);
        u * u + v * v
    }
}

/// Where the nearest point of the locus lies.
#[derive(Clone, Copy, Debug)]
pub(super) enum Nearest {
    /// The foot of a perpendicular, with its place on the locus in mired.
    Foot(f64, LocusPoint),
    /// Past an end of the locus: that end.
    End(LocusPoint),
}

impl Nearest {
    /// The nearest point of the locus itself.
    pub fn point(&self) -> LocusPoint {
        match self {
            Self::Foot(_, point) | Self::End(point) => *point,
        }
    }
}

/// The point of the locus nearest to `target`, CIE 1960 (u, v). A target that is not finite gives the hot end.
pub(super) fn nearest(target: [f64; 2]) -> Nearest {
    let coarse_mired = |index: usize| COLD_END_MIRED * index as f64 / COARSE_INTERVALS as f64;
    let mut best = (0, f64::INFINITY);
    for index in 0..=COARSE_INTERVALS {
        let distance = LocusPoint::at(coarse_mired(index), COARSE_STRIDE).squared_distance(target);
        if distance < best.1 {
            best = (index, distance);
        }
    }
    let low = coarse_mired(best.0.saturating_sub(COARSE_MARGIN));
    let high = coarse_mired((best.0 + COARSE_MARGIN).min(COARSE_INTERVALS));
    nearest_between(target, low, high)
}

/// The nearest point between two places in mired. Where the distance has no foot between them it is at one of the ends.
fn nearest_between(target: [f64; 2], low: f64, high: f64) -> Nearest {
    let (low_point, high_point) = (LocusPoint::at(low, 1), LocusPoint::at(high, 1));
    let (low_away, high_away) = (low_point.away(target), high_point.away(target));
    if low_away < 0.0 && high_away > 0.0 {
        let mired = root(|mired| LocusPoint::at(mired, 1).away(target), (low, low_away), (high, high_away));
        return Nearest::Foot(mired, LocusPoint::at(mired, 1));
    }
    let (end, away, point) = if high_point.squared_distance(target) < low_point.squared_distance(target) {
        (high, high_away, high_point)
    } else {
        (low, low_away, low_point)
    };
    if away == 0.0 { Nearest::Foot(end, point) } else { Nearest::End(point) }
}
