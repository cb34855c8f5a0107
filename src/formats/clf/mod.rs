//! The Common LUT Format, version 3: a list of steps from one signal to another, in XML.
//!
//! Source: AMPAS S-2014-006, "Common LUT Format", version 3.0, standardised as SMPTE ST 2136-1 (bibliography: clf).

mod model;

pub use model::{
    BitDepth, CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node,
    Operation, ProcessList, Range,
};
