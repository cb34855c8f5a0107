//! A table made ready for frames: tetrahedral interpolation of 16-bit codes, without branches.
//!
//! The input code is split exactly: with n points a side, code · (n − 1) = 65535 · index + remainder, so that the index
//! is the node below and the remainder the weight. Sorting the three remainders picks the tetrahedron: from the lower
//! corner of the cell to the upper one, along the axis with the largest remainder first (common practice, no source).
//! Only the blend is in `f32`.
//!
//! A row of pixels at a time goes through each step, so that a compiler turns the steps into vector instructions; every
//! width of them gives the same bits. The steps do without closures: those of `array::map` are not compiled into functions for
//! wider vectors, and are called instead, at eight times the cost.

use super::{Domain, Table3};

/// The highest code of a 16-bit sample.
const CODE_MAX: u32 = 65_535;

/// Bits of a sorting key that hold the stride of its axis; the remainder stands above them.
const STRIDE_BITS: u32 = 15;

/// The most points a side: the stride of blue, size², must fit its bits of the key.
pub const MAX_FAST_SIZE: usize = 181;

/// Nodes are held in codes, cut to steps of 1/128. That changes no rounding (a half is a whole number of steps), and
/// codes with their seven bits of fraction are exact in the 24 bits of an `f32`, so a code that hits a node
/// gives exactly the rounded node.
const STEPS_PER_CODE: f64 = 128.0;

/// Adding this to a code brings it to 2^16..2^17, where an `f32` has exactly seven bits of fraction; the half rounds.
const ROUNDING_BIAS: f32 = 65_536.5;

/// Bits of fraction below the code once the bias is added.
const FRACTION_BITS: u32 = 7;

/// The largest node, either way of 0: above it, an `f32` has no room for seven bits of fraction.
const NODE_LIMIT: f64 = 2.0;

/// A [`Table3`] over 0..1, made ready for 16-bit frames.
///
/// Agrees with [`Table3::sample`] to one 16-bit code (they differ only where the exact value lies within 0.04 code
/// of a half), and exactly on nodes.
pub struct FastTable {
    size: u32,
    /// Red fastest, with a fourth lane so that a node is one load, and with a slab of guard nodes after the last, which
    /// are only ever multiplied by zero.
    nodes: Vec<[f32; 4]>,
    leaves_codes: bool,
}

impl FastTable {
    /// The table made ready. `None` where the domain is not 0..1, there are more than [`MAX_FAST_SIZE`] points a
    /// side, or a node is not in −2..2: use [`Table3::sample`] there.
    #[must_use]
    pub fn new(table: &Table3) -> Option<Self> {
        let size = table.size();
        let fits = |value: &f64| (-NODE_LIMIT..=NODE_LIMIT).contains(value);
        if *table.domain() != Domain::UNIT || size > MAX_FAST_SIZE || !table.nodes().iter().flatten().all(fits) {
            return None;
        }
        let guard = size * size + size + 1;
        let mut nodes = Vec::with_capacity(table.nodes().len() + guard);
        nodes.extend(table.nodes().iter().map(|node| {
            let [r, g, b] = node.map(code_of_node);
            [r, g, b, 0.0]
        }));
        nodes.resize(nodes.len() + guard, [0.0; 4]);
        let leaves_codes = table.nodes().iter().flatten().any(|value| !(0.0..=1.0).contains(value));
        Some(Self { size: u32::try_from(size).ok()?, nodes, leaves_codes })
    }

    /// Applies the table to whole pixels of `CHANNELS` samples, of which the first three are R, G and B; the others
    /// are copied. Returns the number of results that had to be clamped to a code, which is 0 unless a node is
    /// outside 0..1.
    pub fn apply<const CHANNELS: usize>(&self, input: &[[u16; CHANNELS]], output: &mut [[u16; CHANNELS]]) -> u64 {
        const { assert!(CHANNELS >= 3, "a pixel has R, G and B") };
        if self.leaves_codes {
            self.apply_counting::<CHANNELS, true>(input, output)
        } else {
            self.apply_counting::<CHANNELS, false>(input, output)
        }
    }

    fn apply_counting<const CHANNELS: usize, const COUNT: bool>(
        &self,
        input: &[[u16; CHANNELS]],
        output: &mut [[u16; CHANNELS]],
    ) -> u64 {
        let mut row = Row::new();
        let mut clamped = 0;
        for (pixels, results) in input.chunks(ROW).zip(output.chunks_mut(ROW)) {
            for (index, pixel) in pixels.iter().enumerate() {
                for (codes, code) in row.codes.iter_mut().zip(pixel) {
                    codes[index] = u32::from(*code);
                }
            }
            blend_row(&self.nodes, self.size, &mut row);
            if COUNT {
                let blended = row.blended.iter().take(pixels.len()).flat_map(|lanes| &lanes[..3]);
                clamped += blended.filter(|code| !(0.0..=CODE_MAX as f32).contains(*code)).count() as u64;
            }
            for ((pixel, result), rounded) in pixels.iter().zip(results).zip(&row.rounded) {
                *result = *pixel;
                result[..3].copy_from_slice(&rounded[..3]);
            }
        }
        clamped
    }
}

/// Pixels that go through each step together: few enough for all steps to stay in the nearest memory.
const ROW: usize = 64;

/// Pixels on their way.
struct Row {
    /// The input, by axis.
    codes: [[u32; ROW]; 3],
    /// The corners of each pixel's tetrahedron, as places of nodes, and how much each counts.
    corners: [[u32; ROW]; 4],
    weights: [[f32; ROW]; 4],
    /// The interpolated values, in codes, and the same as codes; the fourth lane is the node's.
    blended: [[f32; 4]; ROW],
    rounded: [[u16; 4]; ROW],
}

impl Row {
    fn new() -> Self {
        Self {
            codes: [[0; ROW]; 3],
            corners: [[0; ROW]; 4],
            weights: [[0.0; ROW]; 4],
            blended: [[0.0; 4]; ROW],
            rounded: [[0; 4]; ROW],
        }
    }

    /// Codes → tetrahedra.
    #[inline(always)]
    fn find_corners(&mut self, size: u32) {
        let mask = (1 << STRIDE_BITS) - 1;
        for pixel in 0..ROW {
            let (red, a) = split_code(self.codes[0][pixel], size - 1, 1);
            let (green, b) = split_code(self.codes[1][pixel], size - 1, size);
            let (blue, c) = split_code(self.codes[2][pixel], size - 1, size * size);
            let corner = red + green + blue;
            let (low, high) = (a.min(b), a.max(b));
            let (smallest, rest) = (low.min(c), low.max(c));
            let (middle, largest) = (high.min(rest), high.max(rest));
            let first = corner + (largest & mask);
            let second = first + (middle & mask);
            let corners = [corner, first, second, second + (smallest & mask)];
            let (w1, w2, w3) = (largest >> STRIDE_BITS, middle >> STRIDE_BITS, smallest >> STRIDE_BITS);
            let weights = [CODE_MAX - w1, w1 - w2, w2 - w3, w3];
            for place in 0..4 {
                self.corners[place][pixel] = corners[place];
                self.weights[place][pixel] = weights[place] as i32 as f32 * (1.0 / CODE_MAX as f32);
            }
        }
    }

    /// Tetrahedra → values.
    #[inline(always)]
    fn blend(&mut self, nodes: &[[f32; 4]]) {
        for pixel in 0..ROW {
            let a = nodes[self.corners[0][pixel] as usize];
            let b = nodes[self.corners[1][pixel] as usize];
            let c = nodes[self.corners[2][pixel] as usize];
            let d = nodes[self.corners[3][pixel] as usize];
            let weights =
                [self.weights[0][pixel], self.weights[1][pixel], self.weights[2][pixel], self.weights[3][pixel]];
            for lane in 0..4 {
                self.blended[pixel][lane] =
                    (a[lane] * weights[0] + b[lane] * weights[1]) + (c[lane] * weights[2] + d[lane] * weights[3]);
            }
        }
    }

    /// Values → codes.
    #[inline(always)]
    fn round(&mut self) {
        for (value, code) in self.blended.as_flattened().iter().zip(self.rounded.as_flattened_mut()) {
            let held = if *value > 0.0 { *value } else { 0.0 };
            let held = if held < CODE_MAX as f32 { held } else { CODE_MAX as f32 };
            *code = ((held + ROUNDING_BIAS).to_bits() >> FRACTION_BITS) as u16;
        }
    }
}

#[multiversion::multiversion(targets("x86_64+avx2"))]
fn blend_row(nodes: &[[f32; 4]], size: u32, row: &mut Row) {
    row.find_corners(size);
    row.blend(nodes);
    row.round();
}

/// The offset of the node below a code along an axis, and its key: the remainder above, the stride below.
#[inline(always)]
fn split_code(code: u32, cells: u32, stride: u32) -> (u32, u32) {
    let position = code * cells;
    // The quotient by 65535 = 2^16 − 1, exact for every position that a table can give (tested for all of them).
    let index = (position + 1 + (position >> 16)) >> 16;
    let remainder = position - index * CODE_MAX;
    (index * stride, remainder << STRIDE_BITS | stride)
}

fn code_of_node(value: f64) -> f32 {
    ((value * f64::from(CODE_MAX) * STEPS_PER_CODE).floor() / STEPS_PER_CODE) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The method's own definition; every size that a recipe may ask for, and the largest.
    #[test]
    fn every_code_is_split_exactly() {
        for cells in (1..=128).chain([MAX_FAST_SIZE as u32 - 1]) {
            for code in 0..=CODE_MAX {
                let position = code * cells;
                let (index, key) = split_code(code, cells, 1);
                assert_eq!(index, position / CODE_MAX, "code {code} in {cells} cells");
                assert_eq!(key >> STRIDE_BITS, position % CODE_MAX, "code {code} in {cells} cells");
            }
        }
    }

    #[test]
    fn the_largest_size_fits_its_key() {
        const { assert!(MAX_FAST_SIZE * MAX_FAST_SIZE < 1 << STRIDE_BITS) };
        const { assert!((MAX_FAST_SIZE + 1) * (MAX_FAST_SIZE + 1) >= 1 << STRIDE_BITS, "the limit is needlessly low") };
        assert!(CODE_MAX.checked_shl(STRIDE_BITS).is_some_and(|key| key >> STRIDE_BITS == CODE_MAX));
    }

    #[test]
    fn a_full_weight_is_exactly_one() {
        assert_eq!(CODE_MAX as f32 * (1.0 / CODE_MAX as f32), 1.0);
    }

    /// Every 16-bit code that a node can hold, and the points just beside the half-way ones.
    #[test]
    fn nodes_round_to_the_nearest_code() {
        for code in 0..CODE_MAX {
            for fraction in [0.0, 0.499_999, 0.5, 0.500_001] {
                let value = (f64::from(code) + fraction) / f64::from(CODE_MAX);
                let table = Table3::new(2, Domain::UNIT, vec![[value; 3]; 8]).expect("eight nodes");
                let expected = (value * f64::from(CODE_MAX) + 0.5).floor() as u16;
                let mut result = [[0; 3]];
                FastTable::new(&table).expect("a unit domain").apply(&[[0, u16::MAX, 0]], &mut result);
                assert_eq!(result[0], [expected; 3], "a node at code {code} + {fraction}");
            }
        }
    }
}
