//! `new`: a recipe and a show to start from.

use super::console::{Console, Emphasis};
use super::exit::{CommandResult, Outcome};
use lookwright::show;
use serde_json::json;
use std::path::PathBuf;

/// Start a recipe and a show that compile as they are; an existing file is never overwritten
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright new
           lookwright new tidewater")]
pub struct Arguments {
    /// Folder that look.toml and show.toml are written to; it is made if it is missing
    #[arg(value_name = "DIR", default_value = ".")]
    folder: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let [recipe, of_show] = show::start(&arguments.folder).map_err(|diagnostic| vec![diagnostic])?;
    if console.is_json() {
        console.document(&json!({ "recipe": recipe, "show": of_show }));
        return Ok(Outcome::Fine);
    }
    let (look, show) = (recipe.display(), of_show.display());
    let strong = |file: &dyn std::fmt::Display| console.emphasise(Emphasis::Strong, &file.to_string());
    console.text(&format!(
        "{} (one look) and {} (cameras, monitors, setups) are written, and compile as they are.\n\n\
         Next:\n\
        \x20 lookwright encodings           find your camera's curve and gamut, and write them into both\n\
        \x20 lookwright explain {look}\n\
        \x20                                see the curve, the signal of each stop and the cast\n\
        \x20 lookwright compile {look}\n\
        \x20                                make the LUT file that one monitor loads, proved\n\
        \x20 lookwright compile {show}\n\
        \x20                                make the files of all cameras and monitors, and the card that says where each goes\n",
        strong(&look),
        strong(&show),
    ));
    Ok(Outcome::Fine)
}
