//! Mi-Log [xiaomi-milog].

use super::shapes::LogOverParabola;
use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

// [xiaomi-milog].
const CURVE: LogOverParabola = LogOverParabola {
    r_0: -0.090_237_29,
    r_t: 0.019_741_85,
    sigma: 18.105_319_98,
    beta: 0.013_845_78,
    gamma: 0.092_715_29,
    delta: 0.672_918_5,
};

/// Mi-Log.
pub static MI_LOG: Encoding = Encoding {
    id: "mi-log",
    name: "Mi-Log",
    publisher: "Xiaomi",
    source: Source {
        key: "xiaomi-milog",
        citation: "Xiaomi Inc. (2024), Xiaomi Log Profile White Paper",
        grade: Grade::Maker,
    },
    gamuts: &["bt2020"],
    functions: Functions::Fixed { encode, decode },
    breaks: &[0.0, CURVE.p_t()],
    cuts: &[CURVE.r_0, CURVE.r_t],
    note: "By the published formula codes below 0 all decode to the light -0.09023729, and all light below that \
           encodes to 0. That BT.2020 belongs to it is from memory.",
};

fn encode(linear: f64) -> f64 {
    CURVE.encode(linear)
}

fn decode(code: f64) -> f64 {
    CURVE.decode(code)
}
