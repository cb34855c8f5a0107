//! Scopes of the built-in scene: its light as the camera records it, and the display's signal behind a look.

use super::studio::{Pictures, ReportPicture, Shown, Studio, jpeg};
use crate::diagnostics::Diagnostic;
use crate::picture::Frame;
use crate::picture::preview::Preview;
use crate::picture::scene::recorded_by;
use crate::picture::scopes::{LumaCoding, PictureSize, StopsHistogram, Vectorscope, Waveform, clip_signal};
use crate::plan::{DisplayTarget, Levels};

/// Pixels of a scope: few, so that its letters stay readable in a column.
const SIZE: [usize; 2] = [480, 270];

/// Scopes of the scene.
#[derive(Clone, Debug)]
pub struct ReportScopes {
    /// The scene's light, as the camera records it.
    pub histogram: StopsHistogram,
    /// Waveform, parade and vectorscope of the display's signal.
    pub pictures: Pictures,
}

impl Studio {
    /// Scopes of the scene behind a look. `display` is the look's.
    ///
    /// # Errors
    /// A picture can't be encoded.
    pub fn scopes(&self, of: &Shown, display: &DisplayTarget) -> Result<ReportScopes, Vec<Diagnostic>> {
        let recorded = recorded_by(self.scene(), &of.camera, of.adaptation, 0.0)?.frame;
        // The display's own signal, and not a screen's.
        let signal = of.preview.as_ref().map_or_else(
            || recorded.clone(),
            |preview| Preview { screen: None, ..preview.clone() }.apply(&recorded).frame,
        );
        Ok(ReportScopes {
            histogram: StopsHistogram::new(&recorded, &of.camera, of.adaptation, clip_signal(&of.camera.curve)),
            pictures: Pictures { subject: "scopes of the built-in scene", pictures: drawn(&signal, display)? },
        })
    }
}

fn drawn(signal: &Frame, display: &DisplayTarget) -> Result<Vec<ReportPicture>, Vec<Diagnostic>> {
    let Some(size) = PictureSize::new(SIZE[0], SIZE[1]) else { return Ok(Vec::new()) };
    let (coding, full) = (LumaCoding::of_gamut(display.gamut), Levels::Full);
    [
        ("waveform of luma", Waveform::luma(signal, coding, full, SIZE[0]).picture(size, &[]).frame),
        ("parade of R′, G′ and B′", Waveform::parade(signal, full, SIZE[0] / 3).picture(size, &[]).frame),
        ("vectorscope; the skin line is guidance only", Vectorscope::new(signal, coding, full).picture(size).frame),
    ]
    .into_iter()
    .map(|(title, frame)| jpeg(title.to_owned(), &frame))
    .collect()
}
