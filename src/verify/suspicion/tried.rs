//! Some nodes of a file, on which ideas are tried.

use crate::lut::Table3;
use crate::maths::Rgb;

/// Nodes an axis that an idea is tried on.
const NODES: usize = 6;

/// Every so manieth node is enough to see what is hopeless; no multiple of [`NODES`], so that all places on the axes are met.
const THINNED: usize = 17;

/// Some nodes of the file, with their inputs.
pub(super) struct Tried {
    /// Input and value of each.
    pub(super) nodes: Vec<(Rgb, Rgb)>,
    /// Points a side of the file.
    pub(super) size: usize,
}

impl Tried {
    pub(super) fn new(table: &Table3) -> Self {
        let last = table.size() - 1;
        let axis: Vec<usize> = (0..NODES).map(|step| step * last / (NODES - 1)).collect();
        let domain = table.domain();
        let mut nodes = Vec::with_capacity(NODES * NODES * NODES);
        for b in &axis {
            for g in &axis {
                for r in &axis {
                    let index = [*r, *g, *b];
                    let input = [0, 1, 2]
                        .map(|i| domain.min[i] + (domain.max[i] - domain.min[i]) * index[i] as f64 / last as f64);
                    nodes.push((input, table.node(*r, *g, *b)));
                }
            }
        }
        Self { nodes, size: table.size() }
    }

    /// Largest distance of the file from an idea, over all but the worst twentieth of the nodes. Infinite where the idea
    /// gives no number.
    pub(super) fn distance(&self, idea: impl Fn(Rgb) -> Rgb) -> f64 {
        let mut distances: Vec<f64> = self
            .nodes
            .iter()
            .map(|(input, got)| {
                let expected = idea(*input);
                let largest = (0..3).map(|i| (expected[i] - got[i]).abs()).fold(0.0, f64::max);
                if expected.iter().all(|value| value.is_finite()) { largest } else { f64::INFINITY }
            })
            .collect();
        distances.sort_by(f64::total_cmp);
        distances[distances.len() - 1 - distances.len() / 20]
    }

    /// A few of them, to see quickly what is hopeless.
    pub(super) fn thinned(&self) -> Self {
        Self { nodes: self.nodes.iter().step_by(THINNED).copied().collect(), size: self.size }
    }

    /// What a function gives at the nodes, beside what the file says: one pair a channel.
    pub(super) fn pairs(&self, of: impl Fn(Rgb) -> Rgb) -> Vec<(f64, f64)> {
        self.nodes.iter().flat_map(|(input, got)| of(*input).into_iter().zip(*got)).collect()
    }
}
