//! Paths in a package's texts: none may lead out of the package.

use super::sources::FOLDER;
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::package::Package;
use toml::Value;

/// Keys whose texts are paths, by the table that they stand in; tables of lists are looked through one by one.
const PATHS: [(&str, &str); 5] =
    [("look", "recipe"), ("look", "extends"), ("camera", "trim"), ("grade", "from"), ("after", "cube")];

/// The most bytes of a text that is looked through: more than any recipe that is read.
const MOST_BYTES: u64 = 4 << 20;

/// Refuses texts of a package whose paths lead out of its `show/`, before any of them is followed.
///
/// # Errors
/// One for each such path.
pub(super) fn stay_inside(package: &Package) -> Result<(), Vec<Diagnostic>> {
    let prefix = format!("{FOLDER}/");
    let mut found = Vec::new();
    for entry in package.entries().iter().filter(|entry| entry.path.starts_with(&prefix) && entry.size <= MOST_BYTES) {
        // What is no TOML is no text that is followed; what is wrong with it is told when it is read.
        let Ok(text) = String::from_utf8(package.read(&entry.path)?) else { continue };
        let Ok(table) = text.parse::<toml::Table>() else { continue };
        for path in paths(&table) {
            if !stays(&entry.path, path) {
                let message = format!("{}: the path {path:?} leads out of the package", entry.path);
                found.push(
                    Diagnostic::error(&codes::PACKAGE_PATH, message)
                        .help("such a package was not made by `handoff`: nothing of it was read further"),
                );
            }
        }
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn paths(table: &toml::Table) -> Vec<&str> {
    let mut found = Vec::new();
    for (name, key) in PATHS {
        let tables: Vec<&toml::Table> = match table.get(name) {
            Some(Value::Table(one)) => vec![one],
            Some(Value::Array(many)) => many.iter().filter_map(Value::as_table).collect(),
            _ => Vec::new(),
        };
        found.extend(tables.into_iter().filter_map(|table| table.get(key)?.as_str()));
    }
    // A version's settings can name files too.
    let versions = table.get("version").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_table);
    for setting in versions.filter_map(|version| version.get("set")?.as_array()).flatten().filter_map(Value::as_str) {
        let of_path = ["grade.from", "after.cube", "look.extends"];
        if let Some((key, value)) = setting.split_once('=')
            && of_path.contains(&key.trim())
        {
            found.push(value.trim().trim_matches(['"', '\'']));
        }
    }
    found
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
    use super::stays;

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
