//! LogC4 [arri-logc4].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp2, log2};
use std::sync::LazyLock;

// [arri-logc4], the constants in closed form as the specification gives them.
const A: f64 = (262_144.0 - 16.0) / 117.45;
const B: f64 = (1023.0 - 95.0) / 1023.0;
const C: f64 = 95.0 / 1023.0;

/// Slope and start of the line below code 0, which continues the logarithm with its own slope.
struct Line {
    s: f64,
    t: f64,
}

static LINE: LazyLock<Line> = LazyLock::new(|| Line {
    s: 7.0 * std::f64::consts::LN_2 * exp2(7.0 - 14.0 * C / B) / (A * B),
    t: (exp2(14.0 * (-C / B) + 6.0) - 64.0) / A,
});

/// LogC4.
pub static LOGC4: Encoding = Encoding {
    id: "logc4",
    name: "LogC4",
    publisher: "ARRI",
    source: Source {
        key: "arri-logc4",
        citation: "Cooper and Brendel, ARRI (2022), ARRI LogC4 Logarithmic Color Space Specification",
        grade: Grade::Maker,
    },
    gamuts: &["awg4"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[0.0],
    cuts: &[-0.018_056_996_119_911_3],
    note: "",
};

fn encode(linear: f64) -> f64 {
    let line = &*LINE;
    if linear >= line.t { (log2(A * linear + 64.0) - 6.0) / 14.0 * B + C } else { (linear - line.t) / line.s }
}

fn decode(code: f64) -> f64 {
    let line = &*LINE;
    if code >= 0.0 { (exp2(14.0 * ((code - C) / B) + 6.0) - 64.0) / A } else { code * line.s + line.t }
}
