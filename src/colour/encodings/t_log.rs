//! T-Log [tlog-correspondence].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp, ln};
use std::sync::LazyLock;

// [tlog-correspondence]: linear light at full scale, slope at the origin, and the code of black.
const W: f64 = 128.0;
const G: f64 = 16.0;
const BLACK: f64 = 0.075;

/// A logarithm above black and a line below it, with one slope where they meet.
struct Derived {
    a: f64,
    b: f64,
    c: f64,
    g: f64,
}

// [tlog-correspondence], the derivation as communicated; 0.7107 and 1.2359 are its constants.
static DERIVED: LazyLock<Derived> = LazyLock::new(|| {
    let b = 1.0 / (0.7107 + 1.2359 * ln(W * G));
    let slope = G / (1.0 - BLACK);
    let c = b / slope;
    let a = 1.0 - b * ln(W + c);
    let at_black = a + b * ln(c);
    let scale = (1.0 - BLACK) / (1.0 - at_black);
    Derived { a: 1.0 + (a - 1.0) * scale, b: b * scale, c, g: slope * scale }
});

/// T-Log.
pub static T_LOG: Encoding = Encoding {
    id: "t-log",
    name: "T-Log",
    publisher: "FilmLight",
    source: Source {
        key: "tlog-correspondence",
        citation: "Siragusano, D. (2018), private discussion with Shaw, N.",
        grade: Grade::ThirdParty,
    },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[BLACK],
    cuts: &[0.0],
    note: "No public document is known.",
};

fn encode(linear: f64) -> f64 {
    let Derived { a, b, c, g } = &*DERIVED;
    if linear < 0.0 { g * linear + BLACK } else { ln(linear + c) * b + a }
}

fn decode(code: f64) -> f64 {
    let Derived { a, b, c, g } = &*DERIVED;
    if code < BLACK { (code - BLACK) / g } else { exp((code - a) / b) - c }
}
