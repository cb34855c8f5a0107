//! Film Generation 5 [bmd-gen5].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp, ln};

// [bmd-gen5].
const A: f64 = 0.08692876065491224;
const B: f64 = 0.005494072432257808;
const C: f64 = 0.5300133392291939;
const D: f64 = 8.283605932402494;
const E: f64 = 0.09246575342465753;
const CUT: f64 = 0.005;

/// Film Generation 5.
pub static BMD_FILM_GEN5: Encoding = Encoding {
    id: "bmd-film-gen5",
    name: "Blackmagic Film Generation 5",
    publisher: "Blackmagic Design",
    source: Source {
        key: "bmd-gen5",
        citation: "Blackmagic Design (2021), Blackmagic Generation 5 Color Science",
        grade: Grade::Maker,
    },
    gamuts: &["blackmagic-wide-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[D * CUT + E],
    cuts: &[CUT],
    note: "",
};

fn encode(linear: f64) -> f64 {
    if linear < CUT { D * linear + E } else { A * ln(linear + B) + C }
}

fn decode(code: f64) -> f64 {
    if code < D * CUT + E { (code - E) / D } else { exp((code - C) / A) - B }
}
