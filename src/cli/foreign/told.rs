//! What is said of files of others.

use super::super::console::{Console, Emphasis};
use super::{Candidate, Corrections, FileKind, Steps};
use lookwright::exchange::CorrectionFacts;
use lookwright::formats::cdl::Correction;
use lookwright::formats::edl::Event;
use lookwright::plan::Cdl;
use lookwright::verify::Inspection;
use lookwright::verify::comparison::Difference;
use lookwright::verify::inspection::StepFacts;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Differences of numbers smaller than this are those of a sixth decimal.
const SIXTH_DECIMAL: f64 = 5e-7;

/// The steps of a list, and what it takes and gives.
pub fn steps(text: &mut String, steps: &Steps, inspection: &Inspection) {
    let _ = writeln!(text, "  file         {}, evaluated as it stands", steps.kind());
    let list = &steps.list;
    let _ = writeln!(text, "  id           {}", list.id);
    if !list.name.is_empty() {
        let _ = writeln!(text, "  name         {}", list.name);
    }
    paragraphs(text, "described", &list.descriptions);
    for (end, words, (carried, how)) in
        [("takes", &list.input, &steps.declared.input), ("gives", &list.output, &steps.declared.output)]
    {
        let _ = writeln!(text, "  {end:11}  {} ({})", carried.words(), how.words());
        if !words.is_empty() {
            let _ = writeln!(text, "               \"{words}\"");
        }
        if end == "gives" && steps.declared.peak_is_taken {
            let _ = writeln!(
                text,
                "               it names no luminance of white: 1000 cd/m² are taken; --display and --peak-nits say otherwise"
            );
        }
    }
    for (place, step) in inspection.steps.iter().enumerate() {
        let head = if place == 0 { "steps" } else { "" };
        let _ = writeln!(text, "  {head:11}  {}  {}", place + 1, step_words(step));
        for description in &step.descriptions {
            let _ = writeln!(text, "                  {description}");
        }
    }
}

fn step_words(step: &StepFacts) -> String {
    let id = if step.id.is_empty() { String::new() } else { format!(" [{}]", step.id) };
    let name = if step.name.is_empty() { String::new() } else { format!(": {}", step.name) };
    format!("{}{name}{id}", step.kind)
}

fn paragraphs(text: &mut String, head: &str, paragraphs: &[String]) {
    for (index, paragraph) in paragraphs.iter().enumerate() {
        let _ = writeln!(text, "  {:11}  {paragraph}", if index == 0 { head } else { "" });
    }
}

/// The ends of a list for a JSON document.
pub fn ends(steps: &Steps) -> Value {
    let end = |words: &str, (carried, how): &(lookwright::verify::Carried, lookwright::verify::KnownBy)| json!({ "descriptor": words, "is": carried.words(), "light": carried.is_light(), "known": how });
    let mut gives = end(&steps.list.output, &steps.declared.output);
    gives["peak_is_taken"] = json!(steps.declared.peak_is_taken);
    json!({ "takes": end(&steps.list.input, &steps.declared.input), "gives": gives })
}

/// The ten numbers, a line for each kind.
pub fn numbers(text: &mut String, cdl: &Cdl) {
    for (name, values) in [("slope", cdl.slope), ("offset", cdl.offset), ("power", cdl.power)] {
        let [r, g, b] = values;
        let _ = writeln!(text, "  {name:11}  {r} {g} {b}");
    }
    let _ = writeln!(text, "  saturation   {}", cdl.saturation);
}

/// The ten numbers of a JSON document.
pub fn numbers_json(cdl: &Cdl) -> Value {
    json!({ "slope": cdl.slope, "offset": cdl.offset, "power": cdl.power, "saturation": cdl.saturation })
}

/// A correction and what it does, seen through some conversion.
pub fn correction(text: &mut String, one: &Correction, (facts, through): (&CorrectionFacts, &str), console: &Console) {
    let id = if one.id.is_empty() { "without an id" } else { &one.id };
    let _ = writeln!(text, "  correction   {}", console.emphasise(Emphasis::Strong, id));
    paragraphs(text, "described", &one.descriptions);
    for (head, words) in [("input", &one.input_description), ("viewing", &one.viewing_description)] {
        if !words.is_empty() {
            let _ = writeln!(text, "  {head:11}  {words}");
        }
    }
    numbers(text, &one.cdl);
    let identity = if facts.identity { "yes: it changes nothing" } else { "no" };
    let _ = writeln!(text, "  identity     {identity}");
    let _ = writeln!(text, "  does         {}", console.emphasise(Emphasis::Strong, &facts.words));
    if !facts.identity {
        greys(text, facts, through);
    }
}

fn greys(text: &mut String, facts: &CorrectionFacts, through: &str) {
    let _ = writeln!(
        text,
        "  {:>6}  {:>8}  {:>20}  {:>20}  {:>8}  {:>8}",
        "stops", "become", "plain R     G     B", "with  R     G     B", "mired", "Duv"
    );
    for grey in &facts.greys {
        let three = |signal: [f64; 3]| signal.map(|value| format!("{:6.1}", 1023.0 * value)).join(" ");
        let or_none = |value: Option<f64>, digits: usize| {
            value.map_or("-".to_owned(), |value| {
                // What would be printed as −0 is 0.
                let least = 0.5 * [1.0, 0.1, 0.01, 0.001, 0.0001][digits.min(4)];
                let shown = if value.abs() < least { 0.0 } else { value };
                format!("{shown:+.digits$}")
            })
        };
        let _ = writeln!(
            text,
            "  {:>+6.0}  {:>8}  {}  {}  {:>8}  {:>8}",
            grey.stops,
            or_none(grey.stops_out, 2),
            three(grey.plain),
            three(grey.signal),
            or_none(grey.warmer_mired, 0),
            or_none(grey.greener_duv, 4)
        );
    }
    let _ = writeln!(
        text,
        "  greys in ACEScct: stops behind the correction; 10-bit codes through the {through}; casts from white"
    );
}

/// An event of a list.
pub fn event(text: &mut String, event: &Event, facts: Option<&CorrectionFacts>) {
    let clip = event.clip_name.as_deref().unwrap_or(&event.reel);
    let frames = event.transition_frames.map_or(String::new(), |frames| format!(" {frames:03}"));
    let [from, to] = &event.source;
    let [begin, end] = &event.record;
    let _ = writeln!(
        text,
        "  {:>5}  {:24} {:5} {}{frames}  {from}–{to}  {begin}–{end}",
        event.number, clip, event.channels, event.transition
    );
    match (&event.cdl, &event.correction_id) {
        (Some(cdl), id) => {
            let three = |values: [f64; 3]| values.map(|value| value.to_string()).join(" ");
            let id = id.as_ref().map_or(String::new(), |id| format!(", id {id}"));
            let _ = writeln!(
                text,
                "         SOP ({}) ({}) ({})  SAT {}{id}",
                three(cdl.slope),
                three(cdl.offset),
                three(cdl.power),
                cdl.saturation
            );
            if let Some(facts) = facts {
                let _ = writeln!(text, "         {}", facts.words);
            }
        }
        (None, Some(id)) => {
            let _ = writeln!(text, "         its correction stands in another file: {id}");
        }
        (None, None) => {
            let _ = writeln!(text, "         no correction");
        }
    }
}

/// An event for a JSON document.
pub fn event_json(event: &Event, facts: Option<&CorrectionFacts>) -> Value {
    let times = |pair: &[lookwright::formats::edl::Timecode; 2]| pair.map(|time| time.to_string());
    json!({
        "number": event.number,
        "reel": event.reel,
        "clip": event.clip_name,
        "channels": event.channels,
        "transition": event.transition,
        "transition_frames": event.transition_frames,
        "source": times(&event.source),
        "record": times(&event.record),
        "drop_frame": event.drop_frame,
        "correction_id": event.correction_id,
        "cdl": event.cdl.as_ref().map(numbers_json),
        "does": facts,
    })
}

/// A correction for a JSON document.
pub fn correction_json(one: &Correction, facts: &CorrectionFacts) -> Value {
    json!({
        "id": one.id,
        "descriptions": one.descriptions,
        "input_description": one.input_description,
        "viewing_description": one.viewing_description,
        "cdl": numbers_json(&one.cdl),
        "does": facts,
    })
}

/// What a file of corrections is, in words.
pub fn kind(file: &Corrections, kind: FileKind) -> String {
    let count = file.candidates.iter().filter(|one| one.correction.is_some()).count();
    let corrections = if count == 1 { "one correction".to_owned() } else { format!("{count} corrections") };
    match kind {
        FileKind::Events => format!("edit decision list, {} events, {corrections}", file.candidates.len()),
        _ => format!("ASC CDL file, {corrections}"),
    }
}

/// The numbers in which two corrections differ; `None` where one of both is none.
pub fn differences(a: &Cdl, b: &Cdl) -> Vec<Difference> {
    let triple = |values: [f64; 3]| format!("[{}]", values.map(|value| (value + 0.0).to_string()).join(", "));
    let rows = [
        ("grade.slope", triple(a.slope), triple(b.slope)),
        ("grade.offset", triple(a.offset), triple(b.offset)),
        ("grade.power", triple(a.power), triple(b.power)),
        ("grade.saturation", a.saturation.to_string(), b.saturation.to_string()),
    ];
    let differing = rows.into_iter().filter(|(_, a, b)| a != b);
    differing.map(|(key, a, b)| Difference { key: key.to_owned(), a, b }).collect()
}

/// Whether two corrections are the same to the sixth decimal, which files are often rounded to, and in which form.
pub fn same_numbers(a: &Cdl, b: &Cdl) -> Option<&'static str> {
    let all = |cdl: &Cdl| -> Vec<f64> {
        cdl.slope.iter().chain(&cdl.offset).chain(&cdl.power).copied().chain([cdl.saturation]).collect()
    };
    let (first, second) = (all(a), all(b));
    if first == second {
        return Some("exactly");
    }
    let near = first.iter().zip(&second).all(|(a, b)| (a - b).abs() <= SIXTH_DECIMAL);
    near.then_some("to six decimals")
}

/// The name of a candidate with its file's kind.
pub fn candidate(one: &Candidate) -> String {
    match &one.event {
        Some(event) => format!("correction of event {}", event.number),
        None => "ASC CDL".to_owned(),
    }
}
