//! The keywords before the table, and what they mean together.

use super::faults::{Departure, Faults};
use super::line::{Line, Tokens, is_blank, shown};
use super::number::parse_number;
use super::{SIZE_1D, SIZE_3D};
use crate::diagnostics::{Diagnostic, Span, codes, nearest};
use crate::lut::Domain;
use std::ops::{Range, RangeInclusive};

/// A keyword with a meaning for the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Keyword {
    Title,
    Size1,
    Size3,
    DomainMin,
    DomainMax,
    Range1,
    Range3,
}

/// Every such keyword as it is written.
const NAMES: [(&str, Keyword); 7] = [
    ("TITLE", Keyword::Title),
    ("LUT_1D_SIZE", Keyword::Size1),
    ("LUT_3D_SIZE", Keyword::Size3),
    ("DOMAIN_MIN", Keyword::DomainMin),
    ("DOMAIN_MAX", Keyword::DomainMax),
    ("LUT_1D_INPUT_RANGE", Keyword::Range1),
    ("LUT_3D_INPUT_RANGE", Keyword::Range3),
];

/// Keywords that can't change what a table means, whatever follows them. Common practice, no source.
const INFORMATION: [&str; 9] =
    ["AUTHOR", "COMMENT", "COPYRIGHT", "CREATED", "CREATOR", "DATE", "DESCRIPTION", "KEYWORDS", "LICENSE"];

/// Parts of the names of keywords that declare a video range. Common practice, no source.
const VIDEO_RANGE: [&str; 3] = ["VIDEO", "LEGAL", "LEVELS"];

/// Bytes of an unknown word that are compared with known ones: twice the longest keyword.
const KEYWORD_BYTES: usize = 40;

impl Keyword {
    /// The keyword that a word is, in capitals or not.
    pub(super) fn find(word: &[u8]) -> Option<Self> {
        NAMES.iter().find(|(name, _)| word.eq_ignore_ascii_case(name.as_bytes())).map(|&(_, keyword)| keyword)
    }

    fn name(self) -> &'static str {
        NAMES.iter().find(|&&(_, keyword)| keyword == self).map_or("", |&(name, _)| name)
    }
}

/// A keyword's value and its place. The value is absent where it was wrong, which has been said by then.
pub(super) struct Placed<T> {
    pub(super) value: Option<T>,
    pub(super) place: Span,
}

/// The keywords of a file.
#[derive(Default)]
pub(super) struct Header {
    pub(super) title: Option<String>,
    title_seen: bool,
    pub(super) size1: Option<Placed<usize>>,
    pub(super) size3: Option<Placed<usize>>,
    domain_min: Option<Placed<[f64; 3]>>,
    domain_max: Option<Placed<[f64; 3]>>,
    range1: Option<Placed<[f64; 2]>>,
    range3: Option<Placed<[f64; 2]>>,
}

impl Header {
    /// Takes a line that starts with a known keyword, `word` being its place.
    pub(super) fn take(&mut self, keyword: Keyword, line: &Line<'_>, word: Range<usize>, faults: &mut Faults<'_>) {
        if line.bytes[word.clone()].iter().any(u8::is_ascii_lowercase) {
            faults.depart(Departure::LowerCase, line, word.clone());
        }
        let values = word.end;
        match keyword {
            Keyword::Title => self.take_title(line, word, faults),
            Keyword::Size1 => {
                put(&mut self.size1, keyword, line, word, faults, |faults| size(keyword, SIZE_1D, line, values, faults))
            }
            Keyword::Size3 => {
                put(&mut self.size3, keyword, line, word, faults, |faults| size(keyword, SIZE_3D, line, values, faults))
            }
            Keyword::DomainMin => {
                put(&mut self.domain_min, keyword, line, word, faults, |faults| numbers(keyword, line, values, faults))
            }
            Keyword::DomainMax => {
                put(&mut self.domain_max, keyword, line, word, faults, |faults| numbers(keyword, line, values, faults))
            }
            Keyword::Range1 | Keyword::Range3 => {
                faults.depart(Departure::InputRange, line, word.clone());
                let slot = if keyword == Keyword::Range1 { &mut self.range1 } else { &mut self.range3 };
                put(slot, keyword, line, word, faults, |faults| numbers(keyword, line, values, faults));
            }
        }
    }

    /// The text behind `TITLE`: between quotes, or whatever stands there.
    fn take_title(&mut self, line: &Line<'_>, word: Range<usize>, faults: &mut Faults<'_>) {
        let rest = line.bytes[word.end..].trim_ascii();
        let all = word.start..line.bytes.len();
        if self.title_seen {
            faults.depart(Departure::TitleTwice, line, all);
            return;
        }
        self.title_seen = true;
        self.title = match rest {
            [] => {
                faults.depart(Departure::TitleMissing, line, all);
                None
            }
            [b'"', text @ .., b'"'] => Some(super::line::decode(text)),
            [b'"', text @ ..] => {
                faults.depart(Departure::TitleOpen, line, all);
                Some(super::line::decode(text))
            }
            text => {
                faults.depart(Departure::TitleUnquoted, line, all);
                Some(super::line::decode(text))
            }
        };
    }

    /// Rows that the sizes promise; `None` where there is no valid size.
    pub(super) fn rows_promised(&self) -> Option<usize> {
        // At most 65536 + 256³: no overflow.
        let one = self.size1.as_ref().map_or(Some(0), |size| size.value);
        let three = self.size3.as_ref().map_or(Some(0), |size| size.value.map(|size| size * size * size));
        one.zip(three).map(|(one, three)| one + three).filter(|&rows| rows > 0)
    }

    /// Whether a title was given, well or badly.
    pub(super) fn has_title(&self) -> bool {
        self.title_seen
    }

    /// The domains of the 1D and the 3D table. Every contradiction is an error.
    pub(super) fn domains(&self, faults: &mut Faults<'_>) -> [Domain; 2] {
        self.check_tables(faults);
        let domain = Domain {
            min: value_or(self.domain_min.as_ref(), Domain::UNIT.min),
            max: value_or(self.domain_max.as_ref(), Domain::UNIT.max),
        };
        // A value that is wrong has been reported; what stands in for it must not be blamed.
        let right = |placed: &Option<Placed<[f64; 3]>>| placed.as_ref().is_none_or(|placed| placed.value.is_some());
        if right(&self.domain_min)
            && right(&self.domain_max)
            && let Some(given) = self.domain_max.as_ref().or(self.domain_min.as_ref())
        {
            check_order(&domain, &given.place, faults);
        }
        [&self.range1, &self.range3].map(|range| {
            let Some(Placed { value: Some([low, high]), place }) = range else { return domain };
            let ranged = Domain { min: [*low; 3], max: [*high; 3] };
            check_order(&ranged, place, faults);
            let agrees = |placed: &Option<Placed<[f64; 3]>>, other: [f64; 3]| {
                placed.as_ref().and_then(|placed| placed.value).is_none_or(|value| value == other)
            };
            if !(agrees(&self.domain_min, ranged.min) && agrees(&self.domain_max, ranged.max)) {
                let error = Diagnostic::error(&codes::CUBE_DOMAIN, "input range contradicts the domain")
                    .at(place.clone(), "expected the same numbers as DOMAIN_MIN and DOMAIN_MAX, found others")
                    .help("take out the one that is wrong; whoever made the file can say which");
                faults.error(error);
            }
            ranged
        })
    }

    /// Which tables there are, and whether everything belongs to one of them.
    fn check_tables(&self, faults: &mut Faults<'_>) {
        let ranged = self.range1.is_some() || self.range3.is_some();
        if let (Some(_), Some(size), false) = (&self.size1, &self.size3, ranged) {
            let error = Diagnostic::error(&codes::CUBE_BOTH_SIZES, "1D and 3D table in one file")
                .at(size.place.clone(), "expected one size, found LUT_1D_SIZE and LUT_3D_SIZE without an input range")
                .help("keep the size that fits the rows, or add LUT_1D_INPUT_RANGE if the 1D table shapes the 3D one");
            faults.error(error);
        }
        for (range, size, name) in
            [(&self.range1, &self.size1, "LUT_1D_SIZE"), (&self.range3, &self.size3, "LUT_3D_SIZE")]
        {
            if let (Some(range), None) = (range, size) {
                let error = Diagnostic::error(&codes::CUBE_DOMAIN, "input range of a table that is not there")
                    .at(range.place.clone(), format!("expected {name} with it, found none"))
                    .help("use DOMAIN_MIN and DOMAIN_MAX for the table that is there");
                faults.error(error);
            }
        }
        let domain = self.domain_min.as_ref().or(self.domain_max.as_ref());
        let both_ranges = self.range1.is_some() && self.range3.is_some();
        if let (Some(domain), true, false) = (domain, self.shaped() && ranged, both_ranges) {
            let error = Diagnostic::error(&codes::CUBE_DOMAIN, "domain that could be of either table")
                .at(domain.place.clone(), "expected an input range for each table, found a domain beside one range")
                .help("give LUT_1D_INPUT_RANGE and LUT_3D_INPUT_RANGE, and no domain");
            faults.error(error);
        }
    }

    /// Whether the file has both sizes.
    pub(super) fn shaped(&self) -> bool {
        self.size1.is_some() && self.size3.is_some()
    }
}

/// The value of a keyword, or what holds without it.
fn value_or<T: Copy>(placed: Option<&Placed<T>>, otherwise: T) -> T {
    placed.and_then(|placed| placed.value).unwrap_or(otherwise)
}

/// Puts a keyword's value in its slot, which must be empty.
fn put<'f, T>(
    slot: &mut Option<Placed<T>>,
    keyword: Keyword,
    line: &Line<'_>,
    word: Range<usize>,
    faults: &mut Faults<'f>,
    read: impl FnOnce(&mut Faults<'f>) -> Option<T>,
) {
    let place = faults.span(line, word);
    if let Some(first) = slot {
        let first_line = first.place.source.first_line;
        let error = Diagnostic::error(&codes::CUBE_KEYWORD_TWICE, format!("{} given twice", keyword.name()))
            .at(place, format!("expected it once, found it in line {first_line} too"))
            .help("take out the line that is wrong");
        faults.error(error);
        // Neither is trusted, so that one fault does not lead to another.
        first.value = None;
        return;
    }
    *slot = Some(Placed { value: read(faults), place });
}

/// The values behind a keyword, if there are `expected` of them; else an error.
fn values(keyword: Keyword, expected: usize, line: &Line<'_>, from: usize, faults: &mut Faults<'_>) -> Option<Tokens> {
    let tokens = Tokens::of(line.bytes, from);
    if tokens.count == expected {
        return Some(tokens);
    }
    let name = keyword.name();
    let plural = if expected == 1 { "" } else { "s" };
    let place = faults.span(line, 0..line.bytes.len());
    let error = Diagnostic::error(&codes::CUBE_COLUMNS, format!("{name} with {} values", tokens.count))
        .at(place, format!("expected {expected} number{plural} after {name}, found {}", tokens.count))
        .help(format!("write {name} and {expected} number{plural}, separated by spaces"));
    faults.error(error);
    None
}

/// The size behind a keyword.
fn size(
    keyword: Keyword,
    allowed: RangeInclusive<usize>,
    line: &Line<'_>,
    from: usize,
    faults: &mut Faults<'_>,
) -> Option<usize> {
    let place = values(keyword, 1, line, from, faults)?.places().next()?;
    let token = &line.bytes[place.clone()];
    let digits = token.strip_prefix(b"+").unwrap_or(token);
    let whole = !digits.is_empty() && digits.iter().all(u8::is_ascii_digit);
    // Too many digits for a `usize` is out of range too.
    let size = std::str::from_utf8(digits).ok().filter(|_| whole).and_then(|digits| digits.parse::<usize>().ok());
    if let Some(size) = size.filter(|size| allowed.contains(size)) {
        if digits.len() < token.len() {
            faults.depart(Departure::PlusSign, line, place);
        }
        return Some(size);
    }
    let (least, most) = (allowed.start(), allowed.end());
    let error = Diagnostic::error(&codes::CUBE_SIZE, format!("{} is {}", keyword.name(), shown(token)))
        .at(faults.span(line, place), format!("expected a whole number from {least} to {most}, found {}", shown(token)))
        .help("write the number of points a side; the cube root of the number of rows for a 3D table");
    faults.error(error);
    None
}

/// The `N` numbers behind a keyword.
fn numbers<const N: usize>(
    keyword: Keyword,
    line: &Line<'_>,
    from: usize,
    faults: &mut Faults<'_>,
) -> Option<[f64; N]> {
    let tokens = values(keyword, N, line, from, faults)?;
    let mut numbers = [0.0; N];
    for (number, place) in numbers.iter_mut().zip(tokens.places()) {
        *number = finite(line, place, faults)?;
    }
    Some(numbers)
}

/// The finite number at `place`, or an error that says why it is none.
pub(super) fn finite(line: &Line<'_>, place: Range<usize>, faults: &mut Faults<'_>) -> Option<f64> {
    let token = &line.bytes[place.clone()];
    let number = parse_number(token);
    if let Some(number) = number.filter(|number| number.is_finite()) {
        return Some(number);
    }
    let found = shown(token);
    let digits = token.iter().any(u8::is_ascii_digit);
    let (message, help) = if token.contains(&b',') {
        (format!("comma in the number {found}"), "use a decimal point, and spaces between numbers")
    } else if number.is_some() && digits {
        (format!("{found} is too large for a number"), "export the table again: this value is damaged")
    } else if number.is_some() {
        (format!("{found} in the file"), "export the table again: the look that made it divides by zero or overflows")
    } else {
        (format!("{found} is not a number"), "write a decimal number such as 0.25")
    };
    let error = Diagnostic::error(&codes::CUBE_NUMBER, message)
        .at(faults.span(line, place), format!("expected a finite decimal number, found {found}"))
        .help(help);
    faults.error(error);
    None
}

/// Says where a domain is empty, reversed, or too wide to be computed with.
fn check_order(domain: &Domain, place: &Span, faults: &mut Faults<'_>) {
    for ((min, max), channel) in domain.min.iter().zip(domain.max).zip(["red", "green", "blue"]) {
        if *min < max && (max - min).is_finite() {
            continue;
        }
        let error = Diagnostic::error(&codes::CUBE_DOMAIN, format!("domain of {channel} runs from {min:?} to {max:?}"))
            .at(place.clone(), format!("expected a maximum above {min:?} for {channel}, found {max:?}"))
            .help("write DOMAIN_MIN 0 0 0 and DOMAIN_MAX 1 1 1 unless the table was made for another range");
        faults.error(error);
        return;
    }
}

/// A line that starts with a word that is no known keyword.
pub(super) fn take_unknown(line: &Line<'_>, word: Range<usize>, faults: &mut Faults<'_>) {
    let token = &line.bytes[word.clone()];
    // A long line without blanks is no misspelt keyword, and comparing all of it would take its time.
    let head = &token[..token.len().min(KEYWORD_BYTES)];
    let upper = String::from_utf8_lossy(head).to_ascii_uppercase();
    if INFORMATION.contains(&upper.as_str()) {
        faults.depart(Departure::Information, line, word);
        return;
    }
    let found = shown(token);
    let place = faults.span(line, word);
    let known = NAMES.iter().map(|&(name, _)| name);
    let near = nearest(&upper, known);
    // The video range comes first: it must never be taken for a misspelt input range.
    let video_range =
        VIDEO_RANGE.iter().any(|part| upper.contains(part)) || (near.is_none() && upper.contains("RANGE"));
    let error = if video_range {
        Diagnostic::error(&codes::CUBE_VIDEO_RANGE, format!("{found} seems to declare a video range"))
            .at(place, "expected a table for the signal as it comes, found a keyword about its range")
            .help("take the line out, and state the levels where the table is used (input_levels, output_levels)")
    } else if let Some(near) = near {
        Diagnostic::error(&codes::CUBE_KEYWORD_UNKNOWN, format!("unknown keyword {found}"))
            .at(place, format!("expected a keyword, found {found}"))
            .help(format!("did you mean {near}?"))
    } else {
        Diagnostic::error(&codes::CUBE_KEYWORD_UNKNOWN, format!("unknown keyword {found}"))
            .at(place, format!("expected a keyword, a comment or three numbers, found {found}"))
            .help("if the line can't change the meaning of the table, put # before it")
    };
    faults.error(error);
}

/// The place of the first word of a line, which has one.
pub(super) fn first_word(bytes: &[u8]) -> Range<usize> {
    let start = bytes.iter().position(|&byte| !is_blank(byte)).unwrap_or(bytes.len());
    let length = bytes[start..].iter().position(|&byte| is_blank(byte)).unwrap_or(bytes.len() - start);
    start..start + length
}
