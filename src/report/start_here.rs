//! The first page of a package, as a page and as a text.

use super::page::{masthead, name, page};
use crate::handoff::{Section, StartHere};
use maud::{Markup, html};
use std::fmt::Write as _;

/// What kind of page it is.
const KIND: &str = "start here";

/// The page: it loads nothing, and fits on one sheet of A4 or US letter.
#[must_use]
pub fn start_here_html(start: &StartHere) -> String {
    let body = html! {
        (masthead(KIND, &start.show, &start.summary))
        main.one-page {
            @for section in &start.sections {
                section {
                    h2 { (section.title) }
                    @for paragraph in &section.text { p { (name(paragraph)) } }
                    @if let Some((head, rows)) = &section.table {
                        div.scroll {
                            table {
                                thead { tr { @for cell in head { th scope="col" { (cell) } } } }
                                tbody {
                                    @for row in rows {
                                        tr { @for cell in row { td { (linked(cell)) } } }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    };
    page(KIND, &start.show, &body)
}

/// The same as a text of lines up to 100 characters, where words allow.
#[must_use]
pub fn start_here_text(start: &StartHere) -> String {
    let mut text = format!("{}: {KIND}\n\n", super::page::one_line(&start.show));
    wrapped(&mut text, &start.summary, "");
    for section in &start.sections {
        let _ = writeln!(text, "\n{}", section.title.to_uppercase());
        for paragraph in &section.text {
            wrapped(&mut text, paragraph, "  ");
        }
        table(&mut text, section);
    }
    text
}

/// A cell; the name of a page of the package leads to it.
fn linked(cell: &str) -> Markup {
    match cell {
        "viewer.html" => html! { a href=(cell) { (cell) } },
        _ => name(cell),
    }
}

fn table(text: &mut String, section: &Section) {
    let Some((head, rows)) = &section.table else { return };
    let head: Vec<String> = head.iter().map(|cell| (*cell).to_owned()).collect();
    let all: Vec<&Vec<String>> = std::iter::once(&head).chain(rows).collect();
    let widths: Vec<usize> = (0..head.len())
        .map(|column| all.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0))
        .collect();
    for row in all {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}")).collect();
        let _ = writeln!(text, "  {}", super::page::one_line(&cells.join("  ")).trim_end());
    }
}

fn wrapped(text: &mut String, paragraph: &str, indent: &str) {
    const WIDTH: usize = 100;
    let mut line = indent.to_owned();
    for word in paragraph.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH && line.trim() != "" {
            let _ = writeln!(text, "{line}");
            indent.clone_into(&mut line);
        }
        if line.len() > indent.len() {
            line.push(' ');
        }
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}
