//! What a process list does to a value, step by step, in 64-bit floating point.
//!
//! The equations are those of the specification as it prints them (bibliography: clf). Where it leaves an edge open, this is done:
//!
//! - `MAX(a, b)` and `MIN(a, b)` are comparisons as printed, which give `b` where they fail. So a value that is not a number (NaN)
//!   becomes `FLT_MIN` before a logarithm, and passes through `Range`, `Exponent` and the clamps of `ASC_CDL` unchanged.
//! - Inputs of a table outside 0..1 are held to it, and NaN counts as 0. With `halfDomain`, finite inputs beyond the largest half
//!   float are held to it, an infinity reads the row of that infinity, NaN that of a quiet NaN.
//! - `monCurve` with an exponent of 1 or an offset of 0 divides by zero; what is done is the limit: for an exponent of 1 a straight line
//!   of slope 1/(1 + offset), for an offset of 0 the power law with 0 below 0.
//! - The inverse of a CDL with saturation 0 does not exist, and gives the luma here; that with slope 0 divides by zero. The reader
//!   refuses both.

use super::model::{
    CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Operation,
    ProcessList, Range,
};
use crate::maths::{Rgb, exp2, exp10, ln, log2, log10, pow};
use crate::plan::Cdl;

impl ProcessList {
    /// What the list makes of a value: all steps, first to last. Numbers are on the floating-point scale.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        self.nodes.iter().fold(rgb, |rgb, node| node.operation.apply(rgb))
    }
}

impl Operation {
    /// What the step makes of a value.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        match self {
            Self::Lut1(table) => table.apply(rgb),
            Self::Lut3(table) => table.apply(rgb),
            Self::Matrix(matrix) => matrix.apply(rgb),
            Self::Range(range) => range.apply(rgb),
            Self::Log(log) => log.apply(rgb),
            Self::Exponent(exponent) => exponent.apply(rgb),
            Self::Cdl(style, cdl) => style.apply(cdl, rgb),
        }
    }
}

/// `a` if it is above `b`, else `b`, as the specification defines MAX.
fn max(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// `a` if it is below `b`, else `b`, as the specification defines MIN.
fn min(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// A function of each channel and its index.
fn each(rgb: Rgb, function: impl Fn(usize, f64) -> f64) -> Rgb {
    [0, 1, 2].map(|channel| function(channel, rgb[channel]))
}

/// The value `fraction` of the way from `a` to `b`. At the ends it is the end itself, even beside an infinity.
fn between(a: f64, b: f64, fraction: f64) -> f64 {
    if fraction == 0.0 { a } else { a + fraction * (b - a) }
}

impl Lut1 {
    /// Linear interpolation between the two rows around each channel. [clf, appendix A]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        let found = each(rgb, |channel, value| {
            let (below, above, fraction) =
                if self.half_domain { half_place(value) } else { unit_place(value, self.rows.len()) };
            let row = |index: usize| self.rows.get(index).map_or(f64::NAN, |row| row[channel]);
            between(row(below), row(above), fraction)
        });
        if self.hue_adjust { keep_hue(rgb, found) } else { found }
    }
}

/// The rows below and above a value of 0..1, and how far between them it is.
fn unit_place(value: f64, rows: usize) -> (usize, usize, f64) {
    let last = rows.saturating_sub(1);
    // Comparisons, not `clamp`, so that NaN goes to the start.
    let part = if value > 0.0 { value } else { 0.0 };
    let place = if part < 1.0 { part } else { 1.0 } * last as f64;
    let below = (place as usize).min(last);
    (below, (below + 1).min(last), place - below as f64)
}

/// Bits of the largest finite half float, 65504.
const HALF_MAX: usize = 0x7BFF;
/// Bits of infinity, of a quiet NaN, and of the sign.
const HALF_INFINITY: usize = 0x7C00;
const HALF_NAN: usize = 0x7E00;
const HALF_SIGN: usize = 0x8000;
/// The least normal half float, 2^-14, and the distance between the ones below it, 2^-24.
const HALF_NORMAL: f64 = 1.0 / 16_384.0;
const HALF_STEP: f64 = 1.0 / 16_777_216.0;

/// The half float of these bits.
pub(super) fn half_value(bits: u16) -> f64 {
    let (exponent, mantissa) = (i32::from(bits >> 10 & 0x1F), f64::from(bits & 0x3FF));
    let size = match exponent {
        0 => mantissa * HALF_STEP,
        31 if mantissa == 0.0 => f64::INFINITY,
        31 => f64::NAN,
        _ => libm::ldexp(1.0 + mantissa / 1024.0, exponent - 15),
    };
    if bits & 0x8000 == 0 { size } else { -size }
}

/// The rows of the half floats on the two sides of a value, towards zero and away from it, and how far between them it is.
fn half_place(value: f64) -> (usize, usize, f64) {
    if value.is_nan() {
        return (HALF_NAN, HALF_NAN, 0.0);
    }
    let sign = if value.is_sign_negative() { HALF_SIGN } else { 0 };
    let size = value.abs();
    if size.is_infinite() {
        return (sign | HALF_INFINITY, sign | HALF_INFINITY, 0.0);
    }
    if size >= half_value(HALF_MAX as u16) {
        return (sign | HALF_MAX, sign | HALF_MAX, 0.0);
    }
    let below = if size < HALF_NORMAL {
        (size / HALF_STEP) as u16
    } else {
        // Exponent and the ten highest bits of the mantissa, with the bias of half floats (15) instead of that of doubles (1023).
        ((size.to_bits() >> 42) - ((1023 - 15) << 10)) as u16
    };
    let (low, high) = (half_value(below), half_value(below + 1));
    let row = sign | usize::from(below);
    (row, row + 1, (size - low) / (high - low))
}

/// Moves the middle channel so that its place between the other two is what it was before the table ("dw3").
///
/// The specification's version 3 no longer has it; from memory of files that do, no source.
fn keep_hue(before: Rgb, after: Rgb) -> Rgb {
    let mut order = [0, 1, 2];
    order.sort_by(|&a, &b| before[a].total_cmp(&before[b]));
    let [least, middle, most] = order;
    let chroma = before[most] - before[least];
    // Of a grey, all channels are the least.
    let place = if chroma == 0.0 { 0.0 } else { (before[middle] - before[least]) / chroma };
    let mut moved = after;
    moved[middle] = place * (after[most] - after[least]) + after[least];
    moved
}

impl Lut3 {
    /// Trilinear or tetrahedral interpolation. [clf, appendix A]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        self.table.sample(rgb, self.interpolation)
    }
}

impl Matrix {
    /// r2 = r1·a11 + g1·a12 + b1·a13 + k1, and so on. [clf, Matrix]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        [0, 1, 2].map(|row| {
            let [a, b, c] = self.matrix[row];
            rgb[0] * a + rgb[1] * b + rgb[2] * c + self.offset[row]
        })
    }
}

impl Range {
    /// out = in·scale + minOutValue − minInValue·scale, clamped to minOutValue..maxOutValue unless told otherwise; with one pair of
    /// values, out = MAX(minOutValue, in) or MIN(maxOutValue, in). [clf, Range]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        each(rgb, |_, value| match (self.low, self.high) {
            (Some([min_in, min_out]), Some([max_in, max_out])) => {
                let scale = (max_out - min_out) / (max_in - min_in);
                let out = value * scale + min_out - min_in * scale;
                if self.clamp { min(max_out, max(min_out, out)) } else { out }
            }
            (Some([_, min_out]), None) => max(min_out, value),
            (None, Some([_, max_out])) => min(max_out, value),
            (None, None) => value,
        })
    }
}

/// The least argument of a logarithm, as printed. [clf, Log]
const FLT_MIN: f64 = 1.175494e-38;

impl Log {
    /// The equation of the style, per channel. [clf, Log]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        each(rgb, |channel, value| {
            let params = &self.params[channel];
            match self.style {
                LogStyle::Log10 => log10(max(value, FLT_MIN)),
                LogStyle::AntiLog10 => exp10(value),
                LogStyle::Log2 => log2(max(value, FLT_MIN)),
                LogStyle::AntiLog2 => exp2(value),
                LogStyle::LinToLog => params.encoded(value),
                LogStyle::LogToLin => params.decoded(value),
                LogStyle::CameraLinToLog => params.camera_encoded(value),
                LogStyle::CameraLogToLin => params.camera_decoded(value),
            }
        })
    }
}

impl LogParams {
    /// The defaults of the specification: log2 x. [clf, LogParams]
    pub const DEFAULT: Self = Self {
        base: 2.0,
        log_side_slope: 1.0,
        log_side_offset: 0.0,
        lin_side_slope: 1.0,
        lin_side_offset: 0.0,
        lin_side_break: None,
        linear_slope: None,
    };

    fn logarithm(&self, x: f64) -> f64 {
        if self.base == 2.0 {
            log2(x)
        } else if self.base == 10.0 {
            log10(x)
        } else {
            ln(x) / ln(self.base)
        }
    }

    fn power(&self, y: f64) -> f64 {
        if self.base == 2.0 {
            exp2(y)
        } else if self.base == 10.0 {
            exp10(y)
        } else {
            pow(self.base, y)
        }
    }

    /// y = logSideSlope · log_base(MAX(linSideSlope · x + linSideOffset, FLT_MIN)) + logSideOffset
    fn encoded(&self, x: f64) -> f64 {
        let argument = max(self.lin_side_slope * x + self.lin_side_offset, FLT_MIN);
        self.log_side_slope * self.logarithm(argument) + self.log_side_offset
    }

    /// x = (base^((y − logSideOffset) / logSideSlope) − linSideOffset) / linSideSlope
    fn decoded(&self, y: f64) -> f64 {
        let power = self.power((y - self.log_side_offset) / self.log_side_slope);
        (power - self.lin_side_offset) / self.lin_side_slope
    }

    /// logSideBreak, linearSlope and linearOffset for a break. [clf, "Solving for `LogParams`"]
    fn straight(&self, lin_side_break: f64) -> (f64, f64, f64) {
        let argument = self.lin_side_slope * lin_side_break + self.lin_side_offset;
        let log_side_break = self.log_side_slope * self.logarithm(argument) + self.log_side_offset;
        let slope = self
            .linear_slope
            .unwrap_or_else(|| self.log_side_slope * (self.lin_side_slope / (argument * ln(self.base))));
        (log_side_break, slope, log_side_break - slope * lin_side_break)
    }

    /// linearSlope · x + linearOffset up to linSideBreak, above as [`Self::encoded`]. Without a break there is no straight part.
    fn camera_encoded(&self, x: f64) -> f64 {
        match self.lin_side_break {
            Some(lin_side_break) if x <= lin_side_break => {
                let (_, slope, offset) = self.straight(lin_side_break);
                slope * x + offset
            }
            _ => self.encoded(x),
        }
    }

    /// (y − linearOffset) / linearSlope up to logSideBreak, above as [`Self::decoded`].
    fn camera_decoded(&self, y: f64) -> f64 {
        if let Some(lin_side_break) = self.lin_side_break {
            let (log_side_break, slope, offset) = self.straight(lin_side_break);
            if y <= log_side_break {
                return (y - offset) / slope;
            }
        }
        self.decoded(y)
    }
}

impl Exponent {
    /// The equation of the style, per channel. [clf, Exponent]
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        each(rgb, |channel, value| self.params[channel].apply(self.style, value))
    }
}

/// `function` of the size of a value, with the sign of the value.
fn mirrored(value: f64, function: impl Fn(f64) -> f64) -> f64 {
    if value >= 0.0 { function(value) } else { -function(-value) }
}

/// `function` of a value from 0 up; below, the value itself.
fn passed(value: f64, function: impl Fn(f64) -> f64) -> f64 {
    if value >= 0.0 { function(value) } else { value }
}

impl ExponentParams {
    fn apply(&self, style: ExponentStyle, value: f64) -> f64 {
        let g = self.exponent;
        match style {
            ExponentStyle::BasicFwd => pow(max(0.0, value), g),
            ExponentStyle::BasicRev => pow(max(0.0, value), 1.0 / g),
            ExponentStyle::BasicMirrorFwd => mirrored(value, |x| pow(x, g)),
            ExponentStyle::BasicMirrorRev => mirrored(value, |y| pow(y, 1.0 / g)),
            ExponentStyle::BasicPassThruFwd => passed(value, |x| pow(x, g)),
            ExponentStyle::BasicPassThruRev => passed(value, |y| pow(y, 1.0 / g)),
            ExponentStyle::MonCurveFwd => self.curve(value),
            ExponentStyle::MonCurveRev => self.uncurve(value),
            ExponentStyle::MonCurveMirrorFwd => mirrored(value, |x| self.curve(x)),
            ExponentStyle::MonCurveMirrorRev => mirrored(value, |y| self.uncurve(y)),
        }
    }

    /// ((x + k) / (1 + k))^g from xBreak = k / (g − 1) up, below x · s.
    fn curve(&self, x: f64) -> f64 {
        let Self { exponent: g, offset: k } = *self;
        if g == 1.0 {
            x / (1.0 + k)
        } else if x >= k / (g - 1.0) {
            pow((x + k) / (1.0 + k), g)
        } else if k == 0.0 {
            max(0.0, x)
        } else {
            x * self.slope()
        }
    }

    /// (1 + k) · y^(1/g) − k from yBreak = (k g / ((g − 1)(1 + k)))^g up, below y / s.
    fn uncurve(&self, y: f64) -> f64 {
        let Self { exponent: g, offset: k } = *self;
        if g == 1.0 {
            y * (1.0 + k)
        } else if y >= self.power_at_break() {
            (1.0 + k) * pow(y, 1.0 / g) - k
        } else if k == 0.0 {
            max(0.0, y)
        } else {
            y / self.slope()
        }
    }

    /// yBreak
    fn power_at_break(&self) -> f64 {
        let Self { exponent: g, offset: k } = *self;
        pow(k * g / ((g - 1.0) * (1.0 + k)), g)
    }

    /// s = ((g − 1) / k) · (k g / ((g − 1)(1 + k)))^g
    fn slope(&self) -> f64 {
        (self.exponent - 1.0) / self.offset * self.power_at_break()
    }
}

/// Luma weights. [clf, ASC_CDL]
const LUMA: [f64; 3] = [0.2126, 0.7152, 0.0722];

fn luma(rgb: Rgb) -> f64 {
    LUMA[0] * rgb[0] + LUMA[1] * rgb[1] + LUMA[2] * rgb[2]
}

/// Clamps to 0..1.
fn held(value: f64) -> f64 {
    min(1.0, max(0.0, value))
}

impl CdlStyle {
    /// What a CDL of this style makes of a value. [clf, ASC_CDL]
    #[must_use]
    pub fn apply(self, cdl: &Cdl, rgb: Rgb) -> Rgb {
        match self {
            Self::Fwd => forward(cdl, rgb, held, pow),
            Self::FwdNoClamp => forward(cdl, rgb, |value| value, signed_power),
            Self::Rev => reverse(cdl, rgb, held, pow),
            Self::RevNoClamp => reverse(cdl, rgb, |value| value, signed_power),
        }
    }
}

/// The power function, which negative values don't get.
fn signed_power(value: f64, power: f64) -> f64 {
    if value < 0.0 { value } else { pow(value, power) }
}

fn forward(cdl: &Cdl, rgb: Rgb, clamp: fn(f64) -> f64, power: fn(f64, f64) -> f64) -> Rgb {
    let sop = each(rgb, |i, value| power(clamp(value * cdl.slope[i] + cdl.offset[i]), cdl.power[i]));
    let luma = luma(sop);
    sop.map(|value| clamp(luma + cdl.saturation * (value - luma)))
}

fn reverse(cdl: &Cdl, rgb: Rgb, clamp: fn(f64) -> f64, power: fn(f64, f64) -> f64) -> Rgb {
    let rgb = rgb.map(clamp);
    let luma = luma(rgb);
    let sat = rgb.map(|value| if cdl.saturation == 0.0 { luma } else { luma + (value - luma) / cdl.saturation });
    each(sat, |i, value| {
        let powered = power(clamp(value), 1.0 / cdl.power[i]);
        clamp((powered - cdl.offset[i]) / cdl.slope[i])
    })
}

#[cfg(test)]
mod tests {
    use super::{half_place, half_value};

    /// The bits are those of IEEE 754-2008: 1 is 0x3C00, the largest 0x7BFF = 65504, the least 2^-24.
    #[test]
    fn half_floats_are_placed_between_their_neighbours() {
        assert_eq!(half_value(0x3C00), 1.0);
        assert_eq!(half_value(0x7BFF), 65504.0);
        assert_eq!(half_value(0x8001), -libm::ldexp(1.0, -24));
        for bits in 0..0x7BFF_u16 {
            let (low, high) = (half_value(bits), half_value(bits + 1));
            assert!(low < high, "{bits}");
            assert_eq!(half_place(low), (bits.into(), usize::from(bits) + 1, 0.0), "{low}");
            let (row, above, part) = half_place(-(low + (high - low) * 0.25));
            assert_eq!((row, above), (0x8000 | usize::from(bits), 0x8001 + usize::from(bits)), "{low}");
            assert!((part - 0.25).abs() < 1e-9, "{low}: {part}");
        }
        assert_eq!(half_place(1e30), (0x7BFF, 0x7BFF, 0.0));
        assert_eq!(half_place(f64::NEG_INFINITY), (0xFC00, 0xFC00, 0.0));
        assert_eq!(half_place(f64::NAN), (0x7E00, 0x7E00, 0.0));
    }
}
