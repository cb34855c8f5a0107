//! Lines of a cube file, and the small excerpts of them that diagnostics keep.

use crate::diagnostics::{SourceText, Span};
use std::ops::Range;

/// How a line ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::formats) enum LineEnd {
    /// A line feed, as it should be.
    LineFeed,
    /// Carriage return and line feed.
    CarriageReturnLineFeed,
    /// A lone carriage return.
    CarriageReturn,
    /// The end of the file.
    None,
}

/// One line without its end.
#[derive(Clone, Copy, Debug)]
pub(in crate::formats) struct Line<'a> {
    /// From 1.
    pub(in crate::formats) number: usize,
    /// Its bytes.
    pub(in crate::formats) bytes: &'a [u8],
    /// How it ends.
    pub(in crate::formats) end: LineEnd,
}

/// The line that starts at `at`, and where the next one starts.
pub(in crate::formats) fn line_at(bytes: &[u8], at: usize, number: usize) -> (Line<'_>, usize) {
    let rest = &bytes[at.min(bytes.len())..];
    let length = rest.iter().position(|&byte| byte == b'\n' || byte == b'\r').unwrap_or(rest.len());
    let (end, width) = match &rest[length..] {
        [b'\n', ..] => (LineEnd::LineFeed, 1),
        [b'\r', b'\n', ..] => (LineEnd::CarriageReturnLineFeed, 2),
        [b'\r', ..] => (LineEnd::CarriageReturn, 1),
        _ => (LineEnd::None, 0),
    };
    (Line { number, bytes: &rest[..length], end }, at + length + width)
}

/// Whether a byte separates values.
pub(super) fn is_blank(byte: u8) -> bool {
    byte == b' ' || byte == b'\t'
}

/// The values of a line: the places of the first four, and how many there are.
pub(super) struct Tokens {
    places: [(usize, usize); 4],
    /// How many there are in all.
    pub(super) count: usize,
}

impl Tokens {
    /// Splits `bytes` at blanks, from byte `from` on.
    pub(super) fn of(bytes: &[u8], from: usize) -> Self {
        let mut tokens = Self { places: [(0, 0); 4], count: 0 };
        let mut at = from;
        while let Some(skipped) = bytes[at..].iter().position(|&byte| !is_blank(byte)) {
            let start = at + skipped;
            let length = bytes[start..].iter().position(|&byte| is_blank(byte)).unwrap_or(bytes.len() - start);
            at = start + length;
            if let Some(place) = tokens.places.get_mut(tokens.count) {
                *place = (start, at);
            }
            tokens.count += 1;
        }
        tokens
    }

    /// The places of the first four values in the line, or of as many as there are.
    pub(super) fn places(&self) -> impl Iterator<Item = Range<usize>> + '_ {
        self.places.iter().take(self.count).map(|&(start, end)| start..end)
    }
}

/// Bytes before the mark that an excerpt keeps at most.
const EXCERPT_BEFORE: usize = 80;
/// Bytes of a line that an excerpt keeps at most: a line of the format has 250.
const EXCERPT_BYTES: usize = 320;

/// The place `range` of a line, in an excerpt that stays small however long the line is.
pub(in crate::formats) fn span(source_name: &str, line: &Line<'_>, range: Range<usize>) -> Span {
    let from = if line.bytes.len() <= EXCERPT_BYTES { 0 } else { range.start.saturating_sub(EXCERPT_BEFORE) };
    let mut text = String::new();
    let (mut first_column, mut start, mut end) = (1, None, None);
    for (offset, character) in characters(line.bytes) {
        if offset < from {
            first_column += 1;
            continue;
        }
        if offset >= from + EXCERPT_BYTES {
            break;
        }
        if offset >= range.start {
            start.get_or_insert(text.len());
        }
        if offset >= range.end {
            end.get_or_insert(text.len());
        }
        text.push(visible(character));
    }
    let start = start.unwrap_or(text.len());
    let range = start..end.unwrap_or(text.len()).max(start);
    Span { source: SourceText::excerpt(source_name, text, line.number, first_column), range }
}

/// The characters of a line with their byte offsets: UTF-8 where it is, else one character a byte (Latin-1).
fn characters(bytes: &[u8]) -> Box<dyn Iterator<Item = (usize, char)> + '_> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Box::new(text.char_indices()),
        Err(_) => Box::new(bytes.iter().map(|&byte| char::from(byte)).enumerate()),
    }
}

/// A character that can be shown on any terminal: control characters would move the cursor, or worse.
fn visible(character: char) -> char {
    match character {
        '\t' => '\t',
        // The pictures of the control characters stand in Unicode in the order of ASCII.
        '\0'..='\x1F' => char::from_u32(0x2400 + u32::from(character)).unwrap_or(char::REPLACEMENT_CHARACTER),
        _ if character.is_control() => char::REPLACEMENT_CHARACTER,
        _ => character,
    }
}

/// The text of a comment or a title, without control characters.
pub(super) fn decode(bytes: &[u8]) -> String {
    characters(bytes).map(|(_, character)| visible(character)).collect()
}

/// Characters of a value that a message repeats at most.
const SHOWN_CHARACTERS: usize = 24;

/// A value as a message repeats it: between backticks, never long.
pub(in crate::formats) fn shown(bytes: &[u8]) -> String {
    // Four bytes are the longest character, so that a cut here is behind what is shown.
    let head = &bytes[..bytes.len().min(4 * (SHOWN_CHARACTERS + 1))];
    let text = String::from_utf8_lossy(head);
    let mut characters = text.chars().map(visible);
    let mut shown: String = characters.by_ref().take(SHOWN_CHARACTERS).collect();
    if characters.next().is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}

#[cfg(test)]
mod tests {
    use super::{LineEnd, SHOWN_CHARACTERS, Tokens, line_at, shown, span};

    #[test]
    fn lines_end_in_every_known_way() {
        let text = b"a\nb\r\nc\rd";
        let mut at = 0;
        let mut found = Vec::new();
        for number in 1..=4 {
            let (line, next) = line_at(text, at, number);
            found.push((line.bytes.to_vec(), line.end));
            at = next;
        }
        let expected = [
            (b"a".to_vec(), LineEnd::LineFeed),
            (b"b".to_vec(), LineEnd::CarriageReturnLineFeed),
            (b"c".to_vec(), LineEnd::CarriageReturn),
            (b"d".to_vec(), LineEnd::None),
        ];
        assert_eq!(found, expected);
        assert_eq!(at, text.len());
    }

    #[test]
    fn tokens_are_counted_and_the_first_four_placed() {
        let tokens = Tokens::of(b"\t0 1  22\t3 4 ", 0);
        assert_eq!(tokens.count, 5);
        assert_eq!(tokens.places().collect::<Vec<_>>(), vec![1..2, 3..4, 6..8, 9..10]);
    }

    #[test]
    fn an_excerpt_of_a_long_line_is_small_and_keeps_line_and_column() {
        let mut bytes = "\u{e9}".repeat(10_000).into_bytes();
        bytes.extend(b"wrong");
        bytes.extend([b'x'; 10_000]);
        let (line, _) = line_at(&bytes, 0, 77);
        let place = span("long.cube", &line, 20_000..20_005);
        assert!(place.source.text.len() < 1000, "{} bytes", place.source.text.len());
        assert_eq!(&place.source.text[place.range.clone()], "wrong");
        assert_eq!(place.source.line_column(place.range.start), (77, 10_001));
    }

    #[test]
    fn control_characters_never_reach_a_message() {
        let (line, _) = line_at(b"0.1 \x1b[2J\x00", 0, 1);
        let place = span("x", &line, 4..8);
        assert!(!place.source.text.chars().any(char::is_control), "{:?}", place.source.text);
        assert!(!shown(b"\x1b[2J").chars().any(char::is_control));
        assert_eq!(shown(&[b'a'; 1000]).chars().count(), SHOWN_CHARACTERS + 3);
    }
}
