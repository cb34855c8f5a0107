//! Mean, 95 % and the worst of a group of colour differences.

use super::probes::Probe;
use serde::Serialize;

/// Colour differences of a group, CIEDE2000. An empty group has zeros and no worst.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Spread {
    /// How many probes.
    pub count: usize,
    /// Mean.
    pub mean: f64,
    /// 95 %, by nearest rank: the smallest of the differences that nineteen of twenty don't exceed.
    pub p95: f64,
    /// The largest.
    pub max: f64,
    /// Where that is.
    pub worst: Option<Worst>,
}

/// The worst probe of a group.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worst {
    /// Name of the patch, skin or light; `grey`.
    pub name: &'static str,
    /// Stops over or under.
    pub stops: f64,
    /// CIELAB on the first side.
    pub lab_a: [f64; 3],
    /// CIELAB on the second.
    pub lab_b: [f64; 3],
}

/// Mean, 95 % and maximum.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Figures {
    /// Mean.
    pub mean: f64,
    /// 95 %, by nearest rank.
    pub p95: f64,
    /// The largest.
    pub max: f64,
}

impl Figures {
    /// Of a group; zeros for an empty one. A NaN counts as the largest, and makes the mean one.
    pub(super) fn of(mut values: Vec<f64>) -> Self {
        // What arithmetic makes of nonsense may bear either sign, and would be sorted first with a minus.
        values.iter_mut().filter(|value| value.is_nan()).for_each(|value| *value = f64::NAN);
        values.sort_by(f64::total_cmp);
        let count = values.len();
        let Some(max) = values.last() else { return Self::default() };
        Self { mean: values.iter().sum::<f64>() / count as f64, p95: values[nearest_rank(count)], max: *max }
    }

    /// Whether none exceeds its limit; a NaN does.
    pub(super) fn within(&self, limits: &Self) -> bool {
        self.mean <= limits.mean && self.p95 <= limits.p95 && self.max <= limits.max
    }

    /// One upon the other.
    pub(super) fn plus(&self, other: &Self) -> Self {
        Self { mean: self.mean + other.mean, p95: self.p95 + other.p95, max: self.max + other.max }
    }
}

impl Spread {
    /// Of the probes at some places: `de` gives the difference there, `labs` the two colours.
    pub(super) fn of(
        probes: &[Probe],
        places: impl Iterator<Item = usize>,
        de: impl Fn(usize) -> f64,
        labs: impl Fn(usize) -> [[f64; 3]; 2],
    ) -> Self {
        let all: Vec<(usize, f64)> = places.map(|place| (place, de(place))).collect();
        let worst =
            all.iter().copied().reduce(|most, next| if most.1.is_nan() || next.1 <= most.1 { most } else { next });
        let Figures { mean, p95, max } = Figures::of(all.iter().map(|(_, de)| *de).collect());
        let worst = worst.map(|(place, _)| {
            let [lab_a, lab_b] = labs(place);
            Worst { name: probes[place].name, stops: probes[place].stops, lab_a, lab_b }
        });
        Self { count: all.len(), mean, p95, max, worst }
    }

    /// Its three figures.
    #[must_use]
    pub fn figures(&self) -> Figures {
        Figures { mean: self.mean, p95: self.p95, max: self.max }
    }
}

/// Place of the 95th percentile among `count` sorted values, by nearest rank: rank ⌈0.95 · count⌉, counted from 1.
fn nearest_rank(count: usize) -> usize {
    (95 * count).div_ceil(100).max(1) - 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_95th_percentile_is_the_nearest_rank() {
        // Rank 95 of 100, 19 of 20, 18 of 18, 20 of 21, 1 of 1: ⌈0.95 n⌉ by hand.
        for (count, rank) in [(100, 95.0), (20, 19.0), (18, 18.0), (21, 20.0), (1, 1.0)] {
            let backwards: Vec<f64> = (1..=count).rev().map(f64::from).collect();
            let figures = Figures::of(backwards);
            assert_eq!(figures.p95, rank, "of {count}");
            assert_eq!((figures.max, figures.mean), (f64::from(count), f64::from(count + 1) / 2.0));
        }
    }

    #[test]
    fn an_empty_group_has_no_worst() {
        let empty = Spread::of(&[], std::iter::empty(), |_| 7.0, |_| [[1.0; 3]; 2]);
        assert_eq!(empty, Spread::default());
        assert_eq!((empty.count, empty.mean, empty.p95, empty.max), (0, 0.0, 0.0, 0.0));
    }

    #[test]
    fn what_is_no_number_is_never_within() {
        let figures = Figures::of(vec![0.1, -f64::NAN, 0.2]);
        assert!(!figures.within(&Figures { mean: 100.0, p95: 100.0, max: 100.0 }));
        let probes = super::super::probes::probes();
        let one_nan = |place| if place == 1 { f64::NAN } else { 0.5 };
        let spread = Spread::of(&probes, 0..4, one_nan, |_| [[0.0; 3]; 2]);
        assert!(spread.max.is_nan() && spread.mean.is_nan());
        assert_eq!(spread.worst.map(|worst| worst.stops), Some(-2.0), "the second probe");
    }
}
