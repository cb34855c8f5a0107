//! `compile SHOW`: all files of a show, or of one setup, or of a new version of a setup's look.

use super::compile::Arguments;
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::progress::Progress;
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes};
use lookwright::formats::atomic::write_atomically;
use lookwright::report;
use lookwright::show::consistency::{Figures, Matrix};
use lookwright::show::{
    Entry, Event, Job, LoadingCard, LookProof, Made, NewVersion, Options, Part, Proof, Run, Selection, Show, Work,
    prepare, run as make,
};
use lookwright::verify::Verification;
use serde_json::value::RawValue;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// More of a kind are counted, not listed; `--json` has them all.
const LISTED: usize = 12;

/// Pages that a run of the whole show writes, with what they say.
const PAGES: [&str; 4] = ["loading-card.html", "loading-card.txt", "consistency.html", "consistency.txt"];

/// Runs the command for a show.
pub fn run(file: &Path, arguments: &Arguments, console: &Console) -> CommandResult {
    let size = arguments.size.as_deref().map(parse_size).transpose()?;
    let (show, doubts) = Show::load(file, size)?;
    let setup = arguments.setup.as_deref().map(|id| self::setup(&show, id)).transpose()?;
    let new = new_version(&show, setup, arguments)?;
    let (show, doubts) = match &new {
        None => (show, doubts),
        Some(new) => Show::parse(file, new.text.clone(), size)?,
    };
    let selection = match (&new, setup) {
        (Some(_), _) => Selection::Version(show.versions.len() - 1),
        (None, Some(setup)) => Selection::Setup(setup),
        (None, None) => Selection::All,
    };
    let whole = selection == Selection::All;
    let work = prepare(show, doubts)?;
    console.warnings(&work.warnings);
    let options =
        Options { out: arguments.out.clone(), verified: !arguments.no_verify, force: arguments.force, selection };
    let (mut run, verified) = watched(&work, &options, console)?;
    let failed: Vec<Diagnostic> = failures(&run);
    let complete = failed.is_empty() && !run.stopped;
    if complete && let Some(new) = &new {
        new.keep(file)?;
    }
    let removed = if arguments.prune && whole && complete { run.prune()? } else { Vec::new() };
    let proof = Proof::new(&work, &run);
    let card = LoadingCard::new(&work, &run.ledger);
    let pages = if whole && complete { pages(&run, &card, &proof)? } else { card_pages(&run, &card)? };
    let told = Told { work: &work, run: &run, new: new.as_ref(), removed: &removed, proof: &proof, pages: &pages };
    if console.is_json() {
        console.text(&told.document(&verified, &failed));
    } else {
        console.text(&told.text(console));
        if !failed.is_empty() {
            console.failure(&failed);
        }
    }
    Ok(if !failed.is_empty() {
        Outcome::Partly(super::exit::failure_code(&failed))
    } else if run.stopped {
        Outcome::Stopped
    } else if proof.pass && run.made.iter().all(passes) {
        Outcome::Fine
    } else {
        Outcome::OutOfTolerance
    })
}

/// The setup of that id.
pub(super) fn setup(show: &Show, id: &str) -> Result<usize, Vec<Diagnostic>> {
    show.setup(id).ok_or_else(|| {
        let known: Vec<&str> = show.setups.iter().map(|setup| setup.id.text.as_str()).collect();
        let span = Span { source: SourceText::new("--setup", id), range: 0..id.len() };
        let help = match lookwright::diagnostics::nearest(id, known.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None if known.is_empty() => "the show has no setups yet".to_owned(),
            None => format!("known: {}", known.join(", ")),
        };
        vec![
            Diagnostic::error(&codes::ID_UNKNOWN, format!("the show has no setup \"{id}\""))
                .at(span, "expected the id of a setup")
                .help(help),
        ]
    })
}

fn parse_size(text: &str) -> Result<usize, Vec<Diagnostic>> {
    match text.parse() {
        Ok(size @ 2..=129) => Ok(size),
        _ => {
            let span = Span { source: SourceText::new("--size", text), range: 0..text.len() };
            Err(vec![
                Diagnostic::error(&codes::OUT_OF_RANGE, "the size is out of range")
                    .at(span, format!("expected 2 to 129, found {text}"))
                    .help("points a side; 33 is what most devices take"),
            ])
        }
    }
}

/// The version that is asked for, if one is.
fn new_version(
    show: &Show,
    setup: Option<usize>,
    arguments: &Arguments,
) -> Result<Option<NewVersion>, Vec<Diagnostic>> {
    let incomplete =
        |message: &str, help: &str| Err(vec![Diagnostic::error(&codes::VERSION_ARGUMENTS, message).help(help)]);
    let set = &arguments.overrides;
    match (&arguments.version, setup) {
        (None, _) if set.is_empty() => Ok(None),
        (None, Some(_)) => incomplete(
            "a changed look needs a name of its own",
            "add --as ID: the new version stands beside the old one",
        ),
        (None, None) => incomplete(
            "`--set` changes one setup's look in a show",
            "add --setup ID and --as ID; to change a look everywhere, change its recipe",
        ),
        (Some(_), None) => incomplete("`--as` needs a setup", "add --setup ID"),
        (Some(_), Some(_)) if set.is_empty() => {
            incomplete("a new version needs a change", "add --set KEY=VALUE, for example --set white.warmer_mired=+5")
        }
        (Some(id), Some(setup)) => {
            // A whole second is more than a set needs to know.
            let made = jiff::Zoned::now().strftime("%Y-%m-%d %H:%M").to_string();
            NewVersion::plan(show, setup, arguments.from.as_deref(), set, id, &made).map(Some)
        }
    }
}

/// Documents of what was verified, by the job's place in the run.
type Verified = BTreeMap<usize, Box<RawValue>>;

/// Makes the files, with progress, until done or stopped by Ctrl-C.
fn watched(work: &Work, options: &Options, console: &Console) -> Result<(Run, Verified), Vec<Diagnostic>> {
    static STOP: AtomicBool = AtomicBool::new(false);
    // A second Ctrl-C ends the program at once; files are whole even then. Without a handler the first one does.
    let _ = ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::SeqCst) {
            std::process::exit(130);
        }
    });
    let progress = Progress::new(console);
    let verified: Mutex<Verified> = Mutex::default();
    let is_json = console.is_json();
    let watch = |event: Event<'_>| match event {
        Event::Started { costs } => progress.begin(costs),
        Event::Done { job, made, verification, path } => {
            if let Some(verification) = verification.filter(|_| is_json)
                && let Ok(document) = document_of(verification)
            {
                verified.lock().unwrap_or_else(std::sync::PoisonError::into_inner).insert(job, document);
            }
            progress.done(job, status(made), path);
        }
    };
    let run = make(work, options, &STOP, &watch)?;
    progress.end(run.stopped);
    Ok((run, verified.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner)))
}

fn document_of(verification: &Verification) -> serde_json::Result<Box<RawValue>> {
    serde_json::value::to_raw_value(verification)
}

fn status(made: &Made) -> &'static str {
    match made {
        Made::Written { .. } => "written",
        Made::Unchanged { .. } => "unchanged",
        Made::Failed(_) => "failed",
        Made::NotDone => "not done",
    }
}

fn passes(made: &Made) -> bool {
    made.entry().and_then(|entry| entry.verify.as_ref()).is_none_or(|verify| verify.pass)
}

/// What went wrong with single files, each thing once.
fn failures(run: &Run) -> Vec<Diagnostic> {
    let mut found: Vec<Diagnostic> = Vec::new();
    for made in &run.made {
        if let Made::Failed(diagnostics) = made {
            found.extend(diagnostics.iter().filter(|one| !found.contains(one)).cloned().collect::<Vec<_>>());
        }
    }
    found
}

fn pages(run: &Run, card: &LoadingCard, proof: &Proof) -> Result<Vec<&'static str>, Vec<Diagnostic>> {
    let [_, _, html, text] = PAGES;
    let mut written = card_pages(run, card)?;
    for (name, page) in [(html, report::consistency_html(proof)), (text, report::consistency_text(proof))] {
        write_page(run, name, &page)?;
        written.push(name);
    }
    Ok(written)
}

/// The card speaks of the whole show, whatever was made in this run.
fn card_pages(run: &Run, card: &LoadingCard) -> Result<Vec<&'static str>, Vec<Diagnostic>> {
    let [html, text, ..] = PAGES;
    write_page(run, html, &report::loading_card_html(card))?;
    write_page(run, text, &report::loading_card_text(card))?;
    Ok(vec![html, text])
}

fn write_page(run: &Run, name: &str, page: &str) -> Result<(), Vec<Diagnostic>> {
    let path = run.folder.join(name);
    write_atomically(&path, page.as_bytes()).map_err(|error| {
        let message = format!("{}: {error}", path.display());
        vec![
            Diagnostic::error(&codes::FILE_UNWRITABLE, message)
                .help("the LUT files are written; run the command again"),
        ]
    })
}

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
struct Told<'a> {
    work: &'a Work,
    run: &'a Run,
    new: Option<&'a NewVersion>,
    removed: &'a [std::path::PathBuf],
    proof: &'a Proof,
    pages: &'a [&'static str],
}

impl Told<'_> {
    fn jobs(&self) -> impl Iterator<Item = (usize, &Job, &Made)> {
        let jobs = self.run.jobs.iter().map(|job| &self.work.jobs[*job]);
        jobs.zip(&self.run.made).enumerate().map(|(place, (job, made))| (place, job, made))
    }

    fn count(&self, wanted: &str) -> usize {
        self.run.made.iter().filter(|made| status(made) == wanted).count()
    }

    fn text(&self, console: &Console) -> String {
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
        if not_done > 0 {
            parts.push(format!("{not_done} not begun"));
        }
        line(&mut text, "files", &parts.join(", "));
        if self.run.stopped {
            line(&mut text, "stopped", "what is written is whole; the same command goes on from here");
        }
        if self.run.swept > 0 {
            let swept = plural(self.run.swept, "half-written file");
            line(&mut text, "swept", &format!("{swept} of a run that was killed"));
        }
        self.verdict(&mut text, console);
        self.replaced(&mut text);
        self.left(&mut text);
        self.proved(&mut text, console);
        line(&mut text, "folder", &self.run.folder.display().to_string());
        if !self.pages.is_empty() {
            line(&mut text, "pages", &self.pages.join(", "));
        }
        text.push('\n');
        text
    }

    fn version(&self, text: &mut String, console: &Console) {
        let Some(new) = self.new else { return };
        let setup = &self.work.show.setups[new.setup].id.text;
        let id = console.emphasise(Emphasis::Strong, &new.id);
        line(text, "version", &format!("{id} of setup {setup}, from {}: {}", new.from, new.changed));
        for (_, job, made) in self.jobs() {
            if let Some(entry) = made.entry() {
                line(text, "", &format!("{}  fingerprint {}", entry.path.display(), &job.plan.fingerprint()[..8]));
            }
        }
    }

    fn verdict(&self, text: &mut String, console: &Console) {
        let entries: Vec<&Entry> = self.run.made.iter().filter_map(Made::entry).collect();
        let verified: Vec<(&Entry, &lookwright::show::Summary)> =
            entries.iter().filter_map(|entry| Some((*entry, entry.verify.as_ref()?))).collect();
        if verified.len() < entries.len() {
            line(text, "not verified", &plural(entries.len() - verified.len(), "file"));
        }
        if verified.is_empty() {
            return;
        }
        let missed: Vec<&(&Entry, &lookwright::show::Summary)> =
            verified.iter().filter(|(_, summary)| !summary.pass).collect();
        let worst = |pick: fn(&lookwright::show::Summary) -> f64| {
            verified.iter().map(|(_, summary)| pick(summary)).fold(0.0, f64::max)
        };
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
        for (entry, summary) in missed.iter().take(LISTED) {
            let _ = writeln!(text, "    {}", entry.path.display());
            for failure in &summary.failures {
                let _ = writeln!(text, "      {failure}");
            }
            let remedy = match summary.smallest_grid {
                Some(grid) => {
                    format!("{grid} points a side would pass; or relax the tolerance in the recipe's [verify]")
                }
                None => "soften the look, or relax the tolerance in the recipe's [verify]".to_owned(),
            };
            let _ = writeln!(text, "      remedy: {remedy}");
        }
        more(text, missed.len());
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
            let (now, then) = (&entry.fingerprint[..8], &earlier[..earlier.len().min(8)]);
            let _ = writeln!(text, "    {}  was {then}, is {now}", entry.path.display());
        }
        more(text, replaced.len());
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
            more(text, self.removed.len());
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
        more(text, self.run.left.len());
    }

    /// Whether all show one picture, in a line for cameras and one for monitors; every pair that misses with its reason.
    fn proved(&self, text: &mut String, console: &Console) {
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
                held.map(|figures| pick(&figures)).fold(0.0, f64::max)
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
            more(text, missed.len());
        }
    }

    fn document(&self, verified: &Verified, failed: &[Diagnostic]) -> String {
        let luts: Vec<Lut<'_>> =
            self.jobs().map(|(place, job, made)| self.lut(job, made, verified.get(&place))).collect();
        let document = Document {
            show: &self.work.show.name.text,
            folder: &self.run.folder,
            version: self.new.map(|new| {
                json!({"id": new.id, "setup": self.work.show.setups[new.setup].id.text, "from": new.from,
                    "changed": new.changed, "look_fingerprint": new.look_fingerprint})
            }),
            luts,
            consistency: self.proof,
            left: self.run.left.iter().map(|left| json!({"file": left.path, "changed": left.changed})).collect(),
            removed: self.removed,
            pages: self.pages,
            stopped: self.run.stopped,
            diagnostics: as_json(&self.work.warnings.iter().chain(failed).cloned().collect::<Vec<_>>()),
        };
        // Verifications of a thousand files are long enough on one line each.
        let text = serde_json::to_string(&document).unwrap_or_default();
        format!("{text}\n")
    }

    fn lut<'a>(&'a self, job: &'a Job, made: &'a Made, verified: Option<&'a Box<RawValue>>) -> Lut<'a> {
        let (show, plan) = (&self.work.show, &job.plan);
        let part = show.part_id(job.look, job.part);
        let entry = made.entry();
        let of = |wanted: bool| wanted.then_some(part);
        let verify = match (verified, entry.and_then(|entry| entry.verify.as_ref())) {
            (Some(document), _) => Some(document.clone()),
            (None, Some(summary)) => serde_json::value::to_raw_value(summary).ok(),
            (None, None) => None,
        };
        Lut {
            file: self.run.folder.join(&job.path),
            status: status(made),
            recipe: &self.work.recipes[job.look],
            name: &plan.look.name,
            look: &show.looks[job.look].id.text,
            variant: of(matches!(job.part, Part::Variant(_))),
            version: of(matches!(job.part, Part::Version(_))),
            camera_id: &show.cameras[job.camera].id.text,
            monitor_id: &show.monitors[job.monitor].id.text,
            code: &job.code,
            camera: super::compile::camera_document(plan),
            monitor: super::compile::monitor_document(plan),
            size: plan.device.size,
            sha256: entry.map(|entry| entry.sha256.as_str()),
            fingerprint: plan.fingerprint(),
            replaced: match made {
                Made::Written { replaced, .. } => replaced.as_deref(),
                _ => None,
            },
            verify,
        }
    }
}

#[derive(serde::Serialize)]
struct Document<'a> {
    show: &'a str,
    folder: &'a Path,
    version: Option<Value>,
    luts: Vec<Lut<'a>>,
    consistency: &'a Proof,
    left: Vec<Value>,
    removed: &'a [std::path::PathBuf],
    pages: &'a [&'static str],
    stopped: bool,
    diagnostics: Value,
}

#[derive(serde::Serialize)]
struct Lut<'a> {
    file: std::path::PathBuf,
    status: &'static str,
    recipe: &'a Path,
    name: &'a str,
    look: &'a str,
    variant: Option<&'a str>,
    version: Option<&'a str>,
    camera_id: &'a str,
    monitor_id: &'a str,
    code: &'a str,
    camera: Value,
    monitor: Value,
    size: usize,
    sha256: Option<&'a str>,
    fingerprint: String,
    replaced: Option<&'a str>,
    verify: Option<Box<RawValue>>,
}

fn line(text: &mut String, label: &str, words: &str) {
    let _ = writeln!(text, "  {label:12} {words}");
}

fn more(text: &mut String, count: usize) {
    if count > LISTED {
        let _ = writeln!(text, "    and {} more; --json lists them all", count - LISTED);
    }
}

fn plural(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
