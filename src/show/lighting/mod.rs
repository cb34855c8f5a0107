//! What lights, filters, balance, stop, diffusion and haze of a show's setups come to: one [`SetupSheet`] each.

mod cautions;
mod eye;
mod sheet;
mod twice;
mod values;
mod ways;

pub use cautions::Caution;
pub use eye::Shown;
pub use sheet::{SheetOptions, sheets};
pub use twice::{Twice, TwicePoint};
pub(crate) use twice::shadow_lift;
pub use values::{
    Between, SetupSheet, SheetBalance, SheetCamera, SheetDiffusion, SheetExposure, SheetFile, SheetFilter, SheetLight,
    SheetLook, SheetNeed, SheetReading, RecipeWhite, StopFor,
};
pub use ways::{Differences, Gains, WayCast, WayPatch, Ways, WhiteBlock};
