//! The sheet of a setup as plain text.

use super::lighting_words::{
    between_words, block, filter_words, filters_together, fixed, level_words, loss_words, outcome, patch_words,
    percent, plain_mired, ratio_words, reading_words, source_words,
};
use super::setup_sheet::ways_words::{
    KINDS, TWICE, block_words, conclusion, difference_rows, gain_rows, twice_rows, worst_words,
};
use super::setup_sheet::words::{by_monitor, cast_of, diffusion_facts, lights_words, look_facts, settings};
use super::text::{ascii, rule, wrapped};
use crate::show::{SetupSheet, SheetLight, Twice, Ways};

/// Where a fact begins behind its term.
const TERM: usize = 26;

/// Columns of a table's number, of a patch's name.
const NUMBER: usize = 10;
const PATCH: usize = 44;

/// The sheet of a setup as plain text in ASCII, at most 100 columns wide; colours are percent of the monitor's signal.
#[must_use]
pub fn setup_sheet_text(sheet: &SetupSheet) -> String {
    let mut text = wrapped("SETUP          ", &ascii(&sheet.id));
    text += &wrapped("               ", &ascii(&sheet.show));
    if !sheet.note.is_empty() {
        text += &wrapped("               ", &ascii(&sheet.note));
    }
    text += &camera(sheet);
    if sheet.haze {
        text += &cautions(sheet);
    }
    text += &lights(sheet);
    text += &look(sheet);
    text += &head("DIFFUSION AND HAZE");
    for (term, words) in diffusion_facts(sheet) {
        text += &fact(term, &words);
    }
    if let Some(twice) = &sheet.diffusion.twice {
        text += &diffusion_twice(twice);
    }
    if !sheet.remarks.is_empty() {
        text += &head("TO KNOW WHEN READING THE NUMBERS");
        for remark in &sheet.remarks {
            text += &wrapped("  - ", &ascii(remark));
        }
    }
    if !sheet.haze {
        text += &cautions(sheet);
    }
    match (&sheet.ways, &sheet.no_ways) {
        (Some(ways), _) => text += &both(sheet, ways),
        (None, Some(why)) => {
            text += &head("TWO WAYS TO ONE PICTURE");
            text += &wrapped("  ", &ascii(&format!("There are no two ways here: {why}.")));
        }
        (None, None) => {}
    }
    text
}

fn head(title: &str) -> String {
    format!("\n{}{title}\n\n", rule('='))
}

fn fact(term: &str, words: &str) -> String {
    wrapped(&format!("  {:<width$}", ascii(term), width = TERM - 2), &ascii(words))
}

fn camera(sheet: &SetupSheet) -> String {
    let mut text = head("CAMERA");
    for setting in settings(sheet) {
        text += &wrapped(
            &format!("  {:<width$}", setting.term, width = TERM - 2),
            &ascii(&setting.value.replace('°', " degrees")),
        );
        for line in setting.means {
            text += &wrapped(&" ".repeat(TERM), &ascii(&line));
        }
    }
    text
}

fn cautions(sheet: &SetupSheet) -> String {
    if sheet.cautions.is_empty() {
        return String::new();
    }
    let mut text = head("CAUTIONS");
    for caution in &sheet.cautions {
        text += &wrapped("  ! ", &ascii(&format!("{}. {}", caution.title.to_uppercase(), caution.text)));
    }
    text
}

fn lights(sheet: &SetupSheet) -> String {
    let mut text = head("LIGHTS");
    if sheet.lights.is_empty() {
        return text + "  No lights are said.\n";
    }
    for (place, light) in sheet.lights.iter().enumerate() {
        text += &of_light(light, place, sheet);
    }
    if let Some(words) = ratio_words(sheet) {
        text += &wrapped("  ", &ascii(&format!("Key to fill, as planned: {words}")));
    }
    for between in &sheet.between {
        text += &wrapped("  ", &ascii(&format!("From {} to {}: {}", between.from, between.to, between_words(between))));
    }
    if !sheet.between.is_empty() || ratio_words(sheet).is_some() {
        text.push('\n');
    }
    text + &wrapped("  ", &ascii(&lights_words(sheet)))
}

fn of_light(light: &SheetLight, place: usize, sheet: &SetupSheet) -> String {
    let mut text = wrapped("  ", &ascii(&light.role.to_uppercase()));
    if !light.note.is_empty() {
        text += &fact("  note", &light.note);
    }
    text += &fact("source", &source_words(light));
    for (place, filter) in light.filters.iter().enumerate() {
        let term = if place == 0 { "filters, outwards" } else { "" };
        text += &fact(term, &format!("{}: {}", filter.name, filter_words(filter)));
    }
    if light.filters.is_empty() {
        text += &fact("filters", "none");
    }
    if let Some(words) = filters_together(light) {
        text += &fact("", &words);
    }
    let (head, rest) = outcome(light);
    text += &fact("comes out", &format!("{head}, {}", rest.join(", ")));
    if let Some(words) = loss_words(light) {
        text += &fact("lost in filters", &words);
    }
    text += &fact("cast at the balance", &cast_of(light, sheet));
    if let Some(words) = sheet.balance.as_ref().and_then(|balance| plain_mired(light, balance.kelvin)) {
        text += &fact("  plain difference", &words);
    }
    for (what, shown) in [("grey card, R G B", &light.card), ("light skin, R G B", &light.skin)] {
        if let Some(shown) = shown {
            text += &fact(what, &percent(shown));
        }
    }
    let lines = light.reading.as_ref().map_or_else(|| vec!["no reading".to_owned()], reading_words);
    for (line, words) in lines.iter().chain(&level_words(sheet, place)).enumerate() {
        text += &fact(if line == 0 { "planned light, stop" } else { "" }, words);
    }
    text.push('\n');
    text
}

fn look(sheet: &SetupSheet) -> String {
    let mut text = head("LOOK AND FILES");
    text += &wrapped("  ", &ascii(&sheet.look.name));
    text.push('\n');
    for (term, words) in look_facts(sheet) {
        text += &fact(term, &words);
    }
    for camera in &sheet.cameras {
        let trim = if camera.trim.is_empty() { String::new() } else { format!("; trimmed by {}", camera.trim) };
        let note = if camera.note.is_empty() { String::new() } else { format!("; {}", camera.note) };
        let records = if camera.records.is_empty() { "not said" } else { &camera.records };
        text += &fact(&format!("Camera {}", camera.id), &format!("must record {records}{trim}{note}"));
    }
    if sheet.files.is_empty() {
        return text + "\n  This setup has no LUT files.\n";
    }
    for of in by_monitor(sheet) {
        text.push('\n');
        let levels = format!("input levels {}, output levels {}", of.input.to_uppercase(), of.output.to_uppercase());
        text += &wrapped("  ", &ascii(&format!("{}: {levels}", of.monitor.to_uppercase())));
        for (file, name) in of.files {
            text +=
                &fact(&format!("  camera {}", file.camera), &format!("{name}, code {}, in {}", file.code, of.folder));
        }
    }
    text
}

fn both(sheet: &SetupSheet, ways: &Ways) -> String {
    let mut text = head("TWO WAYS TO ONE PICTURE");
    for (title, words) in conclusion(sheet, ways) {
        text += &wrapped("  - ", &ascii(&format!("{title}: {words}")));
    }
    text += "\n  For the recipe:\n\n";
    for line in block(&ways.white) {
        text += &format!("      {line}\n");
    }
    text.push('\n');
    text += &wrapped("  ", &ascii(block_words(sheet)));
    text += "\n  dE2000 between the two pictures, chart and skins from -2 to +2 stops\n\n";
    for (kind, [chart, chart_max, skins, skins_max], [chart_worst, skins_worst]) in difference_rows(ways) {
        text += &fact(kind, &format!("chart: mean {chart}, worst {chart_max} ({})", patch_words(chart_worst)));
        text += &fact("", &format!("skins: mean {skins}, worst {skins_max} ({})", patch_words(skins_worst)));
    }
    text.push('\n');
    text += &wrapped("  ", &ascii(KINDS));
    text + &gains(ways) + &patches(ways)
}

fn gains(ways: &Ways) -> String {
    let mut text = "\n  Gain, stops over the least amplified channel of each row\n\n".to_owned();
    text += &format!("  {:<TERM$}{:<NUMBER$}{:>NUMBER$}{:>NUMBER$}{:>NUMBER$}\n", "", "in", "red", "green", "blue");
    for (way, stage, values) in gain_rows(ways) {
        let [red, green, blue] = values.map(|value| ascii(&value));
        text += &format!("  {way:<TERM$}{stage:<NUMBER$}{red:>NUMBER$}{green:>NUMBER$}{blue:>NUMBER$}\n");
    }
    text
}

fn patches(ways: &Ways) -> String {
    let mut text =
        "\n  Patches at their own exposure, for a camera that balances by its channels: R / G / B of the signal\n"
            .to_owned();
    text += &wrapped(
        "  ",
        &ascii(&format!("with the cast in the camera, then in the recipe. Most different: {}.", worst_words(ways))),
    );
    text.push('\n');
    for patch in &ways.patches {
        let [camera, recipe] = [&patch.in_camera, &patch.in_recipe].map(percent);
        text += &format!("  {:<PATCH$}{camera:<18}{recipe:<18}{:>6}\n", ascii(patch.name), fixed(patch.de2000, 2));
    }
    text
}

fn diffusion_twice(twice: &Twice) -> String {
    let mut text = "\n".to_owned();
    text += &wrapped(
        "  ",
        &ascii(&format!(
            "What becomes of neutrals: stops from grey before the look, and the signal on the monitor. Grade {} on the lens is taken to do what the \
             recipe's preset of that grade does.",
            twice.on_lens
        )),
    );
    text += &format!("\n  {:<8}", "stops");
    text += &TWICE.map(|column| format!("{column:>18}")).concat();
    text.push('\n');
    for (stops, cells) in twice_rows(twice) {
        text += &format!("  {:<8}", ascii(&stops));
        text += &cells.map(|cell| format!("{:>18}", ascii(&cell))).concat();
        text.push('\n');
    }
    text
}
