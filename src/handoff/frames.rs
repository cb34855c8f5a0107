//! The built-in scene with and without a look.

use super::post::PostLook;
use crate::diagnostics::Diagnostic;
use crate::formats::image::{PictureFormat, WriteOptions, encode};
use crate::picture::preview::{Applier, Preview};
use crate::picture::scene::{recorded_by, small_scene};
use crate::picture::{Frame, SampleDepth};

/// The scene's light, rendered once.
#[derive(Clone, Debug)]
pub(super) struct Frames {
    light: &'static Frame,
}

impl Frames {
    /// Renders the scene.
    ///
    /// # Errors
    /// None that could happen: the size is fixed.
    pub(super) fn new() -> Result<Self, Vec<Diagnostic>> {
        Ok(Self { light: small_scene()? })
    }

    /// What the camera of a look records: 16-bit PNG.
    pub(super) fn without(&self, look: &PostLook) -> Result<Vec<u8>, Vec<Diagnostic>> {
        let recorded = recorded_by(self.light, &look.plan.camera, look.plan.adaptation, 0.0)?;
        encode(PictureFormat::Png, &recorded.frame, &WriteOptions::default())
    }

    /// That through the look, as its display's signal: 8-bit PNG.
    pub(super) fn with(&self, look: &PostLook) -> Result<Vec<u8>, Vec<Diagnostic>> {
        let recorded = recorded_by(self.light, &look.plan.camera, look.plan.adaptation, 0.0)?;
        let applier = Applier::Exact(Box::new(look.pipeline.clone()));
        let preview = Preview { applier, device: look.plan.device, stand_in: None, screen: None };
        let shown = preview.apply(&recorded.frame).frame.to_depth(SampleDepth::Eight).frame;
        encode(PictureFormat::Png, &shown, &WriteOptions::default())
    }
}
