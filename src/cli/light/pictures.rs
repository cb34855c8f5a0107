//! The two ways as pictures.

use super::super::still_input;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::image::{self, WriteOptions};
use lookwright::light::{Balance, Lamp};
use lookwright::picture::SampleDepth;
use lookwright::picture::stand_in::Content;
use lookwright::pipeline::Pipeline;
use lookwright::plan::Plan;
use lookwright::show::{WayStill, way_pictures};
use std::path::{Path, PathBuf};

/// What the pictures are of.
pub struct Scene<'a> {
    /// What their names begin with.
    pub stem: &'a str,
    /// The lamp.
    pub lamp: &'a Lamp,
    /// The camera's balance.
    pub balance: &'a Balance,
    /// The look.
    pub look: (&'a Plan, &'a Pipeline),
}

/// Writes the four pictures and the sheet of all four into a folder, and gives their paths, the sheet first.
pub fn write(
    folder: &Path,
    still: Option<&Path>,
    input: Option<&str>,
    scene: &Scene<'_>,
) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
    let content = input.map_or(Ok(Content::Log), |text| still_input::content(text).map(|(content, _)| content))?;
    let frame = still.map(image::read).transpose()?;
    let still = frame.as_ref().map_or(WayStill::Chart, |frame| WayStill::Still(frame, content));
    let made = way_pictures(scene.look, scene.lamp, scene.balance, still)?;
    std::fs::create_dir_all(folder).map_err(|error| {
        let message = format!("{}: {error}", folder.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("name another folder")]
    })?;
    let sheet = made.sheet();
    let pictures = [
        ("two-ways", sheet.as_ref()),
        ("camera-negative", Some(&made.negative_in_camera)),
        ("camera-picture", Some(&made.in_camera)),
        ("recipe-negative", Some(&made.negative_neutral)),
        ("recipe-picture", Some(&made.in_recipe)),
    ];
    let options = WriteOptions { depth: Some(SampleDepth::Eight), ..WriteOptions::default() };
    let mut written = Vec::new();
    for (name, frame) in pictures {
        let Some(frame) = frame else { continue };
        let path = folder.join(format!("{}.{name}.png", scene.stem));
        image::write(&path, frame, &options)?;
        written.push(path);
    }
    Ok(written)
}
