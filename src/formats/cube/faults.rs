//! What a reader has to say about a file: every error up to a limit, and one warning for each kind of departure.

use super::line::{Line, span};
use crate::diagnostics::{Code, Diagnostic, Span, codes};
use std::ops::Range;

/// Errors after which reading stops: what follows is most likely the same fault again.
pub(super) const ERRORS_MAX: usize = 20;

/// A departure from the format that is read all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Departure {
    ByteOrderMark,
    Utf8,
    Latin1,
    CarriageReturnLineFeed,
    CarriageReturn,
    Tab,
    LeadingSpace,
    EmptyLine,
    LowerCase,
    Exponent,
    PlusSign,
    WholeNumber,
    TitleMissing,
    TitleUnquoted,
    TitleOpen,
    TitleTwice,
    LateComment,
    InputRange,
    LongLine,
    Information,
}

/// How many kinds of departure there are.
const DEPARTURES: usize = Departure::Information as usize + 1;

/// What a device may do with most departures.
const EXPORT_AGAIN: &str = "write the file again with lookwright if a device refuses it";

impl Departure {
    /// Its code, what is wrong in one sentence, and what stands under the mark.
    fn describe(self) -> (&'static Code, &'static str, &'static str) {
        match self {
            Self::ByteOrderMark => (&codes::CUBE_ENCODING, "byte order mark", "expected ASCII, found a mark of UTF-8"),
            Self::Utf8 => (&codes::CUBE_ENCODING, "characters outside ASCII", "expected ASCII, found UTF-8"),
            Self::Latin1 => {
                (&codes::CUBE_ENCODING, "characters outside ASCII", "expected ASCII, found bytes read as Latin-1")
            }
            Self::CarriageReturnLineFeed => {
                (&codes::CUBE_LINE_ENDS, "line ends in CR LF", "expected a line feed, found CR LF here")
            }
            Self::CarriageReturn => (&codes::CUBE_LINE_ENDS, "line ends in CR", "expected a line feed, found CR here"),
            Self::Tab => (&codes::CUBE_SPACING, "tab between values", "expected a space, found a tab"),
            Self::LeadingSpace => {
                (&codes::CUBE_SPACING, "line starts with blanks", "expected the first value in column 1, found blanks")
            }
            Self::EmptyLine => (&codes::CUBE_SPACING, "empty line inside the table", "expected a row, found nothing"),
            Self::LowerCase => (&codes::CUBE_KEYWORD_CASE, "keyword not in capitals", "expected capitals"),
            Self::Exponent => (&codes::CUBE_NUMBER_FORM, "number with an exponent", "expected digits and a point"),
            Self::PlusSign => (&codes::CUBE_NUMBER_FORM, "number with a plus sign", "expected no sign"),
            Self::WholeNumber => (&codes::CUBE_NUMBER_FORM, "whole number in the table", "expected a decimal point"),
            Self::TitleMissing => (
                &codes::CUBE_TITLE_FORM,
                "the file has no title",
                "expected TITLE \"…\" before the first row, found none",
            ),
            Self::TitleUnquoted => (&codes::CUBE_TITLE_FORM, "title not in quotes", "expected one text between quotes"),
            Self::TitleOpen => (&codes::CUBE_TITLE_FORM, "title quote not closed", "expected a closing quote"),
            Self::TitleTwice => (&codes::CUBE_TITLE_FORM, "second title", "expected one title; this one is skipped"),
            Self::LateComment => {
                (&codes::CUBE_COMMENT_PLACE, "comment after the first row", "expected comments before the table")
            }
            Self::InputRange => {
                (&codes::CUBE_INPUT_RANGE, "input range read as the domain", "expected DOMAIN_MIN and DOMAIN_MAX")
            }
            Self::LongLine => (&codes::CUBE_LONG_LINE, "line longer than 250 bytes", "expected at most 250 bytes"),
            Self::Information => {
                (&codes::CUBE_KEYWORD_IGNORED, "keyword without effect on the table", "expected TITLE or a comment")
            }
        }
    }
}

/// A departure that was seen.
struct Seen {
    departure: Departure,
    place: Span,
    first_line: usize,
    last_line: usize,
    /// How many lines besides the first.
    further: usize,
}

/// All that is wrong or doubtful so far.
pub(super) struct Faults<'a> {
    source_name: &'a str,
    errors: Vec<Diagnostic>,
    seen: [Option<Seen>; DEPARTURES],
}

impl<'a> Faults<'a> {
    pub(super) fn new(source_name: &'a str) -> Self {
        Self { source_name, errors: Vec::new(), seen: [const { None }; DEPARTURES] }
    }

    /// A place in a line of this file.
    pub(super) fn span(&self, line: &Line<'_>, range: Range<usize>) -> Span {
        span(self.source_name, line, range)
    }

    /// Notes an error.
    pub(super) fn error(&mut self, error: Diagnostic) {
        self.errors.push(error);
    }

    /// Notes a departure at bytes `range` of a line. A kind is kept once, with a count of the lines that have it.
    pub(super) fn depart(&mut self, departure: Departure, line: &Line<'_>, range: Range<usize>) {
        let slot = &mut self.seen[departure as usize];
        match slot {
            Some(seen) if seen.last_line == line.number => {}
            Some(seen) => {
                seen.further += 1;
                seen.last_line = line.number;
            }
            None => {
                let place = span(self.source_name, line, range);
                *slot = Some(Seen { departure, place, first_line: line.number, last_line: line.number, further: 0 });
            }
        }
    }

    /// Whether there are any errors.
    pub(super) fn any_error(&self) -> bool {
        !self.errors.is_empty()
    }

    /// Whether there are so many errors that reading on makes no sense.
    pub(super) fn full(&self) -> bool {
        self.errors.len() >= ERRORS_MAX
    }

    /// The errors in the order found, then the warnings in the order of their lines.
    pub(super) fn into_diagnostics(mut self) -> Vec<Diagnostic> {
        if self.full()
            && let Some(last) = self.errors.pop()
        {
            self.errors.push(last.help(format!("reading stopped here, after {ERRORS_MAX} errors")));
        }
        self.errors.extend(warnings(self.seen));
        self.errors
    }
}

/// One warning for each kind of departure that was seen.
fn warnings(seen: [Option<Seen>; DEPARTURES]) -> Vec<Diagnostic> {
    let mut seen: Vec<Seen> = seen.into_iter().flatten().collect();
    seen.sort_by_key(|seen| seen.first_line);
    seen.into_iter()
        .map(|seen| {
            let (code, message, label) = seen.departure.describe();
            let message = match seen.further {
                0 => format!("{message}, line {}", seen.first_line),
                1 => format!("{message}, line {} and one more", seen.first_line),
                further => format!("{message}, line {} and {further} more", seen.first_line),
            };
            Diagnostic::warning(code, message).at(seen.place, label).help(EXPORT_AGAIN)
        })
        .collect()
}
