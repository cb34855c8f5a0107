//! A look in the languages of others: the steps of the Common LUT Format, an ASC CDL, an ACES Metadata File.
//!
//! [`Translation`] turns the blocks of a pipeline into steps of the Common LUT Format: analytic steps wherever the standard has one, tables
//! for the blocks that need them, each with its own error measured and written beside it. [`fit`] finds the ASC CDL that comes nearest
//! to a look that is none.

mod correction;
mod curve;
mod display;
mod fit;
mod input;
mod probes;
mod scene;
mod table;
mod translation;

pub use correction::{CorrectedGrey, CorrectionFacts, correction_facts};
pub use curve::{CurveStep, curve_step};
pub use fit::plain_with;
pub use fit::{Fit, fit, is_cdl};
pub use probes::Probes;
pub use table::StepError;
pub use translation::{Step, Translation, WholeError, for_post, from_aces, to_aces};
