//! The consistency proof as plain text.

use super::consistency::{IN_JSON, named_cases};
use super::findings::{Group, METHOD, findings, groups, look_title, nits, number, patch, verdict};
use super::text::{ascii, rule, wrapped};
use crate::show::consistency::{Between, Pair};
use crate::show::{LookProof, Proof};

/// Columns of a group's name.
const GROUP: usize = 24;

/// Columns of a pair's ids.
const PAIR: usize = 20;

/// The proof of a show as plain text in ASCII, at most 100 columns wide: the verdict, what is out of tolerance, and the worst
/// pair of every group.
#[must_use]
pub fn consistency_text(proof: &Proof) -> String {
    let verdict = verdict(proof);
    let mut text = wrapped("CONSISTENCY    ", &ascii(&proof.show));
    text.push('\n');
    text += &wrapped(if proof.pass { "PASS  " } else { "FAIL  " }, &ascii(&verdict.word));
    for sentence in &verdict.sentences {
        text += &wrapped("      ", &ascii(sentence));
    }
    let found = findings(proof);
    if !found.is_empty() {
        text += "\nOUT OF TOLERANCE\n";
    }
    for finding in &found {
        let look = &proof.looks[finding.look()];
        text.push('\n');
        text += &wrapped("  * ", &ascii(&format!("{}, {}", look_title(look), finding.title())));
        if let Some(reason) = &finding.cases[0].1.reason {
            text += &wrapped("    ", &ascii(&reason.text));
            text += &wrapped("    remedy: ", &ascii(&reason.remedy));
        }
        text += &wrapped("    pairs:  ", &ascii(&named_cases(finding)));
    }
    text += "\nWHAT WAS COMPARED, AND HOW\n";
    for (title, words) in METHOD {
        text += &wrapped("  - ", &ascii(&format!("{title} {words}")));
    }
    let limits = &proof.tolerances;
    let limits = format!("Tolerances: mean {}, 95 % {}, worst {}.", limits.mean, limits.p95, limits.max);
    text += &wrapped("  - ", &limits);
    let all = format!(
        "Below stands the worst pair of each group, with ! before what is out of tolerance; all are in the JSON form, {}.",
        IN_JSON.replace('…', "...")
    );
    text += &wrapped("  - ", &all);
    for (place, look) in proof.looks.iter().enumerate() {
        text.push('\n');
        text += &look_text(place, look);
    }
    text
}

fn look_text(place: usize, look: &LookProof) -> String {
    let mut text = rule('=');
    text += &wrapped("", &ascii(&look_title(look)));
    text += &format!("  {:<GROUP$}{:<PAIR$}{:>6}{:>7}{:>7}  {}\n", "", "worst pair", "mean", "95 %", "worst", "at");
    for group in groups(place, look) {
        if let Some(worst) = group.worst() {
            text += &group_text(&group, worst);
        }
    }
    if let Some(camera) = look.cameras.first() {
        let matrix = &camera.monitors;
        let lights = matrix.ids.iter().zip(matrix.white_nits.iter().zip(&matrix.grey_nits));
        let lights: Vec<String> =
            lights.map(|(id, (white, grey))| format!("{id} {} and {}", nits(*white), nits(*grey))).collect();
        text += &wrapped("  white and grey, cd/m2: ", &ascii(&lights.join("; ")));
    }
    text
}

fn group_text(group: &Group<'_>, pair: &Pair) -> String {
    let place = match group.matrix.between {
        Between::Cameras => format!("cameras on {}", group.shared),
        Between::Monitors => format!("monitors behind {}", group.shared),
    };
    let ids = group.ids(pair).join(" - ");
    let (place, ids) = (ascii(&place), ascii(&ids));
    let worst = ascii(&pair.held.worst.as_ref().map_or("nothing is held".to_owned(), patch));
    let mark = if group.matrix.pass { ' ' } else { '!' };
    let held = &pair.held;
    let [mean, p95, max] = [held.mean, held.p95, held.max].map(number);
    let figures = format!("{mean:>6}{p95:>7}{max:>7}  ");
    if place.len() < GROUP && ids.len() < PAIR {
        return wrapped(&format!("{mark} {place:<GROUP$}{ids:<PAIR$}{figures}"), &worst);
    }
    let mut text = wrapped(&format!("{mark} "), &place);
    text += &wrapped("    ", &ids);
    text += &wrapped(&format!("  {:<GROUP$}{:<PAIR$}{figures}", "", ""), &worst);
    text
}
