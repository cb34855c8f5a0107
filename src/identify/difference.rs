//! How far a file is from a look, as its display shows it.

use super::levelling::Levelling;
use super::model::evaluate;
use super::probes::Probes;
use super::trial::Trial;
use crate::colour::difference::ciede2000;
use crate::maths::{CODE10_MAX, Rgb};
use crate::pipeline::{Pipeline, Row};
use crate::plan::Plan;
use crate::verify::Picture;
use serde::Serialize;

/// Colour and signal differences over a few hundred nodes of a file: greys, colours near grey, and any.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Difference {
    /// Mean CIEDE2000 on the look's display.
    pub mean_de: f64,
    /// Largest CIEDE2000.
    pub max_de: f64,
    /// Mean distance of a channel, 10-bit codes of the display's signal.
    pub mean_codes: f64,
    /// Largest distance of a channel, 10-bit codes.
    pub max_codes: f64,
}

impl Difference {
    /// What is left once what was done to the file is undone.
    pub(super) fn left(plan: &Plan, probes: &Probes, trial: &Trial) -> Self {
        Self::between(plan, trial.output, &probes.values, &trial.values)
    }

    /// What the look's own device would show if it were given the file as it is.
    pub(super) fn as_it_is(plan: &Plan, pipeline: &Pipeline, probes: &Probes) -> Self {
        let mut row = Row::default();
        evaluate(pipeline, probes.places.iter().copied(), &mut row);
        Self::between(plan, Levelling::Kept, &probes.values, &row.pixels().collect::<Vec<_>>())
    }

    fn between(plan: &Plan, output: Levelling, file: &[Rgb], look: &[Rgb]) -> Self {
        let picture = Picture::new(plan);
        let levels = plan.device.output_levels;
        // Held to the display's range: what is beyond can't be seen.
        let signal = |value: Rgb| output.undo_all(value).map(|channel| levels.from_signal(channel).clamp(0.0, 1.0));
        let mut sum = Self { mean_de: 0.0, max_de: 0.0, mean_codes: 0.0, max_codes: 0.0 };
        for (file, look) in file.iter().zip(look) {
            let (a, b) = (signal(*file), signal(*look));
            let de = ciede2000(picture.lab(a), picture.lab(b));
            sum.mean_de += de;
            sum.max_de = sum.max_de.max(de);
            for channel in 0..3 {
                let codes = (a[channel] - b[channel]).abs() * CODE10_MAX;
                sum.mean_codes += codes / 3.0;
                sum.max_codes = sum.max_codes.max(codes);
            }
        }
        let count = file.len() as f64;
        Self { mean_de: sum.mean_de / count, mean_codes: sum.mean_codes / count, ..sum }
    }
}
