//! The show: every camera and every monitor of one production shows one picture.
//!
//! A show file names cameras, monitors, looks and setups. [`Show::load`] reads it, [`prepare`] makes one [`Job`] for each
//! look, variant, version, camera and monitor, [`run()`] writes and verifies their files.

mod card;
pub mod consistency;
pub mod declared;
mod fields;
mod jobs;
mod ledger;
mod lighting;
mod load;
mod maps;
mod model;
pub mod names;
mod proof;
pub mod reference;
mod run;
mod starter;
mod version;
mod words;

pub(crate) use card::records;
pub use card::{CardDevice, CardEntry, CardMap, LoadingCard, MapState};
pub use jobs::{Drifted, Job, Part, Selection, Work, look_fingerprint, prepare};
pub use ledger::{Entry, LEDGER, Ledger, Summary};
pub use lighting::{
    Between, Caution, Differences, Gains, OtherCast, RecipeWhite, SetupSheet, SheetBalance, SheetCamera,
    SheetDiffusion, SheetExposure, SheetFile, SheetFilter, SheetLight, SheetLook, SheetNeed, SheetReading, Shown,
    StopFor, Twice, TwicePoint, Wanted, WantedBalance, WantedStack, WayCast, WayPatch, WayPictures, WayStill, Ways,
    WhiteBlock, job_of, key_role, lone_light, lone_wanted, lone_ways, part_of, sheet_filter, sheets, wanted,
    way_pictures,
};
pub use load::is_show;
pub use load::lights::{fault_key, fault_label, impossible, named_filter};
pub use maps::{MapFile, MapNote, MapZone, map_files};
pub use model::{
    Charset, ConsistencyTolerances, FileRules, Id, Light, LookVersion, OwnFilter, Reading, Setup, Show, ShowCamera,
    ShowLook, ShowMonitor, Variant,
};
pub use proof::{CameraProof, LookProof, MonitorProof, Proof};
pub use run::{Event, Hold, Left, Made, Options, Run, check_folder, file_of, folder_of, run};
pub use starter::{start, starter};
pub use version::{Logged, NewVersion, SetupLog, log};
pub use words::changes;
