//! How a file differs from the one that the recipe makes, in numbers.

use crate::lut::Table3;
use crate::maths::CODE10_MAX;
use crate::verify::compare_nodes;
use std::fmt;

/// How a table differs from the one that the recipe makes.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Told {
    /// In nothing but rounding.
    Same,
    /// It can't be compared node by node.
    Incomparable(String),
    /// In some nodes.
    Differs {
        /// How many.
        nodes: usize,
        /// Of how many.
        of: usize,
        /// The largest difference, 10-bit codes.
        codes: f64,
        /// Line of that node in the file, as an editor counts them.
        line: usize,
    },
}

impl fmt::Display for Told {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Same => write!(formatter, "the same numbers"),
            Self::Incomparable(why) => write!(formatter, "{why}"),
            Self::Differs { nodes, of, codes, line } => {
                let differ = if *nodes == 1 { "differs" } else { "differ" };
                write!(formatter, "{nodes} of {of} rows {differ}, the most by {codes:.2} ten-bit codes in line {line}")
            }
        }
    }
}

/// A table, as it was read from a file, against the one that is made.
pub(super) fn told_of(file: &[u8], table: &Table3, exact: &Table3) -> Told {
    let nodes = compare_nodes(table, exact);
    if let Some(why) = nodes.incomparable {
        return Told::Incomparable(why);
    }
    match nodes.named.first() {
        None => Told::Same,
        Some(worst) => Told::Differs {
            nodes: nodes.changed,
            of: nodes.count,
            codes: nodes.worst * CODE10_MAX,
            line: line_of(file, worst.row),
        },
    }
}

/// The line of a table's row in a cube file, both from 1: comments and empty lines are lines too.
fn line_of(file: &[u8], row: usize) -> usize {
    let is_row = |line: &&[u8]| {
        let first = line.iter().find(|byte| !byte.is_ascii_whitespace());
        first.is_some_and(|byte| byte.is_ascii_digit() || b"+-.".contains(byte))
    };
    let mut rows = file.split(|byte| *byte == b'\n').enumerate().filter(|(_, line)| is_row(line));
    rows.nth(row.saturating_sub(1)).map_or(row, |(line, _)| line + 1)
}

/// How a table for spreadsheets differs; `None` where nothing but its writing does. Lines are counted as editors do: the heading is line 1.
pub(super) fn csv_differs(made: &[u8], there: &[u8]) -> Option<String> {
    let (made, there) = (String::from_utf8_lossy(made), String::from_utf8_lossy(there));
    let (made, there): (Vec<&str>, Vec<&str>) = (made.lines().collect(), there.lines().collect());
    if made.len() != there.len() {
        let lines = |count: usize| super::parts::counted(count, "line");
        return Some(format!("it has {} instead of {}", lines(there.len()), lines(made.len())));
    }
    let head: Vec<&str> = made.first().map_or(Vec::new(), |head| head.split(',').collect());
    let differing: Vec<(usize, String)> = made
        .iter()
        .zip(&there)
        .enumerate()
        .filter_map(|(place, (made, there))| line_differs(&head, made, there).map(|words| (place + 1, words)))
        .collect();
    let (line, words) = differing.first()?;
    let first = format!("line {line}{words}");
    Some(match differing.len() {
        1 => format!("{first}, is not what was made; the other lines are"),
        count => format!("{count} of {} lines are not what was made, the first of them {first}", made.len()),
    })
}

/// Where two lines part: the column, and the number that is there instead of the one that was made.
fn line_differs(head: &[&str], made: &str, there: &str) -> Option<String> {
    let (made, there): (Vec<&str>, Vec<&str>) = (made.split(',').collect(), there.split(',').collect());
    if made.len() != there.len() {
        return Some(" (another number of cells)".to_owned());
    }
    let number = |cell: &str| cell.trim().trim_matches('"').parse::<f64>().ok();
    let same = |made: &str, there: &str| {
        let text = |cell: &str| cell.trim().trim_matches('"').to_owned();
        text(made) == text(there) || number(made).is_some_and(|made| number(there) == Some(made))
    };
    let place = made.iter().zip(&there).position(|(made, there)| !same(made, there))?;
    let column = head.get(place).copied().unwrap_or("?");
    Some(match (number(made[place]), number(there[place])) {
        (Some(made), Some(there)) => format!(" ({column}: {there} instead of {made})"),
        _ => format!(" ({column})"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_as_editors_count_them() {
        let file = b"# made by hand\nTITLE \"x\"\n\nLUT_3D_SIZE 2\n0 0 0\n1 0 0\n.5 -1 0\n";
        assert_eq!([1, 2, 3].map(|row| line_of(file, row)), [5, 6, 7]);
    }

    #[test]
    fn a_table_says_where_it_was_edited() {
        let made = b"stops,code\n-8.0,1.500\n-7.5,2.000\n-7.0,3.000\n";
        assert_eq!(csv_differs(made, b"stops,code\r\n-8,1.5\r\n\"-7.5\",2\r\n-7,3\r\n"), None);
        let one = csv_differs(made, b"stops,code\n-8.0,1.500\n-7.5,2.100\n-7.0,3.000\n").expect("it differs");
        assert_eq!(one, "line 3 (code: 2.1 instead of 2), is not what was made; the other lines are");
        let two = csv_differs(made, b"stops,code\n-8.0,1.500\n-7.5,2.100\n-7.0,x\n").expect("it differs");
        assert_eq!(two, "2 of 4 lines are not what was made, the first of them line 3 (code: 2.1 instead of 2)");
        assert_eq!(csv_differs(made, b"stops,code\n").expect("it differs"), "it has 1 line instead of 4 lines");
        assert_eq!(
            csv_differs(made, b"stops,code\n-8.0;1.500\n-7.5,2.000\n-7.0,3.000\n").expect("it differs"),
            "line 2 (another number of cells), is not what was made; the other lines are"
        );
    }
}
