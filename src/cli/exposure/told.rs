//! What the command prints.

use super::super::console::{Console, Emphasis};
use super::super::layout::labelled;
use super::given::{Given, Reading, Time};
use lookwright::light::exposure::{
    MarkedStop, Receptor, T_LIMIT, T_SLOWEST, before_filters, check_t_stop, foot_candles_from_lux,
    lux_from_foot_candles,
};
use lookwright::maths::log2;
use serde_json::{Value, json};

/// Column at which the text of a line starts.
const INDENT: usize = 11;

/// Nearer than this, one decimal would say 0.0 stops; no ring is set that finely.
const EXACT_STOPS: f64 = 0.05;

/// The answer.
pub struct Told<'a> {
    /// What was asked.
    pub given: Given,
    /// The receptors to answer for.
    pub receptors: &'a [Receptor],
}

impl Told<'_> {
    /// As text.
    pub fn text(&self, console: &Console) -> String {
        let mut text = labelled("light", &self.light(), INDENT);
        text.push_str(&labelled("camera", &self.camera(), INDENT));
        if let Some(lux) = self.given.lux() {
            text.push_str(&format!("\n{}\n", console.emphasise(Emphasis::Strong, "set the lens to")));
            for receptor in self.receptors {
                text.push_str(&self.to_set(*receptor, lux));
            }
        }
        if let Some(t_stop) = self.given.t_stop {
            let heading = format!("T{t_stop} needs on the subject");
            text.push_str(&format!("\n{}\n", console.emphasise(Emphasis::Strong, &heading)));
            for receptor in self.receptors {
                text.push_str(&self.needed(*receptor, t_stop));
            }
            text.push_str(&self.rule_of_thumb(t_stop));
        }
        text
    }

    fn light(&self) -> String {
        let stops = self.given.lamp_filter_stops;
        let filters = format!("{} of filters on the lamp", written(stops));
        let (Some(reading), Some(lux)) = (self.given.reading, self.given.lux()) else {
            return if stops > 0.0 { filters } else { String::new() };
        };
        let mut light = both_units(lux);
        match reading {
            Reading::Lamp(lamp) => light.push_str(&format!(
                ", from {} candela at {} m by the inverse square law (good from about five times the lamp's largest side)",
                lamp.candela, lamp.distance_m
            )),
            Reading::Lux(given) if stops > 0.0 => light.push_str(&format!(", left of {given} lux")),
            Reading::FootCandles(given) if stops > 0.0 => {
                light.push_str(&format!(", left of {given} foot-candles"));
            }
            Reading::Lux(_) | Reading::FootCandles(_) => {}
        }
        if stops > 0.0 {
            light.push_str(&format!(", behind {filters}"));
        }
        light
    }

    fn camera(&self) -> String {
        let camera = self.given.camera;
        let mut text = format!("ISO {}, {}", camera.iso, time(camera.seconds));
        if let Time::Angle(shutter) = self.given.time {
            text.push_str(&format!(" ({}° at {} frames a second)", shutter.angle_deg, shutter.frames_per_second));
        }
        let stops = camera.lens_filter_stops;
        if stops > 0.0 {
            text.push_str(&format!(", {} of filters on the lens", written(stops)));
        }
        text
    }

    fn to_set(&self, receptor: Receptor, lux: f64) -> String {
        let t_stop = self.given.camera.t_stop(receptor, lux);
        let exact = t_number(t_stop);
        let text = match MarkedStop::nearest(t_stop) {
            Some(marked) => format!("{exact:<9}{:<12}{}", marked.to_string(), receptor.purpose()),
            None if t_stop < T_LIMIT => {
                let missing = stops_between(t_stop, T_LIMIT);
                format!("{exact:<9}no lens is that fast: T{T_LIMIT}, the limit, lacks {missing} of light")
            }
            None => {
                let filters = stops_between(T_SLOWEST, t_stop);
                format!("{exact:<9}no lens is marked that far: T{T_SLOWEST} has {filters} too much light")
            }
        };
        line(receptor.name(), &text)
    }

    fn needed(&self, receptor: Receptor, t_stop: f64) -> String {
        let lux = self.given.camera.lux(receptor, t_stop);
        let last = match (self.given.lux(), self.given.lamp_filter_stops) {
            (Some(found), _) => over(self.given.camera.stops_over(receptor, found, t_stop)),
            (None, filters) if filters > 0.0 => {
                format!("{} without the lamp's filters", both_units(before_filters(lux, filters)))
            }
            (None, _) => receptor.purpose().to_owned(),
        };
        line(receptor.name(), &amounts(lux, &last))
    }

    fn rule_of_thumb(&self, t_stop: f64) -> String {
        let lux = lux_from_foot_candles(self.given.camera.rule_of_thumb_foot_candles(t_stop));
        line("rule", &amounts(lux, "the rule of thumb, foot-candles = 25 × T² ÷ (ISO × seconds)"))
    }

    /// As a document: every figure, with its unit in its name.
    pub fn document(&self) -> Value {
        let given = &self.given;
        let (candela, distance_m) = match given.reading {
            Some(Reading::Lamp(lamp)) => (Some(lamp.candela), Some(lamp.distance_m)),
            _ => (None, None),
        };
        let (angle_deg, frames_per_second) = match given.time {
            Time::Angle(shutter) => (Some(shutter.angle_deg), Some(shutter.frames_per_second)),
            Time::Seconds(_) => (None, None),
        };
        let lux = given.lux();
        json!({
            "light": {
                "lux": lux,
                "foot_candles": lux.map(foot_candles_from_lux),
                "candela": candela,
                "distance_m": distance_m,
                "lamp_filter_stops": given.lamp_filter_stops,
            },
            "camera": {
                "iso": given.camera.iso,
                "shutter_seconds": given.camera.seconds,
                "shutter_angle_deg": angle_deg,
                "frames_per_second": frames_per_second,
                "lens_filter_stops": given.camera.lens_filter_stops,
            },
            "receptors": self.receptors.iter().map(|receptor| self.answer(*receptor)).collect::<Vec<_>>(),
            "asked": given.t_stop.map(|t_stop| json!({
                "t_stop": t_stop,
                "rule_of_thumb_foot_candles": given.camera.rule_of_thumb_foot_candles(t_stop),
            })),
        })
    }

    fn answer(&self, receptor: Receptor) -> Value {
        let (given, camera) = (&self.given, self.given.camera);
        let mut answer = json!({
            "receptor": receptor.name(),
            "for": receptor.purpose(),
            "constant_lux_seconds": receptor.constant(),
        });
        if let Some(lux) = given.lux() {
            let t_stop = camera.t_stop(receptor, lux);
            let marked = MarkedStop::nearest(t_stop);
            answer["set"] = json!({
                "t_stop": t_stop,
                "a_lens_has_it": check_t_stop(t_stop).is_ok(),
                "marked_stop": marked.map(|marked| marked.to_string()),
                "rest_stops": marked.map(|marked| marked.rest_stops),
            });
        }
        if let Some(t_stop) = given.t_stop {
            let lux = camera.lux(receptor, t_stop);
            let lamp_lux = before_filters(lux, given.lamp_filter_stops);
            answer["needed"] = json!({
                "lux": lux,
                "foot_candles": foot_candles_from_lux(lux),
                "lux_without_lamp_filters": lamp_lux,
                "foot_candles_without_lamp_filters": foot_candles_from_lux(lamp_lux),
                "stops_over": given.lux().map(|found| camera.stops_over(receptor, found, t_stop)),
            });
        }
        answer
    }
}

/// A line whose text is not wrapped, for it has columns of its own.
fn line(label: &str, text: &str) -> String {
    format!("  {label:width$}{}\n", text.trim_end(), width = INDENT - 2)
}

/// Lux, foot-candles and one thing more, in columns.
fn amounts(lux: f64, last: &str) -> String {
    let lux_text = format!("{} lux", figure(lux));
    let foot_candles = format!("{} foot-candles", figure(foot_candles_from_lux(lux)));
    format!("{lux_text:<14}{foot_candles:<22}{last}")
}

fn both_units(lux: f64) -> String {
    format!("{} lux ({} foot-candles)", figure(lux), figure(foot_candles_from_lux(lux)))
}

/// Three significant digits, and all digits before the point.
fn figure(value: f64) -> String {
    match value {
        _ if value >= 99.95 => format!("{value:.0}"),
        _ if value >= 9.995 => format!("{value:.1}"),
        _ if value >= 0.9995 => format!("{value:.2}"),
        _ if value >= 0.001 => format!("{value:.4}"),
        _ => format!("{value:.2e}"),
    }
}

/// A T number to two decimals, or to one from 10 on: much finer than a ring can be set.
fn t_number(t_stop: f64) -> String {
    match t_stop {
        _ if t_stop >= 999.5 => format!("T{t_stop:.0}"),
        _ if t_stop >= 9.995 => format!("T{t_stop:.1}"),
        _ if t_stop >= 0.01 => format!("T{t_stop:.2}"),
        _ => format!("T{t_stop:.1e}"),
    }
}

/// An exposure time as it is spoken of: a fraction of a second below half a second.
fn time(seconds: f64) -> String {
    if seconds > 0.5 {
        return format!("{} s", figure(seconds));
    }
    let below = 1.0 / seconds;
    // 1/49.95 s is 1/50 s to anybody: a thousandth is far below what a shutter keeps to.
    if (below - below.round()).abs() <= 0.001 * below { format!("1/{below:.0} s") } else { format!("1/{below:.1} s") }
}

/// How far over or under, in words.
fn over(stops: f64) -> String {
    if stops.abs() < EXACT_STOPS {
        return "which is what there is".to_owned();
    }
    let way = if stops > 0.0 { "over" } else { "under" };
    format!("{} {way} with the light that there is", rounded(stops.abs()))
}

/// The stops from one T number to a larger one, in words.
fn stops_between(from: f64, to: f64) -> String {
    rounded(2.0 * log2(to / from))
}

/// Stops to one decimal.
fn rounded(stops: f64) -> String {
    let text = format!("{stops:.1}");
    let noun = if text == "1.0" { "stop" } else { "stops" };
    format!("{text} {noun}")
}

/// Stops as they were given.
fn written(stops: f64) -> String {
    format!("{stops} {}", if stops == 1.0 { "stop" } else { "stops" })
}
