//! D-Log [dji-dlog].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [dji-dlog]. The paper rounds the constants of the two directions separately.
const CUT: f64 = 0.0078;
const LINEAR_SLOPE: f64 = 6.025;
const LINEAR_OFFSET: f64 = 0.0929;
const A: f64 = 0.9892;
const B: f64 = 0.0108;
const C: f64 = 0.256663;
const D: f64 = 0.584555;
const DECODE_CUT: f64 = 0.14;
const DECODE_SLOPE: f64 = 3.89616;
const DECODE_OFFSET: f64 = 2.27752;

/// D-Log.
pub static D_LOG: Encoding = Encoding {
    id: "d-log",
    name: "D-Log",
    publisher: "DJI",
    source: Source {
        key: "dji-dlog",
        citation: "DJI (2017), White Paper on D-Log and D-Gamut of DJI Cinema Color System",
        grade: Grade::Maker,
    },
    gamuts: &["d-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[DECODE_CUT],
    cuts: &[CUT],
    note: "The printed constants of the two directions are rounded separately: encode and decode disagree by 7e-7 of \
           the light at grey and by 4e-5 near 0.0078, where encode also rises by 0.002 of a 10-bit code.",
};

fn encode(linear: f64) -> f64 {
    if linear <= CUT { LINEAR_SLOPE * linear + LINEAR_OFFSET } else { log10(linear * A + B) * C + D }
}

fn decode(code: f64) -> f64 {
    if code <= DECODE_CUT {
        (code - LINEAR_OFFSET) / LINEAR_SLOPE
    } else {
        (exp10(DECODE_SLOPE * code - DECODE_OFFSET) - B) / A
    }
}
