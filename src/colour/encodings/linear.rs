//! Linear light, by definition.

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};

/// Linear light: the code value is the light.
pub static LINEAR: Encoding = Encoding {
    id: "linear",
    name: "Linear",
    publisher: "none",
    source: Source { key: "linear", citation: "by definition: x = V", grade: Grade::Standard },
    gamuts: &[],
    functions: Functions::Fixed { encode, decode },
    breaks: &[],
    cuts: &[],
    note: "Clips at light 1.0, 2.5 stops above grey, in any signal of 0..1.",
};

fn encode(linear: f64) -> f64 {
    linear
}

fn decode(code: f64) -> f64 {
    code
}
