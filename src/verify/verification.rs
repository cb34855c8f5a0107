//! The Verification: what was checked, against what, and what was found.

use super::{Cut, GreyPoint, Nodes, PatchPoint, Search, Shape};
use crate::pipeline::Clips;
use serde::Serialize;

/// One thing that was held against a tolerance.
#[derive(Clone, Debug, Serialize)]
pub struct Check {
    /// What was checked.
    pub name: &'static str,
    /// What was found, in `unit`.
    pub value: f64,
    /// The most that is allowed.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Whether it holds.
    pub pass: bool,
    /// Where it is worst: which stop or patch, what was expected, what was got.
    pub worst: String,
}

impl Check {
    /// A check that passes up to and at its limit, and fails for NaN.
    #[must_use]
    pub fn new(name: &'static str, value: f64, limit: f64, unit: &'static str, worst: String) -> Self {
        Self { name, value, limit, unit, pass: value <= limit, worst }
    }
}

/// Everything that the verifier found out about one file.
#[derive(Clone, Debug, Serialize)]
pub struct Verification {
    /// Whether all checks hold.
    pub pass: bool,
    /// The checks, in order.
    pub checks: Vec<Check>,
    /// Points a side of the file.
    pub size: usize,
    /// The grey scale, −8..+8 stops.
    pub grey: Vec<GreyPoint>,
    /// Largest difference on the grey scale, −5..+5 stops, 10-bit codes.
    pub grey_max_codes: f64,
    /// Whether the signal never falls along the grey scale, or only where the exact look falls too.
    pub monotonic: bool,
    /// Stops from grey up to which the picture is black, minus infinity (null in JSON) if only without light; `None` if it
    /// never is.
    pub black_stops: Option<f64>,
    /// Stops from grey at which the picture is white; `None` if it never is.
    pub white_stops: Option<f64>,
    /// Signal of the display's mid-grey: of a neutral with the luminance that grey gets.
    pub mid_grey_signal: f64,
    /// The chart, −3..+3 stops.
    pub patches: Vec<PatchPoint>,
    /// Mean CIEDE2000 of the chart.
    pub patch_mean_de: f64,
    /// Largest CIEDE2000 of the chart.
    pub patch_max_de: f64,
    /// Skins, −3..+3 stops.
    pub skins: Vec<PatchPoint>,
    /// Largest CIEDE2000 of the skins.
    pub skin_max_de: f64,
    /// Nodes that the look clips at the display's black or white.
    pub clipped_nodes: u64,
    /// What was clipped, and where.
    pub clips: Clips,
    /// Every number of the file against the look.
    pub nodes: Nodes,
    /// A random sample and the worst point that was found between the nodes.
    pub search: Search,
    /// Folds and steps of the table.
    pub shape: Shape,
    /// The part of the camera's signal that never reaches the table.
    pub cut: Option<Cut>,
    /// What a reader should know: steps of the published curve, other sizes.
    pub notes: Vec<String>,
    /// What the file probably is instead, where its numbers are wrong.
    pub suspicion: Option<String>,
    /// Where a tolerance is missed: the smallest usual grid that would hold them all.
    pub smallest_grid: Option<usize>,
}

/// What the verifier finds out about a file that is no table: everything that asks for no nodes.
#[derive(Clone, Debug, Serialize)]
pub struct FunctionVerification {
    /// Whether all checks hold.
    pub pass: bool,
    /// The checks, in order.
    pub checks: Vec<Check>,
    /// The grey scale, −8..+8 stops.
    pub grey: Vec<GreyPoint>,
    /// Largest difference on the grey scale, −5..+5 stops, 10-bit codes.
    pub grey_max_codes: f64,
    /// Whether the signal never falls along the grey scale, or only where the exact look falls too.
    pub monotonic: bool,
    /// As in [`Verification`].
    pub black_stops: Option<f64>,
    /// As in [`Verification`].
    pub white_stops: Option<f64>,
    /// Signal of the display's mid-grey: of a neutral with the luminance that grey gets.
    pub mid_grey_signal: f64,
    /// The chart, −3..+3 stops.
    pub patches: Vec<PatchPoint>,
    /// Mean CIEDE2000 of the chart.
    pub patch_mean_de: f64,
    /// Largest CIEDE2000 of the chart.
    pub patch_max_de: f64,
    /// Skins, −3..+3 stops.
    pub skins: Vec<PatchPoint>,
    /// Largest CIEDE2000 of the skins.
    pub skin_max_de: f64,
    /// What a reader should know.
    pub notes: Vec<String>,
}

impl Verification {
    /// The checks that don't hold.
    pub fn failures(&self) -> impl Iterator<Item = &Check> {
        self.checks.iter().filter(|check| !check.pass)
    }
}
