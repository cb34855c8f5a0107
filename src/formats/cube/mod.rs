//! The open cube text format: tables of numbers with a short header.
//!
//! The rules are those of the Cube LUT Specification 1.0 (Adobe Systems, 2013) as its implementers quote it; the
//! text itself was not at hand. Where files in the field depart from them, this reader is forgiving in form and strict
//! in meaning:
//!
//! - **Read, with a warning that names the line:** a byte order mark, UTF-8 or Latin-1 in titles and comments, CR LF or
//!   CR line ends, tabs, blanks before a line, empty lines in the table, keywords in lower case, exponents, plus signs
//!   and whole numbers in the table, a missing, unquoted or unclosed title, comments after the first row, lines over
//!   250 bytes, and `LUT_1D_INPUT_RANGE` / `LUT_3D_INPUT_RANGE` (taken as the domain), also with a 1D table before a 3D
//!   one ([`Tables::Shaped`]). A few keywords that only inform (`AUTHOR`, `DATE`, …) are skipped with a warning.
//! - **Errors, each with line and column:** everything that leaves the meaning in doubt: decimal commas, NaN and infinities,
//!   a wrong number of rows or values, sizes out of range, rows before a size, keywords after the first row or given
//!   twice, both sizes without an input range, an empty, reversed or contradictory domain, any other keyword (one that
//!   declares a video range above all), and bytes that no text has.
//!
//! Memory is taken only for rows that are there, never for a size that is claimed. Reading takes time in proportion to
//! the bytes. Diagnostics keep an excerpt of their line, not the file.

mod faults;
mod header;
pub(in crate::formats) mod line;
mod number;
mod read;
mod write;

pub use number::parse_number;
pub use read::{COMMENTS_KEPT, FILE_BYTES_MAX, parse, read};
pub use write::{Header, Newline, TEXT_BYTES_MAX, transliterate, write};

pub use crate::lut::Tables;

use crate::diagnostics::Diagnostic;

/// Points a side of a 3D table that the format allows.
pub const SIZE_3D: std::ops::RangeInclusive<usize> = 2..=256;
/// Points of a 1D table that the format allows.
pub const SIZE_1D: std::ops::RangeInclusive<usize> = 2..=65536;
/// Bytes of a line, without its end, that the format allows.
pub const LINE_BYTES_MAX: usize = 250;

/// What a cube file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct CubeFile {
    /// The title, without its quotes; `None` where the file gives none. Control characters are replaced by signs.
    pub title: Option<String>,
    /// The comments in their order, without `#`, trimmed; the first [`COMMENTS_KEPT`] of them.
    pub comments: Vec<String>,
    /// The table or tables. Values may lie outside 0..1 but are always finite.
    pub tables: Tables,
    /// Departures from the format that were read all the same, one of each kind, in the order of their lines.
    pub warnings: Vec<Diagnostic>,
}
