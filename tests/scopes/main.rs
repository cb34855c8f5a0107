//! Scopes: counts and places against the equations of the standards and values of a reference library, and their pictures.
//!
//! The pictures are left in the target's temporary folder, to be looked at.

#[path = "../common/mod.rs"]
mod common;
mod frames;

mod chromaticities;
mod counting;
mod histograms;
mod pictures;
mod vectorscopes;
mod waveforms;
