//! What lights, filters, balance, stop, diffusion and haze of a show's setups come to: one [`SetupSheet`] each.

mod cautions;
mod eye;
mod light;
mod sheet;
mod twice;
mod values;
mod ways;

pub use cautions::Caution;
pub use eye::Shown;
pub use light::sheet_filter;
pub(crate) use sheet::part_of;
pub use sheet::sheets;
pub(crate) use twice::shadow_lift;
pub use twice::{Twice, TwicePoint};
pub use values::{
    Between, RecipeWhite, SetupSheet, SheetBalance, SheetCamera, SheetDiffusion, SheetExposure, SheetFile, SheetFilter,
    SheetLight, SheetLook, SheetNeed, SheetReading, StopFor,
};
pub use ways::{Differences, Gains, WayCast, WayPatch, Ways, WhiteBlock};
