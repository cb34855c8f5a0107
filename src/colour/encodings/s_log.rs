//! S-Log and S-Log2, which one paper defines together [sony-slog2].

use super::levels::{from_narrow, to_narrow};
use super::shapes::log10_or_limit;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::exp10;

// [sony-slog2]. The formula counts light in fractions of 90 % and gives fractions of narrow range.
const M: f64 = 0.432699;
const K: f64 = 0.037584;
const P: f64 = 0.616596;
const Q: f64 = 0.03;
const LINEAR_SLOPE: f64 = 5.0;
const LINEAR_OFFSET: f64 = 0.030_001_222_851_889_303;
/// S-Log2 is S-Log for a sensor with that much more headroom; the paper prints 5 · 155/219 as 3.53881278538813.
const S_LOG2_SCALE: f64 = 155.0 / 219.0;

const SOURCE: Source =
    Source { key: "sony-slog2", citation: "Sony Corporation (2012), S-Log2 Technical Paper V1.0", grade: Grade::Maker };

/// S-Log.
pub static S_LOG: Encoding = Encoding {
    id: "s-log",
    name: "S-Log",
    publisher: "Sony",
    source: SOURCE,
    gamuts: &["s-gamut"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[from_narrow(LINEAR_OFFSET)],
    cuts: &[0.0],
    note: "",
};

/// S-Log2.
pub static S_LOG2: Encoding = Encoding {
    id: "s-log2",
    name: "S-Log2",
    publisher: "Sony",
    source: SOURCE,
    gamuts: &["s-gamut"],
    functions: Functions::Fixed { encode: encode_s_log2, decode: decode_s_log2 },
    breaks: &[from_narrow(LINEAR_OFFSET)],
    cuts: &[0.0],
    note: "",
};

fn encode(linear: f64) -> f64 {
    let x = linear / 0.9;
    from_narrow(if x >= 0.0 { M * log10_or_limit(x + K) + P + Q } else { LINEAR_SLOPE * x + LINEAR_OFFSET })
}

fn decode(code: f64) -> f64 {
    let y = to_narrow(code);
    0.9 * if y >= LINEAR_OFFSET { exp10((y - P - Q) / M) - K } else { (y - LINEAR_OFFSET) / LINEAR_SLOPE }
}

fn encode_s_log2(linear: f64) -> f64 {
    encode(S_LOG2_SCALE * linear)
}

fn decode_s_log2(code: f64) -> f64 {
    decode(code) / S_LOG2_SCALE
}
