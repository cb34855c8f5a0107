//! A few nodes of a large table: enough to read it at the places that are asked for.

use super::numbers::WRITTEN;
use crate::lut::{Domain, Interpolation, Table3};
use crate::maths::Rgb;
use crate::pipeline::{Pipeline, Row};
use std::collections::HashMap;

/// The corners of the cells that hold some inputs, in a table of a look as this program prints it.
pub(super) struct Sparse {
    size: usize,
    nodes: HashMap<[usize; 3], Rgb>,
}

impl Sparse {
    pub(super) fn of(pipeline: &Pipeline, size: usize, inputs: impl Iterator<Item = Rgb>, row: &mut Row) -> Self {
        let mut nodes: HashMap<[usize; 3], Rgb> =
            inputs.flat_map(|input| corners(cell(input, size).0)).map(|corner| (corner, [0.0; 3])).collect();
        let last = (size - 1) as f64;
        super::model::evaluate(pipeline, nodes.keys().map(|index| index.map(|step| step as f64 / last)), row);
        for (node, value) in nodes.values_mut().zip(row.pixels()) {
            *node = value.map(|channel| WRITTEN.round(channel));
        }
        Self { size, nodes }
    }

    /// As [`Table3::sample`] reads the whole table after `change` was done to its nodes. Not a number where a node is missing.
    pub(super) fn sample(&self, input: Rgb, interpolation: Interpolation, change: impl Fn(Rgb) -> Rgb) -> Rgb {
        let (below, fraction) = cell(input, self.size);
        let node = |index: [usize; 3]| change(self.nodes.get(&index).copied().unwrap_or([f64::NAN; 3]));
        between(below, fraction, node, interpolation)
    }
}

/// The lower corner of the cell that holds an input, and where in the cell it lies. Inputs outside 0..1 are held to it, and what
/// is not a number is 0, as a device does.
pub(super) fn cell(input: Rgb, size: usize) -> ([usize; 3], Rgb) {
    let last = size - 1;
    let places = input.map(|value| if value > 0.0 { value.min(1.0) * last as f64 } else { 0.0 });
    let below = places.map(|place| (place as usize).min(last - 1));
    (below, [0, 1, 2].map(|axis| places[axis] - below[axis] as f64))
}

/// What a device reads in a cell whose corners are given by a function.
pub(super) fn between(
    below: [usize; 3],
    fraction: Rgb,
    node: impl Fn([usize; 3]) -> Rgb,
    interpolation: Interpolation,
) -> Rgb {
    let nodes = corners(below).map(node).to_vec();
    Table3::new(2, Domain::UNIT, nodes).map_or([f64::NAN; 3], |cell| cell.sample(fraction, interpolation))
}

/// The corners of a cell, red fastest.
fn corners(below: [usize; 3]) -> [[usize; 3]; 8] {
    [0, 1, 2, 3, 4, 5, 6, 7].map(|corner: usize| [0, 1, 2].map(|axis| below[axis] + (corner >> axis & 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the whole table gives.
    #[test]
    fn a_cell_is_read_as_the_whole_table_is() {
        let size = 6;
        let node = |[r, g, b]: [usize; 3]| [(r * r) as f64, (g * b) as f64 + r as f64, (b * b * b) as f64 - g as f64];
        let nodes = (0..size * size * size).map(|index| node(super::super::grid::split(index, size))).collect();
        let table = Table3::new(size, Domain::UNIT, nodes).expect("six a side");
        for step in 0..200 {
            let input = [0.37, 0.71, 0.13].map(|part| (part * f64::from(step)).fract() * 1.2 - 0.1);
            for interpolation in Interpolation::ALL {
                let (below, fraction) = cell(input, size);
                let (found, expected) =
                    (between(below, fraction, node, interpolation), table.sample(input, interpolation));
                for channel in 0..3 {
                    assert!((found[channel] - expected[channel]).abs() < 1e-12, "{input:?}: {found:?}, {expected:?}");
                }
            }
        }
    }
}
