//! Deterministic mathematics: every transcendental function that a LUT's bytes depend on.
//!
//! They come from the pinned `libm` crate, or over whole rows from [`rows`], never from `std`, whose results differ between platforms in the
//! last digit; a lint (`clippy.toml`) forbids the methods of `f64`. Square roots and the four operations are
//! exact in IEEE 754 and may be used anywhere.

pub mod rows;

/// Scene light as three linear components, or any other triple that travels through the pipeline.
pub type Rgb = [f64; 3];

/// Linear value of 18 % grey; stops are always counted from it.
pub const GREY: f64 = 0.18;

/// The highest code of a 10-bit signal.
pub const CODE10_MAX: f64 = 1023.0;

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base 2.
#[must_use]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}

/// Logarithm to base 10.
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// e to the power of `x`.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// 2 to the power of `x`.
#[must_use]
pub fn exp2(x: f64) -> f64 {
    libm::exp2(x)
}

/// 10 to the power of `x`.
#[must_use]
pub fn exp10(x: f64) -> f64 {
    libm::exp10(x)
}

/// `base` to the power of `exponent`.
#[must_use]
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// Cube root, with the sign of its argument.
#[must_use]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Sine of an angle in radians.
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Angle in radians of the point `(x, y)`, −π..π.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Length of the hypotenuse.
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// Stops from grey of a linear value: log2(x / 0.18). Minus infinity at 0, NaN below.
#[must_use]
pub fn stops_from_grey(linear: f64) -> f64 {
    log2(linear / GREY)
}

/// Linear value that lies `stops` stops from grey.
#[must_use]
pub fn linear_from_stops(stops: f64) -> f64 {
    GREY * exp2(stops)
}

/// A root is found to this distance, relative above 1: close to what f64 can tell apart.
const ROOT_TOLERANCE: f64 = 1e-12;

/// Steps after which the search for a root stops in any case; bisection alone would need 50.
const ROOT_STEPS: usize = 100;

/// The root between `low` and `high`, whose values have opposite signs: false position with Illinois's halving, and
/// bisection wherever that would leave the bracket.
pub(crate) fn root(function: impl Fn(f64) -> f64, low: (f64, f64), high: (f64, f64)) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut last = f64::NAN;
    let mut last_side = 0;
    for _ in 0..ROOT_STEPS {
        let mut place = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
        if !(place > low.0 && place < high.0) {
            place = (low.0 + high.0) / 2.0;
        }
        let value = function(place);
        if value == 0.0 || (place - last).abs() <= ROOT_TOLERANCE * (1.0 + place.abs()) {
            return place;
        }
        last = place;
        let side = if value < 0.0 { -1 } else { 1 };
        if value < 0.0 {
            low = (place, value);
            high.1 *= if side == last_side { 0.5 } else { 1.0 };
        } else {
            high = (place, value);
            low.1 *= if side == last_side { 0.5 } else { 1.0 };
        }
        last_side = side;
    }
    last
}
