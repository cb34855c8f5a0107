//! `check`: reads recipes and shows and reports everything wrong or doubtful; writes nothing.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use lookwright::compile::{distinct_files, prepare_text};
use lookwright::diagnostics::Diagnostic;
use lookwright::recipe::read_text;
use lookwright::show::{self, Show, Work, is_show};
use serde_json::json;
use std::path::PathBuf;

/// Read recipes and shows and report everything that is wrong or doubtful; writes nothing
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright check recipes/dusk-car-deck.toml
           lookwright check show.toml")]
pub struct Arguments {
    /// Recipes and shows
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
    let mut shows = Vec::new();
    for file in &arguments.files {
        let text = match read_text(file) {
            Ok(text) => text,
            Err(diagnostic) => {
                found.push(diagnostic);
                continue;
            }
        };
        if is_show(&text) && arguments.overrides.is_empty() {
            match Show::parse(file, text, None).and_then(|(show, doubts)| show::prepare(show, doubts)) {
                Ok(work) => {
                    found.extend(work.warnings.iter().cloned());
                    shows.push(work);
                }
                Err(diagnostics) => found.extend(diagnostics),
            }
            continue;
        }
        match prepare_text(file, text, &arguments.overrides) {
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
        let shows: Vec<_> = shows.iter().map(show_document).collect();
        console.document(&json!({"recipes": files, "shows": shows, "diagnostics": as_json(&found)}));
        return Ok(Outcome::Fine);
    }
    console.warnings(&found);
    for one in &prepared {
        let name = console.emphasise(Emphasis::Strong, &one.plan.look.name);
        let fingerprint = one.plan.fingerprint();
        console.text(&format!("{}  {name}  fingerprint {}\n", one.path.display(), &fingerprint[..16]));
    }
    for work in &shows {
        let show = &work.show;
        let name = console.emphasise(Emphasis::Strong, &show.name.text);
        console.text(&format!(
            "{}  {name}  cameras {} · monitors {} · looks {} · setups {} · versions {} · files {}\n",
            show.path.display(),
            show.cameras.len(),
            show.monitors.len(),
            show.looks.len(),
            show.setups.len(),
            show.versions.len(),
            work.jobs.len(),
        ));
    }
    if !found.is_empty() {
        console.text(&format!("{} doubtful\n", found.len()));
    }
    Ok(Outcome::Fine)
}

fn show_document(work: &Work) -> serde_json::Value {
    let show = &work.show;
    json!({
        "file": show.path,
        "name": show.name.text,
        "cameras": show.cameras.iter().map(|camera| &camera.id.text).collect::<Vec<_>>(),
        "monitors": show.monitors.iter().map(|monitor| &monitor.id.text).collect::<Vec<_>>(),
        "looks": show.looks.iter().map(|look| &look.id.text).collect::<Vec<_>>(),
        "setups": show.setups.iter().map(|setup| &setup.id.text).collect::<Vec<_>>(),
        "luts": work.jobs.iter().map(|job| &job.path).collect::<Vec<_>>(),
    })
}
