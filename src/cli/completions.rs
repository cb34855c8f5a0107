//! `completions`: a script that completes commands and options in a shell.

use super::Cli;
use super::console::Console;
use super::exit::{CommandResult, Outcome};
use clap::CommandFactory;
use clap_complete::{Shell, generate};
use serde_json::json;

/// Print a script that completes commands and options in your shell
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright completions bash > ~/.local/share/bash-completion/completions/lookwright
           lookwright completions zsh > ~/.zfunc/_lookwright      (a folder of $fpath)
           lookwright completions fish > ~/.config/fish/completions/lookwright.fish")]
pub struct Arguments {
    /// Shell
    shell: Shell,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut script = Vec::new();
    generate(arguments.shell, &mut Cli::command(), "lookwright", &mut script);
    let script = String::from_utf8_lossy(&script);
    if console.is_json() {
        console.document(&json!({ "shell": arguments.shell.to_string(), "script": script }));
    } else {
        console.text(&script);
    }
    Ok(Outcome::Fine)
}
