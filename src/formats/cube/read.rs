//! From the bytes of a cube file to its tables, or to everything that is wrong with it.

use super::faults::{Departure, Faults};
use super::header::{Header, Keyword, finite, first_word, take_unknown};
use super::line::{Line, LineEnd, Tokens, decode, is_blank, line_at};
use super::number::{parse_number, scan_row, scan_six_decimals_row};
use super::{CubeFile, LINE_BYTES_MAX, Tables};
use crate::diagnostics::{Diagnostic, codes};
use crate::lut::{Table1, Table3};
use crate::maths::Rgb;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Comments that are kept; a file of nothing else must not take many times its size in memory.
pub const COMMENTS_KEPT: usize = 10_000;

/// Bytes of a file that [`read`] accepts: twice a table of 256 points a side in fifteen decimals.
pub const FILE_BYTES_MAX: u64 = 2 << 30;

/// The mark that some editors put before UTF-8.
const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// Reads a cube file from disk.
///
/// # Errors
/// As [`parse`]; `LW0401` where the file can't be read or has more than [`FILE_BYTES_MAX`] bytes.
pub fn read(path: &Path) -> Result<CubeFile, Vec<Diagnostic>> {
    let name = path.display().to_string();
    let bytes = read_bytes(path).map_err(|error| {
        let message = format!("can't read {name}: {error}");
        vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("check the name, and that it is a file")]
    })?;
    parse(&name, &bytes)
}

/// The bytes of a file, if they are not absurdly many.
fn read_bytes(path: &Path) -> io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let expected = file.metadata()?.len().min(FILE_BYTES_MAX);
    let mut bytes = Vec::new();
    bytes.try_reserve_exact(usize::try_from(expected).unwrap_or(usize::MAX).saturating_add(1))?;
    file.take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > FILE_BYTES_MAX {
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, "it is too large for a cube file"));
    }
    Ok(bytes)
}

/// Reads a cube file from its bytes. `source_name` is the name that diagnostics give it.
///
/// What is accepted stands at the head of [this module](super). Memory and time are in proportion to `bytes`.
///
/// # Errors
/// All errors that don't follow from one another, in the order of the file and at most about twenty, each with line and
/// column; after them the warnings. Codes `LW0301`–`LW0312`.
pub fn parse(source_name: &str, bytes: &[u8]) -> Result<CubeFile, Vec<Diagnostic>> {
    let mut reader = Reader::new(source_name, bytes);
    let whole = reader.read_lines();
    reader.finish(whole)
}

/// Where the reading of a file stands.
struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Lines read so far.
    lines: usize,
    faults: Faults<'a>,
    header: Header,
    comments: Vec<String>,
    table: Rows<'a>,
}

/// The rows of the table, shaper first.
#[derive(Default)]
struct Rows<'a> {
    /// Rows seen, kept or not.
    count: usize,
    /// Rows that the sizes promise, from the first row on.
    promised: Option<usize>,
    kept: Vec<Rgb>,
    /// The first row seen, the first one too many, and the last one.
    first: Option<Line<'a>>,
    surplus: Option<Line<'a>>,
    last_line: usize,
    /// Whether a size was missing when the first row came.
    without_size: bool,
    /// An empty line after the last row so far: only a fault if another row follows.
    empty_line: Option<Line<'a>>,
}

impl Rows<'_> {
    /// Counts a row and keeps it if it is promised.
    fn push(&mut self, row: Rgb, line: usize) {
        if self.promised.is_some_and(|promised| self.count < promised) {
            self.kept.push(row);
        }
        self.count += 1;
        self.last_line = line;
    }
}

impl<'a> Reader<'a> {
    fn new(source_name: &'a str, bytes: &'a [u8]) -> Self {
        Self {
            bytes,
            at: 0,
            lines: 0,
            faults: Faults::new(source_name),
            header: Header::default(),
            comments: Vec::new(),
            table: Rows::default(),
        }
    }

    /// Reads every line. `false` where reading stopped before the end.
    fn read_lines(&mut self) -> bool {
        if self.bytes.starts_with(BYTE_ORDER_MARK) {
            self.at = BYTE_ORDER_MARK.len();
            let (line, _) = line_at(self.bytes, self.at, 1);
            self.faults.depart(Departure::ByteOrderMark, &line, 0..0);
        }
        while self.at < self.bytes.len() {
            self.scan_rows();
            if self.at >= self.bytes.len() {
                break;
            }
            let (line, next) = line_at(self.bytes, self.at, self.lines + 1);
            self.at = next;
            self.lines += 1;
            if !self.take_line(line) || self.faults.full() {
                return false;
            }
        }
        true
    }

    /// Takes all rows in the usual form from here on, as long as each is promised.
    fn scan_rows(&mut self) {
        // The first row, and one that comes after an empty line, have more to be looked at.
        let Some(promised) = self.table.promised else { return };
        if self.table.count == 0 || self.table.empty_line.is_some() {
            return;
        }
        let left = promised.saturating_sub(self.table.count);
        let (mut at, before) = (self.at, self.table.kept.len());
        while self.table.kept.len() - before < left {
            if let Some((row, next)) = scan_six_decimals_row(self.bytes, at) {
                self.table.kept.push(row);
                at = next;
            } else if let Some(row) = scan_row(self.bytes, at) {
                if row.carriage_return {
                    let (line, _) = line_at(self.bytes, at, self.lines + self.table.kept.len() - before + 1);
                    self.faults.depart(Departure::CarriageReturnLineFeed, &line, line.bytes.len()..line.bytes.len());
                }
                self.table.kept.push(row.values);
                at = row.next;
            } else {
                break;
            }
        }
        let rows = self.table.kept.len() - before;
        self.table.count += rows;
        self.lines += rows;
        self.at = at;
        if rows > 0 {
            self.table.last_line = self.lines;
        }
    }

    /// Takes a line of any kind. `false` where reading on makes no sense.
    fn take_line(&mut self, line: Line<'a>) -> bool {
        if let Some(place) = line.bytes.iter().position(|&byte| is_control(byte)) {
            self.not_text(&line, place);
            return false;
        }
        let end = line.bytes.len()..line.bytes.len();
        match line.end {
            LineEnd::CarriageReturnLineFeed => self.faults.depart(Departure::CarriageReturnLineFeed, &line, end),
            LineEnd::CarriageReturn => self.faults.depart(Departure::CarriageReturn, &line, end),
            LineEnd::LineFeed | LineEnd::None => {}
        }
        if line.bytes.len() > LINE_BYTES_MAX {
            self.faults.depart(Departure::LongLine, &line, LINE_BYTES_MAX..line.bytes.len());
        }
        let Some(start) = line.bytes.iter().position(|&byte| !is_blank(byte)) else {
            if self.table.count > 0 {
                self.table.empty_line.get_or_insert(line);
            }
            return true;
        };
        if start > 0 {
            self.faults.depart(Departure::LeadingSpace, &line, 0..start);
        }
        if line.bytes[start] == b'#' {
            self.take_comment(&line, start);
        } else {
            self.take_words(line, start);
        }
        true
    }

    fn not_text(&mut self, line: &Line<'_>, place: usize) {
        let byte = line.bytes[place];
        let two_bytes = self.bytes.starts_with(b"\xFF\xFE") || self.bytes.starts_with(b"\xFE\xFF");
        let help = if two_bytes {
            "save it as plain ASCII text: it is in a two-byte encoding (UTF-16)"
        } else {
            "copy or export the file again: it is damaged, or another format under this name"
        };
        let error = Diagnostic::error(&codes::CUBE_NOT_TEXT, "the file is not a text")
            .at(self.faults.span(line, place..place + 1), format!("expected text, found the byte 0x{byte:02X}"))
            .help(help);
        self.faults.error(error);
    }

    fn take_comment(&mut self, line: &Line<'_>, start: usize) {
        if self.table.count > 0 {
            self.faults.depart(Departure::LateComment, line, start..line.bytes.len());
        }
        self.check_ascii(line);
        if self.comments.len() < COMMENTS_KEPT {
            self.comments.push(decode(&line.bytes[start + 1..]).trim().to_owned());
        }
    }

    /// Notes letters that are not ASCII, which a title or a comment may have.
    fn check_ascii(&mut self, line: &Line<'_>) {
        let Some(place) = line.bytes.iter().position(|byte| !byte.is_ascii()) else { return };
        let departure = if std::str::from_utf8(line.bytes).is_ok() { Departure::Utf8 } else { Departure::Latin1 };
        self.faults.depart(departure, line, place..line.bytes.len());
    }

    /// Takes a line that starts with a keyword or a value.
    fn take_words(&mut self, line: Line<'a>, start: usize) {
        let word = first_word(line.bytes);
        let token = &line.bytes[word.clone()];
        let keyword = Keyword::find(token);
        // The text of a title may hold tabs.
        let looked_at = if keyword == Some(Keyword::Title) { word.end + 1 } else { line.bytes.len() };
        if let Some(tab) = line.bytes[..looked_at.min(line.bytes.len())].iter().position(|&byte| byte == b'\t') {
            self.faults.depart(Departure::Tab, &line, tab..tab + 1);
        }
        let number_like =
            matches!(line.bytes[start], b'0'..=b'9' | b'+' | b'-' | b'.') || parse_number(token).is_some();
        // A word inside a table that is no keyword is a damaged row.
        let damaged_row = keyword.is_none() && self.table.count > 0 && Tokens::of(line.bytes, 0).count == 3;
        if number_like || damaged_row {
            self.take_row(line);
        } else if self.table.count > 0 && !(self.table.without_size && is_size(keyword)) {
            let error = Diagnostic::error(&codes::CUBE_KEYWORD_LATE, "keyword after the first row")
                .at(self.faults.span(&line, word), "expected a row or the end of the file, found a keyword")
                .help("move it above the table if it belongs to this file");
            self.faults.error(error);
        } else if let Some(keyword) = keyword {
            if keyword == Keyword::Title {
                self.check_ascii(&line);
            }
            self.header.take(keyword, &line, word, &mut self.faults);
        } else {
            take_unknown(&line, word, &mut self.faults);
        }
    }

    /// Takes a row in any form. A wrong one is counted all the same, so that one fault is not reported as two.
    fn take_row(&mut self, line: Line<'a>) {
        if self.table.count == 0 {
            self.start_table(line);
        }
        if let Some(empty) = self.table.empty_line.take() {
            self.faults.depart(Departure::EmptyLine, &empty, 0..empty.bytes.len());
        }
        if self.table.promised == Some(self.table.count) {
            self.table.surplus = Some(line);
        }
        let row = self.read_row(&line).unwrap_or([0.0; 3]);
        self.table.push(row, line.number);
    }

    /// Notes what the header promises, and takes memory for it, but no more than the rest of the file can fill.
    fn start_table(&mut self, line: Line<'a>) {
        self.table.first = Some(line);
        self.table.promised = self.header.rows_promised();
        if let Some(promised) = self.table.promised {
            let rows_left = (self.bytes.len() - self.at) / (line.bytes.len() + 1) + 1;
            self.table.kept.reserve_exact(promised.min(rows_left));
        }
        if self.header.size1.is_none() && self.header.size3.is_none() {
            self.table.without_size = true;
            let error = Diagnostic::error(&codes::CUBE_NO_SIZE, "row before any size")
                .at(self.faults.span(&line, 0..line.bytes.len()), "expected LUT_3D_SIZE first, found a row")
                .help("write LUT_3D_SIZE and the points a side above the first row");
            self.faults.error(error);
        }
    }

    /// The three numbers of a line.
    fn read_row(&mut self, line: &Line<'_>) -> Option<Rgb> {
        let tokens = Tokens::of(line.bytes, 0);
        if tokens.count != 3 {
            self.wrong_columns(line, &tokens);
            return None;
        }
        let mut row = [0.0; 3];
        for (value, place) in row.iter_mut().zip(tokens.places()) {
            let token = &line.bytes[place.clone()];
            *value = finite(line, place.clone(), &mut self.faults)?;
            if token.starts_with(b"+") {
                self.faults.depart(Departure::PlusSign, line, place.clone());
            }
            if token.iter().any(|byte| byte.eq_ignore_ascii_case(&b'e')) {
                self.faults.depart(Departure::Exponent, line, place);
            } else if !token.contains(&b'.') {
                self.faults.depart(Departure::WholeNumber, line, place);
            }
        }
        Some(row)
    }

    fn wrong_columns(&mut self, line: &Line<'_>, tokens: &Tokens) {
        // Where commas are about, the number that has one says more than the count.
        if let Some(place) = tokens.places().find(|place| line.bytes[place.clone()].contains(&b',')) {
            let _ = finite(line, place, &mut self.faults);
            return;
        }
        let count = tokens.count;
        let plural = if count == 1 { "" } else { "s" };
        let error = Diagnostic::error(&codes::CUBE_COLUMNS, format!("row with {count} value{plural}"))
            .at(self.faults.span(line, 0..line.bytes.len()), format!("expected three numbers, found {count}"))
            .help("each row is red, green and blue, separated by spaces");
        self.faults.error(error);
    }

    /// The tables, if nothing is wrong. `whole` says whether all lines were read.
    fn finish(mut self, whole: bool) -> Result<CubeFile, Vec<Diagnostic>> {
        let [domain1, domain3] = self.header.domains(&mut self.faults);
        if whole {
            self.check_counts();
        }
        if !self.header.has_title() {
            let line = self.table.first.unwrap_or(line_at(self.bytes, 0, 1).0);
            self.faults.depart(Departure::TitleMissing, &line, 0..line.bytes.len());
        }
        if self.faults.any_error() {
            return Err(self.faults.into_diagnostics());
        }
        let size = |placed: &Option<super::header::Placed<usize>>| placed.as_ref().and_then(|placed| placed.value);
        let (size1, size3) = (size(&self.header.size1), size(&self.header.size3));
        let mut rows = self.table.kept;
        let tables = match (size1, size3) {
            (Some(_), None) => Table1::new(domain1, rows).map(Tables::One),
            (None, Some(size)) => Table3::new(size, domain3, rows).map(Tables::Three),
            (Some(points), Some(size)) if rows.len() >= points => {
                let nodes = rows.split_off(points);
                Table1::new(domain1, rows)
                    .zip(Table3::new(size, domain3, nodes))
                    .map(|(shaper, table)| Tables::Shaped { shaper, table })
            }
            _ => None,
        };
        let (title, comments) = (self.header.title, self.comments);
        let Some(tables) = tables else {
            // Every way here was reported above; a plain error still says more than a wrong table.
            self.faults.error(Diagnostic::error(&codes::CUBE_ROWS, "the rows don't fill the table"));
            return Err(self.faults.into_diagnostics());
        };
        Ok(CubeFile { title, comments, tables, warnings: self.faults.into_diagnostics() })
    }

    /// Holds the rows against the sizes.
    fn check_counts(&mut self) {
        let placed = self.header.size3.as_ref().or(self.header.size1.as_ref());
        let Some(placed) = placed else {
            if !self.table.without_size {
                self.no_size();
            }
            return;
        };
        // Without a valid promise the error is the size, and has been reported.
        let Some(promised) = self.header.rows_promised() else { return };
        let (found, last_line) = (self.table.count, self.table.last_line);
        if found == promised || self.table.without_size || (self.header.shaped() && self.faults.any_error()) {
            return;
        }
        let message = format!("{found} rows where the size needs {promised}");
        let expected = format!("expected {promised} rows, found {found}");
        let error = match self.table.surplus {
            Some(line) => Diagnostic::error(&codes::CUBE_ROWS, message)
                .at(self.faults.span(&line, 0..line.bytes.len()), format!("{expected}; this is the first too many"))
                .help("correct the size, or take out the rows that don't belong to this table"),
            None => Diagnostic::error(&codes::CUBE_ROWS, message)
                .at(
                    placed.place.clone(),
                    if found == 0 { expected } else { format!("{expected}, the last in line {last_line}") },
                )
                .help("copy or export the file again: it was cut off, or its size is wrong"),
        };
        self.faults.error(error);
    }

    fn no_size(&mut self) {
        let (line, _) = line_at(self.bytes, 0, 1);
        let found = if self.bytes.is_empty() { "an empty file" } else { "neither a size nor rows" };
        let error = Diagnostic::error(&codes::CUBE_NO_SIZE, "no size and no table")
            .at(self.faults.span(&line, 0..line.bytes.len()), format!("expected LUT_3D_SIZE, found {found}"))
            .help("copy or export the file again");
        self.faults.error(error);
    }
}

/// Whether a keyword is a size.
fn is_size(keyword: Option<Keyword>) -> bool {
    matches!(keyword, Some(Keyword::Size1 | Keyword::Size3))
}

/// Whether a byte has no place in a text.
fn is_control(byte: u8) -> bool {
    (byte < b' ' && byte != b'\t') || byte == 0x7F
}
