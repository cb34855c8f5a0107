//! Panalog [imageworks-make].

use super::shapes::LiftedLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use std::sync::LazyLock;

// [imageworks-make]: the 10-bit codes of black and white, and codes a decade.
static CURVE: LazyLock<LiftedLog> = LazyLock::new(|| LiftedLog::new(64.0, 681.0, 444.0));

/// Panalog.
pub static PANALOG: Encoding = Encoding {
    id: "panalog",
    name: "Panalog",
    publisher: "Panavision",
    source: Source {
        key: "imageworks-make",
        citation: "Sony Imageworks (2012), make.py (third-party code)",
        grade: Grade::ThirdParty,
    },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "An estimate that is called close by its source; the real curve is unpublished. Light at or below -0.0425 \
           has no code (minus infinity).",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
