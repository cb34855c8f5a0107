//! ACEScct [aces-s-2016-001].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp2, log2};

// [aces-s-2016-001].
const X_BRK: f64 = 0.0078125;
const Y_BRK: f64 = 0.155251141552511;
const A: f64 = 10.5402377416545;
const B: f64 = 0.0729055341958355;
const OFFSET: f64 = 9.72;
const STOPS: f64 = 17.52;

/// ACEScct.
pub static ACESCCT: Encoding = Encoding {
    id: "acescct",
    name: "ACEScct",
    publisher: "Academy of Motion Picture Arts and Sciences",
    source: Source {
        key: "aces-s-2016-001",
        citation: "Academy of Motion Picture Arts and Sciences (2016), Specification S-2016-001, ACEScct",
        grade: Grade::Standard,
    },
    gamuts: &["acescg"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[Y_BRK],
    cuts: &[X_BRK],
    note: "The specification ends its decode at 65504, the largest half-precision number (from memory); here it goes \
           on, for nothing is clipped on the scene side.",
};

/// Scene-linear light to ACEScct; a line at and below 0.0078125. Finite for all finite light.
#[must_use]
pub fn encode(linear: f64) -> f64 {
    if linear <= X_BRK { A * linear + B } else { (log2(linear) + OFFSET) / STOPS }
}

/// ACEScct to scene-linear light, without the cap at 65504. Overflows to infinity above a code of about 59.
#[must_use]
pub fn decode(code: f64) -> f64 {
    if code > Y_BRK { exp2(code * STOPS - OFFSET) } else { (code - B) / A }
}
