//! What a file would hold if it had come from a look in a certain way.

use super::input::Input;
use super::levelling::Levelling;
use super::numbers::{Numbers, WRITTEN};
use super::sparse::{Sparse, between, cell};
use crate::lut::{Interpolation, Table3, sample};
use crate::maths::Rgb;
use crate::pipeline::{Clips, Pipeline, Row};
use std::sync::Arc;

/// Where the values come from.
#[derive(Clone)]
pub(super) enum Source<'a> {
    /// The look itself, at any input.
    Exact(&'a Pipeline),
    /// Those nodes of its table that matter, read between.
    Some(Arc<Sparse>, Interpolation),
    /// Its table, read between the nodes.
    Table(Arc<Table3>, Interpolation),
    /// A table that was read from its table, and is itself read between the nodes.
    Through(Between),
}

/// A table between the look's and the file's, of which only the nodes that matter are found.
#[derive(Clone)]
pub(super) struct Between {
    pub(super) table: Arc<Table3>,
    /// Points a side.
    pub(super) size: usize,
    /// From its own axes to the look's.
    pub(super) input: Input,
    pub(super) first: Interpolation,
    pub(super) second: Interpolation,
}

impl Between {
    fn sample(&self, input: Rgb) -> Rgb {
        let (below, fraction) = cell(input, self.size);
        let last = (self.size - 1) as f64;
        let node = |index: [usize; 3]| {
            let place = self.input.to_look(index.map(|step| step as f64 / last));
            self.table.sample(place, self.first).map(|value| WRITTEN.round(value))
        };
        between(below, fraction, node, self.second)
    }
}

/// A way from a look to a file.
#[derive(Clone)]
pub(super) struct Model<'a> {
    pub(super) source: Source<'a>,
    pub(super) input: Input,
    pub(super) output: Levelling,
    /// Whether what the re-scaled output has outside 0..1 was cut.
    pub(super) held: bool,
    /// What the look's numbers were rounded to before all else, where that was coarser than this program's printing.
    pub(super) before: Option<Numbers>,
}

impl Model<'_> {
    /// What the file would say at these inputs.
    pub(super) fn values(&self, places: &[Rgb], row: &mut Row) -> Vec<Rgb> {
        let inputs = places.iter().map(|place| self.input.to_look(*place));
        match &self.source {
            Source::Exact(pipeline) => {
                evaluate(pipeline, inputs, row);
                row.pixels().map(|value| self.finish(self.round(value))).collect()
            }
            Source::Some(nodes, interpolation) => {
                let node = |value: Rgb| self.round(value);
                inputs.map(|input| self.finish(nodes.sample(input, *interpolation, node))).collect()
            }
            Source::Table(table, interpolation) => {
                inputs.map(|input| self.finish(table.sample(input, *interpolation))).collect()
            }
            Source::Through(between) => inputs.map(|input| self.finish(between.sample(input))).collect(),
        }
    }

    /// What a coarser printing made of the look's own numbers. Whole tables have been through it.
    fn round(&self, value: Rgb) -> Rgb {
        self.before.map_or(value, |numbers| value.map(|channel| numbers.round(WRITTEN.round(channel))))
    }

    fn finish(&self, value: Rgb) -> Rgb {
        let value = self.output.rescale_all(value);
        if self.held { value.map(|channel| channel.clamp(0.0, 1.0)) } else { value }
    }
}

/// The look at these inputs, left in the row.
pub(super) fn evaluate(pipeline: &Pipeline, inputs: impl Iterator<Item = Rgb>, row: &mut Row) {
    row.fill_pixels(inputs);
    pipeline.evaluate_row(row, &mut Clips::default());
}

/// The table that this program writes of a look: sampled, and rounded as it is printed.
pub(super) fn written_table(pipeline: &Pipeline, size: usize) -> Arc<Table3> {
    let mut table = sample(pipeline, size).table;
    print(&mut table, WRITTEN);
    Arc::new(table)
}

/// The same table, printed once more.
pub(super) fn printed_again(table: &Table3, numbers: Numbers) -> Arc<Table3> {
    let mut table = table.clone();
    print(&mut table, numbers);
    Arc::new(table)
}

/// Rounds all numbers as they are printed.
fn print(table: &mut Table3, numbers: Numbers) {
    for value in table.nodes_mut().iter_mut().flatten() {
        *value = numbers.round(*value);
    }
}
