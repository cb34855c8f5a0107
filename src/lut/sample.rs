//! Sample: a pipeline → a table.

use super::table::{Domain, Table3};
use crate::maths::Rgb;
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
    let grid = Grid::new(pipeline, size);
    let mut nodes = grid.room();
    let clips = nodes
        .par_chunks_mut(grid.axis.len())
        .enumerate()
        .map_init(Row::default, |row, (index, chunk)| grid.line(row, index, chunk))
        .reduce(Clips::default, sum);
    grid.finish(nodes, clips)
}

/// The same on the calling thread alone, for callers that make many tables at once.
///
/// # Panics
/// As [`sample`].
#[must_use]
pub fn sample_alone(pipeline: &Pipeline, size: usize) -> Sampled {
    let grid = Grid::new(pipeline, size);
    let (mut nodes, mut row) = (grid.room(), Row::default());
    let lines = nodes.chunks_mut(grid.axis.len()).enumerate();
    let clips = lines.map(|(index, chunk)| grid.line(&mut row, index, chunk)).fold(Clips::default(), sum);
    grid.finish(nodes, clips)
}

fn sum(mut sum: Clips, clips: Clips) -> Clips {
    sum += clips;
    sum
}

/// The nodes of a table, line by line along red.
pub(super) struct Grid<'a> {
    pipeline: &'a Pipeline,
    /// Camera-linear light of each step of an axis.
    axis: Vec<f64>,
}

impl<'a> Grid<'a> {
    pub(super) fn new(pipeline: &'a Pipeline, size: usize) -> Self {
        let size = size.max(2);
        let last = (size - 1) as f64;
        Self { pipeline, axis: (0..size).map(|index| pipeline.decode(index as f64 / last)).collect() }
    }

    fn room(&self) -> Vec<Rgb> {
        vec![[0.0; 3]; self.axis.len().pow(3)]
    }

    fn line(&self, row: &mut Row, index: usize, line: &mut [Rgb]) -> Clips {
        let (axis, size) = (&self.axis, self.axis.len());
        let mut clips = Clips::default();
        row.fill(axis, axis[index % size], axis[index / size]);
        self.pipeline.run(row, &mut clips);
        for (node, pixel) in line.iter_mut().zip(row.pixels()) {
            *node = pixel;
        }
        clips
    }

    /// Nodes a side.
    pub(super) fn size(&self) -> usize {
        self.axis.len()
    }

    /// One node alone, as it stands in its line.
    pub(super) fn node(&self, row: &mut Row, [r, g, b]: [usize; 3]) -> Rgb {
        row.fill(&self.axis[r..=r], self.axis[g], self.axis[b]);
        self.pipeline.run(row, &mut Clips::default());
        row.pixels().next().unwrap_or_default()
    }

    fn finish(&self, nodes: Vec<Rgb>, clips: Clips) -> Sampled {
        let table = Table3::new(self.axis.len(), Domain::UNIT, nodes).expect("size³ nodes were made");
        Sampled { table, clips }
    }
}
