//! The ten numbers of a correction: from words of a text to values that a CDL can have.

use super::text::shown;
use crate::diagnostics::{Diagnostic, Span, codes};
use crate::formats::cube::parse_number;
use crate::maths::Rgb;
use std::ops::Range;

/// Which of the numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Values {
    Slope,
    Offset,
    Power,
    Saturation,
}

impl Values {
    /// Its element in a file, which is also what a message calls it.
    pub(crate) fn element(self) -> &'static str {
        match self {
            Self::Slope => "Slope",
            Self::Offset => "Offset",
            Self::Power => "Power",
            Self::Saturation => "Saturation",
        }
    }

    /// What a CDL can have.
    fn range(self) -> &'static str {
        match self {
            Self::Slope | Self::Saturation => "0 or more",
            Self::Offset => "any number",
            Self::Power => "more than 0",
        }
    }

    fn allows(self, value: f64) -> bool {
        match self {
            Self::Slope | Self::Saturation => value >= 0.0,
            Self::Offset => true,
            Self::Power => value > 0.0,
        }
    }
}

/// The words of a text that stands at `place`, each with its own.
fn words<'a>(text: &'a str, place: &Span) -> Vec<(&'a str, Span)> {
    text.split_whitespace()
        .map(|word| {
            let start = word.as_ptr() as usize - text.as_ptr() as usize;
            // A text that is longer or shorter than its place was written with references to characters.
            let range = if text.len() == place.range.len() {
                place.range.start + start..place.range.start + start + word.len()
            } else {
                place.range.clone()
            };
            (word, Span { range, ..place.clone() })
        })
        .collect()
}

/// Three numbers.
pub(crate) fn triple(which: Values, text: &str, place: &Span) -> Result<Rgb, Vec<Diagnostic>> {
    let words = words(text, place);
    let [red, green, blue] = words.as_slice() else {
        return Err(vec![count(which, "three numbers, for red, green and blue", &words, place)]);
    };
    let mut found = Vec::new();
    let mut values = [0.0; 3];
    for (value, (word, place)) in values.iter_mut().zip([red, green, blue]) {
        match number(which, word, place) {
            Ok(number) => *value = number,
            Err(diagnostic) => found.push(diagnostic),
        }
    }
    if found.is_empty() { Ok(values) } else { Err(found) }
}

/// One number.
pub(super) fn single(which: Values, text: &str, place: &Span) -> Result<f64, Vec<Diagnostic>> {
    let words = words(text, place);
    let [(word, place)] = words.as_slice() else {
        return Err(vec![count(which, "one number", &words, place)]);
    };
    number(which, word, place).map_err(|diagnostic| vec![diagnostic])
}

fn count(which: Values, expected: &str, words: &[(&str, Span)], place: &Span) -> Diagnostic {
    let comma = words.iter().any(|(word, _)| word.contains(','));
    let help = if comma { "values are separated by spaces, and decimals by a point" } else { "export the file again" };
    let label = format!("expected {expected}, found {}", words.len());
    Diagnostic::error(&codes::CDL_COUNT, format!("{} has the wrong number of values", which.element()))
        .at(trimmed(place), label)
        .help(help)
}

/// A place without the blanks around it.
fn trimmed(place: &Span) -> Span {
    let Some(text) = place.source.text.get(place.range.clone()) else { return place.clone() };
    let start = place.range.start + text.len() - text.trim_start().len();
    let range: Range<usize> = start..(start + text.trim().len());
    Span { range, ..place.clone() }
}

/// One word as a finite number that this value can have.
pub(crate) fn number(which: Values, word: &str, place: &Span) -> Result<f64, Diagnostic> {
    let element = which.element();
    let found = shown(word);
    match parse_number(word.as_bytes()).filter(|number| number.is_finite()) {
        Some(number) => check(which, number, place).map(|()| number),
        None => {
            let comma = word.contains(',');
            let help = if comma { "decimals have a point, not a comma" } else { "export the file again" };
            let label = format!("expected a finite decimal number, found {found}");
            Err(Diagnostic::error(&codes::CDL_NUMBER, format!("{element} is not a number"))
                .at(place.clone(), label)
                .help(help))
        }
    }
}

/// Whether a finite number is one that this value can have.
fn check(which: Values, number: f64, place: &Span) -> Result<(), Diagnostic> {
    if which.allows(number) {
        return Ok(());
    }
    let label = format!("expected {}, found {number}", which.range());
    Err(Diagnostic::error(&codes::CDL_RANGE, format!("{} that no CDL has", which.element()))
        .at(place.clone(), label)
        .help("the file was damaged, or is no ASC CDL; export it again"))
}
