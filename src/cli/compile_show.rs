//! `compile SHOW`: all files of a show, or of one setup, or of a new version of a setup's look.

mod document;
mod told;

use super::compile::Arguments;
use super::console::Console;
use super::exit::{CommandResult, Outcome};
use super::progress::Progress;
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes};
use lookwright::exposure_map::on_card;
use lookwright::formats::atomic::write_atomically;
use lookwright::report;
use lookwright::show::{
    Event, LoadingCard, Made, NewVersion, Options, Proof, Run, Selection, Show, Work, prepare, run as make,
};
use lookwright::verify::Verification;
use serde_json::value::RawValue;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use told::Told;

/// Exit code of a version that was not made because a file of its name holds another look: it could not be written.
const NOT_MADE: u8 = 3;

/// Pages that a run of the whole show writes, with what they say.
const PAGES: [&str; 4] = ["loading-card.html", "loading-card.txt", "consistency.html", "consistency.txt"];

/// Runs the command for a show.
pub fn run(file: &Path, text: String, arguments: &Arguments, console: &Console) -> CommandResult {
    let size = arguments.size.as_deref().map(parse_size).transpose()?;
    let (show, doubts) = Show::parse(file, text, size)?;
    let setup = arguments.setup.as_deref().map(|id| self::setup(&show, id)).transpose()?;
    let new = new_version(&show, setup, arguments)?;
    let (show, doubts) = match &new {
        None => (show, doubts),
        Some(new) => Show::parse(file, new.text.clone(), size).map_err(|found| no_room(&found))?,
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
    let mut failed: Vec<Diagnostic> = failures(&run);
    let held: Vec<Diagnostic> = held(&run);
    let complete = failed.is_empty() && !run.stopped;
    let recorded = record(new.as_ref().filter(|_| complete && held.is_empty()), file, &mut failed);
    let mut removed = Vec::new();
    if arguments.prune && complete {
        let (gone, not_gone) = run.prune();
        removed = gone;
        failed.extend(not_gone);
    }
    let proof = Proof::new(&work, &run);
    let card = LoadingCard::new(&work, &run.ledger, &on_card(&work, &run.ledger));
    let mut written_pages = Vec::new();
    if new.is_none() || recorded {
        // The card is the show's: it does not speak of a version that the show does not know.
        let (pages, unwritten) = pages(&run, &card, (whole && complete).then_some(&proof));
        written_pages = pages;
        failed.extend(unwritten);
    }
    let mut reports = Vec::new();
    if arguments.report && complete {
        let (made, unmade) = super::reports::of_show(&work, &run);
        reports = made;
        failed.extend(unmade);
    } else {
        let stale = super::reports::of_earlier_files(&work, &run);
        if !stale.is_empty() {
            console.note(&format!("of earlier files: {}; add --report to renew them", stale.join(", ")));
        }
    }
    let told = Told {
        work: &work,
        run: &run,
        new: new.as_ref().map(|new| (new, recorded)),
        removed: &removed,
        proof: &proof,
        pages: &written_pages,
        reports: &reports,
    };
    if console.is_json() {
        console.text(&told.document(&verified, &held, &failed));
    } else {
        console.text(&told.text(console));
        console.warnings(&held);
        if !failed.is_empty() {
            console.failure(&failed);
        }
    }
    Ok(if !failed.is_empty() {
        Outcome::Partly(super::exit::failure_code(&failed))
    } else if run.stopped {
        Outcome::Stopped
    } else if new.is_some() && !recorded {
        // Only where a file of that name stands in the way; its warning tells what to do.
        Outcome::Partly(NOT_MADE)
    } else if held.is_empty() && proof.pass && run.made.iter().all(passes) {
        Outcome::Fine
    } else {
        Outcome::OutOfTolerance
    })
}

/// Writes the record of a version into the show, and says whether it stands there. A version of which a part is missing is none.
fn record(new: Option<&NewVersion>, file: &Path, failed: &mut Vec<Diagnostic>) -> bool {
    let kept = new.map(|new| new.keep(file));
    if let Some(Err(found)) = &kept {
        failed.extend(found.iter().cloned());
    }
    matches!(kept, Some(Ok(())))
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

pub(super) fn parse_size(text: &str) -> Result<usize, Vec<Diagnostic>> {
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
        (Some(_), Some(_)) if set.is_empty() && arguments.from.is_none() => incomplete(
            "a new version needs a change",
            "add --set KEY=VALUE, for example --set white.warmer_mired=+5; or --from ID to bring an earlier version back",
        ),
        (Some(id), Some(setup)) => {
            // A whole second is more than a set needs to know; post may be in another time zone.
            let made = jiff::Zoned::now().strftime("%Y-%m-%d %H:%M%:z").to_string();
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
        Made::Held(_) => "held",
        Made::Failed(_) => "failed",
        Made::NotDone => "not done",
    }
}

fn passes(made: &Made) -> bool {
    made.entry().and_then(|entry| entry.verify.as_ref()).is_none_or(|verify| verify.pass)
}

/// A record that the show's text has no room for: the show was right without it.
fn no_room(found: &[Diagnostic]) -> Vec<Diagnostic> {
    let why = found.first().map_or(String::new(), |first| format!(": {}", first.message));
    let message = format!("the version's record does not fit at the end of the show{why}");
    vec![
        Diagnostic::error(&codes::VERSION_ARGUMENTS, message)
            .help("versions are tables [[version]] at the end of the show; remove what stands in their way"),
    ]
}

/// Files of versions that hold another look and stay as they are.
fn held(run: &Run) -> Vec<Diagnostic> {
    let one = |made: &Made| if let Made::Held(diagnostic) = made { Some((**diagnostic).clone()) } else { None };
    run.made.iter().filter_map(one).collect()
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

/// Writes the pages, the proof's only where it is of the whole show; the card speaks of the whole show whatever was made in
/// this run. Gives back which were written, and what went wrong.
fn pages(run: &Run, card: &LoadingCard, proof: Option<&Proof>) -> (Vec<&'static str>, Vec<Diagnostic>) {
    let [_, _, proof_html, proof_text] = PAGES;
    let mut pages = card_pages(card);
    if let Some(proof) = proof {
        pages.push((proof_html, report::consistency_html(proof)));
        pages.push((proof_text, report::consistency_text(proof)));
    }
    write_pages(&run.folder, pages)
}

/// The loading card as a page and as text, with their names.
pub(super) fn card_pages(card: &LoadingCard) -> Vec<(&'static str, String)> {
    let [html, text, ..] = PAGES;
    vec![(html, report::loading_card_html(card)), (text, report::loading_card_text(card))]
}

/// Writes pages into a show's folder. Gives back which were written, and what went wrong.
pub(super) fn write_pages(folder: &Path, pages: Vec<(&'static str, String)>) -> (Vec<&'static str>, Vec<Diagnostic>) {
    let (mut written, mut failed) = (Vec::new(), Vec::new());
    for (name, page) in pages {
        let path = folder.join(name);
        match write_atomically(&path, page.as_bytes()) {
            Ok(()) => written.push(name),
            Err(error) => {
                let message = format!("{}: {error}", path.display());
                let help = "make room, and run the command again; what was made of the LUT files is told above";
                failed.push(Diagnostic::error(&codes::FILE_UNWRITABLE, message).help(help));
            }
        }
    }
    (written, failed)
}
