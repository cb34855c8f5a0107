//! A table made ready for frames: tetrahedral interpolation of 16-bit codes, without branches.
//!
//! The input code is split exactly: with n points a side, code · (n − 1) = 65535 · index + remainder, so that the index
//! is the node below and the remainder the weight. Sorting the three remainders picks the tetrahedron: from the lower
//! corner of the cell to the upper one, along the axis with the largest remainder first (common practice, no source).
//! Only the blend is in `f32`.

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
        let mut clamped = 0;
        for (pixel, result) in input.iter().zip(output) {
            let codes = self.blend([pixel[0], pixel[1], pixel[2]]);
            *result = *pixel;
            for channel in 0..3 {
                let code = codes[channel].max(0.0).min(CODE_MAX as f32);
                if COUNT {
                    clamped += u64::from(code != codes[channel]);
                }
                result[channel] = ((code + ROUNDING_BIAS).to_bits() >> FRACTION_BITS) as u16;
            }
        }
        clamped
    }

    /// The interpolated value, in codes.
    #[inline(always)]
    fn blend(&self, pixel: [u16; 3]) -> [f32; 4] {
        let strides = [1, self.size, self.size * self.size];
        let split = [0, 1, 2].map(|axis| split_code(pixel[axis], self.size - 1, strides[axis]));
        let corner = split[0].0 + split[1].0 + split[2].0;
        let [a, b, c] = split.map(|(_, key)| key);
        let (low, high) = (a.min(b), a.max(b));
        let (smallest, rest) = (low.min(c), low.max(c));
        let (middle, largest) = (high.min(rest), high.max(rest));
        let mask = (1 << STRIDE_BITS) - 1;
        let [w1, w2, w3] = [largest, middle, smallest].map(|key| key >> STRIDE_BITS);
        let first = corner + (largest & mask);
        let second = first + (middle & mask);
        let last = second + (smallest & mask);
        let vertices = [corner, first, second, last].map(|index| self.nodes[index as usize]);
        let weights =
            [CODE_MAX - w1, w1 - w2, w2 - w3, w3].map(|weight| weight as i32 as f32 * (1.0 / CODE_MAX as f32));
        let mut sum = [0.0; 4];
        for lane in 0..4 {
            sum[lane] = (vertices[0][lane] * weights[0] + vertices[1][lane] * weights[1])
                + (vertices[2][lane] * weights[2] + vertices[3][lane] * weights[3]);
        }
        sum
    }
}

/// The offset of the node below a code along an axis, and its key: the remainder above, the stride below.
#[inline(always)]
fn split_code(code: u16, cells: u32, stride: u32) -> (u32, u32) {
    let position = u32::from(code) * cells;
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
            for code in 0..=u16::MAX {
                let position = u32::from(code) * cells;
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
