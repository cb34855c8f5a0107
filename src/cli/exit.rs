//! Exit codes: 0 fine, 1 checked and out of tolerance, 2 bad input or usage, 3 could not read or write, 130 stopped.

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
    /// Some of many inputs failed; that was printed beside the results of the others. The code of [`failure_code`].
    Partly(u8),
    /// Stopped by Ctrl-C; what was made until then was told.
    Stopped,
}

/// What a command gives back: how it ended, or everything that is wrong with its input.
pub type CommandResult = Result<Outcome, Vec<Diagnostic>>;

/// 128 and the number of the signal, as shells have it.
const STOPPED_CODE: u8 = 130;

/// Codes about files and folders that can't be read or written start with this.
const FILE_CODES: &str = "LW04";

/// Renders what is wrong, and turns the result into the process's exit code.
pub fn code(result: CommandResult, console: &Console) -> ExitCode {
    match result {
        Ok(Outcome::Fine) if console.lost() => {
            console.note("error: the output could not be written");
            ExitCode::from(3)
        }
        Ok(Outcome::Fine) => ExitCode::SUCCESS,
        Ok(Outcome::OutOfTolerance) => ExitCode::from(1),
        Ok(Outcome::Partly(code)) => ExitCode::from(code),
        Ok(Outcome::Stopped) => ExitCode::from(STOPPED_CODE),
        Err(diagnostics) => {
            console.failure(&diagnostics);
            ExitCode::from(failure_code(&diagnostics))
        }
    }
}

/// 3 where files and folders alone are the trouble, else 2.
pub fn failure_code(diagnostics: &[Diagnostic]) -> u8 {
    let mut errors = diagnostics.iter().filter(|diagnostic| diagnostic.is_error());
    if errors.all(|diagnostic| diagnostic.code.id.starts_with(FILE_CODES)) { 3 } else { 2 }
}
