//! What `new` writes: a commented recipe, and a commented show that uses it. Both compile as they are.

use super::declared::{self, Shape, Table};
use crate::diagnostics::{Diagnostic, codes};
use crate::recipe;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Names of the files that `new` writes.
const LOOK_NAME: &str = "look.toml";
const SHOW_NAME: &str = "show.toml";

/// Keys that the starter sets, table by table.
const SET: &[(&str, &[(&str, &str)])] = &[
    ("show", &[("name", "\"My show\""), ("frame_rate", "24")]),
    ("camera", &[("id", "\"a\""), ("encoding", "\"s-log3\""), ("gamut", "\"s-gamut3.cine\"")]),
    (
        "monitor",
        &[
            ("id", "\"onboard\""),
            ("encoding", "\"bt1886\""),
            ("gamut", "\"bt709\""),
            ("size", "33"),
            ("input_levels", "\"full\""),
            ("output_levels", "\"full\""),
        ],
    ),
    ("setup", &[("id", "\"1\""), ("look", "\"main\""), ("cameras", "[\"a\"]"), ("balance_kelvin", "5600")]),
];

/// Longest line; help that is longer goes on below itself.
const WIDTH: usize = 110;

/// Writes the starter as `look.toml`, and a show that uses it as `show.toml`, into a folder, which is made if it is missing.
/// Files that are there already stay as they are. Gives back the paths of both.
///
/// # Errors
/// One of the files exists, and nothing is written; or a file can't be written.
pub fn start(folder: &Path) -> Result<[PathBuf; 2], Diagnostic> {
    let paths = [folder.join(LOOK_NAME), folder.join(SHOW_NAME)];
    if let Some(path) = paths.iter().find(|path| path.symlink_metadata().is_ok()) {
        return Err(exists(path));
    }
    fs::create_dir_all(folder).map_err(|error| unwritable(folder, &error))?;
    create(&paths[0], &recipe::starter())?;
    if let Err(diagnostic) = create(&paths[1], &starter(LOOK_NAME)) {
        // Half a start is worse than none; if even this fails, the error tells enough.
        let _ = fs::remove_file(&paths[0]);
        return Err(diagnostic);
    }
    Ok(paths)
}

fn exists(path: &Path) -> Diagnostic {
    let message = format!("{} exists already; nothing was written", path.display());
    Diagnostic::error(&codes::FILE_EXISTS, message).help("name another folder, or move the file away")
}

fn unwritable(path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::error(&codes::FILE_UNWRITABLE, format!("{}: {error}", path.display())).help("choose another folder")
}

fn create(path: &Path, text: &str) -> Result<(), Diagnostic> {
    let mut file = match fs::OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(exists(path)),
        Err(error) => return Err(unwritable(path, &error)),
    };
    if let Err(error) = file.write_all(text.as_bytes()).and_then(|()| file.sync_all()) {
        drop(file);
        // Half a file is worse than none; if even this fails, the error above tells enough.
        let _ = fs::remove_file(path);
        return Err(unwritable(path, &error));
    }
    Ok(())
}

/// A show to start from, with one camera, one monitor, one setup and the look of `recipe`. What else can be said stands as
/// comments.
#[must_use]
pub fn starter(recipe: &str) -> String {
    let mut text = String::from(
        "# A show: what records, what shows it, which looks there are. Change what you want, then:\n\
         #   lookwright compile THIS-FILE\n\
         # Write one [[camera]], [[monitor]], [[look]] and [[setup]] for each that you have. What recipes say about camera, display\n\
         # and device is left aside: this file decides it. A line that begins with '#' and holds a key shows what could be said.\n\n\
         lookwright = 1\n",
    );
    for path in ["show", "camera", "monitor", "look", "setup"] {
        let Some(table) = declared::table(path) else { continue };
        text.push('\n');
        wrapped(&mut text, "", table.help);
        let _ = writeln!(text, "{}", table.written);
        if path == "look" {
            let _ = writeln!(text, "id = \"main\"\nrecipe = \"{recipe}\"");
        }
        keys(&mut text, table, path);
    }
    text
}

fn keys(text: &mut String, table: &Table, path: &str) {
    let set = SET.iter().find(|(table, _)| *table == path).map_or(&[][..], |(_, keys)| keys);
    for key in table.keys {
        if let Some((_, value)) = set.iter().find(|(name, _)| *name == key.name) {
            let _ = writeln!(text, "{} = {value}", key.name);
            continue;
        }
        if path == "look" && matches!(key.name, "id" | "recipe") {
            continue;
        }
        match (&key.shape, key.parameter()) {
            (_, Some(parameter)) => {
                wrapped(text, &format!("# {} = {}", key.name, parameter.example), parameter.help);
            }
            (Shape::Ids(help, example) | Shape::Sizes(help, example), _) => {
                wrapped(text, &format!("# {} = {example}", key.name), help);
            }
            (Shape::Table(inner) | Shape::Tables(inner), _) => inline(text, key.name, inner, &key.shape),
            _ => {}
        }
    }
}

/// A table that stands on one line, as an example.
fn inline(text: &mut String, name: &str, path: &str, shape: &Shape) {
    let Some(table) = declared::table(path) else { return };
    let examples: Vec<String> = table
        .keys
        .iter()
        .filter_map(|key| match (&key.shape, key.parameter()) {
            // A device that knows one name only is the exception.
            _ if path == "monitor.file" && key.name == "name" => None,
            // What excludes another key of the same example.
            _ if path == "setup.lights" && matches!(key.name, "duv" | "candela" | "distance_m") => None,
            (_, Some(parameter)) => Some(format!("{} = {}", key.name, parameter.example)),
            (Shape::Filters(_, example) | Shape::Sizes(_, example), _) => Some(format!("{} = {example}", key.name)),
            _ => None,
        })
        .collect();
    let examples = examples.join(", ");
    let value =
        if matches!(shape, Shape::Tables(_)) { format!("[{{ {examples} }}]") } else { format!("{{ {examples} }}") };
    wrapped(text, &format!("# {name} = {value}"), table.help);
}

/// What stands on a line, and its help behind it or, where that is too long, above.
fn wrapped(text: &mut String, line: &str, help: &str) {
    if !line.is_empty() && line.chars().count() + help.chars().count() + 4 <= WIDTH {
        let _ = writeln!(text, "{line:36} # {help}");
        return;
    }
    let mut comment = String::from("#");
    for word in help.split_whitespace() {
        if comment.chars().count() + 1 + word.chars().count() > WIDTH {
            let _ = writeln!(text, "{comment}");
            comment = String::from("#");
        }
        comment.push(' ');
        comment.push_str(word);
    }
    let _ = writeln!(text, "{comment}");
    if !line.is_empty() {
        let _ = writeln!(text, "{line}");
    }
}
