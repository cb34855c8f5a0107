//! Pivoted log [imageworks-make].

use super::shapes::log10_or_limit;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::exp10;

// [imageworks-make]. Codes are 10-bit; density is the density of one code.
const LOG_REFERENCE: f64 = 445.0;
const LINEAR_REFERENCE: f64 = 0.18;
const NEGATIVE_GAMMA: f64 = 0.6;
const DENSITY: f64 = 0.002;

/// Pivoted log.
pub static P_LOG: Encoding = Encoding {
    id: "p-log",
    name: "PLog",
    publisher: "J. Pines",
    source: Source {
        key: "imageworks-make",
        citation: "Sony Imageworks (2012), make.py (third-party code)",
        grade: Grade::ThirdParty,
    },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "Light at or below 0 has no code (minus infinity).",
};

fn encode(linear: f64) -> f64 {
    (LOG_REFERENCE + log10_or_limit(linear / LINEAR_REFERENCE) / (DENSITY / NEGATIVE_GAMMA)) / 1023.0
}

fn decode(code: f64) -> f64 {
    exp10((code * 1023.0 - LOG_REFERENCE) * (DENSITY / NEGATIVE_GAMMA)) * LINEAR_REFERENCE
}
