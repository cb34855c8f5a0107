//! Protune [gopro-protune].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp, ln};
use std::sync::LazyLock;

// [gopro-protune]: y = ln(112 x + 1) / ln(113).
const SCALE: f64 = 112.0;
static LN_BASE: LazyLock<f64> = LazyLock::new(|| ln(113.0));

/// Protune.
pub static PROTUNE: Encoding = Encoding {
    id: "protune",
    name: "Protune",
    publisher: "GoPro",
    source: Source {
        key: "gopro-protune",
        citation: "GoPro, Duiker, H.-P. and Mansencal, T. (2016), gopro.py (third-party code)",
        grade: Grade::ThirdParty,
    },
    gamuts: &["protune-native"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "Light at or below -1/112 has no code (minus infinity).",
};

fn encode(linear: f64) -> f64 {
    let x = linear * SCALE + 1.0;
    if x <= 0.0 { f64::NEG_INFINITY } else { ln(x) / *LN_BASE }
}

fn decode(code: f64) -> f64 {
    // 113 to the power of the code.
    (exp(code * *LN_BASE) - 1.0) / SCALE
}
