//! Cineon [imageworks-make].

use super::shapes::LiftedLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use std::sync::LazyLock;

// [imageworks-make]: the 10-bit codes of black and white, and codes a decade.
pub(super) static CURVE: LazyLock<LiftedLog> = LazyLock::new(|| LiftedLog::new(95.0, 685.0, 300.0));

/// Cineon.
pub static CINEON: Encoding = Encoding {
    id: "cineon",
    name: "Cineon",
    publisher: "Kodak",
    source: Source {
        key: "imageworks-make",
        citation: "Sony Imageworks (2012), make.py (third-party code)",
        grade: Grade::ThirdParty,
    },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "Linear 1.0 is 90 % white, code 685; grey is taken as 0.18. Light at or below -0.0109 has no code (minus \
           infinity).",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
