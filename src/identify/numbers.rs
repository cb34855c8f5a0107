//! How a file's numbers are printed: in decimals, or as whole codes of so many bits.

use crate::maths::Rgb;
use serde::Serialize;

/// Decimals that this program writes (see [`crate::formats::cube::Header`]).
const DECIMALS_WRITTEN: usize = 6;

/// The numbers that this program writes.
pub(super) const WRITTEN: Numbers = Numbers::Decimals(DECIMALS_WRITTEN);

/// The most decimals that are looked for.
const DECIMALS_MAX: usize = 9;

/// A printed number times its scale is whole up to this: rounding of the multiplication, and nothing else.
const WHOLE: f64 = 1e-6;

/// Share of the numbers that must fit. One in ten of six decimals fits five by chance, so it lies far above that; a few
/// numbers written by another hand don't hide what the others are.
const FITTING: f64 = 0.9;

/// Numbers that are looked at: more say nothing new.
const COUNTED: usize = 8192;

/// Highest codes of 8, 10, 12 and 16 bits.
const CODES: [u32; 4] = [255, 1023, 4095, 65_535];

/// The steps that a file's numbers are multiples of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Numbers {
    /// So many decimals.
    Decimals(usize),
    /// Whole codes up to this one, printed as parts of it.
    Codes(u32),
}

impl Numbers {
    /// What nearly all numbers of a table fit, the coarsest first. A table of nothing but zeros and ones has one decimal.
    pub(super) fn of(rows: &[Rgb]) -> Self {
        // Spread over the table: its first rows are its darkest.
        let stride = (rows.len() / COUNTED).max(1);
        let telling: Vec<f64> = rows
            .iter()
            .step_by(stride)
            .flatten()
            .copied()
            .filter(|value| !is_whole(value * 10.0, WHOLE))
            .take(3 * COUNTED)
            .collect();
        let fits = |scale: f64, slack: f64| {
            let fitting = telling.iter().filter(|value| is_whole(**value * scale, slack)).count();
            fitting as f64 >= FITTING * telling.len() as f64
        };
        let decimals = (1..DECIMALS_MAX).find(|decimals| fits(power_of_ten(*decimals), WHOLE)).unwrap_or(DECIMALS_MAX);
        // A code printed in so many decimals is off by half the last one; codes that this blurs into one another say nothing.
        let blur = 0.5 / power_of_ten(decimals);
        let codes = CODES.into_iter().find(|top| {
            let slack = f64::from(*top) * blur + WHOLE;
            f64::from(*top) < power_of_ten(decimals) && slack < 0.1 && fits(f64::from(*top), slack)
        });
        match codes {
            Some(top) if telling.len() > 1 => Self::Codes(top),
            _ => Self::Decimals(decimals),
        }
    }

    /// The distance between two neighbouring numbers.
    #[must_use]
    pub fn step(self) -> f64 {
        match self {
            Self::Decimals(decimals) => 1.0 / power_of_ten(decimals),
            Self::Codes(top) => 1.0 / f64::from(top),
        }
    }

    /// The nearest of these numbers.
    pub(super) fn round(self, value: f64) -> f64 {
        let scale = match self {
            Self::Decimals(decimals) => power_of_ten(decimals),
            Self::Codes(top) => f64::from(top),
        };
        (value * scale).round() / scale
    }

    /// Whether these are not the numbers that this program writes.
    #[must_use]
    pub fn reformatted(self) -> bool {
        self != WRITTEN
    }

    /// The usual coarse ones, as which a table may have passed before something else was done to it.
    pub(super) const COARSE: [Self; 6] = [
        Self::Codes(1023),
        Self::Decimals(4),
        Self::Decimals(5),
        Self::Decimals(3),
        Self::Codes(4095),
        Self::Codes(255),
    ];

    /// In words.
    pub(super) fn words(self) -> String {
        match self {
            Self::Decimals(DECIMALS_MAX) => format!("numbers in {DECIMALS_MAX} decimals or more"),
            Self::Decimals(1) => "numbers in 1 decimal".to_owned(),
            Self::Decimals(decimals) => format!("numbers in {decimals} decimals"),
            Self::Codes(top) => format!("numbers in whole codes of {top}"),
        }
    }
}

fn is_whole(scaled: f64, slack: f64) -> bool {
    (scaled - scaled.round()).abs() <= slack
}

fn power_of_ten(exponent: usize) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values that fit nothing by themselves, printed with so many steps to 1 and then in so many decimals.
    fn printed(steps: f64, decimals: usize) -> Vec<Rgb> {
        let to = |value: f64, scale: f64| (value * scale).round() / scale;
        (1..2000)
            .map(|i| f64::from(i) / 2003.7)
            .map(|value| [value, value * value, 0.9 * value].map(|v| to(to(v, steps), power_of_ten(decimals))))
            .collect()
    }

    #[test]
    fn decimals_and_codes_are_told_apart() {
        for decimals in 3..9 {
            assert_eq!(Numbers::of(&printed(1e12, decimals)), Numbers::Decimals(decimals), "{decimals} decimals");
        }
        for top in CODES {
            assert_eq!(Numbers::of(&printed(f64::from(top), 9)), Numbers::Codes(top), "{top} in 9 decimals");
        }
        assert_eq!(Numbers::of(&printed(1023.0, 6)), Numbers::Codes(1023));
        assert_eq!(Numbers::of(&[[0.0, 1.0, 0.0]; 8]), Numbers::Decimals(1));
    }
}
