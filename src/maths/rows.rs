//! Logarithm, exponential and power over whole rows, without branches.
//!
//! A compiler turns these loops into vector instructions of whatever width the target has; only +, −, ×, ÷ and moves of
//! bits are used and nothing is fused, so every width gives the same bits. The polynomials are those of fdlibm's `e_log.c`
//! and `e_exp.c` (bibliography: fdlibm). Over the whole range of a double, log2 is within 5e-16 and exp2 within 3e-16 of the
//! exact value, relative.

use std::f64::consts::{LN_2, LOG2_E};

/// 1.5 · 2^52: adding it rounds a small number to a whole one, which then stands in the lowest bits.
const ROUNDING_SHIFT: f64 = 6_755_399_441_055_744.0;
/// 2^52, whose bits are those of a double that holds a whole number in its lowest bits.
const WHOLE: f64 = 4_503_599_627_370_496.0;
const WHOLE_BITS: u64 = 0x4330_0000_0000_0000;
/// Exponents are stored with this added.
const EXPONENT_BIAS: u64 = 1023;
/// Moves the seam of the mantissa from 1..2 to √½..√2: bits of 1 less bits of √½.
const SEAM: u64 = 0x3FF0_0000_0000_0000 - 0x3FE6_A09E_667F_3BCD;
/// Powers of two of normal doubles.
const EXP2_LEAST: f64 = -1022.0;
const EXP2_MOST: f64 = 1023.0;

/// log2 of a positive normal number. Anything else gives a finite number without meaning, or infinity.
#[must_use]
#[inline(always)]
pub fn log2(x: f64) -> f64 {
    let bits = x.to_bits();
    let biased = bits.wrapping_add(SEAM) >> 52;
    let exponent = f64::from_bits(WHOLE_BITS | biased) - (WHOLE + EXPONENT_BIAS as f64);
    let mantissa = f64::from_bits(bits.wrapping_sub(biased.wrapping_sub(EXPONENT_BIAS) << 52));
    let s = (mantissa - 1.0) / (mantissa + 1.0);
    let z = s * s;
    // Lg1 to Lg7. [fdlibm]
    let high = z * (0.181_835_721_616_180_5 + z * (0.153_138_376_992_093_73 + z * 0.147_981_986_051_165_86));
    let r = z
        * (0.666_666_666_666_673_5
            + z * (0.399_999_999_994_094_2 + z * (0.285_714_287_436_623_9 + z * (0.222_221_984_321_497_84 + high))));
    exponent + s * (2.0 + r) * LOG2_E
}

/// 2 to the power of `x`, held to the range of normal doubles.
#[must_use]
#[inline(always)]
pub fn exp2(x: f64) -> f64 {
    let x = if x > EXP2_LEAST { x } else { EXP2_LEAST };
    let x = if x < EXP2_MOST { x } else { EXP2_MOST };
    let shifted = x + ROUNDING_SHIFT;
    let r = (x - (shifted - ROUNDING_SHIFT)) * LN_2;
    let t = r * r;
    // P1 to P5. [fdlibm]
    let high = t * (6.613_756_321_437_934e-5 + t * (-1.653_390_220_546_525_2e-6 + t * 4.138_136_797_057_238_5e-8));
    let c = r - t * (0.166_666_666_666_666_02 + t * (-2.777_777_777_701_559_3e-3 + high));
    let fraction = 1.0 - ((r * c) / (c - 2.0) - r);
    fraction * f64::from_bits(shifted.to_bits().wrapping_add(EXPONENT_BIAS) << 52)
}

/// `x` to the power of `exponent`, 0 for `x` at or below 0.
#[must_use]
#[inline(always)]
pub fn pow(x: f64, exponent: f64) -> f64 {
    let power = exp2(exponent * log2(x));
    if x > 0.0 { power } else { 0.0 }
}

/// Cube root with the sign of its argument.
#[must_use]
#[inline(always)]
pub fn cbrt(x: f64) -> f64 {
    pow(x.abs(), 1.0 / 3.0).copysign(x)
}

/// Raises a row to a power; values at or below 0 become 0.
#[multiversion::multiversion(targets("x86_64+avx2"))]
pub fn pow_row(row: &mut [f64], exponent: f64) {
    for value in row {
        *value = pow(*value, exponent);
    }
}

/// Cube roots of a row.
#[multiversion::multiversion(targets("x86_64+avx2"))]
pub fn cbrt_row(row: &mut [f64]) {
    for value in row {
        *value = cbrt(*value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Stated above; libm's own error of half a unit comes on top.
    const LOG2_ERROR: f64 = 6e-16;
    const EXP2_ERROR: f64 = 4e-16;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]

        #[test]
        fn logarithms_agree_with_libm(x in prop_oneof![f64::MIN_POSITIVE..f64::MAX, 1e-6..100.0, 0.5..2.0]) {
            let (own, reference) = (log2(x), libm::log2(x));
            prop_assert!((own - reference).abs() <= LOG2_ERROR * reference.abs().max(1e-300), "log2({x:e}): {own} instead of {reference}");
        }

        #[test]
        fn exponentials_agree_with_libm(x in prop_oneof![-1020.0..1020.0, -2.0..2.0]) {
            let (own, reference) = (exp2(x), libm::exp2(x));
            prop_assert!((own - reference).abs() <= EXP2_ERROR * reference, "exp2({x}): {own:e} instead of {reference:e}");
        }

        /// The error of the logarithm grows with the exponent that it is multiplied by.
        #[test]
        fn powers_agree_with_libm(x in 1e-12..1e4, exponent in 0.3..3.0) {
            let (own, reference) = (pow(x, exponent), libm::pow(x, exponent));
            let tolerance = EXP2_ERROR + LOG2_ERROR * (exponent * libm::log2(x)).abs();
            prop_assert!((own - reference).abs() <= tolerance * reference, "{x}^{exponent}: {own:e} instead of {reference:e}");
        }
    }

    /// Whatever instructions the machine has, a row is what its values are alone: no lane rounds in another way.
    #[test]
    fn rows_have_the_bits_of_single_values() {
        let values: Vec<f64> = (0..100_003).map(|step| f64::from(step) * 1.37e-5 - 0.01).collect();
        let alone = |of: &dyn Fn(f64) -> f64| -> Vec<u64> { values.iter().map(|value| of(*value).to_bits()).collect() };
        let bits = |row: Vec<f64>| -> Vec<u64> { row.into_iter().map(f64::to_bits).collect() };
        let mut row = values.clone();
        pow_row(&mut row, 1.0 / 2.4);
        assert_eq!(bits(row), alone(&|value| std::hint::black_box(pow(std::hint::black_box(value), 1.0 / 2.4))));
        let mut row = values.clone();
        cbrt_row(&mut row);
        assert_eq!(bits(row), alone(&|value| std::hint::black_box(cbrt(std::hint::black_box(value)))));
    }

    #[test]
    fn whole_powers_and_ends_are_exact() {
        for exponent in -1022..=1023 {
            let power = libm::ldexp(1.0, exponent);
            assert_eq!(log2(power), f64::from(exponent), "log2(2^{exponent})");
            assert_eq!(exp2(f64::from(exponent)), power, "2^{exponent}");
        }
        assert_eq!(pow(0.0, 0.4), 0.0);
        assert_eq!(pow(-1.0, 0.4), 0.0);
        assert_eq!(pow(1.0, 2.4), 1.0);
        assert_eq!(cbrt(-0.0), 0.0);
        assert!((cbrt(-27.0) + 3.0).abs() < 1e-14);
    }
}
