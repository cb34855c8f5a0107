//! Colours of an exposure map, made by rule: lightness tells the order, two opposite hues tell neighbours apart.
//!
//! Everything here is this project's own; the differences are CIEDE2000 (bibliography: sharma-2005), the other kinds of vision those of
//! [`Vision`].

use crate::colour::difference::{Lab, ciede2000, lab_to_xyz, xyz_to_lab};
use crate::colour::gamuts::BT709;
use crate::colour::vision::Vision;
use crate::maths::{Rgb, cos, sin};
use crate::pipeline::transform;
use core::f64::consts::PI;
use nalgebra::Matrix3;
use serde::Serialize;

/// CIELAB lightness of the first and the last colour: dark enough to be the darkest and light enough to be the lightest, with room for
/// chroma at both ends.
pub const LIGHTNESS: [f64; 2] = [30.0, 90.0];

/// CIELAB hue of the last colour and of every second one below it; the others lie opposite, at 265°.
///
/// Of all axes the one whose least difference between neighbours, over four kinds of vision, stays largest while it is turned by
/// ten degrees either way, which a maladjusted white does to hues. The axis through 140° gives larger differences, but half of them are gone ten degrees further: no
/// monitor, and no eye, is that exact.
pub const WARM_DEG: f64 = 85.0;

/// How well the colours of a map keep apart, to one kind of vision. All are CIEDE2000.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Separation {
    /// `normal`, or the id of a [`Vision`].
    pub vision: &'static str,
    /// Least difference between two zones that follow each other.
    pub neighbours: f64,
    /// Least difference between any two zones.
    pub any_two: f64,
    /// Least difference of a zone to a grey of its lightness, of the greys that the picture outside the bands can have; none where
    /// all zones are lighter than that picture.
    pub greys: Option<f64>,
}

/// How well the colours of a map keep apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Separations {
    /// Normal vision first, then all of [`Vision::ALL`].
    pub visions: Vec<Separation>,
    /// Least step of L* from one zone to the next, in black and white.
    pub grey_steps: f64,
}

/// The colours of `count` zones, the darkest first: linear light in BT.709 primaries, 0..1.
#[must_use]
pub fn colours(count: usize) -> Vec<Rgb> {
    colours_on(count, WARM_DEG)
}

/// The same on another axis, for the proof that this one is a good choice.
fn colours_on(count: usize, warm_deg: f64) -> Vec<Rgb> {
    let gamut = Bt709::new();
    let last = count.saturating_sub(1);
    (0..count)
        .map(|place| {
            let share = if last == 0 { 1.0 } else { place as f64 / last as f64 };
            let lightness = LIGHTNESS[0] + share * (LIGHTNESS[1] - LIGHTNESS[0]);
            let warm = (last - place).is_multiple_of(2);
            gamut.strongest(lightness, if warm { warm_deg } else { warm_deg + 180.0 })
        })
        .collect()
}

/// How well `colours` (linear light in BT.709 primaries, in their order) keep apart on a picture whose greys reach `dim`, 0..1.
#[must_use]
pub fn separations(colours: &[Rgb], dim: f64) -> Separations {
    let gamut = Bt709::new();
    let brightest_grey = gamut.lab([dim; 3]).l;
    let kinds = std::iter::once(None).chain(Vision::ALL.into_iter().map(Some));
    let visions = kinds.map(|vision| separation(&gamut, colours, vision, brightest_grey)).collect();
    let lightness: Vec<f64> = colours.iter().map(|colour| gamut.lab(*colour).l).collect();
    let grey_steps = lightness.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
    Separations { visions, grey_steps }
}

fn separation(gamut: &Bt709, colours: &[Rgb], vision: Option<Vision>, brightest_grey: f64) -> Separation {
    let seen = |light: Rgb| gamut.lab(vision.map_or(light, |vision| vision.seen(light)));
    let labs: Vec<Lab> = colours.iter().map(|colour| seen(*colour)).collect();
    let least = |differences: &mut dyn Iterator<Item = f64>| differences.fold(f64::INFINITY, f64::min);
    let greys = colours.iter().zip(&labs).filter(|(colour, _)| gamut.lab(**colour).l <= brightest_grey);
    let greys = least(&mut greys.map(|(_, lab)| ciede2000(*lab, Lab { l: lab.l, a: 0.0, b: 0.0 })));
    Separation {
        vision: vision.map_or("normal", Vision::id),
        neighbours: least(&mut labs.windows(2).map(|pair| apart(pair[0], pair[1]))),
        any_two: least(
            &mut labs
                .iter()
                .enumerate()
                .flat_map(|(place, one)| labs[place + 1..].iter().map(|other| apart(*one, *other))),
        ),
        greys: greys.is_finite().then_some(greys),
    }
}

/// CIEDE2000 of colours whose hues may be exactly opposite. There the mean hue jumps from one side to the other, and the difference with it (by
/// 3 for zones as these); which side an exact opposite falls on is a matter of rounding. The smaller of the two counts.
fn apart(one: Lab, other: Lab) -> f64 {
    /// Radians: far more than rounding, far less than is seen.
    const TURN: f64 = 1e-6;
    let turned = |by: f64| {
        let (cosine, sine) = (cos(by), sin(by));
        Lab { l: other.l, a: cosine * other.a - sine * other.b, b: sine * other.a + cosine * other.b }
    };
    ciede2000(one, turned(TURN)).min(ciede2000(one, turned(-TURN)))
}

/// BT.709 with the matrices at hand.
struct Bt709 {
    to_xyz: Matrix3<f64>,
    from_xyz: Matrix3<f64>,
    white: Rgb,
}

impl Bt709 {
    fn new() -> Self {
        Self { to_xyz: BT709.to_xyz(), from_xyz: BT709.from_xyz(), white: BT709.white_xyz().into() }
    }

    fn lab(&self, light: Rgb) -> Lab {
        xyz_to_lab(transform(&self.to_xyz, light), self.white)
    }

    fn light(&self, l: f64, chroma: f64, hue_deg: f64) -> Rgb {
        let hue = hue_deg * (PI / 180.0);
        let lab = Lab { l, a: chroma * cos(hue), b: chroma * sin(hue) };
        transform(&self.from_xyz, lab_to_xyz(lab, self.white))
    }

    /// The colour of that lightness and hue with the most chroma that the gamut holds.
    fn strongest(&self, l: f64, hue_deg: f64) -> Rgb {
        /// No colour of BT.709 has more.
        const MOST: f64 = 150.0;
        /// Halvings to where f64 ends.
        const STEPS: usize = 60;
        let holds = |chroma: f64| self.light(l, chroma, hue_deg).iter().all(|value| (0.0..=1.0).contains(value));
        let (mut low, mut high) = (0.0, MOST);
        for _ in 0..STEPS {
            let middle = (low + high) / 2.0;
            if holds(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        self.light(l, low, hue_deg)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The fewest and the most zones of a map: noise floor and clip with 1 and with 16 bands.
    const ZONES: std::ops::RangeInclusive<usize> = 3..=18;

    fn least(count: usize, warm_deg: f64) -> f64 {
        let found = separations(&colours_on(count, warm_deg), 0.35);
        found.visions.iter().map(|one| one.neighbours).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn lightness_rises_in_equal_steps_and_all_colours_are_of_bt709() {
        let gamut = Bt709::new();
        for count in ZONES {
            let colours = colours(count);
            let step = (LIGHTNESS[1] - LIGHTNESS[0]) / (count - 1) as f64;
            for (place, colour) in colours.iter().enumerate() {
                assert!(colour.iter().all(|value| (0.0..=1.0).contains(value)), "{count}: {colour:?}");
                let expected = LIGHTNESS[0] + step * place as f64;
                assert!((gamut.lab(*colour).l - expected).abs() < 1e-9, "{count}: zone {place}");
                assert!(colour.iter().any(|value| *value < 1e-6 || *value > 1.0 - 1e-6), "not the most chroma");
            }
        }
    }

    /// No other axis, in steps of five degrees, is better by more than one ΔE2000 where hues are off by as much as they may be.
    #[test]
    fn the_axis_is_the_one_that_stands_being_turned() {
        const BETTER: f64 = 1.0;
        let by_step: Vec<f64> = (0..72)
            .map(|step| [6, 12, 18].into_iter().map(|n| least(n, 5.0 * f64::from(step))).fold(99.0, f64::min))
            .collect();
        let turned = |step: usize| (0..=4).map(|turn| by_step[(step + 70 + turn) % 72]).fold(99.0, f64::min);
        // Two steps of five degrees either way.
        let ours = turned(WARM_DEG as usize / 5);
        let best = (0..72).map(turned).fold(0.0, f64::max);
        assert!(ours >= best - BETTER, "{ours} on our axis, {best} on the best");
    }
}
