//! Split: one tint for the shadows and one for the highlights, blended over the stops between.

use super::fault::Fault;
use super::white::tint_matrix;
use super::{acescg_luminance, transform};
use crate::colour::adaptation::Adaptation;
use crate::diagnostics::codes;
use crate::maths::{GREY, Rgb, exp2, linear_from_stops, log2};
use crate::plan::Split;
use nalgebra::{Matrix3, Vector3};

/// Luminances below this many stops from grey count as this dark: the blend has ended there.
const DARKEST_STOPS: f64 = -12.0;

/// The split block.
#[derive(Clone, Debug)]
pub struct SplitBlock {
    shadows: Matrix3<f64>,
    highlights: Matrix3<f64>,
    balance_stops: f64,
    width_stops: f64,
    luminance: Vector3<f64>,
}

impl SplitBlock {
    pub(super) fn new(split: &Split, adaptation: Adaptation) -> Result<Self, Vec<Fault>> {
        let tint = |tint: &crate::plan::Tint, parameter| {
            if tint.is_identity() { Ok(Matrix3::identity()) } else { tint_matrix(tint, adaptation, parameter) }
        };
        match (tint(&split.shadows, "split.shadows"), tint(&split.highlights, "split.highlights")) {
            (Ok(shadows), Ok(highlights)) => Ok(Self {
                shadows,
                highlights,
                balance_stops: split.balance_stops,
                width_stops: split.width_stops,
                luminance: acescg_luminance(),
            }),
            (shadows, highlights) => Err([shadows.err(), highlights.err()].into_iter().flatten().collect()),
        }
    }

    /// Linear ACEScg in and out.
    #[must_use]
    pub fn apply(&self, rgb: Rgb) -> Rgb {
        let luminance = self.luminance[0] * rgb[0] + self.luminance[1] * rgb[1] + self.luminance[2] * rgb[2];
        let stops = log2(luminance.max(GREY * exp2(DARKEST_STOPS)) / GREY);
        let z = ((stops - self.balance_stops) / self.width_stops + 0.5).clamp(0.0, 1.0);
        let z = z * z * (3.0 - 2.0 * z);
        let (dark, bright) = (transform(&self.shadows, rgb), transform(&self.highlights, rgb));
        [(1.0 - z) * dark[0] + z * bright[0], (1.0 - z) * dark[1] + z * bright[1], (1.0 - z) * dark[2] + z * bright[2]]
    }

    /// A warning if a brighter grey gets a darker channel somewhere: the tints differ too much over too few stops.
    pub(super) fn falling_channel(&self) -> Option<Fault> {
        const STEPS_PER_STOP: i32 = 16;
        let at = |step: i32| {
            let stops = f64::from(step) / f64::from(STEPS_PER_STOP);
            (stops, self.apply([linear_from_stops(stops); 3]))
        };
        let falls = (-12 * STEPS_PER_STOP..12 * STEPS_PER_STOP).find_map(|step| {
            let ((stops, low), (_, high)) = (at(step), at(step + 1));
            (0..3).find(|channel| high[*channel] < low[*channel]).map(|channel| (stops, channel))
        });
        falls.map(|(stops, channel)| {
            let name = ["red", "green", "blue"][channel];
            let message = format!("the split makes {name} of a grey scale fall near {stops:+.1} stops");
            let label = format!("{} stops are too few for these two tints", self.width_stops);
            Fault::warning(&codes::SPLIT_FALLS, "split.width_stops", message, label)
                .help("widen `split.width_stops`, or bring the two tints closer together")
        })
    }
}
