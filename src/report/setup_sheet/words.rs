//! The facts of a setup in words, for the page and for the text. Minus signs are those of print; the text spells them in ASCII.

use crate::light::DUV_PER_CC;
use crate::show::{
    Between, RecipeWhite, SetupSheet, SheetBalance, SheetDiffusion, SheetExposure, SheetFile, SheetFilter, SheetLight,
    SheetReading, Shown, StopFor, TwicePoint, WayCast,
};
use std::path::Path;

/// What is said where a show says nothing.
pub(in crate::report) const NOT_SAID: &str = "not said";

/// Below this neither the eye nor a colour meter tells: half a mired, half a CC. This project's own choice.
const NOTHING: f64 = 0.5;

/// What a cast is counted in.
const UNITS: &str = "Mired are millionths of 1/kelvin, steps of warmth about alike to the eye; 30 CC are 0.020 Duv, from magenta to green. A cast is \
     a light as the camera sees it at its balance, counted from black bodies.";

/// What the figures of the lights mean.
pub(in crate::report) fn lights_words(sheet: &SetupSheet) -> String {
    let seen = sheet.seen_through.as_ref().filter(|_| sheet.lights.iter().any(|light| light.card.is_some()));
    let seen = seen.map_or_else(String::new, |(camera, monitor)| {
        format!(" Card (18 % grey) and light skin in that light alone: seen behind camera {camera}, on monitor {monitor}, red / green / blue in percent.")
    });
    format!("Filters are listed from the lamp outwards.{seen} {UNITS}")
}

/// A number with a minus sign of print; what rounds to zero has none, and what is no number is said so.
pub(in crate::report) fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "no number".to_owned();
    }
    let text = format!("{:.decimals$}", value.abs());
    if value < 0.0 && !is_zero(&text) { format!("−{text}") } else { text }
}

/// The same with a plus sign where it is above zero.
pub(in crate::report) fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value.is_finite() && value > 0.0 && !is_zero(&text) { format!("+{text}") } else { text }
}

fn is_zero(text: &str) -> bool {
    !text.bytes().any(|digit| (b'1'..=b'9').contains(&digit))
}

/// At most so many decimals.
pub(in crate::report) fn trimmed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// With a decimal where it is small.
fn figure(value: f64) -> String {
    fixed(value, usize::from(value.abs() < 9.95))
}

/// "0.5 stop", "2 stops".
pub(in crate::report) fn stops(value: f64) -> String {
    let text = trimmed(value, 2);
    let one = !is_zero(&text) && value.abs() < 1.005;
    format!("{text} {}", if one { "stop" } else { "stops" })
}

/// "34 mired warm, 6.0 CC green".
pub(in crate::report) fn cast_words(cast: &WayCast) -> String {
    shift(cast.warmer_mired, cast.greener_cc, ["warm", "cool", "green", "magenta"], "neutral")
}

/// "34 mired warmer, 6.0 CC greener".
pub(in crate::report) fn difference_words(mired: f64, cc: f64) -> String {
    shift(mired, cc, ["warmer", "cooler", "greener", "more magenta"], "no difference of colour")
}

fn shift(mired: f64, cc: f64, [warm, cool, green, magenta]: [&str; 4], none: &str) -> String {
    let part = |value: f64, unit: &str, plus: &str, minus: &str| {
        // What is no number is not nothing.
        (value.is_nan() || value.abs() >= NOTHING)
            .then(|| format!("{} {unit} {}", figure(value.abs()), if value < 0.0 { minus } else { plus }))
    };
    let parts = [part(mired, "mired", warm, cool), part(cc, "CC", green, magenta)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { none.to_owned() } else { parts.join(", ") }
}

/// A place on the chromaticity diagram.
fn xy_words([x, y]: [f64; 2]) -> String {
    format!("x {}, y {}", fixed(x, 4), fixed(y, 4))
}

/// "Duv +0.0033 (5.0 CC green)".
fn duv_words(duv: f64) -> String {
    let cc = duv / DUV_PER_CC;
    let side = if cc < 0.0 { "magenta" } else { "green" };
    if cc.abs() < NOTHING {
        return format!("Duv {}", signed(duv, 4));
    }
    format!("Duv {} ({} CC {side})", signed(duv, 4), figure(cc.abs()))
}

/// A figure of the camera: what it is, the value in large, what it means.
pub(in crate::report) struct Setting {
    pub(in crate::report) term: &'static str,
    pub(in crate::report) value: String,
    pub(in crate::report) means: Vec<String>,
}

/// Settings of the camera, in the order of the sheet.
pub(in crate::report) fn settings(sheet: &SetupSheet) -> Vec<Setting> {
    let exposure = &sheet.exposure;
    let said = |value: Option<String>| value.unwrap_or_else(|| NOT_SAID.to_owned());
    let one = |term, value, means| Setting { term, value, means };
    vec![
        one("ISO", said(exposure.iso.map(|iso| trimmed(iso, 0))), Vec::new()),
        one(
            "Shutter",
            said(exposure.shutter_deg.map(|angle| format!("{}°", trimmed(angle, 1)))),
            exposure.shutter_s.map(time).into_iter().collect(),
        ),
        one("Rate", format!("{} fps", trimmed(exposure.frame_rate, 3)), Vec::new()),
        one("Stop", said(exposure.t_stop.map(|stop| format!("T{}", trimmed(stop, 1)))), needs(exposure)),
        one(
            "Lens filters",
            if exposure.lens_stops > 0.0 { stops(exposure.lens_stops) } else { "none".to_owned() },
            Vec::new(),
        ),
        one(
            "Balance",
            said(sheet.balance.as_ref().map(|balance| format!("{} K", fixed(balance.kelvin, 0)))),
            sheet.balance.as_ref().map(balance_means).unwrap_or_default(),
        ),
    ]
}

/// "1/50 s".
fn time(seconds: f64) -> String {
    match 1.0 / seconds {
        parts if parts >= 1.5 => format!("1/{} s", trimmed(parts, 1)),
        _ => format!("{} s", trimmed(seconds, 2)),
    }
}

fn needs(exposure: &SheetExposure) -> Vec<String> {
    let need = |need: &crate::show::SheetNeed| {
        format!(
            "grey: {} lx, {} fc by a {}, C = {}",
            figure(need.lux),
            figure(need.foot_candles),
            receptor(need.receptor),
            trimmed(need.constant, 0)
        )
    };
    exposure.needs.iter().map(need).collect()
}

/// The tint of a balance: the light that it makes neutral.
pub(in crate::report) fn tint_words(duv: f64) -> String {
    // A hundred thousandth is no tint that a camera has.
    if duv.abs() < 5e-5 { "no tint".to_owned() } else { format!("tint for a light of {}", duv_words(duv)) }
}

/// What a meter has in front of its cell.
fn receptor(id: &str) -> &str {
    match id {
        "flat" => "flat receptor",
        other => other,
    }
}

/// A balance without its kelvins; the camera's menu comes last and is somebody's own text.
fn balance_means(balance: &SheetBalance) -> Vec<String> {
    let mut means = vec![
        format!("{} mired, {}", fixed(1e6 / balance.kelvin, 0), tint_words(balance.greener_duv)),
        xy_words(balance.xy),
    ];
    if !balance.note.is_empty() {
        means.push(balance.note.clone());
    }
    means
}

/// "black body 3200 K".
pub(in crate::report) fn source_words(light: &SheetLight) -> String {
    let kind = match light.source {
        "planckian" => "black body",
        "led" => "LED",
        other => other,
    };
    let duv = if light.source_duv == 0.0 { String::new() } else { format!(", {}", duv_words(light.source_duv)) };
    format!("{kind} {} K{duv}", fixed(light.kelvin, 0))
}

/// What a filter does, without its name.
pub(in crate::report) fn filter_words(filter: &SheetFilter) -> String {
    let mut parts = Vec::new();
    if filter.mired != 0.0 {
        parts.push(format!("{} mired", signed(filter.mired, 0)));
    }
    if filter.greener_duv != 0.0 {
        parts.push(format!("{} CC", signed(filter.greener_cc, 1)));
    }
    if parts.is_empty() {
        parts.push("no colour".to_owned());
    }
    let about = if filter.stops_estimated { " (estimated)" } else { "" };
    parts.push(format!("{}{about}", stops(filter.stops)));
    if let Some(other) = filter.other_maker {
        let unit = if filter.mired == 0.0 { "CC" } else { "mired" };
        parts.push(format!("another maker's of this name: {} {unit}", signed(other, 0)));
    }
    parts.join(", ")
}

/// What all filters of a light do together; `None` where it has fewer than two.
pub(in crate::report) fn filters_together(light: &SheetLight) -> Option<String> {
    if light.filters.len() < 2 {
        return None;
    }
    let cc = light.greener_duv / DUV_PER_CC;
    let words = format!("together {} mired, {} CC", signed(light.warmer_mired, 0), signed(cc, 1));
    Some(words)
}

/// What comes out of a lamp: in large, and the rest.
pub(in crate::report) fn outcome(light: &SheetLight) -> (String, Vec<String>) {
    let mut rest = Vec::new();
    let head = match (light.cct, &light.no_cct) {
        (Some(cct), _) => format!("{} K", fixed(cct, 0)),
        (None, Some(why)) => why.clone(),
        (None, None) => "no colour temperature".to_owned(),
    };
    if let Some(mired) = light.mired {
        rest.push(format!("{} mired", fixed(mired, 0)));
    }
    rest.extend(light.duv.map(duv_words));
    rest.push(xy_words(light.xy));
    if !light.filters.is_empty() {
        let about = if light.loss_estimated { " (partly estimated)" } else { "" };
        rest.push(format!("{} lost in filters{about}", stops(light.loss_stops)));
    }
    (head, rest)
}

/// The cast of a light, or why none is told.
pub(in crate::report) fn cast_of(light: &SheetLight, sheet: &SetupSheet) -> String {
    match (&light.cast, &sheet.balance) {
        (Some(cast), _) => cast_words(cast),
        (None, None) => "not known, for no balance is said".to_owned(),
        (None, Some(_)) => "beyond ±1000 mired".to_owned(),
    }
}

/// A monitor's signal in percent, red green blue.
pub(in crate::report) fn percent(shown: &Shown) -> String {
    let [r, g, b] = shown.signal.map(|value| fixed(100.0 * value, 0));
    format!("{r} / {g} / {b} %")
}

/// How bright a light is, and the stop of it: a line each.
pub(in crate::report) fn reading_words(reading: &SheetReading) -> Vec<String> {
    let from = if reading.from_output { ", from the lamp's output" } else { "" };
    let mut lines = vec![format!("{} lx, {} fc{from}", figure(reading.lux), figure(reading.foot_candles))];
    lines.extend(reading.stops.iter().map(stop_words));
    if reading.stops.is_empty() {
        lines.push("no stop, for ISO or shutter are not said".to_owned());
    }
    lines
}

fn stop_words(stop: &StopFor) -> String {
    let over = stop.over_stops.map_or_else(String::new, |over| {
        let text = fixed(over.abs(), 1);
        match is_zero(&text) {
            true => ": as set".to_owned(),
            false => format!(
                ": {} by {}",
                if over < 0.0 { "under" } else { "over" },
                stops((over.abs() * 10.0).round() / 10.0)
            ),
        }
    });
    let exactly = format!("T{}", trimmed(stop.t_stop, 2));
    let exactly = if stop.marked == exactly { String::new() } else { format!(" ({exactly})") };
    format!("{}{exactly} by a {}{over}", stop.marked, receptor(stop.receptor))
}

/// What is left between two lights, without their roles.
pub(in crate::report) fn between_words(between: &Between) -> String {
    let card =
        between.card_de2000.map_or_else(String::new, |de| format!("; a grey card in each: ΔE2000 {}", fixed(de, 1)));
    format!("{}{card}", difference_words(between.warmer_mired, between.greener_cc))
}

/// What is said of the look beside its name.
pub(in crate::report) fn look_facts(sheet: &SetupSheet) -> Vec<(&'static str, String)> {
    let look = &sheet.look;
    let part = if look.part.is_empty() { String::new() } else { format!(", {}", look.part) };
    let mut facts = vec![("Look", format!("{}{part}, from {}", look.id, look.recipe))];
    if !look.note.is_empty() {
        facts.push(("Recipe’s note", look.note.clone()));
    }
    facts.push(("White of the recipe", look.white.as_ref().map_or_else(|| "as recorded".to_owned(), white_words)));
    facts.push(("Fingerprint", look.fingerprint.clone()));
    facts
}

fn white_words(white: &RecipeWhite) -> String {
    let words = difference_words(white.warmer_mired, white.greener_cc);
    format!("{words}, seen from {} K", fixed(white.reference_kelvin, 0))
}

/// Files of one folder that are set alike on a monitor.
pub(in crate::report) struct OnMonitor<'a> {
    pub(in crate::report) monitor: &'a str,
    pub(in crate::report) input: &'static str,
    pub(in crate::report) output: &'static str,
    /// With a slash at its end.
    pub(in crate::report) folder: String,
    /// Each with its name.
    pub(in crate::report) files: Vec<(&'a SheetFile, String)>,
}

/// The files of a setup, monitor by monitor.
pub(in crate::report) fn by_monitor(sheet: &SetupSheet) -> Vec<OnMonitor<'_>> {
    let mut found: Vec<OnMonitor<'_>> = Vec::new();
    for file in &sheet.files {
        let (monitor, input, output) = (file.monitor.as_str(), file.input_levels, file.output_levels);
        let (folder, name) = parts(&file.file);
        let alike = |of: &&mut OnMonitor<'_>| {
            (of.monitor, of.input, of.output, &of.folder) == (monitor, input, output, &folder)
        };
        match found.iter_mut().find(alike) {
            Some(of) => of.files.push((file, name)),
            None => found.push(OnMonitor { monitor, input, output, folder, files: vec![(file, name)] }),
        }
    }
    found
}

/// Folder and name of a file, with forward slashes.
fn parts(path: &Path) -> (String, String) {
    let text = path.to_string_lossy().replace('\\', "/");
    match text.rsplit_once('/') {
        Some((folder, file)) => (format!("{folder}/"), file.to_owned()),
        None => (String::new(), text),
    }
}

/// Diffusion on the lens, in the recipe, and both; and haze.
pub(in crate::report) fn diffusion_facts(sheet: &SetupSheet) -> Vec<(&'static str, String)> {
    let SheetDiffusion { on_lens, in_recipe, twice } = &sheet.diffusion;
    let mut facts = vec![
        (
            "Diffusion on the lens",
            on_lens.as_ref().map_or_else(|| "none said".to_owned(), |grade| format!("grade {grade}")),
        ),
        ("Diffusion in the recipe", in_recipe.clone().unwrap_or_else(|| "none".to_owned())),
    ];
    // The darkest neutral is where a veil counts most.
    if let Some(point) = twice.as_ref().and_then(|twice| twice.points.iter().min_by(|a, b| a.stops.total_cmp(&b.stops)))
    {
        facts.push(("Both together", both_words(point)));
    }
    facts.push(("Haze in the air", if sheet.haze { "yes: see the cautions" } else { "none said" }.to_owned()));
    facts
}

fn both_words(point: &TwicePoint) -> String {
    format!(
        "a neutral {} stops from grey is seen at {} %, with the lens alone at {} %, with the recipe alone at {} %, with neither at {} %; the table \
         below has more",
        signed(point.stops, 0),
        fixed(point.both_percent, 1),
        fixed(point.lens_percent, 1),
        fixed(point.recipe_percent, 1),
        fixed(point.none_percent, 1)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_printed_as_people_print_them() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-1.25, 1), "−1.2");
        assert_eq!(signed(0.004, 2), "0.00");
        assert_eq!(signed(12.0, 0), "+12");
        assert_eq!(trimmed(172.80, 2), "172.8");
        assert_eq!(trimmed(800.0, 0), "800");
        assert_eq!(trimmed(f64::NAN, 2), "no number");
        assert_eq!(
            (stops(0.5), stops(1.0), stops(1.01), stops(0.0)),
            ("0.5 stop".into(), "1 stop".into(), "1.01 stops".into(), "0 stops".into())
        );
        assert_eq!((time(0.02), time(1.0 / 48.0), time(2.0)), ("1/50 s".into(), "1/48 s".into(), "2 s".into()));
    }

    #[test]
    fn casts_are_said_in_words() {
        assert_eq!(difference_words(-34.2, 6.04), "34 mired cooler, 6.0 CC greener");
        assert_eq!(difference_words(0.2, -0.1), "no difference of colour");
        let cast = WayCast { warmer_mired: 12.0, greener_duv: -0.002, greener_cc: -3.0 };
        assert_eq!(cast_words(&cast), "12 mired warm, 3.0 CC magenta");
        assert_eq!(difference_words(f64::NAN, 0.0), "no number mired warmer");
    }
}
