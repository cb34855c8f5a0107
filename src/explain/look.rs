//! What a recipe means: its parameters, its matrices, the signal of each stop and the cast of its greys.

use super::TABLE_STOPS;
use super::parameters::{ResolvedTable, parameters};
use crate::colour::whites::{Chromaticity, cct_duv, mired};
use crate::compile::Prepared;
use crate::maths::{CODE10_MAX, Rgb};
use crate::pipeline::{camera_to_acescg, tint_matrix};
use crate::plan::{Plan, Tint};
use crate::verify::{CurvePoint, Picture, View, Viewer};
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// Where the cast is told: a shadow, grey and a highlight, which hardly any look leaves at black or white.
const CAST_STOPS: [f64; 3] = [-3.0, 0.0, 2.0];

/// Channels of a signal that differ by less than this are one: a tenth of a 10-bit code.
const NEUTRAL_SPREAD: f64 = 0.1 / CODE10_MAX;

/// One stop of the grey scale, from the camera's code to the display.
#[derive(Clone, Debug, Serialize)]
pub struct SignalStep {
    /// Stops from grey.
    pub stops: f64,
    /// 10-bit code that the camera records, 0..1023, not rounded.
    pub code_in: f64,
    /// Whether the camera's signal has ended there, so that its last code is recorded.
    pub beyond_signal: bool,
    /// Display signal of the exact look, red, green and blue, 0..1.
    pub signal: Rgb,
    /// What leaves the LUT for it, 10-bit codes: full or legal, as `lut.output_levels` says.
    pub code_out: Rgb,
    /// Signal of the neutral that looks equally bright, 0..1.
    pub neutral_signal: f64,
    /// Luminance on a display whose white has `display.peak_nits`, cd/m²; `None` where the recipe doesn't say its peak.
    pub nits: Option<f64>,
}

/// The colour of a grey on the display.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Cast {
    /// Stops from grey.
    pub stops: f64,
    /// Chromaticity x, CIE 1931.
    pub x: f64,
    /// Chromaticity y, CIE 1931.
    pub y: f64,
    /// Correlated colour temperature, kelvin; `None` beyond the ends of the locus of black bodies.
    pub kelvin: Option<f64>,
    /// The same in mired.
    pub mired: Option<f64>,
    /// Distance from that locus, positive above it, towards green.
    pub duv: Option<f64>,
    /// How much warmer than display white it looks, mired.
    pub warmer_mired: Option<f64>,
    /// How much greener than display white it looks, Duv.
    pub greener_duv: Option<f64>,
}

/// The tone block in two numbers.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct ToneSlope {
    /// Slope of the straight line in the log domain: `tone.contrast`.
    pub contrast: f64,
    /// The slope that the eye meets at grey, after black has been taken off: display stops per scene stop.
    pub slope_at_grey: f64,
}

/// What a recipe means.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// Every parameter with its origin.
    pub tables: Vec<ResolvedTable>,
    /// Camera RGB → ACEScg.
    pub camera_to_acescg: Matrix3<f64>,
    /// The tints of `white`, `split.shadows` and `split.highlights` on ACEScg, those that change anything.
    pub tints: Vec<(&'static str, Matrix3<f64>)>,
    /// Display-linear ACEScg → the display's linear RGB.
    pub acescg_to_display: Matrix3<f64>,
    /// The tone block; `None` for a technical conversion.
    pub tone: Option<ToneSlope>,
    /// Every whole stop of the grey scale, −8..+8.
    pub steps: Vec<SignalStep>,
    /// The same finely: stops and the signal of the neutral that looks equally bright.
    pub curve: Vec<(f64, f64)>,
    /// Every eighth of a stop with its channels and its cast.
    pub greys: Vec<CurvePoint>,
    /// Colour of three greys on the display; a grey that is black has none.
    pub casts: Vec<Cast>,
    /// Colour of display white.
    pub display_white: Cast,
    /// Whether a grey leaves the look with three different channels anywhere between black and white.
    pub tinted: bool,
    /// The plan's fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
}

impl Explanation {
    /// Explains a recipe that has been built.
    #[must_use]
    pub fn new(prepared: &Prepared) -> Self {
        let Prepared { recipe, plan, pipeline, .. } = prepared;
        let viewer = Viewer::new(plan, pipeline);
        let picture = Picture::new(plan);
        let peak_known = recipe.get("display.peak_nits").is_some();
        let steps: Vec<SignalStep> = (-TABLE_STOPS..=TABLE_STOPS)
            .map(|stops| signal_step(&viewer, &picture, f64::from(stops), peak_known))
            .collect();
        let view = View::new(plan.camera, plan.adaptation, plan.display, |camera| viewer.of_look(camera));
        let greys = view.curve();
        let white = plan.display.gamut.white;
        let display_white = cast(0.0, Chromaticity { x: white[0], y: white[1] }, None);
        let casts =
            CAST_STOPS.into_iter().filter_map(|stops| grey_cast(&viewer, &picture, stops, &display_white)).collect();
        Self {
            tables: parameters(recipe, plan),
            camera_to_acescg: camera_to_acescg(plan.camera.gamut, plan.adaptation),
            tints: tints(plan),
            acescg_to_display: *pipeline.output().matrix(),
            tone: plan
                .tone
                .as_ref()
                .zip(pipeline.tone())
                .map(|(tone, block)| ToneSlope { contrast: tone.contrast, slope_at_grey: block.slope_at_grey() }),
            tinted: steps.iter().any(|step| spread(step.signal) > NEUTRAL_SPREAD),
            steps,
            curve: greys.iter().map(|point| (point.stops, point.neutral_signal)).collect(),
            greys,
            casts,
            display_white,
            fingerprint: plan.fingerprint(),
        }
    }
}

fn spread(rgb: Rgb) -> f64 {
    rgb[0].max(rgb[1]).max(rgb[2]) - rgb[0].min(rgb[1]).min(rgb[2])
}

fn tints(plan: &Plan) -> Vec<(&'static str, Matrix3<f64>)> {
    let found = |(name, tint): (&'static str, &Tint)| {
        // A tint that no light has stopped the build before.
        let matrix = tint_matrix(tint, plan.adaptation, name).ok()?;
        (!tint.is_identity()).then_some((name, matrix))
    };
    [("white", &plan.white), ("split.shadows", &plan.split.shadows), ("split.highlights", &plan.split.highlights)]
        .into_iter()
        .filter_map(found)
        .collect()
}

fn signal_step(viewer: &Viewer<'_>, picture: &Picture, stops: f64, peak_known: bool) -> SignalStep {
    let plan = viewer.plan();
    let camera = viewer.camera_neutral(stops);
    let signal = viewer.of_look(camera);
    SignalStep {
        stops,
        code_in: camera[0] * CODE10_MAX,
        beyond_signal: camera[0] >= 1.0,
        signal,
        code_out: signal.map(|value| plan.device.output_levels.to_signal(value) * CODE10_MAX),
        neutral_signal: viewer.neutral_signal(signal),
        nits: peak_known.then(|| picture.xyz(signal)[1] * plan.display.peak_nits),
    }
}

fn grey_cast(viewer: &Viewer<'_>, picture: &Picture, stops: f64, white: &Cast) -> Option<Cast> {
    let [x, y, z] = picture.xyz(viewer.of_look(viewer.camera_neutral(stops)));
    // Black has no chromaticity.
    (x + y + z > 0.0).then(|| cast(stops, Chromaticity::from_xyz(Vector3::new(x, y, z)), Some(white)))
}

fn cast(stops: f64, chromaticity: Chromaticity, white: Option<&Cast>) -> Cast {
    let place = cct_duv(chromaticity);
    let (kelvin, duv) = (place.map(|(kelvin, _)| kelvin), place.map(|(_, duv)| duv));
    let in_mired = kelvin.map(mired);
    let beside = |own: Option<f64>, other: Option<f64>| own.zip(other).map(|(own, other)| own - other);
    Cast {
        stops,
        x: chromaticity.x,
        y: chromaticity.y,
        kelvin,
        mired: in_mired,
        duv,
        warmer_mired: beside(in_mired, white.and_then(|white| white.mired)),
        greener_duv: beside(duv, white.and_then(|white| white.duv)),
    }
}
