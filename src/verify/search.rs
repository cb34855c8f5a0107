//! A seeded random sample of the camera's signal, and a search for the worst point between the nodes.

use super::viewer::Viewer;
use crate::colour::difference::ciede2000;
use crate::lut::Table3;
use crate::maths::{CODE10_MAX, Rgb};
use serde::Serialize;

/// Points of the random sample.
const SAMPLE: usize = 2048;

/// Points of the sample from which the search climbs.
const STARTS: usize = 6;

/// Halvings of the search's step, from half a grid cell: it ends at a hundredth of a cell.
const HALVINGS: usize = 6;

/// Any number: the sample is the same in every run.
const SEED: u64 = 0x7469_6465_7761_7465;

/// How far a colour of the second half of the sample lies from the grey axis, as a part of the signal: where pictures
/// live. Common practice, no source: chart patches through common log curves lie within 0.15.
const NEAR_GREY: f64 = 0.15;

/// The worst point that was found.
#[derive(Clone, Debug, Serialize)]
pub struct WorstPoint {
    /// The camera's signal, 10-bit codes.
    pub code_in: Rgb,
    /// Display signal of the exact look.
    pub exact: Rgb,
    /// Display signal through the file.
    pub signal: Rgb,
    /// CIEDE2000 between both.
    pub de2000: f64,
    /// Largest difference of a channel, 10-bit codes.
    pub codes: f64,
}

/// What was found. For information: the sample reaches colours that no camera records, so it is held to no tolerance.
#[derive(Clone, Debug, Serialize)]
pub struct Search {
    /// Points of the sample: half anywhere in the signal, half near the grey axis.
    pub points: usize,
    /// Mean CIEDE2000 of the sample.
    pub mean_de: f64,
    /// 95 % of the sample lie at or below this CIEDE2000.
    pub de_95: f64,
    /// The worst point of all.
    pub worst: WorstPoint,
}

/// Looks for the worst point.
pub(super) fn search(viewer: &Viewer<'_>, table: &Table3) -> Search {
    let mut random = SplitMix(SEED);
    let mut points: Vec<(f64, Rgb)> = (0..SAMPLE)
        .map(|index| {
            let mut point = [random.unit(), random.unit(), random.unit()];
            if index % 2 == 1 {
                let grey = random.unit();
                point = point.map(|part| (grey + NEAR_GREY * (2.0 * part - 1.0)).clamp(0.0, 1.0));
            }
            (difference(viewer, table, point), point)
        })
        .collect();
    let mean_de = points.iter().map(|(de, _)| de).sum::<f64>() / SAMPLE as f64;
    points.sort_by(|a, b| b.0.total_cmp(&a.0));
    let de_95 = points[SAMPLE / 20].0;
    let mut worst = points[0];
    for start in points.iter().take(STARTS) {
        let found = climb(viewer, table, *start);
        if found.0 > worst.0 {
            worst = found;
        }
    }
    let (exact, signal) = (viewer.of_look(worst.1), viewer.of_table(table, worst.1));
    let codes = (0..3).map(|i| (exact[i] - signal[i]).abs()).fold(0.0, f64::max) * CODE10_MAX;
    let code_in = worst.1.map(|value| value * CODE10_MAX);
    Search { points: SAMPLE, mean_de, de_95, worst: WorstPoint { code_in, exact, signal, de2000: worst.0, codes } }
}

/// Walks along the axes as long as it gets worse, in ever smaller steps.
fn climb(viewer: &Viewer<'_>, table: &Table3, start: (f64, Rgb)) -> (f64, Rgb) {
    let (mut most, mut place) = start;
    let mut step = 0.5 / (table.size() - 1) as f64;
    for _ in 0..HALVINGS {
        for axis in 0..3 {
            for way in [-step, step] {
                let mut next = place;
                next[axis] = (next[axis] + way).clamp(0.0, 1.0);
                let de = difference(viewer, table, next);
                if de > most {
                    (most, place) = (de, next);
                }
            }
        }
        step /= 2.0;
    }
    (most, place)
}

fn difference(viewer: &Viewer<'_>, table: &Table3, signal: Rgb) -> f64 {
    ciede2000(viewer.lab(viewer.of_look(signal)), viewer.lab(viewer.of_table(table, signal)))
}

/// Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators" (bibliography: splitmix).
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 up to, not including, 1.
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
