//! The consistency page: whether all cameras, and all monitors, of a show show one picture.

use super::findings::{
    Finding, Group, METHOD, all_groups, figures, findings, groups, look_id, nits, number, patch, told, verdict,
    worst_of,
};
use super::page::{counted, masthead, name, page};
use super::swatch::swatches;
use crate::show::consistency::{Between, Pair, Spread};
use crate::show::{LookProof, Proof};
use maud::{Markup, html};

pub(super) const KIND: &str = "Consistency";

/// Comparisons that the page shows one by one; of a larger show it has the worst of each group. So many rows take about 1.5 MB,
/// which a phone still scrolls: this project's own choice.
const ALL_PAIRS: usize = 1500;

/// Findings that are told in full, and pairs that are named in each: what a reader can work through. Own choice.
const FINDINGS: usize = 60;
pub(super) const CASES: usize = 8;

/// Where all figures stand, for the reader who wants those that the page leaves out.
pub(super) const IN_JSON: &str = "looks[…].monitors[…].cameras.pairs and looks[…].cameras[…].monitors.pairs";

/// The proof of a show as a page of HTML.
#[must_use]
pub fn consistency_html(proof: &Proof) -> String {
    let pairs: usize = all_groups(proof).iter().map(|group| group.matrix.pairs.len()).sum();
    let whole = pairs <= ALL_PAIRS;
    let summary = format!(
        "{}, {}",
        counted(proof.looks.len(), "look, variant or version", "looks, variants and versions"),
        counted(pairs, "comparison", "comparisons")
    );
    let body = html! {
        (masthead(KIND, &proof.show, &summary))
        main {
            (verdict_box(proof))
            (out_of_tolerance(proof))
            (method(proof, whole))
            @if !proof.looks.is_empty() { (overview(proof)) }
            @for (place, look) in proof.looks.iter().enumerate() { (look_section(place, look, whole)) }
        }
    };
    page(KIND, &proof.show, &body)
}

fn verdict_box(proof: &Proof) -> Markup {
    let verdict = verdict(proof);
    let (class, mark) = if proof.pass { ("verdict good", "✓") } else { ("verdict bad", "✗") };
    html! {
        div class=(class) {
            p.word { (mark) " " (verdict.word) }
            @for sentence in &verdict.sentences { p { (name(sentence)) } }
        }
    }
}

fn out_of_tolerance(proof: &Proof) -> Markup {
    let all = findings(proof);
    html! {
        @if !all.is_empty() {
            section aria-labelledby="out" {
                h2 #out { "Out of tolerance" }
                @for finding in all.iter().take(FINDINGS) { (finding_article(finding, proof)) }
                @if all.len() > FINDINGS {
                    p { strong { (all.len() - FINDINGS) " more findings" } ", less grave than these, are in the JSON form of this proof." }
                }
            }
        }
    }
}

fn finding_article(finding: &Finding<'_>, proof: &Proof) -> Markup {
    let worst = finding.cases[0].1;
    html! {
        article.keep {
            h3 { span.bad { "✗ " } (name(&finding.title())) }
            p.quiet { (name(&finding.extent(proof))) }
            @if let Some(reason) = &worst.reason {
                p { (name(&reason.text)) "." }
                p { strong { "Remedy: " } (name(&reason.remedy)) "." }
            }
            ul.plain {
                @for (group, pair) in finding.cases.iter().take(CASES) { li { (case(group, pair, proof)) } }
                @if finding.cases.len() > CASES { li { "and " (finding.cases.len() - CASES) " more pairs" } }
            }
        }
    }
}

fn case(group: &Group<'_>, pair: &Pair, proof: &Proof) -> Markup {
    let ids = group.ids(pair);
    html! {
        @if let Some(worst) = &pair.held.worst { (swatches(worst, ids)) }
        (name(&look_id(&proof.looks[group.look]))) ": " (name(ids[0])) " and " (name(ids[1])) " " (name(&group.place())) ": " (figures(&pair.held))
        @if let Some(worst) = &pair.held.worst { span.quiet { ", worst at " (patch(worst)) } }
        @if pair.unknown > 0 { span.quiet { ", " (pair.unknown) " colours unknown" } }
    }
}

fn method(proof: &Proof, whole: bool) -> Markup {
    let limits = &proof.tolerances;
    html! {
        section.panel aria-labelledby="how" {
            h2 #how { "What was compared, and how" }
            div.columns {
                @for (title, text) in METHOD { p { strong { (title) } " " (text) } }
                p {
                    strong { "Tolerances" } " of this show, ΔE2000: mean " (limits.mean) ", 95 % " (limits.p95) ", worst " (limits.max) "."
                }
                p.quiet {
                    "Swatches show the worst colour of a pair, the first left, the second right, converted to sRGB with its white as the \
                     monitor's white; colours that sRGB does not hold are clipped in them."
                }
            }
            @if !whole {
                p {
                    strong { "Left out of this page: " }
                    "the show has many comparisons, so each group below has its worst pair only. All pairs, with their worst colours, \
                     are in the JSON form of this proof, under " code { (IN_JSON) } "."
                }
            }
        }
    }
}

/// Every look against every monitor, with the worst that was found.
fn overview(proof: &Proof) -> Markup {
    let monitors =
        ids_in_order(proof.looks.iter().flat_map(|look| look.monitors.iter().map(|monitor| monitor.id.as_str())));
    html! {
        section aria-labelledby="overview" {
            h2 #overview { "Overview" }
            div.scroll tabindex="0" role="region" aria-label="Overview of all looks" {
                table.grid {
                    caption { "Mean / 95 % / worst of what is held: the largest of each over the pairs." }
                    thead {
                        tr {
                            th scope="col" { "Look" }
                            @for monitor in &monitors { th scope="col" { "cameras on " (name(monitor)) } }
                            th scope="col" { "monitors, behind each camera" }
                        }
                    }
                    tbody {
                        @for (place, look) in proof.looks.iter().enumerate() {
                            tr {
                                th scope="row" {
                                    a href=(format!("#look-{}", place + 1)) { (name(&look.id)) }
                                    @if !look.part.is_empty() { span.sub { (name(&look.part)) } }
                                }
                                @for monitor in &monitors {
                                    @let found = look.monitors.iter().find(|of| of.id == *monitor);
                                    td { (cell(found.map_or(&[][..], |of| &of.cameras.pairs))) }
                                }
                                td { (cell(look.cameras.iter().flat_map(|camera| &camera.monitors.pairs))) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn ids_in_order<'a>(ids: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut known = Vec::new();
    for id in ids {
        if !known.contains(&id) {
            known.push(id);
        }
    }
    known
}

/// The worst figures of some pairs, with a mark.
fn cell<'a>(pairs: impl IntoIterator<Item = &'a Pair>) -> Markup {
    let pairs: Vec<&Pair> = pairs.into_iter().collect();
    if pairs.is_empty() {
        return html! { span.quiet { "–" } };
    }
    let pass = pairs.iter().all(|pair| pair.pass);
    let worst = worst_of(pairs.iter().map(|pair| &pair.held));
    html! { span.whole { (mark(pass)) " " (told(&worst)) } }
}

fn mark(pass: bool) -> Markup {
    match pass {
        true => html! { span.good role="img" aria-label="holds" { "✓" } },
        false => html! { span.bad role="img" aria-label="out of tolerance" { "✗" } },
    }
}

fn look_section(place: usize, look: &LookProof, whole: bool) -> Markup {
    let id = format!("look-{}", place + 1);
    let all: Vec<Group<'_>> = groups(place, look).collect();
    let (cameras, monitors): (Vec<Group<'_>>, Vec<Group<'_>>) =
        all.into_iter().partition(|group| group.matrix.between == Between::Cameras);
    html! {
        section id=(id) aria-labelledby=(format!("{id}-name")) {
            h2 id=(format!("{id}-name")) { (name(&look.name)) }
            p.summary { (name(&look.id)) @if !look.part.is_empty() { ", " (name(&look.part)) } }
            @if !cameras.is_empty() {
                h3 { "Cameras against each other" }
                (summary_matrix(&cameras, "worst over the monitors"))
                @for group in &cameras { (group_details(group, whole)) }
            }
            @if !monitors.is_empty() {
                h3 { "Monitors against each other" }
                (brightness(&monitors))
                (summary_matrix(&monitors, "worst over the cameras"))
                @for group in &monitors { (group_details(group, whole)) }
            }
        }
    }
}

/// Ids against ids: the worst over all groups.
fn summary_matrix(groups: &[Group<'_>], caption: &str) -> Markup {
    let ids = ids_in_order(groups.iter().flat_map(|group| group.matrix.ids.iter().map(String::as_str)));
    let of = |a: &str, b: &str| -> Vec<&Pair> {
        let is = |group: &Group<'_>, pair: &Pair| group.ids(pair) == [a, b] || group.ids(pair) == [b, a];
        groups.iter().flat_map(|group| group.matrix.pairs.iter().filter(|pair| is(group, pair))).collect()
    };
    let caption = if groups.len() == 1 { groups[0].place() } else { caption.to_owned() };
    html! {
        div.scroll tabindex="0" role="region" aria-label=(format!("Each two, {caption}")) {
            table.grid.fixed {
                caption { "Mean / 95 % / worst of what is held, " (caption) }
                thead { tr { td {} @for id in &ids[..ids.len() - 1] { th scope="col" { (name(id)) } } } }
                tbody {
                    @for (row, id) in ids.iter().enumerate().skip(1) {
                        tr {
                            th scope="row" { (name(id)) }
                            @for other in &ids[..row] { td { (cell(of(other, id))) } }
                            @for _ in row..ids.len() - 1 { td {} }
                        }
                    }
                }
            }
        }
    }
}

/// Light of white and grey on each monitor.
fn brightness(groups: &[Group<'_>]) -> Markup {
    let ids = ids_in_order(groups.iter().flat_map(|group| group.matrix.ids.iter().map(String::as_str)));
    let of = |id: &str| {
        groups.iter().find_map(|group| {
            let place = group.matrix.ids.iter().position(|other| other == id)?;
            Some((group.matrix.white_nits[place], group.matrix.grey_nits[place]))
        })
    };
    html! {
        div.scroll tabindex="0" role="region" aria-label="Brightness" {
            table.grid.fixed {
                caption { "Brightness, told and not compared" }
                thead {
                    tr {
                        th scope="col" { "Monitor" }
                        th.number scope="col" { "white, cd/m²" }
                        th.number scope="col" { "grey, cd/m²" }
                        th.number scope="col" { "grey, % of white" }
                    }
                }
                tbody {
                    @for id in &ids {
                        @if let Some((white, grey)) = of(id) {
                            tr {
                                th scope="row" { (name(id)) }
                                td.number { (nits(white)) }
                                td.number { (nits(grey)) }
                                td.number { (number(100.0 * grey / white)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn group_details(group: &Group<'_>, whole: bool) -> Markup {
    let matrix = group.matrix;
    let pairs: Vec<&Pair> = if whole { matrix.pairs.iter().collect() } else { group.worst().into_iter().collect() };
    let columns = match matrix.between {
        Between::Cameras => ("Cameras", "Inside all their gamuts", "Outside"),
        Between::Monitors => ("Monitors", "Altered by none of them", "Altered by one of them"),
    };
    html! {
        details {
            summary {
                (name(&group.place())) @if !group.display.is_empty() { span.quiet { " " (group.display) } } ": " (cell(&matrix.pairs))
                @if !whole && matrix.pairs.len() > 1 { span.quiet { " (worst of " (matrix.pairs.len()) " pairs)" } }
            }
            table.stack role="table" {
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in [columns.0, columns.1, columns.2, "Saturated lights", "Worst of what is held", "Verdict"] {
                            th role="columnheader" scope="col" { (column) }
                        }
                    }
                }
                tbody role="rowgroup" { @for pair in pairs { (pair_row(group, pair, columns)) } }
            }
        }
    }
}

fn pair_row(group: &Group<'_>, pair: &Pair, columns: (&str, &str, &str)) -> Markup {
    let ids = group.ids(pair);
    html! {
        tr role="row" {
            th.of-6 role="rowheader" scope="row" { (name(ids[0])) " and " (name(ids[1])) }
            td role="cell" data-label=(columns.1) { (spread(&pair.inside)) }
            td role="cell" data-label=(columns.2) { (spread(&pair.outside)) }
            td role="cell" data-label="Saturated lights" { (spread(&pair.saturated)) }
            td role="cell" data-label="Worst of what is held" {
                @if let Some(worst) = &pair.held.worst { (swatches(worst, ids)) span.whole { (patch(worst)) } }
                @else { "nothing is held" }
            }
            td role="cell" data-label="Verdict" {
                @if pair.pass { span.good.whole { "✓ holds" } } @else { span.bad.whole { "✗ out" } }
            }
        }
    }
}

fn spread(spread: &Spread) -> Markup {
    html! {
        span.whole { (figures(spread)) }
        @if let Some(worst) = &spread.worst { span.sub { (spread.count) ", " (patch(worst)) } }
    }
}
