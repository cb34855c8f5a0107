//! What a colour under a light looks like through one LUT of a show: light → camera at its balance → signal → look → monitor.
//!
//! Light is linear in the channels of the camera's gamut and of its published response; what a camera with a trim records differs from it.

use crate::colour::chart::CHART_WHITE;
use crate::colour::difference::Lab;
use crate::colour::gamuts::{ACESCG, xy_to_xyz};
use crate::colour::whites::Chromaticity;
use crate::light::Balance;
use crate::maths::{GREY, Rgb, exp2};
use crate::picture::screen::Screen;
use crate::pipeline::{Pipeline, RootTrim, camera_to_acescg, transform, undo_trim};
use crate::plan::{Plan, Trim};
use crate::verify::Viewer;
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// How a camera is taken to balance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Balancing {
    /// By gains on cone values, as the recipe's `adaptation` does.
    Cones,
    /// By gains on the channels of its recorded gamut.
    Channels,
}

/// A colour as a monitor shows it.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Shown {
    /// The monitor's signal, 0..1.
    pub signal: Rgb,
    /// CIELAB against the monitor's white.
    pub lab: [f64; 3],
    /// The same as an sRGB picture shows it (IEC 61966-2-1), 0..1; what sRGB does not hold is clipped.
    pub srgb: Rgb,
}

impl Shown {
    /// The colour for differences.
    #[must_use]
    pub fn lab(&self) -> Lab {
        let [l, a, b] = self.lab;
        Lab { l, a, b }
    }
}

/// Sees colours through one plan.
pub(super) struct Eye<'a> {
    plan: &'a Plan,
    viewer: Viewer<'a>,
    screen: Screen,
    from_xyz: Matrix3<f64>,
    to_acescg: Matrix3<f64>,
    from_acescg: Matrix3<f64>,
}

impl<'a> Eye<'a> {
    pub(super) fn new(plan: &'a Plan, pipeline: &'a Pipeline) -> Self {
        let (gamut, adaptation) = (plan.camera.gamut, plan.adaptation);
        let back = adaptation.matrix(ACESCG.white_xyz(), gamut.white_xyz());
        Self {
            plan,
            viewer: Viewer::new(plan, pipeline),
            screen: Screen::new(plan, None),
            from_xyz: gamut.from_xyz(),
            to_acescg: camera_to_acescg(gamut, adaptation),
            from_acescg: gamut.from_xyz() * back * ACESCG.to_xyz(),
        }
    }

    /// Channels of the recorded gamut for a light of that chromaticity and Y = 1, without any balance.
    pub(super) fn channels(&self, light: Chromaticity) -> Vector3<f64> {
        self.from_xyz * xy_to_xyz([light.x, light.y])
    }

    /// Linear light in the camera's channels of a reflecting colour (XYZ under [`CHART_WHITE`], a perfect reflector at Y = 1) under
    /// `light`, at a balance that shows `neutral` as neutral, exposed so that a grey card of 18 % under the same light has the
    /// luminance of grey.
    ///
    /// `None` where the balance would need a channel that such a light does not have.
    pub(super) fn camera_light(
        &self,
        colour: Rgb,
        light: Chromaticity,
        neutral: Chromaticity,
        how: Balancing,
    ) -> Option<Rgb> {
        let white = xy_to_xyz([light.x, light.y]);
        let adaptation = self.plan.adaptation;
        let under_light = adaptation.matrix(Vector3::from(CHART_WHITE), white) * Vector3::from(colour);
        let [recorded, card] = [under_light, white].map(|xyz| match how {
            Balancing::Cones => {
                let to = self.plan.camera.gamut.white_xyz();
                self.from_xyz * adaptation.matrix(xy_to_xyz([neutral.x, neutral.y]), to) * xyz
            }
            Balancing::Channels => (self.from_xyz * xyz).component_div(&self.channels(neutral)),
        });
        let luminance = (ACESCG.to_xyz() * self.to_acescg * card)[1];
        let exposed = recorded / luminance;
        (luminance > 0.0 && exposed.iter().all(|value| value.is_finite())).then(|| exposed.into())
    }

    /// The same for a grey card of 18 %.
    pub(super) fn card_light(&self, light: Chromaticity, neutral: Chromaticity, how: Balancing) -> Option<Rgb> {
        self.camera_light(CHART_WHITE.map(|value| GREY * value), light, neutral, how)
    }

    /// What the monitor shows of light in the camera's channels, `stops` over or under. `None` where the camera's trim can't be undone.
    pub(super) fn shown(&self, linear: Rgb, stops: f64) -> Option<Shown> {
        let linear = self.recorded(linear.map(|value| exp2(stops) * value))?;
        let signal = linear.map(|value| {
            let code = self.plan.camera.curve.encode(value);
            // A pure logarithm has no signal for light below 0: that is recorded as 0.
            if code.is_nan() { 0.0 } else { code.clamp(0.0, 1.0) }
        });
        let signal = self.viewer.of_look(signal);
        let lab = self.viewer.lab(signal);
        let srgb = self.screen.signal(signal).map(|value| value.clamp(0.0, 1.0));
        Some(Shown { signal, lab: [lab.l, lab.a, lab.b], srgb })
    }

    /// What a camera with a trim records where one of the published response records `published`, both linear in the camera's channels.
    /// `None` where the trim can't be undone.
    pub(super) fn recorded(&self, published: Rgb) -> Option<Rgb> {
        if self.plan.camera_trim == Trim::IDENTITY {
            return Some(published);
        }
        let recorded = undo_trim(&self.plan.camera_trim, transform(&self.to_acescg, published))?;
        Some(transform(&self.from_acescg, recorded))
    }

    /// What a camera of the published response records where this one, with its trim, records `recorded`: the inverse of
    /// [`Self::recorded`].
    pub(super) fn published(&self, recorded: Rgb) -> Rgb {
        if self.plan.camera_trim == Trim::IDENTITY {
            return recorded;
        }
        let trimmed = RootTrim::new(&self.plan.camera_trim).apply(transform(&self.to_acescg, recorded));
        transform(&self.from_acescg, trimmed)
    }

    /// A neutral of the scene behind a matrix of the look, in the camera's channels.
    pub(super) fn neutral_behind(&self, matrix: &Matrix3<f64>) -> Vector3<f64> {
        self.from_acescg * matrix * Vector3::repeat(1.0)
    }

    /// What a colour (XYZ as the chart has it; a grey card of 18 % without one) looks like in that light alone, at a balance, exposed so
    /// that a grey card in it is grey; the camera balancing as the recipe adapts.
    pub(super) fn in_light(&self, colour: Option<Rgb>, light: Chromaticity, balance: &Balance) -> Option<Shown> {
        let neutral = balance.white();
        let linear = match colour {
            Some(colour) => self.camera_light(colour, light, neutral, Balancing::Cones),
            None => self.card_light(light, neutral, Balancing::Cones),
        };
        self.shown(linear?, 0.0)
    }
}
