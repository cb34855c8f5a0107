//! F-Log [fujifilm-flog].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [fujifilm-flog].
const CUT1: f64 = 0.00089;
const CUT2: f64 = 0.100537775223865;
const A: f64 = 0.555556;
const B: f64 = 0.009468;
const C: f64 = 0.344676;
const D: f64 = 0.790453;
const E: f64 = 8.735631;
const F: f64 = 0.092864;

/// F-Log.
pub static F_LOG: Encoding = Encoding {
    id: "f-log",
    name: "F-Log",
    publisher: "Fujifilm",
    source: Source {
        key: "fujifilm-flog",
        citation: "Fujifilm (2022), F-Log Data Sheet, Ver. 1.1",
        grade: Grade::Maker,
    },
    gamuts: &["f-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT2],
    cuts: &[CUT1],
    note: "The printed constants leave a step at 0.00089, where encode falls by 0.10 of a 10-bit code; light just \
           below it decodes on the other branch.",
};

fn encode(linear: f64) -> f64 {
    if linear < CUT1 { E * linear + F } else { C * log10(A * linear + B) + D }
}

fn decode(code: f64) -> f64 {
    if code < CUT2 { (code - F) / E } else { exp10((code - D) / C) / A - B / A }
}
