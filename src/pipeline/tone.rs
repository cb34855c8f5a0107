//! Tone: scene light to display light, per channel, in the terms of a characteristic curve.
//!
//! A straight line of slope `contrast` through grey, and a toe and a shoulder that end in black and white, both by the
//! monotonic rational quadratic of Gregory and Delbourgo 1982 (bibliography: gregory-delbourgo). Black is taken off in
//! the signal domain, so that the signal leaves black with a finite slope and a coarse table can follow it.

use super::fault::Fault;
use super::row::Row;
use crate::diagnostics::codes;
use crate::maths::{GREY, exp2, log2, pow, rows};
use crate::plan::{Plan, Tone};

/// The signal domain in which black is taken off: a power law of BT.1886 (bibliography: itu-bt1886), whatever the display.
const SIGNAL_POWER: f64 = 2.4;

/// A shoulder with less slope than this on average leaves nothing to tell highlights apart. Common practice, no source:
/// under 0.15 display stops for each scene stop, one step of a third-stop wedge is below 0.05 stop on the display.
const FLAT_SHOULDER: f64 = 0.15;

/// Above this share of the hue-holding form, tinted highlights visibly stay short of white.
const HUE_HOLD_DOUBTFUL: f64 = 0.5;

/// One end of the curve: a straight line from grey, then a rational quadratic. What a pixel needs is worked out before.
#[derive(Clone, Copy, Debug)]
struct End {
    contrast: f64,
    straight: f64,
    /// Stops from the end of the straight line to the end of the curve.
    length: f64,
    /// 1 / length.
    per_length: f64,
    /// Display stops over that length.
    rise: f64,
    /// Slope over that length.
    mean: f64,
    /// Slopes at both ends together, less twice the mean.
    bow: f64,
}

impl End {
    fn new(contrast: f64, straight: f64, reach: f64, depth: f64, end_slope: f64) -> Self {
        let (length, rise) = (reach - straight, depth - contrast * straight);
        let mean = rise / length;
        let bow = end_slope + contrast - 2.0 * mean;
        Self { contrast, straight, length, per_length: 1.0 / length, rise, mean, bow }
    }
}

/// Either of two ends, taken apart so that the choice is a choice of numbers and not a branch.
#[inline(always)]
fn choose(first: bool, a: &End, b: &End) -> End {
    let pick = |a: f64, b: f64| if first { a } else { b };
    End {
        contrast: a.contrast,
        straight: pick(a.straight, b.straight),
        length: pick(a.length, b.length),
        per_length: pick(a.per_length, b.per_length),
        rise: pick(a.rise, b.rise),
        mean: pick(a.mean, b.mean),
        bow: pick(a.bow, b.bow),
    }
}

impl End {
    /// Display stops at `stops` from grey, both counted away from grey. Beyond the reach it stays at its end.
    #[inline(always)]
    fn at(&self, stops: f64) -> f64 {
        let beyond = stops - self.straight;
        let beyond = if beyond > 0.0 { beyond } else { 0.0 };
        let t = beyond * self.per_length;
        let t = if t < 1.0 { t } else { 1.0 };
        let hump = t * (1.0 - t);
        let straight = if stops < self.straight { stops } else { self.straight };
        self.contrast * straight
            + self.rise * (self.mean * t * t + self.contrast * hump) / (self.mean + self.bow * hump)
    }
}

/// The tone block.
#[derive(Clone, Debug)]
pub struct ToneBlock {
    curve: Curve,
    hue_hold: f64,
    slope_at_grey: f64,
}

/// The curve of the tone block.
#[derive(Clone, Copy, Debug)]
struct Curve {
    flare: f64,
    /// 1 / (grey + flare).
    per_grey: f64,
    black_reach: f64,
    white_reach: f64,
    up: End,
    down: End,
    /// log2 of grey in the log domain.
    grey_log: f64,
    black_root: f64,
    /// 1 / (1 − black_root).
    per_rest: f64,
}

impl Curve {
    /// Scene-linear in, display-linear out, 0..1.
    #[inline(always)]
    fn at(&self, x: f64) -> f64 {
        let light = if x > 0.0 { x } else { 0.0 };
        let stops = rows::log2((light + self.flare) * self.per_grey);
        let above = stops >= 0.0;
        let distance = choose(above, &self.up, &self.down).at(stops.abs());
        let display = if above { distance } else { -distance };
        let root = rows::exp2((self.grey_log + display) * (1.0 / SIGNAL_POWER));
        let y = rows::pow((root - self.black_root) * self.per_rest, SIGNAL_POWER);
        let y = if stops >= self.white_reach { 1.0 } else { y };
        // Without short circuit, so that the loop over a row has no branch.
        if (x <= 0.0) | (stops <= -self.black_reach) { 0.0 } else { y }
    }
}

/// The curve over a row.
#[multiversion::multiversion(targets("x86_64+avx2"))]
fn curve_row(curve: &Curve, row: &mut [f64]) {
    for value in row {
        *value = curve.at(*value);
    }
}

impl ToneBlock {
    /// The curve of a recipe, and what is doubtful in it.
    ///
    /// # Errors
    /// A straight line that is longer than the way to white or black, in scene or in display stops; grey at or below
    /// black.
    pub fn new(tone: &Tone) -> Result<(Self, Vec<Fault>), Vec<Fault>> {
        if tone.grey <= tone.black {
            return Err(vec![grey_below_black(tone)]);
        }
        let below = exp2(-tone.black_stops);
        let flare = GREY * below / (1.0 - below);
        let black_root = pow(tone.black, 1.0 / SIGNAL_POWER);
        let grey_root = pow(tone.grey, 1.0 / SIGNAL_POWER) * (1.0 - black_root) + black_root;
        let grey_log = SIGNAL_POWER * log2(grey_root);
        let white_reach = log2((GREY * exp2(tone.white_stops) + flare) / (GREY + flare));
        let up = End::new(tone.contrast, tone.straight_up, white_reach, -grey_log, tone.white_slope);
        let depth = grey_log - log2(tone.black);
        let down = End::new(tone.contrast, tone.straight_down, tone.black_stops, depth, tone.black_slope);
        let errors: Vec<Fault> = [("up", "white", &up, -grey_log), ("down", "black", &down, depth)]
            .into_iter()
            .filter_map(|(way, end, shape, display_stops)| too_long(way, end, shape, display_stops))
            .collect();
        if !errors.is_empty() {
            return Err(errors);
        }
        let slope_at_grey = tone.contrast * grey_root / (grey_root - black_root) * GREY / (GREY + flare);
        let curve = Curve {
            flare,
            per_grey: 1.0 / (GREY + flare),
            black_reach: tone.black_stops,
            white_reach,
            up,
            down,
            grey_log,
            black_root,
            per_rest: 1.0 / (1.0 - black_root),
        };
        let block = Self { curve, hue_hold: tone.hue_hold, slope_at_grey };
        let warnings = block.doubts();
        Ok((block, warnings))
    }

    /// Linear ACEScg of the scene in, display-linear ACEScg out.
    pub fn apply(&self, row: &mut Row) {
        let ([red, green, blue], scratch) = row.parts();
        if self.hue_hold == 0.0 {
            [red, green, blue].into_iter().for_each(|channel| curve_row(&self.curve, channel));
            return;
        }
        scratch.brightest([red, green, blue]);
        scratch.some.clear();
        scratch.some.extend_from_slice(&scratch.values);
        curve_row(&self.curve, &mut scratch.some);
        let m = self.hue_hold;
        for channel in [red, green, blue] {
            for ((value, brightest), held) in channel.iter_mut().zip(&scratch.values).zip(&scratch.some) {
                let share = if *brightest > 0.0 { value.max(0.0) / brightest } else { 0.0 };
                *value = (1.0 - m) * self.curve(*value) + m * held * share;
            }
        }
    }

    /// The curve itself: scene-linear in, display-linear out, 0..1.
    #[must_use]
    pub fn curve(&self, x: f64) -> f64 {
        self.curve.at(x)
    }

    /// Share of the hue-holding form.
    pub(crate) fn hue_hold(&self) -> f64 {
        self.hue_hold
    }

    /// The curve's own axis, log2((x + flare) / (0.18 + flare)): flare, and where black and white lie on it.
    pub(crate) fn axis(&self) -> (f64, [f64; 2]) {
        (self.curve.flare, [-self.curve.black_reach, self.curve.white_reach])
    }

    /// The slope that the eye meets at grey: display stops per scene stop, after the black offset.
    #[must_use]
    pub fn slope_at_grey(&self) -> f64 {
        self.slope_at_grey
    }

    fn doubts(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for (way, part, end) in [("up", "shoulder", &self.curve.up), ("down", "toe", &self.curve.down)] {
            if end.mean > end.contrast {
                let message = format!("the {part} gets steeper before it ends");
                let label = format!("its mean slope is {:.2}, above the contrast of {:.2}", end.mean, end.contrast);
                let help = if way == "up" {
                    "lower `tone.white_stops`, or raise `tone.contrast` or `tone.grey`"
                } else {
                    "lower `tone.black_stops`, or raise `tone.contrast` or `tone.black`"
                };
                let parameter = if way == "up" { "tone.white_stops" } else { "tone.black_stops" };
                faults.push(Fault::warning(&codes::TONE_STEEPENS, parameter, message, label).help(help));
            }
        }
        if self.curve.up.mean < FLAT_SHOULDER {
            let message = "the contrast leaves almost nothing for the highlights".to_owned();
            let label = format!(
                "{:.1} stops of highlights share {:.2} stops of the display",
                self.curve.up.length, self.curve.up.rise
            );
            let fault = Fault::warning(&codes::TONE_FLAT_SHOULDER, "tone.contrast", message, label);
            faults.push(fault.help("lower `tone.contrast` or `tone.straight_up`, or lower `tone.grey`"));
        }
        faults
    }
}

fn grey_below_black(tone: &Tone) -> Fault {
    let message = "grey lies at or below black".to_owned();
    let label = format!("expected above tone.black = {}, found {}", tone.black, tone.grey);
    Fault::error(&codes::TONE_IMPOSSIBLE, "tone.grey", message, label).help("raise `tone.grey` or lower `tone.black`")
}

fn too_long(way: &str, end: &str, shape: &End, display_stops: f64) -> Option<Fault> {
    let parameter = format!("tone.straight_{way}");
    let reach = shape.length + shape.straight;
    let message = format!("the straight line is longer than the way to {end}");
    let in_scene = shape.length <= 0.0;
    let (label, longest) = if in_scene {
        (format!("{end} is reached {reach:.2} stops from grey, the straight line takes {:.2}", shape.straight), reach)
    } else if shape.rise <= 0.0 {
        let label = format!(
            "the display has {display_stops:.2} stops from grey to {end}; the straight line takes {:.2} × {:.2} = {:.2}",
            shape.contrast,
            shape.straight,
            shape.contrast * shape.straight
        );
        (label, display_stops / shape.contrast)
    } else {
        return None;
    };
    let fault = Fault::error(&codes::TONE_IMPOSSIBLE, parameter.clone(), message, label);
    let or = if in_scene { format!("raise `tone.{end}_stops`") } else { "lower `tone.contrast`".to_owned() };
    Some(fault.help(format!("keep `{parameter}` below {longest:.2}, or {or}")))
}

/// Tinted highlights under a strong `hue_hold` never reach white.
pub(super) fn hue_hold_warning(plan: &Plan, tone: &Tone) -> Option<Fault> {
    let tinted = !plan.white.is_identity() || !plan.split.is_identity() || plan.grade.tints();
    (tone.hue_hold > HUE_HOLD_DOUBTFUL && tinted).then(|| {
        let message = "with this much `hue_hold`, tinted highlights never reach white".to_owned();
        let label = format!("{} beside a tint", tone.hue_hold);
        Fault::warning(&codes::HUE_HOLD_TINT, "tone.hue_hold", message, label)
            .help(format!("keep `tone.hue_hold` at {HUE_HOLD_DOUBTFUL} or below where white, split or grade tint"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn default_tone() -> Tone {
        Tone {
            contrast: 1.35,
            white_stops: 6.0,
            black_stops: 8.0,
            straight_up: 0.5,
            straight_down: 1.0,
            white_slope: 0.0,
            black_slope: 0.0,
            grey: 0.1,
            black: 0.0005,
            hue_hold: 0.0,
        }
    }

    #[test]
    fn grey_black_and_white_land_where_the_recipe_says() {
        let (block, warnings) = ToneBlock::new(&default_tone()).expect("the defaults are possible");
        assert_eq!(warnings, []);
        assert!((block.curve(GREY) - 0.1).abs() < 1e-12, "grey is at {}", block.curve(GREY));
        assert_eq!(block.curve(GREY * 64.0), 1.0, "white, 6 stops over");
        assert_eq!(block.curve(0.0), 0.0);
        assert_eq!(block.curve(-1.0), 0.0);
    }

    #[test]
    fn the_slope_at_grey_is_what_a_difference_measures() {
        let (block, _) = ToneBlock::new(&default_tone()).expect("the defaults are possible");
        let step = 1e-5;
        let rise = log2(block.curve(GREY * exp2(step))) - log2(block.curve(GREY * exp2(-step)));
        let measured = rise / (2.0 * step);
        assert!((measured - block.slope_at_grey()).abs() < 1e-6, "{measured} against {}", block.slope_at_grey());
    }

    #[test]
    fn a_straight_line_beyond_white_is_refused_with_the_longest_possible() {
        let tone = Tone { contrast: 3.0, straight_up: 2.0, ..default_tone() };
        let faults = ToneBlock::new(&tone).expect_err("3 × 2 stops are more than the display has");
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].parameter, "tone.straight_up");
        assert!(faults[0].diagnostic.help[0].contains("below 1.0"), "{:?}", faults[0].diagnostic.help);
    }
}
