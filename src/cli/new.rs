//! `new`: a recipe to start from.

use super::console::{Console, Emphasis};
use super::exit::{CommandResult, Outcome};
use lookwright::recipe;
use serde_json::json;
use std::path::PathBuf;

/// Start a recipe that compiles as it is; an existing file is never overwritten
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright new
           lookwright new tidewater")]
pub struct Arguments {
    /// Folder that look.toml is written to; it is made if it is missing
    #[arg(value_name = "DIR", default_value = ".")]
    folder: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let path = recipe::start(&arguments.folder).map_err(|diagnostic| vec![diagnostic])?;
    if console.is_json() {
        console.document(&json!({ "recipe": path }));
        return Ok(Outcome::Fine);
    }
    let file = path.display();
    let name = console.emphasise(Emphasis::Strong, &file.to_string());
    console.text(&format!(
        "{name} is written, and compiles as it is.\n\n\
         Next:\n\
        \x20 lookwright encodings           find your camera's curve and gamut, and write them into it\n\
        \x20 lookwright explain {file}\n\
        \x20                                see the curve, the signal of each stop and the cast\n\
        \x20 lookwright compile {file}\n\
        \x20                                make the LUT file that the monitor loads, proved\n"
    ));
    Ok(Outcome::Fine)
}
