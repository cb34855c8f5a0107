//! Lines of a list: what each is, and where its pieces stand.

use crate::diagnostics::{SourceText, Span};
use std::borrow::Cow;
use std::ops::Range;

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    /// An event: it begins with a number.
    Event,
    /// `TITLE:`.
    Title,
    /// `FCM:`, about the events that follow.
    FrameMode,
    /// `SPLIT:`, about the events that follow.
    Split,
    /// Nothing.
    Empty,
    /// Anything else, which is about the event before.
    Other,
}

/// One line of a list.
#[derive(Clone, Debug)]
pub(super) struct Line<'a> {
    /// From 1.
    pub(super) number: usize,
    /// Its bytes, without its end.
    pub(super) bytes: &'a [u8],
    /// The bytes of its end; none at the end of the file.
    pub(super) end: &'a [u8],
    /// Its characters: UTF-8 where it is, else one a byte (Latin-1).
    pub(super) text: Cow<'a, str>,
}

/// All lines of a file.
pub(super) fn lines(bytes: &[u8]) -> Vec<Line<'_>> {
    let mut lines = Vec::new();
    let mut start = 0;
    while start < bytes.len() {
        let rest = &bytes[start..];
        let length = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
        let width = match &rest[length..] {
            [b'\r', b'\n', ..] => 2,
            [_, ..] => 1,
            [] => 0,
        };
        let line = &rest[..length];
        let end = &rest[length..length + width];
        lines.push(Line { number: lines.len() + 1, bytes: line, end, text: decode(line) });
        start += length + width;
    }
    lines
}

/// Whether a word is the number of an event; some lists put a letter behind it.
fn is_number(word: &str) -> bool {
    word.starts_with(|first: char| first.is_ascii_digit()) && word.bytes().all(|byte| byte.is_ascii_alphanumeric())
}

/// The characters: UTF-8 where the line is, else Latin-1.
fn decode(bytes: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|byte| char::from(*byte)).collect()),
    }
}

/// Characters of a line that a diagnostic keeps before its mark and in all.
const EXCERPT: (usize, usize) = (80, 320);

impl Line<'_> {
    /// The text without a byte order mark.
    fn content(&self) -> &str {
        self.text.strip_prefix('\u{FEFF}').unwrap_or(&self.text)
    }

    pub(super) fn class(&self) -> Class {
        let text = self.content().trim();
        let starts = |word: &str| text.get(..word.len()).is_some_and(|head| head.eq_ignore_ascii_case(word));
        if text.is_empty() {
            Class::Empty
        } else if starts("TITLE:") {
            Class::Title
        } else if starts("FCM:") {
            Class::FrameMode
        } else if starts("SPLIT:") {
            Class::Split
        } else if is_number(text.split_whitespace().next().unwrap_or_default()) {
            Class::Event
        } else {
            Class::Other
        }
    }

    /// What stands after the colon.
    pub(super) fn after_colon(&self) -> &str {
        self.text.split_once(':').map_or("", |(_, rest)| rest.trim())
    }

    /// The words, each with its bytes in [`Self::text`].
    pub(super) fn words(&self) -> Vec<(&str, Range<usize>)> {
        self.content()
            .split_whitespace()
            .map(|word| {
                let start = self.offset(word);
                (word, start..start + word.len())
            })
            .collect()
    }

    /// Where a piece of the text stands in it.
    pub(super) fn offset(&self, piece: &str) -> usize {
        piece.as_ptr() as usize - self.text.as_ptr() as usize
    }

    /// The place of bytes of [`Self::text`], in an excerpt that stays small however long the line is.
    pub(super) fn span(&self, source_name: &str, range: Range<usize>) -> Span {
        let skipped = self.text[..range.start].chars().count().saturating_sub(EXCERPT.0);
        let mut text = String::new();
        let (mut start, mut end) = (None, None);
        for (offset, one) in self.text.char_indices().skip(skipped).take(EXCERPT.1) {
            if offset >= range.start {
                start.get_or_insert(text.len());
            }
            if offset >= range.end {
                end.get_or_insert(text.len());
            }
            text.push(if one.is_control() && one != '\t' { char::REPLACEMENT_CHARACTER } else { one });
        }
        let start = start.unwrap_or(text.len());
        let range = start..end.unwrap_or(text.len()).max(start);
        Span { source: SourceText::excerpt(source_name, text, self.number, skipped + 1), range }
    }

    /// The place of the whole line without the blanks around it.
    pub(super) fn whole(&self, source_name: &str) -> Span {
        let text = self.content();
        let start = self.offset(text.trim_start());
        self.span(source_name, start..start + text.trim().len())
    }
}
