//! A still's scopes, before and behind the look, on one sheet.

use super::impossible;
use lookwright::diagnostics::Diagnostic;
use lookwright::picture::Frame;
use lookwright::picture::mosaic::Mosaic;
use lookwright::picture::scopes::{
    ChromaticityDiagram, LumaCoding, PictureSize, PixelLight, StopsHistogram, Vectorscope, Waveform, clip_signal,
    log_marks,
};
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Levels, Plan};

/// Pixels of a scope.
const SIZE: [usize; 2] = [960, 540];

/// The sheet: log signal left, the look's display signal right, then both together. `log` and `shown` are full-range signals of one still.
pub fn sheet(plan: &Plan, pipeline: &Pipeline, log: &Frame, shown: &Frame) -> Result<Frame, Vec<Diagnostic>> {
    let none = || impossible("the scopes can't be drawn", "leave out --scopes");
    let size = PictureSize::new(SIZE[0], SIZE[1]).ok_or_else(none)?;
    let coding = LumaCoding::of_gamut(plan.display.gamut);
    let across = size.width();
    let histogram = StopsHistogram::new(log, &plan.camera, plan.adaptation, clip_signal(&plan.camera.curve));
    let diagram = ChromaticityDiagram::new(&plan.camera, &plan.display)
        .with_patches(&plan.camera, &plan.display, plan.adaptation, |signal| pipeline.evaluate(signal))
        .with_pixels(shown, PixelLight::Display(&plan.display));
    let rows = vec![
        (
            "waveform: the camera's log signal, with its stops; the signal behind the look".to_owned(),
            vec![
                Waveform::luma(log, LumaCoding::Bt709, Levels::Full, across)
                    .picture(size, &log_marks(&plan.camera.curve))
                    .frame,
                Waveform::luma(shown, coding, Levels::Full, across).picture(size, &[]).frame,
            ],
        ),
        (
            "behind the look: parade, vectorscope".to_owned(),
            vec![
                Waveform::parade(shown, Levels::Full, across / 3).picture(size, &[]).frame,
                Vectorscope::new(shown, coding, Levels::Full).picture(size).frame,
            ],
        ),
        (
            "histogram of the scene in stops; chromaticities of the chart before and behind the look, and of the picture".to_owned(),
            vec![histogram.picture(size).frame, diagram.picture(size).frame],
        ),
    ];
    let mosaic = Mosaic {
        title: plan.look.name.clone(),
        subtitle: "Scopes: codes of 10 bits, full range as the signal is computed".to_owned(),
        rows,
        ..Mosaic::default()
    };
    mosaic.frame().ok_or_else(none)
}
