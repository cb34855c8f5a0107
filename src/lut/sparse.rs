//! A table of which only the nodes are worked out that something is read from.

use super::interpolate::between_nodes;
use super::sample::Grid;
use super::{Domain, Interpolation};
use crate::maths::Rgb;
use crate::pipeline::{Pipeline, Row};
use std::cell::RefCell;
use std::collections::HashMap;

/// What [`sample`](super::sample()) would make of a pipeline, for those who look at some thousand places of it: a table of 65 points has 274,625
/// nodes.
pub(crate) struct SparseTable<'a> {
    grid: Grid<'a>,
    known: RefCell<HashMap<[usize; 3], Rgb>>,
    row: RefCell<Row>,
}

impl<'a> SparseTable<'a> {
    /// A table of `size` points a side.
    pub(crate) fn new(pipeline: &'a Pipeline, size: usize) -> Self {
        Self { grid: Grid::new(pipeline, size), known: RefCell::default(), row: RefCell::default() }
    }

    /// The value at `input`, as [`Table3::sample`](super::Table3::sample) gives it of the whole table: to the last bit.
    pub(crate) fn sample(&self, input: Rgb, interpolation: Interpolation) -> Rgb {
        between_nodes(input, &Domain::UNIT, self.grid.size(), interpolation, |r, g, b| self.node([r, g, b]))
    }

    fn node(&self, place: [usize; 3]) -> Rgb {
        *self.known.borrow_mut().entry(place).or_insert_with(|| self.grid.node(&mut self.row.borrow_mut(), place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lut::sample;
    use crate::recipe;
    use std::path::Path;

    #[test]
    fn it_is_the_whole_table_to_the_last_bit() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/dusk-car-deck.toml");
        let loaded = recipe::load(&path, &[]).expect("an example is right");
        let (plan, _) = loaded.recipe.resolve().expect("it has a meaning");
        let (pipeline, _) = Pipeline::build(&plan).expect("it can be built");
        for size in [2, 17, 33] {
            let (whole, sparse) = (sample(&pipeline, size).table, SparseTable::new(&pipeline, size));
            for interpolation in Interpolation::ALL {
                for step in 0..500 {
                    // Steps that have nothing in common with the grid, and the grid's own; a little outside at both ends.
                    let place = f64::from(step) / 480.0 - 0.02;
                    for input in [
                        [place; 3],
                        [place, 1.0 - place, 0.3 + 0.5 * place],
                        [f64::NAN, place, f64::from(step % 17) / 16.0],
                    ] {
                        let (one, other) = (whole.sample(input, interpolation), sparse.sample(input, interpolation));
                        assert_eq!(one.map(f64::to_bits), other.map(f64::to_bits), "{size} points, {input:?}");
                    }
                }
            }
        }
    }
}
