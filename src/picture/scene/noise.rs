//! Noise for textures, and the fixed sequences of sample points: the same numbers on every machine.

use super::vector::floor;

/// A number of 0..1 for a point of a grid.
fn lattice(x: i64, y: i64, z: i64) -> f64 {
    let mut bits = (x as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (y as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
        ^ (z as u64).wrapping_mul(0x1656_67B1_9E37_79F9);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((bits ^ (bits >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Smooth noise of 0..1 in space, one wave to a unit or so.
pub(super) fn noise(x: f64, y: f64, z: f64) -> f64 {
    let [i, j, k] = [floor(x), floor(y), floor(z)];
    let [u, v, w] = [x - i as f64, y - j as f64, z - k as f64].map(|share| share * share * (3.0 - 2.0 * share));
    let mix = |from: f64, to: f64, share: f64| from + (to - from) * share;
    let row = |dj: i64, dk: i64| mix(lattice(i, j + dj, k + dk), lattice(i + 1, j + dj, k + dk), u);
    mix(mix(row(0, 0), row(1, 0), v), mix(row(0, 1), row(1, 1), v), w)
}

/// Noise of several octaves, 0..1.
pub(super) fn cloudy(x: f64, y: f64, z: f64, octaves: usize) -> f64 {
    let (mut sum, mut weight, mut scale, mut total) = (0.0, 0.5, 1.0, 0.0);
    for octave in 0..octaves {
        let away = octave as f64 * 17.3;
        sum += weight * noise(x * scale + away, y * scale - away, z * scale + away);
        total += weight;
        weight *= 0.5;
        scale *= 2.03;
    }
    sum / total
}

/// The n-th point of an even sequence in the unit square. Source: Roberts (2018), the R2 sequence: powers of the
/// reciprocal of the real root of x³ = x + 1 (from memory).
pub(super) fn square_point(index: usize) -> [f64; 2] {
    let place = index as f64;
    let fraction = |step: f64| {
        let value = 0.5 + place * step;
        value - value.floor()
    };
    [fraction(0.754_877_666_246_692_8), fraction(0.569_840_290_998_053_3)]
}

/// Which of sixteen sets of sample points a place uses: each set once in every square of 4 × 4 places, so that their mean
/// is that of all sets, wherever the square lies.
pub(super) fn pattern(x: usize, y: usize) -> usize {
    const ORDER: [usize; 16] = [0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5];
    ORDER[(y & 3) * 4 + (x & 3)]
}

/// The same for 64 sets and squares of 8 × 8 places.
pub(super) fn wide_pattern(x: usize, y: usize) -> usize {
    const ORDER: [usize; 4] = [0, 2, 3, 1];
    pattern(x, y) * 4 + ORDER[((y >> 2) & 1) * 2 + ((x >> 2) & 1)]
}
