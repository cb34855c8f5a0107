//! The shape of a table: where it turns back, and how steep it is.

use crate::lut::Table3;
use crate::maths::Rgb;
use serde::Serialize;

/// A tetrahedron counts as folded where its oriented volume is below this part of a straight one's. Clipped and
/// printed tables have flat tetrahedra, whose volume is 0 up to rounding (at most 1e-6 · grid steps).
const FOLDED: f64 = -1e-4;

/// How many folds are named.
const NAMED: usize = 3;

/// The six tetrahedra of a cell, as the order in which the axes are walked from its dark to its bright corner; the sign
/// is the orientation of that order.
const WALKS: [([usize; 3], f64); 6] =
    [([0, 1, 2], 1.0), ([0, 2, 1], -1.0), ([1, 0, 2], -1.0), ([1, 2, 0], 1.0), ([2, 0, 1], 1.0), ([2, 1, 0], -1.0)];

/// A place where the table turns back.
#[derive(Clone, Debug, Serialize)]
pub struct Fold {
    /// Input of the cell's dark corner.
    pub input: Rgb,
    /// Oriented volume, as a part of a straight cell's; below 0.
    pub volume: f64,
}

/// The shape of a table.
#[derive(Clone, Debug, Serialize)]
pub struct Shape {
    /// Cells in which the table turns back.
    pub folded_cells: usize,
    /// All cells.
    pub cells: usize,
    /// The worst of them.
    pub folds: Vec<Fold>,
    /// Largest step between neighbours: codes out for one code in.
    pub steepest: f64,
    /// Input of the node where that step begins.
    pub steepest_input: Rgb,
    /// Largest step between neighbours of the grey axis: codes out for one code in. Above about 3, a 10-bit signal shows
    /// bands (common practice, no source).
    pub steepest_grey: f64,
    /// Input where that step begins.
    pub steepest_grey_input: f64,
}

/// Looks at the shape of a table.
#[must_use]
pub fn shape(table: &Table3) -> Shape {
    let size = table.size();
    let last = (size - 1) as f64;
    let input = |r: usize, g: usize, b: usize| [r as f64 / last, g as f64 / last, b as f64 / last];
    let mut shape = Shape {
        folded_cells: 0,
        cells: (size - 1) * (size - 1) * (size - 1),
        folds: Vec::new(),
        steepest: 0.0,
        steepest_input: [0.0; 3],
        steepest_grey: 0.0,
        steepest_grey_input: 0.0,
    };
    for b in 0..size {
        for g in 0..size {
            for r in 0..size {
                let here = table.node(r, g, b);
                for (axis, at_end) in [r, g, b].map(|index| index + 1 == size).into_iter().enumerate() {
                    if at_end {
                        continue;
                    }
                    let [nr, ng, nb] = step([r, g, b], axis);
                    let steep = largest_difference(table.node(nr, ng, nb), here) * last;
                    if steep > shape.steepest {
                        (shape.steepest, shape.steepest_input) = (steep, input(r, g, b));
                    }
                }
                if r + 1 < size && g + 1 < size && b + 1 < size {
                    let volume = least_volume(table, [r, g, b]) * (last * last * last);
                    if volume < FOLDED {
                        shape.folded_cells += 1;
                        shape.folds.push(Fold { input: input(r, g, b), volume });
                        if shape.folds.len() > 64 {
                            keep_worst(&mut shape.folds);
                        }
                    }
                }
            }
        }
    }
    keep_worst(&mut shape.folds);
    for index in 0..size - 1 {
        let difference =
            largest_difference(table.node(index + 1, index + 1, index + 1), table.node(index, index, index));
        if difference * last > shape.steepest_grey {
            (shape.steepest_grey, shape.steepest_grey_input) = (difference * last, index as f64 / last);
        }
    }
    shape
}

fn keep_worst(folds: &mut Vec<Fold>) {
    folds.sort_by(|a, b| a.volume.total_cmp(&b.volume));
    folds.truncate(NAMED);
}

fn step(mut index: [usize; 3], axis: usize) -> [usize; 3] {
    index[axis] += 1;
    index
}

fn largest_difference(a: Rgb, b: Rgb) -> f64 {
    (a[0] - b[0]).abs().max((a[1] - b[1]).abs()).max((a[2] - b[2]).abs())
}

/// The least oriented volume of a cell's six tetrahedra, in units of the input: 1/(size−1)³ for an identity.
fn least_volume(table: &Table3, index: [usize; 3]) -> f64 {
    let at = |[r, g, b]: [usize; 3]| table.node(r, g, b);
    let mut least = f64::INFINITY;
    for (walk, orientation) in WALKS {
        let first = step(index, walk[0]);
        let second = step(first, walk[1]);
        let third = step(second, walk[2]);
        let corners = [at(index), at(first), at(second), at(third)];
        let edge = |i: usize| [0, 1, 2].map(|c| corners[i + 1][c] - corners[i][c]);
        least = least.min(orientation * determinant(edge(0), edge(1), edge(2)));
    }
    least
}

fn determinant(a: Rgb, b: Rgb, c: Rgb) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}
