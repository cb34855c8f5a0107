//! C-Log3, both revisions [canon-2016, canon-2020].

use super::levels::{from_narrow, to_narrow};
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

/// Two logarithms joined by a line. Light is counted in fractions of 90 %.
struct Joined {
    m: f64,
    k: f64,
    n: f64,
    s: f64,
    o: f64,
    p: f64,
    /// Codes where the line starts and ends; both directions use them, so that they agree on the branch.
    low: f64,
    high: f64,
}

// [canon-2020]: the constants contain the scaling to narrow range.
const CURRENT: Joined = Joined {
    m: 0.36726845,
    k: 14.98325,
    n: 0.12783901,
    s: 1.9754798,
    o: 0.12512219,
    p: 0.12240537,
    low: 0.097465473,
    high: 0.15277891,
};
// [canon-2016]: the formula gives fractions of narrow range.
const V1: Joined = Joined {
    m: 0.42889912,
    k: 14.98325,
    n: 0.07623209,
    s: 2.3069815,
    o: 0.073059361,
    p: 0.069886632,
    low: 0.04076162,
    high: 0.105357102,
};

impl Joined {
    /// Linear light at the two ends of the line.
    const fn cuts(&self) -> (f64, f64) {
        (0.9 * (self.low - self.o) / self.s, 0.9 * (self.high - self.o) / self.s)
    }

    fn encode(&self, linear: f64) -> f64 {
        let x = linear / 0.9;
        if x < (self.low - self.o) / self.s {
            self.n - self.m * log10(1.0 - x * self.k)
        } else if x <= (self.high - self.o) / self.s {
            self.s * x + self.o
        } else {
            self.m * log10(self.k * x + 1.0) + self.p
        }
    }

    fn decode(&self, code: f64) -> f64 {
        0.9 * if code < self.low {
            -(exp10((self.n - code) / self.m) - 1.0) / self.k
        } else if code <= self.high {
            (code - self.o) / self.s
        } else {
            (exp10((code - self.p) / self.m) - 1.0) / self.k
        }
    }
}

/// C-Log3, the revision of 2020.
pub static C_LOG3: Encoding = Encoding {
    id: "c-log3",
    name: "C-Log3",
    publisher: "Canon",
    source: Source {
        key: "canon-2020",
        citation: "Canon (2020), Input Transform Version 202007 for EOS C300 Mark II",
        grade: Grade::Maker,
    },
    gamuts: &["cinema-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CURRENT.low, CURRENT.high],
    cuts: &[CURRENT.cuts().0, CURRENT.cuts().1],
    note: "",
};

/// C-Log3, the revision of 2016.
pub static C_LOG3_V1: Encoding = Encoding {
    id: "c-log3-v1",
    name: "C-Log3 (v1)",
    publisher: "Canon",
    source: Source {
        key: "canon-2016",
        citation: "Canon (2016), Input Transform Version 201612 for EOS C300 Mark II",
        grade: Grade::Maker,
    },
    gamuts: &["cinema-gamut"],
    functions: Functions::Fixed { encode: encode_v1, decode: decode_v1 },
    breaks: &[from_narrow(V1.low), from_narrow(V1.high)],
    cuts: &[V1.cuts().0, V1.cuts().1],
    note: "Superseded by the revision of 2020, which differs by less than 0.001 of a 10-bit code.",
};

fn encode(linear: f64) -> f64 {
    CURRENT.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURRENT.decode(code)
}

fn encode_v1(linear: f64) -> f64 {
    from_narrow(V1.encode(linear))
}

fn decode_v1(code: f64) -> f64 {
    V1.decode(to_narrow(code))
}
