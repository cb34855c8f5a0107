//! What an encoding or a recipe comes to, as values: nothing here is printed, and nothing is computed that the pipeline
//! doesn't compute.
//!
//! [`ExposureTable`] says which code a camera records for which stop; [`encodings_page`] is the reference of all encodings. [`Explanation`] says what a recipe means: every
//! parameter with its origin ([`parameters`]), the matrices, the signal of each stop and the cast of its greys.

mod encodings_page;
mod exposure_table;
mod look;
mod parameters;

pub use encodings_page::encodings_page;
pub use exposure_table::{ExposureStep, ExposureTable, Landmark};
pub use look::{Cast, Explanation, SignalStep, ToneSlope};
pub use parameters::{Origin, ResolvedParameter, ResolvedTable, parameters};

/// Tables of stops span this many stops on both sides of grey.
pub const TABLE_STOPS: i32 = 8;
