//! Where things stand in the text, and what is said about them.

use crate::diagnostics::{Code, Diagnostic, Span, codes};
use crate::formats::cube::line;
use roxmltree::TextPos;
use std::ops::Range;

/// An element of the document.
pub(super) type Element<'d, 'i> = roxmltree::Node<'d, 'i>;

/// Something that was wrong, and has been said.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reported;

/// What was read, if it was right.
pub(super) type Read<T> = Result<T, Reported>;

/// Where the reading of a file stands.
pub(super) struct Reader<'a> {
    source_name: &'a str,
    pub(super) text: &'a str,
    pub(super) faults: Vec<Diagnostic>,
    pub(super) warnings: Vec<Diagnostic>,
}

/// Warnings that are kept: a kind of departure may come with each of many steps.
const WARNINGS_MAX: usize = 20;

impl<'a> Reader<'a> {
    pub(super) fn new(source_name: &'a str, text: &'a str) -> Self {
        Self { source_name, text, faults: Vec::new(), warnings: Vec::new() }
    }

    /// Says what is wrong.
    pub(super) fn error(
        &mut self,
        code: &'static Code,
        message: &str,
        place: Range<usize>,
        label: impl Into<String>,
        help: &str,
    ) -> Reported {
        let span = span_in(self.source_name, self.text.as_bytes(), place);
        self.faults.push(Diagnostic::error(code, message).at(span, label).help(help));
        Reported
    }

    /// Says what departs from the format.
    pub(super) fn warn(&mut self, message: &str, place: Range<usize>, label: &str) {
        if self.warnings.len() < WARNINGS_MAX {
            let span = span_in(self.source_name, self.text.as_bytes(), place);
            let help = "write the file again if a program refuses it";
            self.warnings.push(Diagnostic::warning(&codes::CLF_FORM, message).at(span, label).help(help));
        }
    }

    /// The place of an element's opening: `<` and its name.
    pub(super) fn tag(&self, element: Element<'_, '_>) -> Range<usize> {
        let start = element.range().start;
        let name = self.text[start..].find(|c: char| c.is_whitespace() || matches!(c, '>' | '/')).unwrap_or(1);
        start..start + name
    }

    /// What stands between the tags of an element.
    pub(super) fn content(&self, element: Element<'_, '_>) -> Range<usize> {
        let whole = element.range();
        match element.first_child() {
            None => whole.end..whole.end,
            Some(child) => {
                let start = child.range().start;
                start..start + self.text[start..whole.end].rfind("</").unwrap_or(0)
            }
        }
    }

    /// The byte at a line and column.
    pub(super) fn offset(&self, place: TextPos) -> Range<usize> {
        let mut at = 0;
        for _ in 1..place.row {
            at += self.text[at..].find('\n').map_or(self.text.len() - at, |length| length + 1);
        }
        let line = &self.text[at..];
        let column = (place.col as usize).saturating_sub(1);
        let (start, length) = line
            .char_indices()
            .nth(column)
            .map_or((line.len(), 0), |(offset, character)| (offset, character.len_utf8()));
        at + start..at + start + length
    }
}

/// A place in bytes, as an excerpt of its line.
pub(super) fn span_in(source_name: &str, bytes: &[u8], place: Range<usize>) -> Span {
    let at = place.start.min(bytes.len());
    let start = bytes[..at].iter().rposition(|&byte| byte == b'\n').map_or(0, |newline| newline + 1);
    let number = bytes[..start].iter().filter(|&&byte| byte == b'\n').count() + 1;
    let (line, _) = line::line_at(bytes, start, number);
    line::span(source_name, &line, at - start..(place.end.max(at) - start).min(line.bytes.len().max(at - start)))
}

/// A word of the file as a message repeats it.
pub(super) fn shown(word: &str) -> String {
    line::shown(word.as_bytes())
}

/// Characters of a parser's message that are repeated: it may hold a name from the file, of any length.
const MESSAGE_CHARACTERS: usize = 120;

/// An XML parser's message without the " at 1:2" that the place says already.
pub(super) fn without_position(message: &str) -> String {
    let is_place = |tail: &str| tail.chars().all(|c| c.is_ascii_digit() || c == ':');
    let message = match message.rsplit_once(" at ") {
        Some((head, tail)) if is_place(tail) => head,
        _ => message,
    };
    message
        .chars()
        .take(MESSAGE_CHARACTERS)
        .map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c })
        .collect()
}
