//! The scene as light, and as a camera records it.

use super::material::CARD;
use super::render::{Lens, render};
use super::set::{BOARD, reference_field};
use super::vector::{V3, v3};
use super::world::World;
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::CHART;
use crate::colour::gamuts::ACESCG;
use crate::diagnostics::{Diagnostic, codes};
use crate::maths::{CODE10_MAX, GREY, Rgb, exp2};
use crate::picture::chart_frame::{ChartFrame, Field};
use crate::picture::{Frame, MAX_PIXELS, MAX_SIDE, code16, pixel_count};
use crate::pipeline::transform;
use crate::plan::Camera;
use rayon::prelude::*;
use std::sync::OnceLock;

/// The smallest frame whose patches can still be measured: width and height.
pub const SMALLEST_SIZE: (usize, usize) = (320, 180);

/// Exposures further away hold nothing of the scene any more.
pub const MOST_STOPS: f64 = 12.0;

/// The scene in linear ACEScg, as floats: 18 % grey under the key is 0.18, and the camera is balanced to the key.
///
/// Composed for 16:9: wider frames show more at the sides, others more above and below. The same pixels on every machine
/// and with every number of threads.
///
/// # Errors
/// The frame is smaller than [`SMALLEST_SIZE`] or larger than a frame may be.
pub fn scene([width, height]: [usize; 2]) -> Result<Frame, Diagnostic> {
    let impossible = |message: String, help: String| Diagnostic::error(&codes::CHART_IMPOSSIBLE, message).help(help);
    let (least_width, least_height) = SMALLEST_SIZE;
    if width < least_width || height < least_height {
        let message = format!("a frame of {width} × {height} pixels is too small for the scene");
        return Err(impossible(message, format!("it needs at least {least_width} × {least_height} pixels")));
    }
    let too_large = || {
        let help = format!("the most is {MAX_SIDE} pixels a side and {} megapixels in all", MAX_PIXELS / 1_000_000);
        impossible(format!("a frame of {width} × {height} pixels is too large"), help)
    };
    pixel_count(width, height).ok_or_else(too_large)?;
    Frame::from_floats(width, height, false, render(&World::new(), width, height)).ok_or_else(too_large)
}

/// Pixels of [`small_scene`] across and down: enough for a face and for a page's column, rendered in a moment.
pub const SMALL_SIZE: [usize; 2] = [640, 360];

/// [`scene`] at [`SMALL_SIZE`], rendered when it is first asked for, for all that a run of the program shows of it.
///
/// Not to be asked for first on a thread of rayon's pool: all of them render, and would wait for each other.
///
/// # Errors
/// None that could happen: the size is fixed.
pub fn small_scene() -> Result<&'static Frame, Vec<Diagnostic>> {
    static SCENE: OnceLock<Result<Frame, Box<Diagnostic>>> = OnceLock::new();
    let rendered = SCENE.get_or_init(|| scene(SMALL_SIZE).map_err(Box::new));
    rendered.as_ref().map_err(|fault| vec![fault.as_ref().clone()])
}

/// The scene as this camera would record it, `stops` over or under: 16-bit codes, full range, with the values of the
/// chart's patches and the grey card. Their light is exact: they are lit by the key alone, evenly, by construction.
///
/// ACEScg becomes the camera's RGB by `adaptation`. What the encoding can't hold is clamped in the frame.
///
/// # Errors
/// As [`scene`], or the exposure is more than 12 stops either way.
pub fn camera_scene(
    camera: &Camera,
    adaptation: Adaptation,
    size: [usize; 2],
    stops: f64,
) -> Result<ChartFrame, Vec<Diagnostic>> {
    recorded_by(&scene(size).map_err(|fault| vec![fault])?, camera, adaptation, stops)
}

/// A frame of [`scene`], as this camera would record it: as [`camera_scene`], where one rendering serves many cameras or
/// exposures.
///
/// # Errors
/// The exposure is more than 12 stops either way, or is no number.
pub fn recorded_by(
    light: &Frame,
    camera: &Camera,
    adaptation: Adaptation,
    stops: f64,
) -> Result<ChartFrame, Vec<Diagnostic>> {
    if !(-MOST_STOPS..=MOST_STOPS).contains(&stops) {
        let message = format!("the scene can't be shown at {stops} stops");
        let help = "choose an exposure from -12 to +12 stops";
        return Err(vec![Diagnostic::error(&codes::CHART_IMPOSSIBLE, message).help(help)]);
    }
    let (acescg, gamut) = (&ACESCG, camera.gamut);
    let matrix =
        gamut.from_xyz() * adaptation.matrix(acescg.white_xyz(), gamut.white_xyz()) * acescg.to_xyz() * exp2(stops);
    let linear = |light: Rgb| transform(&matrix, light);
    let encode = |light: Rgb| linear(light).map(|value| camera.curve.encode(value));
    let (width, height) = (light.width(), light.height());
    let mut codes = vec![0u16; width * height * 3];
    codes.par_chunks_mut(width * 3).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.as_chunks_mut::<3>().0.iter_mut().enumerate() {
            *pixel = encode(light.pixel(x, y).unwrap_or_default()).map(code16);
        }
    });
    let fields = fields(width, height, stops, &linear, &encode);
    // The size is that of a frame, so the frame exists; a wrong one would still be said and not be shown.
    let impossible = || vec![Diagnostic::error(&codes::CHART_IMPOSSIBLE, "the scene does not fit a frame")];
    Frame::from_sixteen_bit(width, height, false, codes)
        .map(|frame| ChartFrame { frame, fields })
        .ok_or_else(impossible)
}

/// The chart's patches and the card: the pixels that lie in them altogether, and their light.
fn fields(
    width: usize,
    height: usize,
    stops: f64,
    linear: &dyn Fn(Rgb) -> Rgb,
    encode: &dyn Fn(Rgb) -> Rgb,
) -> Vec<Field> {
    let lens = Lens::new(width, height);
    let world = super::palette::Palette::new();
    (0..=CARD)
        .filter_map(|place| {
            let (name, light) = match CHART.get(place) {
                Some(patch) => (patch.name, world.chart[place]),
                None => ("grey card", V3::ONE * GREY),
            };
            let [left, low, across, up] = reference_field(place);
            let [x0, y1] = lens.place(v3(left, low, BOARD.z));
            let [x1, y0] = lens.place(v3(left + across, low + up, BOARD.z));
            let ([x, y], [right, bottom]) =
                ([x0, y0].map(|edge| edge.ceil() + 1.0), [x1, y1].map(|edge| edge.floor() - 1.0));
            let signal = encode(light.into());
            let clipped = signal.iter().any(|value| !(0.0..=1.0).contains(value));
            (right > x && bottom > y).then(|| Field {
                name: name.to_owned(),
                stops,
                x: x as usize,
                y: y as usize,
                width: (right - x) as usize,
                height: (bottom - y) as usize,
                linear: linear(light.into()),
                signal,
                code10: signal.map(|value| (value * CODE10_MAX + 0.5) as u16),
                clipped,
            })
        })
        .collect()
}
