//! The Common LUT Format, version 3: a list of steps from one signal to another, in XML.
//!
//! Source: AMPAS S-2014-006, "Common LUT Format", version 3.0, standardised as SMPTE ST 2136-1 (bibliography: clf).
//!
//! [`write()`] writes it, [`parse()`] and [`read()`] read it, [`ProcessList::apply`] does what it says.
//!
//! The reader is forgiving in form and strict in meaning:
//!
//! - **Read, with a warning:** files of version 2, a missing XML declaration or namespace of another version, parameters that the style
//!   doesn't use, `halfDomain="false"`.
//! - **Errors, each with line and column:** elements, attributes and texts that are not known (but not under `Info`), missing ones, ones
//!   given twice, bit depths that don't follow from one step to the next, arrays with more or fewer numbers than their dimensions say,
//!   numbers that are not finite or out of the range of their parameter, channels of which only some are given, index maps (version 2
//!   had them; they were removed), document type declarations, and a structure that no such file has.
//!
//! Integer depths are taken out of the numbers as the specification says, so that a [`ProcessList`] is always on the floating-point
//! scale. With `rawHalfs` the half floats are numbers of the array like any others.
//!
//! Memory is taken only for numbers that are there, never for dimensions that are claimed. Diagnostics keep an excerpt of their line, not
//! the file.

mod evaluate;
mod model;
mod read;
mod write;

pub use model::{
    BitDepth, CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node,
    Operation, ProcessList, Range,
};
pub use read::{ClfFile, FILE_BYTES_MAX, parse, read};
pub use write::write;

/// The namespace of version 3. [clf]
const NAMESPACE: &str = "urn:AMPAS:CLF:v3.0";
/// The namespace of SMPTE ST 2136-1, whose elements are the same but for an `Id`. [clf]
const NAMESPACE_SMPTE: &str = "http://www.smpte-ra.org/ns/2136-1/2024";
/// The version that is written.
const VERSION: &str = "3.0";
