//! The weights of a blur along one axis: a Gaussian on the pixels, and the way to a coarser grid and back.
//!
//! A picture is mirrored at its edges (… c b a | a b c …), so that every pixel gives away as much as it gets and nothing is lost.

use crate::maths::{exp, root};

/// Standard deviations after which a Gaussian is cut off: 4e-6 of its peak are left there.
const CUT: f64 = 5.0;

/// Below this variance, in pixels², the samples of a Gaussian no longer have its variance, and the width is searched for that does.
const SAMPLED_FROM: f64 = 1.0;

/// Less than this spreads nothing: a ten-millionth of the light would reach a neighbour.
const NOTHING: f64 = 1e-7;

/// The place in `0..length` that a place outside is a mirror image of.
pub(super) fn mirrored(place: isize, length: usize) -> usize {
    let turned = place.rem_euclid(2 * length as isize) as usize;
    if turned < length { turned } else { 2 * length - 1 - turned }
}

/// Half of a Gaussian's weights, from its centre outwards: the samples of a Gaussian whose variance on the pixels, in pixels², is that
/// which is asked for. The centre and twice the others sum to 1.
pub(super) fn gaussian(variance: f64) -> Vec<f64> {
    if variance < NOTHING {
        return vec![1.0];
    }
    let width = if variance < SAMPLED_FROM {
        let (low, high) = (1e-3, 1.1 * SAMPLED_FROM);
        let miss = |width: f64| variance_of(&samples(width)) - variance;
        root(miss, (low, miss(low)), (high, miss(high)))
    } else {
        variance
    };
    samples(width)
}

/// Samples of exp(−k²/2v), normalised.
fn samples(width: f64) -> Vec<f64> {
    let reach = (CUT * width.sqrt()).ceil() as usize;
    let mut half: Vec<f64> = (0..=reach.max(1)).map(|k| exp(-((k * k) as f64) / (2.0 * width))).collect();
    let sum = 1.0 + 2.0 * half[1..].iter().sum::<f64>();
    half.iter_mut().for_each(|weight| *weight /= sum);
    half
}

fn variance_of(half: &[f64]) -> f64 {
    2.0 * half.iter().enumerate().map(|(k, weight)| (k * k) as f64 * weight).sum::<f64>()
}

/// Coarse cells that a fine pixel can touch: a cubic B-spline is four cells wide, and a pixel at most one.
const TOUCHED: usize = 5;

/// What a cubic B-spline adds to the variance each way, in cells².
const SPLINE_VARIANCE: f64 = 1.0 / 3.0;

/// What the width of a fine pixel adds each way, in pixels².
const PIXEL_VARIANCE: f64 = 1.0 / 12.0;

/// The way between `fine` pixels and `coarse` cells over the same length, and back.
///
/// A cell's weight on a pixel is a cubic B-spline about the cell's centre, integrated over the pixel. Both sums are then exact for
/// any two lengths: what comes to a pixel sums to 1, and every cell takes the same share of the whole.
pub(super) struct Resampling {
    /// Pixels to a cell, at least 1.
    pub scale: f64,
    /// For each pixel, the cells that it touches, with what comes from each. They sum to 1.
    pub from_cells: Vec<[(usize, f64); TOUCHED]>,
    /// For each cell, the pixels that touch it, with what comes from each. They sum to 1.
    pub from_pixels: Vec<Vec<(usize, f64)>>,
}

impl Resampling {
    pub fn new(fine: usize, coarse: usize) -> Self {
        let scale = fine as f64 / coarse as f64;
        let from_cells: Vec<_> = (0..fine).map(|pixel| touched(pixel, scale, coarse)).collect();
        let mut from_pixels = vec![Vec::new(); coarse];
        for (pixel, cells) in from_cells.iter().enumerate() {
            for &(cell, weight) in cells {
                if weight > 0.0 {
                    from_pixels[cell].push((pixel, weight / scale));
                }
            }
        }
        Self { scale, from_cells, from_pixels }
    }

    /// The variance that is left to do on the cells, in cells², so that there, do and back again have `variance` in pixels².
    pub fn left_to_do(&self, variance: f64) -> f64 {
        ((variance - 2.0 * PIXEL_VARIANCE) / (self.scale * self.scale) - 2.0 * SPLINE_VARIANCE).max(0.0)
    }
}

fn touched(pixel: usize, scale: f64, coarse: usize) -> [(usize, f64); TOUCHED] {
    let (left, right) = (pixel as f64 / scale, (pixel + 1) as f64 / scale);
    let first = (left - 2.5).floor() as isize + 1;
    [0, 1, 2, 3, 4].map(|step| {
        let cell = first + step;
        let centre = cell as f64 + 0.5;
        let weight = (below(right - centre) - below(left - centre)) * scale;
        (mirrored(cell, coarse), weight.max(0.0))
    })
}

/// How much of a cubic B-spline about 0 lies below a place: 0 up to −2, 1 from 2 on.
fn below(place: f64) -> f64 {
    let tail = |distance: f64| {
        let t = distance.max(0.0);
        t * t * t * t / 24.0
    };
    if place > 0.0 {
        return 1.0 - below(-place);
    }
    tail(place + 2.0) - 4.0 * tail(place + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaussians_have_their_sum_and_variance() {
        for variance in [0.0, 1e-8, 1e-6, 0.01, 0.25, 0.5, 0.999, 1.0, 1.001, 4.0, 9.3, 16.0, 400.0] {
            let half = gaussian(variance);
            let sum = half[0] + 2.0 * half[1..].iter().sum::<f64>();
            assert!((sum - 1.0).abs() < 1e-14, "variance {variance}: the weights sum to {sum}");
            let found = variance_of(&half);
            assert!((found - variance).abs() < 1e-4 * variance + 1.1 * NOTHING, "variance {variance}: found {found}");
            assert!(half.windows(2).all(|pair| pair[1] <= pair[0]) && half.iter().all(|weight| *weight >= 0.0));
        }
    }

    #[test]
    fn both_ways_between_grids_keep_the_whole() {
        for (fine, coarse) in [(1, 1), (2, 1), (5, 2), (7, 3), (100, 75), (101, 37), (1080, 149), (64, 64)] {
            let ways = Resampling::new(fine, coarse);
            for (pixel, cells) in ways.from_cells.iter().enumerate() {
                let sum: f64 = cells.iter().map(|(_, weight)| weight).sum();
                assert!((sum - 1.0).abs() < 1e-12, "{fine} → {coarse}: pixel {pixel} gets {sum}");
            }
            for (cell, pixels) in ways.from_pixels.iter().enumerate() {
                let sum: f64 = pixels.iter().map(|(_, weight)| weight).sum();
                assert!((sum - 1.0).abs() < 1e-12, "{fine} → {coarse}: cell {cell} gets {sum}");
            }
        }
    }

    #[test]
    fn places_outside_are_mirrored() {
        let places: Vec<usize> = (-4..7).map(|place| mirrored(place, 3)).collect();
        assert_eq!(places, [2, 2, 1, 0, 0, 1, 2, 2, 1, 0, 0]);
        assert!((-9..9).all(|place| mirrored(place, 1) == 0));
    }
}
