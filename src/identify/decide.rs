//! The decision: which look it is, or none, and how near the others are.

use super::difference::Difference;
use super::explain::Search;
use super::input::Input;
use super::origin::{Method, Origin, Resampling};
use super::trial::{Path, Trial};
use super::{Certainty, Nearest, Verdict};
use rayon::prelude::*;

/// Numbers that were rounded more coarsely before something else was done to them leave at most this: half a 10-bit code,
/// or half of three decimals, stretched from legal to full levels.
const COARSE: f64 = 6e-4;

/// What was so rounded is a look only if the next look is this many times further from it. Half floats are off by about 1e-4 on
/// the mean and the nearest neighbours, two mired away, by 3e-4 and more (the looks of `tests/identify.rs`).
const MARGIN: f64 = 3.0;

/// Looks whose values differ by less than this are one: two roundings of six decimals.
const SAME_VALUES: f64 = 1e-6;

/// A file with no more different numbers than this could be anything: the 24 of a table of two points a side, of which most
/// are black and white in any look.
const DIFFERENT_NUMBERS: usize = 24;

/// What is said of such a file.
pub(super) const TOO_FEW: &str = "it has too few different numbers to be told from other looks";

/// Candidates that are shown.
const SHOWN: usize = 5;

/// Tables that are looked at on the display to find those that are shown.
const LOOKED_AT: usize = 10;

/// The verdict, and the nearest candidates, those of the verdict first.
pub(super) fn decide(search: &Search<'_>, trials: &[Trial]) -> (Verdict, Vec<Nearest>) {
    let file_size = search.grid.size;
    let (winners, certainty) =
        if tells_little(search) { (Vec::new(), Certainty::Exact) } else { winners(search, trials) };
    let mut best = best_of_each_table(trials, file_size);
    best.sort_by_key(|trial| !winners.iter().any(|winner| winner.group == trial.group && winner.size == trial.size));
    let plan = |trial: &Trial| &search.groups[trial.group].first.plan;
    let mut nearest: Vec<(bool, &Trial, Difference)> = best
        .par_iter()
        .take(LOOKED_AT.max(winners.len()))
        .map(|trial| {
            let winner = winners.iter().find(|winner| winner.group == trial.group && winner.size == trial.size);
            let trial = winner.unwrap_or(trial);
            (winner.is_none(), *trial, Difference::left(plan(trial), search.probes, trial))
        })
        .collect();
    nearest.sort_by(|(a, one, left), (b, other, other_left)| {
        a.cmp(b).then(other.exact.cmp(&one.exact)).then(left.mean_de.total_cmp(&other_left.mean_de))
    });
    nearest.truncate(SHOWN);
    let mut candidates: Vec<usize> =
        winners.iter().flat_map(|winner| search.groups[winner.group].with_size(winner.size)).copied().collect();
    candidates.sort_unstable();
    candidates.dedup();
    let verdict = match winners.first() {
        Some(winner) => Verdict::Is { candidates, origin: origin(search, trials, winner), certainty },
        None => Verdict::None,
    };
    let shown = nearest.par_iter().map(|(_, trial, left)| nearest_of(search, trials, trial, *left)).collect();
    (verdict, shown)
}

/// Whether the file holds too little to be told from others.
pub(super) fn tells_little(search: &Search<'_>) -> bool {
    search.probes.different_numbers() <= DIFFERENT_NUMBERS
}

/// The simplest ways that fit, one for each table.
fn winners<'t>(search: &Search<'_>, trials: &'t [Trial]) -> (Vec<&'t Trial>, Certainty) {
    let file_size = search.grid.size;
    let exact = || trials.iter().filter(|trial| trial.exact);
    if let Some(least) = exact().map(|trial| trial.cost(file_size)).min() {
        let found = one_for_each_table(exact().filter(|trial| trial.cost(file_size) == least));
        let before = found.iter().any(|trial| trial.before.is_some());
        return (found, if before { Certainty::RoundedBefore } else { Certainty::Exact });
    }
    let winners = rounded_before(trials);
    let whole = winners.first().is_some_and(|winner| search.is_within(winner, COARSE));
    (if whole { winners } else { Vec::new() }, Certainty::RoundedBefore)
}

/// The look that leaves a remainder without a shape, too small for any other look; nothing if there is none.
fn rounded_before(trials: &[Trial]) -> Vec<&Trial> {
    // One whose probes all fit and whose other nodes don't was changed by hand, not rounded.
    let whole = trials.iter().filter(|trial| trial.changed == 0);
    let Some(best) = whole.min_by(|a, b| a.residual.mean.total_cmp(&b.residual.mean)) else { return Vec::new() };
    let same = |trial: &Trial| {
        trial.group == best.group
            || trial
                .values
                .iter()
                .flatten()
                .zip(best.values.iter().flatten())
                .all(|(a, b)| (a - b).abs() <= SAME_VALUES)
    };
    let mut groups: Vec<usize> = trials.iter().filter(|trial| same(trial)).map(|trial| trial.group).collect();
    groups.sort_unstable();
    groups.dedup();
    let others = trials.iter().filter(|trial| groups.binary_search(&trial.group).is_err());
    let next = others.map(|trial| trial.residual.mean).fold(f64::INFINITY, f64::min);
    let found = best.residual.worst <= COARSE && !best.residual.is_shaped() && next >= MARGIN * best.residual.mean;
    if !found {
        return Vec::new();
    }
    one_for_each_table(
        trials.iter().filter(|trial| trial.residual.mean <= best.residual.mean + SAME_VALUES && same(trial)),
    )
}

fn one_for_each_table<'t>(trials: impl Iterator<Item = &'t Trial>) -> Vec<&'t Trial> {
    let mut found: Vec<&Trial> = Vec::new();
    for trial in trials {
        match found.iter_mut().find(|other| other.group == trial.group && other.size == trial.size) {
            Some(other) if trial.residual.mean < other.residual.mean => *other = trial,
            Some(_) => {}
            None => found.push(trial),
        }
    }
    found.sort_by(|a, b| a.residual.mean.total_cmp(&b.residual.mean));
    found
}

/// The best way of each table: the simplest that fits, or the one that leaves least; the nearest table first.
fn best_of_each_table(trials: &[Trial], file_size: usize) -> Vec<&Trial> {
    let key = |trial: &Trial| (!trial.exact, if trial.exact { trial.cost(file_size) } else { 0 });
    let better = |a: &Trial, b: &Trial| key(a).cmp(&key(b)).then(a.residual.mean.total_cmp(&b.residual.mean));
    let mut best: Vec<&Trial> = Vec::new();
    for trial in trials {
        match best.iter_mut().find(|other| other.group == trial.group && other.size == trial.size) {
            Some(other) if better(trial, other).is_lt() => *other = trial,
            Some(_) => {}
            None => best.push(trial),
        }
    }
    best.sort_by(|a, b| better(a, b));
    best
}

fn nearest_of(search: &Search<'_>, trials: &[Trial], trial: &Trial, left: Difference) -> Nearest {
    let group = &search.groups[trial.group];
    let plan = &group.first.plan;
    Nearest {
        candidates: group.with_size(trial.size).to_vec(),
        origin: origin(search, trials, trial),
        exact: trial.exact,
        changed_rows: trial.changed,
        residual: trial.residual.clone(),
        left,
        as_it_is: Difference::as_it_is(plan, group.pipeline(), search.probes),
    }
}

fn origin(search: &Search<'_>, trials: &[Trial], trial: &Trial) -> Origin {
    let (from, to) = (trial.size, search.grid.size);
    let own_grid = from == to && search.grid.regular && trial.input == Input::KEPT && trial.path == Path::Exact;
    let resampling =
        (!own_grid).then(|| Resampling { from, through: trial.path.through(), to, by: methods(search, trials, trial) });
    Origin { numbers: search.numbers, before: trial.before, resampling, input: trial.input, output: trial.output }
}

/// How the values were found: every method that fits as well.
fn methods(search: &Search<'_>, trials: &[Trial], trial: &Trial) -> Vec<Method> {
    let on_nodes = trial.input == Input::KEPT && search.grid.stands_on(trial.size);
    if trial.path == Path::Exact && on_nodes {
        return vec![Method::Compiled, Method::Tetrahedral, Method::Trilinear];
    }
    let mut methods = vec![trial.path.method()];
    let as_good = |other: &&Trial| trial.exact && other.exact && other.is_beside(trial);
    for other in trials.iter().filter(as_good).filter(|other| other.path.through() == trial.path.through()) {
        let method = other.path.method();
        if !methods.contains(&method) {
            methods.push(method);
        }
    }
    methods
}
