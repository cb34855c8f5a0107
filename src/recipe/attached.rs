//! What a recipe takes from other files: the numbers of its grade from a correction (`grade.from`), and a table from post (`after.cube`).
//!
//! The numbers become values of the recipe like any other, each with its place in that file: what they mean, and what is said of them,
//! needs no further thought. The file's name is no part of the look.

use super::Recipe;
use super::parameter::{Kind, Parameter};
use super::parameters;
use super::parse::Layer;
use super::value::{Value, Written};
use crate::colour::canonical_name;
use crate::diagnostics::{Diagnostic, Span, codes, nearest};
use crate::formats::cdl::{self, Correction};
use crate::formats::{cube, edl};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

/// Names the file.
const FROM: &str = "grade.from";

/// Names the correction in it.
const FROM_ID: &str = "grade.from_id";

/// What a correction says.
const NUMBERS: [&str; 4] = ["grade.slope", "grade.offset", "grade.power", "grade.saturation"];

/// Names the table.
const CUBE: &str = "after.cube";

/// Ids that a message lists at most.
const LISTED: usize = 12;

/// Takes away what a nearer text replaces by naming a correction: another file with all that stood beside it, or another correction of the
/// same file.
pub(super) fn displace(recipe: &mut Recipe, layer: &Layer) {
    let (file, id) = (layer.values.contains_key(FROM), layer.values.contains_key(FROM_ID));
    if file {
        recipe.values.remove(FROM_ID);
    }
    if file || (id && recipe.values.contains_key(FROM)) {
        NUMBERS.iter().for_each(|path| drop(recipe.values.remove(path)));
    }
}

/// Reads the table of `after.cube`. What is doubtful stays with the recipe; what is wrong comes back. A key that is
/// `faulty` was told already.
pub(super) fn lay_after(recipe: &mut Recipe, faulty: &BTreeSet<String>) -> Vec<Diagnostic> {
    let Some((file, place)) = text(recipe, CUBE) else { return Vec::new() };
    let mut wrong = Vec::new();
    if recipe.get("after.domain").is_none() && !faulty.contains("after.domain") {
        let label = "expected `domain = \"display\"` beside it";
        wrong.push(
            Diagnostic::error(&codes::MISSING_KEY, "`after.domain` is missing")
                .at(place.clone(), label)
                .help("say what the cube takes and gives: the signal of the recipe's display"),
        );
    }
    let path = recipe.folders.get(CUBE).cloned().unwrap_or_default().join(&file);
    match cube::read(&path) {
        Ok(file) => {
            recipe.doubts.extend(file.warnings);
            recipe.after = Some(Arc::new(file.tables));
        }
        Err(found) => wrong.extend(found.into_iter().map(|one| {
            if one.code != &codes::FILE_UNREADABLE {
                return one;
            }
            Diagnostic::error(&codes::AFTER_FILE, "the cube after the look can't be read")
                .at(place.clone(), one.message)
                .help("the path is relative to the recipe that names it")
        })),
    }
    wrong
}

/// Fills in the numbers of the grade that are not written beside `from`. What is doubtful stays with the recipe; what is wrong comes back.
pub(super) fn fill(recipe: &mut Recipe) -> Vec<Diagnostic> {
    let Some((file, place)) = text(recipe, FROM) else {
        if let Some((_, place)) = text(recipe, FROM_ID) {
            let warning = Diagnostic::warning(&codes::GRADE_ID_UNUSED, "`grade.from_id` without `grade.from`");
            let label = "has no effect: no file is named";
            recipe.doubts.push(warning.at(place, label).help("name the file: from = \"grades.ccc\""));
        }
        return Vec::new();
    };
    let path = recipe.folders.get(FROM).cloned().unwrap_or_default().join(&file);
    let found = match candidates(&path) {
        Ok(found) => found,
        Err(found) => return found.into_iter().map(|one| unreadable(one, &place)).collect(),
    };
    recipe.doubts.extend(found.warnings);
    let chosen = match choose(&found.candidates, text(recipe, FROM_ID), &place) {
        Ok(chosen) => chosen.clone(),
        Err(diagnostic) => return vec![*diagnostic],
    };
    recipe.doubts.extend(another_space(&chosen));
    NUMBERS.iter().filter_map(|path| take(recipe, path, &chosen)).collect()
}

/// A text that was written, and where.
fn text(recipe: &Recipe, path: &str) -> Option<(String, Span)> {
    match recipe.get(path) {
        Some(Written { value: Value::Text(text), span }) => Some((text.clone(), span.clone())),
        _ => None,
    }
}

/// A file that is not there is told where it is named; what is wrong in it, in its own place.
fn unreadable(found: Diagnostic, place: &Span) -> Diagnostic {
    if found.code != &codes::FILE_UNREADABLE {
        return found;
    }
    Diagnostic::error(&codes::GRADE_FILE, "the file of the correction can't be read")
        .at(place.clone(), found.message)
        .help("the path is relative to the recipe that names it")
}

/// A correction and the names that it goes by.
struct Candidate {
    names: Vec<String>,
    correction: Correction,
}

struct Candidates {
    candidates: Vec<Candidate>,
    warnings: Vec<Diagnostic>,
}

/// The corrections of a file: of a list those of its events, by their numbers and the names of their clips.
fn candidates(path: &Path) -> Result<Candidates, Vec<Diagnostic>> {
    if path.extension().is_none_or(|end| !end.eq_ignore_ascii_case("edl")) {
        let file = cdl::read(path)?;
        let candidates =
            file.corrections().map(|one| Candidate { names: vec![one.id.clone()], correction: one.clone() });
        return Ok(Candidates { candidates: candidates.collect(), warnings: file.warnings });
    }
    let list = edl::read(path)?;
    let candidates: Vec<Candidate> = list
        .events
        .into_iter()
        .filter_map(|event| {
            let correction = Correction {
                place: event.place,
                values: event.values,
                ..Correction::new(event.number.clone(), event.cdl?)
            };
            Some(Candidate { names: std::iter::once(event.number).chain(event.clip_name).collect(), correction })
        })
        .collect();
    if candidates.is_empty() {
        let message = format!("{}: no event of the list has a correction", path.display());
        return Err(vec![
            Diagnostic::error(&codes::GRADE_CHOICE, message)
                .help("a correction stands after its event as * ASC_SOP and * ASC_SAT"),
        ]);
    }
    Ok(Candidates { candidates, warnings: list.warnings })
}

/// The correction of an id; without one, the only correction there is.
fn choose<'a>(
    candidates: &'a [Candidate],
    id: Option<(String, Span)>,
    file: &Span,
) -> Result<&'a Correction, Box<Diagnostic>> {
    let names: Vec<&str> =
        candidates.iter().flat_map(|one| &one.names).map(String::as_str).filter(|name| !name.is_empty()).collect();
    let Some((id, place)) = id else {
        return match candidates {
            [only] => Ok(&only.correction),
            _ => {
                let message = format!("the file holds {} corrections", candidates.len());
                let error = Diagnostic::error(&codes::GRADE_CHOICE, message);
                let label = "expected `from_id` beside it";
                Err(Box::new(error.at(file.clone(), label).help(listed(&names))))
            }
        };
    };
    let exact: Vec<&Candidate> = candidates.iter().filter(|one| one.names.contains(&id)).collect();
    let wanted = canonical_name(&id);
    let meant = if exact.is_empty() {
        candidates.iter().filter(|one| one.names.iter().any(|name| canonical_name(name) == wanted)).collect()
    } else {
        exact
    };
    let Some(first) = meant.first() else {
        let error = Diagnostic::error(&codes::GRADE_CHOICE, format!("the file has no correction \"{id}\""))
            .at(place, "expected the id of a correction of the file");
        let help = nearest(&id, names.iter().copied()).map(|near| format!("did you mean \"{near}\"?"));
        return Err(Box::new(error.help(help.unwrap_or_else(|| listed(&names)))));
    };
    if meant.iter().any(|one| one.correction.cdl != first.correction.cdl) {
        let message = format!("\"{id}\" stands for {} corrections that differ", meant.len());
        let error = Diagnostic::error(&codes::GRADE_CHOICE, message).at(place, "expected the id of one correction");
        return Err(Box::new(error.help("name it by the event's number or by its clip, whichever is its own")));
    }
    Ok(&first.correction)
}

fn listed(names: &[&str]) -> String {
    if names.is_empty() {
        return "none of them has an id; export the one that is meant alone".to_owned();
    }
    let more = names.len().saturating_sub(LISTED);
    let tail = if more == 0 { String::new() } else { format!(" and {more} more") };
    format!("its ids: {}{tail}", names[..names.len().min(LISTED)].join(", "))
}

/// A correction that says itself that it was made elsewhere.
fn another_space(correction: &Correction) -> Option<Diagnostic> {
    let said = &correction.input_description;
    if said.trim().is_empty() || canonical_name(said).contains("acescct") {
        return None;
    }
    let label = format!("its input: {}", cdl::shown(said));
    Some(
        Diagnostic::warning(&codes::GRADE_SPACE, "the correction was made for another space than ACEScct")
            .at(correction.place.clone(), label)
            .help("the same numbers in another space are another look: see docs/look-maths.md, section 8"),
    )
}

/// Fills in one number or three, unless they are written.
fn take(recipe: &mut Recipe, path: &str, correction: &Correction) -> Option<Diagnostic> {
    let parameter = parameters::find(path)?;
    if recipe.values.contains_key(parameter.path) {
        return None;
    }
    let (cdl, places) = (&correction.cdl, &correction.values);
    let (value, place) = match path {
        "grade.slope" => (Value::Triple(cdl.slope), &places.slope),
        "grade.offset" => (Value::Triple(cdl.offset), &places.offset),
        "grade.power" => (Value::Triple(cdl.power), &places.power),
        _ => (Value::Number(cdl.saturation), &places.saturation),
    };
    let span = place.clone().unwrap_or_else(|| correction.place.clone());
    if let Some(label) = out_of_range(parameter, &value) {
        let message = format!("`{path}` of the correction is out of range");
        let error = Diagnostic::error(&codes::OUT_OF_RANGE, message).at(span, label);
        return Some(error.help(format!("write `{}` beside `from` to take another value", parameter.key())));
    }
    recipe.values.insert(parameter.path, Written { value, span });
    None
}

/// What stands under the mark of a value that a recipe could not write itself.
fn out_of_range(parameter: &Parameter, value: &Value) -> Option<String> {
    let (min, max, worst) = match (&parameter.kind, value) {
        (Kind::Triple { min, max }, Value::Triple(values)) => {
            (*min, *max, values.iter().find(|value| !(*min..=*max).contains(*value))?)
        }
        (Kind::Number { min, max: super::parameter::Bound::Value(max) }, Value::Number(value)) => {
            (*min, *max, Some(value).filter(|value| !(*min..=*max).contains(*value))?)
        }
        _ => return None,
    };
    Some(format!("expected {min} to {max}, found {worst}"))
}
