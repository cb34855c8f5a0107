//! From a 3D table to the bytes of a cube file.

use super::LINE_BYTES_MAX;
use crate::lut::{Domain, Table3};
use crate::maths::Rgb;
use std::io::Write;

/// Bytes of a title or comment that are written at most: with what stands around them, a line stays under
/// [`LINE_BYTES_MAX`].
pub const TEXT_BYTES_MAX: usize = LINE_BYTES_MAX - 10;

/// The most decimals that are written: a 64-bit float has no more than 17 significant digits.
const DECIMALS_MAX: usize = 17;

/// The decimals that have a quick way of their own.
const DECIMALS_QUICK: usize = 6;

/// What stands between two lines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Newline {
    /// A line feed, as the format has it.
    #[default]
    LineFeed,
    /// Carriage return and line feed, for devices that ask for it.
    CarriageReturnLineFeed,
}

impl Newline {
    /// Its bytes.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::LineFeed => b"\n",
            Self::CarriageReturnLineFeed => b"\r\n",
        }
    }
}

/// What stands above the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// The title; written through [`transliterate`].
    pub title: String,
    /// Comments, one line each; written through [`transliterate`].
    pub comments: Vec<String>,
    /// Decimals of each number, 1 to 17; values outside are taken as the nearest.
    pub decimals: usize,
    /// Whether the device accepts comments; if not, none are written.
    pub comments_allowed: bool,
    /// What ends each line.
    pub newline: Newline,
}

impl Default for Header {
    fn default() -> Self {
        Self {
            title: String::new(),
            comments: Vec::new(),
            decimals: DECIMALS_QUICK,
            comments_allowed: true,
            newline: Newline::LineFeed,
        }
    }
}

/// Appends the whole file to `out`: comments, `TITLE`, `LUT_3D_SIZE`, `DOMAIN_MIN`, `DOMAIN_MAX` and the rows, red
/// fastest, in fixed-point decimals, never with an exponent.
///
/// Each number is the table's value correctly rounded, as `format!("{:.6}")` rounds it, but what rounds to zero has no
/// sign. A domain other than 0..1 is written as it is. A value that is not finite is written as `NaN` or `inf`, which
/// no reader accepts: [`super::parse`] refuses the file.
pub fn write(table: &Table3, header: &Header, out: &mut Vec<u8>) {
    let decimals = header.decimals.clamp(1, DECIMALS_MAX);
    let newline = header.newline.bytes();
    out.reserve(1024 + table.nodes().len() * (3 * (decimals + 3) + newline.len() - 1));
    write_header(table, header, newline, out);
    let mut block = Block::new(newline);
    for &row in table.nodes() {
        if decimals != DECIMALS_QUICK || !block.push(row) {
            block.flush(out);
            write_row(row, decimals, newline, out);
        }
        if block.is_full() {
            block.flush(out);
        }
    }
    block.flush(out);
}

fn write_header(table: &Table3, header: &Header, newline: &[u8], out: &mut Vec<u8>) {
    let mut line = |parts: &[&str]| {
        for part in parts {
            out.extend_from_slice(part.as_bytes());
        }
        out.extend_from_slice(newline);
    };
    if header.comments_allowed {
        for comment in &header.comments {
            let (comment, _) = transliterate(comment);
            let space = if comment.is_empty() { "" } else { " " };
            line(&["#", space, &comment]);
        }
    }
    line(&["TITLE \"", &transliterate(&header.title).0, "\""]);
    line(&["LUT_3D_SIZE ", &table.size().to_string()]);
    let Domain { min, max } = *table.domain();
    for (keyword, [red, green, blue]) in [("DOMAIN_MIN", min), ("DOMAIN_MAX", max)] {
        line(&[keyword, &format!(" {red} {green} {blue}")]);
    }
}

/// The patient way: any number, any number of decimals.
fn write_row(row: Rgb, decimals: usize, newline: &[u8], out: &mut Vec<u8>) {
    for (channel, value) in row.into_iter().enumerate() {
        if channel > 0 {
            out.push(b' ');
        }
        let start = out.len();
        // Writing to a vector does not fail.
        let _ = write!(out, "{value:.decimals$}");
        if out[start] == b'-' && out[start + 1..].iter().all(|byte| matches!(byte, b'0' | b'.')) {
            out.remove(start);
        }
    }
    out.extend_from_slice(newline);
}

/// Bytes of a row in the quick form, without the line's end: three times `0.123456` and two spaces.
const ROW_BYTES: usize = 26;
/// Rows that a block gathers before they go to the file: few enough for the fastest memory.
const BLOCK_ROWS: usize = 64;
/// Bytes of a block: rows with the longest line end.
const BLOCK_BYTES: usize = BLOCK_ROWS * (ROW_BYTES + 2);

/// Three decimal digits of every number below a thousand.
static DIGITS: [[u8; 3]; 1000] = digits();

const fn digits() -> [[u8; 3]; 1000] {
    let mut table = [[b'0'; 3]; 1000];
    let mut number = 0;
    while number < 1000 {
        table[number] = [b'0' + (number / 100) as u8, b'0' + (number / 10 % 10) as u8, b'0' + (number % 10) as u8];
        number += 1;
    }
    table
}

/// The value in millionths, rounded to the nearest; `None` where it is not in 0..10, or so near to the middle between two
/// that the multiplication's own rounding could decide.
fn millionths(value: f64) -> Option<u32> {
    /// Adding this leaves no room for a fraction, and rounds to the nearest whole number.
    const ROUND: f64 = (1_u64 << 52) as f64;
    /// Far more than the rounding of a product below 10^7 (10^-9), and rare enough.
    const NEAR_MIDDLE: f64 = 1e-6;
    if !(0.0..9.9).contains(&value) {
        return None;
    }
    let scaled = value * 1e6;
    let shifted = scaled + ROUND;
    let distance = (scaled - (shifted - ROUND)).abs();
    // The low bits of the shifted number are the whole number.
    (distance < 0.5 - NEAR_MIDDLE).then_some(shifted.to_bits() as u32)
}

/// Rows on their way to the file.
struct Block<'a> {
    newline: &'a [u8],
    bytes: [u8; BLOCK_BYTES],
    length: usize,
}

impl<'a> Block<'a> {
    fn new(newline: &'a [u8]) -> Self {
        Self { newline, bytes: [0; BLOCK_BYTES], length: 0 }
    }

    fn is_full(&self) -> bool {
        self.length + ROW_BYTES + self.newline.len() > BLOCK_BYTES
    }

    fn flush(&mut self, out: &mut Vec<u8>) {
        out.extend_from_slice(&self.bytes[..self.length]);
        self.length = 0;
    }

    /// Adds a row; `false` where a number needs the patient way. The block must not be full.
    fn push(&mut self, row: Rgb) -> bool {
        let [Some(red), Some(green), Some(blue)] = row.map(millionths) else { return false };
        let line = &mut self.bytes[self.length..self.length + ROW_BYTES + self.newline.len()];
        let (numbers, end) = line.split_at_mut(ROW_BYTES);
        end.copy_from_slice(self.newline);
        if let Some(numbers) = numbers.first_chunk_mut::<ROW_BYTES>() {
            put_number(numbers, 0, red);
            numbers[8] = b' ';
            put_number(numbers, 9, green);
            numbers[17] = b' ';
            put_number(numbers, 18, blue);
        }
        self.length += ROW_BYTES + self.newline.len();
        true
    }
}

/// Puts `0.123456` at a place of a row.
fn put_number(row: &mut [u8; ROW_BYTES], at: usize, millionths: u32) {
    let (whole, rest) = (millionths / 1_000_000, millionths % 1_000_000);
    row[at] = b'0' + whole as u8;
    row[at + 1] = b'.';
    row[at + 2..at + 5].copy_from_slice(&DIGITS[(rest / 1000) as usize]);
    row[at + 5..at + 8].copy_from_slice(&DIGITS[(rest % 1000) as usize]);
}

/// A title or comment as every device can show it, and whether that changed it.
///
/// Letters outside ASCII become their nearest ASCII spelling, double quotes single ones, control characters spaces; the
/// ends are trimmed and the text is cut to [`TEXT_BYTES_MAX`] bytes. Doing it twice changes nothing more.
#[must_use]
pub fn transliterate(text: &str) -> (String, bool) {
    let mut ascii = String::new();
    for character in text.trim().chars() {
        if ascii.len() > TEXT_BYTES_MAX {
            break;
        }
        match character {
            '"' => ascii.push('\''),
            ' '..='~' => ascii.push(character),
            _ if character.is_control() => ascii.push(' '),
            // What has no spelling is shown to be missing.
            _ => ascii.extend(deunicode::deunicode_char(character).unwrap_or("?").chars().map(plain)),
        }
    }
    ascii.truncate(TEXT_BYTES_MAX);
    let ascii = ascii.trim().to_owned();
    let changed = ascii != text;
    (ascii, changed)
}

/// A character of a spelling, which may itself hold a quote or a line's end.
fn plain(character: char) -> char {
    match character {
        '"' => '\'',
        ' '..='~' => character,
        _ => ' ',
    }
}

#[cfg(test)]
mod tests {
    use super::{Header, Newline, TEXT_BYTES_MAX, transliterate, write};
    use crate::lut::{Domain, Table3};
    use proptest::prelude::*;

    /// The rows that are written for a table of eight equal nodes.
    fn written(value: f64, decimals: usize) -> String {
        let Some(table) = Table3::new(2, Domain::UNIT, vec![[value, 0.0, 1.0]; 8]) else { return String::new() };
        let mut out = Vec::new();
        write(&table, &Header { decimals, ..Header::default() }, &mut out);
        let text = String::from_utf8(out).unwrap_or_default();
        text.lines().last().unwrap_or_default().to_owned()
    }

    /// The row that Rust's own formatting gives, without the sign of what rounds to zero.
    fn formatted(value: f64, decimals: usize) -> String {
        let number = format!("{value:.decimals$}");
        let zero = number.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
        let number = if zero { number.trim_start_matches('-').to_owned() } else { number };
        format!("{number} {:.decimals$} {:.decimals$}", 0.0, 1.0)
    }

    #[test]
    fn middles_and_edges_are_rounded_as_the_standard_library_rounds_them() {
        // 2^-7 and the like have a true 5 in the seventh decimal: exact ties.
        for value in [
            0.0,
            -0.0,
            -1e-9,
            1e-9,
            5e-7,
            4.999_999_999e-7,
            0.007_812_5,
            0.023_437_5,
            0.039_062_5,
            0.999_999_5,
            0.999_999_499_999,
            1.0,
            9.899_999_9,
            9.999_999_6,
            10.0,
            123_456.789,
            -0.5,
            1e300,
            -1e-300,
            f64::MIN_POSITIVE,
        ] {
            for decimals in [1, 3, 6, 10, 17] {
                assert_eq!(written(value, decimals), formatted(value, decimals), "{value:e} in {decimals} decimals");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn signals_are_written_as_the_standard_library_formats_them(value in -0.1..1.1_f64) {
            prop_assert_eq!(written(value, 6), formatted(value, 6), "{:e}", value);
        }

        #[test]
        fn near_middles_are_written_as_the_standard_library_formats_them(millionths in 0..1_000_000_u32, ulps in -3..=3_i64) {
            let middle = (f64::from(millionths) + 0.5) / 1e6;
            let value = f64::from_bits(middle.to_bits().wrapping_add_signed(ulps));
            prop_assert_eq!(written(value, 6), formatted(value, 6), "{:e}", value);
        }

        #[test]
        fn any_finite_number_is_written_as_the_standard_library_formats_it(bits in any::<u64>(), decimals in 1..=17_usize) {
            let value = f64::from_bits(bits);
            prop_assume!(value.is_finite());
            prop_assert_eq!(written(value, decimals), formatted(value, decimals), "{:e}", value);
        }

        #[test]
        fn texts_become_short_ascii_once_and_for_all(text in any::<String>(), repeated in 1..60_usize) {
            let (ascii, changed) = transliterate(&text.repeat(repeated));
            prop_assert!(ascii.bytes().all(|byte| (b' '..=b'~').contains(&byte) && byte != b'"'), "{:?}", ascii);
            prop_assert!(ascii.len() <= TEXT_BYTES_MAX, "{} bytes", ascii.len());
            prop_assert_eq!(changed, ascii != text.repeat(repeated));
            prop_assert_eq!(transliterate(&ascii), (ascii.clone(), false));
        }
    }

    #[test]
    fn letters_of_other_alphabets_are_spelt_out() {
        for (text, expected) in [
            ("Fährdeck, Dämmerung", "Fahrdeck, Dammerung"),
            ("a \"b\"\tc\n", "a 'b' c"),
            ("−1 stop – “warm”", "-1 stop - 'warm'"),
        ] {
            assert_eq!(transliterate(text), (expected.to_owned(), true), "{text}");
        }
        assert_eq!(transliterate("Quayside warm 7b"), ("Quayside warm 7b".to_owned(), false));
    }

    #[test]
    fn the_whole_file_has_the_promised_form() {
        let nodes = (0..8).map(|node| [node & 1, node >> 1 & 1, node >> 2].map(f64::from)).collect();
        let Some(table) = Table3::new(2, Domain::UNIT, nodes) else { unreachable!("eight nodes are two a side") };
        let header = Header {
            title: "Tidewater".into(),
            comments: vec!["recipe dusk".into(), String::new()],
            ..Header::default()
        };
        let mut out = Vec::new();
        write(&table, &header, &mut out);
        // Form: Cube LUT Specification 1.0 as quoted by its implementers; red fastest.
        let expected = "# recipe dusk\n#\nTITLE \"Tidewater\"\nLUT_3D_SIZE 2\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 1 1 1\n\
            0.000000 0.000000 0.000000\n1.000000 0.000000 0.000000\n0.000000 1.000000 0.000000\n1.000000 1.000000 0.000000\n\
            0.000000 0.000000 1.000000\n1.000000 0.000000 1.000000\n0.000000 1.000000 1.000000\n1.000000 1.000000 1.000000\n";
        assert_eq!(String::from_utf8_lossy(&out), expected);
        let device = Header { comments_allowed: false, newline: Newline::CarriageReturnLineFeed, ..header };
        out.clear();
        write(&table, &device, &mut out);
        let expected = expected.replace("# recipe dusk\n#\n", "").replace('\n', "\r\n");
        assert_eq!(String::from_utf8_lossy(&out), expected);
    }
}
