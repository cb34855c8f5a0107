//! REDLogFilm [imageworks-make].

use super::cineon::CURVE;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

/// REDLogFilm.
pub static REDLOGFILM: Encoding = Encoding {
    id: "redlogfilm",
    name: "REDLogFilm",
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
    note: "The same curve as Cineon. Light at or below -0.0109 has no code (minus infinity).",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
