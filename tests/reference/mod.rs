//! Reads the reference tables of `tests/data`: comment lines that name the source, a header, rows without quoting.

use std::collections::HashMap;

/// One row: cells by the names in the header.
pub struct Row {
    cells: HashMap<String, String>,
}

impl Row {
    /// The text of a cell.
    pub fn text(&self, column: &str) -> &str {
        &self.cells[column]
    }

    /// The number in a cell; `nan`, `inf` and `-inf` are numbers too.
    pub fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("column {column}: {} is no number", self.text(column)))
    }
}

/// All rows of a table.
pub fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/data/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|fault| panic!("{path}: {fault}"));
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), header.len(), "{file}: {line}");
            Row { cells: header.iter().zip(cells).map(|(name, cell)| ((*name).into(), cell.into())).collect() }
        })
        .collect()
}
