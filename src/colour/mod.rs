//! Colour science with no knowledge of looks: published encodings, gamuts, displays, whites, adaptation,
//! differences and the test chart.

pub mod displays;
pub mod encodings;
pub mod gamuts;

mod source;

pub use source::{Grade, Source, canonical_name};
