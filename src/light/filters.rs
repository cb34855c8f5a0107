//! Filters on lamps. What counts are the numbers, which makers print differently; the trade's names only say which filter hangs
//! there.

use super::cast::DUV_PER_CC;
use crate::colour::canonical_name;

/// A filter before a light.
#[derive(Clone, Debug, PartialEq)]
pub struct Filter {
    /// Its name.
    pub name: String,
    /// Shift in mired; positive warms.
    pub warmer_mired: f64,
    /// Green (positive) or magenta (negative), CIE 1960 (u, v).
    pub greener_duv: f64,
    /// Light that it takes, stops.
    pub stops: f64,
    /// Whether the loss was not given but taken from filters of the same strength.
    pub is_estimated: bool,
}

/// A filter that the trade has a name for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuiltIn {
    /// Name, such as "1/2 CTO".
    pub name: &'static str,
    /// Shift in mired; positive warms.
    pub warmer_mired: f64,
    /// Green (positive) or magenta, CC.
    pub greener_cc: f64,
    /// Light that it takes, stops.
    pub stops: f64,
    /// What another maker prints for a filter of the same name, mired; none for greens.
    pub other_maker: Option<f64>,
}

const fn built(
    name: &'static str,
    warmer_mired: f64,
    greener_cc: f64,
    stops: f64,
    other_maker: Option<f64>,
) -> BuiltIn {
    BuiltIn { name, warmer_mired, greener_cc, stops, other_maker }
}

/// Filters that the trade has names for: full, 3/4, 1/2, 1/4 and 1/8 of orange and blue, green and magenta.
///
/// Makers differ: halves of one name by 28 mired. Mireds and losses are those of one maker (Lee), the other column those of a second
/// (Rosco), as quoted by others; provenance of each number is in `tests/data/filters_published.csv`. The 3/4 greens are this project's
/// own, halfway between their neighbours. What real filters do besides is in `docs/light.md`.
pub static BUILT_IN: [BuiltIn; 20] = [
    built("full CTO", 159.0, 0.0, 0.85, Some(167.0)),
    built("3/4 CTO", 124.0, 0.0, 0.71, Some(131.0)),
    built("1/2 CTO", 109.0, 0.0, 0.50, Some(81.0)),
    built("1/4 CTO", 64.0, 0.0, 0.34, Some(42.0)),
    built("1/8 CTO", 26.0, 0.0, 0.23, Some(20.0)),
    built("full CTB", -137.0, 0.0, 1.5, Some(-131.0)),
    built("3/4 CTB", -112.0, 0.0, 1.3, Some(-100.0)),
    built("1/2 CTB", -78.0, 0.0, 0.9, Some(-68.0)),
    built("1/4 CTB", -35.0, 0.0, 0.5, Some(-30.0)),
    built("1/8 CTB", -18.0, 0.0, 0.3, Some(-12.0)),
    built("full plus green", 0.0, 30.0, 0.43, None),
    built("3/4 plus green", 0.0, 22.5, 0.36, None),
    built("1/2 plus green", 0.0, 15.0, 0.29, None),
    built("1/4 plus green", 0.0, 7.5, 0.24, None),
    built("1/8 plus green", 0.0, 3.5, 0.19, None),
    built("full minus green", 0.0, -30.0, 0.79, None),
    built("3/4 minus green", 0.0, -22.5, 0.63, None),
    built("1/2 minus green", 0.0, -15.0, 0.47, None),
    built("1/4 minus green", 0.0, -7.5, 0.28, None),
    built("1/8 minus green", 0.0, -3.5, 0.21, None),
];

/// The built-in filter that is meant: compared without case and spaces, and a kind alone is a full one.
#[must_use]
pub fn built_in(name: &str) -> Option<&'static BuiltIn> {
    let wanted = canonical_name(name);
    let full = canonical_name(&format!("full {name}"));
    BUILT_IN.iter().find(|known| {
        let known = canonical_name(known.name);
        known == wanted || known == full
    })
}

impl BuiltIn {
    /// The filter.
    #[must_use]
    pub fn filter(&self) -> Filter {
        Filter {
            name: self.name.to_owned(),
            warmer_mired: self.warmer_mired,
            greener_duv: self.greener_cc * DUV_PER_CC,
            stops: self.stops,
            is_estimated: false,
        }
    }
}

/// About what a filter of unknown loss takes, stops: between the built-in filters of its direction, and beyond the strongest in
/// proportion; the green or magenta part on top of the warm or cool one.
#[must_use]
pub fn estimated_stops(warmer_mired: f64, greener_duv: f64) -> f64 {
    let greener_cc = greener_duv / DUV_PER_CC;
    between(warmer_mired, |known| known.warmer_mired) + between(greener_cc, |known| known.greener_cc)
}

/// The loss at a strength, along the built-in filters of the same sign.
fn between(strength: f64, of: fn(&BuiltIn) -> f64) -> f64 {
    if strength == 0.0 {
        return 0.0;
    }
    let mut known: Vec<(f64, f64)> =
        BUILT_IN.iter().filter(|one| of(one) * strength > 0.0).map(|one| (of(one).abs(), one.stops)).collect();
    known.push((0.0, 0.0));
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (wanted, strongest) = (strength.abs(), known[known.len() - 1]);
    if wanted >= strongest.0 {
        return strongest.1 * wanted / strongest.0;
    }
    let above = known.iter().position(|one| one.0 > wanted).unwrap_or(known.len() - 1);
    let (low, high) = (known[above - 1], known[above]);
    low.1 + (high.1 - low.1) * (wanted - low.0) / (high.0 - low.0)
}

#[cfg(test)]
mod tests {
    use super::{BUILT_IN, built_in, estimated_stops};

    #[test]
    fn names_are_forgiving_in_form() {
        let found = |name: &str| built_in(name).map(|filter| filter.name);
        assert_eq!(found("1/2 cto"), Some("1/2 CTO"));
        assert_eq!(found("CTB"), Some("full CTB"));
        assert_eq!(found("Full Plus-Green"), Some("full plus green"));
        assert_eq!(found("5/8 CTO"), None);
    }

    #[test]
    fn an_estimated_loss_is_that_of_the_filters_themselves_and_rises_between_them() {
        for one in &BUILT_IN {
            let filter = one.filter();
            let estimated = estimated_stops(filter.warmer_mired, filter.greener_duv);
            assert!((estimated - one.stops).abs() < 1e-12, "{}: {estimated} for {}", one.name, one.stops);
        }
        let losses: Vec<f64> = (0..60).map(|step| estimated_stops(f64::from(step) * -5.0, 0.0)).collect();
        assert!(losses.is_sorted(), "{losses:?}");
        assert!((estimated_stops(318.0, 0.0) - 1.7).abs() < 1e-12, "two full ones");
    }
}
