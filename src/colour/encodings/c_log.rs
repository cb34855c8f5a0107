//! C-Log, both revisions [canon-2016, canon-2020]; the first revision also [canon-2012].

use super::levels::{from_narrow, to_narrow};
use super::shapes::MirroredLog;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

// [canon-2020]: the constants contain the scaling to narrow range.
const CURRENT: MirroredLog = MirroredLog { m: 0.45310179, k: 10.1596, p: 0.12512248 };
// [canon-2016]: the formula gives fractions of narrow range.
const V1: MirroredLog = MirroredLog { m: 0.529136, k: 10.1596, p: 0.0730597 };

/// C-Log, the revision of 2020.
pub static C_LOG: Encoding = Encoding {
    id: "c-log",
    name: "C-Log",
    publisher: "Canon",
    source: Source {
        key: "canon-2020",
        citation: "Canon (2020), Input Transform Version 202007 for EOS C300 Mark II",
        grade: Grade::Maker,
    },
    gamuts: &["cinema-gamut", "bt709", "bt2020"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[CURRENT.p],
    cuts: &[0.0],
    note: "",
};

/// C-Log, the revision of 2016.
pub static C_LOG_V1: Encoding = Encoding {
    id: "c-log-v1",
    name: "C-Log (v1)",
    publisher: "Canon",
    source: Source {
        key: "canon-2016",
        citation: "Canon (2016), Input Transform Version 201612 for EOS C300 Mark II",
        grade: Grade::Maker,
    },
    gamuts: &["cinema-gamut", "bt709", "bt2020"],
    functions: Functions::Fixed { encode: encode_v1, decode: decode_v1 },
    breaks: &[from_narrow(V1.p)],
    cuts: &[0.0],
    note: "Superseded by the revision of 2020, which differs by less than 0.001 of a 10-bit code.",
};

fn encode(linear: f64) -> f64 {
    CURRENT.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURRENT.decode(code)
}

fn encode_v1(linear: f64) -> f64 {
    from_narrow(V1.encode(linear))
}

fn decode_v1(code: f64) -> f64 {
    V1.decode(to_narrow(code))
}
