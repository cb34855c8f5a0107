//! The pages that are made from the program are fresh.
//!
//! That the schema judges recipes as the program does is held by `tests/python/schema.py`, with a validator of another project.

mod bibliography;

use lookwright::explain;
use lookwright::recipe::parameter::Default;
use lookwright::recipe::{parameters, reference, schema};
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

#[test]
fn show_page_is_fresh() {
    fresh("docs/show.md", &lookwright::show::reference::show_page());
}

#[test]
fn show_schema_is_fresh() {
    fresh("docs/show.schema.json", &format!("{:#}\n", lookwright::show::reference::schema()));
}

/// The defaults that the page of equations states are those of the declarations.
#[test]
fn look_maths_states_the_declared_defaults() {
    let page = std::fs::read_to_string(Path::new(ROOT).join("docs/look-maths.md")).expect("the page is there");
    let stated = |path: &str| {
        let row = page.lines().find(|line| line.starts_with(&format!("| `{path}`")))?;
        row.split(" | ").nth(1).map(|cell| cell.split([',', ';']).next().unwrap_or_default().to_owned())
    };
    // Who the look is for, tolerances, the exposure map (docs/seeing.md), other units of what is stated, and tints that are stated once for all.
    let silent = |path: &str| {
        ["look.", "camera.", "verify.", "map.", "split.shadows.", "split.highlights."]
            .iter()
            .any(|table| path.starts_with(table))
            || [
                "lookwright",
                "tone.grey_nits",
                "diffusion.grade",
                "colour.band.name",
                "grade.from",
                "grade.from_id",
                "after.cube",
                "after.domain",
            ]
            .contains(&path)
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
