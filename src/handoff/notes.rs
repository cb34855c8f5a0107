//! What people wrote, and which versions there were, as plain texts.

use super::parts::{PartKey, part_stem};
use crate::diagnostics::Diagnostic;
use crate::show::{Part, SetupLog, Show, Work, log};
use std::fmt::Write as _;

/// All notes of a show: its own, those of cameras, monitors, looks and setups.
pub(super) fn notes(work: &Work) -> String {
    let show = &work.show;
    let mut text = format!("{}: notes\n", one_line(&show.name.text));
    if !show.note.is_empty() {
        let _ = writeln!(text, "\n{}", show.note.trim());
    }
    let mut section = |title: &str, items: Vec<(String, &str)>| {
        let said: Vec<&(String, &str)> = items.iter().filter(|(_, note)| !note.trim().is_empty()).collect();
        if !said.is_empty() {
            let _ = writeln!(text, "\n{title}");
            for (id, note) in said {
                let _ = writeln!(text, "  {id}: {}", note.trim().replace('\n', "\n    "));
            }
        }
    };
    section("Cameras", show.cameras.iter().map(|camera| (camera.id.text.clone(), camera.note.as_str())).collect());
    section("Monitors", show.monitors.iter().map(|monitor| (monitor.id.text.clone(), monitor.note.as_str())).collect());
    let mut looks: Vec<(String, &str)> = Vec::new();
    for (index, look) in show.looks.iter().enumerate() {
        looks.push((look.id.text.clone(), look.note.as_str()));
        if let Some(job) = work.jobs.iter().find(|job| job.look == index) {
            looks.push((format!("{} (recipe)", look.id.text), job.plan.look.note.as_str()));
        }
    }
    section("Looks", looks);
    let mut setups: Vec<(String, &str)> = Vec::new();
    for setup in &show.setups {
        setups.push((setup.id.text.clone(), setup.note.as_str()));
        setups.push((format!("{} (balance)", setup.id.text), setup.balance_note.as_str()));
    }
    section("Setups", setups);
    text
}

/// Every setup's versions, oldest first.
///
/// # Errors
/// Everything that is wrong with the recipes.
pub(super) fn versions(work: &Work) -> Result<String, Vec<Diagnostic>> {
    let mut text = format!(
        "{}: versions of the looks, setup by setup; the last of each is the one in use, and those before it are superseded\n\
         LOOK is how the names of its files begin: LOOK.CAMERA.cube\n",
        one_line(&work.show.name.text)
    );
    for setup in log(work, None)? {
        let variant = if setup.variant.is_empty() { String::new() } else { format!(", variant {}", setup.variant) };
        let _ = writeln!(
            text,
            "\nsetup {}: {} ({}{variant}), cameras {}",
            setup.setup,
            setup.name,
            setup.look,
            setup.cameras.join(", ")
        );
        let stems = stems(&work.show, &setup);
        let newest = setup.versions.len() - 1;
        for (place, version) in setup.versions.iter().enumerate() {
            let what = if place == 0 { "as the recipe has it" } else { version.changed.as_str() };
            let from = if version.from.is_empty() { String::new() } else { format!(", made from {}", version.from) };
            let made = if version.made.is_empty() { String::new() } else { format!("{}, ", version.made) };
            let _ = writeln!(text, "  {}  {}  {made}{what}{from}", version.id, version.look_fingerprint);
            if let Some(now) = &version.drifted {
                let _ = writeln!(text, "    no longer what it was: its recipe now makes {now}, and no file here is it");
            } else if place == newest {
                let _ = writeln!(text, "    in use: LOOK {}", stems[place]);
            } else {
                let _ =
                    writeln!(text, "    superseded: LOOK {} is not for setup {} any more", stems[place], setup.setup);
            }
        }
    }
    Ok(text)
}

/// How the names of the files of a setup's versions begin.
fn stems(show: &Show, setup: &SetupLog) -> Vec<String> {
    let Some(place) = show.setup(&setup.setup) else { return Vec::new() };
    let of = &show.setups[place];
    let first = PartKey { look: of.look, part: of.variant.map_or(Part::Look, Part::Variant) };
    let versions = show.versions.iter().enumerate().filter(|(_, version)| version.setup == place);
    let keys = versions.map(|(version, _)| PartKey { look: of.look, part: Part::Version(version) });
    std::iter::once(first).chain(keys).map(|key| part_stem(show, key)).collect()
}

fn one_line(text: &str) -> String {
    text.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}
