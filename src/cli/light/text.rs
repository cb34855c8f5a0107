//! What `light` prints.

use super::super::console::{Console, Emphasis};
use super::super::layout::labelled;
use lookwright::light::Balance;
use lookwright::show::{
    Differences, Gains, SetupSheet, SheetFilter, SheetLight, SheetReading, Shown, Wanted, WantedBalance, WayCast, Ways,
};
use std::path::PathBuf;

/// Where the facts of a light begin.
const INDENT: usize = 14;

/// A show's setups.
pub fn show(
    sheets: &[SetupSheet],
    wanted: Option<&Wanted>,
    focus: Option<usize>,
    two_ways: bool,
    console: &Console,
) -> String {
    let mut text = String::new();
    if sheets.is_empty() {
        text.push_str("The show has no setups.\n");
    }
    for sheet in sheets {
        text += &setup(sheet, focus, console);
        if two_ways {
            text += &match (&sheet.ways, &sheet.no_ways) {
                (Some(ways), _) => both(ways, console),
                (None, Some(why)) => labelled("two ways", why, INDENT),
                (None, None) => labelled("two ways", "they need a light and a balance", INDENT),
            };
        }
        text.push('\n');
    }
    text += &remarks(sheets);
    if let Some(wanted) = wanted {
        text.push('\n');
        text += &of_want(wanted, console);
    }
    text
}

/// One light.
pub fn single(
    one: &SheetLight,
    balance: Option<&Balance>,
    through: &str,
    wanted: Option<&Wanted>,
    ways: Option<&Result<Ways, String>>,
    console: &Console,
) -> String {
    let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, "light"));
    if let Some(balance) = balance {
        text += &labelled("balance", &balance_words(balance.kelvin, balance.greener_duv), INDENT);
    }
    text += &facts(one, through, console);
    match ways {
        Some(Ok(ways)) => text += &both(ways, console),
        Some(Err(why)) => text += &labelled("two ways", why, INDENT),
        None => {}
    }
    if let Some(wanted) = wanted {
        text.push('\n');
        text += &of_want(wanted, console);
    }
    text
}

/// The pictures that were written, the sheet of all four first.
pub fn pictures(written: &[PathBuf]) -> String {
    let Some((sheet, singles)) = written.split_first() else { return String::new() };
    let mut text = labelled("pictures", &sheet.display().to_string(), INDENT);
    text += &labelled(
        "",
        "above with the cast in the camera, below with it in the recipe; negatives left, pictures right",
        INDENT,
    );
    for path in singles {
        text += &labelled("", &path.display().to_string(), INDENT);
    }
    text
}

fn setup(sheet: &SetupSheet, focus: Option<usize>, console: &Console) -> String {
    let part = if sheet.look.part.is_empty() { String::new() } else { format!(", {}", sheet.look.part) };
    let head = console.emphasise(Emphasis::Strong, &format!("setup {}", sheet.id));
    let mut text = format!("{head}  {} ({}{part})\n", sheet.look.name, sheet.look.id);
    text += &labelled(
        "balance",
        &sheet
            .balance
            .as_ref()
            .map_or("not said".to_owned(), |balance| balance_words(balance.kelvin, balance.greener_duv)),
        INDENT,
    );
    let through = sheet
        .seen_through
        .as_ref()
        .map_or_else(String::new, |(camera, monitor)| format!("camera {camera}, monitor {monitor}"));
    if sheet.lights.is_empty() {
        text += &labelled("lights", "none said", INDENT);
    }
    for (place, one) in sheet.lights.iter().enumerate() {
        if focus.is_none_or(|focus| focus == place) {
            text += &format!("  {}\n", console.emphasise(Emphasis::Strong, &one.role));
            text += &facts(one, &through, console);
        }
    }
    for between in &sheet.between {
        let seen = between.card_de2000.map_or_else(String::new, |de| format!("; a grey card in each: ΔE {de:.1}"));
        let words = difference_words(between.warmer_mired, between.greener_cc);
        text += &labelled("left over", &format!("{} against {}: {words}{seen}", between.to, between.from), INDENT);
    }
    text
}

/// What to know when reading the numbers, each thing once, with the setups that it is about.
fn remarks(sheets: &[SetupSheet]) -> String {
    let mut told: Vec<(&str, Vec<&str>)> = Vec::new();
    for sheet in sheets {
        for remark in &sheet.remarks {
            match told.iter_mut().find(|(known, _)| known == remark) {
                Some((_, setups)) => setups.push(&sheet.id),
                None => told.push((remark, vec![&sheet.id])),
            }
        }
    }
    let mut text = String::new();
    for (remark, setups) in told {
        let about = if sheets.len() == 1 {
            String::new()
        } else {
            let word = if setups.len() == 1 { "Setup" } else { "Setups" };
            format!("{word} {}: ", setups.join(", "))
        };
        text += &labelled("note", &format!("{about}{remark}"), INDENT);
    }
    text
}

/// A balance in words.
fn balance_words(kelvin: f64, greener_duv: f64) -> String {
    let tint = if greener_duv == 0.0 {
        "no tint".to_owned()
    } else {
        format!("set for light {} than a black body", tint_words(greener_duv / CC))
    };
    format!("{kelvin:.0} K ({:.0} mired), {tint}", 1e6 / kelvin)
}

const CC: f64 = lookwright::light::DUV_PER_CC;

/// "12 CC greener", "1 CC more magenta".
fn tint_words(cc: f64) -> String {
    format!("{} CC {}", figure(cc.abs()), if cc < 0.0 { "more magenta" } else { "greener" })
}

/// A figure with a decimal where it is small.
fn figure(value: f64) -> String {
    if value.abs() < 9.95 { format!("{value:.1}") } else { format!("{value:.0}") }
}

/// A cast in words.
fn cast_words(cast: &WayCast) -> String {
    difference_words(cast.warmer_mired, cast.greener_cc)
}

/// Below this neither the eye nor a colour meter tells: half a mired, half a CC. This project's own choice.
const NOTHING: f64 = 0.5;

fn difference_words(mired: f64, cc: f64) -> String {
    let warmth = (mired.abs() >= NOTHING)
        .then(|| format!("{} mired {}", figure(mired.abs()), if mired < 0.0 { "cooler" } else { "warmer" }));
    let tint = (cc.abs() >= NOTHING).then(|| tint_words(cc));
    match (warmth, tint) {
        (Some(warmth), Some(tint)) => format!("{warmth}, {tint}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "neutral".to_owned(),
    }
}

fn facts(one: &SheetLight, through: &str, console: &Console) -> String {
    let duv = if one.source_duv == 0.0 { String::new() } else { format!(", Duv {:+.4}", one.source_duv) };
    let mut text = labelled("source", &format!("{} {:.0} K{duv}", one.source, one.kelvin), INDENT);
    let filters: Vec<String> = one.filters.iter().map(filter_words).collect();
    if !filters.is_empty() {
        text += &labelled("filters", &filters.join(" + "), INDENT);
    }
    let xy = format!("x {:.4}, y {:.4}", one.xy[0], one.xy[1]);
    let becomes = match (one.cct, one.mired, one.duv, &one.no_cct) {
        (Some(cct), Some(mired), Some(duv), _) => format!("{cct:.0} K, {mired:.0} mired, Duv {duv:+.4} ({xy})"),
        (.., Some(why)) => format!("{why}; {xy}"),
        _ => xy,
    };
    text += &labelled("becomes", &becomes, INDENT);
    if !one.filters.is_empty() {
        let about = if one.loss_estimated { " (estimated)" } else { "" };
        text += &labelled("loses", &format!("{}{about}", stops(one.loss_stops)), INDENT);
    }
    if let Some(cast) = &one.cast {
        text += &labelled("cast", &cast_words(cast), INDENT);
    }
    if let (Some(card), Some(skin)) = (&one.card, &one.skin) {
        let seen = if through.is_empty() { String::new() } else { format!("  ({through})") };
        let line = format!(
            "{}card {}   {}skin {}",
            console.swatch(card.srgb),
            percent(card),
            console.swatch(skin.srgb),
            percent(skin)
        );
        text += &format!("  {:width$}{line}{seen}\n", "looks", width = INDENT - 2);
    }
    if let Some(reading) = &one.reading {
        text += &labelled("light", &reading_words(reading), INDENT);
    }
    if !one.note.is_empty() {
        text += &labelled("note", &one.note, INDENT);
    }
    text
}

/// A filter with its numbers.
fn filter_words(filter: &SheetFilter) -> String {
    let mut numbers = Vec::new();
    if filter.mired != 0.0 {
        numbers.push(format!("{:+.0} mired", filter.mired));
    }
    if filter.greener_cc != 0.0 {
        numbers.push(format!("{:+} CC", (filter.greener_cc * 10.0).round() / 10.0));
    }
    let numbers = if numbers.is_empty() { "no colour".to_owned() } else { numbers.join(", ") };
    format!("{} ({numbers})", filter.name)
}

fn stops(value: f64) -> String {
    let unit = if value <= 1.0 { "stop" } else { "stops" };
    format!("{value:.2} {unit}")
}

/// A monitor's signal in percent.
fn percent(shown: &Shown) -> String {
    let [r, g, b] = shown.signal.map(|value| (value * 100.0).round());
    format!("R {r} G {g} B {b} %")
}

fn reading_words(reading: &SheetReading) -> String {
    let from = if reading.from_output { "by its output, " } else { "" };
    let stops: Vec<String> = reading
        .stops
        .iter()
        .map(|one| {
            let over = one.over_stops.map_or_else(String::new, |over| {
                let side = if over < 0.0 { "under" } else { "over" };
                format!(", {:.1} {side} at the chosen stop", over.abs())
            });
            format!("{} by a {}{over}", one.marked, one.receptor)
        })
        .collect();
    let stops = if stops.is_empty() { String::new() } else { format!(": {}", stops.join("; ")) };
    format!("{from}{:.0} lx, {:.0} fc{stops}", reading.lux, reading.foot_candles)
}

fn of_want(wanted: &Wanted, console: &Console) -> String {
    let head = format!("wanted of {}: {}", wanted.light, cast_words(&wanted.cast));
    let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, &head));
    if let Some(now) = &wanted.now {
        text += &labelled("now", &cast_words(now), INDENT);
    }
    text += &format!("  {}\n", console.emphasise(Emphasis::Strong, "by the balance"));
    text += &match (&wanted.balance, &wanted.balance_without_tint) {
        (None, None) => labelled("", "no balance of a camera (1667 to 25000 K) gives it", INDENT),
        (exact, kept) => {
            let exact = exact.as_ref().map_or_else(String::new, |found| {
                labelled("exactly", &balance_words(found.kelvin, found.greener_duv), INDENT)
            });
            exact + &kept.as_ref().map_or_else(String::new, |found| labelled("tint kept", &kept_words(found), INDENT))
        }
    };
    text += &format!(
        "  {}\n",
        console.emphasise(Emphasis::Strong, "by filters on the bare lamp, at the present balance, nearest first")
    );
    if wanted.stacks.is_empty() {
        text += &labelled("", "no stack of filters gives it", INDENT);
    } else {
        text += &stacks(wanted);
        text += &labelled("", "Makers differ: the mireds count, not the names.", INDENT);
    }
    text += &format!("  {}\n", console.emphasise(Emphasis::Strong, "in the recipe, on a neutral negative"));
    text += &match (&wanted.ways, &wanted.no_ways) {
        (Some(ways), _) => recipe(ways),
        (None, Some(why)) => labelled("", why, INDENT),
        (None, None) => String::new(),
    };
    text
}

fn kept_words(found: &WantedBalance) -> String {
    format!("{} leaves {}", balance_words(found.kelvin, found.greener_duv), cast_words(&found.cast))
}

fn stacks(wanted: &Wanted) -> String {
    let names: Vec<String> = wanted
        .stacks
        .iter()
        .map(|stack| {
            let names: Vec<&str> = stack.filters.iter().map(|filter| filter.name.as_str()).collect();
            if names.is_empty() { "no filter".to_owned() } else { names.join(" + ") }
        })
        .collect();
    let widest = names.iter().map(|name| name.chars().count()).max().unwrap_or(0);
    let mut text = String::new();
    for (stack, name) in wanted.stacks.iter().zip(&names) {
        let off = difference_words(stack.off_mired, stack.off_cc);
        let off = if off == "neutral" { "as wanted".to_owned() } else { format!("{off} than wanted") };
        let about = if stack.loss_estimated { "about " } else { "" };
        text += &format!(
            "  {:width$}{name:widest$}  loses {about}{}  {off}\n",
            "",
            stops(stack.loss_stops),
            width = INDENT - 2
        );
    }
    text
}

/// What the recipe says, and how far the picture is from the one with the cast in the camera.
fn recipe(ways: &Ways) -> String {
    let white = &ways.white;
    let mut text = labelled("balance", &balance_words(ways.neutral_kelvin, ways.neutral_greener_duv), INDENT);
    text += &labelled("recipe", "the cast and what [white] does already, in one:", INDENT);
    for line in [
        "[white]".to_owned(),
        format!("reference_kelvin = {:.0}", white.reference_kelvin),
        format!("warmer_mired = {:.1}", white.warmer_mired),
        format!("greener_cc = {:.1}", white.greener_cc),
    ] {
        text += &format!("{:INDENT$}    {line}\n", "");
    }
    text += &differences("differs", &ways.like_recipe, "if the camera balances as the recipe adapts");
    text +=
        &differences("", &ways.by_channels, "if it multiplies its recorded channels; real cameras lie somewhere about");
    text
}

fn differences(label: &str, found: &Differences, when: &str) -> String {
    let words = format!(
        "{when}: skins ΔE {:.1} on average, worst {:.1} ({}); chart {:.1}, worst {:.1} ({})",
        found.skins_mean, found.skins_max, found.skins_worst, found.chart_mean, found.chart_max, found.chart_worst
    );
    labelled(label, &words, INDENT)
}

/// Both ways of the cast that is there.
fn both(ways: &Ways, console: &Console) -> String {
    let mut text = format!(
        "  {}\n",
        console.emphasise(Emphasis::Strong, &format!("two ways to {} on {}", cast_words(&ways.cast), ways.light))
    );
    text += &recipe(ways);
    text += &labelled("gain", "stops over the least amplified channel, red / green / blue", INDENT);
    text += &gains("in the camera", &ways.in_camera);
    text += &gains("neutral negative", &ways.neutral_negative);
    text
}

fn gains(name: &str, gains: &Gains) -> String {
    let least = gains.camera_stops.into_iter().fold(f64::INFINITY, f64::min);
    let row = |values: [f64; 3], from: f64| values.map(|value| format!("{:+.1}", value - from)).join(" / ");
    let words = format!(
        "{name}: negative {}, recipe {}; {} weakest, up {}; first clips {} at {:+.1} stops over grey",
        row(gains.camera_stops, least),
        row(gains.recipe_stops, 0.0),
        gains.weakest,
        stops(gains.weakest_stops),
        gains.first_to_clip,
        gains.headroom_stops
    );
    labelled("", &words, INDENT)
}
