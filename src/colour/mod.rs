//! Colour science with no knowledge of looks: published encodings, gamuts, displays, whites, adaptation,
//! differences and the test chart.

mod source;

pub use source::{Grade, Source, canonical_name};
