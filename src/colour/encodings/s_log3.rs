//! S-Log3 [sony-slog3].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [sony-slog3]. Codes are 10-bit.
const CUT: f64 = 0.01125;
const BLACK_CODE: f64 = 95.0;
const CUT_CODE: f64 = 171.2102946929;
const GREY_CODE: f64 = 420.0;
const GREY: f64 = 0.18;
const SLOPE: f64 = 261.5;
const OFFSET: f64 = 0.01;

/// S-Log3.
pub static S_LOG3: Encoding = Encoding {
    id: "s-log3",
    name: "S-Log3",
    publisher: "Sony",
    source: Source {
        key: "sony-slog3",
        citation: "Sony Corporation (no date), Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, V1.00",
        grade: Grade::Maker,
    },
    gamuts: &["s-gamut3", "s-gamut3.cine", "venice-s-gamut3", "venice-s-gamut3.cine"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CUT_CODE / 1023.0],
    cuts: &[CUT],
    note: "",
};

fn encode(linear: f64) -> f64 {
    if linear >= CUT {
        (GREY_CODE + log10((linear + OFFSET) / (GREY + OFFSET)) * SLOPE) / 1023.0
    } else {
        (linear * (CUT_CODE - BLACK_CODE) / CUT + BLACK_CODE) / 1023.0
    }
}

fn decode(code: f64) -> f64 {
    if code >= CUT_CODE / 1023.0 {
        exp10((code * 1023.0 - GREY_CODE) / SLOPE) * (GREY + OFFSET) - OFFSET
    } else {
        (code * 1023.0 - BLACK_CODE) * CUT / (CUT_CODE - BLACK_CODE)
    }
}
