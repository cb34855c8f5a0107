//! V-Log [panasonic-vlog].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [panasonic-vlog].
const CUT1: f64 = 0.01;
const CUT2: f64 = 0.181;
const LINEAR_SLOPE: f64 = 5.6;
const LINEAR_OFFSET: f64 = 0.125;
const B: f64 = 0.00873;
const C: f64 = 0.241514;
const D: f64 = 0.598206;

/// V-Log.
pub static V_LOG: Encoding = Encoding {
    id: "v-log",
    name: "V-Log",
    publisher: "Panasonic",
    source: Source {
        key: "panasonic-vlog",
        citation: "Panasonic (2014), VARICAM V-Log/V-Gamut Reference Manual, Rev. 1.0",
        grade: Grade::Maker,
    },
    gamuts: &["v-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT2],
    cuts: &[CUT1],
    note: "",
};

fn encode(linear: f64) -> f64 {
    if linear < CUT1 { LINEAR_SLOPE * linear + LINEAR_OFFSET } else { C * log10(linear + B) + D }
}

fn decode(code: f64) -> f64 {
    if code < CUT2 { (code - LINEAR_OFFSET) / LINEAR_SLOPE } else { exp10((code - D) / C) - B }
}
