//! The commented recipe that `new` writes: it compiles as it is, and shows every key with its range.

use super::parameter::{Bound, Default, Kind, Parameter};
use super::parameters::{self, TABLES};
use std::fmt::Write as _;

/// Keys that the starter sets; everything else stands as a comment with its default.
const SET: [(&str, &str); 10] = [
    ("lookwright", "1"),
    ("look.name", "\"My look\""),
    ("look.note", "\"What this look is for.\""),
    ("camera.encoding", "\"s-log3\""),
    ("camera.gamut", "\"s-gamut3.cine\""),
    ("white.reference_kelvin", "5600"),
    ("white.warmer_mired", "10"),
    ("tone.contrast", "1.35"),
    ("tone.grey", "0.10"),
    ("colour.saturation", "1.05"),
];

/// A recipe to start from: every key of the language, most as comments with their defaults.
#[must_use]
pub fn starter() -> String {
    let mut text = String::from(
        "# A look. Change what you want, then:  lookwright compile THIS-FILE\n\
         # Lines that begin with '#' show further keys with their defaults. All keys: lookwright explain --schema\n\n",
    );
    keys(&mut text, "");
    for table in TABLES.iter().filter(|table| table.path != "colour.band") {
        let live = SET.iter().any(|(path, _)| path.rsplit_once('.').is_some_and(|(parent, _)| parent == table.path));
        let mark = if live { "" } else { "# " };
        let _ = write!(text, "\n# {}\n{mark}[{}]\n", table.help, table.path);
        keys(&mut text, table.path);
        if table.path == "colour" {
            let band = TABLES.iter().find(|table| table.path == "colour.band").map_or("", |table| table.help);
            let _ = write!(text, "\n# {band}\n# [[colour.band]]\n");
            keys(&mut text, "colour.band");
        }
    }
    text
}

fn keys(text: &mut String, table: &str) {
    for key in parameters::keys_of(table) {
        let set = SET.iter().find(|(path, _)| *path == key.path).map(|(_, value)| *value);
        let line = match set {
            Some(value) => format!("{} = {value}", key.key()),
            None => format!("# {} = {}", key.key(), shown(key)),
        };
        let _ = writeln!(text, "{line:<40}# {}{}", key.help, range(key));
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
        _ => String::new(),
    }
}
