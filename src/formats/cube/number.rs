//! Decimal numbers to `f64`: always the same value as `str::parse`, several times faster for the usual row.
//!
//! The quick way is taken only where it is exact: a mantissa of at most 2^53 and a power of ten of at most 10^22
//! are both exact in `f64`, so their quotient is rounded once, correctly (Clinger, "How to read floating point
//! numbers accurately", PLDI 1990; from memory). Everything else goes to `str::parse`.

use crate::maths::Rgb;

/// The largest whole number up to which every whole number is exact in `f64`.
const MANTISSA_MAX: u64 = 1 << 53;

/// Digits that fit a `u64` whatever they are: 10^19 − 1 is below 2^64.
const DIGITS_MAX: usize = 19;

/// Powers of ten as whole numbers, as far as one group of eight digits needs them.
const POWERS: [u64; 9] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];

/// Powers of ten that are exact in `f64` and that [`DIGITS_MAX`] decimals can ask for.
const EXACT_POWERS: [f64; DIGITS_MAX + 1] =
    [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19];

/// `0x30` is the character 0: eight of them turn eight digits into their values by exclusive or.
const ZEROS: u64 = 0x3030_3030_3030_3030;

/// The number that `token` spells, exactly as `str::parse::<f64>` reads it; `None` where that fails.
///
/// "inf" and "nan" are numbers here as they are there: who needs a finite number asks for it.
#[must_use]
pub fn parse_number(token: &[u8]) -> Option<f64> {
    parse_fixed(token).or_else(|| std::str::from_utf8(token).ok()?.parse().ok())
}

/// A plain decimal without exponent, if it can be read exactly in one division.
fn parse_fixed(token: &[u8]) -> Option<f64> {
    let (negative, digits) = match token {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    if digits.len() > DIGITS_MAX + 1 {
        return None;
    }
    let (mut mantissa, mut count, mut point) = (0_u64, 0_usize, None);
    for &byte in digits {
        match byte {
            b'0'..=b'9' if count < DIGITS_MAX => {
                mantissa = mantissa * 10 + u64::from(byte - b'0');
                count += 1;
            }
            b'.' if point.is_none() => point = Some(count),
            _ => return None,
        }
    }
    if count == 0 || mantissa > MANTISSA_MAX {
        return None;
    }
    let value = mantissa as f64 / EXACT_POWERS[count - point.unwrap_or(count)];
    Some(if negative { -value } else { value })
}

/// How many of the eight bytes, from the first in memory, are digits. `values` are the bytes with [`ZEROS`] taken off.
fn leading_digits(values: u64) -> usize {
    // A digit is 0..9 now. Adding 6 pushes 10..15 into the high half of the byte; larger bytes are there already.
    // A carry runs only into later bytes, so the first mark is right.
    let marks = (values.wrapping_add(0x0606_0606_0606_0606) | values) & 0xF0F0_F0F0_F0F0_F0F0;
    marks.trailing_zeros() as usize / 8
}

/// Eight digit values, the first in memory weighing most, as one number: pairs, then fours, then all eight.
fn join_digits(values: u64) -> u64 {
    const EVERY_FOURTH: u64 = 0x0000_00FF_0000_00FF;
    const WEIGHTS_OUTER: u64 = 100 + (1_000_000 << 32);
    const WEIGHTS_INNER: u64 = 1 + (10_000 << 32);
    let pairs = values.wrapping_mul(10).wrapping_add(values >> 8);
    let outer = (pairs & EVERY_FOURTH).wrapping_mul(WEIGHTS_OUTER);
    let inner = ((pairs >> 16) & EVERY_FOURTH).wrapping_mul(WEIGHTS_INNER);
    outer.wrapping_add(inner) >> 32
}

/// The eight bytes from `at` with [`ZEROS`] taken off.
fn eight_values(window: &[u8; WINDOW], at: usize) -> u64 {
    let mut eight = [0; 8];
    eight.copy_from_slice(&window[at..at + 8]);
    u64::from_le_bytes(eight) ^ ZEROS
}

/// Bytes that [`scan_number`] looks at: a sign, a digit, a point and two groups of eight.
const WINDOW: usize = 19;

/// The number at `at` in its usual form (`0.123456`, one digit before the point), and where it ends. `None` for
/// any other form, or near the end of the text: then the patient way reads the line.
fn scan_number(bytes: &[u8], at: usize) -> Option<(f64, usize)> {
    let window: &[u8; WINDOW] = bytes.get(at..at + WINDOW)?.try_into().ok()?;
    let negative = window[0] == b'-';
    let first = usize::from(negative);
    let whole = u64::from(window[first].wrapping_sub(b'0'));
    if whole > 9 || window[first + 1] != b'.' {
        return None;
    }
    let values = eight_values(window, first + 2);
    let mut decimals = leading_digits(values);
    if decimals == 0 {
        return None;
    }
    let mut mantissa = whole * POWERS[decimals] + join_digits(values << (64 - 8 * decimals));
    if decimals == 8 {
        let values = eight_values(window, first + 10);
        let more = leading_digits(values);
        if more > 0 {
            mantissa = mantissa * POWERS[more] + join_digits(values << (64 - 8 * more));
            decimals += more;
        }
        // After sixteen decimals there may be more, which only the patient way sees.
        if mantissa > MANTISSA_MAX || more == 8 {
            return None;
        }
    }
    let value = mantissa as f64 / EXACT_POWERS[decimals];
    Some((if negative { -value } else { value }, at + first + 2 + decimals))
}

/// A row in its usual form, read without looking at anything else.
pub(super) struct ScannedRow {
    /// The three numbers.
    pub(super) values: Rgb,
    /// Where the next line starts.
    pub(super) next: usize,
    /// Whether the line ends in carriage return and line feed.
    pub(super) carriage_return: bool,
}

/// Bytes of a row with six decimals: `0.123456 0.123456 0.123456` and a line feed.
const SIX_DECIMALS_ROW: usize = 27;

/// The number that eight bytes spell as `0.123456`, in millionths, and bits that are set where they don't.
fn scan_six_decimals(window: &[u8; SIX_DECIMALS_ROW], at: usize) -> (u64, u64) {
    /// `0.000000`, the first character in the lowest byte.
    const SHAPE: u64 = ZEROS ^ (((b'0' ^ b'.') as u64) << 8);
    let mut eight = [0; 8];
    eight.copy_from_slice(&window[at..at + 8]);
    let values = u64::from_le_bytes(eight) ^ SHAPE;
    // The point must be a point, and every other byte a digit; see `leading_digits`.
    let marks = ((values.wrapping_add(0x0606_0606_0606_0606) | values) & 0xF0F0_F0F0_F0F0_F0F0) | (values & 0xFF00);
    // The digit before the point moves to the point's place: a zero and seven digits.
    (join_digits((values & !0xFFFF) | ((values & 0xFF) << 8)), marks)
}

/// The row at `at`, if it has the form that most programs write: one digit, six decimals, a line feed. All three
/// numbers stand at known places then, so that none has to wait for the one before.
pub(super) fn scan_six_decimals_row(bytes: &[u8], at: usize) -> Option<(Rgb, usize)> {
    let window: &[u8; SIX_DECIMALS_ROW] = bytes.get(at..at + SIX_DECIMALS_ROW)?.try_into().ok()?;
    let [(red, bad_red), (green, bad_green), (blue, bad_blue)] = [0, 9, 18].map(|at| scan_six_decimals(window, at));
    let separators = (window[8] ^ b' ') | (window[17] ^ b' ') | (window[26] ^ b'\n');
    if bad_red | bad_green | bad_blue | u64::from(separators) != 0 {
        return None;
    }
    Some(([red, green, blue].map(|millionths| millionths as f64 / 1e6), at + SIX_DECIMALS_ROW))
}

/// The row that starts at `at`, if it is three usual numbers with single spaces and a line feed. `None` says
/// nothing about the row but that the patient way has to read it.
pub(super) fn scan_row(bytes: &[u8], at: usize) -> Option<ScannedRow> {
    let (red, end) = scan_number(bytes, at)?;
    let (green, end) = scan_number(bytes, after_space(bytes, end)?)?;
    let (blue, end) = scan_number(bytes, after_space(bytes, end)?)?;
    let carriage_return = bytes.get(end) == Some(&b'\r');
    let end = end + usize::from(carriage_return);
    (bytes.get(end) == Some(&b'\n')).then_some(ScannedRow {
        values: [red, green, blue],
        next: end + 1,
        carriage_return,
    })
}

/// The place after the single space at `at`.
fn after_space(bytes: &[u8], at: usize) -> Option<usize> {
    (bytes.get(at) == Some(&b' ')).then_some(at + 1)
}

#[cfg(test)]
mod tests {
    use super::{parse_number, scan_row, scan_six_decimals_row};
    use proptest::prelude::*;

    /// The reference for every number here: the correctly rounded parse of Rust's standard library.
    fn standard(text: &str) -> Option<u64> {
        text.parse::<f64>().ok().map(f64::to_bits)
    }

    fn assert_same(text: &str) -> Result<(), TestCaseError> {
        let ours = parse_number(text.as_bytes()).map(f64::to_bits);
        // Every spelling of "nan" must be the same kind of nan.
        prop_assert_eq!(ours, standard(text), "{:?}: ours {:?}", text, ours.map(f64::from_bits));
        Ok(())
    }

    #[test]
    fn odd_spellings_are_read_as_the_standard_library_reads_them() {
        let spellings = "0 -0 +0 -0.0 1. .5 . - + -. +. 1e5 1E-5 e5 1e 1.2.3 0x10 1_0 inf -inf +inf Infinity nan NaN -nan \
            9007199254740992 9007199254740993 9007199254740991.5 0.9007199254740993 0000000000000000000000001 \
            1e400 1e-400 4.9e-324 0.1234567 0.12345678 0.123456789 0.1234567890123456 0.12345678901234567 1.0000000000000002 \
            0.00000000000000000000000000001 12345678901234567890 18446744073709551615 18446744073709551616 0,5 1.e1 --1 0.-1";
        for text in spellings.split_whitespace() {
            let ours = parse_number(text.as_bytes()).map(f64::to_bits);
            assert_eq!(ours, standard(text), "{text}");
        }
        assert_eq!(parse_number(b""), None);
        assert_eq!(parse_number(b"\xFF"), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn plain_decimals_equal_the_standard_parse(text in r"[-+]?[0-9]{0,12}\.?[0-9]{0,20}") {
            assert_same(&text)?;
        }

        #[test]
        fn any_form_equals_the_standard_parse(text in r"[-+]?[0-9.]{0,24}([eE][-+]?[0-9]{1,3})?[a-z,]?") {
            assert_same(&text)?;
        }

        #[test]
        fn printed_doubles_come_back(bits in any::<u64>()) {
            assert_same(&format!("{}", f64::from_bits(bits)))?;
            assert_same(&format!("{:e}", f64::from_bits(bits)))?;
        }

        #[test]
        fn a_scanned_row_equals_the_standard_parse(
            tokens in prop::array::uniform3(r"-?[0-9]{1,2}\.[0-9]{0,18}"),
            end in prop::sample::select(vec!["\n", "\r\n"]),
        ) {
            let line = tokens.join(" ") + end;
            // Behind the row stands another, as in a file: the scanner looks ahead.
            let text = format!("{line}0.000000 0.000000 0.000000\n");
            if let Some(row) = scan_row(text.as_bytes(), 0) {
                prop_assert_eq!(row.next, line.len());
                prop_assert_eq!(row.carriage_return, end == "\r\n");
                for (value, token) in row.values.iter().zip(&tokens) {
                    prop_assert_eq!(Some(value.to_bits()), standard(token), "{}", token);
                }
            } else {
                let usual = tokens.iter().all(|token| {
                    let digits = token.trim_start_matches('-').as_bytes();
                    digits[1] == b'.' && (3..=15).contains(&digits.len())
                });
                prop_assert!(!usual, "the usual row {:?} was not read quickly", line);
            }
        }

        #[test]
        fn a_row_of_six_decimals_equals_the_standard_parse(millionths in prop::array::uniform3(0..10_000_000_u32)) {
            let tokens = millionths.map(|number| format!("{}.{:06}", number / 1_000_000, number % 1_000_000));
            let line = tokens.join(" ") + "\n";
            let Some((row, next)) = scan_six_decimals_row(line.as_bytes(), 0) else {
                return Err(TestCaseError::fail(format!("{line:?} was not read quickly")));
            };
            prop_assert_eq!(next, line.len());
            for (value, token) in row.iter().zip(&tokens) {
                prop_assert_eq!(Some(value.to_bits()), standard(token), "{}", token);
            }
        }

        #[test]
        fn a_row_with_any_other_byte_is_not_one_of_six_decimals(place in 0..27_usize, byte in any::<u8>()) {
            let mut line = *b"0.123456 1.000000 9.999999\n";
            let digit = line[place].is_ascii_digit();
            line[place] = byte;
            let good = if digit { byte.is_ascii_digit() } else { byte == b"0.123456 1.000000 9.999999\n"[place] };
            prop_assert_eq!(scan_six_decimals_row(&line, 0).is_some(), good, "{:?}", String::from_utf8_lossy(&line));
        }
    }
}
