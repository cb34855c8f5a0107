//! Loading: a file, the files that it extends, and the `--set`s on top, merged key by key.

use super::parse::{Layer, Role, parse};
use super::value::{Value, WrittenBand};
use super::{Recipe, parameters};
use crate::diagnostics::{Diagnostic, SourceText, codes};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A recipe longer than this is some other file: the longest example has 3 kB.
const LARGEST_RECIPE_BYTES: u64 = 4 << 20;

/// A recipe and what is doubtful in it.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// What was written.
    pub recipe: Recipe,
    /// The files it was read from, the named one first, then those it extends.
    pub files: Vec<PathBuf>,
}

/// Reads a recipe, everything that it extends, and the overrides (`key=value`, as after `--set`).
///
/// # Errors
/// Everything that is wrong in all of these texts; nothing but the files is touched.
pub fn load(path: &Path, overrides: &[String]) -> Result<Loaded, Vec<Diagnostic>> {
    let mut chain = Chain::default();
    if let Err(diagnostic) = chain.read(path) {
        return Err(vec![diagnostic]);
    }
    chain.follow(path);
    let Chain { mut layers, files, mut diagnostics } = chain;
    // Only the named file speaks of what is missing: a base may be half a recipe.
    let source = Arc::clone(&layers[0].source);
    let broken = layers.iter().any(|layer| layer.broken);
    layers.reverse();
    layers.extend(overrides.iter().map(|text| override_layer(text, &mut diagnostics)));
    let mut merged = Recipe { source, values: BTreeMap::new(), bands: Vec::new(), tables: BTreeMap::new() };
    for layer in layers {
        merge(&mut merged, layer);
    }
    if !broken {
        missing(&merged, &mut diagnostics);
    }
    if diagnostics.iter().any(Diagnostic::is_error) { Err(diagnostics) } else { Ok(Loaded { recipe: merged, files }) }
}

#[derive(Default)]
struct Chain {
    /// The named file first.
    layers: Vec<Layer>,
    files: Vec<PathBuf>,
    diagnostics: Vec<Diagnostic>,
}

impl Chain {
    fn read(&mut self, path: &Path) -> Result<(), Diagnostic> {
        let source = SourceText::new(path.display().to_string(), read_text(path)?);
        let layer = parse(&source, Role::File, &mut self.diagnostics);
        if !layer.broken
            && !layer.values.contains_key("lookwright")
            && !self.diagnostics.iter().any(Diagnostic::is_error)
        {
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, "the version of the recipe language is missing");
            let span = crate::diagnostics::Span { source: Arc::clone(&source), range: 0..0 };
            self.diagnostics.push(diagnostic.at(span, "expected lookwright = 1").help("write `lookwright = 1` first"));
        }
        self.layers.push(layer);
        self.files.push(path.to_path_buf());
        Ok(())
    }

    /// Reads what the last layer extends, until one extends nothing.
    fn follow(&mut self, named: &Path) {
        let mut current = named.to_path_buf();
        let mut seen = vec![fs::canonicalize(named).unwrap_or_else(|_| named.to_path_buf())];
        while let Some(written) = self.layers.last().and_then(|layer| layer.values.get("look.extends")).cloned() {
            let Value::Text(target) = &written.value else { return };
            let base = current.parent().unwrap_or(Path::new("")).join(target);
            let identity = fs::canonicalize(&base).unwrap_or_else(|_| base.clone());
            if seen.contains(&identity) {
                let diagnostic = Diagnostic::error(&codes::EXTENDS_CYCLE, "recipes extend each other in a circle");
                let label = format!("{} was read already", base.display());
                self.diagnostics.push(diagnostic.at(written.span, label).help("remove one of the `extends`"));
                return;
            }
            if let Err(diagnostic) = self.read(&base) {
                let label = diagnostic.message.clone();
                let error = Diagnostic::error(&codes::EXTENDS_UNREADABLE, "the recipe to start from can't be read");
                let help = "the path is relative to the file that names it";
                self.diagnostics.push(error.at(written.span, label).help(help));
                return;
            }
            seen.push(identity);
            current = base;
        }
    }
}

fn read_text(path: &Path) -> Result<String, Diagnostic> {
    let unreadable = |why: String| Diagnostic::error(&codes::FILE_UNREADABLE, format!("{}: {why}", path.display()));
    let metadata = fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if metadata.is_dir() {
        return Err(unreadable("is a folder".to_owned()).help("name a recipe in it"));
    }
    if metadata.len() > LARGEST_RECIPE_BYTES {
        let why = format!("{} bytes are too many for a recipe", metadata.len());
        return Err(Diagnostic::error(&codes::NOT_TEXT, format!("{}: {why}", path.display())));
    }
    let bytes = fs::read(path).map_err(|error| unreadable(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count() + 1;
        let message = format!("{}: not UTF-8 text, first in line {line}", path.display());
        Diagnostic::error(&codes::NOT_TEXT, message).help("save the recipe as UTF-8, or name another file")
    })
}

fn override_layer(text: &str, diagnostics: &mut Vec<Diagnostic>) -> Layer {
    let attempt = |text: String| {
        let mut found = Vec::new();
        let layer = parse(&SourceText::new("--set", text), Role::Override, &mut found);
        (layer, found)
    };
    let (mut layer, mut found) = attempt(text.to_owned());
    if layer.broken
        && let Some((key, value)) = text.split_once('=')
    {
        // A shell has taken the quotes of `--set camera.encoding="logc4"`.
        let quoted = toml::Value::String(value.trim().to_owned());
        let (second, problems) = attempt(format!("{key}={quoted}"));
        if !second.broken {
            (layer, found) = (second, problems);
        }
    }
    if let Some(written) = layer.values.remove("look.extends") {
        let diagnostic = Diagnostic::error(&codes::UNKNOWN_KEY, "`look.extends` can't be set from outside");
        found.push(diagnostic.at(written.span, "expected another key").help("write it into a recipe"));
    }
    diagnostics.append(&mut found);
    layer
}

fn merge(recipe: &mut Recipe, layer: Layer) {
    for (path, written) in layer.values {
        if let Some(parameter) = parameters::find(path)
            && let Some(other) = parameter.excludes
        {
            recipe.values.remove(format!("{}.{other}", parameter.table()).as_str());
        }
        recipe.values.insert(path, written);
    }
    for (path, span) in layer.tables {
        // What is missing from a table is shown at its header in a file, not at a `--set` that happens to touch it.
        if layer.role == Role::File {
            recipe.tables.insert(path, span);
        } else {
            recipe.tables.entry(path).or_insert(span);
        }
    }
    if layer.bands.iter().any(|band| band.name().is_empty()) {
        recipe.bands = layer.bands;
        return;
    }
    for band in layer.bands {
        match recipe.bands.iter_mut().find(|known| known.name() == band.name()) {
            Some(known) => known.keys.extend(band.keys),
            None => recipe.bands.push(band),
        }
    }
}

fn missing(recipe: &Recipe, diagnostics: &mut Vec<Diagnostic>) {
    let incomplete = |path: &str| diagnostics_about(diagnostics, path);
    let required = parameters::PARAMETERS.iter().filter(|p| p.default == super::parameter::Default::Required);
    let mut found = Vec::new();
    for parameter in required.filter(|p| p.table() != super::parse::BAND && p.path != "lookwright") {
        if recipe.get(parameter.path).is_none() && !incomplete(parameter.path) {
            let message = format!("`{}` is missing", parameter.path);
            let label = format!("expected `{}` in [{}]", parameter.key(), parameter.table());
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, message).at(recipe.place(parameter.path), label);
            found.push(diagnostic.help(format!("for example: {} = {}", parameter.key(), parameter.example)));
        }
    }
    for band in &recipe.bands {
        found.extend(band_missing(band, &incomplete));
    }
    diagnostics.append(&mut found);
}

fn band_missing(band: &WrittenBand, incomplete: &dyn Fn(&str) -> bool) -> Vec<Diagnostic> {
    ["centre_deg", "width_deg"]
        .into_iter()
        .filter(|key| !band.keys.contains_key(key) && !incomplete(&format!("{}.{key}", super::parse::BAND)))
        .map(|key| {
            let name = if band.name().is_empty() { String::new() } else { format!(" \"{}\"", band.name()) };
            let message = format!("the band{name} has no `{key}`");
            Diagnostic::error(&codes::MISSING_KEY, message)
                .at(band.span.clone(), format!("expected `{key}`"))
                .help("a band needs the hue of its centre and its half-width, both in degrees")
        })
        .collect()
}

/// Whether something is said of a key already: a value that is wrong is not also missing.
fn diagnostics_about(diagnostics: &[Diagnostic], path: &str) -> bool {
    let key = path.rsplit_once('.').map_or(path, |(_, key)| key);
    diagnostics.iter().any(|diagnostic| diagnostic.is_error() && line_of(diagnostic).contains(key))
}

fn line_of(diagnostic: &Diagnostic) -> &str {
    let Some(span) = &diagnostic.span else { return "" };
    let text = &span.source.text;
    let start = text.get(..span.range.start).and_then(|before| before.rfind('\n')).map_or(0, |newline| newline + 1);
    text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or("")
}
