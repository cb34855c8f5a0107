//! One way from one table to the file, tried.

use super::input::Input;
use super::levelling::Levelling;
use super::model::{Between, Model, Source, printed_again, written_table};
use super::numbers::Numbers;
use super::origin::{Method, Through};
use super::residual::Residual;
use crate::lut::Interpolation;
use crate::maths::Rgb;
use crate::pipeline::Pipeline;
use std::sync::Arc;

/// The way through tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Path {
    /// The look at each node.
    Exact,
    /// Between the nodes of its table.
    Table(Interpolation),
    /// Between the nodes of a table that was made so from its table.
    Through(Through, Interpolation),
}

impl Path {
    /// How often values were found between nodes.
    pub(super) fn passes(self) -> usize {
        match self {
            Self::Exact => 0,
            Self::Table(_) => 1,
            Self::Through(..) => 2,
        }
    }

    pub(super) fn method(self) -> Method {
        match self {
            Self::Exact => Method::Compiled,
            Self::Table(interpolation) | Self::Through(_, interpolation) => interpolation.into(),
        }
    }

    pub(super) fn through(self) -> Option<Through> {
        match self {
            Self::Through(through, _) => Some(through),
            Self::Exact | Self::Table(_) => None,
        }
    }
}

/// What came of a trial.
pub(super) struct Trial {
    /// Which look.
    pub(super) group: usize,
    /// Points a side of its table.
    pub(super) size: usize,
    pub(super) path: Path,
    pub(super) input: Input,
    pub(super) output: Levelling,
    pub(super) held: bool,
    pub(super) before: Option<Numbers>,
    /// What the way gives at the probes.
    pub(super) values: Vec<Rgb>,
    pub(super) residual: Residual,
    /// Whether rounding explains what is left.
    pub(super) exact: bool,
    /// Whether it was held against all nodes, and how many of them it doesn't explain.
    pub(super) confirmed: bool,
    pub(super) changed: usize,
}

impl Trial {
    /// How contrived the way is: the simplest of those that fit is the answer. Each thing that was done counts two, what is
    /// less usual one more.
    pub(super) fn cost(&self, file_size: usize) -> usize {
        let resampled = if self.size == file_size { 0 } else { 2 };
        let through = if self.path.through().is_some() { 3 } else { 0 };
        let input = match self.input {
            Input::Levels(levelling) => cost_of(levelling),
            Input::Domain { .. } => 2,
        };
        let before = if self.before.is_some() { 1 } else { 0 };
        resampled + through + before + input + cost_of(self.output)
    }

    /// The way again, with all nodes of its table.
    pub(super) fn model<'p>(&self, pipeline: &'p Pipeline) -> Model<'p> {
        let table = || {
            let table = written_table(pipeline, self.size);
            self.before.map_or(Arc::clone(&table), |numbers| printed_again(&table, numbers))
        };
        let (source, input) = match self.path {
            Path::Exact => (Source::Exact(pipeline), self.input),
            Path::Table(interpolation) => (Source::Table(table(), interpolation), self.input),
            Path::Through(through, second) => {
                let (before, after) = through.order(self.input);
                let first = through.by.interpolation();
                let between = Between { table: table(), size: through.size, input: before, first, second };
                (Source::Through(between), after)
            }
        };
        Model { source, input, output: self.output, held: self.held, before: self.before }
    }

    /// Whether both are of one table, with the same levels.
    pub(super) fn is_beside(&self, other: &Self) -> bool {
        self.group == other.group
            && self.size == other.size
            && self.input == other.input
            && self.output == other.output
            && self.before == other.before
    }
}

fn cost_of(levelling: Levelling) -> usize {
    match levelling {
        Levelling::Kept => 0,
        Levelling::FullToLegal | Levelling::LegalToFull => 2,
        Levelling::FullToLegal8 | Levelling::LegalToFull8 => 3,
    }
}
