//! Sample: a pipeline → a table.

use super::table::{Domain, Table3};
use crate::pipeline::{Clips, Pipeline, Row};
use rayon::prelude::*;

/// A sampled table and what was clipped at its nodes.
#[derive(Clone, Debug)]
pub struct Sampled {
    /// The table, before it is printed.
    pub table: Table3,
    /// Nodes that were clipped, and where.
    pub clips: Clips,
}

/// Evaluates a pipeline at `size`³ nodes over 0..1, on all threads of the current pool.
///
/// The log decode is shared: it is worked out once for each step of an axis, not for each node. Every node is computed
/// alone and in the same order of operations, so the table is the same for any number of threads.
///
/// # Panics
/// Never for sizes of 2 and more, the only ones that a plan can have.
#[must_use]
pub fn sample(pipeline: &Pipeline, size: usize) -> Sampled {
    let size = size.max(2);
    let last = (size - 1) as f64;
    let axis: Vec<f64> = (0..size).map(|index| pipeline.decode(index as f64 / last)).collect();
    let mut nodes = vec![[0.0; 3]; size * size * size];
    let clips = nodes
        .par_chunks_mut(size)
        .enumerate()
        .map_init(Row::default, |row, (index, chunk)| {
            let mut clips = Clips::default();
            row.fill(&axis, axis[index % size], axis[index / size]);
            pipeline.run(row, &mut clips);
            for (node, pixel) in chunk.iter_mut().zip(row.pixels()) {
                *node = pixel;
            }
            clips
        })
        .reduce(Clips::default, |mut sum, clips| {
            sum += clips;
            sum
        });
    let table = Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes were made");
    Sampled { table, clips }
}
