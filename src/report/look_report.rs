//! The report on a look and its file: what it does, what it looks like, how true the file is, and how it was made.

use super::page::{file_name, masthead, name, page_with_viewer};
use super::plots;
use super::portrait_parts::{
    NOT_IN_A_LUT, clipping, colours, greys, levels, patches, pictures, scopes, sentences, warnings,
};
use super::viewer::{ViewerLook, viewer_section};
use crate::portrait::{LookReport, PatchShown, Setting};
use crate::verify::{Check, Cut, Verification};
use maud::{Markup, html};

const KIND: &str = "Look report";

/// The report as a page of HTML that needs nothing but itself.
#[must_use]
pub fn look_report_html(report: &LookReport) -> String {
    let body = html! {
        (masthead(KIND, &report.name, &report.note))
        (plots::patterns())
        main {
            p.headline { (name(&report.headline)) "." }
            (verdict(report))
            (facts(report))
            (sentences("What it does", "does", &report.words))
            (pictures("Before and after", &report.pictures))
            p.quiet { (NOT_IN_A_LUT) }
            (viewer(report))
            (sentences("What the recipe asks for", "asks", &report.asked))
            (greys(&report.portrait, report.verification.as_ref().map_or(&[][..], |found| &found.grey), &report.file_casts))
            (colours(&report.portrait))
            (scopes(&[("", &report.scopes)]))
            (patch_table(report))
            (accuracy(report))
            (clipping(&report.portrait))
            (warnings(&report.warnings, report.verification.as_ref().map_or(&[][..], |found| &found.notes)))
            (settings(&report.settings))
            (fingerprints(report))
        }
    };
    page_with_viewer(KIND, &report.name, &body)
}

/// The file, for a picture of the reader's own.
fn viewer(report: &LookReport) -> Markup {
    viewer_section(&[ViewerLook {
        name: &report.name,
        file: stem(&report.file.name),
        table: &report.table,
        input: &report.made_for.camera,
        curve: report.camera.curve,
        input_levels: report.device.input_levels,
        output_levels: report.device.output_levels,
        interpolation: report.device.interpolation,
        display: report.display,
    }])
}

/// A file's name without its ending.
fn stem(name: &str) -> &str {
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

fn verdict(report: &LookReport) -> Markup {
    let Some(found) = &report.verification else {
        return html! { div.verdict { p.word { "Not verified" } p { "The file was written without being checked." } } };
    };
    let (class, word) = if found.pass {
        ("verdict good", "✓ The file holds")
    } else {
        ("verdict bad", "✗ The file misses a tolerance")
    };
    html! {
        div class=(class) {
            p.word { (word) }
            p {
                "Read back and held against the exact look: every number of " (grouped(found.nodes.count)) " points, greys within "
                (format!("{:.1}", found.grey_max_codes)) " codes of 10 bits, the chart " (format!("{:.2}", found.patch_mean_de)) " ΔE2000 on average and "
                (format!("{:.2}", found.patch_max_de)) " at worst, skins " (format!("{:.2}", found.skin_max_de)) "."
            }
            p {
                "Between the points of the table colours differ more in places: up to " (format!("{:.1}", found.search.worst.de2000))
                " ΔE2000 at the worst that a search found, 95 % of all below " (format!("{:.1}", found.search.de_95)) ". The maps under " a href="#accuracy" { "How true the file is" } " show where."
            }
            @for check in found.failures() { p { strong { (check.name) } ": " (told(check)) "." } }
            @if let Some(cut) = &found.cut { p { (cut_words(cut)) } }
            @if let Some(suspicion) = &found.suspicion { p { strong { "Suspicion: " } (name(suspicion)) "." } }
            @if let Some(grid) = found.smallest_grid { p { strong { "Remedy: " } (grid) " points a side would hold every tolerance." } }
        }
    }
}

/// What of the camera's signal the device's legal input leaves away.
fn cut_words(cut: &Cut) -> String {
    let stops = |stops: Option<f64>| {
        stops.map_or("no light".to_owned(), |stops| format!("{} stops", plots::signed_tenths(stops)))
    };
    format!(
        "The device’s legal input ends at camera codes {:.0} ({}) and {:.0} ({}); greys beyond change by up to {:.1} ΔE2000.",
        cut.first_code,
        stops(cut.first_stops),
        cut.last_code,
        stops(cut.last_stops),
        cut.max_de
    )
}

fn told(check: &Check) -> String {
    let worst = if check.worst.is_empty() { String::new() } else { format!("; worst: {}", check.worst) };
    let [value, limit] = told_apart(check.value, check.limit);
    format!("{value} {}, at most {limit}{worst}", check.unit)
}

/// A figure and its limit with as many digits as tell them apart, two of them at least.
fn told_apart(value: f64, limit: f64) -> [String; 2] {
    let with = |digits: usize| [value, limit].map(|number| round(number, digits));
    (2..=9).map(with).find(|[a, b]| a != b).unwrap_or_else(|| with(2))
}

/// "35 937", its thousands apart by a space that does not break.
fn grouped(count: usize) -> String {
    let digits = count.to_string();
    let apart = |place: usize| place > 0 && (digits.len() - place).is_multiple_of(3);
    digits
        .chars()
        .enumerate()
        .flat_map(|(place, digit)| apart(place).then_some('\u{a0}').into_iter().chain([digit]))
        .collect()
}

fn round(value: f64, digits: usize) -> String {
    if value != 0.0 && value.abs() < 0.01 { format!("{value:.*e}", digits - 1) } else { format!("{value:.digits$}") }
}

fn facts(report: &LookReport) -> Markup {
    let made = &report.made_for;
    html! {
        section.keep aria-labelledby="use" {
            h2 #use { "How it is used" }
            (levels(made))
            dl.facts {
                @if !report.part.is_empty() { dt { "Part of the show" } dd { (name(&report.part)) } }
                dt { "The camera must record" } dd { (made.camera) }
                dt { "The monitor must be" } dd { (made.monitor) }
                dt { "File" } dd { (file_name(&report.file.name)) ", " (report.table.size()) " points a side, read by " (report.device.interpolation.id()) " interpolation" }
            }
        }
    }
}

fn patch_table(report: &LookReport) -> Markup {
    let worst = |patch: &PatchShown| {
        let found = report.verification.as_ref()?;
        let of = found.patches.iter().chain(&found.skins).filter(|point| point.name == patch.name);
        of.max_by(|a, b| a.de2000.total_cmp(&b.de2000))
    };
    let last = if report.verification.is_some() { "file against look, worst ΔE2000" } else { "" };
    html! {
        section aria-labelledby="patches" {
            h2 #patches { "Patches" }
            (patches(&report.portrait.patches, last, |patch| match worst(patch) {
                Some(point) => html! { (format!("{:.2}", point.de2000)) " " span.sub.whole { (plots::at_stops(point.stops)) } },
                None => html! {},
            }))
        }
    }
}

fn accuracy(report: &LookReport) -> Markup {
    html! {
        section aria-labelledby="accuracy" {
            h2 #accuracy { "How true the file is" }
            @if let Some(found) = &report.verification { (checks(found)) }
            p {
                "Between its points a device interpolates, and there a file parts from the look. The maps show by how much, for every hue from eight \
                 stops under grey to eight over it. About 1 ΔE2000 is just to be seen side by side."
                @if report.portrait.white_nits.is_some() { " The checks above are against display white, the maps against a surface of 203 cd/m², as it is seen." }
            }
            div.hue-maps { (plots::difference(&report.error, "difference of the file from the look")) }
            (plots::difference_key())
        }
    }
}

fn checks(found: &Verification) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Checks" {
            table.grid.wide {
                caption { "What was held against a tolerance." }
                thead {
                    tr { th scope="col" { "Check" } th scope="col" { "verdict" } th.number scope="col" { "found" } th.number scope="col" { "at most" } th scope="col" { "unit" } th scope="col" { "worst" } }
                }
                tbody {
                    @for check in &found.checks {
                        @let [value, limit] = told_apart(check.value, check.limit);
                        tr {
                            th scope="row" { (check.name) }
                            td { @if check.pass { span.good.whole { "✓ holds" } } @else { span.bad.whole { "✗ missed" } } }
                            td.number { (value) }
                            td.number { (limit) }
                            td { (check.unit) }
                            td { (check.worst) }
                        }
                    }
                }
            }
        }
        p {
            "A search for the worst point anywhere, also in colours that no camera records, over " (found.search.points) " places: " (format!("{:.2}", found.search.mean_de))
            " ΔE2000 on average, 95 % below " (format!("{:.2}", found.search.de_95)) ", worst " (format!("{:.2}", found.search.worst.de2000)) " at camera codes "
            (found.search.worst.code_in.map(|code| format!("{code:.0}")).join(" ")) "."
        }
    }
}

fn settings(all: &[Setting]) -> Markup {
    let (chosen, rest): (Vec<&Setting>, Vec<&Setting>) = all.iter().partition(|setting| setting.chosen);
    html! {
        @if !all.is_empty() {
            section aria-labelledby="settings" {
                h2 #settings { "Exact settings" }
                (setting_table("What was written, and what a grade stands for.", &chosen))
                details.screen {
                    summary { "Everything else, at its default (" (rest.len()) " settings)" }
                    (setting_table("Not written: what holds then.", &rest))
                }
            }
        }
    }
}

fn setting_table(caption: &str, settings: &[&Setting]) -> Markup {
    html! {
        table.stack.settings-list role="table" {
            caption { (caption) }
            thead role="rowgroup" {
                tr role="row" { @for column in ["Key", "Value", "From", "Meaning"] { th role="columnheader" scope="col" { (column) } } }
            }
            tbody role="rowgroup" {
                @for setting in settings {
                    tr role="row" {
                        th.of-6 role="rowheader" scope="row" { code { (setting.key) } }
                        td role="cell" data-label="Value" { (name(&setting.value)) }
                        td role="cell" data-label="From" { (name(&setting.origin)) }
                        td.of-6 role="cell" data-label="Meaning" { span.quiet { (setting.help) } }
                    }
                }
            }
        }
    }
}

fn fingerprints(report: &LookReport) -> Markup {
    html! {
        section.keep aria-labelledby="fingerprints" {
            h2 #fingerprints { "Fingerprints" }
            dl.facts {
                dt { "Look" } dd { code.file { (report.file.fingerprint) } }
                dt { "File, SHA-256" } dd { code.file { (report.file.sha256) } }
                dt { "Made by" } dd { "lookwright " (env!("CARGO_PKG_VERSION")) }
            }
            p.quiet {
                "The look’s fingerprint covers what it means: camera, every block, monitor, levels and size, and no names or comments. The same recipe makes the same \
                 bytes on every machine. " code { "lookwright verify" } " holds a file against its recipe again."
            }
        }
    }
}
