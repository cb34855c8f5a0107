//! Every source that the code cites has an entry in `docs/bibliography.md`.

use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::ENCODINGS;
use lookwright::colour::gamuts::GAMUTS;
use std::collections::BTreeSet;
use std::path::Path;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// The headings `### key`, with the text that follows each.
fn entries() -> Vec<(String, String)> {
    let text = std::fs::read_to_string(format!("{ROOT}/docs/bibliography.md")).unwrap();
    let mut entries: Vec<(String, String)> = Vec::new();
    for line in text.lines() {
        if let Some(key) = line.strip_prefix("### ") {
            entries.push((key.trim().to_owned(), String::new()));
        } else if !line.starts_with('#')
            && let Some((_, body)) = entries.last_mut()
        {
            body.push_str(line);
        }
    }
    entries
}

/// The keys of all `Source` values that are written out in the sources, whichever module they stand in.
fn keys_in(folder: &Path, keys: &mut BTreeSet<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            keys_in(&path, keys);
            continue;
        }
        if path.extension().is_none_or(|end| end != "rs") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let literals = text.split("Source {").skip(1).filter_map(|piece| piece.trim_start().strip_prefix("key: \""));
        let mentions = text.split("bibliography: ").skip(1);
        for key in mentions.filter_map(|piece| piece.split([')', ']', ',', '\n', ' ']).next()) {
            keys.insert((key.to_owned(), path.display().to_string()));
        }
        for literal in literals {
            keys.insert((literal.split('"').next().unwrap_or_default().to_owned(), path.display().to_string()));
        }
    }
}

#[test]
fn every_cited_source_has_an_entry() {
    let known: BTreeSet<String> = entries().into_iter().map(|(key, _)| key).collect();
    let mut cited = BTreeSet::new();
    keys_in(&Path::new(ROOT).join("src"), &mut cited);
    assert!(cited.len() > 30, "only {} citations were found: the search is broken", cited.len());
    cited.extend(ENCODINGS.iter().map(|encoding| (encoding.source.key.to_owned(), encoding.id.to_owned())));
    cited.extend(GAMUTS.iter().map(|gamut| (gamut.source.key.to_owned(), gamut.id.to_owned())));
    cited.extend(DisplayEncoding::ALL.map(|display| (display.source().key.to_owned(), display.id().to_owned())));
    for (key, place) in cited {
        assert!(known.contains(&key), "{place} cites {key}, which docs/bibliography.md doesn't have");
    }
}

#[test]
fn entries_are_distinct_and_say_something() {
    let mut seen = BTreeSet::new();
    for (key, body) in entries() {
        assert!(body.len() > 40, "{key}: nothing but a heading");
        assert!(seen.insert(key.clone()), "{key} has two entries");
    }
}
