//! `receive`: a package on arrival.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
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
    let package = Package::open(&arguments.package)?;
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

fn told(arrival: &Arrival, arguments: &Arguments, console: &Console) -> String {
    let manifest = &arrival.manifest;
    let head = console.emphasise(Emphasis::Strong, &manifest.show);
    let of = manifest.setups.as_ref().map_or("whole show".to_owned(), |setups| format!("setups {}", setups.join(", ")));
    let mut text = format!("{head}  {of}, {}, made by lookwright {}\n", manifest.date, manifest.program);
    let as_made = if arrival.same_version { "byte for byte" } else { "number by number: another version made it" };
    text.push_str(&format!(
        "  compiled     {} files are what the package's texts make, {as_made}\n",
        arrival.identical
    ));
    text.push_str(&format!(
        "  verified     {} of {} LUT files hold the tolerances of their recipes\n",
        arrival.verified[0], arrival.verified[1]
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
                "cubes, steps and grades are what the recipes say; {} other files can only be compared by the version that made them",
                arrival.not_compared
            )
        };
        text.push_str(&format!("  {good}: nothing was changed, and {rest}\n"));
        return text;
    }
    let bad = console.emphasise(Emphasis::Bad, "not as packed");
    let count = arrival.findings.len();
    text.push_str(&format!("  {bad}: {count} finding{}\n", if count == 1 { "" } else { "s" }));
    let width = arrival.findings.iter().map(|finding| finding.what.len()).max().unwrap_or(0);
    for finding in &arrival.findings {
        let file: String = finding.file.chars().map(|one| if one.is_control() { '?' } else { one }).collect();
        text.push_str(&format!("    {:width$}  {file}: {}\n", finding.what, finding.told));
    }
    text
}
