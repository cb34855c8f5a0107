//! What `preview` says of its pictures.

use super::super::console::{Console, Emphasis, as_json};
use super::look::LookFile;
use super::{Look, Made, Task};
use lookwright::formats::image::Sureness;
use lookwright::picture::batch::Done;
use lookwright::picture::screen::{Screen, ScreenKind};
use lookwright::picture::stand_in::Content;
use serde_json::{Value, json};

/// The JSON document.
pub fn document(task: &Task<'_>, made: &Made) -> Value {
    let arguments = task.arguments;
    let mut found = task.warnings();
    found.extend(made.faults.iter().cloned());
    let is_sheet = arguments.sheet || arguments.exposures.is_some();
    let pictures: Vec<Value> = made
        .done
        .iter()
        .map(|done| {
            json!({
                "image": if made.of_chart || arguments.sheet { Value::Null } else { json!(done.still) },
                "look": if is_sheet { Value::Null } else { json!(task.looks[done.look].title) },
                "file": done.output,
                "width": done.size[0],
                "height": done.size[1],
                "clamped_inputs": done.clamped_inputs,
                "clamped_outputs": done.clamped_outputs,
                "warnings": done.warnings,
            })
        })
        .collect();
    let looks: Vec<Value> = task
        .looks
        .iter()
        .map(|look| json!({"look": look.title, "source": look.path, "applied": applied(task, look)}))
        .collect();
    json!({
        "look": task.looks.first().map(|look| &look.title),
        "source": task.looks.first().map(|look| &look.path),
        "looks": looks,
        "exact": arguments.exact,
        "input": task.content.id(),
        "stops": arguments.stops.unwrap_or(0.0),
        "exposures": arguments.exposures,
        "sheet": arguments.sheet,
        "split": arguments.split,
        "scopes": arguments.scopes,
        "lens": arguments.lens,
        "haze": arguments.haze,
        "lens_label": task.lens.label(),
        "samples_at_end": made.at_end,
        "for_screen": arguments.screen().is_some(),
        "screen": arguments.screen().map(|kind| kind.profile().name()),
        "profile": task.profile().map(|profile| profile.name()),
        "screen_white_nits": arguments.screen_white,
        "pictures": pictures,
        "earlier_previews_left_out": made.earlier_previews,
        "diagnostics": as_json(&found),
    })
}

/// What pictures are made through, in a word.
fn applied(task: &Task<'_>, look: &Look) -> &'static str {
    match look.file {
        LookFile::Steps(..) => "steps",
        LookFile::Recipe if task.arguments.exact => "exact",
        LookFile::Recipe | LookFile::Cube(_) => "table",
    }
}

/// What is printed.
pub fn text(task: &Task<'_>, made: &Made, console: &Console) -> String {
    let mut text = String::new();
    for look in &task.looks {
        text.push_str(&format!("{}  {}\n", console.emphasise(Emphasis::Strong, &look.title), method(task, look)));
    }
    let input = if made.of_chart { format!("the {}", task.built_in()[0]) } else { input_words(task) };
    text.push_str(&format!("  input        {input}\n"));
    for output in outputs(task) {
        text.push_str(&format!("  output       {output}\n"));
    }
    for note in notes(task, made) {
        text.push_str(&format!("  note         {note}\n"));
    }
    let width = made.done.iter().map(|done| still_name(done, task, made).chars().count()).max().unwrap_or(0);
    for done in &made.done {
        let size = format!("{} × {}", done.size[0], done.size[1]);
        let name = still_name(done, task, made);
        text.push_str(&format!("  {name:<width$}  {size:<12} {}\n", done.output.display()));
        let told = done.warnings.iter().cloned().chain(finished_words(task, done));
        for words in told {
            text.push_str(&format!("  {:<width$}  {words}\n", ""));
        }
        for (count, what) in [
            (done.clamped_inputs, "of the samples lay outside what the device takes in, and were held to it"),
            (done.clamped_outputs, "of the samples lay outside what the file can show, and were held to it"),
        ] {
            if count > 0 {
                text.push_str(&format!("  {:<width$}  {} {what}\n", "", percent(count, done.samples)));
            }
        }
    }
    if !made.faults.is_empty() {
        text.push_str(&format!("  {}; what is wrong with the rest follows\n", count_words(task, made)));
    }
    text
}

/// A still that was taken for a log signal and says something else of itself.
fn finished_words(task: &Task<'_>, done: &Done) -> Option<String> {
    let why = done.looks_finished.as_ref().filter(|_| task.content.is_log())?;
    let sure = match why.sureness {
        Sureness::Likely => "this is probably a finished picture and no log signal",
        Sureness::Possible => "this may be a finished picture and no log signal",
    };
    Some(format!("{sure}: {}; --input srgb takes it as a stand-in", why.reason))
}

fn count_words(task: &Task<'_>, made: &Made) -> String {
    let done = made.done.len();
    match (task.arguments.sheet, task.looks.len()) {
        (true, _) => format!("{done} sheets of {} stills", made.stills),
        (false, 1) => format!("{done} of {} pictures made", made.stills),
        (false, looks) if task.arguments.exposures.is_none() => {
            format!("{done} of {} pictures made", made.stills * looks)
        }
        (false, _) => format!("{done} of {} sheets made", made.stills),
    }
}

fn still_name(done: &Done, task: &Task<'_>, made: &Made) -> String {
    if made.of_chart {
        return task.built_in()[0].to_owned();
    }
    done.still.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn percent(count: u64, samples: u64) -> String {
    let share = 100.0 * count as f64 / samples.max(1) as f64;
    if share < 0.1 { "under 0.1 %".to_owned() } else { format!("{share:.1} %") }
}

fn method(task: &Task<'_>, look: &Look) -> String {
    let device = look.device();
    let levels = format!("levels in {}, out {}", device.input_levels.id(), device.output_levels.id());
    let (how, path) = (device.interpolation.id(), look.path.display());
    match (&look.file, look.plan()) {
        (LookFile::Steps(list, light), _) => {
            let steps = if list.nodes.len() == 1 { "1 step".to_owned() } else { format!("{} steps", list.nodes.len()) };
            let light = light.map_or(String::new(), |gamut| format!("; it takes light, linear / {}", gamut.id));
            format!("{path}, {steps}, each evaluated at every pixel, without a table{light}")
        }
        (LookFile::Cube(_), Some(_)) => format!("{path} as the device applies it: {how}, {levels}"),
        (LookFile::Cube(_), None) if look.levels.is_some() => {
            format!("{path}, taken as {how}, {levels}: its comments say so")
        }
        (LookFile::Cube(_), None) => format!("{path}, taken as {how}, {levels}: nothing says otherwise"),
        (LookFile::Recipe, Some(_)) if task.arguments.exact => format!("the look itself, without a table, {levels}"),
        (LookFile::Recipe, Some(plan)) => {
            format!("as the device applies it: {} points, {how}, {levels}", plan.device.size)
        }
        (LookFile::Recipe, None) => String::new(),
    }
}

/// The cameras of the looks.
fn cameras(task: &Task<'_>) -> String {
    let mut named: Vec<String> = Vec::new();
    for look in &task.looks {
        let name = look.plan().map_or("the camera's signal".to_owned(), |plan| {
            let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
            format!("{}{index} / {}", plan.camera.curve.encoding().id, plan.camera.gamut.id)
        });
        if !named.contains(&name) {
            named.push(name);
        }
    }
    named.join(", ")
}

/// What the stills are taken for.
pub fn input_words(task: &Task<'_>) -> String {
    let (cameras, stops) = (cameras(task), task.arguments.stops.unwrap_or(0.0));
    let exposed = if stops == 0.0 { String::new() } else { format!(", {stops:+.1} stops") };
    if task.stills.is_empty() {
        return format!("the {} as {cameras}{exposed}", task.built_in()[0]);
    }
    match task.content {
        Content::Log => format!("log frames, taken as {cameras}, full range{exposed}"),
        Content::Camera(_) => format!("log frames of {}, full range, brought to {cameras}{exposed}", task.content.id()),
        Content::Srgb => format!("photographs as a STAND-IN for {cameras}{exposed}"),
        Content::DisplayP3 => format!("photographs (Display P3) as a STAND-IN for {cameras}{exposed}"),
        Content::Linear => format!("scene light (BT.709 primaries) as a STAND-IN for {cameras}{exposed}"),
    }
}

/// What the pictures hold: a line for each kind of display.
fn outputs(task: &Task<'_>) -> Vec<String> {
    let arguments = task.arguments;
    let mut told: Vec<String> = Vec::new();
    for look in &task.looks {
        let words = match look.display() {
            None if arguments.screen().is_some() => {
                "what the file gives, full range; no profile is written: nothing says which display it is for"
                    .to_owned()
            }
            None => "what the file gives, full range".to_owned(),
            Some(display) => {
                let peak =
                    if display.encoding.needs_peak() { format!(" {} nits", display.peak_nits) } else { String::new() };
                let by = match &look.file {
                    _ if look.plan().is_some() && !look.is_assumed() => "",
                    LookFile::Steps(..) => " (its OutputDescriptor says so)",
                    _ => " (its comments say so)",
                };
                let signal = format!("{} / {}{peak}{by}", display.encoding.id(), display.gamut.id);
                if let Some(screen) = arguments.screen().map(|kind| kind.profile().name()) {
                    let white =
                        arguments.screen_white.map_or("the look's white".to_owned(), |nits| format!("{nits} nits"));
                    format!("{screen} for a computer screen, from {signal}; {white} is the screen's white")
                } else {
                    format!("the display's signal, {signal}, full range")
                }
            }
        };
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told
}

fn notes(task: &Task<'_>, made: &Made) -> Vec<String> {
    let arguments = task.arguments;
    let mut notes = Vec::new();
    if matches!(task.content, Content::Srgb | Content::DisplayP3) {
        notes.push("a photograph has its own grade and no more highlights than it was saved with:".to_owned());
        notes.push("judge mood and colour by it, not exposure".to_owned());
    }
    if task.content.is_log() && (arguments.exposures.is_some() || arguments.stops.is_some_and(|stops| stops != 0.0)) {
        notes.push("exposures are made from one frame: what the camera clipped stays clipped".to_owned());
    }
    let for_screen = arguments.screen().is_some();
    if !for_screen
        && task.looks.iter().filter_map(Look::display).any(|display| !Screen::is_close_to(ScreenKind::Srgb, &display))
    {
        notes.push(
            "this is that display's signal: it looks wrong on a computer screen; --for-screen converts it".to_owned(),
        );
    }
    notes.extend(task.lens.label());
    if made.at_end > 0 {
        notes.push(format!(
            "{} samples are at the end of the recording: their light is lost, and their halo too weak",
            made.at_end
        ));
    }
    if made.unlabelled > 0 {
        notes.push("the picture is too small for a label: say yourself that the lens filter is in no LUT".to_owned());
    }
    match made.earlier_previews {
        0 => {}
        1 => notes.push("1 earlier preview of this look in the folder was left out".to_owned()),
        count => notes.push(format!("{count} earlier previews of these looks in the folder were left out")),
    }
    notes
}
