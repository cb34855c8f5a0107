//! Lights, casts, filters and stops in words: one set for the sheets and for the terminal.
//!
//! Minus signs are those of print (U+2212) and apostrophes typographic; who writes ASCII spells them so.

use crate::light::DUV_PER_CC;
use crate::show::{Between, SetupSheet, SheetFilter, SheetLight, SheetReading, Shown, StopFor, WayCast, WhiteBlock};

/// What is said where a show says nothing.
pub const NOT_SAID: &str = "not said";

/// What is said of a cast that is no cast any more.
pub const BEYOND: &str = "beyond ±1000 mired";

/// Below this neither the eye nor a colour meter tells: half a mired, half a CC. This project's own choice.
const NOTHING: f64 = 0.5;

/// From here on the difference of mireds is told beside the cast: one mired. This project's own choice.
const OTHER_MIRED: f64 = 1.0;

/// Tungsten melts here, kelvin, so that no filament is hotter (CRC Handbook of Chemistry and Physics, from memory).
const TUNGSTEN_MELTS: f64 = 3695.0;

/// What the recording's end is, and what it is not.
pub const HEADROOM: &str = "That is where the code range of the recording ends; a sensor may clip earlier.";

/// What the swatches of a light are.
pub const EXPOSED: &str = "Card (18 % grey) and light skin are each in that light alone, exposed for it, so that the card has the luminance of grey";

/// Why the difference of mireds is another one than the cast.
pub const PLAIN_MIRED: &str = "The plain difference of mireds between light and balance is told where it is not the cast: the cast is what the camera \
     sees at its balance, counted as an ideal filter; mired arithmetic takes Wien’s law for Planck’s and knows no tint.";

/// A number with so many decimals and a minus sign of print; what rounds to zero has no sign, and what is no number is said so.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "no number".to_owned();
    }
    let text = format!("{:.decimals$}", value.abs());
    if value < 0.0 && !is_zero(&text) { format!("−{text}") } else { text }
}

/// The same with a plus sign where it is above zero.
#[must_use]
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value.is_finite() && value > 0.0 && !is_zero(&text) { format!("+{text}") } else { text }
}

fn is_zero(text: &str) -> bool {
    !text.bytes().any(|digit| (b'1'..=b'9').contains(&digit))
}

/// At most so many decimals.
#[must_use]
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// Mired or CC: with a decimal where it is small.
fn figure(value: f64) -> String {
    fixed(value, usize::from(value.abs() < 9.95))
}

/// An amount of light, of any unit: never fewer than two digits that count, and no decimals from 10 on.
#[must_use]
pub fn amount(value: f64) -> String {
    // 0.995 is "1.0" already, with a decimal less than what is below it.
    let (mut decimals, mut limit) = (0, 9.95);
    while decimals < 9 && value.abs() < limit {
        decimals += 1;
        limit /= 10.0;
    }
    if value == 0.0 { "0".to_owned() } else { fixed(value, decimals) }
}

/// "0.5 stop", "1 stop", "1.3 stops", "0 stops".
#[must_use]
pub fn stops(value: f64) -> String {
    let text = trimmed(value, 2);
    let one = !is_zero(&text) && value.abs() < 1.005;
    format!("{text} {}", if one { "stop" } else { "stops" })
}

/// A cast: "34 mired warm, 6.0 CC green", or "neutral".
#[must_use]
pub fn cast_words(cast: &WayCast) -> String {
    shift(cast.warmer_mired, cast.greener_cc, ["warm", "cool", "green", "magenta"]).unwrap_or("neutral".to_owned())
}

/// A difference of two casts, mired and CC: "34 mired warmer, 6.0 CC greener". `None` where nobody tells.
#[must_use]
pub fn difference(mired: f64, cc: f64) -> Option<String> {
    shift(mired, cc, ["warmer", "cooler", "greener", "more magenta"])
}

/// The same, "no difference of colour" where nobody tells.
#[must_use]
pub fn difference_words(mired: f64, cc: f64) -> String {
    difference(mired, cc).unwrap_or("no difference of colour".to_owned())
}

fn shift(mired: f64, cc: f64, [warm, cool, green, magenta]: [&str; 4]) -> Option<String> {
    let part = |value: f64, unit: &str, plus: &str, minus: &str| {
        // What is no number is not nothing.
        (value.is_nan() || value.abs() >= NOTHING)
            .then(|| format!("{} {unit} {}", figure(value.abs()), if value < 0.0 { minus } else { plus }))
    };
    let parts = [part(mired, "mired", warm, cool), part(cc, "CC", green, magenta)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// A place on the chromaticity diagram.
#[must_use]
pub fn xy_words([x, y]: [f64; 2]) -> String {
    format!("x {}, y {}", fixed(x, 4), fixed(y, 4))
}

/// "Duv +0.0033 (5.0 CC green)".
#[must_use]
pub fn duv_words(duv: f64) -> String {
    let cc = duv / DUV_PER_CC;
    let side = if cc < 0.0 { "magenta" } else { "green" };
    if cc.abs() < NOTHING {
        return format!("Duv {}", signed(duv, 4));
    }
    format!("Duv {} ({} CC {side})", signed(duv, 4), figure(cc.abs()))
}

/// The tint of a balance, Duv: the light that it makes neutral.
#[must_use]
pub fn tint_words(duv: f64) -> String {
    // Half of the last digit that is printed.
    if duv.abs() < 5e-5 { "no tint".to_owned() } else { format!("tint for a light of {}", duv_words(duv)) }
}

/// A bare source: "tungsten 3200 K". A black body that no filament is hot enough for keeps its name.
#[must_use]
pub fn source_words(light: &SheetLight) -> String {
    let kind = match light.source {
        "planckian" if light.kelvin < TUNGSTEN_MELTS => "tungsten",
        "planckian" => "black body",
        "led" => "LED",
        other => other,
    };
    let duv = if light.source_duv == 0.0 { String::new() } else { format!(", {}", duv_words(light.source_duv)) };
    format!("{kind} {} K{duv}", fixed(light.kelvin, 0))
}

/// The colour of a filter: "+64 mired", "−7.5 CC", "no colour".
#[must_use]
pub fn filter_colour(filter: &SheetFilter) -> String {
    shift_words(filter.mired, filter.greener_cc).unwrap_or("no colour".to_owned())
}

/// A shift with signs, without what prints as zero.
fn shift_words(mired: f64, cc: f64) -> Option<String> {
    let parts = [(signed(mired, 0), "mired"), (signed(cc, 1), "CC")];
    let parts: Vec<String> =
        parts.iter().filter(|(text, _)| !is_zero(text)).map(|(text, unit)| format!("{text} {unit}")).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// What a filter does, without its name.
#[must_use]
pub fn filter_words(filter: &SheetFilter) -> String {
    let about = if filter.stops_estimated { " (estimated)" } else { "" };
    let other = filter.other_maker.map_or_else(String::new, |other| {
        let unit = if filter.mired == 0.0 { "CC" } else { "mired" };
        format!(", another maker’s of this name: {} {unit}", signed(other, 0))
    });
    format!("{}, {}{about}{other}", filter_colour(filter), stops(filter.stops))
}

/// What all filters of a light do together; `None` where it has fewer than two.
#[must_use]
pub fn filters_together(light: &SheetLight) -> Option<String> {
    let colour = shift_words(light.warmer_mired, light.greener_duv / DUV_PER_CC);
    (light.filters.len() > 1).then(|| format!("together {}", colour.unwrap_or("no colour".to_owned())))
}

/// What comes out of a lamp: in large, and the rest, its loss excepted.
#[must_use]
pub fn outcome(light: &SheetLight) -> (String, Vec<String>) {
    let mut rest = Vec::new();
    let head = match (light.cct, &light.no_cct) {
        (Some(cct), _) => format!("{} K", fixed(cct, 0)),
        (None, Some(why)) => why.clone(),
        (None, None) => "no colour temperature".to_owned(),
    };
    rest.extend(light.mired.map(|mired| format!("{} mired", fixed(mired, 0))));
    rest.extend(light.duv.map(duv_words));
    rest.push(xy_words(light.xy));
    (head, rest)
}

/// The light that a lamp's filters take; `None` without filters.
#[must_use]
pub fn loss_words(light: &SheetLight) -> Option<String> {
    let about = if light.loss_estimated { " (partly estimated)" } else { "" };
    (!light.filters.is_empty()).then(|| format!("{}{about}", stops(light.loss_stops)))
}

/// The plain difference of mireds between a light and a balance of `kelvin`, where it is another one than the cast by a mired or more.
#[must_use]
pub fn plain_mired(light: &SheetLight, kelvin: f64) -> Option<String> {
    let plain = light.mired? - 1e6 / kelvin;
    let told = (plain - light.cast?.warmer_mired).abs() >= OTHER_MIRED;
    told.then(|| {
        let side = if plain < 0.0 { "cool" } else { "warm" };
        if plain.abs() < NOTHING { "none".to_owned() } else { format!("{} mired {side}", figure(plain.abs())) }
    })
}

/// Whether a sheet has a light of which [`plain_mired`] is told, so that [`PLAIN_MIRED`] has to say why.
#[must_use]
pub fn has_plain_mired(sheet: &SetupSheet) -> bool {
    let told = |kelvin: f64| sheet.lights.iter().any(|light| plain_mired(light, kelvin).is_some());
    sheet.balance.as_ref().is_some_and(|balance| told(balance.kelvin))
}

/// A monitor's signal in percent, red green blue.
#[must_use]
pub fn percent(shown: &Shown) -> String {
    let [r, g, b] = shown.signal.map(|value| fixed(100.0 * value, 0));
    format!("{r} / {g} / {b} %")
}

/// How bright a light is, and the stop of it: a line each.
#[must_use]
pub fn reading_words(reading: &SheetReading) -> Vec<String> {
    let from = if reading.from_output { " by the lamp’s output" } else { "" };
    let mut lines = vec![format!("{} lx, {} fc{from}", amount(reading.lux), amount(reading.foot_candles))];
    lines.extend(reading.stops.iter().map(stop_words));
    if reading.stops.is_empty() {
        lines.push("no stop, for ISO or shutter are not said".to_owned());
    }
    lines
}

/// Stops over or under, with a decimal; `None` for what a decimal does not show.
#[must_use]
pub fn over_words(over: f64) -> Option<String> {
    let tenths = (over.abs() * 10.0).round() / 10.0;
    (tenths != 0.0).then(|| format!("{} {}", stops(tenths), if over < 0.0 { "under" } else { "over" }))
}

fn stop_words(stop: &StopFor) -> String {
    let over = stop
        .over_stops
        .map_or_else(String::new, |over| format!(": {}", over_words(over).unwrap_or("as set".to_owned())));
    let exactly = format!("T{}", trimmed(stop.t_stop, 2));
    let exactly = if stop.marked == exactly { String::new() } else { format!(" ({exactly})") };
    format!("{}{exactly} by a {}{over}", stop.marked, receptor(stop.receptor))
}

/// What a meter has in front of its cell.
#[must_use]
pub fn receptor(id: &str) -> &str {
    match id {
        "flat" => "flat receptor",
        other => other,
    }
}

/// How a setup's light stands to the key light, or without one to the first: "2 stops under key". `None` for that light itself, and where a reading
/// lacks.
#[must_use]
pub fn level_words(sheet: &SetupSheet, light: usize) -> Option<String> {
    let from = sheet.level_from()?;
    let over = sheet.over_level_stops().get(light).copied().flatten().filter(|_| light != from)?;
    let role = &sheet.lights[from].role;
    Some(over_words(over).map_or_else(|| format!("as bright as {role}"), |over| format!("{over} {role}")))
}

/// The contrast of the lighting, both ways in which the trade counts it. `None` without a key and a fill that have readings.
#[must_use]
pub fn ratio_words(sheet: &SetupSheet) -> Option<String> {
    let ratio = |value: f64| match amount(value) {
        text if text.contains('.') => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        text => text,
    };
    let alone = sheet.key_to_fill()?;
    Some(format!(
        "{}:1 key alone to fill alone, {}:1 key and fill together to fill alone",
        ratio(alone),
        ratio(alone + 1.0)
    ))
}

/// What is left between two lights, without their roles.
#[must_use]
pub fn between_words(between: &Between) -> String {
    let card =
        between.card_de2000.map_or_else(String::new, |de| format!("; a grey card in each: ΔE2000 {}", fixed(de, 1)));
    format!("{}{card}", difference_words(between.warmer_mired, between.greener_cc))
}

/// Lines of the `[white]` that a recipe gets; a recipe is written in ASCII.
#[must_use]
pub fn block(white: &WhiteBlock) -> [String; 4] {
    let number = |value: f64, decimals: usize| fixed(value, decimals).replace('−', "-");
    [
        "[white]".to_owned(),
        format!("reference_kelvin = {}", number(white.reference_kelvin, 0)),
        format!("warmer_mired = {}", number(white.warmer_mired, 1)),
        format!("greener_cc = {}", number(white.greener_cc, 1)),
    ]
}

/// A patch of a worst difference, with its stops over or under in words: "blue sky -2" becomes "blue sky, −2 stops".
#[must_use]
pub fn patch_words(worst: &str) -> String {
    match worst.rsplit_once(' ') {
        Some((patch, number)) if number.starts_with(['+', '-']) => {
            let number = number.parse::<f64>().unwrap_or(f64::NAN);
            format!("{patch}, {} {}", signed(number, 0), if number.abs() <= 1.0 { "stop" } else { "stops" })
        }
        _ => worst.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_printed_as_people_print_them() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-1.25, 1), "−1.2");
        assert_eq!(signed(0.004, 2), "0.00");
        assert_eq!(signed(-0.00004, 4), "0.0000");
        assert_eq!(signed(12.0, 0), "+12");
        assert_eq!(trimmed(172.80, 2), "172.8");
        assert_eq!(trimmed(800.0, 0), "800");
        assert_eq!(trimmed(f64::NAN, 2), "no number");
        let said = [0.0, 0.5, 1.0, 1.01, 1.3, -0.5].map(stops);
        assert_eq!(said, ["0 stops", "0.5 stop", "1 stop", "1.01 stops", "1.3 stops", "−0.5 stop"]);
    }

    #[test]
    fn little_light_keeps_two_digits() {
        let said = [0.0, 0.000_3, 0.03, 0.3, 0.994, 0.996, 3.04, 9.96, 38.4, 68000.0].map(amount);
        assert_eq!(said, ["0", "0.00030", "0.030", "0.30", "0.99", "1.0", "3.0", "10", "38", "68000"]);
    }

    #[test]
    fn casts_and_differences_are_said_in_words() {
        assert_eq!(difference_words(-34.2, 6.04), "34 mired cooler, 6.0 CC greener");
        assert_eq!(difference_words(0.2, -0.1), "no difference of colour");
        let cast = WayCast { warmer_mired: 12.0, greener_duv: -0.002, greener_cc: -3.0 };
        assert_eq!(cast_words(&cast), "12 mired warm, 3.0 CC magenta");
        assert_eq!(difference_words(f64::NAN, 0.0), "no number mired warmer");
        assert_eq!(
            (tint_words(-0.000_02), tint_words(0.0033)),
            ("no tint".into(), "tint for a light of Duv +0.0033 (5.0 CC green)".into())
        );
    }

    #[test]
    fn a_block_has_no_zero_with_a_sign() {
        let white = WhiteBlock { reference_kelvin: 4300.0, warmer_mired: -0.01, greener_cc: -0.04, greener_duv: -2e-5 };
        assert_eq!(block(&white)[2..], ["warmer_mired = 0.0", "greener_cc = 0.0"]);
        let white = WhiteBlock { warmer_mired: -41.3, ..white };
        assert_eq!(block(&white)[2], "warmer_mired = -41.3");
    }
}
