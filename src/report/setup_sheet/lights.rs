//! The lights of a setup on its page.

use super::patches::shown;
use super::words::{cast_of, lights_words};
use crate::report::lighting_words::{
    between_words, filter_words, filters_together, level_words, loss_words, outcome, percent, plain_mired, ratio_words,
    reading_words, source_words,
};
use crate::report::page::name;
use crate::show::{SetupSheet, SheetLight};
use maud::{Markup, html};

const COLUMNS: [&str; 5] = ["Light", "Source and filters", "Comes out", "Cast at the balance", "Planned light, stop"];

/// What is written in with a pen when the light stands.
const MEASURED: [&str; 3] = ["measured: lx", "K", "Duv"];

pub(super) fn lights(sheet: &SetupSheet) -> Markup {
    html! {
        section aria-labelledby="lights" {
            h2 #lights { "Lights" }
            @if sheet.lights.is_empty() { p { "No lights are said." } } @else {
                table.stack.lights role="table" {
                    thead role="rowgroup" {
                        tr role="row" { @for column in COLUMNS { th role="columnheader" scope="col" { (column) } } }
                    }
                    tbody role="rowgroup" { @for (place, light) in sheet.lights.iter().enumerate() { (row(light, place, sheet)) } }
                }
                (between(sheet))
                p.quiet.small { (name(&lights_words(sheet))) }
            }
        }
    }
}

fn row(light: &SheetLight, place: usize, sheet: &SetupSheet) -> Markup {
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
                        @for filter in &light.filters { li { strong.hung { (name(&filter.name)) } " " span.sub { (filter_words(filter)) } } }
                    }
                    @if let Some(words) = filters_together(light) { span.sub { (words) } }
                }
            }
            td role="cell" data-label="Comes out" {
                strong { (head) }
                @for line in rest { span.sub { (line) } }
                @if let Some(words) = loss_words(light) { span.sub { (words) " lost in filters" } }
            }
            td role="cell" data-label="Cast at the balance" {
                strong { (cast_of(light, sheet)) }
                @if let Some(words) = sheet.balance.as_ref().and_then(|balance| plain_mired(light, balance.kelvin)) {
                    span.sub { "plain: " (words) }
                }
                @for (what, short, of) in [("grey card", "card", &light.card), ("light skin", "skin", &light.skin)] {
                    @if let Some(of) = of { span.sub { (shown(what, of)) span.whole { (short) " " (percent(of)) } } }
                }
                @if light.card.is_some() { span.sub { "exposed for this light" } }
            }
            td role="cell" data-label="Planned light, stop" {
                @match &light.reading {
                    Some(reading) => {
                        @for (place, line) in reading_words(reading).iter().enumerate() {
                            @if place == 0 { strong { (line) } } @else { span.sub { (line) } }
                        }
                    }
                    None => span.quiet { "no reading" }
                }
                @if let Some(words) = level_words(sheet, place) { span.sub { (name(&words)) } }
            }
        }
        // Nobody writes on a screen with a pen.
        tr.paper { td colspan="5" { div.pen { @for what in MEASURED { span { (what) } } } } }
    }
}

/// How the lights stand to each other, and what is left between their colours.
fn between(sheet: &SetupSheet) -> Markup {
    let ratio = ratio_words(sheet);
    html! {
        @if !sheet.between.is_empty() || ratio.is_some() {
            ul.plain {
                @if let Some(words) = ratio { li { "Key to fill, as planned: " strong { (words) } } }
                @for between in &sheet.between {
                    li { "From " (name(&between.from)) " to " (name(&between.to)) ": " strong { (between_words(between)) } }
                }
            }
        }
    }
}
