//! The bend that both gamut compressions use: leaves its threshold with slope 1 and never passes threshold + scale.

use super::row::Scratch;
use crate::maths::rows::{exp2, log2};

/// The bend of one distance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bend {
    /// Distances below stay untouched.
    pub(super) threshold: f64,
    /// The most that is added to the threshold.
    pub(super) scale: f64,
    /// Sharpness.
    pub(super) power: f64,
}

impl Bend {
    /// threshold + scale · n / (1 + n^power)^(1/power) with n = (distance − threshold)/scale, for distances at or above the
    /// threshold.
    ///
    /// Written as min(n, 1) · (1 + q)^(−1/power) with q = min(n, 1/n)^power, which is the same and does not overflow.
    #[inline(always)]
    fn at(&self, distance: f64) -> f64 {
        let n = (distance - self.threshold) / self.scale;
        // A distance at the threshold itself: the logarithm of the smallest number gives q = 0.
        let n = if n > f64::MIN_POSITIVE { n } else { f64::MIN_POSITIVE };
        let q = exp2(-self.power * log2(n).abs());
        let least = if n < 1.0 { n } else { 1.0 };
        self.threshold + self.scale * (least * exp2(log2(1.0 + q) / -self.power))
    }

    /// Bends the channel of all pixels whose distance from the brightest channel, as a part of that, reaches the threshold.
    /// `scratch.values` holds the brightest channels.
    pub(super) fn channel(&self, channel: &mut [f64], scratch: &mut Scratch) {
        scratch.places.clear();
        scratch.some.clear();
        for (place, (value, brightest)) in channel.iter().zip(&scratch.values).enumerate() {
            let distance = (brightest - value) / brightest.abs();
            if distance >= self.threshold {
                scratch.places.push(place);
                scratch.some.push(distance);
            }
        }
        self.row(&mut scratch.some);
        // Every distance counts as 0 where the brightest channel is 0, so that the pixel becomes black.
        for (value, brightest) in channel.iter_mut().zip(&scratch.values) {
            *value = if *brightest == 0.0 { 0.0 } else { *value };
        }
        for (place, distance) in scratch.places.iter().zip(&scratch.some) {
            let brightest = scratch.values[*place];
            channel[*place] = brightest - distance * brightest.abs();
        }
    }

    /// Bends a row of distances, all at or above the threshold.
    pub(super) fn row(&self, distances: &mut [f64]) {
        bend_row(self, distances);
    }
}

#[multiversion::multiversion(targets("x86_64+avx2"))]
fn bend_row(bend: &Bend, distances: &mut [f64]) {
    for distance in distances {
        *distance = bend.at(*distance);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bend as it is printed.
    fn printed(bend: &Bend, distance: f64) -> f64 {
        let n = (distance - bend.threshold) / bend.scale;
        bend.threshold + bend.scale * n / libm::pow(1.0 + libm::pow(n, bend.power), 1.0 / bend.power)
    }

    #[test]
    fn the_bend_is_the_printed_one_and_does_not_overflow() {
        let bend = Bend { threshold: 0.815, scale: 0.3, power: 1.2 };
        for distance in [0.815, 0.8150001, 0.9, 1.0, 1.147, 2.0, 50.0, 1e6] {
            let (own, expected) = (bend.at(distance), printed(&bend, distance));
            assert!((own - expected).abs() < 1e-14, "{distance}: {own} instead of {expected}");
        }
        assert!((bend.at(1e300) - 1.115).abs() < 1e-14);
    }
}
