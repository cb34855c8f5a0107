//! `man`: the manual pages, one for the program and one for each command.

use super::Cli;
use super::console::{Console, as_json};
use super::exit::{CommandResult, Outcome};
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::atomic::write_atomically;
use serde_json::json;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Print the manual page, or write those of all commands to a folder
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright man | man -l -
           lookwright man --out ~/.local/share/man/man1")]
pub struct Arguments {
    /// Folder that all pages are written to; it is made if it is missing
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// One page: its file name and its text in roff.
struct Page {
    name: String,
    text: Vec<u8>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let pages = pages().map_err(|error| {
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, format!("the manual pages can't be made: {error}"))]
    })?;
    let Some(folder) = &arguments.out else {
        if console.is_json() {
            let pages: Vec<_> = pages
                .iter()
                .map(|page| json!({"file": page.name, "text": String::from_utf8_lossy(&page.text)}))
                .collect();
            console.document(&json!({ "pages": pages }));
        } else if let Some(page) = pages.first() {
            console.text(&String::from_utf8_lossy(&page.text));
        }
        return Ok(Outcome::Fine);
    };
    let written = write(&pages, folder)?;
    if console.is_json() {
        console.document(&json!({ "files": written, "diagnostics": as_json(&[]) }));
    } else {
        let lines: Vec<String> = written.iter().map(|path| format!("{}\n", path.display())).collect();
        console.text(&lines.concat());
    }
    Ok(Outcome::Fine)
}

/// The program's page first, then one for each command.
fn pages() -> io::Result<Vec<Page>> {
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut pages = vec![page(program.clone())?];
    for command in program.get_subcommands().filter(|command| !command.is_hide_set()) {
        pages.push(page(command.clone())?);
    }
    Ok(pages)
}

fn page(command: Command) -> io::Result<Page> {
    let man = Man::new(command);
    let mut text = Vec::new();
    man.render(&mut text)?;
    Ok(Page { name: man.get_filename(), text })
}

fn write(pages: &[Page], folder: &Path) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
    let unwritable = |path: &Path, error: io::Error| {
        let diagnostic = Diagnostic::error(&codes::FILE_UNWRITABLE, format!("{}: {error}", path.display()));
        vec![diagnostic.help("choose another folder with --out")]
    };
    fs::create_dir_all(folder).map_err(|error| unwritable(folder, error))?;
    let mut written = Vec::new();
    for page in pages {
        let path = folder.join(&page.name);
        write_atomically(&path, &page.text).map_err(|error| unwritable(&path, error))?;
        written.push(path);
    }
    Ok(written)
}
