//! The formula against worked numbers that were made elsewhere: `tests/data/asc_cdl.csv`, whose head names the source.

use crate::reference::rows;
use lookwright::colour::cdl::{Cdl, apply_clamped, apply_free};

/// As the file states it: rounding of plain arithmetic, and its 13 digits.
const TOLERANCE: f64 = 1e-12;

#[test]
fn both_forms_give_the_worked_numbers() {
    let rows = rows("asc_cdl.csv");
    assert!(rows.len() >= 40, "{} rows", rows.len());
    for row in &rows {
        let three = |name: &str| ["r", "g", "b"].map(|channel| row.number(&format!("{name}{channel}")));
        let grade = Cdl {
            slope: three("slope_"),
            offset: three("offset_"),
            power: three("power_"),
            saturation: row.number("saturation"),
        };
        let rgb = three("");
        for (form, found) in [("clamped_", apply_clamped(&grade, rgb)), ("free_", apply_free(&grade, rgb))] {
            for (found, expected) in found.into_iter().zip(three(form)) {
                assert!(
                    (found - expected).abs() <= TOLERANCE,
                    "{form}{grade:?} of {rgb:?}: expected {expected}, found {found}"
                );
            }
        }
    }
}
