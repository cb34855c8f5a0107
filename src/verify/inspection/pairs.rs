//! Pairs of published curves that a grey scale fits: from one encoding to another.

use super::judgement::{Samples, distance};
use super::transfers::Transfer;
use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::{GAMUTS, Gamut};
use crate::maths::{CODE10_MAX, Rgb};
use crate::pipeline::transform;
use crate::plan::Levels;
use nalgebra::Matrix3;
use serde::Serialize;

/// A pair fits within this many 10-bit codes: a file that was rounded to 10-bit codes is half a code off, and constants
/// that were rounded by others as much again.
const FITS_CODES: f64 = 1.0;

/// Pairs that fit nearly as well as the best are told too.
const AS_WELL_CODES: f64 = 0.25;

/// Greys that lie inside the output's range must be at least so many, or everything fits.
const TELLING: usize = 5;

/// At most so many pairs are told.
const TOLD: usize = 6;

/// A matrix fits within this many codes near grey.
const MATRIX_CODES: f64 = 3.0;

/// A conversion that fits.
#[derive(Clone, Debug, Serialize)]
pub struct Pair {
    /// From this curve.
    pub from: String,
    /// To this curve.
    pub to: String,
    /// Levels of the input and of the output, where they are not both full.
    pub levels: Option<String>,
    /// Largest distance of the grey scale, 10-bit codes.
    pub codes: f64,
    /// Gamuts of both sides and the adaptation, where the table mixes channels and one is found.
    pub gamuts: Option<String>,
    /// Largest distance of colours near grey, 10-bit codes; 0 where no gamuts are told.
    pub gamut_codes: f64,
    #[serde(skip)]
    pub(super) transfers: (Transfer, Transfer),
}

impl Pair {
    /// Its name in messages.
    #[must_use]
    pub fn name(&self) -> String {
        let levels = self.levels.as_ref().map_or(String::new(), |levels| format!(" ({levels})"));
        format!("{} to {}{levels}", self.from, self.to)
    }
}

/// All pairs that fit, the closest first; none where the grey scale says too little.
pub(super) fn fitting(samples: &Samples) -> Vec<Pair> {
    let telling = samples.greys.iter().filter(|(_, output)| output.iter().all(|value| (0.02..0.98).contains(value)));
    if telling.count() < TELLING {
        return Vec::new();
    }
    let transfers = Transfer::all();
    let mut found: Vec<(f64, usize, usize, Levels, Levels)> = Vec::new();
    for input_levels in Levels::ALL {
        for (from_index, from) in transfers.iter().enumerate() {
            let light: Vec<Rgb> =
                samples.greys.iter().map(|(input, _)| input.map(|u| from.decode(input_levels.to_signal(u)))).collect();
            for (to_index, to) in transfers.iter().enumerate() {
                if from_index == to_index {
                    continue;
                }
                for output_levels in Levels::ALL {
                    if let Some(off) = distance_of(samples, &light, to, output_levels) {
                        found.push((off * CODE10_MAX, from_index, to_index, input_levels, output_levels));
                    }
                }
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(best) = found.first().map(|pair| pair.0) else { return Vec::new() };
    let close = found.into_iter().take_while(|pair| pair.0 <= best + AS_WELL_CODES).take(TOLD);
    close
        .map(|(codes, from, to, input, output)| pair(samples, codes, transfers[from], transfers[to], input, output))
        .collect()
}

/// Largest distance of the grey scale from a pair; `None` as soon as it is too large.
fn distance_of(samples: &Samples, light: &[Rgb], to: &Transfer, levels: Levels) -> Option<f64> {
    let mut most = 0.0_f64;
    for (light, (_, output)) in light.iter().zip(&samples.greys) {
        for channel in 0..3 {
            let expected = expected(to, levels, light[channel]);
            let off = (expected - output[channel].clamp(0.0, 1.0)).abs();
            if off.is_nan() || off * CODE10_MAX > FITS_CODES {
                return None;
            }
            most = most.max(off);
        }
    }
    Some(most)
}

/// Output for some light, held to 0..1 as a file would be.
fn expected(to: &Transfer, levels: Levels, light: f64) -> f64 {
    levels.to_signal(to.encode(light).clamp(0.0, 1.0))
}

fn pair(samples: &Samples, codes: f64, from: Transfer, to: Transfer, input: Levels, output: Levels) -> Pair {
    let levels = (input != Levels::Full || output != Levels::Full)
        .then(|| format!("input {}, output {}", input.id(), output.id()));
    let matrix = matrix(samples, &from, &to, input, output);
    let gamut_codes = matrix.as_ref().map_or(0.0, |(codes, _)| *codes);
    let gamuts = matrix.map(|(_, name)| name);
    Pair { from: from.name(), to: to.name(), levels, codes, gamuts, gamut_codes, transfers: (from, to) }
}

/// The pair of gamuts, and the adaptation, that colours near grey fit best; `None` where none fits, or none is needed.
fn matrix(samples: &Samples, from: &Transfer, to: &Transfer, input: Levels, output: Levels) -> Option<(f64, String)> {
    let near: Vec<(Rgb, Rgb)> = samples
        .beside_grey
        .iter()
        .filter(|(_, output)| output.iter().all(|value| (0.1..0.95).contains(value)))
        .map(|(signal, output)| (signal.map(|u| from.decode(input.to_signal(u))), *output))
        .collect();
    let off = |matrix: &Matrix3<f64>| {
        near.iter()
            .map(|(light, got)| distance(transform(matrix, *light).map(|value| expected(to, output, value)), *got))
            .fold(0.0, f64::max)
            * CODE10_MAX
    };
    if near.is_empty() || off(&Matrix3::identity()) <= MATRIX_CODES {
        return None;
    }
    let mut best: Option<(f64, String)> = None;
    for source in GAMUTS {
        for target in GAMUTS {
            for adaptation in Adaptation::ALL {
                let codes = off(&conversion(source, target, adaptation));
                if codes <= MATRIX_CODES && best.as_ref().is_none_or(|(least, _)| codes < *least) {
                    best = Some((codes, format!("{} to {} ({})", source.id, target.id, adaptation.id())));
                }
            }
        }
    }
    best
}

fn conversion(source: &Gamut, target: &Gamut, adaptation: Adaptation) -> Matrix3<f64> {
    target.from_xyz() * adaptation.matrix(source.white_xyz(), target.white_xyz()) * source.to_xyz()
}
