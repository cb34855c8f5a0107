//! What a look does, as values that a page draws: curves, casts, colours, maps and pictures.
//!
//! A [`Portrait`] needs a [`View`] only, so that a recipe's look and a cube file of unknown origin are drawn alike. Nothing here
//! writes a page: that is `report`.

mod document;
mod maps;
mod scopes;
mod studio;
mod words;

pub use document::{
    ComparisonReport, CubeReport, FileFacts, LookReport, LookSubject, ReportSide, SeenSide, Setting, ShowPart, Use,
};
pub use maps::{
    Clipped, ClippingMap, DifferenceMap, MAP_CHROMAS, MAP_HUES, MAP_STOPS, MapPlace, Worst, map_places, map_stops,
};
pub use scopes::ReportScopes;
pub use studio::{Pictures, ReportPicture, Shown, Studio};

use crate::colour::chart::{CHART, Patch, SKINS};
use crate::colour::difference::xyz_to_lab;
use crate::maths::{CODE10_MAX, Rgb};
use crate::picture::scopes::ChromaticityDiagram;
use crate::plan::Levels;
use crate::verify::{Cast, CurvePoint, Ends, SceneColour, View};
use serde::Serialize;

/// Hues that are followed.
const HUES: usize = 24;

/// Oklab chromas on mid-grey at which hues are followed: that of the chart's skins, and twice as much.
pub const HUE_CHROMAS: [f64; 2] = [0.06, 0.12];

/// Exposures at which patches are shown, stops.
pub const SWATCH_STOPS: [i32; 3] = [-2, 0, 2];

/// Greys whose channels lie this close together have no cast: a tenth of a 10-bit code.
const NEUTRAL_CODES: f64 = 0.1;

/// What a look does.
#[derive(Clone, Debug, Serialize)]
pub struct Portrait {
    /// The grey scale, dark to bright, eight steps to a stop.
    pub curve: Vec<CurvePoint>,
    /// Whether greys have a cast anywhere.
    pub tinted: bool,
    /// Whether nothing has a colour beside that of grey.
    pub monochrome: bool,
    /// Mid-grey.
    pub grey: Cast,
    /// Display signal of a neutral that is as bright as mid-grey, 0..1.
    pub grey_signal: f64,
    /// Display signal of display white.
    pub white_signal: f64,
    /// Light of display white, cd/m², where its encoding depends on it.
    pub white_nits: Option<f64>,
    /// What the display's link carries for a signal of 0..1.
    #[serde(skip)]
    pub output_levels: Levels,
    /// Contrast at grey, display stops per scene stop.
    pub contrast: Option<f64>,
    /// Where black ends and white begins.
    pub ends: Ends,
    /// What becomes of 24 hues, for each of [`HUE_CHROMAS`]; empty where grey is black.
    pub hues: Vec<HueMove>,
    /// Gamuts, and the chart's patches before and after.
    pub gamut: ChromaticityDiagram,
    /// The chart, then the skins.
    pub patches: Vec<PatchShown>,
    /// Where channels end.
    pub clipping: ClippingMap,
}

/// The cast of a grey.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CastPoint {
    /// Stops from grey.
    pub stops: f64,
    /// Warmer than display white, mired; `None` for black, and where there is no colour temperature.
    pub warmer_mired: Option<f64>,
    /// Greener than display white, Duv.
    pub greener_duv: Option<f64>,
}

impl From<&CurvePoint> for CastPoint {
    fn from(point: &CurvePoint) -> Self {
        Self { stops: point.stops, warmer_mired: point.warmer_mired, greener_duv: point.greener_duv }
    }
}

/// What becomes of a hue at mid-grey.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct HueMove {
    /// Oklab hue of the scene's colour, degrees.
    pub hue_deg: f64,
    /// Its Oklab chroma.
    pub chroma: f64,
    /// How far the hue turns, degrees.
    pub turn_deg: f64,
    /// Oklab chroma shown, at the luminance of mid-grey, apart from any cast.
    pub seen_chroma: f64,
    /// CIELAB against diffuse white.
    pub lab: [f64; 3],
}

/// A patch as it is and as it is shown.
#[derive(Clone, Debug, Serialize)]
pub struct PatchShown {
    /// Its name.
    pub name: &'static str,
    /// Whether it is a skin of the chart or of the published ones.
    pub skin: bool,
    /// CIELAB of the patch itself, against the white that it is given under.
    pub scene_lab: [f64; 3],
    /// At each of [`SWATCH_STOPS`].
    pub shown: Vec<Swatch>,
}

/// A colour on the display.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Swatch {
    /// Stops over or under.
    pub stops: i32,
    /// CIELAB against diffuse white.
    pub lab: [f64; 3],
}

impl Portrait {
    /// The casts of the grey scale, dark to bright.
    #[must_use]
    pub fn casts(&self) -> Vec<CastPoint> {
        self.curve.iter().map(CastPoint::from).collect()
    }

    /// Looks through a view.
    #[must_use]
    pub fn new(view: &View<'_>) -> Self {
        let curve = view.curve();
        let spread = |[r, g, b]: Rgb| r.max(g).max(b) - r.min(g).min(b);
        let tinted = curve.iter().any(|point| spread(point.signal) > NEUTRAL_CODES / CODE10_MAX);
        let hues = hues(view);
        let gamut = ChromaticityDiagram::new(&view.camera, view.display()).with_patches(
            &view.camera,
            view.display(),
            view.adaptation,
            |signal| view.signal(signal),
        );
        Self {
            tinted,
            monochrome: !hues.is_empty() && hues.iter().all(|hue| hue.seen_chroma < MONOCHROME * hue.chroma),
            grey: view.cast(view.neutral(0.0)),
            grey_signal: view.neutral_signal(view.neutral(0.0)),
            white_signal: view.white_signal(),
            white_nits: view.display().encoding.needs_peak().then_some(view.display().peak_nits),
            output_levels: view.output_levels(),
            contrast: view.contrast(),
            ends: view.ends(),
            hues,
            gamut,
            patches: CHART.iter().chain(&SKINS).map(|patch| shown(view, patch)).collect(),
            clipping: ClippingMap::new(view),
            curve,
        }
    }
}

/// A picture has no colour where this part of the scene's chroma is left: rounding of a table's numbers.
const MONOCHROME: f64 = 0.01;

fn hues(view: &View<'_>) -> Vec<HueMove> {
    let colours = HUE_CHROMAS.into_iter().flat_map(|chroma| {
        (0..HUES).map(move |index| SceneColour { hue_deg: 360.0 / HUES as f64 * index as f64, chroma, stops: 0.0 })
    });
    colours
        .map_while(|colour| {
            let seen = view.seen(colour)?;
            Some(HueMove {
                hue_deg: colour.hue_deg,
                chroma: colour.chroma,
                turn_deg: seen.turn_deg,
                seen_chroma: seen.chroma,
                lab: lab(view, seen.signal),
            })
        })
        .collect()
}

fn shown(view: &View<'_>, patch: &'static Patch) -> PatchShown {
    use crate::colour::chart::{CHART_WHITE, PatchKind};
    let scene = xyz_to_lab(patch.xyz_d50, CHART_WHITE);
    let shown = SWATCH_STOPS.map(|stops| Swatch { stops, lab: lab(view, view.patch(patch, f64::from(stops))) });
    PatchShown {
        name: patch.name,
        // The first two patches of the chart are skins.
        skin: patch.kind == PatchKind::Skin || patch.number <= 2,
        scene_lab: [scene.l, scene.a, scene.b],
        shown: shown.to_vec(),
    }
}

fn lab(view: &View<'_>, signal: Rgb) -> [f64; 3] {
    let lab = view.lab_of_surface(signal);
    [lab.l, lab.a, lab.b]
}
