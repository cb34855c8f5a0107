//! Two ways to one picture: the cast made in the camera, or a neutral negative and the cast in the recipe.

use super::eye::{Balancing, Eye, Shown};
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{CHART, Patch, PatchKind, SKINS};
use crate::colour::difference::ciede2000;
use crate::colour::gamuts::xy_to_xyz;
use crate::colour::whites::{Chromaticity, planckian, shifted_white, white_shift};
use crate::light::{Balance, Cast, DUV_PER_CC, balanced};
use crate::maths::{Rgb, log2};
use crate::pipeline::{Pipeline, tint_matrix};
use crate::plan::{Plan, Tint};
use nalgebra::Vector3;
use serde::Serialize;

/// Patches are compared up to this many stops over and under.
const STOPS: i32 = 2;

/// From here on two colours side by side are told apart, ΔE2000: common practice, no source.
const SEEN: f64 = 1.0;

/// The two ways for one light of a setup.
#[derive(Clone, Debug, Serialize)]
pub struct Ways {
    /// Role of the light.
    pub light: String,
    /// The cast that it leaves at the setup's balance.
    pub cast: WayCast,
    /// The balance that makes the negative neutral.
    pub neutral_kelvin: f64,
    /// Its tint, Duv.
    pub neutral_greener_duv: f64,
    /// The complete `[white]` of the recipe with the cast in it.
    pub white: WhiteBlock,
    /// Difference of the pictures if the camera balances as the recipe adapts.
    pub like_recipe: Differences,
    /// Difference of the pictures if the camera balances by gains on its recorded channels.
    pub by_channels: Differences,
    /// What the camera and the recipe amplify with the cast in the camera.
    pub in_camera: Gains,
    /// The same with a neutral negative.
    pub neutral_negative: Gains,
    /// Patches side by side, at their own exposure, for a camera that balances by its channels.
    pub patches: Vec<WayPatch>,
}

/// A cast, in all its units.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct WayCast {
    /// Mired, positive is warmer.
    pub warmer_mired: f64,
    /// Duv, positive is greener.
    pub greener_duv: f64,
    /// CC, positive is greener.
    pub greener_cc: f64,
}

impl From<Cast> for WayCast {
    fn from(cast: Cast) -> Self {
        Self { warmer_mired: cast.warmer_mired, greener_duv: cast.greener_duv, greener_cc: cast.greener_cc() }
    }
}

/// A `[white]` block.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct WhiteBlock {
    /// `reference_kelvin`.
    pub reference_kelvin: f64,
    /// `warmer_mired`.
    pub warmer_mired: f64,
    /// `greener_cc`.
    pub greener_cc: f64,
    /// The same as `greener_duv`.
    pub greener_duv: f64,
}

/// CIEDE2000 between the pictures of the two ways.
#[derive(Clone, Debug, Serialize)]
pub struct Differences {
    /// Mean over the chart, −2..+2 stops.
    pub chart_mean: f64,
    /// Worst of the chart.
    pub chart_max: f64,
    /// Which that is.
    pub chart_worst: String,
    /// Mean over all skins, the chart's own two included, −2..+2 stops.
    pub skins_mean: f64,
    /// Worst of the skins.
    pub skins_max: f64,
    /// Which that is.
    pub skins_worst: String,
    /// Colours of both that differ by 1 or more.
    pub seen: usize,
    /// Colours of both, each at five exposures.
    pub count: usize,
}

/// Gains on the channels of the recorded gamut, stops, red green blue.
#[derive(Clone, Debug, Serialize)]
pub struct Gains {
    /// In the camera, from no balance at all (light of the gamut's white) to the balance.
    pub camera_stops: Rgb,
    /// In the recipe, for the cast.
    pub recipe_stops: Rgb,
    /// Together.
    pub picture_stops: Rgb,
    /// The channel that is amplified most in the negative.
    pub weakest: &'static str,
    /// The channel that is amplified least.
    pub least: &'static str,
    /// By how much the one is amplified more than the other, stops.
    pub weakest_stops: f64,
    /// A white card under the light reaches the end of the recording in its first channel so many stops over grey.
    pub headroom_stops: f64,
    /// The channel that does.
    pub first_to_clip: &'static str,
}

/// A patch, both ways.
#[derive(Clone, Debug, Serialize)]
pub struct WayPatch {
    /// Its name.
    pub name: &'static str,
    /// Whether it is a skin.
    pub is_skin: bool,
    /// What the negative holds with the cast in the camera, seen through the plain conversion.
    pub negative_in_camera: Shown,
    /// What a neutral negative holds.
    pub negative_neutral: Shown,
    /// The picture with the cast in the camera.
    pub in_camera: Shown,
    /// The picture with the cast in the recipe.
    pub in_recipe: Shown,
    /// CIEDE2000 between the pictures.
    pub de2000: f64,
}

const CHANNELS: [&str; 3] = ["red", "green", "blue"];

/// The `[white]` that does what `white` does and gives the cast on top, seen from the balance. `None` where no such block exists.
pub(super) fn with_cast(white: &Tint, cast: &Cast, balance_kelvin: f64, adaptation: Adaptation) -> Option<Tint> {
    let whites = |kelvin: f64, mired: f64, duv: f64| {
        let (from, to) = (planckian(kelvin), shifted_white(kelvin, mired, duv));
        let cones = adaptation.cone_matrix();
        (cones * xy_to_xyz([to.x, to.y])).component_div(&(cones * xy_to_xyz([from.x, from.y])))
    };
    let own = whites(white.reference_kelvin, white.warmer_mired, white.greener_duv);
    let added = whites(balance_kelvin, cast.warmer_mired, cast.greener_duv);
    let cones = adaptation.cone_matrix();
    let reference = planckian(balance_kelvin);
    let seen = (cones * xy_to_xyz([reference.x, reference.y])).component_mul(&own).component_mul(&added);
    let seen = Chromaticity::from_xyz(cones.try_inverse()? * seen);
    let (warmer_mired, greener_duv) = white_shift(seen, balance_kelvin)?;
    (warmer_mired.abs() <= Tint::MOST_MIRED && greener_duv.abs() <= Tint::MOST_DUV).then_some(Tint {
        reference_kelvin: balance_kelvin,
        warmer_mired,
        greener_duv,
    })
}

/// What both ways need beside the look itself.
pub(super) struct Recipes {
    /// The balance that makes the negative neutral.
    pub(super) neutral: Balance,
    /// The complete `[white]`.
    pub(super) tint: Tint,
    /// The look with that `[white]`.
    pub(super) in_recipe: (Plan, Pipeline),
    /// The plain conversion.
    pub(super) plain: (Plan, Pipeline),
}

/// The recipe with the cast in it, and the plain conversion; or why there are not two ways.
pub(super) fn recipes(plan: &Plan, light: Chromaticity, balance: &Balance, cast: &Cast) -> Result<Recipes, String> {
    if plan.strength != 1.0 {
        return Err(format!(
            "the look is mixed with a plain conversion (strength {}), which has no [white]: a part of the cast would be missing from the picture, \
             so that it can be made in the camera only",
            plan.strength
        ));
    }
    let neutral = balanced(light)
        .ok_or("no balance of a camera makes this light neutral, so that the cast can be made in the camera only")?;
    let tint = with_cast(&plan.white, cast, balance.kelvin, plan.adaptation)
        .ok_or("the cast is more than a recipe's [white] takes, so that it can be made in the camera only")?;
    let in_recipe = built(plan, |plan| plan.white = tint)?;
    let plain = built(plan, |plan| plan.strength = 0.0)?;
    Ok(Recipes { neutral, tint, in_recipe, plain })
}

/// The two ways for a light, or why there are not two.
pub(super) fn ways(
    plan: &Plan,
    pipeline: &Pipeline,
    role: &str,
    light: Chromaticity,
    balance: &Balance,
    cast: &Cast,
) -> Result<Ways, String> {
    let Recipes { neutral, tint, in_recipe, plain } = recipes(plan, light, balance, cast)?;
    let sides = Sides {
        camera: Eye::new(plan, pipeline),
        recipe: Eye::new(&in_recipe.0, &in_recipe.1),
        plain: Eye::new(&plain.0, &plain.1),
        light,
        balanced: balance.white(),
        neutral: neutral.white(),
    };
    let unseen = "a channel of the recording has no light at this balance, or the camera's trim can't be undone there";
    let patches = sides.patches(Balancing::Channels).ok_or(unseen)?;
    let only_cast =
        Tint { reference_kelvin: balance.kelvin, warmer_mired: cast.warmer_mired, greener_duv: cast.greener_duv };
    let of_cast =
        tint_matrix(&only_cast, plan.adaptation, "white").map_err(|fault| fault.diagnostic.message.clone())?;
    let added = sides.camera.neutral_behind(&of_cast);
    Ok(Ways {
        light: role.to_owned(),
        cast: (*cast).into(),
        neutral_kelvin: neutral.kelvin,
        neutral_greener_duv: neutral.greener_duv,
        white: WhiteBlock {
            reference_kelvin: tint.reference_kelvin,
            warmer_mired: tint.warmer_mired,
            greener_cc: tint.greener_duv / DUV_PER_CC,
            greener_duv: tint.greener_duv,
        },
        like_recipe: sides.differences(Balancing::Cones).ok_or(unseen)?,
        by_channels: sides.differences(Balancing::Channels).ok_or(unseen)?,
        in_camera: gains(plan, &sides, sides.balanced, Vector3::repeat(1.0)).ok_or(unseen)?,
        neutral_negative: gains(plan, &sides, sides.neutral, added).ok_or(unseen)?,
        patches,
    })
}

/// A plan with one thing changed, and its blocks.
fn built(plan: &Plan, change: impl FnOnce(&mut Plan)) -> Result<(Plan, Pipeline), String> {
    let mut plan = plan.clone();
    change(&mut plan);
    match Pipeline::build(&plan) {
        Ok((pipeline, _)) => Ok((plan, pipeline)),
        Err(faults) => {
            Err(faults.first().map_or_else(|| "no look".to_owned(), |fault| fault.diagnostic.message.clone()))
        }
    }
}

struct Sides<'a> {
    camera: Eye<'a>,
    recipe: Eye<'a>,
    plain: Eye<'a>,
    light: Chromaticity,
    balanced: Chromaticity,
    neutral: Chromaticity,
}

impl Sides<'_> {
    /// Light in the camera's channels, with the cast and without.
    fn negatives(&self, patch: &Patch, how: Balancing) -> Option<[Rgb; 2]> {
        let [cast, neutral] =
            [self.balanced, self.neutral].map(|white| self.camera.camera_light(patch.xyz_d50, self.light, white, how));
        Some([cast?, neutral?])
    }

    fn differences(&self, how: Balancing) -> Option<Differences> {
        let (mut chart, mut skins, mut seen, mut count) = (Group::default(), Group::default(), 0, 0);
        for patch in CHART.iter().chain(&SKINS) {
            let [cast, neutral] = self.negatives(patch, how)?;
            for stops in -STOPS..=STOPS {
                let stops = f64::from(stops);
                let (a, b) = (self.camera.shown(cast, stops)?, self.recipe.shown(neutral, stops)?);
                let de = ciede2000(a.lab(), b.lab());
                seen += usize::from(de >= SEEN);
                count += 1;
                if patch.kind == PatchKind::Chart {
                    chart.add(de, patch.name, stops);
                }
                if is_skin(patch) {
                    skins.add(de, patch.name, stops);
                }
            }
        }
        Some(Differences {
            chart_mean: chart.mean(),
            chart_max: chart.max,
            chart_worst: chart.worst,
            skins_mean: skins.mean(),
            skins_max: skins.max,
            skins_worst: skins.worst,
            seen,
            count,
        })
    }

    fn patches(&self, how: Balancing) -> Option<Vec<WayPatch>> {
        let mut found = Vec::new();
        for patch in CHART.iter().chain(&SKINS) {
            let [cast, neutral] = self.negatives(patch, how)?;
            let (in_camera, in_recipe) = (self.camera.shown(cast, 0.0)?, self.recipe.shown(neutral, 0.0)?);
            found.push(WayPatch {
                name: patch.name,
                is_skin: is_skin(patch),
                negative_in_camera: self.plain.shown(cast, 0.0)?,
                negative_neutral: self.plain.shown(neutral, 0.0)?,
                de2000: ciede2000(in_camera.lab(), in_recipe.lab()),
                in_camera,
                in_recipe,
            });
        }
        Some(found)
    }
}

/// The skins of the table, and the chart's own two.
fn is_skin(patch: &Patch) -> bool {
    patch.kind == PatchKind::Skin || patch.number <= 2
}

#[derive(Default)]
struct Group {
    sum: f64,
    count: usize,
    max: f64,
    worst: String,
}

impl Group {
    fn add(&mut self, de: f64, name: &str, stops: f64) {
        self.sum += de;
        self.count += 1;
        if self.worst.is_empty() || de > self.max {
            self.max = de;
            self.worst = if stops == 0.0 { name.to_owned() } else { format!("{name} {stops:+}") };
        }
    }

    fn mean(&self) -> f64 {
        if self.count == 0 { 0.0 } else { self.sum / self.count as f64 }
    }
}

/// What is amplified at a balance that shows `white` as neutral, the recipe then multiplying the channels of a neutral by `added`.
fn gains(plan: &Plan, sides: &Sides<'_>, white: Chromaticity, added: Vector3<f64>) -> Option<Gains> {
    let channels = sides.camera.channels(white);
    let card = sides.camera.card_light(sides.light, white, Balancing::Channels)?;
    let recorded = sides.camera.recorded(card)?;
    if !(channels.iter().chain(added.iter()).chain(&recorded).all(|value| *value > 0.0)) {
        return None;
    }
    let camera_stops = [0, 1, 2].map(|channel| -log2(channels[channel]));
    let recipe_stops = [0, 1, 2].map(|channel| log2(added[channel]));
    let weakest = largest(camera_stops);
    let least = largest(camera_stops.map(|stops| -stops));
    let end = plan.camera.curve.decode(1.0);
    let room = recorded.map(|value| -log2(end / value));
    let first = largest(room);
    Some(Gains {
        camera_stops,
        recipe_stops,
        picture_stops: [0, 1, 2].map(|channel| camera_stops[channel] + recipe_stops[channel]),
        weakest: CHANNELS[weakest],
        least: CHANNELS[least],
        weakest_stops: camera_stops[weakest] - camera_stops[least],
        headroom_stops: -room[first],
        first_to_clip: CHANNELS[first],
    })
}

fn largest(values: Rgb) -> usize {
    (0..3).fold(0, |most, channel| if values[channel] > values[most] { channel } else { most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cast_on_nothing_is_itself_and_on_its_opposite_nothing() {
        let none = Tint { reference_kelvin: 5600.0, warmer_mired: 0.0, greener_duv: 0.0 };
        let cast = Cast { warmer_mired: 40.0, greener_duv: 0.004 };
        let found = with_cast(&none, &cast, 4300.0, Adaptation::Bradford).expect("a light");
        assert!((found.warmer_mired - 40.0).abs() < 1e-6 && (found.greener_duv - 0.004).abs() < 1e-9, "{found:?}");
    }
}
