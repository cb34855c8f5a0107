//! Reading and writing files.

pub mod atomic;
pub mod cube;
pub mod image;
