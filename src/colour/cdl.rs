//! The ASC CDL: ten numbers, and what they do to a pixel, with and without the clamp.
//!
//! Source: ASC CDL Transfer Functions and Interchange Syntax v1.2 (bibliography: asc-cdl). The form without a clamp is not part of
//! it; it is that of the Common LUT Format's `FwdNoClamp` (bibliography: clf).

use crate::maths::{Rgb, pow};

/// Luma weights of the saturation. [asc-cdl]
const LUMA: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// ASC CDL v1.2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cdl {
    /// Slope per channel, 0 or more.
    pub slope: [f64; 3],
    /// Offset per channel.
    pub offset: [f64; 3],
    /// Power per channel, above 0.
    pub power: [f64; 3],
    /// Saturation about luma, 0 or more.
    pub saturation: f64,
}

impl Cdl {
    /// No grade.
    pub const IDENTITY: Self = Self { slope: [1.0; 3], offset: [0.0; 3], power: [1.0; 3], saturation: 1.0 };

    /// Whether it gives the channels of a neutral different values.
    #[must_use]
    pub fn tints(&self) -> bool {
        [self.slope, self.offset, self.power].iter().any(|row| row[0] != row[1] || row[1] != row[2])
    }
}

/// The CDL's luma of a pixel.
#[must_use]
pub fn luma([r, g, b]: Rgb) -> f64 {
    LUMA[0] * r + LUMA[1] * g + LUMA[2] * b
}

/// The CDL's saturation alone, with no clamp.
#[must_use]
pub fn saturate(rgb: Rgb, saturation: f64) -> Rgb {
    let luma = luma(rgb);
    rgb.map(|value| luma + saturation * (value - luma))
}

/// The formula of v1.2: after slope and offset, and again after saturation, values are held to 0..1.
///
/// NaN stays NaN.
#[must_use]
pub fn apply_clamped(cdl: &Cdl, rgb: Rgb) -> Rgb {
    let graded = each(|i| pow((rgb[i] * cdl.slope[i] + cdl.offset[i]).clamp(0.0, 1.0), cdl.power[i]));
    saturate(graded, cdl.saturation).map(|value| value.clamp(0.0, 1.0))
}

/// The same with no clamp: negative values get no power.
#[must_use]
pub fn apply_free(cdl: &Cdl, rgb: Rgb) -> Rgb {
    let graded = each(|i| positive_pow(rgb[i] * cdl.slope[i] + cdl.offset[i], cdl.power[i]));
    saturate(graded, cdl.saturation)
}

/// The inverse of [`apply_clamped`], held to 0..1 as well: exact where nothing was clamped on the way there.
///
/// What a saturation of 0 took away can't come back: the pixel stays as it is. A slope of 0 leaves nothing to find: 0.
#[must_use]
pub fn undo_clamped(cdl: &Cdl, rgb: Rgb) -> Rgb {
    let graded = desaturate(rgb.map(|value| value.clamp(0.0, 1.0)), cdl.saturation);
    each(|i| {
        let powered = pow(graded[i].clamp(0.0, 1.0), 1.0 / cdl.power[i]);
        unslope(powered - cdl.offset[i], cdl.slope[i]).clamp(0.0, 1.0)
    })
}

/// The inverse of [`apply_free`], with the same two exceptions as [`undo_clamped`].
#[must_use]
pub fn undo_free(cdl: &Cdl, rgb: Rgb) -> Rgb {
    let graded = desaturate(rgb, cdl.saturation);
    each(|i| unslope(positive_pow(graded[i], 1.0 / cdl.power[i]) - cdl.offset[i], cdl.slope[i]))
}

fn each(of: impl Fn(usize) -> f64) -> Rgb {
    [of(0), of(1), of(2)]
}

fn positive_pow(value: f64, power: f64) -> f64 {
    if value < 0.0 { value } else { pow(value, power) }
}

fn desaturate(rgb: Rgb, saturation: f64) -> Rgb {
    if saturation == 0.0 {
        return rgb;
    }
    let luma = luma(rgb);
    rgb.map(|value| luma + (value - luma) / saturation)
}

fn unslope(value: f64, slope: f64) -> f64 {
    if slope == 0.0 { 0.0 } else { value / slope }
}

#[cfg(test)]
mod tests {
    use super::{Cdl, apply_clamped, apply_free, undo_clamped, undo_free};
    use crate::maths::Rgb;

    /// Rounding of a power and its inverse, of values around 1.
    const THERE_AND_BACK: f64 = 1e-12;

    const GRADE: Cdl =
        Cdl { slope: [0.9, 1.1, 0.8], offset: [0.02, -0.01, 0.05], power: [1.2, 0.9, 1.05], saturation: 0.8 };

    fn near(one: Rgb, other: Rgb) -> bool {
        (0..3).all(|i| (one[i] - other[i]).abs() <= THERE_AND_BACK)
    }

    #[test]
    fn the_way_back_finds_what_went_in_where_nothing_was_clamped() {
        for rgb in [[0.18, 0.2, 0.3], [0.7, 0.6, 0.5], [0.05, 0.4, 0.9]] {
            let clamped = undo_clamped(&GRADE, apply_clamped(&GRADE, rgb));
            assert!(near(clamped, rgb), "{rgb:?} came back as {clamped:?}");
        }
        for rgb in [[-0.4, 0.2, 3.0], [7.0, -0.6, 0.5]] {
            let free = undo_free(&GRADE, apply_free(&GRADE, rgb));
            // The power of larger values loses more digits.
            assert!((0..3).all(|i| (free[i] - rgb[i]).abs() <= 10.0 * THERE_AND_BACK), "{rgb:?} came back as {free:?}");
        }
    }

    #[test]
    fn what_is_gone_does_not_come_back_as_infinity() {
        let flat = Cdl { slope: [0.0; 3], saturation: 0.0, ..Cdl::IDENTITY };
        for undone in [undo_clamped(&flat, [0.5; 3]), undo_free(&flat, [0.5; 3])] {
            assert_eq!(undone, [0.0; 3]);
        }
    }
}
