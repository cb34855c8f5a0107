//! Any cube file as a grid: nodes, and the inputs at which they stand.

use super::input::Input;
use crate::formats::cube::Tables;
use crate::lut::{Domain, Interpolation, Table1, Table3};
use crate::maths::Rgb;
use crate::verify::Mapping;
use std::borrow::Cow;

/// Points a side that stand for a file whose tables have no grid of their own: enough to see a look, few enough to be quick.
const STAND_IN: usize = 17;

/// Ends of a domain this close to another's are the same: more than the rounding of six decimals, far less than a code.
const SAME_END: f64 = 2e-6;

/// Nodes of a file with their inputs, each axis as a part 0..1 of the file's domain.
pub(super) struct Grid<'a> {
    /// Points a side.
    pub(super) size: usize,
    /// Inputs of the nodes on each axis.
    axes: [Vec<f64>; 3],
    nodes: Cow<'a, [Rgb]>,
    domain: Domain,
    /// Whether this is the file's own grid, at equal steps.
    pub(super) regular: bool,
    /// What a reader should know about the file's form.
    pub(super) notes: Vec<String>,
}

impl<'a> Grid<'a> {
    pub(super) fn of(tables: &'a Tables) -> Self {
        let mut grid = match tables {
            Tables::Three(table) => Self::plain(table),
            Tables::One(table) => Self::separate(table),
            Tables::Shaped { shaper, table } => Self::shaped(shaper, table)
                .unwrap_or_else(|| Self::stand_in(&Mapping::new(tables, Interpolation::default()))),
        };
        grid.notes.extend(grid.domain_note());
        grid
    }

    fn plain(table: &'a Table3) -> Self {
        let axis = even(table.size());
        Self {
            size: table.size(),
            axes: [axis.clone(), axis.clone(), axis],
            nodes: Cow::Borrowed(table.nodes()),
            domain: *table.domain(),
            regular: true,
            notes: Vec::new(),
        }
    }

    /// Some rows of a 1D table on each axis, so that its nodes are the file's own numbers.
    fn separate(table: &Table1) -> Self {
        let rows = table.rows();
        let (last, size) = (rows.len() - 1, rows.len().min(STAND_IN));
        let chosen: Vec<usize> = (0..size).map(|step| step * last / (size - 1)).collect();
        let axis: Vec<f64> = chosen.iter().map(|row| *row as f64 / last as f64).collect();
        let node = |[r, g, b]: [usize; 3]| [rows[chosen[r]][0], rows[chosen[g]][1], rows[chosen[b]][2]];
        Self {
            size,
            axes: [axis.clone(), axis.clone(), axis],
            nodes: (0..size * size * size).map(|index| node(split(index, size))).collect(),
            domain: *table.domain(),
            regular: false,
            notes: vec!["a 1D table treats each channel alone: it can be no look that mixes channels".to_owned()],
        }
    }

    /// A 3D table behind a shaper: its nodes stand where the shaper gives their places. `None` where it doesn't rise, or
    /// does not reach all of them.
    fn shaped(shaper: &Table1, table: &'a Table3) -> Option<Self> {
        let Domain { min, max } = *table.domain();
        let axis = |channel: usize| -> Option<Vec<f64>> {
            let column: Vec<f64> = shaper.rows().iter().map(|row| row[channel]).collect();
            let place = |part: f64| min[channel] + (max[channel] - min[channel]) * part;
            even(table.size()).into_iter().map(|part| inverse(&column, place(part))).collect()
        };
        let axes = [axis(0)?, axis(1)?, axis(2)?];
        let steps = even(table.size());
        let regular = axes.iter().flatten().zip(steps.iter().cycle()).all(|(a, b)| (a - b).abs() < SAME_END);
        let note = if regular { "its shaper changes nothing" } else { "its 3D table stands behind a shaper" };
        Some(Self {
            size: table.size(),
            axes,
            nodes: Cow::Borrowed(table.nodes()),
            domain: *shaper.domain(),
            regular,
            notes: vec![note.to_owned()],
        })
    }

    /// What a file gives at equal steps, where its own nodes can't be used.
    fn stand_in(mapping: &Mapping<'_>) -> Self {
        let domain = *mapping.domain();
        let axis = even(STAND_IN);
        let input =
            |index: [usize; 3]| [0, 1, 2].map(|i| domain.min[i] + (domain.max[i] - domain.min[i]) * axis[index[i]]);
        let nodes =
            (0..STAND_IN * STAND_IN * STAND_IN).map(|index| mapping.apply(input(split(index, STAND_IN)))).collect();
        Self {
            size: STAND_IN,
            axes: [axis.clone(), axis.clone(), axis],
            nodes,
            domain,
            regular: false,
            notes: vec![
                "its shaper doesn't rise, or does not reach all of the 3D table, so only what it gives between \
                 its nodes was compared"
                    .to_owned(),
            ],
        }
    }

    pub(super) fn nodes(&self) -> &[Rgb] {
        &self.nodes
    }

    /// The input of a node, as a part of the file's domain.
    pub(super) fn place(&self, node: usize) -> Rgb {
        let [r, g, b] = split(node, self.size);
        [self.axes[0][r], self.axes[1][g], self.axes[2][b]]
    }

    /// Whether every node stands where a table of `size` points has one.
    pub(super) fn stands_on(&self, size: usize) -> bool {
        self.regular && (size - 1).is_multiple_of(self.size - 1)
    }

    /// What the axes may mean: parts of the look's own, re-levelled, or what the domain says where it is not just a scale.
    pub(super) fn inputs(&self) -> Vec<Input> {
        let Domain { min, max } = self.domain;
        let mut inputs = Input::LEVELS.to_vec();
        if !self.is_scaled_unit() {
            inputs.push(Input::Domain { min, max });
        }
        inputs
    }

    /// Whether the domain runs from 0 to one end for all channels: 0..1, or codes such as 0..1023.
    fn is_scaled_unit(&self) -> bool {
        let Domain { min, max } = self.domain;
        min == [0.0; 3] && max[0] == max[1] && max[1] == max[2]
    }

    fn domain_note(&self) -> Option<String> {
        let Domain { min, max } = self.domain;
        if self.domain == Domain::UNIT {
            return None;
        }
        let levels = [1.0, 1023.0].into_iter().find(|top| {
            (0..3).all(|i| {
                (min[i] - 64.0 / 1023.0 * top).abs() < SAME_END * top
                    && (max[i] - 940.0 / 1023.0 * top).abs() < SAME_END * top
            })
        });
        let means = match levels {
            Some(_) => ": legal levels, so that the table takes a signal of full scale",
            None if self.is_scaled_unit() => ": the same axis counted in other units",
            None => "",
        };
        let range = |i: usize| format!("{} to {}", min[i], max[i]);
        let ranges = if (1..3).all(|i| min[i] == min[0] && max[i] == max[0]) {
            range(0)
        } else {
            [0, 1, 2].map(range).join(", ")
        };
        Some(format!("its domain is {ranges}{means}"))
    }
}

/// Indices on the axes of a node, red fastest.
pub(super) fn split(node: usize, size: usize) -> [usize; 3] {
    [node % size, node / size % size, node / (size * size)]
}

/// `size` equal steps over 0..1.
fn even(size: usize) -> Vec<f64> {
    (0..size).map(|index| index as f64 / (size - 1) as f64).collect()
}

/// Where a column that rises has a value, as a part of its length; `None` where it doesn't rise there or never has it.
fn inverse(column: &[f64], value: f64) -> Option<f64> {
    let last = column.len() - 1;
    let (first, end) = (column[0], column[last]);
    // The ends are printed numbers as well, and may fall short of a node by their rounding.
    let value = if (value - first).abs() < SAME_END { first } else { value };
    let value = if (value - end).abs() < SAME_END { end } else { value };
    let above = column.partition_point(|entry| *entry < value);
    if column.windows(2).any(|pair| pair[1] < pair[0]) || above > last {
        return None;
    }
    if above == 0 {
        // Only the very first row: several rows of one value would leave the place open.
        return (column[0] == value && column[1] > value).then_some(0.0);
    }
    let (low, high) = (column[above - 1], column[above]);
    if above < last && column[above] == value && column[above + 1] == value {
        return None;
    }
    Some(((above - 1) as f64 + (value - low) / (high - low)) / last as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rising_column_is_read_backwards() {
        let column = [0.0, 0.1, 0.5, 1.0];
        for (value, expected) in [(0.0, 0.0), (0.05, 0.5 / 3.0), (0.3, 1.5 / 3.0), (1.0, 1.0), (1.000_001, 1.0)] {
            let place = inverse(&column, value).expect("a place");
            assert!((place - expected).abs() < 1e-12, "{value} at {place}, not {expected}");
        }
        assert_eq!(inverse(&column, 1.1), None);
        assert_eq!(inverse(&[0.0, 0.5, 0.4, 1.0], 0.2), None);
        assert_eq!(inverse(&[0.0, 0.0, 1.0], 0.0), None, "a flat start leaves the place open");
    }
}
