//! The pages that are made from the program are fresh, and the schema judges recipes as the program does.
//!
//! The schema is held by a validator of another project (the `jsonschema` crate, JSON Schema draft-07).

use lookwright::explain;
use lookwright::recipe::parameter::{Default, Kind};
use lookwright::recipe::{self, parameters, reference, schema};
use std::path::Path;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// Fails if a file differs from what the program makes; with `UPDATE_GENERATED` set, writes it instead.
fn fresh(file: &str, made: &str) {
    let path = Path::new(ROOT).join(file);
    if std::env::var_os("UPDATE_GENERATED").is_some_and(|value| !value.is_empty()) {
        std::fs::write(&path, made).unwrap_or_else(|error| panic!("{file}: {error}"));
        return;
    }
    let stands = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    if stands == made {
        return;
    }
    let lines = stands.lines().zip(made.lines());
    let first = lines.clone().position(|(old, new)| old != new).unwrap_or_else(|| lines.count());
    let line = |text: &str| text.lines().nth(first).unwrap_or("(the end)").to_owned();
    panic!(
        "{file} is not what the program makes; first in line {}:\n  stands: {}\n  made:   {}\n\
         repair: UPDATE_GENERATED=1 cargo test --test generated",
        first + 1,
        line(&stands),
        line(made)
    );
}

#[test]
fn recipe_page_is_fresh() {
    fresh("docs/recipe.md", &reference::recipe_page());
}

#[test]
fn diagnostics_page_is_fresh() {
    fresh("docs/diagnostics.md", &reference::diagnostics_page());
}

#[test]
fn encodings_page_is_fresh() {
    fresh("docs/encodings.md", &explain::encodings_page());
}

#[test]
fn schema_is_fresh() {
    fresh("docs/recipe.schema.json", &format!("{:#}\n", schema::schema()));
}

/// The defaults that the page of equations states are those of the declarations.
#[test]
fn look_maths_states_the_declared_defaults() {
    let page = std::fs::read_to_string(Path::new(ROOT).join("docs/look-maths.md")).expect("the page is there");
    let stated = |path: &str| {
        let row = page.lines().find(|line| line.starts_with(&format!("| `{path}`")))?;
        row.split(" | ").nth(1).map(|cell| cell.split([',', ';']).next().unwrap_or_default().to_owned())
    };
    // Who the look is for, tolerances, other units of what is stated, and tints that are stated once for all.
    let silent = |path: &str| {
        ["look.", "camera.", "verify.", "split.shadows.", "split.highlights."]
            .iter()
            .any(|table| path.starts_with(table))
            || ["lookwright", "tone.grey_nits", "diffusion.grade", "colour.band.name"].contains(&path)
    };
    for key in parameters::PARAMETERS.iter().filter(|key| !silent(key.path)) {
        let declared = match key.default {
            Default::Required => "required".to_owned(),
            Default::Absent => panic!("{} has no default to state", key.path),
            Default::Number(number) => format!("{number}"),
            Default::Integer(number) => format!("{number}"),
            Default::Text(text) => text.to_owned(),
            Default::Flag(flag) => format!("{flag}"),
            Default::Triple(each) => format!("{each}"),
            Default::Identity => "identity".to_owned(),
            Default::Zeros => "zeros".to_owned(),
        };
        assert_eq!(stated(key.path), Some(declared), "{} in docs/look-maths.md", key.path);
    }
}

/// Every link of the pages into the bibliography has its entry there.
#[test]
fn pages_cite_entries_that_exist() {
    let folder = Path::new(ROOT).join("docs");
    let bibliography = std::fs::read_to_string(folder.join("bibliography.md")).expect("the bibliography is there");
    let mut links = 0;
    for name in ["look-maths.md", "encodings.md"] {
        let page = std::fs::read_to_string(folder.join(name)).expect("the page is there");
        for link in page.split("bibliography.md#").skip(1) {
            let key: String = link.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
            assert!(bibliography.contains(&format!("\n### {key}\n")), "{name} cites {key}, which has no entry");
            links += 1;
        }
    }
    assert!(links > 60, "only {links} links were found");
}

fn validator() -> jsonschema::Validator {
    let schema = schema::schema();
    jsonschema::draft7::meta::validate(&schema).expect("the schema itself is right");
    jsonschema::draft7::new(&schema).expect("the schema can be used")
}

/// Everything that the schema finds wrong with a recipe's text.
fn found(validator: &jsonschema::Validator, text: &str) -> Vec<String> {
    let document: toml::Table = text.parse().unwrap_or_else(|error| panic!("not TOML: {error}\n{text}"));
    let document = serde_json::to_value(document).expect("TOML without dates is JSON");
    validator.iter_errors(&document).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

fn loads(text: &str) -> bool {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("look.toml");
    std::fs::write(&path, text).expect("the folder can be written");
    recipe::load(&path, &[]).is_ok()
}

/// The least that a recipe must say, and one table more.
fn recipe_with(table: &str, line: &str) -> String {
    let start = "lookwright = 1\n";
    let look = "[look]\nname = \"Quayside\"\n";
    let camera = "[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n";
    match table {
        "" => format!("{start}{line}\n{look}{camera}"),
        "look" => format!("{start}{look}{line}\n{camera}"),
        "camera" => format!("{start}{look}{camera}{line}\n"),
        "colour.band" => format!("{start}{look}{camera}[[colour.band]]\nname = \"sea\"\n{line}\n"),
        table => format!("{start}{look}{camera}[{table}]\n{line}\n"),
    }
}

#[test]
fn right_recipes_fit_the_schema() {
    let validator = validator();
    let mut texts = vec![("the starter".to_owned(), recipe::starter())];
    for folder in ["tests/data/looks", "recipes"] {
        for entry in std::fs::read_dir(Path::new(ROOT).join(folder)).expect("the folder is in the repository") {
            let path = entry.expect("an entry").path();
            if path.extension().is_some_and(|extension| extension == "toml") {
                let text = std::fs::read_to_string(&path).expect("a recipe");
                texts.push((path.display().to_string(), text));
            }
        }
    }
    assert!(texts.len() >= 9, "only {} recipes were found", texts.len());
    texts.push(("a look that extends".into(), "lookwright = 1\n[look]\nextends = \"base.toml\"\n".into()));
    texts.push(("another spelling".into(), recipe_with("display", "encoding = \"BT.1886\"\ngamut = \"P3 D65\"")));
    texts.push(("a band of the base".into(), recipe_with("colour.band", "saturation = 0.5")));
    for (name, text) in texts {
        assert_eq!(found(&validator, &text), Vec::<String>::new(), "{name} should fit the schema:\n{text}");
    }
}

/// Every key with its own example fits; the same key with another type, or beyond its range, doesn't.
#[test]
fn schema_and_program_agree_on_every_key() {
    let validator = validator();
    for key in parameters::PARAMETERS.iter().filter(|key| key.path != "lookwright") {
        let written = |value: &str| {
            let set = ["look.name", "camera.encoding", "camera.gamut", "colour.band.name"].contains(&key.path);
            let line = if set { String::new() } else { format!("{} = {value}", key.key()) };
            let text = recipe_with(key.table(), &line);
            let old = format!("\n{} = ", key.key());
            match (set, text.find(&old)) {
                (true, Some(at)) => {
                    let end = text[at + 1..].find('\n').map_or(text.len(), |length| at + 1 + length);
                    format!("{}{old}{value}{}", &text[..at], &text[end..])
                }
                _ => text,
            }
        };
        let right = written(key.example);
        assert_eq!(found(&validator, &right), Vec::<String>::new(), "{}:\n{right}", key.path);
        let mut wrong = vec!["1979-05-27"];
        match key.kind {
            Kind::Number { .. } => wrong.extend(["\"1\"", "-1e9", "true"]),
            Kind::Integer { .. } => wrong.extend(["\"1\"", "1.5", "0", "10000000"]),
            Kind::Flag => wrong.extend(["1", "\"true\""]),
            Kind::Choice(_) => wrong.extend(["1", "\"nothing of that name\"", "\"\""]),
            Kind::Text | Kind::Path => wrong.extend(["1", "[]"]),
            Kind::Triple { .. } => wrong.extend(["1", "[1, 1]", "[1, 1, 99]", "[1, 1, \"1\"]"]),
            Kind::Matrix { .. } => {
                wrong.extend(["[1, 0, 0]", "[[1, 0, 0], [0, 1, 0]]", "[[99, 0, 0], [0, 1, 0], [0, 0, 1]]"])
            }
            Kind::Version => {}
        }
        for value in wrong {
            let text = written(value);
            assert!(!loads(&text), "{} = {value} should be refused by the program:\n{text}", key.path);
            assert!(!found(&validator, &text).is_empty(), "{} = {value} should not fit the schema:\n{text}", key.path);
        }
    }
}

#[test]
fn wrong_recipes_do_not_fit_the_schema() {
    let validator = validator();
    for (name, text) in [
        ("no version", "[look]\nname = \"x\"\n".to_owned()),
        ("another version", "lookwright = 2\n".to_owned()),
        ("an unknown table", recipe_with("lens", "")),
        ("an unknown key", recipe_with("tone", "contrsat = 1.2")),
        ("both units of green", recipe_with("white", "greener_cc = 3\ngreener_duv = 0.002")),
        ("both units of grey", recipe_with("tone", "grey = 0.1\ngrey_nits = 10")),
        ("an empty name", "lookwright = 1\n[look]\nname = \" \"\n".to_owned()),
        ("a table instead of bands", recipe_with("colour", "band = { centre_deg = 1, width_deg = 2 }")),
        ("a band without its place", recipe_with("colour", "band = [{ saturation = 0.5 }]")),
        ("a value instead of a table", "lookwright = 1\ntone = 1.2\n".to_owned()),
    ] {
        assert!(!found(&validator, &text).is_empty(), "{name} should not fit the schema:\n{text}");
        assert!(!loads(&text), "{name} should be refused by the program:\n{text}");
    }
}
