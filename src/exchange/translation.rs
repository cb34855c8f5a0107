//! A look as a list of steps.

use super::display::{Side, matrix_operation};
use super::input::input;
use super::probes::Probes;
use super::scene::{on_scene, scene};
use super::table::StepError;
use crate::colour::difference::ciede2000;
use crate::colour::gamuts::{ACES2065_1, ACESCG};
use crate::formats::clf::{Node, ProcessList};
use crate::maths::{CODE10_MAX, Rgb, exp2};
use crate::pipeline::{Clips, Pipeline, Row};
use crate::plan::{Device, Levels, Plan};
use crate::verify::Viewer;
use nalgebra::Matrix3;

/// Points a side of the table in the camera's signal: most of its nodes are the identity, which a table of any size holds exactly; where it
/// is not, 33 points cost up to 1.6 CIEDE2000 of a patch.
const INPUT_SIZE: usize = 49;

/// Points a side of the tables on the scene side, which are smooth: with 33, a split is off by four 10-bit codes in deep shadows.
const SCENE_SIZE: usize = 49;

/// Points a side of the table on the display side, where colours meet the edge of the display's gamut.
const DISPLAY_SIZE: usize = 49;

/// Steps of an axis of the camera's signal that the brightest light is sought at.
const TOP_STEPS: usize = 9;

/// A step, and what it misses.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The step.
    pub node: Node,
    /// What a table misses; `None` for steps that are what the look is.
    pub error: Option<StepError>,
}

impl Step {
    /// A step that misses nothing.
    #[must_use]
    pub fn exact(node: Node) -> Self {
        Self { node, error: None }
    }
}

/// What a list of steps misses of the look as a whole.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct WholeError {
    /// Largest difference of a channel of the display's signal, 10-bit codes.
    pub codes: f64,
    /// Mean CIEDE2000 of chart and skins at −3..+3 stops.
    pub mean_de: f64,
    /// Largest CIEDE2000 of chart and skins.
    pub max_de: f64,
}

/// A look for one camera and display, ready to be told in steps.
#[derive(Clone, Debug)]
pub struct Translation<'a> {
    plan: &'a Plan,
    pipeline: &'a Pipeline,
    probes: Probes,
    /// The camera's colours as light in ACEScg, as the look meets them.
    light: Vec<Rgb>,
    top: f64,
}

/// The plan for post: the signal in full levels, at `size` points, tetrahedral.
#[must_use]
pub fn for_post(plan: &Plan, size: usize) -> Plan {
    let device = Device {
        size,
        interpolation: crate::lut::Interpolation::Tetrahedral,
        input_levels: Levels::Full,
        output_levels: Levels::Full,
    };
    Plan { device, ..plan.clone() }
}

impl<'a> Translation<'a> {
    /// For a plan [`for_post`], and its pipeline.
    #[must_use]
    pub fn new(plan: &'a Plan, pipeline: &'a Pipeline) -> Self {
        let probes = Probes::new(plan, pipeline);
        let light = light_of(pipeline, probes.signals.iter().copied());
        let top = brightest(pipeline);
        Self { plan, pipeline, probes, light, top }
    }

    /// The brightest light that the look's tables hold: a power of two, at least that of ACEScct's last code.
    #[must_use]
    pub fn top(&self) -> f64 {
        self.top
    }

    /// The same for tables that must hold the light of other cameras too.
    #[must_use]
    pub fn with_top(self, top: f64) -> Self {
        Self { top: self.top.max(top), ..self }
    }

    /// From the camera's signal to ACEScg, without the recipe's exposure.
    #[must_use]
    pub fn input(&self) -> Vec<Step> {
        input(self.plan, self.pipeline, INPUT_SIZE, &self.probes.signals)
    }

    /// The look on the scene side, from ACEScg to ACEScg. Empty for looks that have none, and for those at another strength than
    /// their own, which are mixed on the display side.
    #[must_use]
    pub fn scene(&self) -> Vec<Step> {
        let mut row = self.row();
        scene(self.pipeline.look_blocks(), SCENE_SIZE, &mut row, self.top)
    }

    /// From ACEScg to the display's signal at full levels.
    #[must_use]
    pub fn display(&self) -> Vec<Step> {
        let mut row = self.row();
        let blocks = self.pipeline.look_blocks();
        let scene = blocks.iter().take_while(|block| on_scene(block)).count();
        blocks[..scene].iter().for_each(|block| block.apply(&mut row, &mut Clips::default()));
        let side = Side {
            plan: self.plan,
            pipeline: self.pipeline,
            blocks: blocks[scene..].iter().collect(),
            size: DISPLAY_SIZE,
            top: self.top,
        };
        side.steps(&mut row)
    }

    /// The recipe's exposure as a step; `None` where there is none.
    #[must_use]
    pub fn exposure(&self) -> Option<Step> {
        let stops = self.plan.exposure_stops;
        (stops != 0.0).then(|| {
            let matrix = Matrix3::identity() * exp2(stops);
            Step::exact(matrix_node("exposure", &format!("the recipe's exposure, {stops:+} stops"), &matrix))
        })
    }

    /// What a list from the camera's signal to the display's misses of the look.
    #[must_use]
    pub fn error_of(&self, list: &ProcessList) -> WholeError {
        self.error_through(|signal| list.apply(signal))
    }

    /// What anything misses of the look that leads from the camera's signal to the display's.
    #[must_use]
    pub fn error_through(&self, other: impl Fn(Rgb) -> Rgb) -> WholeError {
        let viewer = Viewer::new(self.plan, self.pipeline);
        let (mut codes, mut sum, mut max_de) = (0.0_f64, 0.0, 0.0_f64);
        for (place, signal) in self.probes.signals.iter().enumerate() {
            let (read, exact) = (other(*signal), viewer.of_look(*signal));
            for channel in 0..3 {
                let off = (read[channel] - exact[channel]).abs() * CODE10_MAX;
                codes = if off > codes || off.is_nan() { off } else { codes };
            }
            if place < self.probes.patches {
                let de = ciede2000(viewer.lab(read), viewer.lab(exact));
                sum += de;
                max_de = if de > max_de || de.is_nan() { de } else { max_de };
            }
        }
        WholeError { codes, mean_de: sum / self.probes.patches.max(1) as f64, max_de }
    }

    /// The camera's signals that errors are measured at, and how many of them are patches.
    #[must_use]
    pub fn probes(&self) -> &Probes {
        &self.probes
    }

    fn row(&self) -> Row {
        let mut row = Row::default();
        row.fill_pixels(self.light.iter().copied());
        row
    }
}

/// ACES2065-1 to ACEScg.
#[must_use]
pub fn from_aces() -> Step {
    let matrix = ACESCG.from_xyz() * ACES2065_1.to_xyz();
    Step::exact(matrix_node("ACES2065-1 to ACEScg", "scene-linear AP0 to AP1; both have the ACES white", &matrix))
}

/// ACEScg to ACES2065-1.
#[must_use]
pub fn to_aces() -> Step {
    let matrix = ACES2065_1.from_xyz() * ACESCG.to_xyz();
    Step::exact(matrix_node("ACEScg to ACES2065-1", "scene-linear AP1 to AP0; both have the ACES white", &matrix))
}

pub(super) fn matrix_node(name: &str, description: &str, matrix: &Matrix3<f64>) -> Node {
    Node::new(name, description, matrix_operation(matrix))
}

/// Light in ACEScg of camera signals.
fn light_of(pipeline: &Pipeline, signals: impl Iterator<Item = Rgb>) -> Vec<Rgb> {
    let mut row = Row::default();
    row.fill_pixels(signals);
    row.each(|signal| signal.map(|value| pipeline.decode(value)));
    pipeline.camera_blocks().iter().for_each(|block| block.apply(&mut row, &mut Clips::default()));
    row.pixels().collect()
}

/// The brightest light that the camera's signal can mean, up to the next power of two; at least that of ACEScct's last code.
fn brightest(pipeline: &Pipeline) -> f64 {
    let last = (TOP_STEPS - 1) as f64;
    let place = |index: usize| index as f64 / last;
    let signals = (0..TOP_STEPS.pow(3))
        .map(|index| [index % TOP_STEPS, index / TOP_STEPS % TOP_STEPS, index / TOP_STEPS / TOP_STEPS].map(place));
    let most = light_of(pipeline, signals).into_iter().flatten().fold(0.0_f64, f64::max);
    let mut top = crate::colour::encodings::acescct::decode(1.0);
    while top < most && top.is_finite() {
        top *= 2.0;
    }
    top
}
