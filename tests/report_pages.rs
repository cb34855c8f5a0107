//! The pages that are printed and read.

mod common;
