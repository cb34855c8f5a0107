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
