//! `receive`: a package on arrival.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::handoff::{counted, of_setups};
use super::package_place::of_new_folder;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::package::Package;
use lookwright::handoff::{Arrival, receive};
use serde_json::json;
use std::path::PathBuf;

/// Check a package on arrival: checksums, every file against what its recipes make, cubes, steps and CDLs against each other
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright receive tidewater.zip
           lookwright receive tidewater.zip --to tidewater
           lookwright receive for-post/

Everything is compiled again from the texts in the package and compared byte for byte, where the same version of the program made it; else
number by number. A hostile or damaged archive is refused, and nothing is written but into --to.
Exit: 0 all is as it was packed and as the recipes say · 1 something is not · 2 refused · 3 could not be read or written")]
pub struct Arguments {
    /// The package: a zip archive or a folder
    #[arg(value_name = "PACKAGE")]
    package: PathBuf,

    /// Unpack into this folder too, which must not exist yet or be empty
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let package = Package::open(&arguments.package).map_err(what_to_name)?;
    // Before the work: it takes its time, and a place that can't be had is known now.
    arguments.to.iter().try_for_each(|to| of_new_folder(to, "--to"))?;
    let folder = tempfile::Builder::new().prefix("lookwright-").tempdir().map_err(|error| {
        let message = format!("no folder for the show's texts can be made: {error}");
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("make room where temporary files go")]
    })?;
    let arrival = receive(&package, folder.path())?;
    if let Some(to) = &arguments.to {
        package.extract(to)?;
    }
    if console.is_json() {
        console.document(&json!({
            "package": arguments.package,
            "show": arrival.manifest.show,
            "date": arrival.manifest.date,
            "made_by": arrival.manifest.program,
            "same_version": arrival.same_version,
            "identical": arrival.identical,
            "not_compared": arrival.not_compared,
            "verified": arrival.verified[0],
            "luts": arrival.verified[1],
            "pictures": arrival.pictures,
            "recipe_changed": arrival.causes().0,
            "findings": arrival.findings,
            "pass": arrival.findings.is_empty(),
            "to": arguments.to,
            "diagnostics": as_json(&arrival.work.warnings),
        }));
    } else {
        console.text(&told(&arrival, arguments, console));
    }
    Ok(if arrival.findings.is_empty() { Outcome::Fine } else { Outcome::OutOfTolerance })
}

/// What is no package at all gets a word on what would be one.
fn what_to_name(found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let help = "name what `lookwright handoff` made: a zip archive, or the folder that has package.json in it";
    let bare = |one: &Diagnostic| one.code == &codes::PACKAGE_UNKNOWN && one.help.is_empty();
    found.into_iter().map(|one| if bare(&one) { one.help(help) } else { one }).collect()
}

fn told(arrival: &Arrival, arguments: &Arguments, console: &Console) -> String {
    let manifest = &arrival.manifest;
    let head = console.emphasise(Emphasis::Strong, &manifest.show);
    let of = manifest.setups.as_ref().map_or("whole show".to_owned(), |setups| of_setups(setups));
    let mut text = format!("{head}  {of}, {}, made by lookwright {}\n", manifest.date, manifest.program);
    let as_made = if arrival.same_version { "byte for byte" } else { "number by number: another version made it" };
    text.push_str(&format!(
        "  compiled     {} what the package's texts make, {as_made}\n",
        are(arrival.identical, "file")
    ));
    text.push_str(&format!(
        "  verified     {} of {} the tolerances of {}\n",
        arrival.verified[0],
        if arrival.verified[1] == 1 {
            "1 LUT file holds".to_owned()
        } else {
            format!("{} LUT files hold", arrival.verified[1])
        },
        if arrival.verified[1] == 1 { "its recipe" } else { "their recipes" }
    ));
    let most = |of: &dyn Fn(&lookwright::handoff::Picture) -> Option<f64>| {
        arrival
            .pictures
            .iter()
            .filter_map(of)
            .fold(0.0_f64, |most, value| if value > most || value.is_nan() { value } else { most })
    };
    text.push_str(&format!(
        "  one picture  cubes miss the looks by ΔE2000 {:.2} at most, steps by {:.2}, cube and steps each other by {:.2}\n",
        most(&|picture| picture.cube.map(|error| error.max_de)),
        most(&|picture| picture.clf.map(|error| error.max_de)),
        most(&|picture| picture.between_de),
    ));
    if let Some(to) = &arguments.to {
        text.push_str(&format!("  unpacked     {}\n", to.display()));
    }
    if arrival.findings.is_empty() {
        let good = console.emphasise(Emphasis::Good, "as packed");
        let rest = if arrival.same_version {
            "everything is what the recipes say".to_owned()
        } else {
            format!(
                "cubes, steps and grades are what the recipes say; {} can only be compared by the version that made {}",
                counted(arrival.not_compared, "other file"),
                if arrival.not_compared == 1 { "it" } else { "them" }
            )
        };
        text.push_str(&format!("  {good}: nothing was changed, and {rest}\n"));
        return text;
    }
    text.push_str(&findings(arrival, console));
    text
}

/// What is not as it was packed: a changed recipe once, with what follows from it, and then the rest.
fn findings(arrival: &Arrival, console: &Console) -> String {
    let bad = console.emphasise(Emphasis::Bad, "not as packed");
    let (cause, others) = arrival.causes();
    let count = counted(others.len(), "finding");
    let mut text = match (&cause, others.is_empty()) {
        (None, _) => format!("  {bad}: {count}\n"),
        (Some(_), true) => format!("  {bad}: a recipe or the show was changed\n"),
        (Some(_), false) => format!("  {bad}: a recipe or the show was changed, and {count} beside that\n"),
    };
    let recipe = "recipe changed";
    let width = others.iter().map(|one| one.what.len()).chain(cause.as_ref().map(|_| recipe.len())).max().unwrap_or(0);
    if let Some(cause) = &cause {
        let named: Vec<String> = cause.named().into_iter().map(plain).collect();
        let more = cause.files.len() - named.len();
        let more = if more == 0 { String::new() } else { format!(" and {more} more, which --json names") };
        text.push_str(&format!("    {recipe:width$}  {}\n", plain(&cause.words())));
        text.push_str(&format!("    {:width$}  {}: {}\n", "", cause.follows(), cause.kinds()));
        text.push_str(&format!("    {:width$}  {}{more}\n", "", named.join(", ")));
    }
    for one in others {
        text.push_str(&format!("    {:width$}  {}: {}\n", one.what, plain(&one.file), one.told));
    }
    text
}

/// A text of the package without anything that does something to a terminal.
fn plain(text: &str) -> String {
    text.chars().map(|one| if one.is_control() { '?' } else { one }).collect()
}

/// "1 file is", "2 files are".
fn are(count: usize, noun: &str) -> String {
    format!("{} {}", counted(count, noun), if count == 1 { "is" } else { "are" })
}
