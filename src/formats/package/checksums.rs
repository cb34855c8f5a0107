//! The list of checksums of a package, as `sha256sum -c` reads it.
//!
//! Source of the form: GNU Coreutils manual, "cksum output modes" and "sha2 utilities" (bibliography: coreutils).

use super::{CHECKSUMS, shown};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes};
use crate::plan::hex;
use std::fmt::Write;

/// Digits of a SHA-256.
const DIGITS: usize = 64;

/// A line of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checksum {
    /// The SHA-256 of the file.
    pub sha256: [u8; 32],
    /// Its path in the package.
    pub path: String,
}

/// The text of a list, sorted by path.
///
/// Paths have neither backslash nor line break, which would need marks that not every tool knows: a [`super::PackageWriter`]
/// refuses them.
#[must_use]
pub fn format_checksums(sums: &[Checksum]) -> String {
    let mut sorted: Vec<&Checksum> = sums.iter().collect();
    sorted.sort_by(|one, other| one.path.cmp(&other.path));
    sorted.iter().fold(String::new(), |mut text, sum| {
        let _ = writeln!(text, "{}  {}", hex(&sum.sha256), sum.path);
        text
    })
}

/// Reads a list. A star before the path, for binary files, is accepted as the tool does.
///
/// # Errors
/// For each line that is none of a list, up to [`super::MAX_PROBLEMS`].
pub fn parse_checksums(bytes: &[u8]) -> Result<Vec<Checksum>, Vec<Diagnostic>> {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(vec![Diagnostic::error(&codes::CHECKSUMS_FORM, format!("{CHECKSUMS} is not UTF-8 text"))]);
    };
    let mut sums = Vec::new();
    let mut problems = super::Problems::default();
    for (index, line) in text.lines().enumerate() {
        match parse_line(line) {
            Some(sum) => sums.push(sum),
            None => problems.add(wrong_line(index, line)),
        }
    }
    problems.refuse()?;
    Ok(sums)
}

fn parse_line(line: &str) -> Option<Checksum> {
    let (digits, rest) = line.split_at_checked(DIGITS)?;
    let path = rest.strip_prefix("  ").or_else(|| rest.strip_prefix(" *"))?;
    let mut sha256 = [0; 32];
    for (byte, pair) in sha256.iter_mut().zip(digits.as_bytes().chunks_exact(2)) {
        *byte = 16 * digit(pair[0])? + digit(pair[1])?;
    }
    (!path.is_empty()).then(|| Checksum { sha256, path: path.to_owned() })
}

fn digit(byte: u8) -> Option<u8> {
    char::from(byte).to_digit(16).and_then(|value| u8::try_from(value).ok())
}

fn wrong_line(index: usize, line: &str) -> Diagnostic {
    /// Enough of a line to see what it is.
    const EXCERPT: usize = 200;
    let excerpt: String = line.chars().take(EXCERPT).collect();
    let message = format!("line {} of {CHECKSUMS} is no checksum of a file", index + 1);
    let span = Span { range: 0..excerpt.len(), source: SourceText::excerpt(CHECKSUMS, excerpt, index + 1, 1) };
    Diagnostic::error(&codes::CHECKSUMS_FORM, message)
        .at(span, format!("expected {DIGITS} hexadecimal digits, two spaces and a path, found {}", shown(line)))
}
