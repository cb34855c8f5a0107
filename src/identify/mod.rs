//! Identify: a loose cube file → the look that it came from, or none of these.
//!
//! The numbers decide. A header may be gone, or another file's; the numbers may have been printed anew, the grid re-sampled,
//! the levels of input and output re-scaled. In two steps:
//!
//! 1. **Rank.** A few hundred nodes of the file against every candidate's exact values, for each meaning of the levels.
//! 2. **Explain.** For the best few, the file that the program would write, and what would have become of it; until what is
//!    left is nothing but the rounding of the file's own numbers, at every node.
//!
//! A file is a look only if the second step says so. Looks two mired apart differ by a thousand times the rounding of six
//! decimals, so no threshold on a colour difference is needed, and an edited copy is none of the looks.

mod decide;
mod difference;
mod explain;
mod grid;
mod header;
mod input;
mod levelling;
mod looks;
mod model;
mod numbers;
mod origin;
mod probes;
mod rank;
mod residual;
mod sparse;
mod trial;

pub use difference::Difference;
pub use header::{Agreement, Claim};
pub use input::Input;
pub use levelling::Levelling;
pub use numbers::Numbers;
pub use origin::{Method, Origin, Resampling, Through};
pub use residual::Residual;

use crate::formats::cube::CubeFile;
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::verify::rows_of;
use serde::Serialize;

/// One LUT that a file could be. Candidates are told apart by their index.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What its recipe means, for one camera and one device.
    pub plan: Plan,
    /// The plan's blocks.
    pub pipeline: Pipeline,
}

/// What was found out about a file.
#[derive(Clone, Debug, Serialize)]
pub struct Identification {
    /// What its header claims, and whether the numbers agree.
    pub header: Claim,
    /// Which look it is.
    pub verdict: Verdict,
    /// Up to five candidates, the nearest first. Those that share a table are one.
    pub nearest: Vec<Nearest>,
    /// What a reader should know about the file's form.
    pub notes: Vec<String>,
}

/// Which look a file is.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// One of the candidates, or several whose tables are equal within the file's precision.
    Is {
        /// Their indices, rising.
        candidates: Vec<usize>,
        /// How the file came from what the program would write, in the simplest way that explains it.
        origin: Origin,
        /// How certain that is.
        certainty: Certainty,
    },
    /// None of the candidates.
    None,
}

/// How certain a verdict is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Certainty {
    /// Every number of the file is explained to within its own rounding.
    Exact,
    /// The numbers were rounded more coarsely before something else was done to them: what is left has no shape, is below
    /// half a 10-bit code, and every other look is several times further away.
    RoundedBefore,
}

/// A candidate, or several that share a table, beside the file.
#[derive(Clone, Debug, Serialize)]
pub struct Nearest {
    /// Indices, rising.
    pub candidates: Vec<usize>,
    /// What must have been done for the file to come as near to it as it does.
    pub origin: Origin,
    /// Whether that leaves nothing but rounding.
    pub exact: bool,
    /// Nodes that it leaves unexplained, where the few hundred that were looked at first fit.
    pub changed_rows: usize,
    /// What is left, in the file's own numbers.
    pub residual: Residual,
    /// What is left, on the display.
    pub left: Difference,
    /// What the candidate's device would show of the file as it is, against the look.
    pub as_it_is: Difference,
}

/// Finds the candidates that a file could be.
///
/// Time is that of a few hundred colours for each candidate, of a few thousand for each of the best, and of one whole table for
/// the answer; memory is that of one table. The result is the same for any number of threads.
#[must_use]
pub fn identify(file: &CubeFile, candidates: &[Candidate]) -> Identification {
    let groups = looks::group(candidates);
    let grid = grid::Grid::of(&file.tables);
    let mut header = Claim::of(&file.comments, candidates);
    let claimed: Vec<usize> = (0..groups.len())
        .filter(|group| {
            groups[*group].tables.iter().any(|(_, members)| members.iter().any(|m| header.candidates.contains(m)))
        })
        .collect();
    let probes = probes::Probes::of(&grid);
    let guesses = rank::rank(&groups, &grid, &probes, &claimed);
    let rows = rows_of(&file.tables);
    let search = explain::Search { groups: &groups, grid: &grid, numbers: Numbers::of(rows), probes: &probes };
    let trials = search.run(&guesses);
    let (verdict, nearest) = decide::decide(&search, &trials);
    header.judge(&verdict, &search.fitting(&trials));
    let mut notes = grid.notes.clone();
    if decide::tells_little(&search) {
        notes.push(decide::TOO_FEW.to_owned());
    }
    Identification { header, verdict, nearest, notes }
}
