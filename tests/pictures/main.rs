//! Still pictures: files in and out, looks applied to frames, and test frames.

mod application;
mod builders;
mod charts;
mod hostile_files;
mod hostile_notes;
mod notes;
mod other_readers;
mod round_trips;
mod screens;
mod standard_files;
mod wrong_files;

use lookwright::diagnostics::Diagnostic;
use lookwright::picture::{Frame, Samples};

/// The codes of a frame of codes.
fn codes(frame: &Frame) -> &[u16] {
    match frame.samples() {
        Samples::Codes(codes) => codes,
        Samples::Floats(_) => panic!("expected a frame of codes, found floats"),
    }
}

/// The values of a frame of floats.
fn floats(frame: &Frame) -> &[f32] {
    match frame.samples() {
        Samples::Floats(values) => values,
        Samples::Codes(_) => panic!("expected a frame of floats, found codes"),
    }
}

/// The one diagnostic of a refusal: its code, and its message with what to do.
fn refusal<T: std::fmt::Debug>(result: Result<T, Vec<Diagnostic>>, what: &str) -> (&'static str, String) {
    let diagnostics = result.expect_err(&format!("{what} should be refused"));
    assert_eq!(diagnostics.len(), 1, "{what}: {diagnostics:?}");
    let diagnostic = &diagnostics[0];
    assert!(diagnostic.is_error(), "{what}: {diagnostic:?}");
    assert!(!diagnostic.help.is_empty(), "{what}: the message says nothing about what to do: {}", diagnostic.message);
    (diagnostic.code.id, format!("{} | {}", diagnostic.message, diagnostic.help.join(" | ")))
}
