//! The colours that cameras and monitors are compared by.

use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{self, CHART, Patch, SKINS};
use crate::colour::gamuts::{BT2020, Gamut, P3_D65, xy_to_xyz};
use crate::colour::whites::D65;
use crate::maths::{GREY, Rgb, exp2};
use crate::verify::PATCH_STOPS;
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// Steps of the grey scale to a stop.
const GREY_STEPS: i32 = 2;

/// What a probe stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum ProbeKind {
    /// A patch of the chart.
    Chart,
    /// A skin.
    Skin,
    /// A step of the grey scale.
    Grey,
    /// A light that is as saturated as a monitor's primary: reported, never held against a tolerance.
    Saturated,
}

/// One colour at one exposure.
#[derive(Clone, Debug)]
pub struct Probe {
    /// Name of the patch, skin or light; `grey`.
    pub name: &'static str,
    /// Stops over or under.
    pub stops: f64,
    /// What it stands for.
    pub kind: ProbeKind,
    light: Light,
}

#[derive(Clone, Debug)]
enum Light {
    Patch(&'static Patch),
    Grey,
    /// XYZ under D65.
    Emitted(Vector3<f64>),
}

/// All probes, always in the same order: chart and skins at −3..+3 stops, greys at −3..+3 stops in halves, and the primaries
/// and secondaries of P3-D65 and BT.2020 at 18 % luminance.
///
/// Steps and lights are this project's own choice.
#[must_use]
pub fn probes() -> Vec<Probe> {
    let patches = [(&CHART[..], ProbeKind::Chart), (&SKINS[..], ProbeKind::Skin)];
    let mut probes = Vec::new();
    for (patches, kind) in patches {
        for patch in patches {
            let at = |stops| Probe { name: patch.name, stops: f64::from(stops), kind, light: Light::Patch(patch) };
            probes.extend((-PATCH_STOPS..=PATCH_STOPS).map(at));
        }
    }
    let greys = -PATCH_STOPS * GREY_STEPS..=PATCH_STOPS * GREY_STEPS;
    let grey = |step| f64::from(step) / f64::from(GREY_STEPS);
    probes.extend(greys.map(|step| Probe {
        name: "grey",
        stops: grey(step),
        kind: ProbeKind::Grey,
        light: Light::Grey,
    }));
    probes.extend(saturated(&P3_D65, ["P3 red", "P3 green", "P3 blue", "P3 cyan", "P3 magenta", "P3 yellow"]));
    let names = ["BT.2020 red", "BT.2020 green", "BT.2020 blue", "BT.2020 cyan", "BT.2020 magenta", "BT.2020 yellow"];
    probes.extend(saturated(&BT2020, names));
    probes
}

/// Primaries and secondaries of a gamut whose white is D65, at the luminance of mid-grey.
fn saturated(gamut: &Gamut, names: [&'static str; 6]) -> impl Iterator<Item = Probe> {
    const AMOUNTS: [Rgb; 6] =
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 1.0], [1.0, 0.0, 1.0], [1.0, 1.0, 0.0]];
    let to_xyz = gamut.to_xyz();
    names.into_iter().zip(AMOUNTS).map(move |(name, amounts)| {
        let xyz = to_xyz * Vector3::from(amounts);
        Probe { name, stops: 0.0, kind: ProbeKind::Saturated, light: Light::Emitted(xyz * (GREY / xyz[1])) }
    })
}

impl Probe {
    /// Scene-linear light in a gamut, a perfect reflector = 1, as a camera without fault sees it: adapted to the gamut's white.
    /// Nothing is clipped.
    pub(super) fn linear(&self, from_xyz: &Matrix3<f64>, gamut: &Gamut, adaptation: Adaptation) -> Rgb {
        let at_rest = match &self.light {
            Light::Patch(patch) => chart::to_linear(patch, from_xyz, gamut.white_xyz(), adaptation),
            Light::Grey => [GREY; 3],
            Light::Emitted(xyz) => {
                let d65 = xy_to_xyz([D65.x, D65.y]);
                (from_xyz * (adaptation.matrix(d65, gamut.white_xyz()) * xyz)).into()
            }
        };
        at_rest.map(|value| exp2(self.stops) * value)
    }
}
