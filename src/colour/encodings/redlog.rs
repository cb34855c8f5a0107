//! REDLog [imageworks-make].

use super::shapes::LiftedLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use std::sync::LazyLock;

// [imageworks-make]: the 10-bit codes of black and white, and codes a decade.
static CURVE: LazyLock<LiftedLog> = LazyLock::new(|| LiftedLog::new(0.0, 1023.0, 511.0));

/// REDLog.
pub static REDLOG: Encoding = Encoding {
    id: "redlog",
    name: "REDLog",
    publisher: "RED",
    source: Source {
        key: "imageworks-make",
        citation: "Sony Imageworks (2012), make.py (third-party code)",
        grade: Grade::ThirdParty,
    },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "Light at or below -0.01005 has no code (minus infinity).",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
