//! The shape of a table: where it turns back, and how steep it is.
//!
//! Most looks fold somewhere in colours that no camera records: where bright saturated light goes towards white, or a very
//! saturated colour into the display's gamut, a little more of a channel gives less of the picture. That is the look, not
//! the table. So folds among the colours that pictures hold are counted apart, and each is looked at in the exact look too.

use crate::lut::Table3;
use crate::maths::Rgb;
use serde::Serialize;

/// A tetrahedron counts as folded where its oriented volume is below this part of a straight one's. Clipped and
/// printed tables have flat tetrahedra, whose volume is 0 up to rounding (at most 1e-6 · grid steps).
const FOLDED: f64 = -1e-4;

/// How many folded cells of a kind are looked at in the exact look.
const LOOKED_AT: usize = 512;

/// Parts an axis in which the exact look is looked at within a cell.
const PARTS: usize = 2;

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

/// Folded cells that were looked at more closely: whether the exact look folds there too.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct FoldsOfLook {
    /// Cells among the colours that pictures hold that were looked at.
    pub picture_looked_at: usize,
    /// Those of them in which the exact look folds.
    pub picture_look_folds: usize,
    /// Cells outside that were looked at.
    pub far_looked_at: usize,
    /// Those of them in which the exact look folds.
    pub far_look_folds: usize,
}

/// The shape of a table.
#[derive(Clone, Debug, Serialize)]
pub struct Shape {
    /// Cells in which the table turns back.
    pub folded_cells: usize,
    /// All cells.
    pub cells: usize,
    /// The worst of the folded ones.
    pub folds: Vec<Fold>,
    /// Folded cells among the colours that pictures hold.
    pub picture_folds: usize,
    /// All cells among those colours.
    pub picture_cells: usize,
    /// The worst of the folded ones among them.
    pub picture_folds_named: Vec<Fold>,
    /// In how many of the folded cells that were looked at the exact look folds too; absent where there is no exact look.
    pub folds_of_look: Option<FoldsOfLook>,
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

/// Looks at the shape of a table. `held` says of an input whether pictures hold it.
#[must_use]
pub fn shape(table: &Table3, held: impl Fn(Rgb) -> bool) -> Shape {
    folds(table, held).0
}

/// The same, and of the folds whether `look`, the exact function that was sampled, folds there too.
pub(super) fn shape_of_look(table: &Table3, held: impl Fn(Rgb) -> bool, look: impl Fn(Rgb) -> Rgb) -> Shape {
    let (mut shape, [picture, far]) = folds(table, held);
    let looks = |folded: &Thinned| folded.cells.iter().filter(|cell| look_folds(table, **cell, &look)).count();
    shape.folds_of_look = Some(FoldsOfLook {
        picture_looked_at: picture.cells.len(),
        picture_look_folds: looks(&picture),
        far_looked_at: far.cells.len(),
        far_look_folds: looks(&far),
    });
    shape
}

/// Cells of a kind, evenly thinned out to at most [`LOOKED_AT`].
#[derive(Default)]
struct Thinned {
    cells: Vec<[usize; 3]>,
    seen: usize,
    every: usize,
}

impl Thinned {
    fn push(&mut self, cell: [usize; 3]) {
        self.every = self.every.max(1);
        if self.seen.is_multiple_of(self.every) {
            self.cells.push(cell);
        }
        self.seen += 1;
        if self.cells.len() > LOOKED_AT {
            let mut place = 0;
            self.cells.retain(|_| {
                place += 1;
                place % 2 == 1
            });
            self.every *= 2;
        }
    }
}

/// Input at a place on the axes, counted in nodes.
fn input_at(table: &Table3, place: [f64; 3]) -> Rgb {
    let (domain, last) = (table.domain(), (table.size() - 1) as f64);
    [0, 1, 2].map(|axis| domain.min[axis] + (domain.max[axis] - domain.min[axis]) * (place[axis] / last))
}

fn folds(table: &Table3, held: impl Fn(Rgb) -> bool) -> (Shape, [Thinned; 2]) {
    let cells = table.size() - 1;
    let last = cells as f64;
    let mut shape = steepness(table);
    let (mut picture, mut far) = (Thinned::default(), Thinned::default());
    for index in (0..cells * cells * cells).map(|cell| [cell % cells, cell / cells % cells, cell / (cells * cells)]) {
        let is_held = held(input_at(table, index.map(|place| place as f64 + 0.5)));
        shape.picture_cells += usize::from(is_held);
        let at = |[r, g, b]: [usize; 3]| table.node(index[0] + r, index[1] + g, index[2] + b);
        let volume = least_volume(at) * (last * last * last);
        if volume >= FOLDED {
            continue;
        }
        let fold = || Fold { input: input_at(table, index.map(|place| place as f64)), volume };
        shape.folded_cells += 1;
        push_worst(&mut shape.folds, fold());
        if is_held {
            shape.picture_folds += 1;
            push_worst(&mut shape.picture_folds_named, fold());
            picture.push(index);
        } else {
            far.push(index);
        }
    }
    keep_worst(&mut shape.folds);
    keep_worst(&mut shape.picture_folds_named);
    (shape, [picture, far])
}

/// Whether a function folds anywhere in a cell, looked at in [`PARTS`] parts an axis.
fn look_folds(table: &Table3, cell: [usize; 3], look: impl Fn(Rgb) -> Rgb) -> bool {
    let side = PARTS + 1;
    let scale = ((table.size() - 1) * PARTS) as f64;
    let mut values = Vec::with_capacity(side * side * side);
    for place in 0..side * side * side {
        let part = [place % side, place / side % side, place / (side * side)];
        values.push(look(input_at(table, [0, 1, 2].map(|i| cell[i] as f64 + part[i] as f64 / PARTS as f64))));
    }
    (0..PARTS * PARTS * PARTS).any(|part| {
        let from = [part % PARTS, part / PARTS % PARTS, part / (PARTS * PARTS)];
        let at = |[r, g, b]: [usize; 3]| values[from[0] + r + side * (from[1] + g + side * (from[2] + b))];
        least_volume(at) * (scale * scale * scale) < FOLDED
    })
}

fn steepness(table: &Table3) -> Shape {
    let size = table.size();
    let last = (size - 1) as f64;
    let mut shape = Shape {
        folded_cells: 0,
        cells: (size - 1) * (size - 1) * (size - 1),
        folds: Vec::new(),
        picture_folds: 0,
        picture_cells: 0,
        picture_folds_named: Vec::new(),
        folds_of_look: None,
        steepest: 0.0,
        steepest_input: [0.0; 3],
        steepest_grey: 0.0,
        steepest_grey_input: 0.0,
    };
    for index in (0..size * size * size).map(|node| [node % size, node / size % size, node / (size * size)]) {
        let here = table.node(index[0], index[1], index[2]);
        for axis in (0..3).filter(|axis| index[*axis] + 1 < size) {
            let [r, g, b] = step(index, axis);
            let steep = largest_difference(table.node(r, g, b), here) * last;
            if steep > shape.steepest {
                (shape.steepest, shape.steepest_input) = (steep, input_at(table, index.map(|place| place as f64)));
            }
        }
    }
    for index in 0..size - 1 {
        let steep =
            largest_difference(table.node(index + 1, index + 1, index + 1), table.node(index, index, index)) * last;
        if steep > shape.steepest_grey {
            (shape.steepest_grey, shape.steepest_grey_input) = (steep, input_at(table, [index as f64; 3])[0]);
        }
    }
    shape
}

/// Adds a fold, and now and then forgets those that are not among the worst.
fn push_worst(folds: &mut Vec<Fold>, fold: Fold) {
    folds.push(fold);
    if folds.len() > 64 {
        keep_worst(folds);
    }
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

/// The least oriented volume of a cell's six tetrahedra, in units of the input: 1/(size−1)³ for an identity. `at` gives the
/// corners, each axis 0 or 1.
fn least_volume(at: impl Fn([usize; 3]) -> Rgb) -> f64 {
    let mut least = f64::INFINITY;
    for (walk, orientation) in WALKS {
        let first = step([0; 3], walk[0]);
        let second = step(first, walk[1]);
        let corners = [at([0; 3]), at(first), at(second), at([1; 3])];
        let edge = |i: usize| [0, 1, 2].map(|c| corners[i + 1][c] - corners[i][c]);
        least = least.min(orientation * determinant(edge(0), edge(1), edge(2)));
    }
    least
}

fn determinant(a: Rgb, b: Rgb, c: Rgb) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lut::Domain;

    fn table(size: usize, of: impl Fn(Rgb) -> Rgb) -> Table3 {
        let last = (size - 1) as f64;
        let nodes = (0..size * size * size)
            .map(|node| of([node % size, node / size % size, node / (size * size)].map(|index| index as f64 / last)))
            .collect();
        Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes")
    }

    #[test]
    fn straight_flat_and_clipped_tables_have_no_folds() {
        for (name, of) in [
            ("identity", (|rgb| rgb) as fn(Rgb) -> Rgb),
            ("flat", |_| [0.5; 3]),
            ("clipped", |rgb| rgb.map(|v| (3.0 * v - 1.0).clamp(0.0, 1.0))),
            ("rounded grey", |rgb| [((rgb[0] + rgb[1] + rgb[2]) * 333_333.0).round() / 1e6; 3]),
        ] {
            for size in [2, 5, 17, 33] {
                assert_eq!(shape(&table(size, of), |_| true).folded_cells, 0, "{name}, {size} points");
            }
        }
    }

    /// Constructed: red turns back over the upper half of its axis, so half of the cells fold, each by the slope −1.
    #[test]
    fn known_folds_are_counted_and_placed() {
        let of = |[r, g, b]: Rgb| [if r <= 0.5 { r } else { 1.0 - r }, g, b];
        let found = shape_of_look(&table(9, of), |rgb| rgb[1] < 0.5, of);
        assert_eq!((found.cells, found.folded_cells), (512, 256));
        assert_eq!((found.picture_cells, found.picture_folds), (256, 128));
        for fold in found.folds.iter().chain(&found.picture_folds_named) {
            assert!(fold.input[0] >= 0.5 && (fold.volume + 1.0).abs() < 1e-12, "{fold:?}");
        }
        let looks = found.folds_of_look.expect("a look was given");
        assert_eq!((looks.picture_looked_at, looks.picture_look_folds), (128, 128));
        assert_eq!((looks.far_looked_at, looks.far_look_folds), (128, 128));
        // The same table held against a straight look: none of the folds is the look's.
        let looks = shape_of_look(&table(9, of), |_| true, |rgb| rgb).folds_of_look.expect("a look was given");
        assert_eq!((looks.picture_looked_at, looks.picture_look_folds), (256, 0));
    }

    #[test]
    fn one_wrong_node_folds_the_cells_around_it() {
        let mut straight = table(9, |rgb| rgb);
        let place = 4 + 9 * (4 + 9 * 4);
        straight.nodes_mut()[place] = [0.8, 0.5, 0.5];
        let found = shape(&straight, |_| true);
        // It passes its neighbour on the red axis: up to the eight cells that share it.
        assert!((1..=8).contains(&found.folded_cells), "{}", found.folded_cells);
        assert!((found.steepest - 8.0 * (0.8 - 0.375)).abs() < 1e-12, "{}", found.steepest);
    }

    #[test]
    fn many_folds_are_thinned_out_evenly() {
        let mut thinned = Thinned::default();
        for cell in 0..10_000 {
            thinned.push([cell, 0, 0]);
        }
        assert!(thinned.cells.len() <= LOOKED_AT && thinned.cells.len() > LOOKED_AT / 3, "{}", thinned.cells.len());
        let gaps: Vec<usize> = thinned.cells.windows(2).map(|pair| pair[1][0] - pair[0][0]).collect();
        assert!(gaps.iter().all(|gap| *gap == thinned.every), "{gaps:?}");
    }
}
