//! The package for post: everything that was decided, in every language that it may be read in, with proofs; and its check on arrival.
//!
//! [`pack`] puts a show into a package. What it holds stands in its [`Manifest`], `package.json`; what a reader needs to know stands
//! in `START-HERE`. The layout:
//!
//! | folder | holds |
//! |---|---|
//! | `show/` | show, recipes, trims as they were written, in their own folders |
//! | `resolved/` | every look with every default filled in |
//! | `monitors/` | the LUT files of the cameras and monitors |
//! | `post/` | `cube/`, `clf/`, `aces/`, `linear/`, `cdl/`, `edl/` |
//! | `setups/`, `frames/`, `tables/`, `reports/` | sheets, pictures, grey scale and patches, pages |

mod amf;
mod causes;
mod compared;
mod frames;
mod inside;
mod lists;
mod manifest;
mod notes;
mod pack;
mod parts;
mod post;
mod receive;
mod resolved;
mod same_picture;
mod sources;
mod start;
mod tables;
mod told;
mod uses;
mod versions;

pub use causes::Cause;
pub use lists::look_at_lists;
pub use manifest::{
    CdlNote, FitNote, ListNote, LookNote, LutNote, MANIFEST, Manifest, PostNote, Reference, Superseded,
};
pub use pack::{Options, Page, finish, key_of_setup, pack};
pub use parts::{PartKey, part_stem};
pub use post::{POST_SIZE, PostLook, cube_bytes};
pub use receive::{Arrival, Finding, manifest, receive};
pub use same_picture::Picture;
pub use start::{Section, StartHere};
pub use versions::{LookChange, Packed, State, changes_between, new_versions};
