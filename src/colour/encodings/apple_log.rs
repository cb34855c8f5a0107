//! Apple Log [apple-log].

use super::shapes::LogOverParabola;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

// [apple-log].
const CURVE: LogOverParabola = LogOverParabola {
    r_0: -0.056_410_88,
    r_t: 0.01,
    sigma: 47.287_112_36,
    beta: 0.009_640_52,
    gamma: 0.085_504_79,
    delta: 0.693_369_45,
};

/// Apple Log.
pub static APPLE_LOG: Encoding = Encoding {
    id: "apple-log",
    name: "Apple Log",
    publisher: "Apple",
    source: Source {
        key: "apple-log",
        citation: "Apple Inc. (2023), Apple Log Profile White Paper",
        grade: Grade::Maker,
    },
    gamuts: &["bt2020"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[0.0, CURVE.p_t()],
    cuts: &[CURVE.r_0, CURVE.r_t],
    note: "By the published formula codes below 0 all decode to the light -0.05641088, and all light below that \
           encodes to 0.",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
