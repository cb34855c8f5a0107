//! What is told about a run on the terminal.

use super::super::console::{Console, Emphasis};
use super::status;
use lookwright::plan::short;
use lookwright::show::consistency::{Figures, Matrix};
use lookwright::show::{Entry, Job, LookProof, Made, NewVersion, Proof, Run, Summary, Work};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Grey this many times as bright is no longer the same picture to the eye: a stop and a half. This project's own choice.
const BRIGHTER: f64 = 2.8;

/// How many pages a run of a part of a show writes: the card, as page and as text.
const CARD_PAGES: usize = 2;

/// Files that miss a tolerance take several lines each.
const MISSES_LISTED: usize = 4;

/// More of a kind are counted, not listed; `--json` has them all.
const LISTED: usize = 12;

/// The pairs of a matrix that miss a tolerance, each in a line.
fn misses(look: &LookProof, on: &str, place: &str, matrix: &Matrix) -> Vec<String> {
    let part = if look.part.is_empty() { String::new() } else { format!(" {}", look.part) };
    let missed = matrix.pairs.iter().filter(|pair| !pair.pass);
    missed
        .map(|pair| {
            let (a, b) = (&matrix.ids[pair.a], &matrix.ids[pair.b]);
            let reason =
                pair.reason.as_ref().map_or(String::new(), |reason| format!(": {}; {}", reason.text, reason.remedy));
            format!("{}{part}, {a} and {b} {on} {place}, ΔE {:.2} worst{reason}", look.id, pair.held.max)
        })
        .collect()
}

/// What is told about a run.
pub(super) struct Told<'a> {
    pub(super) work: &'a Work,
    pub(super) run: &'a Run,
    /// A version that was made, and whether the show has its record.
    pub(super) new: Option<(&'a NewVersion, bool)>,
    pub(super) removed: &'a [PathBuf],
    pub(super) proof: &'a Proof,
    pub(super) pages: &'a [&'static str],
    /// Names of the reports that were written.
    pub(super) reports: &'a [String],
}

impl Told<'_> {
    pub(super) fn jobs(&self) -> impl Iterator<Item = (usize, &Job, &Made)> {
        let jobs = self.run.jobs.iter().map(|job| &self.work.jobs[*job]);
        jobs.zip(&self.run.made).enumerate().map(|(place, (job, made))| (place, job, made))
    }

    fn count(&self, wanted: &str) -> usize {
        self.run.made.iter().filter(|made| status(made) == wanted).count()
    }

    pub(super) fn text(&self, console: &Console) -> String {
        let show = &self.work.show;
        let mut text = format!(
            "{}  {} · {} · {}, {} in all\n",
            console.emphasise(Emphasis::Strong, &show.name.text),
            plural(show.cameras.len(), "camera"),
            plural(show.monitors.len(), "monitor"),
            plural(show.looks.len(), "look"),
            plural(self.work.jobs.len(), "file"),
        );
        self.version(&mut text, console);
        let (written, unchanged, not_done) = (self.count("written"), self.count("unchanged"), self.count("not done"));
        let mut parts = vec![format!("{written} written"), format!("{unchanged} unchanged and left as they are")];
        if self.count("failed") > 0 {
            parts.push(format!("{} failed", self.count("failed")));
        }
        if self.count("held") > 0 {
            parts.push(format!("{} held by versions, see below", self.count("held")));
        }
        if not_done > 0 {
            parts.push(format!("{not_done} not begun"));
        }
        line(&mut text, "files", &parts.join(", "));
        if self.run.stopped {
            line(&mut text, "stopped", "what is written is whole; the next run goes on from here");
        }
        if self.run.swept > 0 {
            let swept = plural(self.run.swept, "half-written file");
            line(&mut text, "swept", &format!("{swept} of a run that was killed"));
        }
        self.verdict(&mut text, console);
        self.replaced(&mut text);
        self.left(&mut text);
        self.proved(&mut text, console);
        self.brightness(&mut text);
        line(&mut text, "folder", &self.run.folder.display().to_string());
        if !self.pages.is_empty() {
            line(&mut text, "pages", &self.pages.join(", "));
        }
        if let [first, .., last] = self.reports {
            line(&mut text, "reports", &format!("{} pages, {first} to {last}", self.reports.len()));
        } else if let [only] = self.reports {
            line(&mut text, "report", only);
        }
        if self.pages.len() == CARD_PAGES {
            line(&mut text, "", "the consistency page is still that of the last run of the whole show");
        }
        text.push('\n');
        text
    }

    fn version(&self, text: &mut String, console: &Console) {
        let Some((new, recorded)) = self.new else { return };
        let setup = &self.work.show.setups[new.setup].id.text;
        let id = console.emphasise(Emphasis::Strong, &new.id);
        line(text, "version", &format!("{id} of setup {setup}, from {}: {}", new.from, new.changed));
        if !recorded {
            let not = console.emphasise(Emphasis::Bad, "not recorded");
            line(text, "", &format!("{not}: the show is as it was"));
        }
        for (_, job, made) in self.jobs() {
            if let Some(entry) = made.entry() {
                line(text, "", &format!("{}  fingerprint {}", entry.path.display(), short(&job.plan.fingerprint())));
            }
        }
    }

    fn verdict(&self, text: &mut String, console: &Console) {
        let entries: Vec<&Entry> = self.run.made.iter().filter_map(Made::entry).collect();
        let verified: Vec<(&Entry, &Summary)> =
            entries.iter().filter_map(|entry| Some((*entry, entry.verify.as_ref()?))).collect();
        if verified.len() < entries.len() {
            line(text, "not verified", &plural(entries.len() - verified.len(), "file"));
        }
        if verified.is_empty() {
            return;
        }
        let missed: Vec<&(&Entry, &Summary)> = verified.iter().filter(|(_, summary)| !summary.pass).collect();
        let worst = |pick: fn(&Summary) -> f64| worst_of(verified.iter().map(|(_, summary)| pick(summary)));
        let verdict = if missed.is_empty() {
            format!("{}: all {} hold their tolerances", console.emphasise(Emphasis::Good, "pass"), verified.len())
        } else {
            format!(
                "{}: {} of {} miss a tolerance",
                console.emphasise(Emphasis::Bad, "FAIL"),
                missed.len(),
                verified.len()
            )
        };
        line(
            text,
            "verified",
            &format!(
                "{verdict}; worst greys {:.1} codes, chart ΔE {:.2} mean, {:.2} worst",
                worst(|summary| summary.grey_max_codes),
                worst(|summary| summary.patch_mean_de),
                worst(|summary| summary.patch_max_de),
            ),
        );
        if missed.len() > MISSES_LISTED {
            let _ = writeln!(text, "    by monitor: {}", tally(missed.iter().map(|(entry, _)| entry.monitor.as_str())));
            let _ = writeln!(text, "    by camera: {}", tally(missed.iter().map(|(entry, _)| entry.camera.as_str())));
            let _ = writeln!(text, "    by look: {}", tally(missed.iter().map(|(entry, _)| entry.look.as_str())));
        }
        for (entry, summary) in missed.iter().take(MISSES_LISTED) {
            let _ = writeln!(text, "    {}", entry.path.display());
            for failure in &summary.failures {
                let _ = writeln!(text, "      {failure}");
            }
            let remedy = match summary.smallest_grid {
                Some(grid) => format!(
                    "size = {grid} in [[monitor]] \"{}\" would pass; or relax the tolerance in the recipe's [verify]",
                    entry.monitor
                ),
                None => "soften the look, or relax the tolerance in the recipe's [verify]".to_owned(),
            };
            let _ = writeln!(text, "      remedy: {remedy}");
        }
        more(text, missed.len(), MISSES_LISTED);
    }

    fn replaced(&self, text: &mut String) {
        let replaced: Vec<(&Entry, &String)> = self
            .run
            .made
            .iter()
            .filter_map(|made| match made {
                Made::Written { entry, replaced: Some(earlier) } => Some((entry, earlier)),
                _ => None,
            })
            .collect();
        if replaced.is_empty() {
            return;
        }
        let files = plural(replaced.len(), "file");
        line(text, "replaced", &format!("{files} whose look changed: load them again where the old ones are loaded"));
        for (entry, earlier) in replaced.iter().take(LISTED) {
            let (now, then) = (short(&entry.fingerprint), short(earlier));
            let _ = writeln!(text, "    {}  was {then}, is {now}", entry.path.display());
        }
        more(text, replaced.len(), LISTED);
    }

    fn left(&self, text: &mut String) {
        if !self.removed.is_empty() {
            line(
                text,
                "removed",
                &format!("{} of looks that the show no longer has", plural(self.removed.len(), "file")),
            );
            for path in self.removed.iter().take(LISTED) {
                let _ = writeln!(text, "    {}", path.display());
            }
            more(text, self.removed.len(), LISTED);
        }
        if self.run.left.is_empty() {
            return;
        }
        let files = plural(self.run.left.len(), "file");
        line(text, "left over", &format!("{files} that the show no longer asks for; --prune removes them"));
        for left in self.run.left.iter().take(LISTED) {
            let changed = if left.changed { "  changed since, so never removed" } else { "" };
            let _ = writeln!(text, "    {}{changed}", left.path.display());
        }
        more(text, self.run.left.len(), LISTED);
    }

    /// Monitors on which grey is much brighter than on others: what is compared is scaled to each one's white.
    fn brightness(&self, text: &mut String) {
        for look in &self.proof.looks {
            for matrix in look.cameras.iter().map(|camera| &camera.monitors) {
                let grey = |place: usize| matrix.grey_nits[place];
                let places = 0..matrix.ids.len();
                let (Some(dark), Some(bright)) = (
                    places.clone().min_by(|a, b| grey(*a).total_cmp(&grey(*b))),
                    places.max_by(|a, b| grey(*a).total_cmp(&grey(*b))),
                ) else {
                    continue;
                };
                if grey(bright) > BRIGHTER * grey(dark) {
                    let words = format!(
                        "grey is {:.0} cd/m² on {} and {:.0} on {} (look {}): scaled to their whites they agree, to the eye they \
                         don't. Lower peak_nits of {}, or give it a look of its own with `grey_nits` (`monitors` in [[look]])",
                        grey(bright),
                        matrix.ids[bright],
                        grey(dark),
                        matrix.ids[dark],
                        look.id,
                        matrix.ids[bright]
                    );
                    line(text, "brightness", &words);
                    // The other looks say the same.
                    return;
                }
            }
        }
    }

    /// Whether all show one picture, in a line for cameras and one for monitors; every pair that misses with its reason.
    fn proved(&self, text: &mut String, console: &Console) {
        if !self.proof.missing.is_empty() {
            let missing = plural(self.proof.missing.len(), "file");
            line(
                text,
                "not proved",
                &format!("{missing} of this run could not be looked at; what follows is of the others"),
            );
        }
        let looks = &self.proof.looks;
        let cameras = looks
            .iter()
            .flat_map(|look| look.monitors.iter().map(move |monitor| (look, monitor.id.as_str(), &monitor.cameras)));
        let monitors = looks
            .iter()
            .flat_map(|look| look.cameras.iter().map(move |camera| (look, camera.id.as_str(), &camera.monitors)));
        for (label, whole, on, matrices) in [
            ("cameras", "on each monitor all cameras show one picture", "on monitor", cameras.collect::<Vec<_>>()),
            ("monitors", "for each camera all monitors show one picture", "for camera", monitors.collect()),
        ] {
            if matrices.is_empty() {
                continue;
            }
            let missed: Vec<String> =
                matrices.iter().flat_map(|(look, place, matrix)| misses(look, on, place, matrix)).collect();
            let verdict = if missed.is_empty() {
                format!("{}: {whole}", console.emphasise(Emphasis::Good, "pass"))
            } else {
                let pairs = plural(missed.len(), "pair");
                format!("{}: {pairs} out of tolerance", console.emphasise(Emphasis::Bad, "FAIL"))
            };
            let worst = |pick: fn(&Figures) -> f64| {
                let held = matrices.iter().flat_map(|(_, _, matrix)| &matrix.pairs).map(|pair| pair.held.figures());
                worst_of(held.map(|figures| pick(&figures)))
            };
            let figures = format!(
                "worst pair ΔE {:.2} mean, {:.2} for 95 %, {:.2} worst",
                worst(|figures| figures.mean),
                worst(|figures| figures.p95),
                worst(|figures| figures.max)
            );
            line(text, label, &format!("{verdict}; {figures}"));
            for detail in missed.iter().take(LISTED) {
                let _ = writeln!(text, "    {detail}");
            }
            more(text, missed.len(), LISTED);
        }
    }
}

/// The largest; what is no number stays the worst.
fn worst_of(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, |most: f64, value| if most.is_nan() || value <= most { most } else { value })
}

/// How often each is there, the most frequent first, a few of them.
fn tally<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    const NAMED: usize = 6;
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    ids.for_each(|id| *counts.entry(id).or_default() += 1);
    let mut counts: Vec<(&str, usize)> = counts.into_iter().collect();
    counts.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let others = counts.len().saturating_sub(NAMED);
    let mut words: Vec<String> = counts.iter().take(NAMED).map(|(id, count)| format!("{id} {count}")).collect();
    if others > 0 {
        words.push(format!("and {others} others"));
    }
    words.join(", ")
}

fn line(text: &mut String, label: &str, words: &str) {
    let _ = writeln!(text, "  {label:12} {words}");
}

fn more(text: &mut String, count: usize, listed: usize) {
    if count > listed {
        let _ = writeln!(text, "    and {} more; --json lists them all", count - listed);
    }
}

fn plural(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
