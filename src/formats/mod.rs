//! Reading and writing files.

pub mod atomic;
pub mod clf;
pub mod cube;
pub mod icc;
pub mod image;
mod stem;

pub use stem::{is_device, slug};
