//! How a file came from what the program would write.

use super::input::Input;
use super::levelling::Levelling;
use super::numbers::Numbers;
use crate::lut::Interpolation;
use serde::Serialize;

/// How the values of a file were found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// From the look itself, at each node.
    Compiled,
    /// Between the nodes of its table, by tetrahedral interpolation.
    Tetrahedral,
    /// Between the nodes of its table, by trilinear interpolation.
    Trilinear,
}

impl From<Interpolation> for Method {
    fn from(interpolation: Interpolation) -> Self {
        match interpolation {
            Interpolation::Tetrahedral => Self::Tetrahedral,
            Interpolation::Trilinear => Self::Trilinear,
        }
    }
}

impl Method {
    /// How a table is read; what was compiled is read from none, and any will do.
    pub(super) fn interpolation(self) -> Interpolation {
        match self {
            Self::Trilinear => Interpolation::Trilinear,
            Self::Compiled | Self::Tetrahedral => Interpolation::Tetrahedral,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Compiled => "compiled anew",
            Self::Tetrahedral => "tetrahedral",
            Self::Trilinear => "trilinear",
        }
    }
}

/// A table between the look's and the file's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Through {
    /// Its points a side.
    pub size: usize,
    /// How it was read from the look's table.
    pub by: Method,
    /// Whether the input was re-scaled on the way to it, not after it.
    pub levelled: bool,
}

impl Through {
    /// The input on the way to the table between, and after it.
    pub(super) fn order(self, input: Input) -> (Input, Input) {
        if self.levelled { (input, Input::KEPT) } else { (Input::KEPT, input) }
    }
}

/// A change of grid.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Resampling {
    /// Points a side that the program would write.
    pub from: usize,
    /// A table between.
    pub through: Option<Through>,
    /// Points a side of the file.
    pub to: usize,
    /// How the file's values were found. Several, where they give the same numbers.
    pub by: Vec<Method>,
}

/// How a file differs from what the program would write.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Origin {
    /// How the file's numbers are printed; the program writes six decimals.
    pub numbers: Numbers,
    /// What the look's numbers were rounded to before all else, where that was coarser than the program's own printing.
    pub before: Option<Numbers>,
    /// The change of grid; `None` where each node is the program's own.
    pub resampling: Option<Resampling>,
    /// What was done to the input.
    pub input: Input,
    /// What was done to the output.
    pub output: Levelling,
}

impl Origin {
    /// Whether nothing was done: the numbers are those that the program writes.
    #[must_use]
    pub fn is_unchanged(&self) -> bool {
        self.changes().is_empty()
    }

    /// What was done, in words: "unchanged", or "re-sampled from 33 to 17 points; output re-scaled …".
    #[must_use]
    pub fn words(&self) -> String {
        let changes = self.changes();
        if changes.is_empty() { "unchanged".to_owned() } else { changes.join("; ") }
    }

    fn changes(&self) -> Vec<String> {
        let mut changes = Vec::new();
        changes.extend(self.before.map(|numbers| format!("first printed with {}", numbers.words())));
        changes.extend(self.resampling.as_ref().map(Resampling::words));
        changes.extend(self.input.words());
        if self.output != Levelling::Kept {
            changes.push(format!("output {}", self.output.words()));
        }
        if self.numbers.reformatted() {
            changes.push(self.numbers.words());
        }
        changes
    }
}

impl Resampling {
    fn words(&self) -> String {
        let Self { from, to, .. } = *self;
        let sizes = match self.through {
            Some(through) if through.size != from && through.size != to => {
                format!("from {from} to {} to {to} points", through.size)
            }
            _ if from == to => format!("at {to} points"),
            _ => format!("from {from} to {to} points"),
        };
        let by: Vec<&str> = self.by.iter().map(|method| method.words()).collect();
        match (self.through, self.by.as_slice()) {
            (None, [Method::Compiled]) => format!("compiled anew at {to} points instead of {from}"),
            (None, [_]) => format!("re-sampled {sizes} ({})", by[0]),
            (None, _) => format!("re-sampled {sizes} ({} give the same numbers)", by.join(", ")),
            (Some(through), _) => format!("re-sampled {sizes} ({}, then {})", through.by.words(), by.join(" or ")),
        }
    }
}
