//! Colours that the errors of steps are measured with: the chart, skins, hues and greys, as a camera records them.

use crate::colour::chart::{CHART, SKINS};
use crate::maths::Rgb;
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::verify::{SceneColour, SceneColours, Viewer};

/// Stops over and under that every colour is recorded at.
const STOPS: i32 = 6;

/// Greys go further: the noise floor and the ends of the curves.
const GREY_STOPS: i32 = 8;

/// Hues of the scene, degrees apart.
const HUE_STEP: i32 = 15;

/// Oklab chromas at mid-grey: pale, as the chart's skins, and strong.
const CHROMAS: [f64; 3] = [0.03, 0.06, 0.12];

/// Colours as a camera records them.
#[derive(Clone, Debug, PartialEq)]
pub struct Probes {
    /// The camera's signals, fractions of full scale: the chart's and skins' first, then hues, then greys.
    pub signals: Vec<Rgb>,
    /// How many of them are patches of the chart and skins at −3..+3 stops.
    pub patches: usize,
}

impl Probes {
    /// For the camera of a plan.
    #[must_use]
    pub fn new(plan: &Plan, pipeline: &Pipeline) -> Self {
        let viewer = Viewer::new(plan, pipeline);
        let patch =
            |stops: i32| CHART.iter().chain(&SKINS).map(move |patch| (patch, f64::from(stops))).collect::<Vec<_>>();
        let mut signals: Vec<Rgb> =
            (-3..=3).flat_map(patch).map(|(patch, stops)| viewer.camera_patch(patch, stops)).collect();
        let patches = signals.len();
        let wide = (-STOPS..=STOPS).filter(|stops| stops.abs() > 3).flat_map(patch);
        signals.extend(wide.map(|(patch, stops)| viewer.camera_patch(patch, stops)));
        let scene = SceneColours::new(&plan.camera, plan.adaptation);
        for hue in (0..360).step_by(HUE_STEP as usize) {
            for chroma in CHROMAS {
                for stops in -STOPS..=STOPS {
                    let colour = SceneColour { hue_deg: f64::from(hue), chroma, stops: f64::from(stops) };
                    if scene.recordable(colour, [0.0, 1.0]) {
                        signals.push(scene.signal(colour));
                    }
                }
            }
        }
        signals.extend((-2 * GREY_STOPS..=2 * GREY_STOPS).map(|half| viewer.camera_neutral(f64::from(half) / 2.0)));
        Self { signals, patches }
    }
}
