//! `sheet`: the sheets of a show's setups, for the set.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::show_file;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::atomic::write_atomically;
use lookwright::report;
use lookwright::show::{self, SetupSheet};
use serde_json::json;
use std::path::{Path, PathBuf};

/// Write a sheet for each setup of a show: camera, lights, filters, casts, stop, files, cautions
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright sheet show.toml
           lookwright sheet show.toml --setup 14a
           lookwright sheet show.toml --setup 14a --print        as text, on the terminal

The sheets are pages (for paper and phone) and texts; they stand beside the show's LUT files, in `sheets`.")]
pub struct Arguments {
    /// The show
    #[arg(value_name = "SHOW")]
    file: PathBuf,

    /// Only this setup
    #[arg(long, value_name = "ID")]
    setup: Option<String>,

    /// Folder that the show's own folder is in
    #[arg(long, value_name = "DIR", default_value = "luts-out")]
    out: PathBuf,

    /// Print the text instead of writing files
    #[arg(long)]
    print: bool,
}

/// Folder of the sheets, in the show's.
const SHEETS: &str = "sheets";

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let (show, warnings) = show_file::load(&arguments.file, "sheets are")?;
    let only = match &arguments.setup {
        None => None,
        Some(id) => Some(super::compile_show::setup(&show, id)?),
    };
    let work = show::prepare(show, warnings)?;
    let sheets = show::sheets(&work, only, None)?;
    let mut written = Vec::new();
    if !arguments.print {
        let folder = show::folder_of(&arguments.out, &work.show);
        show::check_folder(&folder, &work.show)?;
        written = write(&folder.join(SHEETS), &sheets)?;
    }
    if console.is_json() {
        console.document(&json!({
            "show": work.show.name.text,
            "setups": sheets,
            "files": written,
            "diagnostics": as_json(&work.warnings),
        }));
        return Ok(Outcome::Fine);
    }
    console.warnings(&work.warnings);
    if sheets.is_empty() {
        console.text("The show has no setups.\n");
    }
    for (place, sheet) in sheets.iter().enumerate() {
        if arguments.print {
            console.text(&report::setup_sheet_text(sheet));
        } else {
            let head = console.emphasise(Emphasis::Strong, &format!("setup {}", sheet.id));
            console.text(&format!("{head}  {}  {}\n", sheet.look.name, written[2 * place].display()));
        }
    }
    Ok(Outcome::Fine)
}

/// Writes a page and a text for each, and gives their paths.
fn write(folder: &Path, sheets: &[SetupSheet]) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
    let unwritable = |path: &Path, error: &std::io::Error| {
        let message = format!("{}: {error}", path.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("name another folder with --out")]
    };
    std::fs::create_dir_all(folder).map_err(|error| unwritable(folder, &error))?;
    let mut written = Vec::new();
    for sheet in sheets {
        // Ids are unique without case, and made of characters that any file name may have.
        let stem = format!("setup-{}", sheet.id.to_ascii_lowercase());
        for (end, page) in [("html", report::setup_sheet_html(sheet)), ("txt", report::setup_sheet_text(sheet))] {
            let path = folder.join(format!("{stem}.{end}"));
            write_atomically(&path, page.as_bytes()).map_err(|error| unwritable(&path, &error))?;
            written.push(path);
        }
    }
    Ok(written)
}
