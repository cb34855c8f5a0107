//! The cast that is wanted of a light, and every way to get it: by the balance, by filters, in the recipe.

use super::light::{sheet_filter, sheet_reading};
use super::sheet::metering;
use super::values::{SheetFilter, SheetReading, says};
use super::ways::{WayCast, Ways, ways};
use crate::light::exposure::after_filters;
use crate::light::{
    BUILT_IN, Balance, Cast, Filter, Lamp, NEAR_UV, Stack, Wish, balance_for, balance_for_kelvin, built_in, cast,
    stacks,
};
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::show::jobs::{Job, Work};
use crate::show::{OwnFilter, Reading};
use serde::Serialize;

/// Stacks that are told, at most.
const STACKS: usize = 8;

/// Every way to a cast.
#[derive(Clone, Debug, Serialize)]
pub struct Wanted {
    /// Role of the light.
    pub light: String,
    /// The cast that is wanted, counted from neutral.
    pub cast: WayCast,
    /// The cast that the light leaves now.
    pub now: Option<WayCast>,
    /// How the wanted one differs from that.
    pub from_now: Option<WayCast>,
    /// The balance that gives it exactly, tint included; `None` where no camera has one.
    pub balance: Option<WantedBalance>,
    /// The balance that gives its warmth with the tint left as it is.
    pub balance_without_tint: Option<WantedBalance>,
    /// Filters before the bare source that leave it at the present balance, the nearest first.
    pub stacks: Vec<WantedStack>,
    /// Whether even the nearest of them is plainly off, by more than 0.004 in CIE 1960 (u, v).
    pub stacks_far: bool,
    /// With the cast in the recipe on a neutral negative instead, against the cast made by `balance`.
    pub ways: Option<Ways>,
    /// Why that is not possible.
    pub no_ways: Option<String>,
}

/// A balance that leaves a cast.
#[derive(Clone, Debug, Serialize)]
pub struct WantedBalance {
    /// Kelvin.
    pub kelvin: f64,
    /// Tint, Duv.
    pub greener_duv: f64,
    /// The same, CC.
    pub greener_cc: f64,
    /// The cast that it leaves.
    pub cast: WayCast,
    /// What it makes of the other lights of the setup.
    pub others: Vec<OtherCast>,
}

/// The cast of another light at a balance.
#[derive(Clone, Debug, Serialize)]
pub struct OtherCast {
    /// Its role.
    pub light: String,
    /// Its cast; `None` beyond ±1000 mired.
    pub cast: Option<WayCast>,
}

/// A stack of filters that leaves nearly the cast.
#[derive(Clone, Debug, Serialize)]
pub struct WantedStack {
    /// The filters; empty for the bare source.
    pub filters: Vec<SheetFilter>,
    /// The cast that they leave.
    pub cast: WayCast,
    /// Warmer than wanted, mired.
    pub off_mired: f64,
    /// Greener than wanted, CC.
    pub off_cc: f64,
    /// Distance in CIE 1960 (u, v).
    pub off_uv: f64,
    /// Light that they take, stops.
    pub loss_stops: f64,
    /// Whether a part of that is estimated.
    pub loss_estimated: bool,
    /// Light at the subject against what hangs there now, stops; negative is less.
    pub light_stops: f64,
    /// The light that is left and its stop, where a reading is known.
    pub reading: Option<SheetReading>,
}

/// The place of the role that says "key" as a word, else the first; `None` for no lights. It is the light that a setup is balanced by.
#[must_use]
pub fn key_role<'a>(roles: impl Iterator<Item = &'a str>) -> Option<usize> {
    let roles: Vec<&str> = roles.collect();
    roles.iter().position(|role| says(role, "key")).or((!roles.is_empty()).then_some(0))
}

/// The two ways for the cast that a lamp leaves at a balance.
///
/// # Errors
/// Why there are not two.
pub fn lone_ways(
    role: &str,
    lamp: &Lamp,
    balance: &Balance,
    (plan, pipeline): (&Plan, &Pipeline),
) -> Result<Ways, String> {
    let light = lamp.lit().map_err(|_| "no light is like that".to_owned())?.chromaticity;
    let found = cast(light, balance, plan.adaptation).ok_or("the cast is beyond ±1000 mired")?;
    ways(plan, pipeline, role, light, balance, &found)
}

/// A lamp at a balance, seen through a look.
struct Scene<'a> {
    role: &'a str,
    lamp: &'a Lamp,
    balance: Balance,
    plan: &'a Plan,
    pipeline: &'a Pipeline,
}

/// Every way to what is wished of a lamp that belongs to no setup.
///
/// # Errors
/// A wish that starts from the present cast, where there is none.
pub fn lone_wanted(
    role: &str,
    lamp: &Lamp,
    balance: &Balance,
    wish: &Wish,
    (plan, pipeline): (&Plan, &Pipeline),
) -> Result<Wanted, String> {
    Scene { role, lamp, balance: *balance, plan, pipeline }.wanted(wish, &known_filters(&[]))
}

/// Every way to what is wished of a light of a setup, seen through `job` at `balance`, with the filters of the trade and of the show; what
/// each does to the other lights and to the stop.
///
/// # Errors
/// A wish that starts from the present cast, where there is none.
pub fn wanted(
    work: &Work,
    (setup, light): (usize, usize),
    (balance, job): (&Balance, &Job),
    wish: &Wish,
) -> Result<Wanted, String> {
    let of = &work.show.setups[setup];
    let about = &of.lights[light];
    let scene = Scene {
        role: &about.role.text,
        lamp: &about.lamp,
        balance: *balance,
        plan: &job.plan,
        pipeline: &job.pipeline,
    };
    let mut found = scene.wanted(wish, &known_filters(&work.show.filters))?;
    for balance in [&mut found.balance, &mut found.balance_without_tint].into_iter().flatten() {
        let at = Balance { kelvin: balance.kelvin, greener_duv: balance.greener_duv };
        let others = of.lights.iter().enumerate().filter(|(place, _)| *place != light);
        balance.others = others
            .map(|(_, other)| OtherCast {
                light: other.role.text.clone(),
                cast: other
                    .lamp
                    .lit()
                    .ok()
                    .and_then(|lit| cast(lit.chromaticity, &at, job.plan.adaptation))
                    .map(Into::into),
            })
            .collect();
    }
    let metering = metering(&work.show, of);
    for stack in &mut found.stacks {
        stack.reading = about.reading.map(|reading| {
            // A meter read what came through the filters that hang there; a lamp's output is that of the bare lamp.
            let reading = match reading {
                Reading::Lux(lux) => Reading::Lux(after_filters(lux, -stack.light_stops)),
                lamp @ Reading::Lamp { .. } => lamp,
            };
            sheet_reading(&metering, reading, stack.loss_stops)
        });
    }
    Ok(found)
}

/// The filters that may be proposed: those of the show, and those of the trade whose names it does not take for its own.
fn known_filters(own: &[OwnFilter]) -> Vec<Filter> {
    let taken = |name: &str| own.iter().any(|own| built_in(&own.filter.name).is_some_and(|known| known.name == name));
    let of_trade = BUILT_IN.iter().filter(|known| !taken(known.name)).map(|known| known.filter());
    own.iter().map(|own| own.filter.clone()).chain(of_trade).collect()
}

impl Scene<'_> {
    fn wanted(&self, wish: &Wish, known: &[Filter]) -> Result<Wanted, String> {
        let adaptation = self.plan.adaptation;
        let light = self.lamp.lit().ok().map(|lit| lit.chromaticity);
        let now = light.and_then(|light| cast(light, &self.balance, adaptation));
        let want = match (wish.than_now, now) {
            (false, _) => wish.cast,
            (true, Some(now)) => Cast {
                warmer_mired: now.warmer_mired + wish.cast.warmer_mired,
                greener_duv: now.greener_duv + wish.cast.greener_duv,
            },
            (true, None) => {
                return Err("the present cast is beyond ±1000 mired, so that nothing can be counted from it".to_owned());
            }
        };
        let exact = light.and_then(|light| balance_for(light, &want, adaptation));
        let kept =
            light.and_then(|light| balance_for_kelvin(light, want.warmer_mired, self.balance.greener_duv, adaptation));
        let of_balance = |found: Balance| {
            let cast = cast(light?, &found, adaptation)?;
            let (kelvin, greener_duv) = (found.kelvin, found.greener_duv);
            let greener_cc = Cast { warmer_mired: 0.0, greener_duv }.greener_cc();
            Some(WantedBalance { kelvin, greener_duv, greener_cc, cast: cast.into(), others: Vec::new() })
        };
        let both = match (light, &exact) {
            (Some(light), Some(found)) => ways(self.plan, self.pipeline, self.role, light, found, &want),
            _ => Err("no balance of a camera gives this cast, so that there is nothing to compare the recipe with"
                .to_owned()),
        };
        let (both_ways, no_ways) = both.map_or_else(|why| (None, Some(why)), |ways| (Some(ways), None));
        let stacks = stacks(self.lamp, &want, &self.balance, adaptation, known, STACKS);
        let difference = |now: Cast| Cast {
            warmer_mired: want.warmer_mired - now.warmer_mired,
            greener_duv: want.greener_duv - now.greener_duv,
        };
        Ok(Wanted {
            light: self.role.to_owned(),
            cast: want.into(),
            now: now.map(Into::into),
            from_now: now.map(difference).map(Into::into),
            balance: exact.and_then(of_balance),
            balance_without_tint: kept.and_then(of_balance),
            stacks_far: stacks.first().is_some_and(|nearest| nearest.off_uv > NEAR_UV),
            stacks: stacks.into_iter().filter_map(|stack| self.told(&stack, &want)).collect(),
            ways: both_ways,
            no_ways,
        })
    }

    /// A stack as it is told.
    fn told(&self, stack: &Stack, want: &Cast) -> Option<WantedStack> {
        let left = stack.cast?;
        let hanging = self.lamp.filters.iter().map(|filter| filter.stops).fold(0.0, |sum, stops| sum + stops);
        Some(WantedStack {
            filters: stack.filters.iter().map(sheet_filter).collect(),
            cast: left.into(),
            off_mired: left.warmer_mired - want.warmer_mired,
            off_cc: left.greener_cc() - want.greener_cc(),
            off_uv: stack.off_uv,
            loss_stops: stack.loss_stops,
            loss_estimated: stack.filters.iter().any(|filter| filter.is_estimated),
            light_stops: hanging - stack.loss_stops,
            reading: None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::{SourceText, Span};
    use crate::show::Id;

    #[test]
    fn a_filter_of_the_show_takes_the_place_of_the_one_of_the_trade() {
        let name = Id { text: "CTB".to_owned(), span: Span { source: SourceText::new("", ""), range: 0..0 } };
        let filter =
            Filter { name: name.text.clone(), warmer_mired: -120.0, greener_duv: 0.0, stops: 1.2, is_estimated: false };
        let known = known_filters(&[OwnFilter { name, filter }]);
        assert_eq!(known.len(), BUILT_IN.len());
        let blues: Vec<f64> =
            known.iter().filter(|one| one.name.ends_with("CTB")).map(|one| one.warmer_mired).collect();
        assert!(blues.contains(&-120.0) && !blues.contains(&-137.0), "{blues:?}");
    }
}
