//! The 3D table: its nodes, how a device reads between them, and how a pipeline fills it.

pub mod fast;
mod interpolate;
mod sample;
mod sparse;
mod table;

pub use interpolate::Interpolation;
pub use sample::{Sampled, sample, sample_alone};
pub(crate) use sparse::SparseTable;
pub use table::{Domain, Table1, Table3, Tables};
