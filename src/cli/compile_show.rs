//! `compile SHOW`: all files of a show, or of one setup, or of a new version of a setup's look.

mod document;
mod told;

use super::compile::Arguments;
use super::console::Console;
use super::exit::{CommandResult, Outcome};
use super::progress::Progress;
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes};
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
