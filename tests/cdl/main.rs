//! ASC CDL: the formula against worked numbers, the three kinds of files, and edit decision lists.

#[path = "../reference/mod.rs"]
mod reference;

mod after;
mod edl;
mod files;
mod formula;
mod recipes;
mod wrong_files;

use lookwright::diagnostics::Diagnostic;

/// A diagnostic in one line: code, line and column, what is wrong, what is under the mark.
fn told(diagnostic: &Diagnostic) -> String {
    let place = match &diagnostic.span {
        Some(span) => {
            let (line, column) = span.source.line_column(span.range.start);
            format!("{line}:{column}")
        }
        None => "-".to_owned(),
    };
    format!("{} {place} {} | {}", diagnostic.code.id, diagnostic.message, diagnostic.label)
}
