//! What may have been done to the levels of a file after it was made.

use crate::maths::Rgb;
use crate::plan::Levels;
use serde::Serialize;

/// Black and white of narrow range in 8-bit codes, for tools that count so (SMPTE: 16..235 of 255). Not quite the same
/// line as 64..940 of 1023.
const BLACK_8: f64 = 16.0;
const SPAN_8: f64 = 219.0;
const FULL_8: f64 = 255.0;

/// A re-scaling of signals between full and legal levels. Of the output it moves the numbers; of the input it moves the
/// axis: after `FullToLegal` what stood at 0..1 of it stands at 64..940 of 1023.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Levelling {
    /// Nothing was done.
    Kept,
    /// 0..1 became codes 64..940 of 1023.
    FullToLegal,
    /// Codes 64..940 of 1023 became 0..1.
    LegalToFull,
    /// 0..1 became codes 16..235 of 255.
    #[serde(rename = "full_to_legal_8_bit")]
    FullToLegal8,
    /// Codes 16..235 of 255 became 0..1.
    #[serde(rename = "legal_to_full_8_bit")]
    LegalToFull8,
}

impl Levelling {
    /// Those that are told apart at first sight; the 8-bit ones lie too near to them.
    pub(super) const PLAIN: [Self; 3] = [Self::Kept, Self::FullToLegal, Self::LegalToFull];

    /// A plain one and the other that lies near to it.
    pub(super) fn near(self) -> &'static [Self] {
        match self {
            Self::Kept => &[Self::Kept],
            Self::FullToLegal | Self::FullToLegal8 => &[Self::FullToLegal, Self::FullToLegal8],
            Self::LegalToFull | Self::LegalToFull8 => &[Self::LegalToFull, Self::LegalToFull8],
        }
    }

    /// A value after the re-scaling; it may leave 0..1.
    #[must_use]
    pub fn rescale(self, value: f64) -> f64 {
        match self {
            Self::Kept => value,
            Self::FullToLegal => Levels::Legal.to_signal(value),
            Self::LegalToFull => Levels::Legal.from_signal(value),
            Self::FullToLegal8 => (BLACK_8 + SPAN_8 * value) / FULL_8,
            Self::LegalToFull8 => (FULL_8 * value - BLACK_8) / SPAN_8,
        }
    }

    /// A value before the re-scaling.
    #[must_use]
    pub fn undo(self, value: f64) -> f64 {
        match self {
            Self::Kept => value,
            Self::FullToLegal => Self::LegalToFull.rescale(value),
            Self::LegalToFull => Self::FullToLegal.rescale(value),
            Self::FullToLegal8 => Self::LegalToFull8.rescale(value),
            Self::LegalToFull8 => Self::FullToLegal8.rescale(value),
        }
    }

    /// Whether its values can leave 0..1, so that whoever re-scaled may have cut them.
    pub(super) fn stretches(self) -> bool {
        matches!(self, Self::LegalToFull | Self::LegalToFull8)
    }

    pub(super) fn rescale_all(self, rgb: Rgb) -> Rgb {
        rgb.map(|value| self.rescale(value))
    }

    pub(super) fn undo_all(self, rgb: Rgb) -> Rgb {
        rgb.map(|value| self.undo(value))
    }

    /// What was done, as the end of a sentence.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Kept => "kept",
            Self::FullToLegal => "re-scaled from full to legal levels (64 to 940 of 1023)",
            Self::LegalToFull => "re-scaled from legal to full levels (64 to 940 of 1023)",
            Self::FullToLegal8 => "re-scaled from full to legal levels (16 to 235 of 255)",
            Self::LegalToFull8 => "re-scaled from legal to full levels (16 to 235 of 255)",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SMPTE: narrow range is 64..940 of 1023, or 16..235 of 255.
    #[test]
    fn the_ends_of_narrow_range_become_the_ends_of_full_range_and_back() {
        for (levelling, black, white) in [
            (Levelling::LegalToFull, 64.0 / 1023.0, 940.0 / 1023.0),
            (Levelling::LegalToFull8, 16.0 / 255.0, 235.0 / 255.0),
        ] {
            assert!(levelling.rescale(black).abs() < 1e-15 && (levelling.rescale(white) - 1.0).abs() < 1e-15);
        }
        for levelling in [
            Levelling::Kept,
            Levelling::FullToLegal,
            Levelling::LegalToFull,
            Levelling::FullToLegal8,
            Levelling::LegalToFull8,
        ] {
            for value in [-0.1, 0.0, 0.4, 1.0] {
                assert!((levelling.undo(levelling.rescale(value)) - value).abs() < 1e-15, "{levelling:?} at {value}");
            }
        }
    }
}
