//! Test frames of a named camera: the chart's patches in its own light, encoded in its own log.

use super::chart_frame::{ChartFrame, ChartKind, render};
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{CHART, to_linear};
use crate::diagnostics::Diagnostic;
use crate::plan::Camera;

/// A test frame as this camera would record it: 16-bit codes, full range, with the values of its fields.
///
/// The patches are those of [`CHART`], adapted to the white of the camera's gamut by `adaptation`. What the encoding can't
/// hold is clamped in the frame and marked at its field.
///
/// # Errors
/// As [`render`]: the frame is too small or too large for the chart.
pub fn camera_chart(
    kind: ChartKind,
    camera: &Camera,
    adaptation: Adaptation,
    [width, height]: [usize; 2],
) -> Result<ChartFrame, Vec<Diagnostic>> {
    let (from_xyz, white) = (camera.gamut.from_xyz(), camera.gamut.white_xyz());
    let patches: Vec<_> =
        CHART.iter().map(|patch| (patch.name.to_owned(), to_linear(patch, &from_xyz, white, adaptation))).collect();
    render(kind, &|light| light.map(|value| camera.curve.encode(value)), &patches, width, height)
}
