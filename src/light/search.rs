//! The other direction: which balance, and which filters, leave the cast that is wanted.

use super::cast::{Balance, Cast, adapted, cast, light_for};
use super::filters::Filter;
use super::lamp::{CCT_DUV, Lamp};
use crate::colour::adaptation::Adaptation;
use crate::colour::observer::{is_light, tristimulus};
use crate::colour::whites::{
    Chromaticity, cct_duv, filter_transmittance, kelvin, mired, offset_duv, planckian, shifted_white,
};
use crate::maths::{hypot, root};
use std::ops::RangeInclusive;

/// Balances that a camera can be set to, kelvin, as `balance_kelvin` of a setup has them.
pub const KELVIN: RangeInclusive<f64> = 1667.0..=25000.0;

/// A stack comes into question if it is no farther off than this, CIE 1960 (u, v): about 10 mired of tungsten light, this project's own
/// choice. Where none comes so near, those within twice the error of the best do.
pub const NEAR_UV: f64 = 0.004;

/// Two errors that differ by less than this are alike to the eye: a tenth of a just noticeable difference, which is about 0.001 in (u, v)
/// (common practice, no source). The stack that takes less light then wins.
const ALIKE_UV: f64 = 1e-4;

/// Steps of the coarse search for balances, mired: about a thirtieth of what lies between two of several.
const BALANCE_STEP: f64 = 10.0;

/// The balance at which `light` leaves `wanted`, tint included; of several the one with the smallest tint. `None` where no camera has one: outside
/// 1667 to 25000 K, or more than 0.05 Duv of tint.
#[must_use]
pub fn balance_for(light: Chromaticity, wanted: &Cast, adaptation: Adaptation) -> Option<Balance> {
    // At a balance of T the light that must look neutral follows from the cast; it must lie at T itself.
    let neutral = |balance: f64| {
        let seen = shifted_white(kelvin(balance), wanted.warmer_mired, wanted.greener_duv);
        let found = adapted(light, seen, planckian(kelvin(balance)), adaptation);
        if is_light(seen.x, seen.y) { cct_duv(found) } else { None }
    };
    let miss = |balance: f64| neutral(balance).map_or(f64::NAN, |(kelvin, _)| balance - mired(kelvin));
    let (low, high) = (mired(*KELVIN.end()), mired(*KELVIN.start()));
    let steps = ((high - low) / BALANCE_STEP).ceil() as u32;
    let places: Vec<(f64, f64)> = (0..=steps)
        .map(|step| (low + BALANCE_STEP * f64::from(step)).min(high))
        .map(|place| (place, miss(place)))
        .collect();
    let between = |pair: &[(f64, f64)]| {
        let (before, after) = (pair[0], pair[1]);
        if before.1 <= 0.0 && after.1 >= 0.0 {
            Some(root(miss, before, after))
        } else if before.1 >= 0.0 && after.1 <= 0.0 {
            Some(root(|place| -miss(place), (before.0, -before.1), (after.0, -after.1)))
        } else {
            None
        }
    };
    let balances = places.windows(2).filter_map(between).filter_map(|place| {
        let (_, greener_duv) = neutral(place).filter(|(_, duv)| duv.abs() <= CCT_DUV)?;
        let balance = Balance { kelvin: kelvin(place), greener_duv };
        let back = cast(light, &balance, adaptation)?;
        let leads_back = (back.warmer_mired - wanted.warmer_mired).abs() < 0.01
            && (back.greener_duv - wanted.greener_duv).abs() < 1e-5;
        leads_back.then_some(balance)
    });
    balances.min_by(|a, b| a.greener_duv.abs().total_cmp(&b.greener_duv.abs()))
}

/// The balance at which `light` is `warmer_mired` warm, the tint staying at `greener_duv`; `None` where no camera has one.
#[must_use]
pub fn balance_for_kelvin(
    light: Chromaticity,
    warmer_mired: f64,
    greener_duv: f64,
    adaptation: Adaptation,
) -> Option<Balance> {
    let at = |balance: f64| Balance { kelvin: kelvin(balance), greener_duv };
    let miss =
        |balance: f64| cast(light, &at(balance), adaptation).map_or(f64::NAN, |cast| warmer_mired - cast.warmer_mired);
    crossing(miss).map(at)
}

/// Where a function of the balance in mired goes from below 0 to above, among the balances that a camera has.
fn crossing(miss: impl Fn(f64) -> f64) -> Option<f64> {
    let (low, high) = (mired(*KELVIN.end()), mired(*KELVIN.start()));
    let ends = (miss(low), miss(high));
    (ends.0 <= 0.0 && ends.1 >= 0.0).then(|| root(miss, (low, ends.0), (high, ends.1)))
}

/// Filters that could hang before a lamp.
#[derive(Clone, Debug)]
pub struct Stack {
    /// The filters.
    pub filters: Vec<Filter>,
    /// The light behind them.
    pub chromaticity: Chromaticity,
    /// Light that they take, stops.
    pub loss_stops: f64,
    /// Distance from the light that is wanted, CIE 1960 (u, v).
    pub off_uv: f64,
    /// The cast that they leave.
    pub cast: Option<Cast>,
}

/// The stacks of `known` filters before the lamp's bare source that come nearest to `wanted` at a balance, the nearest first. Each is
/// better than every other of them in one of three ways: nearer, less light lost, or fewer filters. At most `count`.
///
/// Empty where no light leaves that cast, or the source can't be.
#[must_use]
pub fn stacks(
    lamp: &Lamp,
    wanted: &Cast,
    balance: &Balance,
    adaptation: Adaptation,
    known: &[Filter],
    count: usize,
) -> Vec<Stack> {
    let Some(target) = light_for(wanted, balance, adaptation) else { return Vec::new() };
    if lamp.source.fault().is_some() {
        return Vec::new();
    }
    let candidates = best_of(candidates(lamp, target, known));
    let near = candidates.first().map_or(0.0, |best| NEAR_UV.max(2.0 * best.off_uv));
    let mut stacks: Vec<Stack> = candidates.into_iter().take_while(|one| one.off_uv <= near).take(count).collect();
    for stack in &mut stacks {
        stack.cast = cast(stack.chromaticity, balance, adaptation);
    }
    stacks
}

/// Every stack that could hang there.
fn candidates(lamp: &Lamp, target: Chromaticity, known: &[Filter]) -> Vec<Stack> {
    let tint_only = |filter: &&Filter| filter.warmer_mired == 0.0 && filter.greener_duv != 0.0;
    let conversions: Vec<&Filter> = known.iter().filter(|filter| filter.warmer_mired != 0.0).collect();
    let tints: Vec<&Filter> = known.iter().filter(tint_only).collect();
    let tints = combinations(&tints, |filter| filter.greener_duv);
    let spectrum = lamp.source.spectrum();
    let goal = target.to_uv();
    let mut found = Vec::new();
    for conversion in combinations(&conversions, |filter| filter.warmer_mired) {
        let warmer: f64 = conversion.iter().map(|filter| filter.warmer_mired).sum();
        let transmittance = filter_transmittance(warmer);
        let mut light = spectrum;
        light.iter_mut().zip(&transmittance).for_each(|(power, share)| *power *= share);
        let filtered = Chromaticity::from_xyz(tristimulus(&light));
        // One step along the normal tells where all others lead.
        let (start, step) = (filtered.to_uv(), offset_duv(filtered, 1.0).to_uv());
        for tint in &tints {
            let filters: Vec<&Filter> = conversion.iter().chain(tint).copied().collect();
            let duv = lamp.source.duv + filters.iter().map(|filter| filter.greener_duv).sum::<f64>();
            let uv = [0, 1].map(|axis| start[axis] + duv * (step[axis] - start[axis]));
            let chromaticity = Chromaticity::from_uv(uv);
            if is_light(chromaticity.x, chromaticity.y) {
                found.push(Stack {
                    chromaticity,
                    loss_stops: filters.iter().map(|filter| filter.stops).fold(0.0, |sum, stops| sum + stops),
                    off_uv: hypot(uv[0] - goal[0], uv[1] - goal[1]),
                    filters: filters.into_iter().cloned().collect(),
                    cast: None,
                });
            }
        }
    }
    found
}

/// None, one or two of the filters; two only in one direction, for opposite ones undo each other.
fn combinations<'a>(filters: &[&'a Filter], direction: fn(&Filter) -> f64) -> Vec<Vec<&'a Filter>> {
    let mut found: Vec<Vec<&Filter>> = vec![Vec::new()];
    for (place, first) in filters.iter().enumerate() {
        found.push(vec![first]);
        for second in &filters[place..] {
            if direction(first) * direction(second) > 0.0 {
                found.push(vec![first, second]);
            }
        }
    }
    found
}

/// Those that no other beats in every way, nearest first.
fn best_of(mut candidates: Vec<Stack>) -> Vec<Stack> {
    let step = |stack: &Stack| (stack.off_uv / ALIKE_UV).round();
    candidates.sort_by(|a, b| {
        let by_error = step(a).total_cmp(&step(b));
        by_error.then(a.loss_stops.total_cmp(&b.loss_stops)).then(a.filters.len().cmp(&b.filters.len()))
    });
    let mut kept: Vec<Stack> = Vec::new();
    for one in candidates {
        let beaten =
            kept.iter().any(|better| better.loss_stops <= one.loss_stops && better.filters.len() <= one.filters.len());
        if !beaten {
            kept.push(one);
        }
    }
    kept
}
