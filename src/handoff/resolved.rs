//! A look as it was resolved: a recipe in which every key stands.

use super::parts::{PartKey, part_words};
use super::sources::Sources;
use crate::explain::{Origin, parameters};
use crate::plan::Trim;
use crate::recipe::Value;
use crate::show::{Job, Part, Variant, Work};
use std::fmt::Write as _;
use std::path::Path;

/// A complete recipe of a job, each value with where it comes from. It compiles on its own, in its place in the package, but for what a
/// camera's trim and a variant change beyond a recipe's keys, which its head says.
pub(super) fn resolved(work: &Work, job: &Job, sources: &Sources) -> String {
    let show = &work.show;
    let (camera, monitor) = (&show.cameras[job.camera].id.text, &show.monitors[job.monitor].id.text);
    let mut text = format!(
        "# {}: {}, every key with its value and where that comes from; here for camera {camera} and monitor {monitor}.\n",
        one_line(&show.name.text),
        part_words(work, PartKey::of(job)),
    );
    for beyond in beyond_keys(work, job) {
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
            let is_partner = match (&parameter.origin, parameter.declared.excludes) {
                (Origin::From(path), other) => other == path.rsplit('.').next(),
                // Where neither is written, one of the two defaults says it.
                (Origin::Default, Some(other)) => {
                    let is_default = |one: &Origin| matches!(one, Origin::Default);
                    let partner = table.parameters.iter().find(|one| one.declared.key() == other);
                    partner.is_some_and(|one| is_default(&one.origin)) && parameter.declared.key() > other
                }
                _ => false,
            };
            let added = variant(work, job).map_or(0.0, |variant| variant.exposure_stops);
            if parameter.declared.path == "exposure.stops" && added != 0.0 {
                let stops = job.plan.exposure_stops;
                let _ = writeln!(text, "stops = {stops}  # the recipe's, and the variant's {added:+}");
                continue;
            }
            if let Some(value) = parameter.value.as_ref().filter(|_| !is_resolved && !is_partner) {
                let elsewhere = table_of_post(job, parameter.declared.path, sources);
                let _ = writeln!(
                    text,
                    "{} = {}  # {}",
                    parameter.declared.key(),
                    elsewhere.unwrap_or_else(|| in_toml(value)),
                    one_line(&origin(&parameter.origin, sources))
                );
            }
        }
    }
    text
}

/// The path of a table from post, which is written relative to the recipe, as it is from here.
fn table_of_post(job: &Job, path: &str, sources: &Sources) -> Option<String> {
    let written = job.recipe.get(path).filter(|_| path == "after.cube")?;
    let Value::Text(cube) = &written.value else { return None };
    let folder = Path::new(&written.span.source.name).parent()?;
    let place = sources.place(folder.join(cube).to_str()?)?;
    Some(in_toml(&Value::Text(format!("../{place}"))))
}

/// The variant of a job, if it has one.
fn variant<'a>(work: &'a Work, job: &Job) -> Option<&'a Variant> {
    let variant = match job.part {
        Part::Look => None,
        Part::Variant(variant) => Some(variant),
        Part::Version(version) => work.show.setups[work.show.versions[version].setup].variant,
    };
    Some(&work.show.looks[job.look].variants[variant?])
}

/// What a camera's trim and a variant change that no key of a recipe says.
fn beyond_keys(work: &Work, job: &Job) -> Vec<String> {
    let mut lines = Vec::new();
    if job.plan.camera_trim != Trim::IDENTITY {
        let trim = work.show.cameras[job.camera].trim.as_ref().map_or("", |trim| trim.text.as_str());
        lines.push(format!("the camera's own trim, {}, stands before everything here", one_line(trim)));
    }
    let Some(variant) = variant(work, job) else { return lines };
    let mut words = Vec::new();
    if variant.exposure_stops != 0.0 {
        words.push(format!("its exposure of {:+} stops is in [exposure] below", variant.exposure_stops));
    }
    if variant.strength != 1.0 {
        words.push(format!(
            "no key says that the look is mixed with the plain conversion at a strength of {}",
            variant.strength
        ));
    }
    if variant.monochrome {
        words.push("no key says that the picture is shown in its luminance alone".to_owned());
    }
    if !words.is_empty() {
        lines.push(format!("variant {}: {}", variant.id.text, words.join("; ")));
    }
    lines
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

/// A value as TOML has it, on one line.
fn in_toml(value: &Value) -> String {
    let Value::Text(text) = value else { return value.to_string() };
    let escaped = text.chars().map(|character| match character {
        '"' | '\\' => format!("\\{character}"),
        _ if character.is_control() => format!("\\u{:04X}", u32::from(character)),
        _ => character.to_string(),
    });
    format!("\"{}\"", escaped.collect::<String>())
}

fn one_line(text: &str) -> String {
    text.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}
