//! Scopes: waveform, parade, vectorscope, histogram in stops and chromaticity diagram, as values and as pictures.
//!
//! Each scope is a struct of counts that serialises, and has a `picture` of any size from 320 × 180: dark ground, graticule, figures.
//! Counts are whole numbers and added up, so that they are the same with any number of threads. Alpha is ignored. What they show and
//! where it comes from stands in `docs/seeing.md`, "Scopes".

mod chromaticity;
mod chromaticity_picture;
mod coding;
mod counts;
pub(crate) mod drawing;
mod histogram;
mod histogram_picture;
mod raster;
mod vectorscope;
mod vectorscope_picture;
mod waveform;
mod waveform_picture;

pub use chromaticity::{ChromaticityDiagram, Density, PatchMove, PixelLight, Triangle, TriangleOf};
pub use coding::{LumaCoding, code10};
pub use counts::Grid;
pub use drawing::Plot;
pub use histogram::{BIN_STOPS, Bins, FARTHEST_STOPS, StopsHistogram, clip_signal};
pub use vectorscope::{BarTarget, SKIN_DEGREES, Vectorscope};
pub use waveform::{LogMark, Trace, TraceOf, Waveform, log_marks};

use super::{Frame, pixel_count};

/// The smallest picture of a scope: below, its figures can't be read.
pub const SMALLEST: [usize; 2] = [320, 180];

/// The size of a scope's picture in pixels: at least [`SMALLEST`], at most what a frame may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PictureSize {
    width: usize,
    height: usize,
}

impl PictureSize {
    /// A size. `None` where it is too small or too large.
    #[must_use]
    pub fn new(width: usize, height: usize) -> Option<Self> {
        let possible = width >= SMALLEST[0] && height >= SMALLEST[1] && pixel_count(width, height).is_some();
        possible.then_some(Self { width, height })
    }

    /// Pixels a row.
    #[must_use]
    pub fn width(self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(self) -> usize {
        self.height
    }
}

/// A scope's picture, 8 bits for an sRGB screen, and where its values lie in it.
#[derive(Clone, Debug, PartialEq)]
pub struct ScopePicture {
    /// The picture.
    pub frame: Frame,
    /// The fields with data, from left to right.
    pub plots: Vec<Plot>,
}
