//! N-Log [nikon-nlog].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{cbrt, exp, ln};

// [nikon-nlog]. The document states the curve in 10-bit codes.
const CUT: f64 = 0.328;
const CUT_CODE: f64 = 452.0 / 1023.0;
const A: f64 = 650.0 / 1023.0;
const B: f64 = 0.0075;
const C: f64 = 150.0 / 1023.0;
const D: f64 = 619.0 / 1023.0;

/// N-Log.
pub static N_LOG: Encoding = Encoding {
    id: "n-log",
    name: "N-Log",
    publisher: "Nikon",
    source: Source {
        key: "nikon-nlog",
        citation: "Nikon (2018), N-Log Specification Document, Version 1.0.0",
        grade: Grade::Maker,
    },
    gamuts: &["n-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT_CODE],
    cuts: &[CUT],
    note: "The two branches miss each other by 0.13 of a 10-bit code at 0.328; decode falls by 0.0013 stop at code \
           452. Below light of -0.0075 the real, negative cube root is used.",
};

fn encode(linear: f64) -> f64 {
    if linear < CUT { A * cbrt(linear + B) } else { C * ln(linear) + D }
}

fn decode(code: f64) -> f64 {
    if code < CUT_CODE {
        let root = code / A;
        root * root * root - B
    } else {
        exp((code - D) / C)
    }
}
