//! What people say of a colour: "40 mired warmer, 5 cc greener", and what a filter does: "96 mired warmer 0.5 stops".

use super::cast::{Cast, DUV_PER_CC};
use crate::plan::Tint;
use std::ops::Range;

/// Amounts that a text names. Each stands once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Want {
    /// Mired, positive is warmer.
    pub warmer_mired: Option<f64>,
    /// CIE 1960 (u, v), positive is greener.
    pub greener_duv: Option<f64>,
    /// Stops of light.
    pub stops: Option<f64>,
}

impl Want {
    /// The cast, with nothing where nothing is said.
    #[must_use]
    pub fn cast(&self) -> Cast {
        Cast { warmer_mired: self.warmer_mired.unwrap_or(0.0), greener_duv: self.greener_duv.unwrap_or(0.0) }
    }
}

/// What is wrong with such a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WantFault {
    /// The bytes of the text that it is about.
    pub range: Range<usize>,
    /// What was expected there.
    pub expected: &'static str,
    /// A remedy.
    pub help: &'static str,
}

/// Examples of a cast in words.
const CAST_EXAMPLE: &str =
    "for example \"40 mired warmer\", \"20 mired cooler, 5 cc greener\", \"10 mired warmer than now\", or \"neutral\"";

/// The largest loss of a filter, stops: as the show's `stops`. Colours reach as far as a recipe's `[white]` does.
const STOPS: f64 = 10.0;

/// The cast that is asked for, and where it is counted from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wish {
    /// The cast.
    pub cast: Cast,
    /// Whether it comes on top of the cast that the light leaves now, instead of being counted from neutral.
    pub than_now: bool,
}

/// The cast that a text asks for: amounts, counted from neutral or, with "than now" at the end, from what the light leaves now.
///
/// # Errors
/// A word that is no amount, a direction that is missing, an amount beyond ±400 mired or ±0.05 Duv.
pub fn parse_want(text: &str) -> Result<Wish, WantFault> {
    if text.trim().eq_ignore_ascii_case("neutral") {
        return Ok(Wish::default());
    }
    let mut words = words(text);
    let ends_in = |words: &[Word<'_>], last: &str| {
        let ending = words.iter().rev().take(2).map(|(word, _)| word.to_ascii_lowercase());
        ending.eq([last.to_owned(), "than".to_owned()])
    };
    let than_now = ends_in(&words, "now");
    if than_now || ends_in(&words, "neutral") {
        words.truncate(words.len() - 2);
    }
    let want = amounts(&words)?;
    let whole = 0..text.len();
    if want.stops.is_some() {
        return Err(WantFault { range: whole, expected: "a colour, not an amount of light", help: CAST_EXAMPLE });
    }
    if want.warmer_mired.is_none() && want.greener_duv.is_none() {
        return Err(WantFault { range: whole, expected: "a cast in mired, CC or Duv", help: CAST_EXAMPLE });
    }
    Ok(Wish { cast: want.cast(), than_now })
}

/// A word and where it stands.
type Word<'a> = (&'a str, Range<usize>);

/// The words of a text, a number apart from a unit that is written to it; commas, "and" and "more" join and mean nothing.
fn words(text: &str) -> Vec<Word<'_>> {
    let mut found: Vec<Word<'_>> = Vec::new();
    let mut start = None;
    for (place, character) in text.char_indices().chain([(text.len(), ' ')]) {
        let parts = character.is_whitespace() || character == ',' && !digit_follows(text, place);
        match (parts, start) {
            (false, None) => start = Some(place),
            (true, Some(from)) => {
                found.extend(split(&text[from..place], from));
                start = None;
            }
            _ => {}
        }
    }
    found.retain(|(word, _)| !matches!(word.to_ascii_lowercase().as_str(), "and" | "more" | "by"));
    found
}

/// A comma between digits belongs to a number, where it is told as a fault.
fn digit_follows(text: &str, place: usize) -> bool {
    text[place + 1..].starts_with(|next: char| next.is_ascii_digit())
        && text[..place].ends_with(|before: char| before.is_ascii_digit())
}

fn split(word: &str, from: usize) -> Vec<Word<'_>> {
    let numeric = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−');
    let end = word.find(|c: char| !numeric(c)).unwrap_or(word.len());
    if end == 0 || end == word.len() {
        return vec![(word, from..from + word.len())];
    }
    vec![(&word[..end], from..from + end), (&word[end..], from + end..from + word.len())]
}

#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Mired,
    Cc,
    Duv,
    Stops,
}

fn unit(word: &str) -> Option<Unit> {
    match word.to_ascii_lowercase().as_str() {
        "mired" | "mireds" => Some(Unit::Mired),
        "cc" => Some(Unit::Cc),
        "duv" => Some(Unit::Duv),
        "stop" | "stops" => Some(Unit::Stops),
        _ => None,
    }
}

/// The sign of a direction, and whether it is one of warmth.
fn direction(word: &str) -> Option<(f64, bool)> {
    match word.to_ascii_lowercase().as_str() {
        "warmer" | "warm" => Some((1.0, true)),
        "cooler" | "cool" | "colder" | "cold" => Some((-1.0, true)),
        "greener" | "green" => Some((1.0, false)),
        "magenta" | "pinker" | "pink" => Some((-1.0, false)),
        _ => None,
    }
}

/// The amounts that a text names: numbers with `mired`, `cc`, `duv` or `stops`, each but the last with a sign, or a direction before or
/// after it.
///
/// # Errors
/// The word that does not fit.
pub fn quantities(text: &str) -> Result<Want, WantFault> {
    amounts(&words(text))
}

fn amounts(words: &[Word<'_>]) -> Result<Want, WantFault> {
    let mut want = Want::default();
    let mut place = 0;
    while let Some((mut word, mut range)) = words.get(place).map(|(word, range)| (*word, range)) {
        // "warmer by 40 mired".
        let before = direction(word).map(|turned| (turned, range));
        if let Some((next, after)) = before.and(words.get(place + 1)) {
            (word, range) = (*next, after);
            place += 1;
        }
        let number = number(word, range)?;
        let Some((unit, unit_range)) = words.get(place + 1).and_then(|(word, range)| Some((unit(word)?, range))) else {
            let range = words.get(place + 1).map_or(range, |(_, range)| range);
            return Err(WantFault {
                range: range.clone(),
                expected: "a unit: mired, cc, duv or stops",
                help: CAST_EXAMPLE,
            });
        };
        place += 2;
        let after = words.get(place).and_then(|(word, range)| Some((direction(word)?, range)));
        // A word before the next amount belongs to that one.
        let after = after.filter(|_| before.is_none());
        place += usize::from(after.is_some());
        let turned = before.or(after);
        let signed = word.starts_with(['+', '-', '−']);
        let value = match (unit, turned) {
            (Unit::Stops, None) => number,
            (Unit::Stops, Some((_, range))) => {
                return Err(WantFault {
                    range: range.clone(),
                    expected: "no direction after stops",
                    help: CAST_EXAMPLE,
                });
            }
            (_, Some(((sign, is_warmth), range))) => {
                if is_warmth != (unit == Unit::Mired) {
                    let expected = if unit == Unit::Mired { "warmer or cooler" } else { "greener or magenta" };
                    return Err(WantFault { range: range.clone(), expected, help: CAST_EXAMPLE });
                }
                if signed {
                    let expected = "a sign or a direction, not both";
                    return Err(WantFault { range: range.clone(), expected, help: CAST_EXAMPLE });
                }
                sign * number
            }
            (_, None) if signed || number == 0.0 => number,
            (Unit::Mired, None) => {
                return Err(WantFault {
                    range: unit_range.clone(),
                    expected: "warmer or cooler after it",
                    help: CAST_EXAMPLE,
                });
            }
            (_, None) => {
                return Err(WantFault {
                    range: unit_range.clone(),
                    expected: "greener or magenta after it",
                    help: CAST_EXAMPLE,
                });
            }
        };
        take(&mut want, unit, value, range.start..unit_range.end)?;
    }
    Ok(want)
}

fn number(word: &str, range: &Range<usize>) -> Result<f64, WantFault> {
    let number = word.replace('−', "-").parse::<f64>().ok().filter(|number| number.is_finite());
    number.ok_or(WantFault {
        range: range.clone(),
        expected: "a number, with a decimal point if it needs one",
        help: CAST_EXAMPLE,
    })
}

/// Puts a value where it belongs.
fn take(want: &mut Want, unit: Unit, value: f64, range: Range<usize>) -> Result<(), WantFault> {
    let (slot, value, limit, reach) = match unit {
        Unit::Mired => (&mut want.warmer_mired, value, Tint::MOST_MIRED, "at most 400 mired"),
        Unit::Cc => (&mut want.greener_duv, value * DUV_PER_CC, Tint::MOST_DUV, "at most 75 CC"),
        Unit::Duv => (&mut want.greener_duv, value, Tint::MOST_DUV, "at most 0.05 Duv"),
        Unit::Stops => (&mut want.stops, value, STOPS, "0 to 10 stops"),
    };
    if value.abs() > limit || unit == Unit::Stops && value < 0.0 {
        return Err(WantFault { range, expected: reach, help: "that is more than any light or filter does" });
    }
    if slot.is_some() {
        return Err(WantFault { range, expected: "each amount once", help: "leave one of the two out" });
    }
    *slot = Some(value);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn casts_are_understood_as_they_are_said() {
        let close = |text: &str, mired: f64, duv: f64| {
            let Wish { cast, than_now } = parse_want(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
            assert_eq!(than_now, text.contains("now"), "{text}");
            assert!(
                (cast.warmer_mired - mired).abs() < 1e-12 && (cast.greener_duv - duv).abs() < 1e-12,
                "{text}: {cast:?}"
            );
        };
        close("40 mired warmer", 40.0, 0.0);
        close("20mired cooler, 15 cc greener", -20.0, 0.010);
        close("+40 mired", 40.0, 0.0);
        close("−12.5 mired and -30cc", -12.5, -0.020);
        close("0.004 Duv magenta", 0.0, -0.004);
        close("Neutral", 0.0, 0.0);
        close("0 mired", 0.0, 0.0);
        close("warmer by 40 mired", 40.0, 0.0);
        close("cooler by 12 mired and greener by 15 cc", -12.0, 0.010);
        close("40 mired warmer than neutral", 40.0, 0.0);
        close("20 mired warmer than now", 20.0, 0.0);
        close("magenta by 3 cc than now", 0.0, -0.002);
    }

    #[test]
    fn what_does_not_fit_is_told_at_its_place() {
        let told = |text: &str| {
            let fault = parse_want(text).expect_err(text);
            (text[fault.range.clone()].to_owned(), fault.expected)
        };
        assert_eq!(told("warmer"), ("warmer".to_owned(), "a number, with a decimal point if it needs one"));
        assert_eq!(told("4,5 mired warmer"), ("4,5".to_owned(), "a number, with a decimal point if it needs one"));
        assert_eq!(told("40 kelvin warmer"), ("kelvin".to_owned(), "a unit: mired, cc, duv or stops"));
        assert_eq!(told("40"), ("40".to_owned(), "a unit: mired, cc, duv or stops"));
        assert_eq!(told("40 mired"), ("mired".to_owned(), "warmer or cooler after it"));
        assert_eq!(told("40 mired greener"), ("greener".to_owned(), "warmer or cooler"));
        assert_eq!(told("-40 mired warmer"), ("warmer".to_owned(), "a sign or a direction, not both"));
        assert_eq!(told("500 mired warmer"), ("500 mired".to_owned(), "at most 400 mired"));
        assert_eq!(told("5 cc greener 0.1 duv greener"), ("0.1 duv".to_owned(), "at most 0.05 Duv"));
        assert_eq!(told("5 cc greener 6 cc greener"), ("6 cc".to_owned(), "each amount once"));
        assert_eq!(told("1 stop"), ("1 stop".to_owned(), "a colour, not an amount of light"));
        assert_eq!(told("warmer by 40 cc"), ("warmer".to_owned(), "greener or magenta"));
        assert_eq!(told("than now"), ("than now".to_owned(), "a cast in mired, CC or Duv"));
        assert_eq!(told("  "), ("  ".to_owned(), "a cast in mired, CC or Duv"));
    }
}
