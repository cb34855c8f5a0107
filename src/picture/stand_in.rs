//! Pictures that are not the camera's own log signal, turned into it: photographs or scene light as a stand-in, another camera's log
//! signal, or the camera's own at another exposure.
//!
//! A photograph shows the mood of a look, not its exposure: it holds no more light than it was saved with. What a camera clipped stays
//! clipped at every exposure.

use crate::colour::canonical_name;
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::encodings::Curve;
use crate::colour::gamuts;
use crate::maths::{GREY, Rgb, exp2};
use crate::pipeline::{ToneBlock, transform};
use crate::plan::{Camera, Plan, Tone};
use nalgebra::Matrix3;

/// What the pixels of a still are.
#[derive(Clone, Copy, Debug, Default)]
pub enum Content {
    /// The camera's log signal, full range.
    #[default]
    Log,
    /// Another camera's log signal, full range.
    Camera(Camera),
    /// A photograph for an sRGB screen (IEC 61966-2-1, BT.709 primaries).
    Srgb,
    /// A photograph for a Display P3 screen (P3 primaries, D65, the curve of sRGB).
    DisplayP3,
    /// Scene light in BT.709 primaries with a white of D65, 18 % grey at 0.18.
    Linear,
}

impl Content {
    /// Those without a camera of their own, in the order of the documentation.
    pub const NAMED: [Self; 4] = [Self::Log, Self::Srgb, Self::DisplayP3, Self::Linear];

    /// The name on the command line; of a camera's signal, encoding and gamut.
    #[must_use]
    pub fn id(&self) -> String {
        match self {
            Self::Log => "log".to_owned(),
            Self::Camera(camera) => format!("{}/{}", camera.curve.encoding().id, camera.gamut.id),
            Self::Srgb => "srgb".to_owned(),
            Self::DisplayP3 => "display-p3".to_owned(),
            Self::Linear => "linear".to_owned(),
        }
    }

    /// The one of that name, compared as [`canonical_name`] does.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        Self::NAMED.into_iter().find(|content| canonical_name(&content.id()) == canonical_name(name))
    }

    /// Whether it is a camera's log signal: what a look is for. Anything else stands in for one.
    #[must_use]
    pub fn is_log(&self) -> bool {
        matches!(self, Self::Log | Self::Camera(_))
    }
}

/// The rendering that a photograph is taken to have: the defaults of `[tone]` in a recipe. Which one it really had can't be
/// known; this one gives highlights six stops to come back to, where a photograph taken for plain light has two and a half.
const RENDERING: Tone = Tone {
    contrast: 1.35,
    white_stops: 6.0,
    black_stops: 8.0,
    straight_up: 0.5,
    straight_down: 1.0,
    white_slope: 0.0,
    black_slope: 0.0,
    grey: 0.10,
    black: 0.0005,
    hue_hold: 0.0,
};

/// Steps a stop of the table that undoes the rendering. The light between two of them is right to 1e-5 of itself, in the
/// last tenth of a stop before white too, where the rendering is flattest: far below a 16-bit code of any log curve.
const STEPS_PER_STOP: usize = 512;

/// Turns pictures into what a camera would have recorded.
#[derive(Clone, Debug)]
pub struct StandIn {
    source: Source,
    to_acescg: Matrix3<f64>,
    /// ACEScg → camera RGB, with the exposure.
    to_camera: Matrix3<f64>,
    curve: Curve,
}

/// How a pixel becomes light.
#[derive(Clone, Debug)]
enum Source {
    /// Decoded by a camera's curve.
    Log(Curve),
    /// The screen's encoding and the rendering are undone.
    Photograph(Photograph),
    /// It is light.
    Light,
}

impl StandIn {
    /// A stand-in for the camera of a plan, `stops` over or under. `None` where nothing is to be done: [`Content::Log`] at its own
    /// exposure.
    #[must_use]
    pub fn new(content: Content, plan: &Plan, stops: f64) -> Option<Self> {
        let acescg = &gamuts::ACESCG;
        let adapted = |from: &gamuts::Gamut, to: &gamuts::Gamut| {
            to.from_xyz() * plan.adaptation.matrix(from.white_xyz(), to.white_xyz()) * from.to_xyz()
        };
        let (source, gamut) = match content {
            Content::Log if stops == 0.0 => return None,
            Content::Log => (Source::Log(plan.camera.curve), plan.camera.gamut),
            Content::Camera(camera) => (Source::Log(camera.curve), camera.gamut),
            Content::Srgb => (Source::Photograph(Photograph::new()?), &gamuts::BT709),
            Content::DisplayP3 => (Source::Photograph(Photograph::new()?), &gamuts::DISPLAY_P3),
            Content::Linear => (Source::Light, &gamuts::BT709),
        };
        Some(Self {
            source,
            to_acescg: adapted(gamut, acescg),
            to_camera: adapted(acescg, plan.camera.gamut) * exp2(stops),
            curve: plan.camera.curve,
        })
    }

    /// The camera's signal for a pixel, full range and not held to 0..1: what an encoding can't hold lies outside, and pure
    /// logarithms give minus infinity for no light.
    #[must_use]
    pub fn signal(&self, pixel: Rgb) -> Rgb {
        let light = match &self.source {
            Source::Log(curve) => transform(&self.to_acescg, pixel.map(|signal| curve.decode(held(signal)))),
            Source::Photograph(photograph) => transform(&self.to_acescg, photograph.screen.decode(pixel.map(held)))
                .map(|light| photograph.scene(light)),
            Source::Light => transform(&self.to_acescg, pixel),
        };
        transform(&self.to_camera, light).map(|light| self.curve.encode(light))
    }
}

/// A file holds nothing outside 0..1; what is not a number counts as black.
fn held(signal: f64) -> f64 {
    if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) }
}

/// A photograph's screen, and its rendering as a table from display light back to scene light.
#[derive(Clone, Debug)]
struct Photograph {
    screen: Display,
    /// Display light and scene light, both rising.
    steps: Vec<(f64, f64)>,
}

impl Photograph {
    fn new() -> Option<Self> {
        // The defaults of the language are a possible curve (tested); another one would leave no stand-in.
        let (rendering, _) = ToneBlock::new(&RENDERING).ok()?;
        let lowest = -RENDERING.black_stops;
        let count = (RENDERING.black_stops + RENDERING.white_stops) as usize * STEPS_PER_STOP;
        let mut steps = vec![(0.0, 0.0)];
        for step in 0..=count {
            let scene = GREY * exp2(lowest + step as f64 / STEPS_PER_STOP as f64);
            steps.push((rendering.curve(scene), scene));
        }
        Some(Self { screen: Display::new(DisplayEncoding::Srgb, 100.0), steps })
    }

    /// Scene light of one ACEScg channel from display light; held to what the rendering can show.
    fn scene(&self, display: f64) -> f64 {
        let above = self.steps.partition_point(|(shown, _)| *shown <= display);
        let (Some(&(low, dark)), Some(&(high, bright))) =
            (self.steps.get(above.wrapping_sub(1)), self.steps.get(above))
        else {
            return if above == 0 { 0.0 } else { self.steps.last().map_or(0.0, |(_, scene)| *scene) };
        };
        dark + (bright - dark) * (display - low) / (high - low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A round trip through the rendering's own formula.
    #[test]
    fn the_rendering_is_undone() {
        let photograph = Photograph::new().expect("the defaults are possible");
        let (rendering, _) = ToneBlock::new(&RENDERING).expect("the defaults are possible");
        for step in -75..60 {
            let scene = GREY * exp2(f64::from(step) / 10.0 + 0.003);
            let back = photograph.scene(rendering.curve(scene));
            let error = (back / scene - 1.0).abs();
            assert!(error < 1e-5, "{:+.1} stops: {scene} came back as {back}", f64::from(step) / 10.0);
        }
        assert_eq!(photograph.scene(0.0), 0.0, "no light");
        assert_eq!(photograph.scene(1.0), GREY * 64.0, "white is six stops over grey");
        assert_eq!(photograph.scene(1.5), GREY * 64.0, "nothing is brighter");
        assert_eq!(photograph.scene(-0.5), 0.0, "nothing is darker");
    }
}
