//! Log3G12 [red-correspondence].

use super::shapes::OddLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

// [red-correspondence].
const CURVE: OddLog = OddLog { a: 0.184904, b: 347.189667 };

/// Log3G12.
pub static LOG3G12: Encoding = Encoding {
    id: "log3g12",
    name: "Log3G12",
    publisher: "RED",
    source: Source {
        key: "red-correspondence",
        citation: "Nattress, G. (2016), private discussion with Shaw, N.",
        grade: Grade::ThirdParty,
    },
    gamuts: &["redwidegamutrgb"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[0.0],
    cuts: &[0.0],
    note: "No public document is known.",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
