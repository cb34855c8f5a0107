//! The report on two looks or files beside each other.

use super::page::{masthead, name, page};
use super::plots;
use super::portrait_parts::{field, lab_words, pictures, scopes, warnings};
use crate::portrait::{ComparisonReport, ReportSide};
use maud::{Markup, html};

const KIND: &str = "Comparison of looks";

/// The report as a page of HTML that needs nothing but itself.
#[must_use]
pub fn comparison_report_html(report: &ComparisonReport) -> String {
    let [a, b] = &report.sides;
    let title = format!("{} and {}", a.name, b.name);
    let body = html! {
        (masthead(KIND, &title, ""))
        (plots::patterns())
        main {
            (summary(report))
            (sides(report))
            (changed(report))
            (pictures("Pictures", &report.pictures))
            (greys(report))
            (colours(report))
            (scopes(&[("A", &report.scopes[0]), ("B", &report.scopes[1])]))
            (differences(report))
            (patches(report))
            (warnings(&report.warnings, &[]))
        }
    };
    page(KIND, &title, &body)
}

fn summary(report: &ComparisonReport) -> Markup {
    let found = &report.comparison;
    html! {
        section.panel aria-labelledby="summary" {
            h2 #summary { "In a sentence" }
            p { strong { (name(&found.words)) } }
            p {
                "Chart from −3 to +3 stops: " (format!("{:.2}", found.mean_de)) " ΔE2000 on average, 95 % below " (format!("{:.2}", found.de_95)) ", worst "
                (format!("{:.2}", found.max_de)) " (" (found.worst.name) ", " (plots::at_stops(found.worst.stops)) "); skins up to " (format!("{:.2}", found.skin_max_de))
                ". About 1 is just to be seen side by side."
            }
        }
    }
}

fn sides(report: &ComparisonReport) -> Markup {
    html! {
        section aria-labelledby="sides" {
            h2 #sides { "The two" }
            div.plots {
                @for (letter, side) in ["A", "B"].into_iter().zip(&report.sides) { (one_side(letter, side)) }
            }
        }
    }
}

fn one_side(letter: &str, side: &ReportSide) -> Markup {
    html! {
        article {
            h3 { (letter) ": " (name(&side.name)) }
            p.headline { (name(&side.headline)) "." }
            dl.facts {
                dt { "Is" } dd { (side.kind) ", " (name(&side.file)) }
                dt { "Camera" } dd { (side.seen.camera) }
                dt { "Monitor" } dd { (side.seen.monitor) }
                dt { "Levels" } dd { (side.seen.input_levels) " in, " (side.seen.output_levels) " out" }
                dt { "Seen so" } dd { (name(&side.seen.known)) }
            }
            ul.plain { @for sentence in &side.words { li { (name(sentence)) } } }
        }
    }
}

fn changed(report: &ComparisonReport) -> Markup {
    let Some(changed) = &report.changed else { return html! {} };
    html! {
        section aria-labelledby="settings" {
            h2 #settings { "Settings that differ" }
            @if changed.is_empty() { p { "None: the recipes say the same." } } @else {
                div.scroll tabindex="0" role="region" aria-label="Settings that differ" {
                    table.grid {
                        thead { tr { th scope="col" { "Key" } th scope="col" { "A" } th scope="col" { "B" } } }
                        tbody {
                            @for one in changed {
                                tr { th scope="row" { code { (name(&one.key)) } } td { (name(&one.a)) } td { (name(&one.b)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn greys(report: &ComparisonReport) -> Markup {
    let [a, b] = [&report.sides[0].portrait, &report.sides[1].portrait];
    html! {
        section aria-labelledby="greys" {
            h2 #greys { "Greys: tone and cast" }
            div.plots {
                figure {
                    (plots::curves_of_two([a, b]))
                    figcaption { "The display’s signal for each stop of the scene, as that of a neutral as bright: A unbroken, B dashed; at the right the 10-bit codes of A’s link." }
                }
                @if a.tinted || b.tinted {
                    figure {
                        (plots::casts_of_two([&a.casts(), &b.casts()]))
                        figcaption { "The colour of greys beside each display’s white: A unbroken, B dashed. Near black it has none." }
                    }
                } @else {
                    p { strong { "Greys are neutral" } " in both, from black to white." }
                }
            }
        }
    }
}

fn colours(report: &ComparisonReport) -> Markup {
    let [a, b] = [&report.sides[0].portrait, &report.sides[1].portrait];
    html! {
        section aria-labelledby="colours" {
            h2 #colours { "Colours" }
            @if a.hues.is_empty() || b.hues.is_empty() { p { "Grey is black in one of them, so that no hue is seen." } } @else {
                figure.single {
                    (plots::hues_of_two([a, b]))
                    figcaption {
                        "Each hue of the scene at mid-grey, as skin is saturated and twice as much, shown by A (circles) and by B (diamonds). Inwards is less saturated; \
                         sideways is another hue. The cast of grey is taken off first."
                    }
                }
            }
        }
    }
}

fn differences(report: &ComparisonReport) -> Markup {
    html! {
        section aria-labelledby="differences" {
            h2 #differences { "Where they part" }
            p { "Every hue from eight stops under grey to eight over it, at three strengths; each side against the white of its own display, whose brightness is not compared." }
            div.hue-maps { (plots::difference(&report.difference, "difference of A and B")) }
            (plots::difference_key())
        }
    }
}

fn patches(report: &ComparisonReport) -> Markup {
    let at_zero = |name: &str| report.comparison.patches.iter().find(|patch| patch.name == name && patch.stops == 0);
    html! {
        section aria-labelledby="patches" {
            h2 #patches { "Patches" }
            div.scroll tabindex="0" role="region" aria-label="Patches" {
                table.grid.swatches {
                    caption { "Patches as exposed, L* a* b* against each display’s white; ΔE2000 over −3 to +3 stops." }
                    thead {
                        tr {
                            th scope="col" { "Patch" } th scope="col" { "A" } th scope="col" { "B" } th scope="col" { "A, L* a* b*" } th scope="col" { "B, L* a* b*" }
                            th.number scope="col" { "mean ΔE" } th.number scope="col" { "worst ΔE" }
                        }
                    }
                    tbody {
                        @for summary in &report.comparison.by_patch {
                            tr {
                                th scope="row" { (summary.of) }
                                @if let Some(pair) = at_zero(&summary.of) {
                                    td { (field(pair.lab_a, "A")) }
                                    td { (field(pair.lab_b, "B")) }
                                    td.whole { (lab_words(pair.lab_a)) }
                                    td.whole { (lab_words(pair.lab_b)) }
                                } @else { td {} td {} td {} td {} }
                                td.number { (format!("{:.2}", summary.mean_de)) }
                                td.number { (format!("{:.2}", summary.max_de)) " " span.sub.whole { (plots::at_stops(summary.worst_stops)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}
