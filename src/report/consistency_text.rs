//! The consistency proof as plain text.

use super::consistency::{CASES, IN_JSON};
use super::findings::{Finding, Group, METHOD, figures, findings, groups, look_id, nits, number, patch, some, verdict};
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
        text += &wrapped("  * ", &ascii(&finding.title()));
        text += &wrapped("    ", &ascii(&finding.extent(proof)));
        if let Some(reason) = &finding.cases[0].1.reason {
            text += &wrapped("    ", &ascii(&reason.text));
            text += &wrapped("    remedy: ", &ascii(&reason.remedy));
        }
        text += &wrapped("    pairs:  ", &ascii(&cases(finding, proof)));
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

/// The worst pairs of a finding.
fn cases(finding: &Finding<'_>, proof: &Proof) -> String {
    let case = |(group, pair): &(Group<'_>, &Pair)| {
        let look = look_id(&proof.looks[group.look]);
        format!("{look}: {} {} ({})", group.ids(pair).join(" and "), group.place(), figures(&pair.held))
    };
    some(&finding.cases.iter().map(case).collect::<Vec<_>>(), CASES)
}

fn look_text(place: usize, look: &LookProof) -> String {
    let mut text = rule('=');
    text += &wrapped("", &ascii(&format!("{} ({})", look.name, look_id(look))));
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
