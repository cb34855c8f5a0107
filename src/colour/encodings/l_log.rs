//! L-Log [leica-llog].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [leica-llog].
const CUT1: f64 = 0.006;
const CUT2: f64 = 0.138;
const A: f64 = 8.0;
const B: f64 = 0.09;
const C: f64 = 0.27;
const D: f64 = 1.3;
const E: f64 = 0.0115;
const F: f64 = 0.6;

/// L-Log.
pub static L_LOG: Encoding = Encoding {
    id: "l-log",
    name: "L-Log",
    publisher: "Leica",
    source: Source {
        key: "leica-llog",
        citation: "Leica Camera AG (2022), Leica L-Log Reference Manual",
        grade: Grade::Maker,
    },
    gamuts: &["bt2020"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT2],
    cuts: &[CUT1],
    note: "The printed constants leave a step at 0.006, where encode falls by 0.92 of a 10-bit code and decode rises \
           by 0.0001.",
};

fn encode(linear: f64) -> f64 {
    if linear <= CUT1 { A * linear + B } else { C * log10(D * linear + E) + F }
}

fn decode(code: f64) -> f64 {
    if code <= CUT2 { (code - B) / A } else { (exp10((code - F) / C) - E) / D }
}
