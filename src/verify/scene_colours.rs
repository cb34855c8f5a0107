//! Colours of the scene by hue, chroma and exposure, as a camera records them.

use super::viewer::record;
use crate::colour::adaptation::Adaptation;
use crate::colour::oklab::Oklab;
use crate::colour::whites::D65;
use crate::maths::{CODE10_MAX, Rgb, cbrt, cos, linear_from_stops, sin};
use crate::pipeline::transform;
use crate::plan::Camera;
use nalgebra::Matrix3;

/// Signals this little outside the camera's are rounding: half a 10-bit code.
const OUTSIDE: f64 = 0.5 / CODE10_MAX;

/// A colour of the scene. Its chromaticity is the same at every exposure, as that of a surface in more or less light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SceneColour {
    /// Oklab hue, degrees.
    pub hue_deg: f64,
    /// Oklab chroma that it has with the lightness of mid-grey.
    pub chroma: f64,
    /// Stops from grey.
    pub stops: f64,
}

/// Makes a camera's signals of such colours.
#[derive(Clone, Debug)]
pub struct SceneColours {
    pub(super) oklab: Oklab,
    camera: Camera,
    to_camera: Matrix3<f64>,
}

impl SceneColours {
    /// For a camera; the scene's white D65 becomes its own by `adaptation`.
    #[must_use]
    pub fn new(camera: &Camera, adaptation: Adaptation) -> Self {
        let white = adaptation.matrix(D65.to_xyz(), camera.gamut.white_xyz());
        Self { oklab: Oklab::new(), camera: *camera, to_camera: camera.gamut.from_xyz() * white }
    }

    /// The camera's linear light: not held to anything.
    #[must_use]
    pub fn linear(&self, colour: SceneColour) -> Rgb {
        let lightness = cbrt(linear_from_stops(colour.stops));
        let chroma = colour.chroma * lightness / cbrt(crate::maths::GREY);
        let angle = colour.hue_deg * (core::f64::consts::PI / 180.0);
        let lab = [lightness, chroma * cos(angle), chroma * sin(angle)];
        transform(&self.to_camera, self.oklab.to_xyz_d65(lab))
    }

    /// The camera's signal, held to 0..1.
    #[must_use]
    pub fn signal(&self, colour: SceneColour) -> Rgb {
        record(&self.camera, self.linear(colour))
    }

    /// Whether the part of the camera's signal between these ends has room for the colour: no channel is beyond it.
    #[must_use]
    pub fn recordable(&self, colour: SceneColour, [first, last]: [f64; 2]) -> bool {
        let inside = |value: f64| (first - OUTSIDE..=last + OUTSIDE).contains(&self.camera.curve.encode(value));
        self.linear(colour).into_iter().all(inside)
    }
}
