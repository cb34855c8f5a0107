//! What is computed of a frame beside its look: scopes, the lens, the scene; as multiples of writing the same frame as PNG.

use super::measure::{Place, Work, report};
use super::{Outcome, Stage, stills, stop};
use lookwright::formats::image::{self, PictureFormat, WriteOptions};
use lookwright::picture::lens::{Haze, Lens, LensFilter};
use lookwright::picture::scopes::{
    ChromaticityDiagram, LumaCoding, PictureSize, PixelLight, StopsHistogram, Vectorscope, Waveform, clip_signal,
    log_marks,
};
use lookwright::picture::{Frame, scene};
use lookwright::plan::Levels;
use std::hint::black_box;

/// Grades of the simulated filter.
const GRADES: [&str; 5] = ["1/8", "1/4", "1/2", "1", "2"];

fn png(frame: &Frame) {
    let bytes = image::encode(PictureFormat::Png, frame, &WriteOptions::default());
    drop(black_box(bytes.unwrap_or_else(|why| stop(format!("{why:?}")))));
}

/// All three, on two threads: processor time is that of both.
pub fn beside_writing(stage: &Stage) -> Outcome<()> {
    stage.two.install(|| {
        scopes(stage)?;
        lens(stage)?;
        the_scene(stage)
    })
}

fn scopes(stage: &Stage) -> Outcome<()> {
    let size = stage.size([1920, 1080]);
    let frame = stills::photograph(stage, size)?;
    let plan = &stage.look.plan;
    let drawn = PictureSize::new(960, 540).ok_or("a size")?;
    let across = drawn.width();
    let (curve, coding) = (&plan.camera.curve, LumaCoding::of_gamut(plan.display.gamut));
    let works: Vec<Work<'_>> = vec![
        ("the frame as PNG", Box::new(|| png(&frame))),
        (
            "waveform",
            Box::new(|| {
                let waveform = Waveform::luma(&frame, coding, Levels::Full, across);
                drop(black_box(waveform.picture(drawn, &log_marks(curve))));
            }),
        ),
        (
            "parade",
            Box::new(|| drop(black_box(Waveform::parade(&frame, Levels::Full, across / 3).picture(drawn, &[])))),
        ),
        ("vectorscope", Box::new(|| drop(black_box(Vectorscope::new(&frame, coding, Levels::Full).picture(drawn))))),
        (
            "histogram in stops",
            Box::new(|| {
                let histogram = StopsHistogram::new(&frame, &plan.camera, plan.adaptation, clip_signal(curve));
                drop(black_box(histogram.picture(drawn)));
            }),
        ),
        (
            "chromaticities of every pixel",
            Box::new(|| {
                let diagram = ChromaticityDiagram::new(&plan.camera, &plan.display);
                let diagram = diagram.with_pixels(&frame, PixelLight::Display(&plan.display));
                drop(black_box(diagram.picture(drawn)));
            }),
        ),
    ];
    report(
        &format!("Scopes of {} × {}, counted and drawn, two threads", size[0], size[1]),
        Place::Here,
        stage.runs,
        works,
    )
}

fn lens(stage: &Stage) -> Outcome<()> {
    let size = stage.large();
    let frame = stills::scene(stage, size)?;
    let mut works: Vec<Work<'_>> = vec![("the frame as PNG", Box::new(|| png(&frame)))];
    for grade in GRADES {
        let filter = LensFilter::grade(grade).map_err(|fault| format!("{fault:?}"))?;
        let lens = Lens { filter, haze: Haze::default() };
        let (frame, camera) = (&frame, &stage.look.plan.camera);
        works.push((grade, Box::new(move || drop(black_box(lens.on_log(frame, camera))))));
    }
    report(
        &format!("The lens on {} × {} of log, by grade, two threads", size[0], size[1]),
        Place::Here,
        stage.runs,
        works,
    )
}

fn the_scene(stage: &Stage) -> Outcome<()> {
    for size in [[1280, 720], [1920, 1080]].map(|size| stage.size(size)) {
        let frame = stills::scene(stage, size)?;
        let works: Vec<Work<'_>> = vec![
            ("the frame as PNG", Box::new(|| png(&frame))),
            ("the scene, in light", Box::new(|| drop(black_box(scene::scene(size))))),
        ];
        report(
            &format!("The scene, rendered at {} × {}, two threads", size[0], size[1]),
            Place::Here,
            stage.runs,
            works,
        )?;
    }
    Ok(())
}
