//! What corrections do, and whether their numbers are those of a recipe.

use super::super::console::Console;
use super::super::foreign::{self, Corrections, FileKind, told};
use super::grades::{Grades, Held};
use lookwright::diagnostics::Diagnostic;
use lookwright::exchange::{CorrectionFacts, correction_facts};
use lookwright::formats::cdl::Correction;
use lookwright::plan::Plan;
use lookwright::verify::inspection::Assumptions;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;

/// What the command line says of corrections.
pub struct Asked<'a> {
    /// The one that is meant.
    pub id: Option<&'a str>,
    pub known: &'a Assumptions,
    /// What they are held against.
    pub grades: Option<&'a Grades>,
}

/// A correction that was looked at.
struct Seen {
    facts: CorrectionFacts,
    held: Option<Held>,
    through: &'static str,
}

impl Asked<'_> {
    fn see(&self, plain: &Plan, one: &Correction, is_event: bool) -> Result<Seen, Vec<Diagnostic>> {
        let held = self.grades.map(|grades| grades.hold(one, is_event)).transpose()?;
        let own = self.grades.and_then(|grades| grades.seen_through(one, is_event)).cloned();
        let through = if own.is_some() { "plain conversion of --recipe" } else { "plain technical conversion" };
        let mut plan = own.unwrap_or_else(|| plain.clone());
        plan.display = self.known.display.unwrap_or(plan.display);
        let facts = correction_facts(&plan, one.cdl);
        let facts =
            facts.map_err(|faults| faults.into_iter().map(|fault| *fault.diagnostic).collect::<Vec<Diagnostic>>())?;
        Ok(Seen { facts, held, through })
    }
}

/// A file of corrections, or of events with theirs.
pub fn of_corrections(
    path: &Path,
    (file, kind): (&Corrections, FileKind),
    asked: &Asked<'_>,
    console: &Console,
) -> Result<(Value, String), Vec<Diagnostic>> {
    let plain = foreign::technical(asked.known.display)?.plan;
    let chosen = file.named(path, asked.id)?;
    let mut text = head(file, kind);
    let (mut events, mut corrections) = (Vec::new(), Vec::new());
    for one in &chosen {
        let seen = one.correction.as_ref().map(|it| asked.see(&plain, it, one.event.is_some())).transpose()?;
        if let Some(event) = &one.event {
            let facts = seen.as_ref().map(|seen| &seen.facts);
            told::event(&mut text, event, facts);
            let mut document = told::event_json(event, facts);
            if let Some(seen) = &seen {
                document["seen_through"] = json!(seen.through);
                if let Some(held) = &seen.held {
                    let _ = writeln!(text, "         {}", held.line());
                    document["grade"] = held.json();
                }
            }
            events.push(document);
        }
        // Of a list, only an event that was asked for is told at length.
        if let (Some(correction), Some(seen)) = (&one.correction, &seen)
            && (one.event.is_none() || asked.id.is_some())
        {
            text.push('\n');
            told::correction(&mut text, correction, (&seen.facts, seen.through), console);
            let mut document = told::correction_json(correction, &seen.facts);
            document["seen_through"] = json!(seen.through);
            if let Some(held) = &seen.held {
                held.told(&mut text);
                document["grade"] = held.json();
            }
            corrections.push(document);
        }
    }
    // What all of them are seen through, where nothing else is said of one.
    let through = match asked.grades {
        Some(grades) if !grades.is_show => "plain conversion of --recipe",
        _ => "plain technical conversion",
    };
    let document = match &file.events {
        Some(list) => {
            json!({ "format": "edl", "title": list.title, "events": events, "seen_through": through })
        }
        None => json!({
            "format": "asc-cdl",
            "descriptions": file.notes.descriptions,
            "input_description": file.notes.input_description,
            "viewing_description": file.notes.viewing_description,
            "corrections": corrections,
            "seen_through": through,
        }),
    };
    Ok((document, text))
}

/// What is said of the whole file.
fn head(file: &Corrections, kind: FileKind) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "  file         {}", told::kind(file, kind));
    if let Some(list) = &file.events {
        let _ = writeln!(text, "  title        {}", if list.title.is_empty() { "none" } else { &list.title });
        let none = file.candidates.iter().filter(|one| one.correction.is_none()).count();
        let _ = writeln!(text, "  corrections  {none} of {} events have none of their own", file.candidates.len());
        let _ =
            writeln!(text, "\n  event  clip                     track how   source in–out            programme in–out");
    }
    for description in &file.notes.descriptions {
        let _ = writeln!(text, "  described    {description}");
    }
    text
}
