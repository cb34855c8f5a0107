//! The numbers of a table, before anything is assumed about them.

use crate::formats::cube::Tables;
use crate::lut::Table3;
use crate::maths::{CODE10_MAX, Rgb};
use crate::verify::Mapping;
use serde::Serialize;
use std::borrow::Cow;

/// A number this close to 0 or 1 is it: half of a sixth decimal.
const END: f64 = 5e-7;

/// A cell whose corners all lie within this is flat: a tenth of a 10-bit code.
const FLAT: f64 = 0.1 / CODE10_MAX;

/// The numbers of a table.
#[derive(Clone, Debug, Serialize)]
pub struct Values {
    /// How many numbers there are: three a row.
    pub count: usize,
    /// Least value of each channel.
    pub min: Rgb,
    /// Greatest value of each channel.
    pub max: Rgb,
    /// Share of the numbers below 0.
    pub share_below_0: f64,
    /// Share of the numbers at 0.
    pub share_at_0: f64,
    /// Share of the numbers at 1.
    pub share_at_1: f64,
    /// Share of the numbers above 1.
    pub share_above_1: f64,
    /// Share of the cells of a 3D table all of whose corners are the same colour.
    pub flat_cells: Option<f64>,
}

/// How smoothly a table goes, in 10-bit codes.
#[derive(Clone, Debug, Serialize)]
pub struct Smoothness {
    /// Largest step of the grey scale between neighbouring 10-bit codes of the input, in codes of the output. Above about 3,
    /// a 10-bit signal shows bands (common practice, no source).
    pub grey_step_codes: f64,
    /// 10-bit code of the input where it is.
    pub grey_step_at: f64,
    /// Largest bend of the grey scale at a node: by how many codes the middle one of three lies off the line between the
    /// others. A list of steps has no nodes: 33 points stand for them.
    pub grey_bend_codes: f64,
    /// 10-bit code of the input where it is.
    pub grey_bend_at: f64,
    /// Largest bend along any axis of a 3D table, and its node's input; `None` for other tables.
    pub bend: Option<Bend>,
}

/// A bend of a table at a node.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Bend {
    /// By how many 10-bit codes the node lies off the line between its neighbours.
    pub codes: f64,
    /// Input of the node.
    pub input: Rgb,
}

/// Points a side of the lattice at which a list of steps is looked at.
const LATTICE: usize = 33;

pub(super) fn values(mapping: &Mapping<'_>) -> Values {
    let rows = mapping.rows().map_or_else(|| Cow::Owned(lattice(mapping)), Cow::Borrowed);
    let count = 3 * rows.len();
    let share =
        |of: &dyn Fn(f64) -> bool| rows.iter().flatten().filter(|value| of(**value)).count() as f64 / count as f64;
    let fold = |of: fn(f64, f64) -> f64, start: f64| {
        rows.iter().fold([start; 3], |most, row| [0, 1, 2].map(|channel| of(most[channel], row[channel])))
    };
    Values {
        count,
        min: fold(f64::min, f64::INFINITY),
        max: fold(f64::max, f64::NEG_INFINITY),
        share_below_0: share(&|value| value < -END),
        share_at_0: share(&|value| value.abs() <= END),
        share_at_1: share(&|value| (value - 1.0).abs() <= END),
        share_above_1: share(&|value| value > 1.0 + END),
        flat_cells: mapping.tables().and_then(table).map(flat_cells),
    }
}

/// What a list of steps gives over a lattice of its input.
fn lattice(mapping: &Mapping<'_>) -> Vec<Rgb> {
    let axis = mapping.grey_inputs(LATTICE);
    let place =
        |node: usize| [axis[node % LATTICE][0], axis[node / LATTICE % LATTICE][1], axis[node / (LATTICE * LATTICE)][2]];
    (0..LATTICE * LATTICE * LATTICE).map(|node| mapping.apply(place(node))).collect()
}

/// The 3D table of a file, if there is one.
pub(super) fn table(tables: &Tables) -> Option<&Table3> {
    match tables {
        Tables::Three(table) | Tables::Shaped { table, .. } => Some(table),
        Tables::One(_) => None,
    }
}

fn flat_cells(table: &Table3) -> f64 {
    let cells = table.size() - 1;
    let mut flat = 0_usize;
    for [r, g, b] in (0..cells * cells * cells).map(|cell| [cell % cells, cell / cells % cells, cell / (cells * cells)])
    {
        let first = table.node(r, g, b);
        let same = |corner: usize| {
            let other = table.node(r + (corner & 1), g + (corner >> 1 & 1), b + (corner >> 2));
            (0..3).all(|channel| (other[channel] - first[channel]).abs() <= FLAT)
        };
        flat += usize::from((1..8).all(same));
    }
    flat as f64 / (cells * cells * cells) as f64
}

pub(super) fn smoothness(mapping: &Mapping<'_>) -> Smoothness {
    let (mut step, mut bend) = ((0.0, 0.0), (0.0, 0.0));
    let code = |code: u32| mapping.apply([f64::from(code) / CODE10_MAX; 3]);
    let mut last = code(0);
    for index in 1..=1023 {
        let here = code(index);
        let codes = largest_difference(here, last) * CODE10_MAX;
        if codes > step.0 {
            step = (codes, f64::from(index) - 1.0);
        }
        last = here;
    }
    let inputs = mapping.grey_inputs(mapping.points().unwrap_or(LATTICE));
    for triple in inputs.windows(3) {
        let codes = off_line([mapping.apply(triple[0]), mapping.apply(triple[1]), mapping.apply(triple[2])]);
        if codes > bend.0 {
            bend = (codes, triple[1][0] * CODE10_MAX);
        }
    }
    Smoothness {
        grey_step_codes: step.0,
        grey_step_at: step.1,
        grey_bend_codes: bend.0,
        grey_bend_at: bend.1,
        bend: mapping.tables().and_then(table).map(largest_bend),
    }
}

fn largest_bend(table: &Table3) -> Bend {
    let (size, domain) = (table.size(), table.domain());
    let mut most = Bend { codes: 0.0, input: domain.min };
    for index in (0..size * size * size).map(|node| [node % size, node / size % size, node / (size * size)]) {
        for axis in (0..3).filter(|axis| index[*axis] > 0 && index[*axis] + 1 < size) {
            let at = |place: usize| {
                let mut index = index;
                index[axis] = place;
                table.node(index[0], index[1], index[2])
            };
            let codes = off_line([at(index[axis] - 1), at(index[axis]), at(index[axis] + 1)]);
            if codes > most.codes {
                let input = [0, 1, 2]
                    .map(|i| domain.min[i] + (domain.max[i] - domain.min[i]) * index[i] as f64 / (size - 1) as f64);
                most = Bend { codes, input };
            }
        }
    }
    most
}

/// By how many 10-bit codes the middle lies off the line between the others, in the channel where it is most.
fn off_line([a, b, c]: [Rgb; 3]) -> f64 {
    (0..3).map(|i| (b[i] - (a[i] + c[i]) / 2.0).abs()).fold(0.0, f64::max) * CODE10_MAX
}

fn largest_difference(a: Rgb, b: Rgb) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).abs()).fold(0.0, f64::max)
}
