//! What is wrong or doubtful, as values: a stable code, a severity, a place, and what to do.
//!
//! The library never prints. The binary renders a [`Diagnostic`] with the line and a mark under it, or as JSON.

pub mod codes;

pub use codes::Code;
use std::ops::Range;
use std::sync::Arc;

/// A text that diagnostics can point into: a file, or a command-line argument.
#[derive(Debug, PartialEq, Eq)]
pub struct SourceText {
    /// Name as the user wrote it: a path, or `--set white.warmer_mired=5`.
    pub name: String,
    /// The whole text, or the excerpt that a diagnostic needs.
    pub text: String,
    /// Number of the first line of `text` in the file, from 1; above 1 for an excerpt.
    pub first_line: usize,
    /// Column of the first character of `text` in its line, from 1; above 1 where an excerpt starts inside a line.
    pub first_column: usize,
}

impl SourceText {
    /// A shared source text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        Self::excerpt(name, text, 1, 1)
    }

    /// A shared part of a text that is too large to keep: it starts at the given line and column of the file.
    #[must_use]
    pub fn excerpt(
        name: impl Into<String>,
        text: impl Into<String>,
        first_line: usize,
        first_column: usize,
    ) -> Arc<Self> {
        Arc::new(Self { name: name.into(), text: text.into(), first_line, first_column })
    }

    /// Line and column in the file of a byte offset in the text, both from 1; the column counts characters.
    #[must_use]
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        match before.rfind('\n') {
            None => (self.first_line, self.first_column + before.chars().count()),
            Some(newline) => {
                (self.first_line + before.matches('\n').count(), before[newline + 1..].chars().count() + 1)
            }
        }
    }
}

/// A place in a [`SourceText`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text.
    pub source: Arc<SourceText>,
    /// Byte range in it.
    pub range: Range<usize>,
}

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Possible, but doubtful. Work goes on.
    Warning,
    /// Wrong. Nothing is written.
    Error,
}

/// One thing that is wrong or doubtful.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Stable code, explained in `docs/diagnostics.md`.
    pub code: &'static Code,
    /// How bad it is.
    pub severity: Severity,
    /// What is wrong, in one sentence without a final stop.
    pub message: String,
    /// Where, if there is a place in a text.
    pub span: Option<Span>,
    /// What stands under the mark: "expected …, found …".
    pub label: String,
    /// What to do, one remedy each.
    pub help: Vec<String>,
}

impl Diagnostic {
    /// An error with no place yet.
    #[must_use]
    pub fn error(code: &'static Code, message: impl Into<String>) -> Self {
        Self::new(code, Severity::Error, message)
    }

    /// A warning with no place yet.
    #[must_use]
    pub fn warning(code: &'static Code, message: impl Into<String>) -> Self {
        Self::new(code, Severity::Warning, message)
    }

    fn new(code: &'static Code, severity: Severity, message: impl Into<String>) -> Self {
        Self { code, severity, message: message.into(), span: None, label: String::new(), help: Vec::new() }
    }

    /// The same with a place and what stands under the mark.
    #[must_use]
    pub fn at(mut self, span: Span, label: impl Into<String>) -> Self {
        self.span = Some(span);
        self.label = label.into();
        self
    }

    /// The same with one more remedy.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }

    /// Whether it stops the work.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// The known name nearest to what was written, if one is near enough to be meant.
///
/// Near is a Damerau–Levenshtein distance of at most a third of the length, and never more than 4.
#[must_use]
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let canonical = crate::colour::canonical_name(written);
    known
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(&canonical, &crate::colour::canonical_name(name)), name))
        .filter(|(distance, name)| *distance <= (name.len() / 3).clamp(1, 4))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}
