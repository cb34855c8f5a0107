//! What `light` prints.

use super::super::console::{Console, Emphasis};
use super::super::layout::labelled;
use lookwright::light::Balance;
use lookwright::report::lighting_words::{
    BEYOND, EXPOSED, HEADROOM, NOT_SAID, PLAIN_MIRED, between_words, block, cast_words, difference, filter_colour,
    filters_together, fixed, has_plain_mired, level_words, loss_words, outcome, over_words, patch_words, percent,
    plain_mired, ratio_words, reading_words, signed, source_words, stops, tint_words,
};
use lookwright::show::{
    Differences, Gains, SetupSheet, SheetFilter, SheetLight, Wanted, WantedBalance, WantedStack, WayCast, Ways,
};
use std::path::PathBuf;

/// Where the facts of a light begin.
const INDENT: usize = 14;

/// Words as the terminal has them: signs and apostrophes of ASCII, as all commands print them.
fn plain(words: &str) -> String {
    words.replace('−', "-").replace('’', "'")
}

/// A line with a label.
fn line(label: &str, words: &str) -> String {
    labelled(label, &plain(words), INDENT)
}

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
    text += &facts(one, balance.map(|balance| balance.kelvin), "", through, console);
    if balance.is_some_and(|balance| plain_mired(one, balance.kelvin).is_some()) {
        text += &line("note", PLAIN_MIRED);
    }
    if one.card.is_some() {
        text += &line("note", &format!("{EXPOSED}."));
    }
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
    let balance = sheet.balance.as_ref();
    text += &line(
        "balance",
        &balance.map_or(NOT_SAID.to_owned(), |balance| balance_words(balance.kelvin, balance.greener_duv)),
    );
    let through = sheet
        .seen_through
        .as_ref()
        .map_or_else(String::new, |(camera, monitor)| format!("camera {camera}, monitor {monitor}"));
    if sheet.lights.is_empty() {
        text += &line("lights", "none said");
    }
    for (place, one) in sheet.lights.iter().enumerate() {
        if focus.is_none_or(|focus| focus == place) {
            text += &format!("  {}\n", console.emphasise(Emphasis::Strong, &one.role));
            let level = level_words(sheet, place).unwrap_or_default();
            text += &facts(one, balance.map(|balance| balance.kelvin), &level, &through, console);
        }
    }
    if let Some(words) = ratio_words(sheet) {
        text += &line("key to fill", &words);
    }
    for between in &sheet.between {
        let words = between_words(between);
        text += &labelled("left over", &format!("{} against {}: {}", between.to, between.from, plain(&words)), INDENT);
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
    if sheets.iter().any(has_plain_mired) {
        text += &line("note", PLAIN_MIRED);
    }
    if sheets.iter().flat_map(|sheet| &sheet.lights).any(|light| light.card.is_some()) {
        text += &line("note", &format!("{EXPOSED}."));
    }
    text
}

/// A balance in words.
fn balance_words(kelvin: f64, greener_duv: f64) -> String {
    format!("{} K ({} mired), {}", fixed(kelvin, 0), fixed(1e6 / kelvin, 0), tint_words(greener_duv))
}

/// The facts of a light at a balance, with one more of its reading.
fn facts(one: &SheetLight, balance: Option<f64>, more: &str, through: &str, console: &Console) -> String {
    let mut text = line("source", &source_words(one));
    let filters: Vec<String> = one.filters.iter().map(filter_words).collect();
    let together = filters_together(one).map_or_else(String::new, |words| format!("; {words}"));
    text += &labelled("filters", &format!("{}{}", filters.join(" + "), plain(&together)), INDENT);
    let (head, rest) = outcome(one);
    text += &line("becomes", &format!("{head}, {}", rest.join(", ")));
    if let Some(words) = loss_words(one) {
        text += &line("loses", &words);
    }
    if one.cast.is_none() && balance.is_some() {
        text += &line("cast", BEYOND);
    }
    if let Some(cast) = &one.cast {
        let mireds = balance.and_then(|kelvin| plain_mired(one, kelvin));
        let mireds = mireds.map_or_else(String::new, |words| format!("; plain difference {words}"));
        text += &line("cast", &format!("{}{mireds}", cast_words(cast)));
    }
    if let (Some(card), Some(skin)) = (&one.card, &one.skin) {
        let seen = if through.is_empty() { String::new() } else { format!("  ({through})") };
        let swatches = format!(
            "{}card {}   {}skin {}",
            console.swatch(card.srgb),
            plain(&percent(card)),
            console.swatch(skin.srgb),
            plain(&percent(skin))
        );
        text += &format!("  {:width$}{swatches}{seen}\n", "looks", width = INDENT - 2);
    }
    if let Some(reading) = &one.reading {
        for (place, words) in reading_words(reading).iter().enumerate() {
            text += &line(if place == 0 { "light" } else { "" }, words);
        }
        text += &labelled("", more, INDENT);
    }
    if !one.note.is_empty() {
        text += &labelled("note", &one.note, INDENT);
    }
    text
}

/// A filter with its colour.
fn filter_words(filter: &SheetFilter) -> String {
    format!("{} ({})", filter.name, plain(&filter_colour(filter)))
}

fn of_want(wanted: &Wanted, console: &Console) -> String {
    let head = format!("wanted of {}: {}", wanted.light, plain(&cast_words(&wanted.cast)));
    let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, &head));
    if let Some(now) = &wanted.now {
        let more = wanted.from_now.as_ref().and_then(|more| difference(more.warmer_mired, more.greener_cc));
        let more = more.map_or_else(|| "that is it".to_owned(), |more| format!("wanted is {more}"));
        text += &line("now", &format!("{}; {more}", cast_words(now)));
    }
    text += &format!("  {}\n", console.emphasise(Emphasis::Strong, "by the balance"));
    if wanted.balance.is_none() && wanted.balance_without_tint.is_none() {
        text += &line("", "no balance of a camera (1667 to 25000 K) gives it");
    }
    if let Some(found) = &wanted.balance {
        text += &line("exactly", &balance_words(found.kelvin, found.greener_duv));
        text += &others(found);
    }
    if let Some(found) = &wanted.balance_without_tint {
        let words = balance_words(found.kelvin, found.greener_duv);
        text += &line("tint kept", &format!("{words}; leaves {}", cast_words(&found.cast)));
        text += &others(found);
    }
    text += &format!(
        "  {}\n",
        console.emphasise(Emphasis::Strong, "by filters on the bare lamp, at the present balance, nearest first")
    );
    if wanted.stacks.is_empty() {
        text += &labelled("", "no stack of filters gives it", INDENT);
    } else {
        if wanted.stacks_far {
            text += &line("", "Even the nearest is plainly off.");
        }
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

/// What a balance makes of the other lights.
fn others(found: &WantedBalance) -> String {
    let cast = |cast: &Option<WayCast>| cast.as_ref().map_or_else(|| BEYOND.to_owned(), cast_words);
    let others: Vec<String> =
        found.others.iter().map(|other| format!("{} {}", other.light, plain(&cast(&other.cast)))).collect();
    if others.is_empty() { String::new() } else { labelled("", &format!("then {}", others.join("; ")), INDENT) }
}

/// The light behind a stack, where a reading is known.
fn light_behind(stack: &WantedStack) -> Option<String> {
    let reading = stack.reading.as_ref()?;
    let stops = over_words(stack.light_stops).map_or_else(
        || "as much light as now".to_owned(),
        |_| {
            format!(
                "{} {} light than now",
                stops(stack.light_stops.abs()),
                if stack.light_stops < 0.0 { "less" } else { "more" }
            )
        },
    );
    Some(format!("{stops}: {}", reading_words(reading).join(", ")))
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
    let losses: Vec<String> = wanted
        .stacks
        .iter()
        .map(|stack| format!("{}{}", if stack.loss_estimated { "about " } else { "" }, stops(stack.loss_stops)))
        .collect();
    let most = losses.iter().map(|loss| loss.chars().count()).max().unwrap_or(0);
    let mut text = String::new();
    for ((stack, name), loss) in wanted.stacks.iter().zip(&names).zip(&losses) {
        let off = difference(stack.off_mired, stack.off_cc);
        let off = off.map_or_else(|| "as wanted".to_owned(), |off| format!("{} than wanted", plain(&off)));
        text += &format!("{:INDENT$}{name:widest$}  loses {loss:most$}  {off}\n", "");
        if let Some(light) = light_behind(stack) {
            text += &format!("{:INDENT$}  {}\n", "", plain(&light));
        }
    }
    text
}

/// What the recipe says, and how far the picture is from the one with the cast in the camera.
fn recipe(ways: &Ways) -> String {
    let mut text = line("balance", &balance_words(ways.neutral_kelvin, ways.neutral_greener_duv));
    text += &line(
        "recipe",
        "the cast and what [white] does already, in one (its reference is where the cast is counted from, not the balance to set):",
    );
    for written in block(&ways.white) {
        text += &format!("{:INDENT$}    {written}\n", "");
    }
    text += &differences("differs", &ways.like_recipe, "if the camera balances as the recipe adapts");
    text +=
        &differences("", &ways.by_channels, "if it multiplies its recorded channels; real cameras lie somewhere about");
    text
}

fn differences(label: &str, found: &Differences, when: &str) -> String {
    let group = |mean: f64, max: f64, worst: &str| {
        format!("mean {}, worst {} ({})", fixed(mean, 2), fixed(max, 2), patch_words(worst))
    };
    let skins = group(found.skins_mean, found.skins_max, &found.skins_worst);
    let chart = group(found.chart_mean, found.chart_max, &found.chart_worst);
    line(label, &format!("{when}: ΔE2000 of skins: {skins}; of the chart: {chart}"))
}

/// Both ways of the cast that is there.
fn both(ways: &Ways, console: &Console) -> String {
    let head = format!("two ways to {} on {}", plain(&cast_words(&ways.cast)), ways.light);
    let mut text = format!("  {}\n", console.emphasise(Emphasis::Strong, &head));
    text += &recipe(ways);
    text += &line("gain", "stops over the least amplified channel, red / green / blue");
    text += &gains("in the camera", &ways.in_camera);
    text += &gains("neutral negative", &ways.neutral_negative);
    text += &line("headroom", &format!("a white card in this light, over grey. {HEADROOM}"));
    for (name, gains) in [("in the camera", &ways.in_camera), ("neutral negative", &ways.neutral_negative)] {
        text += &line("", &format!("{name}: {}, {} first", stops(gains.headroom_stops), gains.first_to_clip));
    }
    text
}

fn gains(name: &str, gains: &Gains) -> String {
    let row = |values: [f64; 3]| {
        let least = values.into_iter().fold(f64::INFINITY, f64::min);
        values.map(|value| signed(value - least, 2)).join(" / ")
    };
    line(
        "",
        &format!(
            "{name}: negative {}, recipe {}; {} most, by {}",
            row(gains.camera_stops),
            row(gains.recipe_stops),
            gains.weakest,
            stops(gains.weakest_stops)
        ),
    )
}
