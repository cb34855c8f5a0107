//! What lights, filters, balance, stop, diffusion and haze of a show's setups come to: one [`SetupSheet`] each.

mod cautions;
mod eye;
mod light;
mod pictures;
mod sheet;
mod twice;
mod values;
mod wanted;
mod ways;

pub use cautions::Caution;
pub use eye::Shown;
pub use light::{lone_light, sheet_filter};
pub use pictures::{WayPictures, WayStill, way_pictures};
pub use sheet::{job_of, part_of, sheets};
pub(crate) use twice::diffusion_twice;
pub use twice::{Twice, TwicePoint};
pub use values::{
    Between, RecipeWhite, SetupSheet, SheetBalance, SheetCamera, SheetDiffusion, SheetExposure, SheetFile, SheetFilter,
    SheetLight, SheetLook, SheetNeed, SheetReading, StopFor,
};
pub use wanted::{OtherCast, Wanted, WantedBalance, WantedStack, key_role, lone_wanted, lone_ways, wanted};
pub use ways::{Differences, Gains, WayCast, WayPatch, Ways, WhiteBlock};
