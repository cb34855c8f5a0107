//! Diffusion on the lens and diffusion in the recipe: what both together would do.

use super::sheet::part_of;
use crate::diagnostics::{Diagnostic, codes};
use crate::maths::{exp2, linear_from_stops, log2, stops_from_grey};
use crate::pipeline::{Clips, DiffusionBlock, Pipeline, Row};
use crate::plan::{Diffusion, Plan};
use crate::recipe::diffusion_preset;
use crate::show::jobs::Job;
use crate::show::{Setup, Show};
use serde::Serialize;

/// Where it is looked at, stops from grey.
const STOPS: [f64; 5] = [-6.0, -4.0, -2.0, 3.0, 5.0];

/// Diffusion on the lens, in the recipe, and both.
#[derive(Clone, Debug, Serialize)]
pub struct Twice {
    /// Grade on the lens.
    pub on_lens: String,
    /// What happens to neutrals.
    pub points: Vec<TwicePoint>,
}

/// A neutral of the scene: what reaches the look, in stops from grey, and the signal on the monitor in percent.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct TwicePoint {
    /// Stops from grey without any diffusion.
    pub stops: f64,
    /// Stops behind the filter on the lens.
    pub lens_stops: f64,
    /// Stops after the recipe's block.
    pub recipe_stops: f64,
    /// Stops after both.
    pub both_stops: f64,
    /// Signal without any diffusion, percent.
    pub none_percent: f64,
    /// Signal with the lens alone.
    pub lens_percent: f64,
    /// Signal with the recipe alone.
    pub recipe_percent: f64,
    /// Signal with both.
    pub both_percent: f64,
}

/// `lens` is the filter on the lens, as one of the recipe's presets. `None` where the recipe has no diffusion, or one of the two looks
/// can't be built.
pub(super) fn twice(plan: &Plan, grade: &str, lens: &Diffusion) -> Option<Twice> {
    if plan.diffusion.is_identity() {
        return None;
    }
    let mut clean = plan.clone();
    clean.diffusion = Diffusion::NONE;
    let ((with, _), (without, _)) = (Pipeline::build(plan).ok()?, Pipeline::build(&clean).ok()?);
    let veils = Veils::new(plan, lens);
    let points = STOPS.map(|stops| {
        let light = linear_from_stops(stops);
        let lens_light = veils.lens(light);
        TwicePoint {
            stops,
            lens_stops: stops_from_grey(lens_light),
            recipe_stops: stops_from_grey(veils.recipe(light)),
            both_stops: stops_from_grey(veils.recipe(lens_light)),
            none_percent: percent(&without, plan, light),
            lens_percent: percent(&without, plan, lens_light),
            recipe_percent: percent(&with, plan, light),
            both_percent: percent(&with, plan, lens_light),
        }
    });
    Some(Twice { on_lens: grade.to_owned(), points: points.to_vec() })
}

/// Signal of a neutral of the scene, mean of the channels, percent of the monitor's range.
fn percent(pipeline: &Pipeline, plan: &Plan, light: f64) -> f64 {
    let mut row = Row::default();
    // The camera's trim keeps neutrals up to its gain.
    row.fill_pixels(std::iter::once([light * exp2(-plan.camera_trim.stops); 3]));
    pipeline.run(&mut row, &mut Clips::default());
    let signal = row.pixels().next().unwrap_or_default().map(|value| plan.device.output_levels.from_signal(value));
    (signal[0] + signal[1] + signal[2]) / 3.0 * 100.0
}

/// The filter on the lens and the recipe's block, for neutrals.
struct Veils {
    lens: DiffusionBlock,
    recipe: DiffusionBlock,
    /// The recipe's exposure, as a factor.
    gain: f64,
}

impl Veils {
    fn new(plan: &Plan, lens: &Diffusion) -> Self {
        let [lens, recipe] = [lens, &plan.diffusion].map(DiffusionBlock::new);
        Self { lens, recipe, gain: exp2(plan.exposure_stops) }
    }

    /// The filter on the lens sees the scene.
    fn lens(&self, light: f64) -> f64 {
        self.lens.apply([light; 3])[1]
    }

    /// The recipe's block comes after its exposure.
    fn recipe(&self, light: f64) -> f64 {
        self.recipe.apply([self.gain * light; 3])[1] / self.gain
    }
}

/// By how many stops neutrals six stops under grey rise: with the recipe's block alone, and with both.
fn shadow_lift(plan: &Plan, lens: &Diffusion) -> [f64; 2] {
    let (veils, light) = (Veils::new(plan, lens), linear_from_stops(-6.0));
    [veils.recipe(light), veils.recipe(veils.lens(light))].map(|after| log2(after / light))
}

/// Setups with a diffusion filter on the lens whose look has diffusion too, each as a warning.
pub(crate) fn diffusion_twice(show: &Show, jobs: &[Job]) -> Vec<Diagnostic> {
    let of_setup = |(index, setup): (usize, &Setup)| {
        let on_lens = setup.diffusion_on_lens.as_ref()?;
        let part = part_of(show, index);
        let job = jobs.iter().find(|job| (job.look, job.part) == (setup.look, part))?;
        if job.plan.diffusion.is_identity() {
            return None;
        }
        let [once, both] = shadow_lift(&job.plan, &diffusion_preset(&on_lens.text)?);
        let message = format!("setup \"{}\" has diffusion on the lens and in its look", setup.id.text);
        let label = format!(
            "shadows six stops under grey rise by {both:.2} stops with both, {once:.2} with the look's own alone"
        );
        let help = "take the filter off the lens, or [diffusion] out of the look; `lookwright sheet` shows what both together do";
        Some(Diagnostic::warning(&codes::DIFFUSION_TWICE, message).at(on_lens.span.clone(), label).help(help))
    };
    show.setups.iter().enumerate().filter_map(of_setup).collect()
}
