//! `compile`: the main job.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::{compile_show, reports, verdict};
use lookwright::compile::{Prepared, Produced, distinct_files, prepare_text};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::plan::Plan;
use lookwright::portrait::Studio;
use lookwright::recipe::read_text;
use lookwright::show::is_show;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Make LUT files from recipes, or all files of a show; each is read back and verified
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright compile recipes/dusk-car-deck.toml
           lookwright compile recipes/*.toml --out luts-out --size 65
           lookwright compile look.toml --set white.warmer_mired=20 --set display.encoding=srgb
           lookwright compile look.toml --report
           lookwright compile show.toml
           lookwright compile show.toml --setup 14a --set white.warmer_mired=+5 --as 14a-b

--set key=VALUE sets; key=+STEP or key+=STEP adds to what holds; key-=STEP takes off.
A file that misses a tolerance is kept, and the exit code is 1.
A show's files go to a folder of the show's name in --out. Files that are unchanged since they were verified are left;
loading-card.html says which file goes into which device, consistency.html whether all show one picture.")]
pub struct Arguments {
    /// Recipes, or one show
    #[arg(required = true, value_name = "FILE")]
    pub(super) files: Vec<PathBuf>,

    /// Folder that the LUT files are written to
    #[arg(long, value_name = "DIR", default_value = "luts-out")]
    pub(super) out: PathBuf,

    /// Points a side, 2 to 129; as --set lut.size=N. For a show: for every monitor, or the nearest that it accepts
    #[arg(long, value_name = "N", conflicts_with = "version")]
    pub(super) size: Option<String>,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub(super) overrides: Vec<String>,

    /// Write without verifying
    #[arg(long)]
    pub(super) no_verify: bool,

    /// Write a report on each look beside its file: what it does, pictures, plots, how true the file is (NAME.report.html)
    #[arg(long)]
    pub(super) report: bool,

    /// Of a show, only the files of this setup
    #[arg(long, value_name = "ID")]
    pub(super) setup: Option<String>,

    /// With --setup and --set: the id of the new version, which is recorded in the show
    #[arg(long = "as", value_name = "ID", requires = "setup")]
    pub(super) version: Option<String>,

    /// With --as: the version to start from, instead of the setup's newest; the setup's own id is the recipe itself
    #[arg(long, value_name = "ID", requires = "version")]
    pub(super) from: Option<String>,

    /// Of a show, make unchanged files again too
    #[arg(long)]
    pub(super) force: bool,

    /// Of a show, remove files of looks that it no longer has
    #[arg(long, conflicts_with = "setup")]
    pub(super) prune: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut texts: Vec<(&PathBuf, Result<String, Diagnostic>)> =
        arguments.files.iter().map(|file| (file, read_text(file))).collect();
    if let [(file, Ok(text))] = texts.as_mut_slice()
        && is_show(text)
    {
        return compile_show::run(file, std::mem::take(text), arguments, console);
    }
    only_for_shows(arguments)?;
    let mut overrides = arguments.overrides.clone();
    overrides.extend(arguments.size.iter().map(|size| format!("lut.size={size}")));
    let prepared = prepare_all(texts, &overrides)?;
    let warnings: Vec<Diagnostic> = prepared.iter().flat_map(|one| one.warnings.iter().cloned()).collect();
    console.warnings(&warnings);
    let mut documents = Vec::new();
    let mut outcome = Outcome::Fine;
    // One rendering of the scene serves all reports.
    let studio = arguments.report.then(Studio::new).transpose()?;
    for one in &prepared {
        let produced = one.produce(&arguments.out, !arguments.no_verify)?;
        let report = studio.as_ref().map(|studio| reports::of_look(one, &produced, studio)).transpose()?;
        let stands = produced.path.with_extension(reports::ENDING);
        if reports::is_of_another_file(&stands, &produced.sha256) {
            console.note(&format!("{} is of an earlier file: add --report to renew it", stands.display()));
        }
        if produced.verification.as_ref().is_some_and(|verification| !verification.pass) {
            outcome = Outcome::OutOfTolerance;
        }
        if console.is_json() {
            documents.push(document(one, &produced, report.as_deref()));
        } else {
            console.text(&text(one, &produced, report.as_deref(), console));
        }
    }
    if console.is_json() {
        console.document(&json!({ "luts": documents, "diagnostics": as_json(&warnings) }));
    }
    Ok(outcome)
}

/// Options that mean nothing for recipes would otherwise be left aside in silence.
fn only_for_shows(arguments: &Arguments) -> Result<(), Vec<Diagnostic>> {
    let given = [("--setup", arguments.setup.is_some()), ("--force", arguments.force), ("--prune", arguments.prune)];
    match given.into_iter().find(|(_, given)| *given) {
        None => Ok(()),
        Some((option, _)) => {
            let message = format!("{option} needs a show, alone");
            let help = "name one file that has a [show], and no recipes beside it";
            Err(vec![Diagnostic::error(&codes::VERSION_ARGUMENTS, message).help(help)])
        }
    }
}

/// Everything that is wrong with all recipes, before anything is written.
pub(super) fn prepare_all(
    texts: Vec<(&PathBuf, Result<String, Diagnostic>)>,
    overrides: &[String],
) -> Result<Vec<Prepared>, Vec<Diagnostic>> {
    let mut prepared = Vec::new();
    let mut found = Vec::new();
    for (file, text) in texts {
        match text.map_err(|diagnostic| vec![diagnostic]).and_then(|text| prepare_text(file, text, overrides)) {
            Ok(one) => prepared.push(one),
            Err(diagnostics) => found.extend(diagnostics),
        }
    }
    if let Err(diagnostics) = distinct_files(&prepared) {
        found.extend(diagnostics);
    }
    if found.is_empty() { Ok(prepared) } else { Err(found) }
}

pub(super) fn camera_document(plan: &Plan) -> Value {
    json!({
        "encoding": plan.camera.curve.encoding().id,
        "gamut": plan.camera.gamut.id,
        "exposure_index": plan.camera.curve.exposure_index(),
    })
}

pub(super) fn monitor_document(plan: &Plan) -> Value {
    json!({
        "encoding": plan.display.encoding.id(),
        "gamut": plan.display.gamut.id,
        "peak_nits": plan.display.peak_nits,
        "interpolation": plan.device.interpolation.id(),
        "input_levels": plan.device.input_levels.id(),
        "output_levels": plan.device.output_levels.id(),
    })
}

fn document(one: &Prepared, produced: &Produced, report: Option<&Path>) -> Value {
    let plan = &one.plan;
    json!({
        "file": produced.path,
        "recipe": one.path,
        "name": plan.look.name,
        "camera": camera_document(plan),
        "monitor": monitor_document(plan),
        "size": plan.device.size,
        "sha256": produced.sha256,
        "fingerprint": produced.fingerprint,
        "replaced": produced.replaced,
        "report": report,
        "diffusion_preset": one.preset(),
        "verify": produced.verification,
    })
}

fn text(one: &Prepared, produced: &Produced, report: Option<&Path>, console: &Console) -> String {
    let plan = &one.plan;
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    let peak =
        if plan.display.encoding.needs_peak() { format!(" {} nits", plan.display.peak_nits) } else { String::new() };
    let mut text = format!(
        "{}  {}{index} / {} → {} / {}{peak}, {} points\n",
        console.emphasise(Emphasis::Strong, &plan.look.name),
        plan.camera.curve.encoding().id,
        plan.camera.gamut.id,
        plan.display.encoding.id(),
        plan.display.gamut.id,
        plan.device.size,
    );
    match &produced.verification {
        Some(verification) => text.push_str(&verdict::short(verification, console)),
        None => text.push_str("  not verified\n"),
    }
    if let Some(told) = one.preset() {
        text.push_str(&format!("  diffusion    {told}\n"));
    }
    if let Some(earlier) = &produced.replaced {
        text.push_str(&format!(
            "  replaced     a file of the same name with fingerprint {}\n",
            &earlier[..earlier.len().min(16)]
        ));
    }
    text.push_str(&format!(
        "  levels       input {}, output {}: choose these on the device\n  written      {}  fingerprint {}\n",
        plan.device.input_levels.id(),
        plan.device.output_levels.id(),
        produced.path.display(),
        &produced.fingerprint[..16],
    ));
    if let Some(report) = report {
        text.push_str(&format!("  report       {}\n", report.display()));
    }
    text.push('\n');
    text
}
