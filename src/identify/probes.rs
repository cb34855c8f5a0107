//! The nodes of a file that are looked at before all are.

use super::grid::Grid;
use crate::maths::Rgb;
use std::collections::HashSet;

/// Nodes for the first look at every candidate: greys and their neighbourhood, where looks differ and nothing clips.
pub(super) const FIRST: usize = 36;

/// Nodes for the second look, with the first ones. In a table with one value wrong in a hundred, they miss it one time in
/// twenty-five: what they find is held against all nodes in the end.
const ALL: usize = 320;

/// Greys among them.
const GREYS: usize = 24;

/// Steps of an axis, every one of which is a node of tables of 5, 9, 17, 33 and 65 points.
const LATTICE: usize = 4;

/// How far from grey the second half of the random nodes lies, as a part of an axis. As in the verifier's random sample.
const NEAR_GREY: f64 = 0.15;

/// Any number: the probes are the same in every run.
const SEED: u64 = 0x6964_656e_7469_6679;

/// Some nodes of a file.
pub(super) struct Probes {
    /// Their inputs, as parts of the file's domain.
    pub(super) places: Vec<Rgb>,
    /// What the file says there.
    pub(super) values: Vec<Rgb>,
}

impl Probes {
    pub(super) fn of(grid: &Grid<'_>) -> Self {
        let nodes = choose(grid.size);
        Self {
            places: nodes.iter().map(|node| grid.place(*node)).collect(),
            values: nodes.iter().map(|node| grid.nodes()[*node]).collect(),
        }
    }
}

impl Probes {
    /// How many different numbers the file has here.
    pub(super) fn different_numbers(&self) -> usize {
        let millionths = |value: &f64| (value * 1e6).round().to_bits();
        self.values.iter().flatten().map(millionths).collect::<HashSet<u64>>().len()
    }
}

/// Indices of nodes, each once: greys, near greys, a lattice, and anywhere. The first [`FIRST`] are greys and near greys.
fn choose(size: usize) -> Vec<usize> {
    let last = size - 1;
    let index = |[r, g, b]: [usize; 3]| r + size * (g + size * b);
    let mut random = SplitMix(SEED);
    let mut chosen = Vec::new();
    let mut seen = HashSet::new();
    let mut add = |chosen: &mut Vec<usize>, node: usize| {
        if seen.insert(node) {
            chosen.push(node);
        }
    };
    for step in 0..GREYS {
        add(&mut chosen, index([(step * last + GREYS / 2) / (GREYS - 1); 3].map(|place| place.min(last))));
    }
    let near_grey = |random: &mut SplitMix| {
        let grey = random.unit();
        [0; 3].map(|_: usize| {
            let place = (grey + NEAR_GREY * (2.0 * random.unit() - 1.0)).clamp(0.0, 1.0);
            (place * last as f64).round() as usize
        })
    };
    for _ in chosen.len()..FIRST {
        add(&mut chosen, index(near_grey(&mut random)));
    }
    for node in 0..(LATTICE + 1) * (LATTICE + 1) * (LATTICE + 1) {
        add(&mut chosen, index(super::grid::split(node, LATTICE + 1).map(|step| step * last / LATTICE)));
    }
    for turn in 0..ALL - chosen.len().min(ALL) {
        let node = if turn % 2 == 0 {
            near_grey(&mut random)
        } else {
            [0; 3].map(|_: usize| ((random.unit() * size as f64) as usize).min(last))
        };
        add(&mut chosen, index(node));
    }
    chosen
}

/// Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators" (bibliography: splitmix).
struct SplitMix(u64);

impl SplitMix {
    /// 0 up to, not including, 1.
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn probes_are_nodes_each_once_and_include_the_ends() {
        for size in [2, 3, 9, 17, 32, 33, 65] {
            let nodes = choose(size);
            let all: HashSet<usize> = nodes.iter().copied().collect();
            assert_eq!(all.len(), nodes.len(), "{size} points");
            assert!(nodes.iter().all(|node| *node < size * size * size), "{size} points");
            for end in [0, size * size * size - 1, size - 1] {
                assert!(all.contains(&end), "{size} points: node {end}");
            }
        }
        assert!(choose(33).len() > 300);
    }
}
