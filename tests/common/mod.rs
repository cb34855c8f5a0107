//! Readers for the tables in `tests/data/`, and comparisons whose messages say what disagrees and by how much.
//!
//! A table is CSV without quoting: lines that begin with `#` say where the numbers come from, the first other
//! line names the columns. Numbers may be `nan`, `inf` and `-inf`. TOML files are read with the `toml` crate.
//!
//! ```ignore
//! mod common;
//! let mut worst = common::Worst::new("planckian x", 1e-8);
//! for row in common::csv("planckian_xy.csv").rows() {
//!     worst.check(&row.place(), compute(row.number("cct")), row.number("x"));
//! }
//! worst.finish();
//! ```
#![allow(dead_code, reason = "every integration test is a crate of its own and uses only some of these")]

use lookwright::diagnostics::Diagnostic;
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// Whether every combination is to be tried (`LOOKWRIGHT_THOROUGH`). An ordinary run has each part of them at least once, the same
/// ones every time.
pub fn thorough() -> bool {
    std::env::var_os("LOOKWRIGHT_THOROUGH").is_some_and(|value| !value.is_empty())
}

/// Path of a file in `tests/data/`.
pub fn data_path(name: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data")).join(name)
}

/// Text of a file in `tests/data/`.
pub fn data_text(name: &str) -> String {
    fs::read_to_string(data_path(name)).unwrap_or_else(|error| panic!("tests/data/{name}: {error}"))
}

/// A CSV table of `tests/data/`.
pub fn csv(name: &str) -> Csv {
    Csv::parse(name, &data_text(name))
}

/// A TOML file of `tests/data/`.
pub fn toml(name: &str) -> toml::Table {
    data_text(name).parse().unwrap_or_else(|error| panic!("tests/data/{name}: {error}"))
}

/// A whole table: the column names and the cells of every row.
pub struct Csv {
    name: String,
    columns: Vec<String>,
    lines: Vec<(usize, Vec<String>)>,
}

impl Csv {
    /// Reads a table; a row whose number of cells differs from the header's fails the test.
    pub fn parse(name: &str, text: &str) -> Self {
        let mut table = Self { name: name.to_owned(), columns: Vec::new(), lines: Vec::new() };
        for (index, line) in text.lines().enumerate() {
            if line.starts_with('#') || line.trim().is_empty() {
                continue;
            }
            let cells: Vec<String> = line.split(',').map(|cell| cell.trim().to_owned()).collect();
            if table.columns.is_empty() {
                table.columns = cells;
            } else {
                let (found, expected) = (cells.len(), table.columns.len());
                assert_eq!(found, expected, "{name}, line {}: number of cells", index + 1);
                table.lines.push((index + 1, cells));
            }
        }
        assert!(!table.lines.is_empty(), "{name} has no rows");
        table
    }

    /// The rows, in the order of the file. Never empty, so that a loop over them always checks something.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.lines.iter().map(|(line, cells)| Row { table: self, line: *line, cells })
    }

    /// The rows whose text in `column` is `text`; none is a failure of the test.
    pub fn rows_where<'a>(&'a self, column: &'a str, text: &'a str) -> impl Iterator<Item = Row<'a>> {
        let wanted = move |row: &Row<'_>| row.text(column) == text;
        assert!(self.rows().any(|row| wanted(&row)), "{}: no row where {column} is {text}", self.name);
        self.rows().filter(wanted)
    }
}

/// One row of a table.
pub struct Row<'a> {
    table: &'a Csv,
    line: usize,
    cells: &'a [String],
}

impl<'a> Row<'a> {
    /// File and line, for messages.
    pub fn place(&self) -> String {
        format!("{} line {}", self.table.name, self.line)
    }

    /// Text of a cell.
    pub fn text(&self, column: &str) -> &'a str {
        match self.table.columns.iter().position(|name| name == column) {
            Some(index) => &self.cells[index],
            None => panic!("{} has no column {column}: {:?}", self.table.name, self.table.columns),
        }
    }

    /// A cell as any type that can be read from text: `row.value::<usize>("no")`.
    pub fn value<T: FromStr>(&self, column: &str) -> T {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{}: {column} can't be read: {text:?}", self.place()))
    }

    /// A cell as a number; `nan`, `inf` and `-inf` are read as such.
    pub fn number(&self, column: &str) -> f64 {
        self.value(column)
    }

    /// A cell as a number, or nothing where it is empty.
    pub fn optional(&self, column: &str) -> Option<f64> {
        (!self.text(column).is_empty()).then(|| self.number(column))
    }

    /// Several cells as numbers: `row.numbers(["x", "y", "z"])`.
    pub fn numbers<const N: usize>(&self, columns: [&str; N]) -> [f64; N] {
        columns.map(|column| self.number(column))
    }
}

/// Absolute difference; 0 where both are the same infinity or both are NaN, infinite where only one is.
pub fn difference(computed: f64, expected: f64) -> f64 {
    if computed == expected || (computed.is_nan() && expected.is_nan()) {
        return 0.0;
    }
    let difference = (computed - expected).abs();
    if difference.is_nan() { f64::INFINITY } else { difference }
}

/// Collects comparisons of one quantity with one tolerance, and fails at the end with the worst of them.
pub struct Worst {
    what: String,
    tolerance: f64,
    count: usize,
    outside: usize,
    worst: f64,
    message: String,
}

impl Worst {
    /// Compares `what` absolutely, to `tolerance` in its own unit.
    pub fn new(what: &str, tolerance: f64) -> Self {
        assert!(tolerance >= 0.0, "{what}: the tolerance is {tolerance}");
        Self { what: what.to_owned(), tolerance, count: 0, outside: 0, worst: -1.0, message: String::new() }
    }

    /// One absolute comparison; `place` says which row, patch, stop or encoding.
    pub fn check(&mut self, place: &str, computed: f64, expected: f64) {
        self.note(place, computed, expected, difference(computed, expected));
    }

    /// One comparison relative to the expected value (absolute where that is 0).
    pub fn check_relative(&mut self, place: &str, computed: f64, expected: f64) {
        let scale = if expected == 0.0 || !expected.is_finite() { 1.0 } else { expected.abs() };
        self.note(place, computed, expected, difference(computed, expected) / scale);
    }

    /// Several absolute comparisons, element by element.
    pub fn check_all(&mut self, place: &str, computed: &[f64], expected: &[f64]) {
        assert_eq!(computed.len(), expected.len(), "{} at {place}: number of elements", self.what);
        for (index, (computed, expected)) in computed.iter().zip(expected).enumerate() {
            self.check(&format!("{place} [{index}]"), *computed, *expected);
        }
    }

    fn note(&mut self, place: &str, computed: f64, expected: f64, error: f64) {
        self.count += 1;
        self.outside += usize::from(error > self.tolerance);
        if error > self.worst {
            self.worst = error;
            self.message = format!("{place}: computed {computed:?}, expected {expected:?}, off by {error:e}");
        }
    }

    /// Fails if anything was outside the tolerance or nothing was compared; prints the worst and returns it.
    pub fn finish(self) -> f64 {
        let Self { what, tolerance, count, outside, worst, message } = self;
        assert!(count > 0, "{what}: nothing was compared");
        println!("{what}: {count} compared, tolerance {tolerance:e}, worst {message}");
        assert_eq!(outside, 0, "{what}: {outside} of {count} outside {tolerance:e}; worst {message}");
        worst
    }
}

/// A diagnostic as a case shows it; paths without their folder.
pub fn told(diagnostic: &Diagnostic, folder: &Path) -> String {
    let severity = if diagnostic.is_error() { "error" } else { "warning" };
    let place = diagnostic.span.as_ref().map_or(String::new(), |span| {
        let (line, column) = span.source.line_column(span.range.start);
        format!(" {}:{line}:{column}", span.source.name)
    });
    let label = if diagnostic.label.is_empty() { String::new() } else { format!(" | {}", diagnostic.label) };
    let help: String = diagnostic.help.iter().map(|help| format!(" | help: {help}")).collect();
    let text = format!("{severity} {}{place}: {}{label}{help}", diagnostic.code.id, diagnostic.message);
    text.replace(&format!("{}{}", folder.display(), std::path::MAIN_SEPARATOR), "")
}
