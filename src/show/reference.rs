//! `docs/show.md` and the JSON Schema of shows, made from the declarations.

use super::declared::{self, Key, Shape, TABLES, Table};
use crate::recipe::reference::{default, range};
use crate::recipe::schema::property;
use serde_json::{Map, Value, json};
use std::fmt::Write as _;

const HEAD: &str = "# Shows

This page is made from the program's own declarations; `bash tests/run` checks that it is fresh. Messages:
[diagnostics.md](diagnostics.md). What strength, monochrome and trims compute: [look-maths.md](look-maths.md). An example with
three cameras and four monitors: [recipes/tidewater/show.toml](../recipes/tidewater/show.toml).

A show is a TOML file that names the cameras, the monitors, the looks and the setups of one production. `lookwright compile
show.toml` makes a LUT for every look, variant, version, camera and monitor: `OUT/SHOW/MONITOR/LOOK/NAME.cube`. What a recipe says
in `[camera]`, `[display]` and `[lut]` is left aside; keys that a camera or monitor of the show does not say have their defaults.
Paths are relative to the show. Ids are compared without case. Unknown keys are errors.

Every file name ends with a code of four characters for its look and camera, the same on every monitor (a device that accepts
fewer characters, or digits only, has codes of its own). It is made from their ids alone, so that it stays the same whatever else
the show gains or loses; only where two codes meet, which among a million is rare, the later one gives way, and never one of a version.
Names that are too long for a device are cut, and the code is what is left at last.

A **version** is a change of one setup's look on the day:

```sh
lookwright compile show.toml --setup 14a --set white.warmer_mired=+5 --as 14a-b
lookwright log show.toml
```

It starts from the newest version of the setup (or from `--from`; `--from` without `--set` brings an earlier one back, and the
setup's own id means the recipe as it stands), writes new files beside the old ones, and adds a `[[version]]` to
the end of the show; everything else in the show stays byte for byte. A version's files are never replaced. If the recipe under
a version is changed later, or its camera or monitor, so that its name would stand for another picture, the program says so and
leaves the files; everything else is made.

Monitors of unlike kinds get the same picture scaled to their own white: on an HDR monitor of 1000 nits grey would be ten times as bright
as on one of 100. Give such a monitor a lower `peak_nits`, or looks of its own (`monitors` in `[[look]]`) with `grey_nits` in their
recipes.

The show's folder also holds `loading-card.html` and `.txt` (which file goes into which slot of which device, which levels to
choose there, and what the colours of its exposure maps mean), `consistency.html` and `.txt` (whether all cameras and monitors
show one picture), and `ledger.jsonl`: what was made from what, so that unchanged files are left as they are. Delete the ledger
and everything is made again.

`lookwright false-colour show.toml` makes the exposure maps and puts them onto the card. `compile` leaves them as they are, and
the card tells those that are not what show and recipes ask for any more. `--prune` takes away what the show will not ask for
again: files of looks that are gone, and maps of a camera and monitor that no look puts together any more.
";

/// The reference page of shows, Markdown.
#[must_use]
pub fn show_page() -> String {
    let mut page = HEAD.to_owned();
    for table in TABLES {
        let title = if table.path.is_empty() { table.written.to_owned() } else { format!("`{}`", table.written) };
        let _ = write!(page, "\n## {title}\n\n");
        if !table.help.is_empty() {
            let _ = write!(page, "{}\n\n", table.help);
        }
        page.push_str("| key | what | unit | range | default | example |\n|---|---|---|---|---|---|\n");
        table.keys.iter().for_each(|key| row(&mut page, key));
    }
    page
}

fn row(page: &mut String, key: &Key) {
    let name = key.name;
    let _ = match (&key.shape, key.parameter()) {
        (_, Some(parameter)) => writeln!(
            page,
            "| `{name}` | {}. | {} | {} | {} | `{}` |",
            parameter.help,
            parameter.unit,
            range(&parameter.kind),
            default(&parameter.default),
            parameter.example
        ),
        (Shape::Table(path) | Shape::Tables(path), _) => {
            let inner = declared::table(path);
            writeln!(page, "| `{name}` | See `{}`. | | table | none | |", inner.map_or("", |inner| inner.written))
        }
        (Shape::Ids(help, example), _) => writeln!(page, "| `{name}` | {help}. | | list of ids | none | `{example}` |"),
        (Shape::Texts(help, example), _) => {
            writeln!(page, "| `{name}` | {help}. | | list of texts | none | `{example}` |")
        }
        (Shape::Sizes(help, example), _) => {
            writeln!(page, "| `{name}` | {help}. | | list of sizes | any | `{example}` |")
        }
        (Shape::Settings(help, example), _) => {
            writeln!(page, "| `{name}` | {help}. | | list of `key=value` | none | `{example}` |")
        }
        (Shape::Filters(help, example), _) => writeln!(page, "| `{name}` | {help}. | | list | none | `{example}` |"),
        (Shape::Value(_) | Shape::Recipe(..), None) => Ok(()),
    };
}

/// The JSON Schema (draft-07) of shows, without references.
#[must_use]
pub fn schema() -> Value {
    let mut root = declared::table("").map(object).unwrap_or_default();
    root.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
    root.insert("title".into(), json!("lookwright show, version 1"));
    root.insert("required".into(), json!(["lookwright", "show", "camera", "monitor", "look"]));
    Value::Object(root)
}

fn object(table: &'static Table) -> Map<String, Value> {
    let properties: Map<String, Value> = table.keys.iter().map(|key| (key.name.to_owned(), of_key(key))).collect();
    let required: Vec<&str> = table.keys.iter().filter(|key| key.is_required()).map(|key| key.name).collect();
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("description".into(), json!(table.help));
    object.insert("additionalProperties".into(), json!(false));
    object.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    if table.path == "filter" {
        object.insert("not".into(), json!({"required": ["cc", "duv"]}));
    }
    object
}

fn of_key(key: &'static Key) -> Value {
    let inner = |path: &str| Value::Object(declared::table(path).map(object).unwrap_or_default());
    let list = |help: &str, example: &str, items: Value| json!({"type": "array", "description": format!("{help}. For example: {example}"), "items": items});
    match &key.shape {
        Shape::Value(_) | Shape::Recipe(..) => {
            let mut value = key.parameter().map_or(Value::Null, |parameter| property(&parameter));
            if key.name == "id" {
                value["pattern"] = json!("^[A-Za-z0-9_-]{1,32}$");
            }
            value
        }
        Shape::Ids(help, example) | Shape::Texts(help, example) | Shape::Settings(help, example) => {
            list(help, example, json!({"type": "string"}))
        }
        Shape::Sizes(help, example) => {
            let mut sizes = list(help, example, json!({"type": "integer", "minimum": 2, "maximum": 129}));
            sizes["minItems"] = json!(1);
            sizes
        }
        Shape::Table(path) => inner(path),
        Shape::Tables(path) => {
            let help = declared::table(path).map_or("", |table| table.help);
            json!({"type": "array", "description": help, "items": inner(path)})
        }
        Shape::Filters(help, example) => list(help, example, json!({"anyOf": [{"type": "string"}, inner("filter")]})),
    }
}
