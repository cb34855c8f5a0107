//! How a device reads between the nodes of a table.

use super::{Domain, Table1, Table3, Tables};
use crate::colour::canonical_name;
use crate::maths::Rgb;

/// How values between the nodes of a 3D table are found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Interpolation {
    /// From the four corners of one of six tetrahedra around the diagonal from black to white, which keeps greys
    /// grey (Kirk 2006, as colour-science cites it).
    #[default]
    Tetrahedral,
    /// From all eight corners of the cell, one axis after the other (Bourke, "Interpolation methods", as colour-science
    /// cites it).
    Trilinear,
}

impl Interpolation {
    /// Both, in the order of the reference page.
    pub const ALL: [Self; 2] = [Self::Tetrahedral, Self::Trilinear];

    /// Its name in recipes.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Tetrahedral => "tetrahedral",
            Self::Trilinear => "trilinear",
        }
    }

    /// The one of that name, compared as [`canonical_name`] does; `None` for any other.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let name = canonical_name(name);
        Self::ALL.into_iter().find(|interpolation| interpolation.id() == name)
    }
}

/// A place on one axis: the node below, the node above, and how far between them, 0..1.
#[derive(Clone, Copy)]
struct Position {
    below: usize,
    above: usize,
    fraction: f64,
}

/// A place this near to a node, as a part of its index, is the node: the input of node i is itself rounded, and i/49·49
/// is not always i. Four units in the last place; the value moves by no more than that.
const NODE_REACH: f64 = 4.0 * f64::EPSILON;

impl Position {
    /// Where `input` lies on an axis of `points` nodes from `min` to `max`. Outside it is held to the ends; what is
    /// not a number counts as `min`.
    fn on_axis(input: f64, min: f64, max: f64, points: usize) -> Self {
        let last = points - 1;
        let part = (input - min) / (max - min);
        // Comparisons, not `clamp`, so that NaN goes to the start.
        let part = if part > 0.0 { part } else { 0.0 };
        let part = if part < 1.0 { part } else { 1.0 };
        let place = part * last as f64;
        let nearest = place.round();
        let place = if (place - nearest).abs() <= nearest * NODE_REACH { nearest } else { place };
        let below = (place as usize).min(last);
        Self { below, above: (below + 1).min(last), fraction: place - below as f64 }
    }

    fn on_axes(input: Rgb, domain: &Domain, points: usize) -> [Self; 3] {
        [0, 1, 2].map(|axis| Self::on_axis(input[axis], domain.min[axis], domain.max[axis], points))
    }
}

/// The value `fraction` of the way from `a` to `b`.
fn between(a: Rgb, b: Rgb, fraction: f64) -> Rgb {
    [0, 1, 2].map(|channel| a[channel] + fraction * (b[channel] - a[channel]))
}

impl Table3 {
    /// The value at `input`, as a device with this interpolation gives it.
    ///
    /// Inputs outside the table's domain are held to it first, per channel; a NaN counts as the domain's minimum. At a
    /// node the result is the node itself, and a table of an affine function gives that function to within
    /// rounding.
    #[must_use]
    pub fn sample(&self, input: Rgb, interpolation: Interpolation) -> Rgb {
        between_nodes(input, self.domain(), self.size(), interpolation, |r, g, b| self.node(r, g, b))
    }
}

/// The value at `input` from nodes, however they are come by.
pub(super) fn between_nodes(
    input: Rgb,
    domain: &Domain,
    size: usize,
    interpolation: Interpolation,
    node: impl Fn(usize, usize, usize) -> Rgb,
) -> Rgb {
    let places = Position::on_axes(input, domain, size);
    match interpolation {
        Interpolation::Tetrahedral => tetrahedral(places, node),
        Interpolation::Trilinear => trilinear(places, node),
    }
}

/// From the low corner to the high one, along the axes in the order of their fractions, the largest first.
fn tetrahedral(places: [Position; 3], node: impl Fn(usize, usize, usize) -> Rgb) -> Rgb {
    let mut order = [0, 1, 2];
    // Stable: equal fractions keep the order of the axes. Either order gives the same value.
    order.sort_by(|&a, &b| places[b].fraction.total_cmp(&places[a].fraction));
    let mut corner = places.map(|place| place.below);
    let mut from = node(corner[0], corner[1], corner[2]);
    let mut value = from;
    for axis in order {
        corner[axis] = places[axis].above;
        let to = node(corner[0], corner[1], corner[2]);
        for channel in 0..3 {
            value[channel] += places[axis].fraction * (to[channel] - from[channel]);
        }
        from = to;
    }
    value
}

/// Along red, then green, then blue.
fn trilinear([red, green, blue]: [Position; 3], node: impl Fn(usize, usize, usize) -> Rgb) -> Rgb {
    let edge = |g, b| between(node(red.below, g, b), node(red.above, g, b), red.fraction);
    let face = |b| between(edge(green.below, b), edge(green.above, b), green.fraction);
    between(face(blue.below), face(blue.above), blue.fraction)
}

impl Table1 {
    /// The value at `input`: each channel from its own column, linear between the rows.
    ///
    /// Inputs outside the table's domain are held to it first; a NaN counts as the domain's minimum.
    #[must_use]
    pub fn sample(&self, input: Rgb) -> Rgb {
        let places = Position::on_axes(input, self.domain(), self.rows().len());
        [0, 1, 2].map(|channel| {
            let Position { below, above, fraction } = places[channel];
            let (a, b) = (self.rows()[below][channel], self.rows()[above][channel]);
            a + fraction * (b - a)
        })
    }
}

impl Tables {
    /// The value at `input`; inputs outside a table's domain are held to it. The interpolation is that of a 3D table.
    #[must_use]
    pub fn sample(&self, input: Rgb, interpolation: Interpolation) -> Rgb {
        match self {
            Self::One(table) => table.sample(input),
            Self::Three(table) => table.sample(input, interpolation),
            Self::Shaped { shaper, table } => table.sample(shaper.sample(input), interpolation),
        }
    }
}
