//! The cast that is wanted of a light, and every way to get it: by the balance, by filters, in the recipe.

use super::light::sheet_filter;
use super::values::SheetFilter;
use super::ways::{WayCast, Ways, ways};
use crate::light::{Balance, Cast, DUV_PER_CC, Filter, Lamp, balance_for, balance_for_kelvin, cast, stacks};
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use serde::Serialize;

/// Stacks that are told, at most.
const STACKS: usize = 8;

/// Every way to a cast.
#[derive(Clone, Debug, Serialize)]
pub struct Wanted {
    /// Role of the light.
    pub light: String,
    /// The cast that is wanted.
    pub cast: WayCast,
    /// The cast that the light leaves now.
    pub now: Option<WayCast>,
    /// The balance that gives it exactly, tint included; `None` where no camera has one.
    pub balance: Option<WantedBalance>,
    /// The balance that gives its warmth with the tint left as it is.
    pub balance_without_tint: Option<WantedBalance>,
    /// Filters before the bare source that leave it at the present balance, the nearest first.
    pub stacks: Vec<WantedStack>,
    /// With the cast in the recipe on a neutral negative instead, against the cast made by `balance`.
    pub ways: Option<Ways>,
    /// Why that is not possible.
    pub no_ways: Option<String>,
}

/// A balance that leaves a cast.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct WantedBalance {
    /// Kelvin.
    pub kelvin: f64,
    /// Tint, Duv.
    pub greener_duv: f64,
    /// The same, CC.
    pub greener_cc: f64,
    /// The cast that it leaves.
    pub cast: WayCast,
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
}

/// The place of the role that says "key" as a word, else the first; `None` for no lights. It is the light that a setup is balanced by.
#[must_use]
pub fn key_role<'a>(roles: impl Iterator<Item = &'a str>) -> Option<usize> {
    let says_key =
        |role: &str| role.to_ascii_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| word == "key");
    let roles: Vec<&str> = roles.collect();
    roles.iter().position(|role| says_key(role)).or((!roles.is_empty()).then_some(0))
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

/// Every way to `want` for a lamp at a balance, with `known` filters, seen through a look.
#[must_use]
pub fn wanted(
    role: &str,
    lamp: &Lamp,
    balance: &Balance,
    want: &Cast,
    known: &[Filter],
    (plan, pipeline): (&Plan, &Pipeline),
) -> Wanted {
    let adaptation = plan.adaptation;
    let light = lamp.lit().ok().map(|lit| lit.chromaticity);
    let of_balance = |found: Balance| {
        let cast = cast(light?, &found, adaptation)?;
        let greener_cc = found.greener_duv / DUV_PER_CC;
        Some(WantedBalance { kelvin: found.kelvin, greener_duv: found.greener_duv, greener_cc, cast: cast.into() })
    };
    let exact = light.and_then(|light| balance_for(light, want, adaptation));
    let kept = light.and_then(|light| balance_for_kelvin(light, want.warmer_mired, balance.greener_duv, adaptation));
    let both =
        match (light, &exact) {
            (Some(light), Some(found)) => ways(plan, pipeline, role, light, found, want),
            _ => Err("no balance of a camera gives this cast, so that there is nothing to compare the recipe with"
                .to_owned()),
        };
    let (both_ways, no_ways) = both.map_or_else(|why| (None, Some(why)), |ways| (Some(ways), None));
    let of_stack = |stack: crate::light::Stack| {
        let left = stack.cast?;
        Some(WantedStack {
            filters: stack.filters.iter().map(sheet_filter).collect(),
            cast: left.into(),
            off_mired: left.warmer_mired - want.warmer_mired,
            off_cc: left.greener_cc() - want.greener_cc(),
            off_uv: stack.off_uv,
            loss_stops: stack.loss_stops,
            loss_estimated: stack.filters.iter().any(|filter| filter.is_estimated),
        })
    };
    Wanted {
        light: role.to_owned(),
        cast: (*want).into(),
        now: light.and_then(|light| cast(light, balance, adaptation)).map(Into::into),
        balance: exact.and_then(of_balance),
        balance_without_tint: kept.and_then(of_balance),
        stacks: stacks(lamp, want, balance, adaptation, known, STACKS).into_iter().filter_map(of_stack).collect(),
        ways: both_ways,
        no_ways,
    }
}
