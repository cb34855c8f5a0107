//! The show that is named on the command line, and whatever else is named there by mistake.

use super::compare_packages::is_package;
use super::foreign::FileKind;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::recipe::read_text;
use lookwright::show::{Show, is_show};
use std::path::Path;
use toml::de::{DeTable, DeValue};

/// Tables that stand in recipes; in a show, those of them that it has are lists.
const OF_RECIPES: [&str; 6] = ["look", "camera", "display", "tone", "grade", "white"];

/// Reads a show. `of` says what is a show's, such as "a hand-off is".
///
/// # Errors
/// One error where the file is something else; else everything that is wrong with the show.
pub fn load(path: &Path, of: &str) -> Result<(Show, Vec<Diagnostic>), Vec<Diagnostic>> {
    let file = path.display();
    if is_package(path) {
        let help = format!(
            "the show is in it, below show/; `lookwright receive {file}` checks the package, and unpacks it with --to"
        );
        return Err(no_show(path, "a package", of, help));
    }
    let looks = format!("`lookwright identify {file} --among SHOW` says which look it came from");
    match FileKind::of(path) {
        FileKind::Cube => return Err(no_show(path, "a cube file", of, looks)),
        FileKind::Steps => return Err(no_show(path, "a list of steps", of, looks)),
        FileKind::Corrections => {
            let help = "a recipe takes its numbers in with [grade] from = \"…\"; name the show".to_owned();
            return Err(no_show(path, "a file of corrections", of, help));
        }
        FileKind::Events => {
            let help = format!("name the show, and the list behind --edl: lookwright handoff SHOW --edl {file}");
            return Err(no_show(path, "an edit decision list", of, help));
        }
        FileKind::Other => {}
    }
    if path.is_dir() {
        let message = format!("{file} is a folder, and {of} of a show");
        return Err(vec![Diagnostic::error(&codes::NOT_A_SHOW, message).help("name the show in it: show.toml")]);
    }
    let text = read_text(path).map_err(|diagnostic| vec![diagnostic])?;
    match other_text(&text) {
        None => Show::parse(path, text, None),
        Some(what) => {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let help = match what {
                "a recipe" => format!(
                    "make a show with `lookwright new`, and name the recipe in it: [[look]] id = \"…\", recipe = \"{name}\""
                ),
                _ => format!("name the show whose [[camera]] has trim = \"{name}\""),
            };
            Err(no_show(path, what, of, help))
        }
    }
}

fn no_show(path: &Path, what: &str, of: &str, help: String) -> Vec<Diagnostic> {
    let message = format!("{} is {what}, and {of} of a show", path.display());
    vec![Diagnostic::error(&codes::NOT_A_SHOW, message).help(help)]
}

/// What a text file is: a show, a recipe, a trim file, or nothing that is known.
pub fn kind_of_text(path: &Path) -> Option<&'static str> {
    let text = read_text(path).ok()?;
    if is_show(&text) { Some("a show") } else { other_text(&text) }
}

/// What a text is that is meant to be no show. A show in which something is missing is still one.
fn other_text(text: &str) -> Option<&'static str> {
    if is_show(text) {
        return None;
    }
    let (table, _) = DeTable::parse_recoverable(text);
    let is_table = |name: &&str| matches!(table.get_ref().get(*name).map(|one| one.get_ref()), Some(DeValue::Table(_)));
    if OF_RECIPES.iter().any(is_table) {
        Some("a recipe")
    } else if is_table(&"trim") {
        Some("a trim file")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::other_text;

    #[test]
    fn recipes_and_trims_are_told_from_shows() {
        let recipe = "lookwright = 1\n[look]\nname = \"dusk\"\n";
        assert_eq!(other_text(recipe), Some("a recipe"));
        assert_eq!(other_text("lookwright = 1\n[tone]\ncontrast = 1.2\n"), Some("a recipe"));
        assert_eq!(other_text("lookwright = 1\n[trim]\nstops = 0.1\n"), Some("a trim file"));
        // A show with a slip in it is still one, with or without its [show].
        for show in ["[show]\nname = \"Tidewater\"\n[look]\nid = \"dusk\"\n", "[[look]]\nid = \"dusk\"\n", ""] {
            assert_eq!(other_text(show), None, "{show:?}");
        }
    }
}
