//! ASC CDL files: one correction (`.cc`), a collection (`.ccc`) or a decision list (`.cdl`), in XML.
//!
//! Source: ASC CDL Transfer Functions and Interchange Syntax v1.2 (bibliography: asc-cdl); its schema was not at hand, and the order
//! of the elements is from memory of it.
//!
//! Reading is forgiving in form and strict in meaning:
//!
//! - **Read, with a warning:** no namespace or another one than ASC's, `SATNode` for `SatNode`, elements that are not known, a
//!   reference to a correction of another file, one correction twice.
//! - **Errors, each with line and column:** everything that leaves the numbers in doubt: a wrong count, something that is no number,
//!   a decimal comma, values that no CDL has, a node twice or half, one id for two different corrections; and texts that are no
//!   UTF-8, no XML, or bring a document type with them, whose entities could make a small file endless.
//!
//! A correction without `SatNode` has saturation 1, one without `SOPNode` changes nothing else.

mod elements;
mod model;
mod numbers;
mod read;
mod text;
mod write;

pub use model::{CdlFile, Content, Correction, Entry, Kind, Notes, ValuePlaces};
pub use read::{FILE_BYTES_MAX, parse, read};
pub use write::write;

pub(crate) use numbers::{Values, number, triple};
pub(crate) use read::{ERRORS_MAX, read_bytes, too_large};
pub(crate) use text::shown;

/// Namespace of what is written. [asc-cdl]
pub const NAMESPACE: &str = "urn:ASC:CDL:v1.01";

/// Namespaces that are read without a word: both are in use.
const NAMESPACES: [&str; 2] = [NAMESPACE, "urn:ASC:CDL:v1.2"];

/// A number in its shortest form that reads back as itself, never with an exponent; −0 is 0.
pub(crate) fn shortest(number: f64) -> String {
    format!("{}", number + 0.0)
}

/// Three of them with spaces between.
pub(crate) fn spaced(numbers: crate::maths::Rgb) -> String {
    numbers.map(shortest).join(" ")
}
