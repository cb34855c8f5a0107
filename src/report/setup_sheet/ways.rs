//! The second page of a sheet: two ways to one picture, and diffusion twice.

use super::patches::patches;
use super::ways_words::{KINDS, TWICE, block_words, conclusion, difference_rows, gain_rows, twice_rows};
use crate::report::lighting_words::{block, patch_words};
use crate::report::page::name;
use crate::show::{SetupSheet, Ways};
use maud::{Markup, html};

pub(super) fn two_ways(sheet: &SetupSheet) -> Markup {
    html! {
        @match (&sheet.ways, &sheet.no_ways) {
            (Some(ways), _) => (both(sheet, ways)),
            (None, Some(why)) => {
                section aria-labelledby="ways" {
                    h2 #ways { "Two ways to one picture" }
                    p { "There are no two ways here: " (why) "." }
                }
            }
            (None, None) => {}
        }
    }
}

fn both(sheet: &SetupSheet, ways: &Ways) -> Markup {
    html! {
        section.second.dense aria-labelledby="ways" {
            h2 #ways { "Two ways to one picture" }
            p.summary {
                "Setup " strong { (name(&sheet.id)) } ", " (name(&sheet.show)) "; " (name(&sheet.look.name)) ", fingerprint "
                code { (sheet.look.fingerprint) } "; light: " (name(&ways.light))
            }
            div.split {
                div {
                    @for (title, text) in conclusion(sheet, ways) { p { strong { (title) ": " } (name(&text)) } }
                }
                div {
                    div.keep {
                        h3 #block { "For the recipe" }
                        pre.block aria-labelledby="block" { code { (block(&ways.white).join("\n")) } }
                        p.quiet.small { (block_words(sheet)) }
                    }
                    (gains(ways))
                }
            }
            (differences(ways))
            (patches(ways))
        }
    }
}

fn differences(ways: &Ways) -> Markup {
    html! {
        h3 { "How different the pictures are" }
        table.stack role="table" {
            caption { "ΔE2000 between the two pictures, chart and skins from −2 to +2 stops" }
            thead role="rowgroup" {
                tr role="row" {
                    @for column in ["If the camera balances", "Chart, mean", "Chart, worst", "Skins, mean", "Skins, worst"] {
                        th role="columnheader" scope="col" { (column) }
                    }
                }
            }
            tbody role="rowgroup" {
                @for (kind, [chart, chart_max, skins, skins_max], [chart_worst, skins_worst]) in difference_rows(ways) {
                    tr role="row" {
                        th.of-6 role="rowheader" scope="row" { (kind) }
                        td.of-2 role="cell" data-label="Chart, mean" { (chart) }
                        td.of-4 role="cell" data-label="Chart, worst" { (chart_max) " " span.quiet { (patch_words(chart_worst)) } }
                        td.of-2 role="cell" data-label="Skins, mean" { (skins) }
                        td.of-4 role="cell" data-label="Skins, worst" { (skins_max) " " span.quiet { (patch_words(skins_worst)) } }
                    }
                }
            }
        }
        p.quiet.small { (KINDS) }
    }
}

fn gains(ways: &Ways) -> Markup {
    html! {
        h3 { "What is amplified" }
        table.stack role="table" {
            caption { "Stops over the least amplified channel of each row" }
            thead role="rowgroup" {
                tr role="row" {
                    @for column in ["Way", "In", "Red", "Green", "Blue"] { th role="columnheader" scope="col" { (column) } }
                }
            }
            tbody role="rowgroup" {
                @for (way, stage, [red, green, blue]) in gain_rows(ways) {
                    tr role="row" {
                        th role="rowheader" scope="row" { (way) }
                        td role="cell" data-label="In" { (stage) }
                        td.of-2 role="cell" data-label="Red" { (red) }
                        td.of-2 role="cell" data-label="Green" { (green) }
                        td.of-2 role="cell" data-label="Blue" { (blue) }
                    }
                }
            }
        }
    }
}

/// The table of diffusion on the lens and in the recipe.
pub(super) fn diffusion_twice(sheet: &SetupSheet) -> Markup {
    html! {
        @if let Some(twice) = &sheet.diffusion.twice {
            table.stack role="table" {
                caption {
                    "What becomes of neutrals: stops from grey before the look, and the signal on the monitor; grade " (name(&twice.on_lens))
                    " on the lens is taken to do what the recipe’s preset of that grade does"
                }
                thead role="rowgroup" {
                    tr role="row" {
                        th role="columnheader" scope="col" { "Stops from grey" }
                        @for column in TWICE { th role="columnheader" scope="col" { (column) } }
                    }
                }
                tbody role="rowgroup" {
                    @for (stops, cells) in twice_rows(twice) {
                        tr role="row" {
                            th.of-6 role="rowheader" scope="row" { (stops) " stops" }
                            @for (label, cell) in TWICE.iter().zip(cells) { td role="cell" data-label=(label) { (cell) } }
                        }
                    }
                }
            }
        }
    }
}
