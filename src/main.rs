//! The command-line program.

#![warn(clippy::print_stdout, clippy::print_stderr)]

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
