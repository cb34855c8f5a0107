//! Still pictures: frames in memory, a look applied to them, and test frames for any camera.

pub mod apply;
pub mod batch;
pub mod camera_chart;
mod canvas;
pub mod chart_frame;
mod chart_layout;
mod frame;
pub mod lens;
pub mod lettering;
pub mod mosaic;
pub mod preview;
pub mod scene;
pub mod scopes;
pub mod screen;
pub mod stand_in;

pub use frame::{CODE16_MAX, Converted, Frame, MAX_PIXELS, MAX_SIDE, SampleDepth, Samples, code16, pixel_count};
