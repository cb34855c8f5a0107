//! The facts of a setup in words, for the page and for the text. Minus signs are those of print; the text spells them in ASCII.

use crate::report::lighting_words::{
    BEYOND, EXPOSED, NOT_SAID, PLAIN_MIRED, amount, cast_words, difference_words, fixed, has_plain_mired, receptor,
    signed, stops, tint_words, trimmed, xy_words,
};
use crate::show::{
    RecipeWhite, SetupSheet, SheetBalance, SheetDiffusion, SheetExposure, SheetFile, SheetLight, TwicePoint,
};
use std::path::Path;

/// What a cast is counted in.
const UNITS: &str = "Mired are millionths of 1/kelvin, steps of warmth about alike to the eye; 30 CC are 0.020 Duv, from magenta to green. A cast is \
     a light as the camera sees it at its balance, counted from black bodies.";

/// What the figures of the lights mean.
pub(in crate::report) fn lights_words(sheet: &SetupSheet) -> String {
    let mut words = vec!["Filters are listed from the lamp outwards.".to_owned()];
    if sheet.lights.iter().any(|light| light.reading.is_some()) {
        words.push("Light is as planned: what the show says, or what the lamp’s data come to.".to_owned());
    }
    let seen = sheet.seen_through.as_ref().filter(|_| sheet.lights.iter().any(|light| light.card.is_some()));
    if let Some((camera, monitor)) = seen {
        words.push(format!(
            "{EXPOSED}: seen behind camera {camera}, on monitor {monitor}, red / green / blue in percent."
        ));
    }
    words.push(UNITS.to_owned());
    if has_plain_mired(sheet) {
        words.push(PLAIN_MIRED.to_owned());
    }
    words.join(" ")
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
            amount(need.lux),
            amount(need.foot_candles),
            receptor(need.receptor),
            trimmed(need.constant, 0)
        )
    };
    exposure.needs.iter().map(need).collect()
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

/// The cast of a light, or why none is told.
pub(in crate::report) fn cast_of(light: &SheetLight, sheet: &SetupSheet) -> String {
    match (&light.cast, &sheet.balance) {
        (Some(cast), _) => cast_words(cast),
        (None, None) => "not known, for no balance is said".to_owned(),
        (None, Some(_)) => BEYOND.to_owned(),
    }
}

/// What is said of the look beside its name.
pub(in crate::report) fn look_facts(sheet: &SetupSheet) -> Vec<(&'static str, String)> {
    let look = &sheet.look;
    let part = if look.part.is_empty() { String::new() } else { format!(", {}", look.part) };
    let mut facts = vec![("Look", format!("{}{part}, from {}", look.id, look.recipe))];
    if !look.note.is_empty() {
        facts.push(("Recipe’s note", look.note.clone()));
    }
    let white = match &look.white {
        Some(white) => white_words(white),
        None if look.changed => "not known any more, for the recipe was changed since this version".to_owned(),
        None => "as recorded".to_owned(),
    };
    facts.push(("White of the recipe", white));
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
    fn times_are_printed_as_cameras_print_them() {
        assert_eq!((time(0.02), time(1.0 / 48.0), time(2.0)), ("1/50 s".into(), "1/48 s".into(), "2 s".into()));
    }
}
