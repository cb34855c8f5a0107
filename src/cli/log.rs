//! `log`: the versions of a show's setups.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::show_file;
use lookwright::plan::short;
use lookwright::show::{self, SetupLog};
use serde_json::json;
use std::path::PathBuf;

/// List the versions of each setup's look, in order, with what changed
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright log show.toml
           lookwright log show.toml --setup 14a")]
pub struct Arguments {
    /// The show
    #[arg(value_name = "SHOW")]
    file: PathBuf,

    /// Only this setup
    #[arg(long, value_name = "ID")]
    setup: Option<String>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let (show, warnings) = show_file::load(&arguments.file, "versions are")?;
    let only = match &arguments.setup {
        None => None,
        Some(id) => Some(super::compile_show::setup(&show, id)?),
    };
    let work = show::prepare(show, warnings)?;
    let (show, warnings) = (&work.show, &work.warnings);
    let logs = show::log(&work, only)?;
    if console.is_json() {
        console.document(&json!({"show": show.name.text, "setups": logs, "diagnostics": as_json(warnings)}));
        return Ok(Outcome::Fine);
    }
    console.warnings(warnings);
    if logs.is_empty() {
        console.text("The show has no setups.\n");
    }
    for log in &logs {
        console.text(&text(log, console));
    }
    Ok(Outcome::Fine)
}

fn text(log: &SetupLog, console: &Console) -> String {
    let variant = if log.variant.is_empty() { String::new() } else { format!(", variant {}", log.variant) };
    let cameras = if log.cameras.len() == 1 { "camera" } else { "cameras" };
    let mut text = format!(
        "{}  {} ({}{variant}), {cameras} {}\n",
        console.emphasise(Emphasis::Strong, &format!("setup {}", log.setup)),
        log.name,
        log.look,
        log.cameras.join(", ")
    );
    let widest = log.versions.iter().map(|version| version.id.len()).max().unwrap_or(0);
    let newest = log.versions.len() - 1;
    for (place, version) in log.versions.iter().enumerate() {
        let what = if place == 0 { "as the recipe has it".to_owned() } else { version.changed.clone() };
        // What it was made from is only worth a word where it is not the one above.
        let from = match place.checked_sub(1) {
            Some(above) if log.versions[above].id != version.from => format!(", made from {}", version.from),
            _ => String::new(),
        };
        let made = if version.made.is_empty() { String::new() } else { format!("  {}", version.made) };
        let mark = if place == newest && place > 0 { "  newest" } else { "" };
        text.push_str(&format!(
            "  {:widest$}  {}{made}  {what}{from}{mark}\n",
            version.id,
            short(&version.look_fingerprint),
        ));
        if let Some(now) = &version.drifted {
            let warning = console.emphasise(Emphasis::Bad, "no longer what it was");
            text.push_str(&format!("  {:widest$}  {warning}: its recipe now makes {}\n", "", short(now)));
        }
    }
    if let Some(newest) = log.versions.last() {
        for file in &newest.files {
            text.push_str(&format!("  {:widest$}  load {}\n", "", file.display()));
        }
    }
    text.push('\n');
    text
}
