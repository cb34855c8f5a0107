//! The first look: which candidates are worth an exact one, and with which levels.

use super::grid::Grid;
use super::input::Input;
use super::levelling::Levelling;
use super::looks::Group;
use super::model::evaluate;
use super::probes::{FIRST, Probes};
use crate::maths::Rgb;
use crate::pipeline::Row;
use rayon::prelude::*;

/// Groups that go from the first look to the second. What a table makes between its nodes moves a candidate by a few places
/// among its near neighbours, not by dozens.
const SECOND: usize = 36;

/// Groups that are looked at exactly.
const KEPT: usize = 16;

/// Levels of one group whose distance is within this factor of its best are kept beside it: after the first look, and after
/// the second.
const NEAR_FIRST: f64 = 2.5;
const NEAR_BEST: f64 = 1.5;

/// Groups as near as the last one that is kept are kept as well: nothing tells them apart here.
const TIE: f64 = 1e-6;

/// A group with levels that would make the file, and how nearly.
#[derive(Clone, Copy, Debug)]
pub(super) struct Guess {
    pub(super) group: usize,
    pub(super) input: Input,
    pub(super) output: Levelling,
    /// Mean distance of a number.
    pub(super) distance: f64,
}

/// The best guesses, the nearest first; the `claimed` groups are always among them.
pub(super) fn rank(groups: &[Group<'_>], grid: &Grid<'_>, probes: &Probes, claimed: &[usize]) -> Vec<Guess> {
    let inputs = grid.inputs();
    let all: Vec<(usize, Vec<Input>)> = (0..groups.len()).map(|group| (group, inputs.clone())).collect();
    let first = look(groups, &all, probes, FIRST.min(probes.places.len()), NEAR_FIRST);
    let second: Vec<(usize, Vec<Input>)> = keep(&first, SECOND, claimed)
        .map(|guesses| {
            // In the order of the inputs, so that the simpler one comes first where nothing tells them apart.
            let is_near = |input: &&Input| guesses.iter().any(|guess| guess.input == **input);
            (guesses[0].group, inputs.iter().filter(is_near).copied().collect())
        })
        .collect();
    let second = look(groups, &second, probes, probes.places.len(), NEAR_BEST);
    let mut guesses: Vec<Guess> = keep(&second, KEPT, claimed).flatten().copied().collect();
    guesses.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    guesses
}

/// The best levels of each group, on the first `count` probes; the nearest group first.
fn look(
    groups: &[Group<'_>],
    which: &[(usize, Vec<Input>)],
    probes: &Probes,
    count: usize,
    near: f64,
) -> Vec<Vec<Guess>> {
    let (places, values) = (&probes.places[..count], &probes.values[..count]);
    let mut found: Vec<Vec<Guess>> = which
        .par_iter()
        .map_init(Row::default, |row, (group, inputs)| {
            let mut guesses = Vec::with_capacity(inputs.len() * Levelling::PLAIN.len());
            for input in inputs {
                evaluate(groups[*group].pipeline(), places.iter().map(|place| input.to_look(*place)), row);
                for output in Levelling::PLAIN {
                    let distance = distance(row, values, output);
                    guesses.push(Guess { group: *group, input: *input, output, distance });
                }
            }
            // Stable, so that the simpler levels come first where nothing tells them apart.
            guesses.sort_by(|a, b| a.distance.total_cmp(&b.distance));
            let best = guesses[0].distance;
            guesses.retain(|guess| guess.distance <= near * best);
            guesses
        })
        .collect();
    found.sort_by(|a, b| a[0].distance.total_cmp(&b[0].distance));
    found
}

/// Mean distance between a file and a look whose output was re-levelled, both as a display holds them.
fn distance(row: &Row, values: &[Rgb], output: Levelling) -> f64 {
    let mut sum = 0.0;
    for (model, file) in row.pixels().zip(values) {
        let model = output.rescale_all(model);
        for channel in 0..3 {
            sum += (model[channel].clamp(0.0, 1.0) - file[channel].clamp(0.0, 1.0)).abs();
        }
    }
    let mean = sum / (3 * values.len()) as f64;
    if mean.is_finite() { mean } else { f64::INFINITY }
}

/// The nearest groups, with those that tie with the last and those that are claimed.
fn keep<'a>(found: &'a [Vec<Guess>], count: usize, claimed: &'a [usize]) -> impl Iterator<Item = &'a Vec<Guess>> {
    let limit = found.get(count - 1).map_or(f64::INFINITY, |guesses| guesses[0].distance + TIE);
    found.iter().filter(move |guesses| guesses[0].distance <= limit || claimed.contains(&guesses[0].group))
}
