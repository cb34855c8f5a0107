//! What of the camera's signal never reaches the table: a legal-range input cuts what lies outside 64..940.

use super::viewer::Viewer;
use crate::colour::difference::ciede2000;
use crate::maths::{CODE10_MAX, stops_from_grey};
use crate::plan::Levels;
use serde::Serialize;

/// The part of the camera's signal that the device cuts off before the table.
#[derive(Clone, Debug, Serialize)]
pub struct Cut {
    /// First 10-bit code that is kept.
    pub first_code: f64,
    /// Stops from grey of that code; `None` where it lies at or below no light.
    pub first_stops: Option<f64>,
    /// Last 10-bit code that is kept.
    pub last_code: f64,
    /// Stops from grey of that code.
    pub last_stops: Option<f64>,
    /// Largest CIEDE2000 that the cut makes on the grey scale.
    pub max_de: f64,
    /// 10-bit code where it does.
    pub max_de_code: f64,
}

/// `None` for a full-range input, which cuts nothing.
pub(super) fn cut(viewer: &Viewer<'_>) -> Option<Cut> {
    let plan = viewer.plan();
    if plan.device.input_levels == Levels::Full {
        return None;
    }
    let (first, last) = (Levels::Legal.to_signal(0.0), Levels::Legal.to_signal(1.0));
    let (mut max_de, mut max_de_code) = (0.0, 0.0);
    for code in 0..=1023_u32 {
        let signal = [f64::from(code) / CODE10_MAX; 3];
        let de = ciede2000(viewer.lab(viewer.of_look_uncut(signal)), viewer.lab(viewer.of_look(signal)));
        if de > max_de {
            (max_de, max_de_code) = (de, f64::from(code));
        }
    }
    let stops = |signal: f64| Some(stops_from_grey(plan.camera.curve.decode(signal))).filter(|stops| stops.is_finite());
    Some(Cut {
        first_code: first * CODE10_MAX,
        first_stops: stops(first),
        last_code: last * CODE10_MAX,
        last_stops: stops(last),
        max_de,
        max_de_code,
    })
}
