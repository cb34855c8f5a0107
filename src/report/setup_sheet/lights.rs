//! The lights of a setup on its page.

use super::patches::shown;
use super::words::{
    between_words, cast_of, filter_words, filters_together, lights_words, outcome, percent, reading_words, source_words,
};
use crate::report::page::name;
use crate::show::{SetupSheet, SheetLight};
use maud::{Markup, html};

const COLUMNS: [&str; 5] = ["Light", "Source and filters", "Comes out", "Cast at the balance", "Light and stop"];

pub(super) fn lights(sheet: &SetupSheet) -> Markup {
    html! {
        section aria-labelledby="lights" {
            h2 #lights { "Lights" }
            @if sheet.lights.is_empty() { p { "No lights are said." } } @else {
                table.stack.lights role="table" {
                    thead role="rowgroup" {
                        tr role="row" { @for column in COLUMNS { th role="columnheader" scope="col" { (column) } } }
                    }
                    tbody role="rowgroup" { @for light in &sheet.lights { (row(light, sheet)) } }
                }
                (between(sheet))
                p.quiet.small { (name(&lights_words(sheet))) }
            }
        }
    }
}

fn row(light: &SheetLight, sheet: &SetupSheet) -> Markup {
    let (head, rest) = outcome(light);
    html! {
        tr role="row" {
            th.of-6 role="rowheader" scope="row" {
                (name(&light.role))
                @if !light.note.is_empty() { span.sub { (name(&light.note)) } }
            }
            td role="cell" data-label="Source and filters" {
                (source_words(light))
                @if light.filters.is_empty() { span.sub { "no filters" } } @else {
                    ol.filters {
                        @for filter in &light.filters { li { strong { (name(&filter.name)) } " " span.quiet { (filter_words(filter)) } } }
                    }
                    @if let Some(words) = filters_together(light) { span.sub { (words) } }
                }
            }
            td role="cell" data-label="Comes out" {
                strong { (head) }
                @for line in rest { span.sub { (line) } }
            }
            td role="cell" data-label="Cast at the balance" {
                strong { (cast_of(light, sheet)) }
                @for (what, short, of) in [("grey card", "card", &light.card), ("light skin", "skin", &light.skin)] {
                    @if let Some(of) = of { span.sub { (shown(what, of)) span.whole { (short) " " (percent(of)) } } }
                }
            }
            td role="cell" data-label="Light and stop" {
                @match &light.reading {
                    Some(reading) => {
                        @for (place, line) in reading_words(reading).iter().enumerate() {
                            @if place == 0 { strong { (line) } } @else { span.sub { (line) } }
                        }
                    }
                    None => span.quiet { "no reading" }
                }
            }
        }
    }
}

/// What is left between the lights.
fn between(sheet: &SetupSheet) -> Markup {
    html! {
        @if !sheet.between.is_empty() {
            ul.plain {
                @for between in &sheet.between {
                    li { "From " (name(&between.from)) " to " (name(&between.to)) ": " strong { (between_words(between)) } }
                }
            }
        }
    }
}
