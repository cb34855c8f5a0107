//! `check`: reads recipes and reports everything wrong or doubtful; writes nothing.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use lookwright::compile::{distinct_files, prepare};
use lookwright::diagnostics::Diagnostic;
use serde_json::json;
use std::path::PathBuf;

/// Read recipes and report everything that is wrong or doubtful; writes nothing
#[derive(clap::Args)]
#[command(after_help = "Example:  lookwright check recipes/dusk-car-deck.toml")]
pub struct Arguments {
    /// Recipes
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut prepared = Vec::new();
    let mut found: Vec<Diagnostic> = Vec::new();
    for file in &arguments.files {
        match prepare(file, &arguments.overrides) {
            Ok(one) => {
                found.extend(one.warnings.iter().cloned());
                prepared.push(one);
            }
            Err(diagnostics) => found.extend(diagnostics),
        }
    }
    if let Err(diagnostics) = distinct_files(&prepared) {
        found.extend(diagnostics);
    }
    if found.iter().any(Diagnostic::is_error) {
        return Err(found);
    }
    if console.is_json() {
        let files: Vec<_> = prepared
            .iter()
            .map(|one| {
                json!({"file": one.path, "name": one.plan.look.name, "fingerprint": one.plan.fingerprint(), "lut": one.file_name})
            })
            .collect();
        console.document(&json!({"recipes": files, "diagnostics": as_json(&found)}));
        return Ok(Outcome::Fine);
    }
    console.warnings(&found);
    for one in &prepared {
        let name = console.emphasise(Emphasis::Strong, &one.plan.look.name);
        let fingerprint = one.plan.fingerprint();
        console.text(&format!("{}  {name}  fingerprint {}\n", one.path.display(), &fingerprint[..16]));
    }
    if !found.is_empty() {
        console.text(&format!("{} doubtful\n", found.len()));
    }
    Ok(Outcome::Fine)
}
