//! The chart and skins, as the camera records them at −3..+3 stops.

use super::verification::Check;
use super::viewer::Viewer;
use crate::colour::chart::Patch;
use crate::colour::difference::{Lab, ciede2000};
use crate::maths::Rgb;
use crate::plan::Tolerances;
use serde::Serialize;

/// Patches are looked at up to this many stops over and under.
pub const PATCH_STOPS: i32 = 3;

/// All patches of a table.
pub type Patches = Vec<PatchPoint>;

/// One patch at one exposure.
#[derive(Clone, Debug, Serialize)]
pub struct PatchPoint {
    /// Name of the patch.
    pub name: &'static str,
    /// Stops over or under.
    pub stops: i32,
    /// CIELAB of the exact look against display white.
    pub lab_exact: [f64; 3],
    /// CIELAB through the file.
    pub lab_lut: [f64; 3],
    /// CIEDE2000 between both.
    pub de2000: f64,
    /// Display signal of the exact look.
    pub exact: Rgb,
    /// Display signal through the file.
    pub signal: Rgb,
}

/// Looks at patches `through` a file, from the camera's signal to the display's.
#[must_use]
pub fn patches(viewer: &Viewer<'_>, through: &dyn Fn(Rgb) -> Rgb, patches: &'static [Patch]) -> Patches {
    let mut points = Vec::with_capacity(patches.len() * 7);
    for patch in patches {
        for stops in -PATCH_STOPS..=PATCH_STOPS {
            let camera = viewer.camera_patch(patch, f64::from(stops));
            let (exact, signal) = (viewer.of_look(camera), through(camera));
            let (lab_exact, lab_lut) = (viewer.lab(exact), viewer.lab(signal));
            points.push(PatchPoint {
                name: patch.name,
                stops,
                lab_exact: triple(lab_exact),
                lab_lut: triple(lab_lut),
                de2000: ciede2000(lab_exact, lab_lut),
                exact,
                signal,
            });
        }
    }
    points
}

fn triple(lab: Lab) -> [f64; 3] {
    [lab.l, lab.a, lab.b]
}

/// Mean CIEDE2000, 0 for no patches.
#[must_use]
pub fn mean_de(points: &[PatchPoint]) -> f64 {
    let sum: f64 = points.iter().map(|point| point.de2000).sum();
    if points.is_empty() { 0.0 } else { sum / points.len() as f64 }
}

/// The patch with the largest CIEDE2000; one that is no number counts as the largest.
#[must_use]
pub fn worst(points: &[PatchPoint]) -> Option<&PatchPoint> {
    points.iter().reduce(|most, point| if most.de2000.is_nan() || point.de2000 <= most.de2000 { most } else { point })
}

pub(super) fn checks(chart: &[PatchPoint], skins: &[PatchPoint], tolerances: &Tolerances) -> Vec<Check> {
    let describe = |points: &[PatchPoint]| {
        worst(points).map_or((0.0, String::new()), |point| {
            let (expected, got) = (super::grey::codes(point.exact), super::grey::codes(point.signal));
            (point.de2000, format!("{} at {:+} stops: expected {expected}, got {got}", point.name, point.stops))
        })
    };
    let (chart_worst, skin_worst) = (describe(chart), describe(skins));
    vec![
        Check::new("chart, mean", mean_de(chart), tolerances.patch_mean_de, "ΔE2000", String::new()),
        Check::new("chart, worst", chart_worst.0, tolerances.patch_max_de, "ΔE2000", chart_worst.1),
        Check::new("skins, worst", skin_worst.0, tolerances.patch_max_de, "ΔE2000", skin_worst.1),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_that_is_no_number_stays_the_worst() {
        let point = |de2000: f64| PatchPoint {
            name: "foliage",
            stops: 0,
            lab_exact: [0.0; 3],
            lab_lut: [0.0; 3],
            de2000,
            exact: [0.0; 3],
            signal: [0.0; 3],
        };
        let points = [point(1.0), point(f64::NAN), point(2.0)];
        assert!(worst(&points).is_some_and(|point| point.de2000.is_nan()));
    }
}
