//! `handoff`: the package for post.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::package_place::{is_zip, of_new_package};
use super::show_file;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::exposure_map::on_card;
use lookwright::formats::package::PackageWriter;
use lookwright::handoff::{self, Manifest, Page, StartHere};
use lookwright::report;
use lookwright::show::{self, LoadingCard, Made, Proof, Run, Selection, Show, Work};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

/// Pack a show for post: looks as cubes, steps and CDLs, with everything that says what was approved on set
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright handoff show.toml --out tidewater.zip
           lookwright handoff show.toml --setups 7b,14a --out day-3.zip
           lookwright handoff show.toml --out for-post --display hdr --edl reel-1.edl

The show is compiled as `compile` does it, into --luts; files that are unchanged stay. --out is a zip archive if its name ends with .zip, else
a folder; neither is ever overwritten. START-HERE in it says what is what; `lookwright receive` checks it on arrival.
The same texts and date make the same bytes. Without --date the package has that of the show's newest version, or 1980-01-01.")]
pub struct Arguments {
    /// The show
    #[arg(value_name = "SHOW")]
    file: PathBuf,

    /// Only these setups, by their ids
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    setups: Vec<String>,

    /// The package: a zip archive or a folder, which must not exist yet
    #[arg(long, value_name = "DIR|ZIP")]
    out: PathBuf,

    /// The monitor whose display the files for post are for (default: the show's first)
    #[arg(long, value_name = "MONITOR")]
    display: Option<String>,

    /// Edit decision lists whose events get the grade of their setup; [[setup]] says which clips are its own
    #[arg(long, value_name = "FILE")]
    edl: Vec<PathBuf>,

    /// The date that the package carries: YYYY-MM-DD, or with time and zone YYYY-MM-DDTHH:MM:SSZ
    #[arg(long, value_name = "DATE")]
    date: Option<String>,

    /// Leave out the reports on the looks: a third of the time
    #[arg(long)]
    no_reports: bool,

    /// Folder that the show's LUT files are in, or are written to
    #[arg(long, value_name = "DIR", default_value = "luts-out")]
    luts: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let (show, doubts) = show_file::load(&arguments.file, "a hand-off is")?;
    of_new_package(&arguments.out, &show::folder_of(&arguments.luts, &show))?;
    let setups = setups(&show, &arguments.setups)?;
    let options = handoff::Options {
        reference: reference(&show, arguments.display.as_deref())?,
        date: date(&show, arguments.date.as_deref())?,
        lists: lists(&arguments.edl)?,
        setups,
    };
    // Before anything is made: a package is never overwritten.
    let mut writer = writer(&arguments.out)?;
    let work = show::prepare(show, doubts)?;
    // Lists are looked at before anything is compiled: what is wrong with one is known at once.
    let (_, of_lists) = handoff::look_at_lists(&work, &options)?;
    let doubts: Vec<Diagnostic> = work.warnings.iter().chain(&of_lists).cloned().collect();
    console.warnings(&doubts);
    let selection = options.setups.clone().map_or(Selection::All, Selection::Setups);
    let making = show::Options { out: arguments.luts.clone(), verified: true, force: false, selection };
    let run = show::run(&work, &making, &AtomicBool::new(false), &|_| {}).map_err(of_luts)?;
    let pages = pages(&work, &run, &options, !arguments.no_reports);
    let manifest = handoff::pack(&work, &run, &options, pages, &mut writer)?;
    let start = StartHere::new(&work, &manifest);
    writer.add("START-HERE.html", report::start_here_html(&start).into_bytes())?;
    writer.add("START-HERE.txt", report::start_here_text(&start).into_bytes())?;
    handoff::finish(&work.show, &options, &mut writer)?;
    let files = writer.finish()?;
    let bytes: u64 = files.iter().map(|file| file.size).sum();
    let missed: Vec<&str> =
        manifest.luts.iter().filter(|lut| lut.pass == Some(false)).map(|lut| lut.file.as_str()).collect();
    if console.is_json() {
        console.document(&json!({
            "package": arguments.out,
            "files": files.iter().map(|file| json!({
                "path": file.path, "bytes": file.size, "sha256": lookwright::plan::hex(&file.sha256),
            })).collect::<Vec<_>>(),
            "manifest": manifest,
            "diagnostics": as_json(&doubts),
        }));
    } else {
        console.text(&told(&arguments.out, &manifest, files.len(), bytes, console));
        for file in &missed {
            console.text(&format!("  {} misses a tolerance: see its line in the loading card\n", file));
        }
    }
    Ok(if missed.is_empty() { Outcome::Fine } else { Outcome::OutOfTolerance })
}

fn told(out: &Path, manifest: &Manifest, files: usize, bytes: u64, console: &Console) -> String {
    let head = console.emphasise(Emphasis::Strong, &manifest.show);
    let of = manifest.setups.as_ref().map_or("whole show".to_owned(), |setups| of_setups(setups));
    let mut text = format!("{head}  {of}, {}\n", manifest.date);
    let mib = bytes as f64 / f64::from(1 << 20);
    text.push_str(&format!("  package      {} ({}, {mib:.0} MiB unpacked)\n", out.display(), counted(files, "file")));
    text.push_str(&format!("  monitors     {}, as compiled\n", counted(manifest.luts.len(), "LUT file")));
    let reference = &manifest.reference;
    text.push_str(&format!(
        "  post         {} as {}, one for each camera, for {} / {} (monitor {}); beside them steps, ACES files, CDLs\n",
        counted(manifest.grades.len(), "look"),
        counted(manifest.post.len(), "cube"),
        reference.encoding,
        reference.gamut,
        reference.monitor
    ));
    let worst = |of: &dyn Fn(&handoff::PostNote) -> f64| manifest.post.iter().map(of).fold(0.0, f64::max);
    text.push_str(&format!(
        "  truth        against the exact looks, chart and skins at -3..+3 stops: cubes ΔE2000 {:.2} at most, steps {:.2}\n",
        worst(&|post| post.cube_error.max_de),
        worst(&|post| post.clf_error.max_de)
    ));
    let fits: Vec<&handoff::FitNote> = manifest.grades.iter().filter_map(|grade| grade.fit.as_ref()).collect();
    if !fits.is_empty() {
        let most = fits.iter().map(|fit| fit.max_de).fold(0.0, f64::max);
        text.push_str(&format!(
            "  CDL          {} more than a CDL; the nearest {} by ΔE2000 {most:.1} at most\n",
            if fits.len() == 1 { "1 look is".to_owned() } else { format!("{} looks are", fits.len()) },
            if fits.len() == 1 { "misses" } else { "miss" }
        ));
    }
    for list in &manifest.edl {
        text.push_str(&told_of_list(list));
    }
    text.push_str("  next         START-HERE in the package; `lookwright receive` on the other side\n");
    text
}

/// "setup 7b", "setups 7b, 14a".
pub(super) fn of_setups(ids: &[String]) -> String {
    format!("{} {}", if ids.len() == 1 { "setup" } else { "setups" }, ids.join(", "))
}

/// "1 file", "2 files".
pub(super) fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// What became of the events of an edit decision list.
fn told_of_list(list: &handoff::ListNote) -> String {
    let name = list.file.rsplit('/').next().unwrap_or(&list.file);
    let events = if list.events == 1 { "event" } else { "events" };
    let mut told = vec![format!("{} with the grade of their setup", list.annotated)];
    if list.replaced > 0 {
        told[0].push_str(&format!(" (in {} it replaced another)", list.replaced));
    }
    let others = [
        (list.without_grade, "of setups whose look has no [grade]"),
        (list.without_setup, "without a setup"),
        (list.of_two_setups, "of two setups alike, left as they came"),
    ];
    told.extend(others.into_iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}")));
    format!("  edl          {name}: {} {events}: {}\n", list.events, told.join(", "))
}

/// Pages of the show as a whole, and one for each look.
fn pages<'a>(work: &'a Work, run: &'a Run, options: &handoff::Options, reports: bool) -> Vec<Page<'a>> {
    let mut pages: Vec<Page<'a>> = Vec::new();
    let mut add = |name: &str, text: String| {
        pages.push((name.to_owned(), Box::new(move || Ok(text.into_bytes()))));
    };
    // Of some setups only, both would speak of files that are not in the package.
    if options.setups.is_none()
        && run.made.iter().all(|made| matches!(made, Made::Written { .. } | Made::Unchanged { .. }))
    {
        let proof = Proof::new(work, run);
        let card = LoadingCard::new(work, &run.ledger, &on_card(work, &run.ledger));
        add("monitors/loading-card.html", report::loading_card_html(&card));
        add("monitors/loading-card.txt", report::loading_card_text(&card));
        add("reports/consistency.html", report::consistency_html(&proof));
        add("reports/consistency.txt", report::consistency_text(&proof));
    }
    if reports {
        pages.extend(super::reports::pages_of_show(work, run));
    }
    pages
}

/// The folder that `compile` names with --out is named with --luts here.
fn of_luts(mut found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    found.iter_mut().flat_map(|one| one.help.iter_mut()).for_each(|help| *help = help.replace("--out", "--luts"));
    found
}

fn writer(out: &Path) -> Result<PackageWriter, Vec<Diagnostic>> {
    if is_zip(out) { PackageWriter::zip(out) } else { PackageWriter::folder(out) }
}

fn setups(show: &Show, ids: &[String]) -> Result<Option<Vec<usize>>, Vec<Diagnostic>> {
    if ids.is_empty() {
        return Ok(None);
    }
    let mut setups = Vec::new();
    for id in ids {
        setups.push(super::compile_show::setup(show, id.trim())?);
    }
    setups.sort_unstable();
    setups.dedup();
    Ok(Some(setups))
}

fn reference(show: &Show, id: Option<&str>) -> Result<usize, Vec<Diagnostic>> {
    let Some(id) = id else { return Ok(0) };
    show.monitors.iter().position(|monitor| monitor.id.is(id)).ok_or_else(|| {
        let known: Vec<&str> = show.monitors.iter().map(|monitor| monitor.id.text.as_str()).collect();
        let message = format!("the show has no monitor \"{id}\"");
        vec![Diagnostic::error(&codes::ID_UNKNOWN, message).help(format!("known: {}", known.join(", ")))]
    })
}

fn lists(paths: &[PathBuf]) -> Result<Vec<(String, Vec<u8>)>, Vec<Diagnostic>> {
    let read = |path: &PathBuf| {
        let bytes = std::fs::read(path).map_err(|error| {
            let message = format!("{}: {error}", path.display());
            vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("name an edit decision list behind --edl")]
        })?;
        // The whole path, for messages; in the package it has its name alone.
        Ok((path.display().to_string(), bytes))
    };
    paths.iter().map(read).collect()
}

/// The date of a package, the same for the same show: the one that was named, else that of the newest version.
fn date(show: &Show, given: Option<&str>) -> Result<String, Vec<Diagnostic>> {
    if let Some(given) = given {
        return moment(given).ok_or_else(|| {
            let message = format!("\"{given}\" is not a date");
            vec![Diagnostic::error(&codes::PACKAGE_DATE, message).help("write YYYY-MM-DD, or YYYY-MM-DDTHH:MM:SSZ")]
        });
    }
    let newest = show.versions.iter().filter_map(|version| moment(&version.made)).max();
    Ok(newest.unwrap_or_else(|| "1980-01-01T00:00:00Z".to_owned()))
}

/// A date with or without a time and a zone, as a moment in UTC.
fn moment(text: &str) -> Option<String> {
    let text = text.trim();
    let at = |text: &str| text.parse::<jiff::Timestamp>().ok();
    let moment = at(text)
        .or_else(|| at(&format!("{text}Z")))
        .or_else(|| at(&format!("{text}:00Z")))
        .or_else(|| at(&format!("{text}T00:00:00Z")))?;
    Some(moment.strftime("%Y-%m-%dT%H:%M:%SZ").to_string())
}

#[cfg(test)]
mod tests {
    use super::moment;

    /// Forms of RFC 3339 and ISO 8601, and what earlier versions wrote: without a zone it counts as UTC. Moments worked out by hand.
    #[test]
    fn dates_are_moments_in_utc() {
        for (text, expected) in [
            ("2026-11-28 18:40+01:00", "2026-11-28T17:40:00Z"),
            ("2026-11-28 18:40:30-08:30", "2026-11-29T03:10:30Z"),
            ("2026-11-28 00:10+05:45", "2026-11-27T18:25:00Z"),
            ("2026-11-28 18:40", "2026-11-28T18:40:00Z"),
            ("2026-11-28T18:40:00Z", "2026-11-28T18:40:00Z"),
            ("2026-11-28", "2026-11-28T00:00:00Z"),
        ] {
            assert_eq!(moment(text).as_deref(), Some(expected), "{text}");
        }
        for text in ["", "yesterday", "28.11.2026", "2026-13-01", "2026-11-28 18:40+99:00", "2026-11-28 25:40"] {
            assert_eq!(moment(text), None, "{text}");
        }
    }
}
