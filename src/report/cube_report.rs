//! The report on a cube file of unknown origin.

use super::page::{file_name, masthead, name, page};
use super::plots;
use super::portrait_parts::{
    NOT_IN_A_LUT, clipping, colours, greys, levels, patches, pictures, scopes, sentences, warnings,
};
use crate::portrait::CubeReport;
use crate::verify::Inspection;
use maud::{Markup, html};

const KIND: &str = "Report on a file";

/// The report as a page of HTML that needs nothing but itself.
#[must_use]
pub fn cube_report_html(report: &CubeReport) -> String {
    let title = report
        .inspection
        .title
        .clone()
        .filter(|title| !title.trim().is_empty())
        .unwrap_or_else(|| report.file.name.clone());
    let body = html! {
        (masthead(KIND, &title, &report.inspection.judgement.sentence))
        (plots::patterns())
        main {
            @if !report.headline.is_empty() { p.headline { (name(&report.headline)) "." } }
            (taken_for(report))
            @if !report.words.is_empty() { (sentences("What it does", "does", &report.words)) }
            (pictures("Before and after", &report.pictures))
            p.quiet { (NOT_IN_A_LUT) }
            (greys(&report.portrait, &[], &[]))
            (colours(&report.portrait))
            (scopes(&[("", &report.scopes)]))
            section aria-labelledby="patches" {
                h2 #patches { "Patches" }
                (patches(&report.portrait.patches, "", |_| html! {}))
            }
            (clipping(&report.portrait))
            (numbers(report))
            (warnings(&report.warnings, &[]))
            (contents(report))
        }
    };
    page(KIND, &title, &body)
}

fn taken_for(report: &CubeReport) -> Markup {
    let taken = &report.taken_for;
    html! {
        section aria-labelledby="use" {
            h2 #use { "What it is taken to be for" }
            (levels(taken))
            dl.facts {
                dt { "Camera’s signal" } dd { (taken.camera) }
                dt { "Monitor" } dd { (taken.monitor) }
                dt { "Known" } dd { (name(&taken.known)) }
                dt { "File" } dd { (file_name(&report.file.name)) ", " (form(&report.inspection)) }
            }
            p { "A file does not say what it is for. If this is not so, the pictures and figures below are of another picture than yours: name them with " code { "--encoding" } ", " code { "--gamut" } ", " code { "--display" } ", " code { "--input-levels" } " and " code { "--output-levels" } "." }
            @if report.inspection.camera.candidates.len() > 1 {
                p {
                    "Encodings that also give a sensible picture: "
                    (report.inspection.camera.candidates.iter().map(|one| one.encoding.as_str()).collect::<Vec<_>>().join(", ")) "."
                }
            }
            @if !report.inspection.judgement.evidence.is_empty() {
                h3 { "How that is judged" }
                ul.plain { @for fact in &report.inspection.judgement.evidence { li { (name(fact)) } } }
            }
        }
    }
}

fn numbers(report: &CubeReport) -> Markup {
    let found = &report.inspection;
    let three = |values: [f64; 3]| values.map(|value| format!("{value:.4}")).join(" ");
    html! {
        section.keep aria-labelledby="numbers" {
            h2 #numbers { @if found.steps.is_empty() { "The table itself" } @else { "The steps themselves" } }
            @if !found.steps.is_empty() {
                ol { @for step in &found.steps { li { (name(&step.kind)) @if !step.name.is_empty() { ": " (name(&step.name)) } @for text in &step.descriptions { "; " (name(text)) } } } }
            }
            dl.facts {
                dt { "Domain" } dd { (three(found.domain_min)) " to " (three(found.domain_max)) }
                @if let Some(shape) = &found.shape {
                    dt { "Folds" } dd { (shape.folded_cells) " of " (shape.cells) " cells turn back, " (shape.picture_folds) " of them among colours that pictures hold" }
                    dt { "Steepest" } dd { (format!("{:.1}", shape.steepest)) " codes out for one code in" }
                }
                @if let Some(fall) = &found.picture.falling {
                    dt { "Grey scale falls" } dd { (format!("by {:.1} codes at camera code {:.0}", fall.codes, fall.code_in)) }
                }
            }
        }
    }
}

fn contents(report: &CubeReport) -> Markup {
    let fingerprint = report.inspection.fingerprint.as_deref().unwrap_or_default();
    html! {
        section.keep aria-labelledby="fingerprints" {
            h2 #fingerprints { "Fingerprints and comments" }
            dl.facts {
                dt { "File, SHA-256" } dd { code.file { (report.file.sha256) } }
                dt { "Look, by its comments" } dd { @if fingerprint.is_empty() { "none" } @else { code.file { (name(fingerprint)) } } }
                dt { "Read by" } dd { "lookwright " (env!("CARGO_PKG_VERSION")) }
            }
            @if !report.inspection.comments.is_empty() {
                h3 { "Comments in the file" }
                ul.plain { @for comment in &report.inspection.comments { li { (name(comment)) } } }
            }
        }
    }
}

/// What kind of file it is.
fn form(inspection: &Inspection) -> String {
    match inspection.steps.len() {
        0 => format!("{} table, {} points a side", inspection.table, inspection.size),
        1 => "a list of one step of the Common LUT Format, evaluated as it stands".to_owned(),
        count => format!("a list of {count} steps of the Common LUT Format, evaluated as they stand"),
    }
}
