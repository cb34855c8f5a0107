//! What a proof comes to, in an order that a reader wants: the verdict, what is out of tolerance, the worst of each group.

use super::page::{counted, listed};
use crate::show::consistency::{Between, Cause, Figures, Matrix, Pair, Spread, Worst};
use crate::show::{LookProof, Proof};
use std::collections::BTreeSet;

/// A group that was compared: cameras on one monitor, or monitors behind one camera.
#[derive(Clone, Copy)]
pub(super) struct Group<'a> {
    /// Place of the look in the proof.
    pub(super) look: usize,
    /// Id of the monitor or camera that the members share.
    pub(super) shared: &'a str,
    /// What that monitor shows; empty for a camera.
    pub(super) display: &'a str,
    pub(super) matrix: &'a Matrix,
}

impl<'a> Group<'a> {
    /// "on monitor director", "behind camera a".
    pub(super) fn place(&self) -> String {
        match self.matrix.between {
            Between::Cameras => format!("on monitor {}", self.shared),
            Between::Monitors => format!("behind camera {}", self.shared),
        }
    }

    pub(super) fn ids(&self, pair: &Pair) -> [&'a str; 2] {
        [&self.matrix.ids[pair.a], &self.matrix.ids[pair.b]]
    }

    /// The pair that comes nearest to the limits, or exceeds them most.
    pub(super) fn worst(&self) -> Option<&'a Pair> {
        self.matrix.pairs.iter().reduce(|most, next| if use_of(next, self) > use_of(most, self) { next } else { most })
    }
}

/// How much of its limits a pair uses: above 1 it exceeds them. What is no number exceeds everything.
fn use_of(pair: &Pair, group: &Group<'_>) -> f64 {
    let (held, limits) = (&pair.held, &group.matrix.limits);
    let shares = [(held.mean, limits.mean), (held.p95, limits.p95), (held.max, limits.max)];
    let share = |(value, limit): (f64, f64)| {
        let share = value / limit;
        if share.is_nan() && value != 0.0 { f64::INFINITY } else { share }
    };
    let most = shares.map(share).into_iter().fold(0.0, f64::max);
    // A pair can fail with fine figures: nothing was held, or it can't be said what is recorded.
    if pair.pass { most } else { most.max(1.0) + 1.0 }
}

/// The groups of a look: its monitors, then its cameras.
pub(super) fn groups(look: usize, proof: &LookProof) -> impl Iterator<Item = Group<'_>> {
    let on = proof.monitors.iter().map(move |monitor| Group {
        look,
        shared: &monitor.id,
        display: &monitor.display,
        matrix: &monitor.cameras,
    });
    let behind = proof.cameras.iter().map(move |camera| Group {
        look,
        shared: &camera.id,
        display: "",
        matrix: &camera.monitors,
    });
    on.chain(behind)
}

/// All groups of a proof.
pub(super) fn all_groups(proof: &Proof) -> Vec<Group<'_>> {
    proof.looks.iter().enumerate().flat_map(|(place, look)| groups(place, look)).collect()
}

/// Pairs, of whatever look, that miss their tolerances for one cause that lies in the same members.
pub(super) struct Finding<'a> {
    pub(super) cause: Cause,
    /// Ids of the cameras or monitors in which the cause lies.
    pub(super) members: Vec<String>,
    /// The worst first.
    pub(super) cases: Vec<(Group<'a>, &'a Pair)>,
}

impl Finding<'_> {
    /// "camera crash: its grid is too small".
    pub(super) fn title(&self) -> String {
        let noun = match (self.between(), self.members.len()) {
            (Between::Cameras, 1) => "camera",
            (Between::Cameras, _) => "cameras",
            (Between::Monitors, 1) => "monitor",
            (Between::Monitors, _) => "monitors",
        };
        format!("{noun} {}: {}", listed(&self.members), cause_words(self.cause))
    }

    pub(super) fn between(&self) -> Between {
        self.cases[0].0.matrix.between
    }

    /// "12 pairs, in noon, noon variant p1 and dusk; worst:".
    pub(super) fn extent(&self, proof: &Proof) -> String {
        let looks: BTreeSet<usize> = self.cases.iter().map(|(group, _)| group.look).collect();
        let looks: Vec<String> = looks.into_iter().map(|look| look_id(&proof.looks[look])).collect();
        format!("{}, in {}; worst:", counted(self.cases.len(), "pair", "pairs"), some(&looks, 6))
    }
}

/// A cause in a few words, for a heading.
fn cause_words(cause: Cause) -> &'static str {
    match cause {
        Cause::Grid => "the grid is too small",
        Cause::Encoding => "the encoding does not hold the light",
        Cause::Levels => "legal input levels cut the signal",
        Cause::Gamut => "colours lie outside a gamut",
        Cause::Tables => "the table is not that of the look",
        Cause::Trim => "the trim can't be undone",
        Cause::Look => "the looks themselves differ",
        Cause::Several => "several causes together",
    }
}

/// Everything that is out of tolerance: worst pair first, in each finding and among them.
pub(super) fn findings(proof: &Proof) -> Vec<Finding<'_>> {
    let mut cases: Vec<(Group<'_>, &Pair)> = all_groups(proof)
        .into_iter()
        .flat_map(|group| group.matrix.pairs.iter().filter(|pair| !pair.pass).map(move |pair| (group, pair)))
        .collect();
    cases.sort_by(|a, b| use_of(b.1, &b.0).total_cmp(&use_of(a.1, &a.0)));
    let mut findings: Vec<Finding<'_>> = Vec::new();
    for (group, pair) in cases {
        let Some(reason) = &pair.reason else { continue };
        let same = |finding: &&mut Finding<'_>| {
            finding.between() == group.matrix.between
                && finding.cause == reason.cause
                && finding.members == reason.members
        };
        match findings.iter_mut().find(same) {
            Some(finding) => finding.cases.push((group, pair)),
            None => findings.push(Finding {
                cause: reason.cause,
                members: reason.members.clone(),
                cases: vec![(group, pair)],
            }),
        }
    }
    findings
}

/// The verdict in a word, and in sentences.
pub(super) struct Verdict {
    pub(super) word: String,
    pub(super) sentences: Vec<String>,
}

pub(super) fn verdict(proof: &Proof) -> Verdict {
    let groups = all_groups(proof);
    let pairs = groups.iter().map(|group| group.matrix.pairs.len()).sum::<usize>();
    let failed = groups.iter().flat_map(|group| &group.matrix.pairs).filter(|pair| !pair.pass).count();
    let mut sentences = Vec::new();
    for between in [Between::Cameras, Between::Monitors] {
        sentences.extend(sentence(&groups, between, proof.looks.len()));
    }
    let word = match (pairs, failed) {
        (0, _) => "Nothing to compare".to_owned(),
        (_, 0) if proof.missing.is_empty() => "One picture".to_owned(),
        (_, 0) => "Not complete".to_owned(),
        _ => format!("Not one picture: {failed} of {} out of tolerance", counted(pairs, "comparison", "comparisons")),
    };
    if pairs == 0 {
        sentences
            .push("No look of this show has two cameras on one monitor, or two monitors behind one camera.".to_owned());
    }
    if !proof.missing.is_empty() {
        let files = counted(proof.missing.len(), "file was", "files were");
        sentences.push(format!("{files} not made and could not be looked at: {}.", some(&proof.missing, 6)));
    }
    Verdict { word, sentences }
}

/// The first few of a list, and how many more there are.
pub(super) fn some(items: &[String], most: usize) -> String {
    match items.len().saturating_sub(most) {
        0 => listed(items),
        more => format!("{} and {more} more", items[..most].join(", ")),
    }
}

/// What was found between cameras, or between monitors; nothing where none were compared.
fn sentence(groups: &[Group<'_>], between: Between, looks: usize) -> Option<String> {
    let groups: Vec<&Group<'_>> = groups.iter().filter(|group| group.matrix.between == between).collect();
    let pairs: Vec<&Pair> = groups.iter().flat_map(|group| &group.matrix.pairs).collect();
    let limits = groups.first()?.matrix.limits;
    let shared: BTreeSet<&str> = groups.iter().map(|group| group.shared).collect();
    let members: BTreeSet<&str> = groups.iter().flat_map(|group| &group.matrix.ids).map(String::as_str).collect();
    let (start, what, which) = match between {
        Between::Cameras => ("On", counted(shared.len(), "monitor", "monitors"), "cameras"),
        Between::Monitors => ("Behind", counted(shared.len(), "camera", "cameras"), "monitors"),
    };
    let each = if shared.len() == 1 { "" } else { "each of " };
    let failed = pairs.iter().filter(|pair| !pair.pass).count();
    let worst = worst_of(pairs.iter().map(|pair| &pair.held));
    let held = if between == Between::Monitors { ", in the colours that none of them alters" } else { "" };
    let found = match failed {
        0 => format!("agree within ΔE2000 {}{held}", number(worst.max)),
        _ => format!("differ by up to ΔE2000 {}{held}; {failed} of {} pairs miss", number(worst.max), pairs.len()),
    };
    let over = if looks == 1 { String::new() } else { format!(", over {looks} looks, variants and versions") };
    Some(format!(
        "{start} {each}{what}, {} {which} {found}{over}. Mean at most {} (allowed {}), 95 % at most {} (allowed {}), worst {} \
         (allowed {}).",
        members.len(),
        number(worst.mean),
        limits.mean,
        number(worst.p95),
        limits.p95,
        number(worst.max),
        limits.max,
    ))
}

/// The largest of each figure; what is no number is larger than every number.
pub(super) fn worst_of<'a>(spreads: impl Iterator<Item = &'a Spread>) -> Figures {
    let larger = |a: f64, b: f64| if a.is_nan() || b <= a { a } else { b };
    spreads.map(Spread::figures).fold(Figures::default(), |most, next| Figures {
        mean: larger(most.mean, next.mean),
        p95: larger(most.p95, next.p95),
        max: larger(most.max, next.max),
    })
}

/// A colour difference with two decimals.
pub(super) fn number(value: f64) -> String {
    if value.is_nan() { "no number".to_owned() } else { format!("{value:.2}") }
}

/// "mean / 95 % / worst", or a dash for an empty group.
pub(super) fn figures(spread: &Spread) -> String {
    match spread.count {
        0 => "–".to_owned(),
        _ => told(&spread.figures()),
    }
}

/// "0.12 / 0.34 / 0.56".
pub(super) fn told(figures: &Figures) -> String {
    [figures.mean, figures.p95, figures.max].map(number).join(" / ")
}

/// "foliage +2", "grey −1.5", "P3 red".
pub(super) fn patch(worst: &Worst) -> String {
    if worst.stops == 0.0 {
        return worst.name.to_owned();
    }
    let sign = if worst.stops < 0.0 { "−" } else { "+" };
    format!("{} {sign}{}", worst.name, worst.stops.abs())
}

/// A luminance, with as many digits as are seen.
pub(super) fn nits(value: f64) -> String {
    if value < 1.0 { format!("{value:.2}") } else { format!("{value:.1}") }
}

/// "noon", "noon variant p1".
pub(super) fn look_id(look: &LookProof) -> String {
    if look.part.is_empty() { look.id.clone() } else { format!("{} {}", look.id, look.part) }
}

/// What was compared and how, a title and a text each.
pub(super) const METHOD: [(&str, &str); 5] = [
    (
        "What each camera sees.",
        "The 24 chart patches and the skins, from three stops under to three over in whole stops, and a grey scale in half stops: as \
         each camera records them in its own gamut and encoding, cut where its signal ends. A camera with a trim is taken to \
         record what the trim brings back to the published response.",
    ),
    (
        "Cameras.",
        "What each records goes through its own LUT, as read back from the file. What the monitor then shows is compared between \
         each two cameras with CIEDE2000. All chart, skin and grey colours are held against the tolerances.",
    ),
    (
        "Monitors of different kinds",
        "can't be equally bright. So light is divided by the light of each monitor's own white, and adapted from that white to D65 \
         in the way the look says; then each two monitors behind one camera are compared. Brightness is told, not compared. Held \
         are the colours that no monitor's gamut compresses or clips.",
    ),
    (
        "Inside and outside.",
        "Inside are colours that every camera's gamut holds (between monitors: that no monitor alters); outside is everything else, \
         with twelve saturated lights, the primaries and secondaries of P3 and BT.2020. The saturated lights are told, never held.",
    ),
    (
        "Figures",
        "are mean / 95 % / worst. 95 % is by nearest rank: nineteen of twenty differences don't exceed it. A difference below 1 is \
         hardly seen side by side (common practice, no source).",
    ),
];
