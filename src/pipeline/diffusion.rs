//! Diffusion: what a filter on the lens does to one pixel without knowing its neighbours: a veil over the whole frame,
//! highlights that give a little light away, and less colour in them. The halo is spatial; no LUT can hold it.

use super::acescg_luminance;
use crate::maths::{GREY, Rgb, exp2, log2};
use crate::plan::Diffusion;
use nalgebra::Vector3;

/// The diffusion block.
#[derive(Clone, Debug)]
pub struct DiffusionBlock {
    filter: Diffusion,
    luminance: Vector3<f64>,
}

impl DiffusionBlock {
    pub(crate) fn new(filter: &Diffusion) -> Self {
        Self { filter: *filter, luminance: acescg_luminance() }
    }

    /// Linear ACEScg in and out.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        let f = &self.filter;
        let veiled = rgb.map(|x| (1.0 - f.veil) * x + f.veil * f.veil_level);
        let brightest = veiled[0].max(veiled[1]).max(veiled[2]);
        if brightest <= 0.0 {
            return veiled;
        }
        let above_knee = (log2(brightest / GREY) - f.knee_stops).max(0.0);
        if above_knee == 0.0 {
            return veiled;
        }
        let share = above_knee * above_knee / (above_knee * above_knee + f.softness_stops * f.softness_stops);
        let dimmed = veiled.map(|x| exp2(-f.loss_stops * share) * x);
        let luminance = self.luminance[0] * dimmed[0] + self.luminance[1] * dimmed[1] + self.luminance[2] * dimmed[2];
        dimmed.map(|x| x + f.bleach * share * (luminance - x))
    }
}
