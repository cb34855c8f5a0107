//! ACESproxy, 10 and 12 bits [aces-s-2013-001].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp2, log2};

/// The integer codes of one bit depth.
struct Depth {
    code_min: f64,
    code_max: f64,
    steps_per_stop: f64,
    mid_code_offset: f64,
    full_scale: f64,
}

// [aces-s-2013-001].
const MID_LOG_OFFSET: f64 = 2.5;
/// Stops at and below which light gets the lowest code: light of 2 to the power of −9.72.
const LOWEST_STOPS: f64 = -9.72;
const BITS10: Depth =
    Depth { code_min: 64.0, code_max: 940.0, steps_per_stop: 50.0, mid_code_offset: 425.0, full_scale: 1023.0 };
const BITS12: Depth =
    Depth { code_min: 256.0, code_max: 3760.0, steps_per_stop: 200.0, mid_code_offset: 1700.0, full_scale: 4095.0 };

const SOURCE: Source = Source {
    key: "aces-s-2013-001",
    citation: "Academy of Motion Picture Arts and Sciences (2013), Specification S-2013-001, ACESproxy",
    grade: Grade::Standard,
};
const NOTE: &str = "Encode rounds to whole codes and holds them to the narrow range, as the specification does; decode \
                    is continuous, so a round trip is good to half a code.";

/// ACESproxy with 10-bit codes, as a fraction of 1023.
pub static ACESPROXY10: Encoding = Encoding {
    id: "acesproxy10",
    name: "ACESproxy (10 bits)",
    publisher: "Academy of Motion Picture Arts and Sciences",
    source: SOURCE,
    gamuts: &["acescg"],
    functions: Functions::Fixed { encode: encode10, decode: decode10 },
    breaks: &[],
    cuts: &[],
    note: NOTE,
};

/// ACESproxy with 12-bit codes, as a fraction of 4095.
pub static ACESPROXY12: Encoding = Encoding {
    id: "acesproxy12",
    name: "ACESproxy (12 bits)",
    publisher: "Academy of Motion Picture Arts and Sciences",
    source: SOURCE,
    gamuts: &["acescg"],
    functions: Functions::Fixed { encode: encode12, decode: decode12 },
    breaks: &[],
    cuts: &[],
    note: NOTE,
};

impl Depth {
    fn encode(&self, linear: f64) -> f64 {
        if linear.is_nan() {
            return linear;
        }
        if linear <= exp2(LOWEST_STOPS) {
            return self.code_min / self.full_scale;
        }
        let code = (log2(linear) + MID_LOG_OFFSET) * self.steps_per_stop + self.mid_code_offset;
        code.round_ties_even().clamp(self.code_min, self.code_max) / self.full_scale
    }

    fn decode(&self, code: f64) -> f64 {
        exp2((code * self.full_scale - self.mid_code_offset) / self.steps_per_stop - MID_LOG_OFFSET)
    }
}

fn encode10(linear: f64) -> f64 {
    BITS10.encode(linear)
}

fn decode10(code: f64) -> f64 {
    BITS10.decode(code)
}

fn encode12(linear: f64) -> f64 {
    BITS12.encode(linear)
}

fn decode12(code: f64) -> f64 {
    BITS12.decode(code)
}
