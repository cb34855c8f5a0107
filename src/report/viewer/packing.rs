//! A table and a curve as bytes of a page.

use crate::colour::encodings::Curve;
use crate::lut::Table3;
use miniz_oxide::deflate::compress_to_vec;

/// Points at which a curve stands in the page, codes 0 to 1. Between them straight lines: over all published curves, −6 to +6 stops, the
/// page's code for an exposed code is within a tenth of a 10-bit code of the formula's (tested; most within a hundredth). Where a curve's
/// printed constants leave a step, that step comes on top; the page does not round, where a formula rounds to whole codes.
pub const CURVE_POINTS: usize = 4096;

/// The highest code of 16 bits.
const CODE_MAX: f64 = 65_535.0;

/// How hard deflate tries, of 10.
const EFFORT: u8 = 9;

/// A table in 16-bit codes, and what its first and last code stand for: 0 and 1, or further out where a node is.
pub(super) struct Packed {
    pub(super) low: f64,
    pub(super) high: f64,
    /// Deflated, without a header.
    pub(super) bytes: Vec<u8>,
}

/// Packs a table: channel by channel its codes, red fastest, less what the three neighbours towards the origin, and theirs, foretell.
/// In a smooth table little is left, and deflate makes a third of it.
pub(super) fn packed(table: &Table3) -> Packed {
    let values = || table.nodes().iter().flatten().copied();
    let (low, high) = (values().fold(0.0, f64::min), values().fold(1.0, f64::max));
    let size = table.size();
    let (mut above, mut below) = (Vec::new(), Vec::new());
    for channel in 0..3 {
        let code = |node: &[f64; 3]| ((node[channel] - low) / (high - low) * CODE_MAX).round() as u16;
        let mut codes: Vec<u16> = table.nodes().iter().map(code).collect();
        for stride in [1, size, size * size] {
            // From the end, so that each is less its neighbour as it was.
            for node in (stride..codes.len()).rev().filter(|node| node / stride % size > 0) {
                codes[node] = codes[node].wrapping_sub(codes[node - stride]);
            }
        }
        for folded in codes.into_iter().map(folded) {
            let [high, low] = folded.to_be_bytes();
            above.push(high);
            below.push(low);
        }
    }
    above.append(&mut below);
    Packed { low, high, bytes: compress_to_vec(&above, EFFORT) }
}

/// A difference modulo 65 536 such that small ones of either sign are small: 0, −1, 1, −2, 2 become 0 to 4.
fn folded(difference: u16) -> u16 {
    let sign = if difference >= 0x8000 { 0xffff } else { 0 };
    (difference << 1) ^ sign
}

/// The codes within 0 to 1 in which the curve records the least and the most light: of most curves 0 and 1.
pub(super) fn ends(curve: &Curve) -> [f64; 2] {
    [0.0, 1.0].map(|code| curve.encode(curve.decode(code)).clamp(0.0, 1.0))
}

/// The light of a curve's codes as 32-bit floats, lowest byte first.
pub(super) fn curve(curve: &Curve) -> Vec<u8> {
    let last = (CURVE_POINTS - 1) as f64;
    (0..CURVE_POINTS).flat_map(|place| (curve.decode(place as f64 / last) as f32).to_le_bytes()).collect()
}
