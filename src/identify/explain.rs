//! The exact look: every way from the best candidates to the file, until one leaves nothing but rounding.

use super::grid::Grid;
use super::input::Input;
use super::levelling::Levelling;
use super::looks::Group;
use super::model::{Between, Model, Source, written_table};
use super::numbers::Numbers;
use super::origin::Through;
use super::probes::Probes;
use super::rank::Guess;
use super::residual::{Limit, Residual, Unexplained};
use super::sparse::Sparse;
use super::trial::{Path, Trial};
use crate::lut::{Interpolation, Table3};
use crate::maths::Rgb;
use crate::pipeline::Row;
use rayon::prelude::*;
use std::sync::Arc;

/// A guess whose exact values lie further from the file than this on the mean is no table of it: thirty 10-bit codes, far more
/// than a usual table puts between its nodes. This project's own choice.
const HOPELESS: f64 = 0.03;

/// Guesses whose tables are tried first, and then. A table costs far more than a guess, and the first few nearly always hold
/// the answer.
const BATCHES: [usize; 3] = [3, 8, 24];

/// Guesses that tie with the last one of a batch belong to it.
const TIE: f64 = 1e-6;

/// Guesses that are tried in less usual ways.
const CLOSER: usize = 3;

/// A step of coarse numbers, stretched from legal to full levels.
const TIED_STEP: f64 = 1.168;

/// Nodes of so many of which one may be unexplained where numbers were rounded twice: a number of six decimals that stands
/// in the middle between two of three goes either way (one number in a thousand), and a node between eight others has
/// twenty-four of them.
const TIED: usize = 20;

/// Points a side of tables between, where the input was kept: all small ones, and the usual large ones.
const BETWEEN_MOST: usize = 33;
const BETWEEN_LARGE: [usize; 4] = [48, 49, 64, 65];

/// The usual ones, where it was not, and each size means many more ways.
const BETWEEN_USUAL: [usize; 5] = [9, 17, 25, 32, 33];

/// Nodes that are held against a way at a time.
const CHUNK: usize = 4096;

/// A way through a table between: what the file's axes mean, and which table.
type Way = (Input, Through);

/// What is looked for, and in what.
pub(super) struct Search<'a> {
    pub(super) groups: &'a [Group<'a>],
    pub(super) grid: &'a Grid<'a>,
    pub(super) numbers: Numbers,
    pub(super) probes: &'a Probes,
}

impl Search<'_> {
    /// All trials. Those that are exact on the probes have been held against every node.
    pub(super) fn run(&self, guesses: &[Guess]) -> Vec<Trial> {
        let mut trials: Vec<Trial> = guesses
            .par_iter()
            .map_init(Row::default, |row, guess| self.of_the_look(guess, None, row))
            .flatten()
            .collect();
        let hopeful: Vec<Guess> = guesses.iter().copied().filter(|guess| guess.distance <= HOPELESS).collect();
        let mut done = 0;
        for batch in BATCHES {
            if done >= hopeful.len() || self.confirm(&mut trials) {
                break;
            }
            let last = hopeful[(done + batch).min(hopeful.len()) - 1].distance;
            let end = hopeful.partition_point(|guess| guess.distance <= last + TIE);
            let tables = |row: &mut Row, guess: &Guess| self.of_tables(guess, &[None], row);
            trials.par_extend(hopeful[done..end].par_iter().map_init(Row::default, tables).flatten());
            done = end;
        }
        if !self.confirm(&mut trials) {
            let best = best_so_far(&hopeful, &trials);
            let rounded: Vec<Trial> = best
                .par_iter()
                .take(CLOSER)
                .map(|(guess, worst)| self.rounded_first(guess, *worst))
                .flatten()
                .collect();
            trials.extend(rounded);
            if !self.confirm(&mut trials) {
                for (guess, _) in best.iter().take(CLOSER) {
                    trials.extend(self.through_tables(guess));
                }
                self.confirm(&mut trials);
            }
        }
        trials
    }

    /// The look itself at the file's nodes.
    fn of_the_look(&self, guess: &Guess, before: Option<Numbers>, row: &mut Row) -> Vec<Trial> {
        let group = &self.groups[guess.group];
        let mut trials = Vec::new();
        for (input, output, held) in ways(guess) {
            let source = Source::Exact(group.pipeline());
            let model = Model { source, input, output, held, before };
            for (size, _) in &group.tables {
                trials.push(self.trial(guess.group, *size, Path::Exact, input, &model, row));
            }
        }
        trials
    }

    /// Its tables, read between their nodes. Only the nodes around the probes are found: a large table costs no more than a
    /// small one. Once for each way in which the numbers may have been printed first.
    fn of_tables(&self, guess: &Guess, printed: &[Option<Numbers>], row: &mut Row) -> Vec<Trial> {
        let group = &self.groups[guess.group];
        let mut trials = Vec::new();
        for (size, _) in &group.tables {
            if guess.input == Input::KEPT && self.grid.stands_on(*size) {
                // Every node is one of the table's, which has been tried.
                continue;
            }
            let inputs = guess.input.near();
            let places =
                || inputs.iter().flat_map(|input| self.probes.places.iter().map(|place| input.to_look(*place)));
            let nodes = Arc::new(Sparse::of(group.pipeline(), *size, places(), row));
            for before in printed {
                for (input, output, held) in ways(guess) {
                    for interpolation in Interpolation::ALL {
                        let source = Source::Some(Arc::clone(&nodes), interpolation);
                        let model = Model { source, input, output, held, before: *before };
                        trials.push(self.trial(guess.group, *size, Path::Table(interpolation), input, &model, row));
                    }
                }
            }
        }
        trials
    }

    /// The same two, where the numbers were rounded coarsely before anything else was done. `worst` is the largest remainder
    /// that the guess has left so far.
    fn rounded_first(&self, guess: &Guess, worst: f64) -> Vec<Trial> {
        let mut row = Row::default();
        let printed: Vec<Option<Numbers>> =
            Numbers::COARSE.into_iter().filter(|numbers| worst <= most(*numbers)).map(Some).collect();
        if printed.is_empty() {
            return Vec::new();
        }
        let mut trials = self.of_tables(guess, &printed, &mut row);
        for before in printed {
            trials.extend(self.of_the_look(guess, before, &mut row));
        }
        trials.retain(|trial| trial.exact);
        trials
    }

    /// Tables that were made from its tables, read between their nodes.
    fn through_tables(&self, guess: &Guess) -> Vec<Trial> {
        let group = &self.groups[guess.group];
        let mut trials = Vec::new();
        for (size, _) in &group.tables {
            let kept = guess.input == Input::KEPT;
            if kept && !self.corners_fit(guess) {
                continue;
            }
            let table = written_table(group.pipeline(), *size);
            let ways = self.ways_through(guess, *size);
            let tried: Vec<Trial> = ways
                .par_iter()
                .map_init(Row::default, |row, way| self.through(guess, *size, &table, *way, row))
                .flatten()
                .collect();
            trials.extend(tried);
        }
        trials
    }

    fn ways_through(&self, guess: &Guess, size: usize) -> Vec<Way> {
        let kept = guess.input == Input::KEPT;
        let mut sizes: Vec<usize> = if kept {
            (2..=BETWEEN_MOST).chain(BETWEEN_LARGE).collect()
        } else {
            BETWEEN_USUAL.into_iter().chain([size, self.grid.size]).collect()
        };
        sizes.sort_unstable();
        sizes.dedup();
        if kept {
            // A table of the same points, or of all of them and more, is the same table.
            sizes.retain(|between| !(between - 1).is_multiple_of(size - 1) && *between != self.grid.size);
        }
        let mut ways = Vec::new();
        for between in sizes {
            for first in Interpolation::ALL {
                for levelled in if kept { &[false][..] } else { &[true, false] } {
                    for input in guess.input.near() {
                        ways.push((input, Through { size: between, by: first.into(), levelled: *levelled }));
                    }
                }
            }
        }
        ways
    }

    fn through(&self, guess: &Guess, size: usize, table: &Arc<Table3>, way: Way, row: &mut Row) -> Vec<Trial> {
        let (input, through) = way;
        let (before, after) = through.order(input);
        let mut trials = Vec::new();
        for (_, output, held) in ways(&Guess { input: Input::KEPT, ..*guess }) {
            for second in Interpolation::ALL {
                let first = through.by.interpolation();
                let source = Source::Through(Between {
                    table: Arc::clone(table),
                    size: through.size,
                    input: before,
                    first,
                    second,
                });
                let model = Model { source, input: after, output, held, before: None };
                trials.push(self.trial(guess.group, size, Path::Through(through, second), input, &model, row));
            }
        }
        // They are many: only the best of those that don't fit is kept.
        let best = trials.iter().map(|trial| trial.residual.mean).fold(f64::INFINITY, f64::min);
        trials.retain(|trial| trial.exact || trial.residual.mean <= best);
        trials
    }

    /// Whether the file's corners are the look's: they are nodes of every table.
    fn corners_fit(&self, guess: &Guess) -> bool {
        let size = self.grid.size;
        let corners: Vec<usize> = (0..8_usize)
            .map(|corner| [0, 1, 2].map(|axis| (corner >> axis & 1) * (size - 1)))
            .map(|[r, g, b]| r + size * (g + size * b))
            .collect();
        let places: Vec<Rgb> = corners.iter().map(|node| self.grid.place(*node)).collect();
        let values: Vec<Rgb> = corners.iter().map(|node| self.grid.nodes()[*node]).collect();
        let mut row = Row::default();
        ways(guess).into_iter().any(|(input, output, held)| {
            let source = Source::Exact(self.groups[guess.group].pipeline());
            let model = Model { source, input, output, held, before: None }.values(&places, &mut row);
            Residual::of(&places, &values, &model).fits(Limit::new(self.numbers, 2, output.stretches()))
        })
    }

    fn trial(&self, group: usize, size: usize, path: Path, input: Input, model: &Model<'_>, row: &mut Row) -> Trial {
        let Probes { places, values: file } = self.probes;
        let values = model.values(places, row);
        let residual = Residual::of(places, file, &values);
        let Model { output, held, before, .. } = *model;
        let exact = match before {
            None => residual.fits(self.limit(path, output)),
            Some(numbers) => {
                let nodes = file.len();
                residual.worst <= most(numbers)
                    && Unexplained::count(self.limit(path, output), file, &values).least() <= ties(nodes)
            }
        };
        Trial { group, size, path, input, output, held, before, values, residual, exact, confirmed: false, changed: 0 }
    }

    fn limit(&self, path: Path, output: Levelling) -> Limit {
        Limit::new(self.numbers, path.passes(), output.stretches())
    }

    /// Holds what is exact on the probes against every node. Whether any is exact in the end.
    fn confirm(&self, trials: &mut [Trial]) -> bool {
        for trial in trials.iter_mut().filter(|trial| trial.exact && !trial.confirmed) {
            let model = trial.model(self.groups[trial.group].pipeline());
            trial.changed = self.changed(&model, self.limit(trial.path, trial.output));
            if let Some(numbers) = trial.before
                && trial.changed <= ties(self.grid.nodes().len())
            {
                trial.changed = self.changed(&model, Limit::distance(most(numbers)));
            }
            (trial.confirmed, trial.exact) = (true, trial.changed == 0);
        }
        trials.iter().any(|trial| trial.exact)
    }

    /// Candidates that explain the numbers in any way.
    pub(super) fn fitting(&self, trials: &[Trial]) -> Vec<usize> {
        let exact = trials.iter().filter(|trial| trial.exact);
        exact.flat_map(|trial| self.groups[trial.group].with_size(trial.size)).copied().collect()
    }

    /// Whether no node of the file is further than this from where a trial has it.
    pub(super) fn is_within(&self, trial: &Trial, most: f64) -> bool {
        let model = trial.model(self.groups[trial.group].pipeline());
        self.changed(&model, Limit::distance(most)) == 0
    }

    /// Nodes that a way does not explain.
    fn changed(&self, model: &Model<'_>, limit: Limit) -> usize {
        let nodes = self.grid.nodes();
        nodes
            .par_chunks(CHUNK)
            .enumerate()
            .map_init(Row::default, |row, (index, chunk)| {
                let first = index * CHUNK;
                let places: Vec<Rgb> = (first..first + chunk.len()).map(|node| self.grid.place(node)).collect();
                Unexplained::count(limit, chunk, &model.values(&places, row))
            })
            .reduce(Unexplained::default, Unexplained::and)
            .least()
    }
}

/// The levels of a guess and those that lie too near to be told apart at first sight; where the output is stretched, cut to 0..1
/// or not.
fn ways(guess: &Guess) -> Vec<(Input, Levelling, bool)> {
    let mut ways = Vec::new();
    for input in guess.input.near() {
        for output in guess.output.near() {
            ways.push((input, *output, false));
            if output.stretches() {
                ways.push((input, *output, true));
            }
        }
    }
    ways
}

/// Nodes that may be ties of two roundings.
fn ties(nodes: usize) -> usize {
    nodes / TIED
}

/// Guesses by the least that any of their trials has left on the mean, each with the largest remainder of that trial.
fn best_so_far(guesses: &[Guess], trials: &[Trial]) -> Vec<(Guess, f64)> {
    let mut best: Vec<(f64, f64, Guess)> = guesses
        .iter()
        .map(|guess| {
            let of_guess = |trial: &&Trial| {
                let near = guess.input.near().contains(&trial.input) && guess.output.near().contains(&trial.output);
                trial.group == guess.group && near
            };
            let least = trials.iter().filter(of_guess).min_by(|a, b| a.residual.mean.total_cmp(&b.residual.mean));
            least.map_or((f64::INFINITY, f64::INFINITY, *guess), |trial| {
                (trial.residual.mean, trial.residual.worst, *guess)
            })
        })
        .collect();
    best.sort_by(|a, b| a.0.total_cmp(&b.0));
    best.into_iter().map(|(_, worst, guess)| (guess, worst)).collect()
}

/// The most that rounding to such numbers leaves: half a step, stretched; a whole one where two roundings met at a tie.
fn most(numbers: Numbers) -> f64 {
    TIED_STEP * numbers.step()
}
