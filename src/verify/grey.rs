//! The grey scale: −8..+8 stops in thirds, and a fine ramp that must not fall.

use super::verification::Check;
use super::viewer::Viewer;
use crate::colour::difference::ciede2000;
use crate::maths::{CODE10_MAX, Rgb, stops_from_grey};
use crate::plan::Tolerances;
use serde::Serialize;

/// The grey scale spans this many stops on both sides of grey.
pub const GREY_STOPS: i32 = 8;

/// Steps of the grey scale to a stop.
const STEPS_PER_STOP: i32 = 3;

/// Within this many stops from grey, differences are held in 10-bit codes; outside, in CIEDE2000 only.
const CODES_STOPS: f64 = 5.0;

/// A look whose greys stay within this spread of the three channels, as parts of the signal, is neutral: a tenth of a
/// 10-bit code.
const NEUTRAL_SPREAD: f64 = 0.1 / CODE10_MAX;

/// Pairs of channels between which a cast is measured.
const PAIRS: [(usize, usize); 3] = [(0, 1), (1, 2), (0, 2)];

/// Steps of the fine ramp over the camera's signal: four to a 10-bit code.
const RAMP_STEPS: i32 = 4092;

/// Falls under half a 10-bit code are not seen: published curves have steps at their breaks, and tinted greys bend where
/// they meet the display's gamut.
const FALL_CODES: f64 = 0.5;

/// A signal within half a 10-bit code of its end counts as black or white.
const END_CODES: f64 = 0.5;

/// One step of the grey scale.
#[derive(Clone, Debug, Serialize)]
pub struct GreyPoint {
    /// Stops from grey.
    pub stops: f64,
    /// 10-bit code that the camera records, not rounded.
    pub code_in: f64,
    /// Whether the camera's signal has ended there, so that this step is recorded as its last code.
    pub beyond_signal: bool,
    /// Display signal through the file, 0..1.
    pub signal: Rgb,
    /// Display signal of the exact look, 0..1.
    pub exact: Rgb,
    /// Largest difference of a channel, 10-bit codes.
    pub codes: f64,
    /// How far the cast is from the one that the recipe asks for (for a neutral look: from neutral), 10-bit codes.
    pub neutral_error_codes: f64,
    /// CIEDE2000 between both.
    pub de2000: f64,
}

/// How the signal rises along the fine ramp.
#[derive(Clone, Debug)]
pub struct Rising {
    /// Largest fall of the file below what it had reached, beyond any fall of the exact look, 10-bit codes.
    pub excess_codes: f64,
    /// Largest fall of the exact look itself, 10-bit codes.
    pub designed_codes: f64,
    /// Stops from grey where the file falls most.
    pub stops: f64,
}

impl Rising {
    /// Whether no fall would be seen that the look does not ask for.
    #[must_use]
    pub fn pass(&self) -> bool {
        self.excess_codes <= FALL_CODES
    }
}

/// The whole grey scale.
#[derive(Clone, Debug)]
pub struct GreyScale {
    /// Its steps, dark to bright.
    pub points: Vec<GreyPoint>,
    /// How the signal rises.
    pub rising: Rising,
    /// Stops from grey up to which the picture is black.
    pub black_stops: Option<f64>,
    /// Stops from grey from which on the picture is white.
    pub white_stops: Option<f64>,
}

/// Looks at the grey scale of what leads `through` a file, from the camera's signal to the display's.
#[must_use]
pub fn grey_scale(viewer: &Viewer<'_>, through: &dyn Fn(Rgb) -> Rgb) -> GreyScale {
    let points: Vec<GreyPoint> = (-GREY_STOPS * STEPS_PER_STOP..=GREY_STOPS * STEPS_PER_STOP)
        .map(|step| point(viewer, through, f64::from(step) / f64::from(STEPS_PER_STOP)))
        .collect();
    let (rising, black_stops, white_stops) = ramp(viewer, through);
    GreyScale { points, rising, black_stops, white_stops }
}

fn point(viewer: &Viewer<'_>, through: &dyn Fn(Rgb) -> Rgb, stops: f64) -> GreyPoint {
    let camera = viewer.camera_neutral(stops);
    let (signal, exact) = (through(camera), viewer.of_look(camera));
    GreyPoint {
        stops,
        code_in: camera[0] * CODE10_MAX,
        beyond_signal: camera[0] >= 1.0,
        signal,
        exact,
        codes: largest((0..3).map(|i| (signal[i] - exact[i]).abs())) * CODE10_MAX,
        neutral_error_codes: cast_error(signal, exact) * CODE10_MAX,
        de2000: ciede2000(viewer.lab(exact), viewer.lab(signal)),
    }
}

/// Largest difference of two channels, less the difference that is asked for.
fn cast_error(signal: Rgb, exact: Rgb) -> f64 {
    largest(PAIRS.into_iter().map(|(i, j)| ((signal[i] - signal[j]) - (exact[i] - exact[j])).abs()))
}

fn largest(values: impl Iterator<Item = f64>) -> f64 {
    // Written so that NaN stays and fails its check.
    values.fold(0.0, |most: f64, value| if most.is_nan() || value <= most { most } else { value })
}

fn ramp(viewer: &Viewer<'_>, through: &dyn Fn(Rgb) -> Rgb) -> (Rising, Option<f64>, Option<f64>) {
    let mut rising = Rising { excess_codes: 0.0, designed_codes: 0.0, stops: 0.0 };
    let (mut black, mut white, mut leading_black) = (None, None, true);
    let (mut reached, mut reached_exact) = ([0.0_f64; 3], [0.0_f64; 3]);
    for step in 0..=RAMP_STEPS {
        let code = f64::from(step) / f64::from(RAMP_STEPS);
        let (signal, exact) = (through([code; 3]), viewer.of_look([code; 3]));
        let stops = stops_from_grey(viewer.plan().camera.curve.decode(code));
        for i in 0..3 {
            let (fall, designed) = (reached[i] - signal[i], reached_exact[i] - exact[i]);
            let excess = (fall - designed.max(0.0)) * CODE10_MAX;
            if excess > rising.excess_codes {
                (rising.excess_codes, rising.stops) = (excess, stops);
            }
            rising.designed_codes = rising.designed_codes.max(designed * CODE10_MAX);
            (reached[i], reached_exact[i]) = (reached[i].max(signal[i]), reached_exact[i].max(exact[i]));
        }
        leading_black &= signal.iter().all(|value| value * CODE10_MAX <= END_CODES);
        if leading_black {
            // Codes below the curve's black decode to no light at all.
            black = Some(if stops.is_finite() { stops } else { f64::NEG_INFINITY });
        }
        let at_white = |value: &f64| (viewer.white_signal() - value) * CODE10_MAX <= END_CODES;
        if white.is_none() && stops.is_finite() && signal.iter().all(at_white) {
            white = Some(stops);
        }
    }
    (rising, black, white)
}

impl GreyScale {
    /// Largest difference within ±5 stops, 10-bit codes.
    #[must_use]
    pub fn max_codes(&self) -> f64 {
        largest(self.inner().map(|point| point.codes))
    }

    fn inner(&self) -> impl Iterator<Item = &GreyPoint> {
        self.points.iter().filter(|point| point.stops.abs() <= CODES_STOPS)
    }

    /// Distance from the cast that the look asks for, 10-bit codes, and where.
    ///
    /// Greys that should be neutral must be so at every step. A tinted look is held to its cast on average over the
    /// scale: between two nodes each of its channels follows its own chord, by up to 4 codes at 33 points with no more
    /// than 0.3 ΔE2000 to be seen, and that ripple has its own tolerances, in codes and in ΔE2000.
    fn cast(&self) -> (f64, String) {
        let neutral = self.inner().all(|point| cast_error(point.exact, [point.exact[1]; 3]) <= NEUTRAL_SPREAD);
        if neutral {
            return worst(self.inner(), |point| point.neutral_error_codes);
        }
        let count = self.inner().count() as f64;
        let casts = PAIRS.map(|(i, j)| {
            let sum: f64 = self.inner().map(|p| (p.signal[i] - p.signal[j]) - (p.exact[i] - p.exact[j])).sum();
            sum / count * CODE10_MAX
        });
        let [rg, gb, rb] = casts;
        let told = format!("on average red−green {rg:+.2}, green−blue {gb:+.2}, red−blue {rb:+.2} from the look's");
        (largest(casts.into_iter().map(f64::abs)), told)
    }

    pub(super) fn checks(&self, tolerances: &Tolerances) -> Vec<Check> {
        let neutral = self.cast();
        let codes = worst(self.inner(), |point| point.codes);
        let de = worst(self.points.iter(), |point| point.de2000);
        let rising = match self.rising.stops {
            stops if stops.is_finite() => format!("near {stops:+.2} stops"),
            // Below the code that the curve gives to black, the decoded light is negative and has no stops.
            _ => "below the camera's black".to_owned(),
        };
        let fall = if self.rising.pass() { String::new() } else { rising };
        vec![
            Check::new("cast of greys", neutral.0, tolerances.grey_neutral_codes, "10-bit codes", neutral.1),
            Check::new("grey scale ±5 stops", codes.0, tolerances.grey_codes, "10-bit codes", codes.1),
            Check::new("grey scale ±8 stops", de.0, tolerances.grey_de, "ΔE2000", de.1),
            Check::new("grey scale rises", self.rising.excess_codes, FALL_CODES, "10-bit codes of fall", fall),
        ]
    }

    pub(super) fn notes(&self, viewer: &Viewer<'_>) -> Vec<String> {
        let mut notes = Vec::new();
        let curve = &viewer.plan().camera.curve;
        for step in curve.steps() {
            notes.push(format!(
                "{}: the published constants leave a step of {:+.1e} stop at code {:.1}; the table reads across it",
                curve.encoding().name,
                stops_from_grey(step.linear_above) - stops_from_grey(step.linear_below),
                step.code * CODE10_MAX,
            ));
        }
        if self.rising.designed_codes > FALL_CODES {
            notes.push(format!(
                "the look itself makes a channel of the grey scale fall, by up to {:.1} ten-bit codes",
                self.rising.designed_codes
            ));
        }
        let unfinished = |point: &&GreyPoint| {
            point.beyond_signal && point.exact.iter().any(|value| (1.0 - value) * CODE10_MAX > END_CODES)
        };
        if let Some(first) = self.points.iter().find(unfinished) {
            notes.push(format!(
                "{} ends below {:+.2} stops, before the look reaches white: brighter light is recorded as its last code",
                curve.encoding().name,
                first.stops
            ));
        }
        notes
    }
}

fn worst<'a>(points: impl Iterator<Item = &'a GreyPoint>, of: impl Fn(&GreyPoint) -> f64) -> (f64, String) {
    let mut found: Option<&GreyPoint> = None;
    for point in points {
        // NaN counts as the most, so that it fails its check.
        if found.is_none_or(|most| of(point) > of(most) || of(point).is_nan()) {
            found = Some(point);
        }
    }
    found.map_or((0.0, String::new()), |point| {
        let (expected, got) = (codes(point.exact), codes(point.signal));
        (of(point), format!("at {:+.2} stops, code {:.0}: expected {expected}, got {got}", point.stops, point.code_in))
    })
}

/// A signal as 10-bit codes.
pub(super) fn codes(signal: Rgb) -> String {
    let [r, g, b] = signal.map(|value| value * CODE10_MAX);
    format!("{r:.1} {g:.1} {b:.1}")
}
