//! Maps over the colours of the scene: all hues from eight stops under grey to eight over it, pale to strong.

use crate::colour::difference::ciede2000;
use crate::maths::{CODE10_MAX, Rgb};
use crate::verify::{SceneColour, SceneColours, View};
use rayon::prelude::*;
use serde::Serialize;

/// Maps span this many stops on both sides of grey.
pub const MAP_STOPS: i32 = 8;

/// Steps of a map to a stop.
const STEPS: i32 = 2;

/// Hues of a map: every 15 degrees from 0.
pub const MAP_HUES: usize = 24;

/// Oklab chroma on mid-grey of each part of a map, and what that is like. This project's own choice: the chart's skins lie
/// near 0.06, its strongest patches near 0.16.
pub const MAP_CHROMAS: [(f64, &str); 3] = [(0.03, "pale"), (0.08, "like skin and cloth"), (0.16, "strong, like paint")];

/// A signal within half a 10-bit code of its end has ended.
const END: f64 = 0.5 / CODE10_MAX;

/// A place of a map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapPlace {
    /// Which of [`MAP_CHROMAS`].
    pub part: usize,
    /// Row: a hue.
    pub row: usize,
    /// Column: stops.
    pub column: usize,
}

/// Stops from grey of each column.
#[must_use]
pub fn map_stops() -> Vec<f64> {
    (-MAP_STOPS * STEPS..=MAP_STOPS * STEPS).map(|step| f64::from(step) / f64::from(STEPS)).collect()
}

/// All places, part by part and row by row.
pub fn map_places() -> impl Iterator<Item = MapPlace> {
    let columns = map_stops().len();
    let in_part =
        move |part| (0..MAP_HUES).flat_map(move |row| (0..columns).map(move |column| MapPlace { part, row, column }));
    (0..MAP_CHROMAS.len()).flat_map(in_part)
}

impl MapPlace {
    /// Its colour.
    #[must_use]
    pub fn colour(&self) -> SceneColour {
        let stops = f64::from(self.column as i32 - MAP_STOPS * STEPS) / f64::from(STEPS);
        let hue_deg = 360.0 / MAP_HUES as f64 * self.row as f64;
        SceneColour { hue_deg, chroma: MAP_CHROMAS[self.part].0, stops }
    }
}

/// Every place of a map, worked out by itself.
fn over_map<T: Send>(value: impl Fn(SceneColour) -> T + Sync) -> Vec<T> {
    let places: Vec<MapPlace> = map_places().collect();
    places.into_par_iter().map(|place| value(place.colour())).collect()
}

/// What of a display's signal has ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Clipped {
    /// Nothing.
    Nothing,
    /// One or two channels lie at display black.
    AtBlack,
    /// One or two channels lie at display white.
    AtWhite,
    /// Some channels lie at black and some at white.
    Both,
    /// The whole colour is black.
    Black,
    /// The whole colour is white.
    White,
    /// The camera's signal has no room for the colour.
    Unrecorded,
}

/// Where channels end.
#[derive(Clone, Debug, Serialize)]
pub struct ClippingMap {
    /// Every place, as [`map_places`] gives them.
    pub cells: Vec<Clipped>,
}

impl ClippingMap {
    /// Looks through a view.
    #[must_use]
    pub fn new(view: &View<'_>) -> Self {
        let colours = SceneColours::new(&view.camera, view.adaptation);
        let cells = over_map(|colour| {
            if !colours.recordable(colour, view.input_ends()) {
                return Clipped::Unrecorded;
            }
            clipped(view.signal(colours.signal(colour)), view.white_signal())
        });
        Self { cells }
    }

    /// How many places of a part are of a kind, and how many the camera records.
    #[must_use]
    pub fn count(&self, part: usize, of: impl Fn(Clipped) -> bool) -> (usize, usize) {
        let size = self.cells.len() / MAP_CHROMAS.len();
        let cells = &self.cells[part * size..][..size];
        let recorded = cells.iter().filter(|cell| **cell != Clipped::Unrecorded);
        (recorded.clone().filter(|cell| of(**cell)).count(), recorded.count())
    }
}

fn clipped(signal: Rgb, at_white: f64) -> Clipped {
    let black = signal.iter().filter(|value| **value <= END).count();
    let white = signal.iter().filter(|value| **value >= at_white - END).count();
    match (black, white) {
        (3, _) => Clipped::Black,
        (_, 3) => Clipped::White,
        (0, 0) => Clipped::Nothing,
        (_, 0) => Clipped::AtBlack,
        (0, _) => Clipped::AtWhite,
        _ => Clipped::Both,
    }
}

/// Differences between two views, or between a look and its file.
#[derive(Clone, Debug, Serialize)]
pub struct DifferenceMap {
    /// CIEDE2000 at every place, as [`map_places`] gives them; `None` where the camera's signal has no room for the colour.
    pub cells: Vec<Option<f64>>,
}

/// The worst place of a part of a map.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Worst {
    /// CIEDE2000.
    pub de2000: f64,
    /// Oklab hue, degrees.
    pub hue_deg: f64,
    /// Stops from grey.
    pub stops: f64,
    /// Mean CIEDE2000 of the part.
    pub mean_de: f64,
}

impl DifferenceMap {
    /// Between two views. Each records the scene with its own camera and sees it against its own display's diffuse white.
    #[must_use]
    pub fn between(a: &View<'_>, b: &View<'_>) -> Self {
        let of = |view: &View<'_>| SceneColours::new(&view.camera, view.adaptation);
        let (of_a, of_b) = (of(a), of(b));
        let cells = over_map(|colour| {
            let recorded = of_a.recordable(colour, a.input_ends()) && of_b.recordable(colour, b.input_ends());
            let lab =
                |view: &View<'_>, colours: &SceneColours| view.lab_of_surface(view.signal(colours.signal(colour)));
            recorded.then(|| ciede2000(lab(a, &of_a), lab(b, &of_b)))
        });
        Self { cells }
    }

    /// The worst place of a part; a difference that is no number is the worst of all. `None` where the camera records nothing.
    #[must_use]
    pub fn worst(&self, part: usize) -> Option<Worst> {
        let mut worst: Option<Worst> = None;
        let (mut sum, mut count) = (0.0, 0.0);
        for (place, de) in map_places().zip(&self.cells).filter(|(place, _)| place.part == part) {
            let Some(de2000) = *de else { continue };
            sum += de2000;
            count += 1.0;
            if worst.is_none_or(|worst| de2000 > worst.de2000 || (de2000.is_nan() && !worst.de2000.is_nan())) {
                let SceneColour { hue_deg, stops, .. } = place.colour();
                worst = Some(Worst { de2000, hue_deg, stops, mean_de: 0.0 });
            }
        }
        worst.map(|worst| Worst { mean_de: sum / count, ..worst })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_run_through_stops_then_hues_then_parts() {
        let places: Vec<MapPlace> = map_places().collect();
        assert_eq!(places.len(), 3 * 24 * 33);
        assert_eq!(places[0].colour(), SceneColour { hue_deg: 0.0, chroma: 0.03, stops: -8.0 });
        assert_eq!(places[34].colour(), SceneColour { hue_deg: 15.0, chroma: 0.03, stops: -7.5 });
        assert_eq!(places[3 * 24 * 33 - 1].colour(), SceneColour { hue_deg: 345.0, chroma: 0.16, stops: 8.0 });
    }

    #[test]
    fn a_signal_ends_within_half_a_code() {
        assert_eq!(clipped([0.5, 0.4 / 1023.0, 0.2], 1.0), Clipped::AtBlack);
        assert_eq!(clipped([0.5, 0.6 / 1023.0, 0.2], 1.0), Clipped::Nothing);
        assert_eq!(clipped([1.0, 0.9, 0.2], 1.0), Clipped::AtWhite);
        assert_eq!(clipped([1.0, 0.9, 0.0], 1.0), Clipped::Both);
        assert_eq!(clipped([1.0; 3], 1.0), Clipped::White);
        assert_eq!(clipped([0.0; 3], 1.0), Clipped::Black);
        // PQ of a display of 1000 cd/m²: its white is 0.7518.
        assert_eq!(clipped([0.7518; 3], 0.7518), Clipped::White);
    }

    #[test]
    fn no_number_is_the_worst() {
        let mut cells = vec![Some(0.5); 3 * 24 * 33];
        cells[0] = None;
        cells[5] = Some(2.0);
        let map = DifferenceMap { cells: cells.clone() };
        let worst = map.worst(0).expect("colours");
        assert_eq!((worst.de2000, worst.stops, worst.hue_deg), (2.0, -5.5, 0.0));
        assert!((worst.mean_de - (0.5 * 790.0 + 2.0) / 791.0).abs() < 1e-12);
        cells[7] = Some(f64::NAN);
        assert!(DifferenceMap { cells }.worst(0).expect("colours").de2000.is_nan());
    }
}
