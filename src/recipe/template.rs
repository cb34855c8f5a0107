//! The commented recipe that `new` writes: it compiles as it is, and shows every key with its range.
//!
//! Every commented-out key is right where it stands: taking away its '#' alone gives a recipe that loads (but for a key
//! whose exclusive partner is set). So all headers are live, and bands stand on one line.

use super::parameter::{Bound, Default, Kind, Parameter};
use super::parameters::{self, List, TABLES, Table};
use std::fmt::Write as _;

/// Keys that the starter sets; everything else stands as a comment with its default.
const SET: [(&str, &str); 10] = [
    ("lookwright", "1"),
    ("look.name", "\"My look\""),
    ("look.note", "\"What this look is for.\""),
    ("camera.encoding", "\"s-log3\""),
    ("camera.gamut", "\"s-gamut3.cine\""),
    ("white.reference_kelvin", "5600"),
    ("white.warmer_mired", "0"),
    ("tone.contrast", "1.35"),
    ("tone.grey", "0.10"),
    ("colour.saturation", "1.0"),
];

/// Longest line; help that is longer goes on below itself.
const WIDTH: usize = 110;

/// Column at which the help of a key begins.
const HELP_COLUMN: usize = 40;

/// A recipe to start from: every key of the language, most as comments with their defaults.
#[must_use]
pub fn starter() -> String {
    let mut text = String::from(
        "# A look. Change what you want, then:  lookwright compile THIS-FILE\n\
         #\n\
         # A line that begins with '#' and holds a key shows its default: take the '#' away and change the value.\n\
         # A header without keys changes nothing, but for [tone], which asks for the tone curve.\n\
         # What holds, and why:  lookwright explain THIS-FILE\n\n",
    );
    keys(&mut text, "");
    for table in TABLES.iter().filter(|table| parameters::find_list(table.path).is_none()) {
        text.push('\n');
        comment(&mut text, "", table.help, 0);
        let _ = writeln!(text, "[{}]", table.path);
        keys(&mut text, table.path);
        let below = |list: &&List| list.path.rsplit_once('.').is_some_and(|(parent, _)| parent == table.path);
        if let Some(list) = parameters::LISTS.iter().find(below) {
            band(&mut text, list.path);
        }
    }
    text
}

fn keys(text: &mut String, table: &str) {
    for key in parameters::keys_of(table) {
        let set = SET.iter().find(|(path, _)| *path == key.path).map(|(_, value)| *value);
        let line = match set {
            Some(value) => format!("{} = {value}", key.key()),
            // A path can't be shown as a key: the file that it names is not there.
            None if key.needs_file() => format!("# To set: {} = {}", key.key(), key.example),
            None => format!("# {} = {}", key.key(), shown(key)),
        };
        let partner = key.excludes.map_or(String::new(), |other| format!("; not together with {other}"));
        comment(text, &line, &format!("{}{partner}{}", key.help, range(key)), HELP_COLUMN);
    }
}

/// What stands on a line already, and a comment beside it from `column` on, which wraps there.
fn comment(text: &mut String, before: &str, words: &str, column: usize) {
    let mut line = format!("{before:<column$}");
    if !before.is_empty() && !line.ends_with(' ') {
        line.push(' ');
    }
    line.push('#');
    for word in words.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            let _ = writeln!(text, "{line}");
            line = format!("{:column$}#", "");
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}

/// Bands stand on one line, for a header without its required keys is no band.
fn band(text: &mut String, path: &str) {
    let help = parameters::find_table(path).map_or("", |table: &Table| table.help);
    text.push('\n');
    comment(text, "", &format!("{help} Or as a list on one line:"), 0);
    let example: Vec<String> =
        parameters::keys_of(path).map(|key| format!("{} = {}", key.key(), key.example)).collect();
    let _ = writeln!(text, "# band = [{{ {} }}]", example.join(", "));
    for key in parameters::keys_of(path) {
        comment(text, &format!("#   {}", key.key()), &format!("{}{}", key.help, range(key)), 18);
    }
}

fn shown(key: &Parameter) -> String {
    match key.default {
        Default::Number(number) => format!("{number:?}"),
        Default::Integer(number) => format!("{number}"),
        Default::Flag(flag) => format!("{flag}"),
        Default::Text(text) if !text.is_empty() => format!("\"{text}\""),
        _ => key.example.to_owned(),
    }
}

fn range(key: &Parameter) -> String {
    let unit = if key.unit.is_empty() { String::new() } else { format!(" {}", key.unit) };
    match key.kind {
        Kind::Number { min, max: Bound::Value(max) } => format!(" ({min}..{max}{unit})"),
        Kind::Number { min, max: Bound::Parameter(other) } => format!(" ({min}..{other}{unit})"),
        Kind::Number { min, max: Bound::Open } => format!(" ({min} or more{unit})"),
        Kind::Integer { min, max } => format!(" ({min}..{max}{unit})"),
        Kind::Triple { min, max } => format!(" (each {min}..{max}{unit})"),
        Kind::Choice(choice) if choice.names().len() <= SHORT_CHOICE => format!(" ({})", choice.names().join(", ")),
        _ => String::new(),
    }
}

/// Longer lists of names stand in the reference only.
const SHORT_CHOICE: usize = 8;
