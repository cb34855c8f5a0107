//! What is left between a file and a model of it, and whether rounding explains it.

use super::numbers::Numbers;
use crate::maths::Rgb;
use serde::Serialize;

/// Half the last decimal that this program prints: a table that was printed before something was done to it.
const PRINTED: f64 = 0.5e-6;

/// What single-precision arithmetic adds between nodes: a place on an axis of 65 points is known to 4e-6 of a cell, and
/// neighbouring nodes lie up to about a fifth of the range apart.
const SINGLE_PRECISION: f64 = 1e-6;

/// Rounding of the comparison itself, and more.
const SLACK: f64 = 1e-9;

/// Stretching legal levels to full ones stretches their rounding (1023/876).
const STRETCH: f64 = 1.168;

/// Parts of the input cube, by the bright and dark half of each channel, in which a remainder that is rounding has no mean.
const OCTANTS: usize = 8;

/// A part of the cube with fewer telling values than this is not judged.
const TELLING: usize = 12;

/// A mean this many of its own standard errors from 0 is no accident: one in a million for one part, one in seventy thousand for
/// all of them.
const STANDARD_ERRORS: f64 = 5.0;

/// File minus model.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Residual {
    /// Mean distance of a number.
    pub mean: f64,
    /// Largest distance of a number.
    pub worst: f64,
    #[serde(skip)]
    low: f64,
    #[serde(skip)]
    high: f64,
    #[serde(skip)]
    shaped: bool,
}

/// The most that rounding explains.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limit {
    step: f64,
    slack: f64,
}

impl Limit {
    /// For a file with such numbers, made in so many passes between nodes after it was printed for the first time.
    pub(super) fn new(numbers: Numbers, passes: usize, stretched: bool) -> Self {
        let printed = PRINTED * (1 + passes) as f64 * if stretched { STRETCH } else { 1.0 };
        let between = if passes > 0 { SINGLE_PRECISION } else { 0.0 };
        Self { step: numbers.step(), slack: printed + between + SLACK }
    }

    /// A plain distance, whatever the numbers are.
    pub(super) fn distance(most: f64) -> Self {
        Self { step: 0.0, slack: most }
    }

    /// Whether differences are nothing but rounding to the nearest.
    fn rounds(self, low: f64, high: f64) -> bool {
        let most = 0.5 * self.step + self.slack;
        low >= -most && high <= most
    }

    /// Whether they are nothing but cutting off what is behind the last decimal.
    fn cuts(self, low: f64, high: f64) -> bool {
        low >= -(self.step + self.slack) && high <= self.slack
    }
}

/// Nodes of a file that a model does not explain, by how the file may be printed.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Unexplained {
    rounding: usize,
    cutting: usize,
}

impl Unexplained {
    pub(super) fn count(limit: Limit, file: &[Rgb], model: &[Rgb]) -> Self {
        let mut unexplained = Self::default();
        for (file, model) in file.iter().zip(model) {
            let differences = [0, 1, 2].map(|i| file[i] - model[i]);
            unexplained.rounding += usize::from(!differences.iter().all(|d| limit.rounds(*d, *d)));
            unexplained.cutting += usize::from(!differences.iter().all(|d| limit.cuts(*d, *d)));
        }
        unexplained
    }

    pub(super) fn and(self, other: Self) -> Self {
        Self { rounding: self.rounding + other.rounding, cutting: self.cutting + other.cutting }
    }

    /// A file is printed in one way throughout.
    pub(super) fn least(self) -> usize {
        self.rounding.min(self.cutting)
    }
}

impl Residual {
    pub(super) fn of(places: &[Rgb], file: &[Rgb], model: &[Rgb]) -> Self {
        let mut parts = [[Part::default(); 3]; OCTANTS];
        let (mut sum, mut low, mut high) = (0.0, 0.0_f64, 0.0_f64);
        for ((place, file), model) in places.iter().zip(file).zip(model) {
            let octant = (0..3).map(|i| usize::from(place[i] > 0.5) << i).sum::<usize>();
            for channel in 0..3 {
                let difference = file[channel] - model[channel];
                if !difference.is_finite() {
                    return Self {
                        mean: f64::INFINITY,
                        worst: f64::INFINITY,
                        low: f64::NEG_INFINITY,
                        high: f64::INFINITY,
                        shaped: true,
                    };
                }
                sum += difference.abs();
                low = low.min(difference);
                high = high.max(difference);
                // What is cut at black or white is exact, and tells nothing.
                if model[channel] > 0.0 && model[channel] < 1.0 {
                    parts[octant][channel].add(difference);
                }
            }
        }
        let mean = sum / (3 * file.len().max(1)) as f64;
        let shaped = parts.iter().flatten().any(Part::has_a_mean);
        Self { mean, worst: high.max(-low), low, high, shaped }
    }

    /// Whether rounding explains all of it.
    pub(super) fn fits(&self, limit: Limit) -> bool {
        limit.rounds(self.low, self.high) || limit.cuts(self.low, self.high)
    }

    /// Whether it has a shape: a mean in some part of the cube. Rounding has none.
    pub(super) fn is_shaped(&self) -> bool {
        self.shaped
    }
}

/// Differences of one channel in one part of the cube.
#[derive(Clone, Copy, Default)]
struct Part {
    count: usize,
    sum: f64,
    squares: f64,
}

impl Part {
    fn add(&mut self, difference: f64) {
        self.count += 1;
        self.sum += difference;
        self.squares += difference * difference;
    }

    fn has_a_mean(&self) -> bool {
        let count = self.count as f64;
        let mean = self.sum / count;
        let variance = (self.squares / count - mean * mean).max(0.0);
        self.count >= TELLING && mean.abs() > STANDARD_ERRORS * (variance / count).sqrt() + SLACK
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn residual(differences: &[f64]) -> Residual {
        let places = vec![[0.2; 3]; differences.len()];
        let file: Vec<Rgb> = differences.iter().map(|difference| [0.5 + difference; 3]).collect();
        Residual::of(&places, &file, &vec![[0.5; 3]; differences.len()])
    }

    #[test]
    fn rounding_and_cutting_are_explained_and_more_is_not() {
        let limit = Limit::new(Numbers::Decimals(3), 0, false);
        assert!(residual(&[0.0004, -0.000_499]).fits(limit));
        assert!(residual(&[-0.0009, 0.0]).fits(limit), "cut off");
        assert!(!residual(&[-0.0009, 0.0001]).fits(limit), "neither rounded nor cut");
        assert!(!residual(&[0.000_51, -0.000_1]).fits(limit));
        assert!(!residual(&[f64::NAN]).fits(limit));
    }

    #[test]
    fn a_mean_is_a_shape_and_noise_is_none() {
        let noise: Vec<f64> = (0..200).map(|i| 1e-4 * (f64::from(i * 7919 % 101) / 50.0 - 1.0)).collect();
        assert!(!residual(&noise).is_shaped());
        let moved: Vec<f64> = noise.iter().map(|value| value + 5e-5).collect();
        assert!(residual(&moved).is_shaped());
    }
}
