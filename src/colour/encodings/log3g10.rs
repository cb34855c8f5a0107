//! Log3G10: the published curve [red-log3g10] and the two revisions before it [red-correspondence].

use super::shapes::OddLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

// [red-log3g10]; the second revision [red-correspondence] has the same numbers but another form below black.
const CURVE: OddLog = OddLog { a: 0.224282, b: 155.975327 };
const OFFSET: f64 = 0.01;
const LINEAR_SLOPE: f64 = 15.1927;
// [red-correspondence].
const V1: OddLog = OddLog { a: 0.222497, b: 169.379333 };

const CORRESPONDENCE: Source = Source {
    key: "red-correspondence",
    citation: "Nattress, G. (2016), private discussion with Shaw, N.",
    grade: Grade::ThirdParty,
};

/// Log3G10, the published revision (the third).
pub static LOG3G10: Encoding = Encoding {
    id: "log3g10",
    name: "Log3G10",
    publisher: "RED",
    source: Source {
        key: "red-log3g10",
        citation: "RED Digital Cinema (2017), White Paper on REDWideGamutRGB and Log3G10",
        grade: Grade::Maker,
    },
    gamuts: &["redwidegamutrgb"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[0.0],
    cuts: &[-OFFSET],
    note: "",
};

/// Log3G10, the first revision.
pub static LOG3G10_V1: Encoding = Encoding {
    id: "log3g10-v1",
    name: "Log3G10 (v1)",
    publisher: "RED",
    source: CORRESPONDENCE,
    gamuts: &["redwidegamutrgb"],
    functions: Functions::Fixed { encode: encode_v1, decode: decode_v1 },
    breaks: &[0.0],
    cuts: &[0.0],
    note: "Superseded; no public document is known.",
};

/// Log3G10, the second revision.
pub static LOG3G10_V2: Encoding = Encoding {
    id: "log3g10-v2",
    name: "Log3G10 (v2)",
    publisher: "RED",
    source: CORRESPONDENCE,
    gamuts: &["redwidegamutrgb"],
    functions: Functions::Fixed { encode: encode_v2, decode: decode_v2 },
    breaks: &[0.0],
    cuts: &[-OFFSET],
    note: "Superseded; no public document is known. It differs from the published revision only below code 0.",
};

fn encode(linear: f64) -> f64 {
    let x = linear + OFFSET;
    if x < 0.0 { x * LINEAR_SLOPE } else { CURVE.a * log10(x * CURVE.b + 1.0) }
}

fn decode(code: f64) -> f64 {
    if code < 0.0 { code / LINEAR_SLOPE - OFFSET } else { (exp10(code / CURVE.a) - 1.0) / CURVE.b - OFFSET }
}

fn encode_v1(linear: f64) -> f64 {
    V1.encode(linear)
}

fn decode_v1(code: f64) -> f64 {
    V1.decode(code)
}

fn encode_v2(linear: f64) -> f64 {
    CURVE.encode(linear + OFFSET)
}

fn decode_v2(code: f64) -> f64 {
    CURVE.decode(code) - OFFSET
}
