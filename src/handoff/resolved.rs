//! A look as it was resolved: a recipe in which every key stands.

use super::parts::{PartKey, part_words};
use super::sources::Sources;
use crate::explain::{Origin, parameters};
use crate::show::{Job, Part, Work};
use std::fmt::Write as _;

/// A complete recipe of a job, each value with where it comes from. It compiles on its own, but for what a variant changes beyond a
/// recipe's keys, which its head says.
pub(super) fn resolved(work: &Work, job: &Job, sources: &Sources) -> String {
    let show = &work.show;
    let (camera, monitor) = (&show.cameras[job.camera].id.text, &show.monitors[job.monitor].id.text);
    let mut text = format!(
        "# {}: {}, every key with its value and where that comes from; here for camera {camera} and monitor {monitor}.\n",
        one_line(&show.name.text),
        part_words(work, PartKey::of(job)),
    );
    if let Some(beyond) = beyond_keys(work, job) {
        let _ = writeln!(text, "# {beyond}");
    }
    let _ = writeln!(text, "# fingerprint {}", job.plan.fingerprint());
    for table in parameters(&job.recipe, &job.plan) {
        if !table.present {
            continue;
        }
        if let Some(declared) = table.declared {
            let header =
                if table.band.is_some() { format!("[[{}]]", declared.path) } else { format!("[{}]", declared.path) };
            let _ = writeln!(text, "\n{header}");
        }
        for parameter in &table.parameters {
            // What a recipe extends or takes in is resolved already; of two units that exclude each other, the written one stands.
            let is_resolved = matches!(parameter.declared.path, "look.extends" | "grade.from" | "grade.from_id");
            let is_partner = matches!(&parameter.origin, Origin::From(path) if parameter.declared.excludes == path.rsplit('.').next());
            if let Some(value) = parameter.value.as_ref().filter(|_| !is_resolved && !is_partner) {
                let _ = writeln!(
                    text,
                    "{} = {value}  # {}",
                    parameter.declared.key(),
                    one_line(&origin(&parameter.origin, sources))
                );
            }
        }
    }
    text
}

/// What a variant changes that no key of a recipe says.
fn beyond_keys(work: &Work, job: &Job) -> Option<String> {
    let variant = match job.part {
        Part::Look => None,
        Part::Variant(variant) => Some(variant),
        Part::Version(version) => work.show.setups[work.show.versions[version].setup].variant,
    };
    let variant = &work.show.looks[job.look].variants[variant?];
    let mut words = Vec::new();
    if variant.exposure_stops != 0.0 {
        words.push(format!("its exposure of {:+} stops is added to the recipe's", variant.exposure_stops));
    }
    if variant.strength != 1.0 {
        words.push(format!("the look is mixed with the plain conversion at a strength of {}", variant.strength));
    }
    if variant.monochrome {
        words.push("the picture is shown in its luminance alone".to_owned());
    }
    (!words.is_empty()).then(|| format!("variant {}: {}", variant.id.text, words.join("; ")))
}

/// Where a value comes from, by its place in the package.
fn origin(origin: &Origin, sources: &Sources) -> String {
    match origin {
        Origin::Written(span) => match sources.place(&span.source.name) {
            Some(file) => format!("{file}:{}", span.source.line_column(span.range.start).0),
            None => "set for this version".to_owned(),
        },
        other => other.to_string(),
    }
}

fn one_line(text: &str) -> String {
    text.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}
