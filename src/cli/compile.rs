//! `compile`: the main job.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::verdict;
use lookwright::compile::{Prepared, Produced, distinct_files, prepare};
use lookwright::diagnostics::Diagnostic;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Make LUT files from recipes; each is read back and verified
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright compile recipes/dusk-car-deck.toml
           lookwright compile recipes/*.toml --out luts-out --size 65
           lookwright compile look.toml --set white.warmer_mired=20 --set display.encoding=srgb

A file that misses a tolerance is kept, and the exit code is 1.")]
pub struct Arguments {
    /// Recipes
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Folder that the LUT files are written to
    #[arg(long, value_name = "DIR", default_value = "luts-out")]
    out: PathBuf,

    /// Points a side, 2 to 129; as --set lut.size=N
    #[arg(long, value_name = "N")]
    size: Option<String>,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Write without verifying
    #[arg(long)]
    no_verify: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut overrides = arguments.overrides.clone();
    overrides.extend(arguments.size.iter().map(|size| format!("lut.size={size}")));
    let prepared = prepare_all(&arguments.files, &overrides)?;
    let warnings: Vec<Diagnostic> = prepared.iter().flat_map(|one| one.warnings.iter().cloned()).collect();
    console.warnings(&warnings);
    let mut documents = Vec::new();
    let mut outcome = Outcome::Fine;
    for one in &prepared {
        let produced = one.produce(&arguments.out, !arguments.no_verify)?;
        if produced.verification.as_ref().is_some_and(|verification| !verification.pass) {
            outcome = Outcome::OutOfTolerance;
        }
        if console.is_json() {
            documents.push(document(one, &produced));
        } else {
            console.text(&text(one, &produced, console));
        }
    }
    if console.is_json() {
        console.document(&json!({ "luts": documents, "diagnostics": as_json(&warnings) }));
    }
    Ok(outcome)
}

/// Everything that is wrong with all recipes, before anything is written.
fn prepare_all(files: &[PathBuf], overrides: &[String]) -> Result<Vec<Prepared>, Vec<Diagnostic>> {
    let mut prepared = Vec::new();
    let mut found = Vec::new();
    for file in files {
        match prepare(file, overrides) {
            Ok(one) => prepared.push(one),
            Err(diagnostics) => found.extend(diagnostics),
        }
    }
    if let Err(diagnostics) = distinct_files(&prepared) {
        found.extend(diagnostics);
    }
    if found.is_empty() { Ok(prepared) } else { Err(found) }
}

fn document(one: &Prepared, produced: &Produced) -> Value {
    let plan = &one.plan;
    json!({
        "file": produced.path,
        "recipe": one.path,
        "name": plan.look.name,
        "camera": {
            "encoding": plan.camera.curve.encoding().id,
            "gamut": plan.camera.gamut.id,
            "exposure_index": plan.camera.curve.exposure_index(),
        },
        "monitor": {
            "encoding": plan.display.encoding.id(),
            "gamut": plan.display.gamut.id,
            "peak_nits": plan.display.peak_nits,
            "interpolation": plan.device.interpolation.id(),
            "input_levels": plan.device.input_levels.id(),
            "output_levels": plan.device.output_levels.id(),
        },
        "size": plan.device.size,
        "sha256": produced.sha256,
        "fingerprint": produced.fingerprint,
        "replaced": produced.replaced,
        "diffusion_preset": one.preset(),
        "verify": produced.verification,
    })
}

fn text(one: &Prepared, produced: &Produced, console: &Console) -> String {
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
        "  levels       input {}, output {}: choose these on the device\n  written      {}  fingerprint {}\n\n",
        plan.device.input_levels.id(),
        plan.device.output_levels.id(),
        produced.path.display(),
        &produced.fingerprint[..16],
    ));
    text
}
