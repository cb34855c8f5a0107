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

#[cfg(test)]
mod tests {
    use super::drawing::{Drawing, LEAST_LETTERS, Shape, page_letters};
    use super::*;
    use crate::colour::adaptation::Adaptation;
    use crate::colour::displays::DisplayEncoding;
    use crate::colour::encodings::{Curve, find};
    use crate::colour::gamuts;
    use crate::picture::lettering::{Lettering, Weight};
    use crate::plan::{Camera, DisplayTarget, Levels};

    /// The box of the ink that a text leaves.
    fn ink([left, top]: [f64; 2], text: &str, letters: f64, bold: bool) -> [usize; 4] {
        let weight = if bold { Weight::Bold } else { Weight::Regular };
        let mut own = [usize::MAX, usize::MAX, 0, 0];
        Lettering::new(letters as f32, weight).draw(text, [left as f32, top as f32], |x, y, coverage| {
            if coverage > 0.3 {
                own = [own[0].min(x), own[1].min(y), own[2].max(x), own[3].max(y)];
            }
        });
        own
    }

    fn readable(drawing: &Drawing, what: &str) -> Vec<String> {
        let mut boxes: Vec<(&str, [usize; 4])> = Vec::new();
        for shape in &drawing.shapes {
            let Shape::Text { left_top, text, bold, .. } = shape else { continue };
            let own = ink(*left_top, text, drawing.letters, *bold);
            assert!(own[2] < drawing.width && own[3] < drawing.height, "{what}: {text} leaves the picture: {own:?}");
            for (other, theirs) in &boxes {
                let apart = own[0] > theirs[2] || theirs[0] > own[2] || own[1] > theirs[3] || theirs[1] > own[3];
                assert!(apart, "{what}: {text} lies on {other}");
            }
            boxes.push((text, own));
        }
        boxes.into_iter().map(|(text, _)| text.to_owned()).collect()
    }

    fn holds(texts: &[String], wanted: &[&str], what: &str) {
        for wanted in wanted {
            assert!(texts.iter().any(|text| text.contains(wanted)), "{what}: no {wanted} among {texts:?}");
        }
    }

    /// No two texts touch, none leaves the picture, and those that matter are there, whatever the size, gamut and encoding.
    #[test]
    fn texts_stand_apart_and_the_important_ones_are_there() {
        let frame =
            Frame::from_sixteen_bit(2, 1, false, vec![20_000, 30_000, 40_000, 65_535, 50, 0]).expect("two pixels");
        let display = DisplayTarget { encoding: DisplayEncoding::Pq, gamut: &gamuts::BT2020, peak_nits: 1000.0 };
        for (encoding, gamut) in [
            ("s-log3", "s-gamut3.cine"),
            ("log3g10", "redwidegamutrgb"),
            ("c-log2", "cinema-gamut"),
            ("n-log", "bt2020"),
        ] {
            let curve = Curve::new(find(encoding).expect(encoding), None).expect(encoding);
            let Some(gamut) = gamuts::find(gamut) else { panic!("no gamut {gamut}") };
            let camera = Camera { curve, gamut };
            let histogram = StopsHistogram::new(&frame, &camera, Adaptation::default(), 1.0);
            let diagram = ChromaticityDiagram::new(&camera, &display).with_patches(
                &camera,
                &display,
                Adaptation::default(),
                |rgb| rgb,
            );
            for [width, height] in [[320, 180], [320, 700], [640, 360], [1024, 180], [1280, 720], [1920, 1080]] {
                let size = PictureSize::new(width, height).expect("a size");
                let what = format!("{encoding} at {width} × {height}");
                let vectors = Vectorscope::new(&frame, LumaCoding::Bt2020, Levels::Full);
                let texts = readable(&vectors.drawing(size, LEAST_LETTERS).0, &what);
                holds(&texts, &["R", "G", "B", "Cy", "Mg", "Yl", "123°", "512", "C′B", "C′R", "guidance only"], &what);
                for levels in Levels::ALL {
                    let luma = Waveform::luma(&frame, LumaCoding::Bt709, levels, 1920);
                    let parade = Waveform::parade(&frame, levels, 1920);
                    for (waveform, names) in [(luma, &["Y′"][..]), (parade, &["R", "G", "B"])] {
                        for marks in [log_marks(&curve), Vec::new()] {
                            let texts = readable(&waveform.drawing(size, LEAST_LETTERS, &marks).0, &what);
                            holds(&texts, &["64", "512", "940", "0 %", "50 %", "100 %"], &what);
                            holds(&texts, names, &what);
                            holds(&texts, if marks.is_empty() { &[] } else { &["grey", "+1", "+4", "−"] }, &what);
                        }
                    }
                }
                for letters in [LEAST_LETTERS, page_letters(size)] {
                    let texts = readable(&histogram.drawing(size, letters).0, &what);
                    holds(&texts, &["grey", "floor", "clip", "at clip: R", "100 %", "+", "−", "luminance"], &what);
                    let texts = readable(&diagram.drawing(size, letters).0, &what);
                    holds(&texts, &["camera: ", "monitor: BT.2020", "24 patches", "D65", "0.4"], &what);
                }
            }
        }
    }
}
