//! Measuring a table: where its edges really lie, how full its bands are, and how many points would hold them.

use super::ExposureMap;
use super::zones::{Stretch, stretches};
use crate::colour::chart::{self, CHART};
use crate::lut::{Domain, Table3};
use crate::maths::{Rgb, exp2};
use serde::Serialize;
use std::cell::RefCell;

/// An edge that is off by more than this part of its band's width is told.
const OFF_SHARE: f64 = 0.25;

/// A band that nowhere has this part of its colour is told: less of it passes for a tint of the picture. This project's own.
const FULL: f64 = 0.75;

/// How far beside its place an edge is looked for, stops.
const REACH: f64 = 1.0;

/// Steps of the search for an edge, and halvings after it: to less than a millionth of a stop.
const STEPS: usize = 64;
const HALVINGS: usize = 16;

/// The most points a side that a recipe may ask for.
const SIZE_MAX: usize = 129;

/// An edge of a zone on the grey axis of a table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MeasuredEdge {
    /// Where it should be, stops from the map's zero.
    pub stops: f64,
    /// Where the table is half-way between the colours on its two sides; none where it never is.
    pub measured_stops: Option<f64>,
}

impl MeasuredEdge {
    /// How far it is off; infinite where it was not found.
    #[must_use]
    pub fn off(&self) -> f64 {
        self.measured_stops.map_or(f64::INFINITY, |measured| (measured - self.stops).abs())
    }
}

/// What a table makes of a zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    pub lower: Option<MeasuredEdge>,
    pub upper: Option<MeasuredEdge>,
    /// The most of its own colour that the zone has anywhere, 0..1.
    pub fullness: f64,
    pub held: bool,
}

/// How far edges are off for colours: the patches of the chart, exposed so that their luminance lies at the edge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Coloured {
    /// Edges that were found, over all patches.
    pub found: usize,
    /// Edges that are not there for a patch.
    pub lost: usize,
    /// Their mean distance from where they should be, stops.
    pub mean_stops: f64,
    /// The largest.
    pub worst_stops: f64,
    /// The patch and the zone whose edge that is.
    pub worst: Option<(&'static str, String)>,
}

/// A table, or one that is worked out only where it is read.
pub(super) trait Readable {
    fn read(&self, map: &ExposureMap, u: Rgb) -> Rgb;
}

impl Readable for Table3 {
    fn read(&self, map: &ExposureMap, u: Rgb) -> Rgb {
        self.sample(u, map.plan().device.interpolation)
    }
}

/// The cells of the grey axis of a table that was never made.
struct GreyCells {
    size: usize,
    cells: RefCell<Vec<Option<Table3>>>,
}

impl GreyCells {
    fn new(size: usize) -> Self {
        Self { size, cells: RefCell::new(vec![None; size - 1]) }
    }

    fn cell(&self, map: &ExposureMap, index: usize) -> Option<Table3> {
        let last = (self.size - 1) as f64;
        let [min, max] = [index, index + 1].map(|node| node as f64 / last);
        let corner = |bits: usize| [0, 1, 2].map(|axis| if bits >> axis & 1 == 1 { max } else { min });
        let nodes = (0..8).map(|bits| map.node(corner(bits), self.size)).collect();
        Table3::new(2, Domain { min: [min; 3], max: [max; 3] }, nodes)
    }
}

impl Readable for GreyCells {
    /// `u` lies on the grey axis.
    fn read(&self, map: &ExposureMap, u: Rgb) -> Rgb {
        let place = u[0].clamp(0.0, 1.0) * (self.size - 1) as f64;
        let index = (place as usize).min(self.size - 2);
        let mut cells = self.cells.borrow_mut();
        if cells[index].is_none() {
            cells[index] = self.cell(map, index);
        }
        cells[index].as_ref().map_or(u, |cell| cell.sample(u, map.plan().device.interpolation))
    }
}

/// How far `value` lies on the way from `a` to `b`.
fn way(value: Rgb, a: Rgb, b: Rgb) -> f64 {
    let along = |from: Rgb| (0..3).map(|i| (from[i] - a[i]) * (b[i] - a[i])).sum::<f64>();
    along(value) / along(b)
}

impl ExposureMap {
    /// The colour of a stretch at `stops`.
    fn colour_of(&self, stretch: &Stretch, stops: f64) -> Rgb {
        stretch.zone.map_or_else(|| self.picture(self.reading.luminance_at(stops)), |zone| self.values[zone])
    }

    /// Where a table is half-way between two stretches, as `input` runs over stops: the crossing nearest to where it should be.
    fn crossing(
        &self,
        table: &dyn Readable,
        pair: [&Stretch; 2],
        input: &dyn Fn(f64) -> Option<(f64, Rgb)>,
    ) -> Option<f64> {
        let [low, high] = pair;
        let edge = low.to;
        let from = ((low.from + low.to) / 2.0).max(edge - REACH);
        let to = ((high.from + high.to) / 2.0).min(edge + REACH);
        let above = |at: f64| {
            let (stops, u) = input(at)?;
            Some((stops, way(table.read(self, u), self.colour_of(low, stops), self.colour_of(high, stops)) - 0.5))
        };
        let step = (to - from) / STEPS as f64;
        let values: Vec<Option<f64>> = (0..=STEPS).map(|index| Some(above(from + step * index as f64)?.1)).collect();
        let mut best: Option<f64> = None;
        for (index, pair) in values.windows(2).enumerate() {
            if !matches!(pair, [Some(before), Some(after)] if *before < 0.0 && *after >= 0.0) {
                continue;
            }
            let (mut a, mut b) = (from + step * index as f64, from + step * (index + 1) as f64);
            for _ in 0..HALVINGS {
                let middle = (a + b) / 2.0;
                if above(middle).is_some_and(|(_, value)| value < 0.0) {
                    a = middle;
                } else {
                    b = middle;
                }
            }
            let Some((found, _)) = above(b) else { continue };
            if best.is_none_or(|other| (found - edge).abs() < (other - edge).abs()) {
                best = Some(found);
            }
        }
        best
    }

    /// The input of a grey.
    pub(super) fn grey(&self, stops: f64) -> (f64, Rgb) {
        (stops, [self.reading.position(self.reading.luminance_at(stops)).clamp(0.0, 1.0); 3])
    }

    /// What a table makes of each zone on the grey axis; none for zones that are never shown.
    pub(super) fn held(&self, table: &dyn Readable) -> Vec<Option<Held>> {
        let all = stretches(&self.zones);
        let edge = |low: usize| MeasuredEdge {
            stops: all[low].to,
            measured_stops: self.crossing(table, [&all[low], &all[low + 1]], &|stops| Some(self.grey(stops))),
        };
        let edges: Vec<MeasuredEdge> = (0..all.len().saturating_sub(1)).map(edge).collect();
        (0..self.zones.len())
            .map(|zone| {
                let place = all.iter().position(|stretch| stretch.zone == Some(zone))?;
                let lower = place.checked_sub(1).map(|below| edges[below]);
                let upper = edges.get(place).copied();
                let fullness = self.fullness(table, &all[place]);
                let near = |edge: Option<MeasuredEdge>| {
                    edge.is_none_or(|edge| edge.off().is_finite() && edge.off() <= OFF_SHARE * self.zones[zone].width())
                };
                let held = near(lower) && near(upper) && fullness >= FULL;
                Some(Held { lower, upper, fullness, held })
            })
            .collect()
    }

    /// The most of a zone's own colour, on the way from the picture to it.
    fn fullness(&self, table: &dyn Readable, stretch: &Stretch) -> f64 {
        let picture = Stretch { zone: None, ..*stretch };
        let from = if stretch.from.is_finite() { stretch.from } else { stretch.to - 2.0 * REACH };
        let to = if stretch.to.is_finite() { stretch.to } else { stretch.from + 2.0 * REACH };
        (0..=STEPS)
            .map(|step| {
                let (stops, u) = self.grey(from + (to - from) * step as f64 / STEPS as f64);
                way(table.read(self, u), self.colour_of(&picture, stops), self.colour_of(stretch, stops))
            })
            .fold(0.0, f64::max)
            .min(1.0)
    }

    /// For each zone that a table of `size` points does not hold, the numbers of points that do, out of all above `size` that a recipe may
    /// ask for, ascending; none for zones that it holds, or that are never shown.
    ///
    /// A number holds a zone by where its points happen to lie: one that is larger need not.
    pub(super) fn points_that_hold(&self, size: usize, now: &[Option<Held>]) -> Vec<Vec<usize>> {
        let lost: Vec<bool> = now.iter().map(|one| one.is_some_and(|held| !held.held)).collect();
        let mut found = vec![Vec::new(); now.len()];
        if !lost.contains(&true) {
            return found;
        }
        for points in size + 1..=SIZE_MAX {
            let then = self.held(&GreyCells::new(points));
            for (place, held) in then.iter().enumerate() {
                if lost[place] && held.is_some_and(|held| held.held) {
                    found[place].push(points);
                }
            }
        }
        found
    }

    /// How far edges are off for the patches of the chart. Where one channel has reached clip, the patch says nothing of an edge.
    pub(super) fn coloured(&self, table: &Table3) -> Coloured {
        let all = stretches(&self.zones);
        let camera = &self.plan.camera;
        let from_xyz = camera.gamut.from_xyz();
        let clip = self.clip_input() - 1.0 / (table.size() - 1) as f64;
        let mut coloured = Coloured { found: 0, lost: 0, mean_stops: 0.0, worst_stops: 0.0, worst: None };
        for patch in &CHART {
            let linear = chart::to_linear(patch, &from_xyz, camera.gamut.white_xyz(), self.plan.adaptation);
            let recorded = |stops: f64| self.reading.recorded(linear.map(|value| exp2(stops) * value));
            // Stops of the patch as it is, from a place where nothing is clipped.
            let own = self.stops(recorded(0.0));
            let input = |stops: f64| {
                let u = recorded(stops - own);
                (super::largest(u) < clip).then(|| (self.stops(u), u))
            };
            for place in 0..all.len().saturating_sub(1) {
                let (low, high) = (&all[place], &all[place + 1]);
                // Noise floor and clip go by the largest code, not by luminance.
                if low.from == f64::NEG_INFINITY || high.to == f64::INFINITY || input(low.to + REACH).is_none() {
                    continue;
                }
                let Some(found) = self.crossing(table, [low, high], &input) else {
                    coloured.lost += 1;
                    continue;
                };
                let off = (found - low.to).abs();
                coloured.found += 1;
                coloured.mean_stops += off;
                if off > coloured.worst_stops {
                    let zone = high.zone.or(low.zone).map_or(String::new(), |zone| self.zones[zone].name.clone());
                    (coloured.worst_stops, coloured.worst) = (off, Some((patch.name, zone)));
                }
            }
        }
        if coloured.found > 0 {
            coloured.mean_stops /= coloured.found as f64;
        }
        coloured
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_between_two_colours_is_a_share() {
        let (a, b) = ([0.1, 0.2, 0.3], [0.5, 0.6, 0.1]);
        let middle = [0, 1, 2].map(|i| (a[i] + b[i]) / 2.0);
        assert!((way(middle, a, b) - 0.5).abs() < 1e-15 && way(a, a, b) == 0.0 && (way(b, a, b) - 1.0).abs() < 1e-15);
    }
}
