//! Light before it reaches the camera: lamps, the filters on them, the cast that they leave at a balance.
//!
//! A [`Lamp`] is a source and its filters; [`Lamp::lit`] is the light behind them; [`cast`] is what a camera that is balanced to
//! a [`Balance`] sees of it, in the terms of a recipe's `[white]`. The equations stand in `docs/light.md`.

mod cast;
pub mod exposure;
mod filters;
mod lamp;
mod search;
mod source;
mod want;

pub use cast::{Balance, Cast, DUV_PER_CC, adapted, balanced, cast, light_for};
pub use filters::{BUILT_IN, BuiltIn, Filter, built_in, estimated_stops};
pub use lamp::{Lamp, LampFault, Lit, Temperature};
pub use search::{NEAR_UV, Stack, balance_for, balance_for_kelvin, stacks};
pub use source::{LightSource, Source, SourceFault};
pub use want::{Want, WantFault, Wish, parse_want, quantities};
