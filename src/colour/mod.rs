//! Colour science with no knowledge of looks: published encodings, gamuts, displays, whites, adaptation,
//! differences, the ASC CDL and the test chart.

pub mod adaptation;
pub mod cdl;
pub mod chart;
mod daylight;
pub mod difference;
pub mod displays;
pub mod encodings;
pub mod gamuts;
mod locus;
pub mod observer;
pub mod oklab;
mod source;
pub mod vision;
pub mod whites;

pub use source::{Grade, Source, canonical_name};
