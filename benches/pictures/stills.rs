//! The pictures that are worked on.

use super::{Outcome, Stage};
use lookwright::formats::image;
use lookwright::picture::apply::apply_function;
use lookwright::picture::scene;
use lookwright::picture::stand_in::{Content, StandIn};
use lookwright::picture::{Frame, Samples};
use std::fs;
use std::path::{Path, PathBuf};

/// The photograph, where Python's package for it lies.
fn photograph_path() -> Outcome<PathBuf> {
    let libraries = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/.venv/lib");
    for python in fs::read_dir(&libraries).into_iter().flatten() {
        let path = python?.path().join("site-packages/skimage/data/astronaut.png");
        if path.exists() {
            return Ok(path);
        }
    }
    Err(format!("no photograph below {}: `bash tests/run` installs it", libraries.display()).into())
}

/// The photograph as the look's camera records it, 16-bit codes.
///
/// It is laid out in columns, each from another row of it and every second one mirrored: no row repeats what stands before it
/// within the reach of a PNG's compression, and the grain is that of a photograph, not of an enlargement.
pub fn photograph(stage: &Stage, [width, height]: [usize; 2]) -> Outcome<Frame> {
    let small = image::read(&photograph_path()?).map_err(|faults| format!("{faults:?}"))?;
    let Samples::Codes(codes) = small.samples() else { return Err("a photograph of floats".into()) };
    let (pixels, side, channels) = (codes.as_slice(), small.width(), small.channels());
    let mut laid = Vec::with_capacity(width * height * 3);
    for y in 0..height {
        for x in 0..width {
            let (column, across) = (x / side, x % side);
            let across = if column % 2 == 0 { across } else { side - 1 - across };
            let down = (y + column * 197) % small.height();
            let at = (down * side + across) * channels;
            laid.extend_from_slice(&pixels[at..at + 3]);
        }
    }
    let shown = Frame::from_sixteen_bit(width, height, false, laid).ok_or("no frame")?;
    let stand_in = StandIn::new(Content::Srgb, &stage.look.plan, 0.0).ok_or("a photograph is no log signal")?;
    Ok(apply_function(&shown, |signal| stand_in.signal(signal)).frame)
}

/// The scene as the look's camera records it.
pub fn scene(stage: &Stage, size: [usize; 2]) -> Outcome<Frame> {
    let plan = &stage.look.plan;
    let recorded = scene::camera_scene(&plan.camera, plan.adaptation, size, 0.0);
    Ok(recorded.map_err(|faults| format!("{faults:?}"))?.frame)
}

/// The codes of a frame.
pub fn codes(frame: &Frame) -> &[u16] {
    match frame.samples() {
        Samples::Codes(codes) => codes,
        Samples::Floats(_) => super::stop("a frame of floats"),
    }
}

/// The samples of a file of raw frames: pixel by pixel, red first.
pub fn packed(frame: &Frame, little: bool) -> Vec<u8> {
    codes(frame).iter().flat_map(|code| if little { code.to_le_bytes() } else { code.to_be_bytes() }).collect()
}

/// The same plane by plane: green, blue, red, as ffmpeg's `gbrp16le` has them.
pub fn planar(frame: &Frame) -> Vec<u8> {
    [1, 2, 0]
        .iter()
        .flat_map(|channel| codes(frame).iter().skip(*channel).step_by(3))
        .flat_map(|code| code.to_le_bytes())
        .collect()
}
