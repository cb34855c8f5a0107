//! Lists of steps and corrections against a recipe: everything that asks for no nodes.

use super::super::console::{Console, Emphasis};
use super::super::foreign::{self, Candidate, Steps, told};
use super::{Held, ends, grey_scale, table, verdict};
use lookwright::compile::Prepared;
use lookwright::diagnostics::Diagnostic;
use lookwright::exchange::{Translation, WholeError, for_post, is_cdl};
use lookwright::maths::Rgb;
use lookwright::plan::Cdl;
use lookwright::verify::{FunctionVerification, Mapping, Viewer, verify_function};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;

/// Why numbers of nodes are not compared.
const NO_NODES: &str =
    "nodes are not compared: a list of steps has none, and is evaluated as it stands at every colour that is looked at";

/// A list of steps against the exact look, at full levels.
pub fn of_steps(
    path: &Path,
    steps: &Steps,
    prepared: &Prepared,
    grey: bool,
    console: &Console,
) -> Result<Held, Vec<Diagnostic>> {
    // The list knows no levels: it takes and gives full-range signals, whatever the recipe's device does.
    let plan = for_post(&prepared.plan, prepared.plan.device.size);
    let pipeline = foreign::build(&plan)?;
    let light = steps.light(None, Some((&plan, &pipeline)), &plan.camera);
    let mapping = Mapping::of_steps(&steps.list, light.as_ref());
    let through = |signal: Rgb| mapping.apply(signal).map(|value| value.clamp(0.0, 1.0));
    let found = verify_function(&plan, &pipeline, &through);
    let whole = Translation::new(&plan, &pipeline).error_through(through);
    let mut notes = vec![NO_NODES.to_owned()];
    if plan.device != prepared.plan.device {
        notes.push(
            "the recipe's device has other levels or another interpolation: both are held at full levels here"
                .to_owned(),
        );
    }
    if light.is_some() {
        notes.push(
            "the list takes light: it gets that of the recipe's camera, with its trims and its gamut compression, before the recipe's exposure"
                .to_owned(),
        );
    }
    if let Some(camera) = steps.declared.camera()
        && (camera.curve.encoding().id, camera.gamut.id) != (plan.camera.curve.encoding().id, plan.camera.gamut.id)
    {
        let (own, wanted) = (camera.curve.encoding().id, plan.camera.curve.encoding().id);
        notes.push(format!(
            "its InputDescriptor names {own} / {}, the recipe's camera is {wanted} / {}",
            camera.gamut.id, plan.camera.gamut.id
        ));
    }
    notes.extend(found.notes.iter().cloned());
    let document = json!({
        "file": path,
        "recipe": prepared.path,
        "name": prepared.plan.look.name,
        "kind": steps.kind(),
        "format": "common-lut-format",
        "title": steps.name(),
        "ends": told::ends(steps),
        "pass": found.pass,
        "nodes": Value::Null,
        "why_no_nodes": NO_NODES,
        "notes": notes,
        "anywhere": whole,
        "verify": found,
    });
    let mut text = verdict(path, found.pass, console);
    let _ = writeln!(text, "  file         {}", steps.kind());
    let _ = writeln!(text, "  recipe       {} ({})", prepared.plan.look.name, prepared.path.display());
    shared(&mut text, &found, whole, console);
    for note in &notes {
        let _ = writeln!(text, "  note         {note}");
    }
    if grey {
        grey_scale(&mut text, &found.grey);
    }
    text.push('\n');
    Ok(Held { pass: found.pass, document, text })
}

/// A correction against the recipe's grade, and against its whole look.
pub fn of_correction(
    path: &Path,
    chosen: &Candidate,
    prepared: &Prepared,
    grey: bool,
    console: &Console,
) -> Result<Held, Vec<Diagnostic>> {
    let cdl = chosen.correction.as_ref().map_or(Cdl::IDENTITY, |correction| correction.cdl);
    let own = &prepared.plan.grade;
    let same = told::same_numbers(&cdl, own);
    let differing = told::differences(&cdl, own);
    let (plan, pipeline) = foreign::corrected(&prepared.plan, cdl)?;
    let corrected = Viewer::new(&plan, &pipeline);
    let through = |signal: Rgb| corrected.of_look(signal);
    let found = verify_function(&prepared.plan, &prepared.pipeline, &through);
    let whole = Translation::new(&prepared.plan, &prepared.pipeline).error_through(through);
    let pass = same.is_some() || found.pass;
    let all_of_it = is_cdl(&prepared.plan);
    let answer = match same {
        Some(how) if all_of_it => format!("yes, {how}: and the look is nothing else"),
        Some(how) => format!("yes, {how}; the rest of the look is not in it"),
        None => "no".to_owned(),
    };
    let document = json!({
        "file": path,
        "recipe": prepared.path,
        "name": prepared.plan.look.name,
        "kind": told::candidate(chosen),
        "format": if chosen.event.is_some() { "edl" } else { "asc-cdl" },
        "id": chosen.name(),
        "cdl": told::numbers_json(&cdl),
        "is_grade": same.is_some(),
        "grade_agrees": same,
        "differences": differing,
        "look_is_nothing_but_its_grade": all_of_it,
        "pass": pass,
        "anywhere": whole,
        "verify": found,
    });
    let mut text = verdict(path, pass, console);
    let _ = writeln!(text, "  file         {} \"{}\"", told::candidate(chosen), chosen.name());
    let _ = writeln!(text, "  recipe       {} ({})", prepared.plan.look.name, prepared.path.display());
    let _ = writeln!(text, "  [grade]      {}", console.emphasise(Emphasis::Strong, &answer));
    if same.is_none() {
        for one in &differing {
            let _ = writeln!(text, "               {}: {} in the file, {} in the recipe", one.key, one.a, one.b);
        }
    }
    let _ = writeln!(
        text,
        "  whole look   over the recipe's plain conversion, against everything that the recipe asks for:"
    );
    shared(&mut text, &found, whole, console);
    if grey {
        grey_scale(&mut text, &found.grey);
    }
    text.push('\n');
    Ok(Held { pass, document, text })
}

fn shared(text: &mut String, found: &FunctionVerification, whole: WholeError, console: &Console) {
    table(text, &found.checks, console);
    ends(text, found.mid_grey_signal, found.black_stops, found.white_stops);
    let _ = writeln!(
        text,
        "  anywhere     chart, skins, hues and greys: ΔE {:.2} mean, {:.2} worst of the patches; {:.1} codes at most",
        whole.mean_de, whole.max_de, whole.codes
    );
}
