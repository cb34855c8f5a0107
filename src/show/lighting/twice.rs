//! Diffusion on the lens and diffusion in the recipe: what both together would do.

use crate::maths::{exp2, linear_from_stops, log2, stops_from_grey};
use crate::pipeline::{Clips, DiffusionBlock, Pipeline, Row};
use crate::plan::{Diffusion, Plan};
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
    let (on_lens, in_recipe) = (DiffusionBlock::new(lens), DiffusionBlock::new(&plan.diffusion));
    let points = STOPS.map(|stops| {
        let light = linear_from_stops(stops);
        // The filter on the lens sees the scene; the recipe's block comes after its exposure.
        let (lens_light, gain) = (on_lens.apply([light; 3])[1], exp2(plan.exposure_stops));
        let recipe = |light: f64| in_recipe.apply([gain * light; 3])[1] / gain;
        TwicePoint {
            stops,
            lens_stops: stops_from_grey(lens_light),
            recipe_stops: stops_from_grey(recipe(light)),
            both_stops: stops_from_grey(recipe(lens_light)),
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

/// How much more the recipe lifts the shadows at −6 stops when the filter hangs on the lens too: stops with the recipe alone, and with both.
pub(crate) fn shadow_lift(recipe: &Diffusion, lens: &Diffusion) -> [f64; 2] {
    let light = linear_from_stops(-6.0);
    let veiled = |filter: &Diffusion, light: f64| (1.0 - filter.veil) * light + filter.veil * filter.veil_level;
    [veiled(recipe, light), veiled(recipe, veiled(lens, light))].map(|after| log2(after / light))
}
