//! ACEScc [aces-s-2014-003].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp2, log2};

// [aces-s-2014-003].
const OFFSET: f64 = 9.72;
const STOPS: f64 = 17.52;
/// 2 to the power of −16: what is added to light near black.
const LIFT: f64 = 1.0 / 65_536.0;
/// 2 to the power of −15: below it light is lifted.
const CUT: f64 = 1.0 / 32_768.0;
const CUT_CODE: f64 = (9.72 - 15.0) / 17.52;
/// The code of all light at or below 0: (log2(2^−16) + 9.72) / 17.52.
const BLACK_CODE: f64 = (-16.0 + 9.72) / 17.52;

/// ACEScc.
pub static ACESCC: Encoding = Encoding {
    id: "acescc",
    name: "ACEScc",
    publisher: "Academy of Motion Picture Arts and Sciences",
    source: Source {
        key: "aces-s-2014-003",
        citation: "Academy of Motion Picture Arts and Sciences (2014), Specification S-2014-003, ACEScc",
        grade: Grade::Standard,
    },
    gamuts: &["acescg"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT_CODE],
    cuts: &[CUT],
    note: "All light below 0 encodes to one code. The specification ends its decode at 65504, the largest \
           half-precision number; here it goes on, for nothing is clipped on the scene side.",
};

fn encode(linear: f64) -> f64 {
    if linear < 0.0 {
        BLACK_CODE
    } else if linear < CUT {
        (log2(LIFT + linear * 0.5) + OFFSET) / STOPS
    } else {
        (log2(linear) + OFFSET) / STOPS
    }
}

fn decode(code: f64) -> f64 {
    let light = exp2(code * STOPS - OFFSET);
    if code < CUT_CODE { (light - LIFT) * 2.0 } else { light }
}
