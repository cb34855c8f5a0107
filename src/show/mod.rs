//! The show: every camera and every monitor of one production shows one picture.
//!
//! A show file names cameras, monitors, looks and setups. [`Show::load`] reads it, [`prepare`] makes one [`Job`] for each
//! look, variant, version, camera and monitor, [`run`](run()) writes and verifies their files.

pub mod consistency;
pub mod declared;
mod fields;
mod filters;
mod jobs;
mod load;
mod model;
pub mod names;

pub use jobs::{Drifted, Job, Part, Selection, Work, look_fingerprint, prepare};
pub use load::is_show;
pub use model::{
    Charset, ConsistencyTolerances, FileRules, FilterNumbers, Id, Light, LightFilter, LightSource, LookVersion, Setup,
    Show, ShowCamera, ShowLook, ShowMonitor, Variant,
};
