//! Viper log [imageworks-make].

use super::shapes::log10_or_limit;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::exp10;

// [imageworks-make]. Codes are 10-bit.
const WHITE: f64 = 1023.0;
const SLOPE: f64 = 500.0;

/// Viper log.
pub static VIPER_LOG: Encoding = Encoding {
    id: "viper-log",
    name: "Viper Log",
    publisher: "Thomson Grass Valley",
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
    (WHITE + SLOPE * log10_or_limit(linear)) / 1023.0
}

fn decode(code: f64) -> f64 {
    exp10((1023.0 * code - WHITE) / SLOPE)
}
