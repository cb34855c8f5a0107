//! The proof that all cameras, and all monitors, of a show show one picture.
//!
//! [`see`] looks at the same colours through one LUT, as its camera would record them: the chart and skins at −3..+3 stops, a
//! grey scale, and lights as saturated as monitors' primaries. [`between_cameras`] and [`between_monitors`] hold what was seen
//! of several LUTs of one look against each other, and say of every pair that misses its tolerances why it does.

mod cells;
mod matrix;
mod probes;
mod reason;
mod record;
mod seen;
mod spread;

pub use matrix::{Between, Matrix, Member, Pair, between_cameras, between_monitors};
pub use probes::{Probe, ProbeKind, probes};
pub use reason::{Cause, Reason};
pub use seen::{Grid, Seen, see};
pub use spread::{Figures, Spread, Worst};
