//! What people wrote, and which versions there were, as plain texts.

use crate::diagnostics::Diagnostic;
use crate::show::{Work, log};
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
        "{}: versions of the looks, setup by setup; the last of each is the one in use\n",
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
        for (place, version) in setup.versions.iter().enumerate() {
            let what = if place == 0 { "as the recipe has it" } else { version.changed.as_str() };
            let from = if version.from.is_empty() { String::new() } else { format!(", made from {}", version.from) };
            let made = if version.made.is_empty() { String::new() } else { format!("{}, ", version.made) };
            let _ = writeln!(text, "  {}  {}  {made}{what}{from}", version.id, version.look_fingerprint);
            if let Some(now) = &version.drifted {
                let _ = writeln!(text, "    no longer what it was: its recipe now makes {now}");
            }
        }
    }
    Ok(text)
}

fn one_line(text: &str) -> String {
    text.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}
