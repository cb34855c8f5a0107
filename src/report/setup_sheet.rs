//! The sheet of a setup: what a setup needs on the set, on paper or on a phone.

mod lights;
mod patches;
mod ways;
pub(super) mod ways_words;
pub(super) mod words;

use super::lighting_words::NOT_SAID;
use super::page::{file_name, folder, name, one_line, page};
use crate::show::{SetupSheet, SheetCamera};
use lights::lights;
use maud::{Markup, html};
use ways::{diffusion_twice, two_ways};
use words::{OnMonitor, by_monitor, diffusion_facts, look_facts, settings};

const KIND: &str = "Setup sheet";

/// The sheet of a setup as a page of HTML that needs nothing but itself.
#[must_use]
pub fn setup_sheet_html(sheet: &SetupSheet) -> String {
    let body = html! {
        (head(sheet))
        main {
            div.dense {
                (camera(sheet))
                // Haze is nothing to be found below the numbers.
                @if sheet.haze { (cautions(sheet)) }
                (lights(sheet))
                (look(sheet))
                (diffusion(sheet))
                (remarks(sheet))
                @if !sheet.haze { (cautions(sheet)) }
            }
            (two_ways(sheet))
        }
    };
    let page = page(KIND, &format!("{}, {}", sheet.id, sheet.show), &body);
    // The shell of all pages knows nothing of setups; its style ends once, before anything that somebody else wrote.
    page.replacen("</style>", &format!("{}</style>", numbering(&sheet.id)), 1)
}

/// The numbers of printed pages: "setup 7b, page 1 of 2".
fn numbering(id: &str) -> String {
    // Whatever is no letter or digit stands as its code, which ends with a space.
    let escape = |character: char| match character {
        _ if character.is_ascii_alphanumeric() => character.to_string(),
        _ => format!("\\{:x} ", u32::from(character)),
    };
    let id: String = one_line(id).chars().map(escape).collect();
    format!(
        "@media print {{ @page {{ margin: 9mm 12mm 11mm; @bottom-right {{ content: \"setup {id}, page \" counter(page) \" of \" counter(pages); font: 8pt system-ui, sans-serif; }} }} }}\n"
    )
}

fn head(sheet: &SetupSheet) -> Markup {
    html! {
        header.masthead.setup {
            p.kind { (KIND) }
            h1 { (name(&sheet.id)) }
            p.show { (name(&sheet.show)) }
            @if !sheet.note.is_empty() { p.note { (name(&sheet.note)) } }
            // The program reads no clock: whoever shoots says when.
            p.paper.pen { @for what in ["date", "take", "by"] { span { (what) } } }
        }
    }
}

fn camera(sheet: &SetupSheet) -> Markup {
    html! {
        section aria-labelledby="camera" {
            h2 #camera { "Camera" }
            dl.settings {
                @for setting in settings(sheet) {
                    div.setting {
                        dt { (setting.term) }
                        dd.value[setting.value != NOT_SAID].absent[setting.value == NOT_SAID] { (setting.value) }
                        @for line in setting.means { dd.means { (name(&line)) } }
                    }
                }
            }
        }
    }
}

fn look(sheet: &SetupSheet) -> Markup {
    let monitors = by_monitor(sheet);
    html! {
        section aria-labelledby="look" {
            h2 #look { "Look and files: " (name(&sheet.look.name)) }
            dl.facts.pairs {
                @for (term, fact) in look_facts(sheet) { dt { (term) } dd { (name(&fact)) } }
                @for of in &sheet.cameras { dt { "Camera " (name(&of.id)) } dd { (records(of)) } }
            }
            @if monitors.is_empty() { p { "This setup has no LUT files." } } @else {
                table.stack role="table" {
                    thead role="rowgroup" {
                        tr role="row" {
                            @for column in ["Monitor", "Input levels", "Output levels", "Folder", "Camera: file, code"] {
                                th role="columnheader" scope="col" { (column) }
                            }
                        }
                    }
                    tbody role="rowgroup" { @for of in &monitors { (monitor(of)) } }
                }
            }
        }
    }
}

fn monitor(of: &OnMonitor<'_>) -> Markup {
    html! {
        tr role="row" {
            th.of-6 role="rowheader" scope="row" { (name(of.monitor)) }
            td role="cell" data-label="Input levels" { strong { (of.input.to_uppercase()) } }
            td role="cell" data-label="Output levels" { strong { (of.output.to_uppercase()) } }
            td.of-6 role="cell" data-label="Folder" { (folder(&of.folder)) }
            td.of-6 role="cell" data-label="Camera: file, code" {
                ul.files {
                    @for (file, called) in &of.files {
                        li { strong { (name(&file.camera)) ":" } " " (file_name(called)) ", " code { (file.code) } }
                    }
                }
            }
        }
    }
}

/// What a camera must record.
fn records(camera: &SheetCamera) -> Markup {
    html! {
        "must record " strong { (if camera.records.is_empty() { NOT_SAID } else { &camera.records }) }
        @if !camera.trim.is_empty() { "; trimmed by " (name(&camera.trim)) }
        @if !camera.note.is_empty() { "; " (name(&camera.note)) }
    }
}

fn diffusion(sheet: &SetupSheet) -> Markup {
    html! {
        section.keep aria-labelledby="diffusion" {
            h2 #diffusion { "Diffusion and haze" }
            // Three short facts stand in one row of a printed page; what the recipe does is a long one.
            dl.facts.pairs.triple[sheet.diffusion.in_recipe.is_none()] { @for (term, fact) in diffusion_facts(sheet) { dt { (term) } dd { (name(&fact)) } } }
            (diffusion_twice(sheet))
        }
    }
}

fn remarks(sheet: &SetupSheet) -> Markup {
    html! {
        @if !sheet.remarks.is_empty() {
            section aria-labelledby="remarks" {
                h2 #remarks { "To know when reading the numbers" }
                ul.remarks { @for remark in &sheet.remarks { li { (name(remark)) } } }
            }
        }
    }
}

fn cautions(sheet: &SetupSheet) -> Markup {
    html! {
        @if !sheet.cautions.is_empty() {
            section.cautions.loud[sheet.haze] aria-labelledby="cautions" {
                h2 #cautions { "Cautions" }
                div.columns { @for caution in &sheet.cautions { p { strong { (caution.title) ". " } (caution.text) } } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::numbering;

    #[test]
    fn an_id_stays_inside_its_quotes_in_a_style() {
        assert!(numbering("7b").contains("content: \"setup 7b, page \" counter(page) \" of \" counter(pages);"));
        let hostile = numbering("a\"; } </style>\\\n\u{202e}é");
        assert!(
            hostile.contains("\"setup a\\22 \\3b \\20 \\7d \\20 \\3c \\2f style\\3e \\5c \\20 \\e9 , page \""),
            "{hostile}"
        );
    }
}
