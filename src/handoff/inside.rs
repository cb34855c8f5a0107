//! Paths in a package's texts: none may lead out of the package.

use super::sources::FOLDER;
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::package::Package;
use toml::de::{DeTable, DeValue};

/// Keys whose texts are paths, by the table that they stand in; tables of lists are looked through one by one.
const PATHS: [(&str, &str); 5] =
    [("look", "recipe"), ("look", "extends"), ("camera", "trim"), ("grade", "from"), ("after", "cube")];

/// Refuses texts of a package whose paths lead out of its `show/`, before any of them is followed. The texts are read as the reader of
/// recipes reads them, so that what is wrong in one hides nothing of it.
///
/// # Errors
/// One for each such path.
pub(super) fn stay_inside(package: &Package) -> Result<(), Vec<Diagnostic>> {
    let prefix = format!("{FOLDER}/");
    let mut found = Vec::new();
    for entry in package.entries().iter().filter(|entry| entry.path.starts_with(&prefix)) {
        // What is no text is not followed either.
        let Ok(text) = String::from_utf8(package.read(&entry.path)?) else { continue };
        let (table, _) = DeTable::parse_recoverable(&text);
        for path in leading_out(table.get_ref(), &entry.path) {
            let message = format!("{}: the path {path:?} leads out of the package", entry.path);
            found.push(
                Diagnostic::error(&codes::PACKAGE_PATH, message)
                    .help("such a package was not made by `handoff`: nothing of it was read further"),
            );
        }
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

/// Paths of a text that lead out, those of its versions' settings among them.
fn leading_out(table: &DeTable<'_>, file: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (name, key) in PATHS {
        for one in tables(table, name) {
            if let Some(DeValue::String(path)) = one.get(key).map(|value| value.get_ref())
                && !stays(file, path)
            {
                found.push(path.to_string());
            }
        }
    }
    for version in tables(table, "version") {
        let Some(DeValue::Array(settings)) = version.get("set").map(|value| value.get_ref()) else { continue };
        for setting in settings.iter().map(|setting| setting.get_ref()) {
            let DeValue::String(setting) = setting else { continue };
            if !is_harmless(setting) {
                found.push(setting.to_string());
            }
        }
    }
    found
}

fn tables<'a, 'b>(table: &'a DeTable<'b>, name: &str) -> Vec<&'a DeTable<'b>> {
    match table.get(name).map(|value| value.get_ref()) {
        Some(DeValue::Table(one)) => vec![one],
        Some(DeValue::Array(many)) => many
            .iter()
            .filter_map(|one| if let DeValue::Table(table) = one.get_ref() { Some(table) } else { None })
            .collect(),
        _ => Vec::new(),
    }
}

/// Whether a setting can lead nowhere, whatever key it means: no folder above, no root, no drive, and nothing that is written by an
/// escape.
fn is_harmless(setting: &str) -> bool {
    let value = setting.split_once('=').map_or(setting, |(_, value)| value).trim().trim_start_matches(['+', '"', '\'']);
    !setting.contains("..")
        && !setting.contains('\\')
        && !value.starts_with('/')
        && value.as_bytes().get(1) != Some(&b':')
}

/// Whether a path, written in a file of the package, stays below `show/`.
fn stays(file: &str, path: &str) -> bool {
    let is_absolute = path.starts_with(['/', '\\']) || path.as_bytes().get(1) == Some(&b':');
    if is_absolute {
        return false;
    }
    let mut depth = file.matches('/').count();
    for part in path.split(['/', '\\']) {
        match part {
            "" | "." => {}
            // One folder, `show`, stays around everything.
            ".." if depth <= 1 => return false,
            ".." => depth -= 1,
            _ => depth += 1,
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::{is_harmless, stays};

    #[test]
    fn settings_lead_nowhere() {
        for setting in ["white.warmer_mired=+5", "grade.from=\"x.cc\"", "look.note=a/b"] {
            assert!(is_harmless(setting), "{setting} is harmless");
        }
        for setting in ["grade.from=\"../x.cc\"", "grade.\"from\"='/x'", "after.cube=\"\\u002e./x\"", "grade.from=C:x"]
        {
            assert!(!is_harmless(setting), "{setting} may lead out");
        }
    }

    #[test]
    fn paths_stay_below_the_folder_of_texts() {
        for path in ["../noon.toml", "trims/b.toml", "./x.toml", "a/../b.toml"] {
            assert!(stays("show/tidewater/show.toml", path), "{path} stays inside");
        }
        for path in ["../../noon.toml", "/etc/passwd", "C:\\x.toml", "\\\\host\\x", "a/../../../x", "..\\..\\x"] {
            assert!(!stays("show/tidewater/show.toml", path), "{path} leads out");
        }
        assert!(!stays("show/show.toml", "../x.toml"));
    }
}
