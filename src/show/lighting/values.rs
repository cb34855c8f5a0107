//! A setup's sheet, as values.

use super::cautions::Caution;
use super::eye::Shown;
use super::twice::Twice;
use super::wanted::key_role;
use super::ways::{WayCast, Ways};
use crate::maths::log2;
use serde::Serialize;
use std::path::PathBuf;

/// Everything that a setup needs on the set.
#[derive(Clone, Debug, Serialize)]
pub struct SetupSheet {
    /// Name of the production.
    pub show: String,
    /// Id of the setup.
    pub id: String,
    /// Free text.
    pub note: String,
    /// Its look.
    pub look: SheetLook,
    /// Its cameras.
    pub cameras: Vec<SheetCamera>,
    /// The LUT files of its look, monitor by monitor.
    pub files: Vec<SheetFile>,
    /// The camera's balance, where it is said.
    pub balance: Option<SheetBalance>,
    /// Its lights, in the show's order.
    pub lights: Vec<SheetLight>,
    /// What is left between the key light (else the first) and each other one.
    pub between: Vec<Between>,
    /// Id of the camera and of the monitor that the swatches are seen through.
    pub seen_through: Option<(String, String)>,
    /// ISO, shutter, stop and the light that they need.
    pub exposure: SheetExposure,
    /// Diffusion on the lens and in the recipe.
    pub diffusion: SheetDiffusion,
    /// Whether haze is in the air.
    pub haze: bool,
    /// The cast in the camera against the cast in the recipe, for the key light (else the first light), or for the one that was asked for.
    pub ways: Option<Ways>,
    /// Why there are no two ways, where there is a light and a balance.
    pub no_ways: Option<String>,
    /// What to know when reading the numbers of this setup.
    pub remarks: Vec<String>,
    /// Cautions.
    pub cautions: Vec<Caution>,
}

impl SetupSheet {
    /// The place of the light that levels are counted from: the key light, else the first. `None` where it has no reading.
    #[must_use]
    pub fn level_from(&self) -> Option<usize> {
        let from = key_role(self.lights.iter().map(|light| light.role.as_str()))?;
        self.lights[from].lux().map(|_| from)
    }

    /// Stops that each light is over (positive) or under that one at the subject, from their readings; `None` for a light without, and an empty list
    /// where there is nothing to count from.
    #[must_use]
    pub fn over_level_stops(&self) -> Vec<Option<f64>> {
        let Some(from) = self.level_from().and_then(|from| self.lights[from].lux()) else { return Vec::new() };
        self.lights.iter().map(|light| light.lux().map(|lux| log2(lux / from))).collect()
    }

    /// The key light alone over all fill lights together, a ratio of their readings; both together over the fill is one more. `None` where no role
    /// says "key" or "fill" as a word, or one of these lights has no reading.
    #[must_use]
    pub fn key_to_fill(&self) -> Option<f64> {
        let key = self.level_from().map(|from| &self.lights[from]).filter(|light| says(&light.role, "key"))?;
        let is_fill = |light: &&SheetLight| says(&light.role, "fill") && !says(&light.role, "key");
        let fills: Option<Vec<f64>> = self.lights.iter().filter(is_fill).map(SheetLight::lux).collect();
        let fill = fills?.into_iter().fold(0.0, |sum, lux| sum + lux);
        (fill > 0.0).then(|| key.lux().map(|lux| lux / fill)).flatten()
    }
}

/// Whether a role has a word, in any case.
pub(super) fn says(role: &str, word: &str) -> bool {
    role.to_ascii_lowercase().split(|c: char| !c.is_alphanumeric()).any(|one| one == word)
}

/// The look of a setup.
#[derive(Clone, Debug, Serialize)]
pub struct SheetLook {
    /// Id of the look.
    pub id: String,
    /// Name of the recipe's look.
    pub name: String,
    /// Variant or version in words, empty for the look itself.
    pub part: String,
    /// The recipe's file, as the show names it.
    pub recipe: String,
    /// The recipe's own note.
    pub note: String,
    /// Whether it is a version whose recipe was changed since: then its colours can't be shown, and its files are those that were made.
    pub changed: bool,
    /// What the recipe's `[white]` does: its reference, mired and CC; `None` where it does nothing, or is no longer known (`changed`).
    pub white: Option<RecipeWhite>,
    /// First characters of the look's fingerprint, whatever camera and monitor.
    pub fingerprint: String,
}

/// A recipe's white shift.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct RecipeWhite {
    /// Colour temperature that it is seen from, kelvin.
    pub reference_kelvin: f64,
    /// Mired, positive is warmer.
    pub warmer_mired: f64,
    /// CC, positive is greener.
    pub greener_cc: f64,
}

/// A camera of a setup.
#[derive(Clone, Debug, Serialize)]
pub struct SheetCamera {
    /// Its id.
    pub id: String,
    /// What it must record, such as "s-log3 / s-gamut3.cine".
    pub records: String,
    /// The file with its trim, empty where it has none.
    pub trim: String,
    /// Free text.
    pub note: String,
}

/// A LUT file of a setup's look.
#[derive(Clone, Debug, Serialize)]
pub struct SheetFile {
    /// Id of the monitor.
    pub monitor: String,
    /// Id of the camera.
    pub camera: String,
    /// Path in the show's folder.
    pub file: PathBuf,
    /// Short code of look and camera.
    pub code: String,
    /// What the device must feed to its LUT stage.
    pub input_levels: &'static str,
    /// How it must take the LUT's output.
    pub output_levels: &'static str,
}

/// A camera's balance.
#[derive(Clone, Debug, Serialize)]
pub struct SheetBalance {
    /// Kelvin.
    pub kelvin: f64,
    /// Tint, Duv: the light that looks neutral is that much greener.
    pub greener_duv: f64,
    /// The same in CC.
    pub greener_cc: f64,
    /// Chromaticity of the light that looks neutral, x y.
    pub xy: [f64; 2],
    /// What the camera's menu says.
    pub note: String,
}

/// A light of a setup and what it becomes.
#[derive(Clone, Debug, Serialize)]
pub struct SheetLight {
    /// What it does in the picture.
    pub role: String,
    /// `planckian`, `daylight` or `led`.
    pub source: &'static str,
    /// Colour temperature of the bare source, kelvin.
    pub kelvin: f64,
    /// Its Duv.
    pub source_duv: f64,
    /// Filters, from the lamp outwards.
    pub filters: Vec<SheetFilter>,
    /// Shift of all filters together, mired.
    pub warmer_mired: f64,
    /// Green of all filters together, Duv.
    pub greener_duv: f64,
    /// Light that they take, stops.
    pub loss_stops: f64,
    /// Whether a part of that is estimated.
    pub loss_estimated: bool,
    /// Chromaticity behind the filters, x y.
    pub xy: [f64; 2],
    /// Correlated colour temperature, kelvin, where there is one.
    pub cct: Option<f64>,
    /// The same in mired.
    pub mired: Option<f64>,
    /// Distance from the locus, Duv, where there is a colour temperature.
    pub duv: Option<f64>,
    /// Why there is none, in words.
    pub no_cct: Option<String>,
    /// The cast that it leaves at the balance; `None` without a balance, or beyond ±1000 mired.
    pub cast: Option<WayCast>,
    /// A grey card of 18 % in this light alone, through the look.
    pub card: Option<Shown>,
    /// Light skin (patch 2 of the chart) in this light alone, through the look.
    pub skin: Option<Shown>,
    /// Its exposure, where a reading is known.
    pub reading: Option<SheetReading>,
    /// Free text.
    pub note: String,
}

impl SheetLight {
    /// Its reading, lux, where there is one above zero.
    fn lux(&self) -> Option<f64> {
        self.reading.as_ref().map(|reading| reading.lux).filter(|lux| *lux > 0.0)
    }
}

/// A filter as a sheet shows it.
#[derive(Clone, Debug, Serialize)]
pub struct SheetFilter {
    /// Its name.
    pub name: String,
    /// Mired, positive warms.
    pub mired: f64,
    /// Duv, positive is green.
    pub greener_duv: f64,
    /// The same in CC.
    pub greener_cc: f64,
    /// Light that it takes, stops.
    pub stops: f64,
    /// Whether that is estimated.
    pub stops_estimated: bool,
    /// What another maker prints for a filter of this name: mired, or CC.
    pub other_maker: Option<f64>,
}

/// What is left between two lights of a setup: the second as seen from the first.
#[derive(Clone, Debug, Serialize)]
pub struct Between {
    /// Role of the light that is looked from.
    pub from: String,
    /// Role of the other.
    pub to: String,
    /// The difference of their casts.
    pub warmer_mired: f64,
    /// Greener, Duv.
    pub greener_duv: f64,
    /// Greener, CC.
    pub greener_cc: f64,
    /// CIEDE2000 between a grey card in the one and in the other, through the look.
    pub card_de2000: Option<f64>,
}

/// ISO, shutter and stop of a setup, and the light that they need.
#[derive(Clone, Debug, Serialize)]
pub struct SheetExposure {
    /// ISO.
    pub iso: Option<f64>,
    /// Shutter angle, degrees.
    pub shutter_deg: Option<f64>,
    /// Exposure time, seconds.
    pub shutter_s: Option<f64>,
    /// Frames a second.
    pub frame_rate: f64,
    /// T-stop.
    pub t_stop: Option<f64>,
    /// Light that filters on the lens take, stops.
    pub lens_stops: f64,
    /// The incident light that grey needs at that stop, for each receptor that comes into question; empty where something is not said.
    pub needs: Vec<SheetNeed>,
}

/// The light that a stop needs.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct SheetNeed {
    /// Receptor, `dome` or `flat`.
    pub receptor: &'static str,
    /// Its constant C.
    pub constant: f64,
    /// Lux.
    pub lux: f64,
    /// Foot-candles.
    pub foot_candles: f64,
}

/// How bright a light is.
#[derive(Clone, Debug, Serialize)]
pub struct SheetReading {
    /// At the subject, behind the filters, lux.
    pub lux: f64,
    /// The same in foot-candles.
    pub foot_candles: f64,
    /// Whether it was read, or computed from the lamp's output.
    pub from_output: bool,
    /// The stop that it gives, for each receptor; empty where ISO or shutter are not said.
    pub stops: Vec<StopFor>,
}

/// The stop that a light gives.
#[derive(Clone, Debug, Serialize)]
pub struct StopFor {
    /// Receptor, `dome` or `flat`.
    pub receptor: &'static str,
    /// T-stop at which grey in this light is grey.
    pub t_stop: f64,
    /// The same as it is marked, such as "T2.8 + 1/3".
    pub marked: String,
    /// Stops over (positive) or under at the setup's stop.
    pub over_stops: Option<f64>,
}

/// Diffusion of a setup.
#[derive(Clone, Debug, Serialize)]
pub struct SheetDiffusion {
    /// Grade on the lens.
    pub on_lens: Option<String>,
    /// What the recipe's block does, in words; `None` where it does nothing.
    pub in_recipe: Option<String>,
    /// What both together do.
    pub twice: Option<Twice>,
}
