//! `docs/recipe.md` and `docs/diagnostics.md`, made from the declarations.

use super::parameter::{Bound, Choice, Default, Kind, Parameter};
use super::parameters::{self, TABLES};
use super::resolve::DIFFUSION_PRESETS;
use crate::diagnostics::codes;
use std::fmt::Write as _;

/// The reference page of the recipe language, Markdown.
#[must_use]
pub fn recipe_page() -> String {
    let mut page = String::from(
        "# The recipe language, version 1\n\n\
         This page is made from the program's own declarations; `bash tests/run` checks that it is fresh.\n\
         What each block computes: [look-maths.md](look-maths.md). Messages: [diagnostics.md](diagnostics.md).\n\n\
         A recipe is a TOML file that declares one look. `lookwright`, `[look] name`, `[camera] encoding` and\n\
         `[camera] gamut` must be written; everything else has a default. A block that is absent, or has only values that\n\
         change nothing, is exactly the identity. Unknown keys are errors. Names of encodings, gamuts and displays are\n\
         compared without case, spaces, hyphens, dots and underscores.\n\n\
         `extends = \"base.toml\"` starts from another recipe: tables merge key by key and the nearer file wins; a key removes\n\
         its exclusive partner; bands merge by name, and a list with an unnamed band replaces the whole list.\n\
         `--set table.key=value` lays one value on top, `--set colour.band.NAME.key=value` one of a named band. A step is\n\
         written with a plus sign or before the equals sign: `--set white.warmer_mired=+5`, `--set tone.contrast-=0.05`.\n\
         `=-5` is the value −5.\n\n\
         A [show](show.md) uses recipes for several cameras and monitors.\n",
    );
    section(&mut page, "Top level", "", "");
    for table in TABLES {
        let title = if parameters::find_list(table.path).is_some() {
            format!("[[{}]]", table.path)
        } else {
            format!("[{}]", table.path)
        };
        section(&mut page, &title, table.help, table.path);
    }
    page.push_str(DIFFUSION_NOTE);
    for (grade, values) in DIFFUSION_PRESETS {
        let values: Vec<String> = values.iter().map(|value| format!("{value}")).collect();
        let _ = writeln!(page, "| {grade} | {} |", values.join(" | "));
    }
    page
}

const DIFFUSION_NOTE: &str = "\n## Grades of diffusion\n\n\
A grade stands for these numbers, which are this project's own starting points and measured from no filter. A number that\n\
is written beside the grade overrides that one value.\n\n\
| grade | veil | knee_stops | softness_stops | loss_stops | bleach |\n|---|---|---|---|---|---|\n";

fn section(page: &mut String, title: &str, help: &str, table: &str) {
    let _ = write!(page, "\n## {title}\n\n");
    if !help.is_empty() {
        let _ = write!(page, "{help}\n\n");
    }
    let keys: Vec<&Parameter> = parameters::keys_of(table).collect();
    if keys.is_empty() {
        return;
    }
    page.push_str("| key | what | unit | range | default | example |\n|---|---|---|---|---|---|\n");
    for key in keys {
        let excludes = key.excludes.map_or(String::new(), |other| format!(" Not together with `{other}`."));
        let _ = writeln!(
            page,
            "| `{}` | {}.{excludes} | {} | {} | {} | `{}` |",
            key.key(),
            key.help,
            key.unit,
            range(&key.kind),
            default(&key.default),
            key.example
        );
    }
}

pub(crate) fn range(kind: &Kind) -> String {
    match kind {
        Kind::Version => "1".to_owned(),
        Kind::Text => "text".to_owned(),
        Kind::Path => "path".to_owned(),
        Kind::Flag => "true, false".to_owned(),
        Kind::Choice(Choice::Encoding | Choice::Gamut) => "see [encodings.md](encodings.md)".to_owned(),
        Kind::Choice(choice) => choice.names().join(", "),
        Kind::Number { min, max: Bound::Value(max) } => format!("{min}..{max}"),
        Kind::Number { min, max: Bound::Parameter(other) } => format!("{min}..`{other}`"),
        Kind::Number { min, max: Bound::Open } => format!("{min} or more"),
        Kind::Integer { min, max } => format!("{min}..{max}, whole"),
        Kind::Triple { min, max } => format!("three of {min}..{max}"),
        Kind::Matrix { limit } => format!("3×3 of ±{limit}"),
    }
}

pub(crate) fn default(default: &Default) -> String {
    match default {
        Default::Required => "required".to_owned(),
        Default::Absent => "none".to_owned(),
        Default::Number(number) => format!("{number}"),
        Default::Integer(number) => format!("{number}"),
        Default::Text("") => "empty".to_owned(),
        Default::Text(text) => (*text).to_owned(),
        Default::Flag(flag) => format!("{flag}"),
        Default::Triple(each) => format!("[{each}, {each}, {each}]"),
        Default::Identity => "identity".to_owned(),
        Default::Zeros => "zeros".to_owned(),
    }
}

/// The page of all diagnostic codes, Markdown.
#[must_use]
pub fn diagnostics_page() -> String {
    let mut page = String::from(
        "# Diagnostics\n\n\
         Every message carries one of these codes. A code never changes its meaning. Errors end with exit code 2 (3 for the\n\
         codes LW04xx, 1 for a file that was checked and is out of tolerance); warnings don't stop the work.\n\n\
         | code | what | why, and what to do |\n|---|---|---|\n",
    );
    for code in codes::ALL {
        let _ = writeln!(page, "| {} | {} | {} |", code.id, code.title, code.explanation);
    }
    page
}
