//! Exit codes: 0 fine, 1 checked and out of tolerance, 2 bad input or usage, 3 could not read or write.

use super::console::Console;
use lookwright::diagnostics::Diagnostic;
use std::process::ExitCode;

/// How a command ended, if nothing was wrong with its input.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Everything is as it should be.
    Fine,
    /// Something was checked and is out of tolerance.
    OutOfTolerance,
}

/// What a command gives back: how it ended, or everything that is wrong with its input.
pub type CommandResult = Result<Outcome, Vec<Diagnostic>>;

/// Codes about files and folders that can't be read or written start with this.
const FILE_CODES: &str = "LW04";

/// Renders what is wrong, and turns the result into the process's exit code.
pub fn code(result: CommandResult, console: &Console) -> ExitCode {
    match result {
        Ok(Outcome::Fine) => ExitCode::SUCCESS,
        Ok(Outcome::OutOfTolerance) => ExitCode::from(1),
        Err(diagnostics) => {
            console.failure(&diagnostics);
            let files_only = diagnostics
                .iter()
                .filter(|d| d.is_error())
                .all(|diagnostic| diagnostic.code.id.starts_with(FILE_CODES));
            ExitCode::from(if files_only { 3 } else { 2 })
        }
    }
}
