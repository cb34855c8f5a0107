//! The pictures of a report: the built-in scene and the chart, as recorded and through looks.

use crate::colour::adaptation::Adaptation;
use crate::diagnostics::Diagnostic;
use crate::formats::icc::Profile;
use crate::formats::image::{PictureFormat, WriteOptions, encode};
use crate::picture::camera_chart::camera_chart;
use crate::picture::chart_frame::{ChartFrame, ChartKind};
use crate::picture::preview::Preview;
use crate::picture::scene::{SMALL_SIZE, recorded_by, small_scene};
use crate::picture::{Frame, SampleDepth};
use crate::plan::Camera;
use rayon::prelude::*;

/// Quality of the pictures. Common practice, no source: no blocks are seen beside the original.
const QUALITY: u8 = 88;

/// The scene, rendered once for as many reports as are made.
#[derive(Clone, Debug)]
pub struct Studio {
    scene: &'static Frame,
}

/// A picture of a page.
#[derive(Clone, Debug)]
pub struct ReportPicture {
    /// What it shows, for the line under it.
    pub title: String,
    /// The file: JPEG of 8 bits for an sRGB screen, its profile embedded.
    pub jpeg: Vec<u8>,
    /// Pixels across and down.
    pub size: [usize; 2],
}

/// Pictures of one subject.
#[derive(Clone, Debug)]
pub struct Pictures {
    /// What is in them.
    pub subject: &'static str,
    /// The pictures, to be seen beside each other.
    pub pictures: Vec<ReportPicture>,
}

/// What is made of a camera's frame.
#[derive(Clone, Debug)]
pub struct Shown {
    /// For the line under the picture.
    pub title: String,
    /// The camera that the scene is recorded with.
    pub camera: Camera,
    /// Cone space of the adaptations.
    pub adaptation: Adaptation,
    /// From the camera's signal to a screen's; `None` shows the camera's own signal as it is.
    pub preview: Option<Preview>,
}

impl Studio {
    /// Renders the scene.
    ///
    /// # Errors
    /// None that could happen: the size is fixed.
    pub fn new() -> Result<Self, Vec<Diagnostic>> {
        Ok(Self { scene: small_scene()? })
    }

    /// The scene's light.
    pub(super) fn scene(&self) -> &Frame {
        self.scene
    }

    /// The scene and the chart, each as all of `shown` show it.
    ///
    /// # Errors
    /// A picture can't be encoded.
    pub fn pictures(&self, shown: &[Shown]) -> Result<Vec<Pictures>, Vec<Diagnostic>> {
        let scene = Self::row("the built-in scene, a ferry's lounge at dusk", shown, |of| {
            recorded_by(self.scene, &of.camera, of.adaptation, 0.0)
        })?;
        let chart = Self::row("the 24-patch chart in even light", shown, |of| {
            camera_chart(ChartKind::PatchesAt(0.0), &of.camera, of.adaptation, SMALL_SIZE)
        })?;
        Ok(vec![scene, chart])
    }

    fn row(
        subject: &'static str,
        shown: &[Shown],
        recorded: impl Fn(&Shown) -> Result<ChartFrame, Vec<Diagnostic>> + Sync,
    ) -> Result<Pictures, Vec<Diagnostic>> {
        let pictures = shown.par_iter().map(|of| of.picture(&recorded(of)?.frame));
        Ok(Pictures { subject, pictures: pictures.collect::<Result<_, Vec<Diagnostic>>>()? })
    }
}

impl Shown {
    fn picture(&self, recorded: &Frame) -> Result<ReportPicture, Vec<Diagnostic>> {
        let shown = self.preview.as_ref().map_or_else(|| recorded.clone(), |preview| preview.apply(recorded).frame);
        jpeg(self.title.clone(), &shown)
    }
}

/// A picture of a page.
pub(super) fn jpeg(title: String, frame: &Frame) -> Result<ReportPicture, Vec<Diagnostic>> {
    let frame = frame.to_depth(SampleDepth::Eight).frame;
    let options = WriteOptions { jpeg_quality: QUALITY, profile: Some(Profile::SRGB), ..WriteOptions::default() };
    let size = [frame.width(), frame.height()];
    Ok(ReportPicture { title, jpeg: encode(PictureFormat::Jpeg, &frame, &options)?, size })
}
