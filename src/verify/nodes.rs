//! Every number of the file against the exact look.

use super::verification::Check;
use crate::lut::{Domain, Table3};
use crate::maths::Rgb;
use serde::Serialize;

/// The most decimals that are looked for in a file's numbers.
const DECIMALS_MAX: usize = 9;

/// Decimals that this program writes unless a device asks for others.
const DECIMALS_WRITTEN: usize = 6;

/// Numbers that were printed with `d` decimals are multiples of 10^−d up to this part of a step: rounding of the
/// multiplication, and nothing else.
const MULTIPLE: f64 = 1e-6;

/// Room beyond half a last decimal: the pinned mathematics gives the same bits everywhere, so this only covers how the
/// comparison itself rounds (1e-16 near 1).
const SLACK: f64 = 1e-12;

/// Share of the numbers that a file's decimals must fit, without those that fit one decimal: the ones and zeros of a clipped
/// table say nothing. A few numbers with more decimals, written by another hand, then don't make all others look wrong.
/// A tenth of the numbers of a file with six decimals happen to fit five, so the share lies far above that.
const FITTING: f64 = 0.9;

/// How many telling numbers are counted: more say nothing new.
const COUNTED: usize = 8192;

/// How many changed nodes are named.
const NAMED: usize = 5;

/// A node whose number is not the look's.
#[derive(Clone, Debug, Serialize)]
pub struct ChangedNode {
    /// Indices on the red, green and blue axis.
    pub index: [usize; 3],
    /// Row of the table, from 1.
    pub row: usize,
    /// What the look gives.
    pub expected: Rgb,
    /// What the file says.
    pub got: Rgb,
}

/// All nodes of a file.
#[derive(Clone, Debug, Serialize)]
pub struct Nodes {
    /// How many there are.
    pub count: usize,
    /// Decimals that the file's numbers have.
    pub decimals: usize,
    /// Largest distance of a number from the look.
    pub worst: f64,
    /// The most that rounding to those decimals explains.
    pub limit: f64,
    /// Nodes with a number beyond that.
    pub changed: usize,
    /// The worst of them.
    pub named: Vec<ChangedNode>,
    /// Why the nodes can't be compared at all, if so.
    pub incomparable: Option<String>,
}

/// Compares the nodes of a table with those of the exact look.
#[must_use]
pub fn compare_nodes(table: &Table3, exact: &Table3) -> Nodes {
    let count = table.nodes().len();
    let incomparable = if table.size() != exact.size() {
        Some(format!("{} points a side, not {}", table.size(), exact.size()))
    } else if *table.domain() != Domain::UNIT {
        Some("its domain is not 0 to 1".to_owned())
    } else {
        None
    };
    if incomparable.is_some() {
        return Nodes {
            count,
            decimals: 0,
            worst: f64::INFINITY,
            limit: 0.0,
            changed: count,
            named: vec![],
            incomparable,
        };
    }
    let decimals = decimals(table.nodes());
    let (limit, scale) = (rounding(decimals), power_of_ten(decimals));
    let mut worst = 0.0;
    let mut changed: Vec<(f64, usize)> = Vec::new();
    for (place, (got, expected)) in table.nodes().iter().zip(exact.nodes()).enumerate() {
        let distances = [0, 1, 2].map(|i| (got[i] - expected[i]).abs());
        let distance = distances.into_iter().fold(0.0, f64::max);
        if distance > worst {
            worst = distance;
        }
        // A number with more decimals than the others claims more, and is held to it.
        let too_far = |i: usize| {
            distances[i] > limit || !is_multiple(got[i] * scale) && distances[i] > rounding(own_decimals(got[i]))
        };
        if (0..3).any(too_far) {
            changed.push((distance, place));
        }
    }
    let count_changed = changed.len();
    changed.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let size = table.size();
    let named = changed
        .into_iter()
        .take(NAMED)
        .map(|(_, place)| ChangedNode {
            index: [place % size, place / size % size, place / (size * size)],
            row: place + 1,
            expected: exact.nodes()[place],
            got: table.nodes()[place],
        })
        .collect();
    Nodes { count, decimals, worst, limit, changed: count_changed, named, incomparable: None }
}

/// The fewest decimals that nearly all numbers of a table fit, up to [`DECIMALS_MAX`].
fn decimals(nodes: &[Rgb]) -> usize {
    let mut counts = [0_usize; DECIMALS_MAX + 1];
    let telling = nodes.iter().flatten().map(|value| own_decimals(*value)).filter(|decimals| *decimals > 1);
    for decimals in telling.take(COUNTED) {
        counts[decimals] += 1;
    }
    let enough = FITTING * counts.iter().sum::<usize>() as f64;
    let mut fitting = 0;
    for (decimals, count) in counts.into_iter().enumerate().skip(1) {
        fitting += count;
        if fitting as f64 >= enough {
            return decimals;
        }
    }
    DECIMALS_MAX
}

/// The fewest decimals that a number fits, 1 to [`DECIMALS_MAX`].
fn own_decimals(value: f64) -> usize {
    let mut scale = 10.0;
    for decimals in 1..DECIMALS_MAX {
        if is_multiple(value * scale) {
            return decimals;
        }
        scale *= 10.0;
    }
    DECIMALS_MAX
}

/// The most that rounding to so many decimals moves a number; no less than what this program's own files are rounded to, for
/// a file that went through another format with more decimals holds the look as well as ours.
fn rounding(decimals: usize) -> f64 {
    // A file with fewer decimals than ours was rounded a second time.
    let again = if decimals < DECIMALS_WRITTEN { 0.5 * power_of_ten(DECIMALS_WRITTEN).recip() } else { 0.0 };
    0.5 * power_of_ten(decimals.min(DECIMALS_WRITTEN)).recip() + again + SLACK
}

fn is_multiple(scaled: f64) -> bool {
    (scaled - scaled.round()).abs() <= MULTIPLE
}

fn power_of_ten(exponent: usize) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

impl Nodes {
    /// Whether every number is the look's.
    #[must_use]
    pub fn pass(&self) -> bool {
        self.changed == 0 && self.incomparable.is_none()
    }

    pub(super) fn check(&self) -> Check {
        let worst = match (&self.incomparable, self.named.first()) {
            (Some(why), _) => format!("the table can't be compared: {why}"),
            (None, Some(node)) => {
                let [r, g, b] = node.index;
                let [er, eg, eb] = node.expected;
                let [gr, gg, gb] = node.got;
                format!(
                    "{} of {} rows; row {} (r {r}, g {g}, b {b}): expected {er:.6} {eg:.6} {eb:.6}, got {gr:.6} {gg:.6} {gb:.6}",
                    self.changed, self.count, node.row
                )
            }
            (None, None) => String::new(),
        };
        let mut check = Check::new("every number of the file", self.worst, self.limit, "of 1", worst);
        check.pass = self.pass();
        check
    }
}
