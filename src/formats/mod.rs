//! Reading and writing files.

pub mod image;
