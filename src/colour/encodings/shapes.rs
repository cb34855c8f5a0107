//! Forms that several published curves share, each curve with constants of its own.

use crate::maths::{exp2, exp10, log2, log10};

/// Logarithm to base 10; at and below zero, where it has no value, its limit.
pub(super) fn log10_or_limit(x: f64) -> f64 {
    if x <= 0.0 { f64::NEG_INFINITY } else { log10(x) }
}

/// The first argument with the sign of the second, and 0 where that is 0.
fn with_sign(magnitude: f64, of: f64) -> f64 {
    if of == 0.0 { 0.0 } else { magnitude.copysign(of) }
}

/// A logarithm above a parabola that starts at black; below it, one value.
pub(super) struct LogOverParabola {
    /// Linear light where the parabola starts, at code 0.
    pub r_0: f64,
    /// Linear light where the logarithm takes over.
    pub r_t: f64,
    pub sigma: f64,
    pub beta: f64,
    pub gamma: f64,
    pub delta: f64,
}

impl LogOverParabola {
    /// Code value where the logarithm takes over.
    pub const fn p_t(&self) -> f64 {
        self.sigma * (self.r_t - self.r_0) * (self.r_t - self.r_0)
    }

    pub fn encode(&self, linear: f64) -> f64 {
        if linear < self.r_0 {
            0.0
        } else if linear < self.r_t {
            self.sigma * (linear - self.r_0) * (linear - self.r_0)
        } else {
            self.gamma * log2(linear + self.beta) + self.delta
        }
    }

    pub fn decode(&self, code: f64) -> f64 {
        if code < 0.0 {
            self.r_0
        } else if code < self.p_t() {
            (code / self.sigma).sqrt() + self.r_0
        } else {
            exp2((code - self.delta) / self.gamma) - self.beta
        }
    }
}

/// Printing density: a logarithm lifted so that zero light falls on the black code. Codes are 10-bit.
pub(super) struct LiftedLog {
    pub white: f64,
    pub slope: f64,
    /// The light that lies at the black code, as a fraction of white.
    pub black_offset: f64,
}

impl LiftedLog {
    pub fn new(black: f64, white: f64, slope: f64) -> Self {
        Self { white, slope, black_offset: exp10((black - white) / slope) }
    }

    pub fn encode(&self, linear: f64) -> f64 {
        let lifted = linear * (1.0 - self.black_offset) + self.black_offset;
        (self.white + self.slope * log10_or_limit(lifted)) / 1023.0
    }

    pub fn decode(&self, code: f64) -> f64 {
        let lifted = exp10((1023.0 * code - self.white) / self.slope);
        (lifted - self.black_offset) / (1.0 - self.black_offset)
    }
}

/// A logarithm mirrored through its own value at zero light. Linear light is counted in fractions of 90 %.
pub(super) struct MirroredLog {
    pub m: f64,
    pub k: f64,
    /// The value at zero light.
    pub p: f64,
}

impl MirroredLog {
    pub fn encode(&self, linear: f64) -> f64 {
        let x = linear / 0.9;
        if x < 0.0 { -(self.m * log10(1.0 - x * self.k) - self.p) } else { self.m * log10(self.k * x + 1.0) + self.p }
    }

    pub fn decode(&self, code: f64) -> f64 {
        0.9 * if code < self.p {
            -(exp10((self.p - code) / self.m) - 1.0) / self.k
        } else {
            (exp10((code - self.p) / self.m) - 1.0) / self.k
        }
    }
}

/// A logarithm that starts at zero and is mirrored through the origin.
pub(super) struct OddLog {
    pub a: f64,
    pub b: f64,
}

impl OddLog {
    pub fn encode(&self, linear: f64) -> f64 {
        with_sign(self.a * log10(linear.abs() * self.b + 1.0), linear)
    }

    pub fn decode(&self, code: f64) -> f64 {
        with_sign((exp10(code.abs() / self.a) - 1.0) / self.b, code)
    }
}
