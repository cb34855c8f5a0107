//! What a cube file of unknown origin does: its numbers, what it looks like, and the picture that it makes.
//!
//! Numbers and judgement need no assumption. The picture does: which camera's signal goes in, and which display shows what
//! comes out. Both are told, with how they are known; a guess is called one.

mod camera;
mod judgement;
mod pairs;
mod steps;
mod transfers;
mod values;

pub use camera::{AssumedCamera, Candidate, Known};
pub use judgement::{Judgement, Kind};
pub use pairs::Pair;
pub use steps::{StepFacts, carrier, inspect_steps, light_gamut, light_of_carrier};
pub use values::{Bend, Smoothness, Values};

use super::{Cast, CurvePoint, Ends, Falling, Hue, Mapping, PictureColours, Shape, View, shape};
use crate::colour::adaptation::Adaptation;
use crate::colour::displays::DisplayEncoding;
use crate::colour::gamuts;
use crate::compile::{camera_in, fingerprint_in, levels_in, monitor_in};
use crate::formats::cube::{CubeFile, Tables};
use crate::lut::Interpolation;
use crate::maths::{CODE10_MAX, Rgb, log2};
use crate::plan::{Camera, DisplayTarget, Levels};
use judgement::{Samples, judge};
use serde::Serialize;

/// Peak of a display where nobody says another, cd/m²: that of a reference display in a dim room (ITU-R BT.2035).
const USUAL_PEAK_NITS: f64 = 100.0;

/// The grey scale is told this many stops either way.
const GREY_STOPS: i32 = 8;

/// What the caller knows about the file.
#[derive(Clone, Copy, Debug, Default)]
pub struct Assumptions {
    /// The camera whose signal goes in.
    pub camera: Option<Camera>,
    /// The display.
    pub display: Option<DisplayTarget>,
    /// What 0..1 means at the input and at the output.
    pub levels: Option<(Levels, Levels)>,
}

/// Everything that can be said about a file.
#[derive(Clone, Debug, Serialize)]
pub struct Inspection {
    /// `1D`, `3D` or `shaped 3D`; `steps` for a list of steps.
    pub table: &'static str,
    /// Points a side, or of the 1D table; none, 0, for a list of steps.
    pub size: usize,
    /// Points of the 1D table that shapes a 3D one.
    pub shaper_size: Option<usize>,
    /// Least input of each channel.
    pub domain_min: Rgb,
    /// Greatest input of each channel.
    pub domain_max: Rgb,
    /// The file's title.
    pub title: Option<String>,
    /// The file's comments.
    pub comments: Vec<String>,
    /// Fingerprint of the recipe that it was made from, if a comment gives one.
    pub fingerprint: Option<String>,
    /// The numbers.
    pub values: Values,
    /// How smoothly they go.
    pub smoothness: Smoothness,
    /// What it looks like.
    pub judgement: Judgement,
    /// The camera that is taken for its own.
    pub camera: AssumedCamera,
    /// The display that is taken for its own.
    pub display: AssumedDisplay,
    /// The picture.
    pub picture: PictureFacts,
    /// Folds; `None` for a table that is not 3D alone.
    pub shape: Option<Shape>,
    /// The steps of a list; none for a cube file.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepFacts>,
}

/// A file as it is looked at: what it says of itself, and what it does.
struct Subject<'a> {
    title: Option<String>,
    comments: Vec<String>,
    fingerprint: Option<String>,
    mapping: Mapping<'a>,
    /// The camera that it names itself.
    camera: Option<(Camera, Known)>,
    target: DisplayTarget,
    levels: (Levels, Levels),
    /// Whether display and levels were given or stand in the file.
    known: bool,
}

/// A display and levels, and whether they are known.
#[derive(Clone, Debug, Serialize)]
pub struct AssumedDisplay {
    /// Id of the encoding.
    pub encoding: &'static str,
    /// Id of the gamut.
    pub gamut: &'static str,
    /// Luminance of white, cd/m².
    pub peak_nits: f64,
    /// Levels of the input.
    pub input_levels: &'static str,
    /// Levels of the output.
    pub output_levels: &'static str,
    /// Whether they were given or stand in the file's comments; else they are an assumption.
    pub known: bool,
}

/// The picture that a file makes of an assumed camera on an assumed display.
#[derive(Clone, Debug, Serialize)]
pub struct PictureFacts {
    /// The grey scale in whole stops.
    pub grey_scale: Vec<GreyStep>,
    /// The same finely, −8..+8 stops.
    pub curve: Vec<CurvePoint>,
    /// Display signal of mid-grey: of its green channel, 0..1.
    pub mid_grey_signal: f64,
    /// Contrast at grey, display stops per scene stop.
    pub contrast: Option<f64>,
    /// Where black ends and white begins.
    pub ends: Ends,
    /// The camera's lowest code.
    pub black: Cast,
    /// Mid-grey.
    pub grey: Cast,
    /// The camera's highest code.
    pub white: Cast,
    /// Twelve hues at mid-grey.
    pub hues: Vec<Hue>,
    /// Where the grey scale falls, if it does.
    pub falling: Option<Falling>,
}

/// A step of the grey scale.
#[derive(Clone, Debug, Serialize)]
pub struct GreyStep {
    /// Stops from grey.
    pub stops: f64,
    /// 10-bit code that the camera records.
    pub code_in: f64,
    /// Whether the camera's signal has ended there.
    pub beyond_signal: bool,
    /// Display signal, 10-bit codes.
    pub codes: Rgb,
    /// Light in stops below display white; `None` for black.
    pub display_stops: Option<f64>,
    /// Display stops per scene stop there; `None` where it is black.
    pub slope: Option<f64>,
}

/// Looks at a file.
#[must_use]
pub fn inspect(file: &CubeFile, assumptions: &Assumptions) -> Inspection {
    inspect_with_view(file, assumptions).0
}

/// As [`inspect()`], with the view through the file that the picture was found by.
#[must_use]
pub fn inspect_with_view<'a>(file: &'a CubeFile, assumptions: &Assumptions) -> (Inspection, View<'a>) {
    let (target, levels, known) = display(file, assumptions);
    let said = |camera| (camera, Known::Header);
    let subject = Subject {
        title: file.title.clone(),
        comments: file.comments.clone(),
        fingerprint: fingerprint_in(&file.comments).map(str::to_owned),
        mapping: Mapping::new(&file.tables, Interpolation::Tetrahedral),
        camera: assumptions.camera.map(|camera| (camera, Known::Given)).or_else(|| camera_in(&file.comments).map(said)),
        target,
        levels,
        known,
    };
    look_at(subject)
}

fn look_at(subject: Subject<'_>) -> (Inspection, View<'_>) {
    let Subject { title, comments, fingerprint, mapping, camera, target, levels, known } = subject;
    let show = |camera: Rgb| shown(&mapping, levels, camera);
    let judgement = judge(&Samples::of(&mapping));
    let texts: Vec<&str> = title.iter().chain(&comments).map(String::as_str).collect();
    let camera = camera::assume(camera, &texts, &judgement, &target, &show);
    let view = View::of_file(mapping, camera.camera, target, levels);
    let shape = mapping.tables().and_then(|tables| folds(tables, &camera.camera, levels.0));
    let points = mapping.points().unwrap_or(0);
    let inspection = Inspection {
        table: match mapping.tables() {
            None => "steps",
            Some(Tables::One(_)) => "1D",
            Some(Tables::Three(_)) => "3D",
            Some(Tables::Shaped { .. }) => "shaped 3D",
        },
        size: mapping.tables().and_then(values::table).map_or(points, crate::lut::Table3::size),
        shaper_size: matches!(mapping.tables(), Some(Tables::Shaped { .. })).then_some(points),
        domain_min: mapping.domain().min,
        domain_max: mapping.domain().max,
        title,
        comments,
        fingerprint,
        values: values::values(&mapping),
        smoothness: values::smoothness(&mapping),
        picture: picture(&view),
        display: AssumedDisplay {
            encoding: target.encoding.id(),
            gamut: target.gamut.id,
            peak_nits: target.peak_nits,
            input_levels: levels.0.id(),
            output_levels: levels.1.id(),
            known,
        },
        judgement,
        camera,
        shape,
        steps: Vec::new(),
    };
    (inspection, view)
}

/// The display's signal for a camera's, through a file; held to 0..1 on both sides of the table, as a device does.
pub(super) fn shown(mapping: &Mapping<'_>, (input, output): (Levels, Levels), camera: Rgb) -> Rgb {
    let result = mapping.apply(camera.map(|value| input.from_signal(value).clamp(0.0, 1.0)));
    result.map(|value| output.from_signal(value).clamp(0.0, 1.0))
}

/// The display and levels: as given, else as the comments say, else the usual ones.
fn display(file: &CubeFile, assumptions: &Assumptions) -> (DisplayTarget, (Levels, Levels), bool) {
    let header = monitor_in(&file.comments).map(|monitor| DisplayTarget {
        encoding: monitor.encoding,
        gamut: monitor.gamut,
        peak_nits: monitor.peak_nits.unwrap_or(USUAL_PEAK_NITS),
    });
    let usual = DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: USUAL_PEAK_NITS };
    let stated = assumptions.display.or(header);
    let levels = assumptions.levels.or_else(|| levels_in(&file.comments)).unwrap_or((Levels::Full, Levels::Full));
    (stated.unwrap_or(usual), levels, stated.is_some())
}

fn folds(tables: &Tables, camera: &Camera, input: Levels) -> Option<Shape> {
    let Tables::Three(table) = tables else { return None };
    let colours = PictureColours::of(camera, Adaptation::default());
    Some(shape(table, |place| colours.hold(place.map(|value| input.to_signal(value)))))
}

fn picture(view: &View<'_>) -> PictureFacts {
    let grey = view.neutral(0.0);
    PictureFacts {
        grey_scale: (-GREY_STOPS..=GREY_STOPS).map(|stops| step(view, f64::from(stops))).collect(),
        curve: view.curve(),
        mid_grey_signal: grey[1],
        contrast: view.contrast(),
        ends: view.ends(),
        black: view.cast(view.signal([0.0; 3])),
        grey: view.cast(grey),
        white: view.cast(view.signal([1.0; 3])),
        hues: view.hues(),
        falling: view.falling(),
    }
}

fn step(view: &View<'_>, stops: f64) -> GreyStep {
    let camera = view.camera_neutral(stops);
    let signal = view.signal(camera);
    GreyStep {
        stops,
        code_in: camera[0] * CODE10_MAX,
        beyond_signal: camera[0] >= 1.0,
        codes: signal.map(|value| value * CODE10_MAX),
        display_stops: Some(log2(view.light(signal))).filter(|stops| stops.is_finite()),
        slope: view.slope(stops),
    }
}
