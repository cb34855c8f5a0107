//! lookwright compiles declarative look recipes into monitoring LUTs and proves every file that it writes.
//!
//! The way through the house, in six phases that bear the same names everywhere:
//! **parse → resolve → build → sample → write → verify**.
//!
//! | phase | from | to | where |
//! |---|---|---|---|
//! | parse | recipe text | [`recipe::Recipe`] | [`recipe`] |
//! | resolve | [`recipe::Recipe`] | [`plan::Plan`] | [`recipe`] |
//! | build | [`plan::Plan`] | [`pipeline::Pipeline`] | [`pipeline`] |
//! | sample | [`pipeline::Pipeline`] | [`lut::Table3`] | [`lut`] |
//! | write | [`lut::Table3`] | a cube file | [`formats::cube`] |
//! | verify | the written file | [`verify::Verification`] | [`verify`] |
//!
//! The library prints nothing, reads no clock and no environment, and touches only the files it is given.
//! What is wrong with an input is a value: [`diagnostics::Diagnostic`].

#![warn(clippy::print_stdout, clippy::print_stderr)]

pub mod colour;
pub mod compile;
pub mod diagnostics;
pub mod exchange;
pub mod explain;
pub mod exposure_map;
pub mod formats;
pub mod handoff;
pub mod identify;
pub mod light;
pub mod lut;
pub mod maths;
pub mod picture;
pub mod pipeline;
pub mod plan;
pub mod portrait;
pub mod recipe;
pub mod report;
pub mod show;
pub mod verify;
