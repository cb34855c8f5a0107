//! Which camera an unknown table was made for: as it is told, as the file's comments say, or a guess.

use super::judgement::{Judgement, camera_of};
use super::transfers::{camera_curves, curve_name};
use crate::colour::adaptation::Adaptation;
use crate::colour::encodings::{ENCODINGS, Functions};
use crate::colour::gamuts::{self, Gamut};
use crate::colour::{canonical_name, encodings::Curve};
use crate::maths::{Rgb, log2};
use crate::plan::{Camera, DisplayTarget};
use crate::verify::View;
use serde::Serialize;

/// Light of mid-grey on a display, 1 = white, where a look usually puts it, and how far either way it still makes sense.
/// Common practice, no source.
const USUAL_GREY: f64 = 0.10;
const GREY_RANGE: std::ops::RangeInclusive<f64> = 0.04..=0.25;

/// Contrast at grey of a look, display stops per scene stop. Common practice, no source.
const USUAL_CONTRAST: f64 = 1.35;
const CONTRAST_RANGE: std::ops::RangeInclusive<f64> = 0.7..=3.0;

/// Stops from grey to white of a look. Common practice, no source.
const USUAL_WHITE_STOPS: f64 = 6.0;

/// How much stranger an encoding is that no camera records.
const NO_CAMERA: f64 = 2.0;

/// Encodings with names shorter than this are found in every text.
const SHORTEST_NAME: usize = 4;

/// At most so many encodings are told.
const TOLD: usize = 8;

/// How the camera is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Known {
    /// It was asked for.
    Given,
    /// The file's comments say it, as lookwright writes them.
    Header,
    /// The file's title or comments name the encoding.
    Named,
    /// The descriptor of a list of steps names it.
    Described,
    /// No camera: a list of steps takes light, which is shown through a signal that holds enough of it.
    Light,
    /// The grey scale is a conversion from that encoding.
    Conversion,
    /// A guess: a sensible picture comes out.
    Guessed,
    /// Nothing sensible comes out for any encoding; this one stands for all.
    Nothing,
}

/// A camera that is taken for the table's.
#[derive(Clone, Debug, Serialize)]
pub struct AssumedCamera {
    /// The curve, with its exposure index.
    pub encoding: String,
    /// Id of the gamut.
    pub gamut: &'static str,
    /// How it is known.
    pub known: Known,
    /// Other encodings that give a sensible picture, the most sensible first; for a guess, this one among them.
    pub candidates: Vec<Candidate>,
    #[serde(skip)]
    pub(super) camera: Camera,
}

/// An encoding that gives a sensible picture.
#[derive(Clone, Debug, Serialize)]
pub struct Candidate {
    /// The curve, with its exposure index.
    pub encoding: String,
    /// Light of mid-grey, 1 = display white.
    pub grey_light: f64,
    /// Contrast at grey, display stops per scene stop.
    pub contrast: f64,
    /// Stops from grey at which white is reached; `None` if that is the last code.
    pub white_stops: Option<f64>,
    /// How far from usual: 0 is a usual picture.
    pub strangeness: f64,
}

/// The camera that is taken for a table's, and other candidates; the one that is `said` counts, whoever says it.
pub(super) fn assume(
    said: Option<(Camera, Known)>,
    texts: &[&str],
    judgement: &Judgement,
    display: &DisplayTarget,
    show: &(dyn Fn(Rgb) -> Rgb + Sync),
) -> AssumedCamera {
    let candidates = candidates(display, show);
    let (camera, known) = if let Some(said) = said {
        said
    } else if let Some(curve) = judgement.pairs.first().and_then(camera_of) {
        (with_own_gamut(curve), Known::Conversion)
    } else if let Some(curve) = named(texts, &candidates) {
        (with_own_gamut(curve), Known::Named)
    } else if let Some((_, curve)) = candidates.first() {
        (with_own_gamut(*curve), Known::Guessed)
    } else {
        (with_own_gamut(fallback()), Known::Nothing)
    };
    let candidates = candidates.into_iter().map(|(candidate, _)| candidate).take(TOLD).collect();
    AssumedCamera { encoding: curve_name(&camera.curve), gamut: camera.gamut.id, known, candidates, camera }
}

/// The encoding that stands for all where none fits: its mid-grey lies in the middle of the common ones.
fn fallback() -> Curve {
    let encoding = &crate::colour::encodings::s_log3::S_LOG3;
    Curve::new(encoding, None).expect("the encoding takes no exposure index")
}

/// A curve with the gamut that was published with it first, or ACEScg where none was.
fn with_own_gamut(curve: Curve) -> Camera {
    let own = curve.encoding().gamuts.first().and_then(|id| gamuts::find(id));
    let gamut: &'static Gamut = own.unwrap_or(&gamuts::ACESCG);
    Camera { curve, gamut }
}

/// Curves that make a sensible picture, the most usual first.
fn candidates(display: &DisplayTarget, show: &(dyn Fn(Rgb) -> Rgb + Sync)) -> Vec<(Candidate, Curve)> {
    let mut found: Vec<(Candidate, Curve)> = camera_curves()
        .into_iter()
        .filter(|curve| curve.encoding().id != "linear")
        .filter_map(|curve| Some((candidate(curve, display, show)?, curve)))
        .collect();
    found.sort_by(|a, b| a.0.strangeness.total_cmp(&b.0.strangeness));
    found
}

fn candidate(curve: Curve, display: &DisplayTarget, show: &(dyn Fn(Rgb) -> Rgb + Sync)) -> Option<Candidate> {
    let view = View::new(with_own_gamut(curve), Adaptation::default(), *display, show);
    let grey_light = view.light(view.neutral(0.0));
    let contrast = view.contrast()?;
    if !GREY_RANGE.contains(&grey_light) || !CONTRAST_RANGE.contains(&contrast) {
        return None;
    }
    let white_stops = view.ends().white_stops.or_else(|| view.stops(1.0));
    let white = white_stops.map_or(2.0, |stops| (stops - USUAL_WHITE_STOPS).abs() / 2.0);
    let foreign = if is_camera(curve.encoding().id) { 0.0 } else { NO_CAMERA };
    let strangeness = foreign + log2(grey_light / USUAL_GREY).abs() + 2.0 * (contrast - USUAL_CONTRAST).abs() + white;
    Some(Candidate { encoding: curve_name(&curve), grey_light, contrast, white_stops, strangeness })
}

/// Whether cameras record the encoding today: not one of interchange or film scanning, nor an earlier revision.
fn is_camera(id: &str) -> bool {
    !(id.starts_with("aces") || id == "cineon" || id.ends_with("-v1") || id.ends_with("-v2"))
}

/// The encoding whose name stands in the title or the comments, the longest name first; where it depends on the exposure
/// index, the most sensible of its indices.
fn named(texts: &[&str], candidates: &[(Candidate, Curve)]) -> Option<Curve> {
    let texts: Vec<String> = texts.iter().map(|text| canonical_name(text)).collect();
    let names = |text: &str, name: &str| name.len() >= SHORTEST_NAME && text.contains(name);
    let encoding = ENCODINGS
        .iter()
        .filter(|encoding| encoding.id != "linear")
        .filter(|encoding| texts.iter().any(|text| names(text, &canonical_name(encoding.id))))
        .max_by_key(|encoding| canonical_name(encoding.id).len())?;
    let likely = candidates.iter().map(|(_, curve)| *curve).find(|curve| curve.encoding() == *encoding);
    likely.or_else(|| match encoding.functions {
        Functions::Fixed { .. } => Curve::new(encoding, None).ok(),
        Functions::ByExposureIndex { indices, .. } => Curve::new(encoding, indices.first().copied()).ok(),
    })
}
