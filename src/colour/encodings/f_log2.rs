//! F-Log2 [fujifilm-flog2].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [fujifilm-flog2].
const CUT1: f64 = 0.000889;
const CUT2: f64 = 0.100686685370811;
const A: f64 = 5.555556;
const B: f64 = 0.064829;
const C: f64 = 0.245281;
const D: f64 = 0.384316;
const E: f64 = 8.799461;
const F: f64 = 0.092864;

/// F-Log2.
pub static F_LOG2: Encoding = Encoding {
    id: "f-log2",
    name: "F-Log2",
    publisher: "Fujifilm",
    source: Source {
        key: "fujifilm-flog2",
        citation: "Fujifilm (2022), F-Log2 Data Sheet, Ver. 1.0",
        grade: Grade::Maker,
    },
    gamuts: &["f-gamut", "f-gamut-c"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT2],
    cuts: &[CUT1],
    note: "The data sheet F-Log2 C of 2024 pairs this same curve with F-Gamut C.",
};

fn encode(linear: f64) -> f64 {
    if linear < CUT1 { E * linear + F } else { C * log10(A * linear + B) + D }
}

fn decode(code: f64) -> f64 {
    if code < CUT2 { (code - F) / E } else { exp10((code - D) / C) / A - B / A }
}
