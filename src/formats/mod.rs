//! Reading and writing files.

pub mod atomic;
pub mod cdl;
pub mod clf;
pub mod cube;
pub mod edl;
pub mod icc;
pub mod image;
pub mod package;
mod stem;

pub use stem::{is_device, slug};
