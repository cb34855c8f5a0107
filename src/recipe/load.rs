//! Loading: a file, the files that it extends, and the `--set`s on top, merged key by key.

use super::parameters::List;
use super::parse::{Layer, Role, parse};
use super::relative;
use super::value::{Value, Written, WrittenBand};
use super::{Recipe, attached, parameters};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use crate::plan::Trim;
use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
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

/// Whole tables that are laid over a recipe: what it says in them itself is left aside, and what they don't say has its
/// default. A show gives its cameras and monitors that way.
#[derive(Clone, Debug, Default)]
pub struct Overlay {
    /// The tables, each with the place that speaks for it.
    pub tables: Vec<(&'static str, Span)>,
    /// Their values, by the declared path.
    pub values: Vec<(&'static str, Written)>,
}

impl Recipe {
    /// The same recipe with other tables laid over it.
    #[must_use]
    pub fn over(&self, overlay: &Overlay) -> Self {
        let mut recipe = self.clone();
        recipe.lay(overlay);
        recipe
    }

    fn lay(&mut self, overlay: &Overlay) {
        for (table, span) in &overlay.tables {
            self.values.retain(|path, _| path.rsplit_once('.').is_none_or(|(parent, _)| parent != *table));
            self.tables.insert(table, span.clone());
        }
        self.values.extend(overlay.values.iter().cloned());
    }
}

/// Reads a recipe, everything that it extends, and the overrides (`key=value`, as after `--set`).
///
/// # Errors
/// Everything that is wrong in all of these texts; nothing but the files is touched.
pub fn load(path: &Path, overrides: &[String]) -> Result<Loaded, Vec<Diagnostic>> {
    load_over(path, overrides, &Overlay::default())
}

/// The same with tables laid over the recipe, which then need not be written in it.
///
/// # Errors
/// As [`load`].
pub fn load_over(path: &Path, overrides: &[String], overlay: &Overlay) -> Result<Loaded, Vec<Diagnostic>> {
    let text = read_text(path).map_err(|diagnostic| vec![diagnostic])?;
    load_text(path, text, overrides, overlay)
}

/// The same from a text that was read already: a pipe can be read once only.
///
/// # Errors
/// As [`load`].
pub fn load_text(
    path: &Path,
    text: String,
    overrides: &[String],
    overlay: &Overlay,
) -> Result<Loaded, Vec<Diagnostic>> {
    let mut chain = Chain::default();
    chain.add(path, text);
    chain.follow(path);
    let Chain { mut layers, files, mut diagnostics } = chain;
    // Only the named file speaks of what is missing: a base may be half a recipe.
    let source = Arc::clone(&layers[0].source);
    let unread = |diagnostic: &Diagnostic| {
        diagnostic.code == &codes::EXTENDS_UNREADABLE || diagnostic.code == &codes::EXTENDS_CYCLE
    };
    // What a base that was not read would say is not missing.
    let broken = layers.iter().any(|layer| layer.broken) || diagnostics.iter().any(unread);
    layers.reverse();
    let mut merged = Recipe::of(source);
    let mut faulty: BTreeSet<String> = BTreeSet::new();
    for layer in layers {
        faulty.extend(layer.faulty.iter().cloned());
        merge(&mut merged, layer, &mut diagnostics);
    }
    merged.lay(overlay);
    for text in overrides {
        // One after the other, for a relative change starts from what holds by then.
        let layer = match relative::absolute(text, &filled(&merged)) {
            Ok(text) => Layer { folder: folder(path), ..override_layer(&text, &mut diagnostics) },
            Err(diagnostic) => {
                diagnostics.push(*diagnostic);
                continue;
            }
        };
        faulty.extend(layer.faulty.iter().cloned());
        merge(&mut merged, layer, &mut diagnostics);
    }
    diagnostics.extend(attached::fill(&mut merged));
    diagnostics.extend(attached::lay_after(&mut merged, &faulty));
    if !broken {
        missing(&merged, &faulty, &mut diagnostics);
    }
    if diagnostics.iter().any(Diagnostic::is_error) { Err(diagnostics) } else { Ok(Loaded { recipe: merged, files }) }
}

/// Reads the trim of a camera: a file with a `[trim]` table and nothing else that means anything.
///
/// # Errors
/// Everything that is wrong with the file; one that is no trim.
pub fn load_trim(path: &Path) -> Result<Trim, Vec<Diagnostic>> {
    let mut chain = Chain::default();
    chain.read(path).map_err(|diagnostic| vec![diagnostic])?;
    let Chain { mut layers, mut diagnostics, .. } = chain;
    let Some(layer) = layers.pop() else { return Ok(Trim::IDENTITY) };
    let allowed = |path: &str| matches!(path, "lookwright" | "look.name" | "look.note") || path.starts_with("trim.");
    for (path, written) in layer.values.iter().filter(|(path, _)| !allowed(path)) {
        let message = format!("`{path}` does not belong into a trim");
        let diagnostic = Diagnostic::error(&codes::TRIM_FILE, message);
        let help = "a trim has `lookwright = 1` and [trim]; a look is named in [[look]]";
        diagnostics.push(diagnostic.at(written.span.clone(), "expected keys of [trim] only").help(help));
    }
    if !layer.broken && !layer.tables.contains_key("trim") {
        let span = Span { source: Arc::clone(&layer.source), range: 0..0 };
        let diagnostic = Diagnostic::error(&codes::TRIM_FILE, "the file has no [trim]");
        diagnostics.push(diagnostic.at(span, "expected [trim]").help("write stops and matrix under [trim]"));
    }
    let source = Arc::clone(&layer.source);
    let mut recipe = Recipe::of(source);
    merge(&mut recipe, layer, &mut diagnostics);
    let trim = recipe.trim();
    diagnostics.extend(crate::pipeline::check_trim(&trim).into_iter().map(|fault| recipe.locate(fault)));
    if diagnostics.iter().any(Diagnostic::is_error) { Err(diagnostics) } else { Ok(trim) }
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
        let text = read_text(path)?;
        self.add(path, text);
        Ok(())
    }

    fn add(&mut self, path: &Path, text: String) {
        let source = SourceText::new(path.display().to_string(), text);
        let layer = Layer { folder: folder(path), ..parse(&source, Role::File, &mut self.diagnostics) };
        if !layer.broken && !layer.values.contains_key("lookwright") && !layer.faulty.contains("lookwright") {
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, "the version of the recipe language is missing");
            let span = Span { source: Arc::clone(&source), range: 0..0 };
            self.diagnostics.push(diagnostic.at(span, "expected lookwright = 1").help("write `lookwright = 1` first"));
        }
        self.layers.push(layer);
        self.files.push(path.to_path_buf());
    }

    /// Reads what the last layer extends, until one extends nothing.
    fn follow(&mut self, named: &Path) {
        let mut current = named.to_path_buf();
        let mut seen = vec![fs::canonicalize(named).unwrap_or_else(|_| named.to_path_buf())];
        while let Some(written) = self.layers.last().and_then(|layer| layer.values.get("look.extends")).cloned() {
            let Value::Text(target) = &written.value else { return };
            let base = folder(&current).join(target);
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

/// Where the paths of a recipe begin.
fn folder(path: &Path) -> PathBuf {
    path.parent().unwrap_or(Path::new("")).to_path_buf()
}

/// The recipe with the numbers that it takes from other files, so that a step can start from them. What is wrong is told in the end.
fn filled(recipe: &Recipe) -> Recipe {
    let mut filled = recipe.clone();
    attached::fill(&mut filled);
    filled
}

/// The text of a recipe or show.
///
/// # Errors
/// A file that can't be read, that is no text, or far too large.
pub fn read_text(path: &Path) -> Result<String, Diagnostic> {
    let unreadable = |why: String| Diagnostic::error(&codes::FILE_UNREADABLE, format!("{}: {why}", path.display()));
    let metadata = fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if metadata.is_dir() {
        return Err(unreadable("is a folder".to_owned()).help("name a recipe in it"));
    }
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(|error| unreadable(error.to_string()))?;
    // A device or pipe has no length to look at before: it is read up to the limit only.
    file.take(LARGEST_RECIPE_BYTES + 1).read_to_end(&mut bytes).map_err(|error| unreadable(error.to_string()))?;
    if bytes.len() as u64 > LARGEST_RECIPE_BYTES {
        let message = format!("{}: more than {LARGEST_RECIPE_BYTES} bytes are no recipe", path.display());
        return Err(Diagnostic::error(&codes::NOT_TEXT, message).help("name another file"));
    }
    if let Some(what) = other_file(&bytes) {
        let message = format!("{}: this is {what}, not a recipe", path.display());
        return Err(Diagnostic::error(&codes::NOT_TEXT, message).help("name the recipe, a TOML file"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count() + 1;
        let message = format!("{}: not UTF-8 text, first in line {line}", path.display());
        Diagnostic::error(&codes::NOT_TEXT, message).help("save the recipe as UTF-8, or name another file")
    })
}

/// Files that are often named where a recipe belongs.
fn other_file(bytes: &[u8]) -> Option<&'static str> {
    const HEAD_BYTES: usize = 4096;
    let head = &bytes[..bytes.len().min(HEAD_BYTES)];
    let starts_line = |word: &str| head.split(|byte| *byte == b'\n').any(|line| line.starts_with(word.as_bytes()));
    if ["LUT_3D_SIZE", "LUT_1D_SIZE"].into_iter().any(starts_line) {
        Some("a cube file")
    } else if head.starts_with(b"\x89PNG") || head.starts_with(b"\xff\xd8\xff") {
        Some("a picture")
    } else {
        None
    }
}

fn override_layer(text: &str, diagnostics: &mut Vec<Diagnostic>) -> Layer {
    let attempt = |text: String| {
        let mut found = Vec::new();
        let layer = parse(&SourceText::new("--set", text), Role::Override, &mut found);
        (layer, found)
    };
    let (mut layer, mut found) = attempt(text.to_owned());
    let wants_text = found.iter().any(|diagnostic| diagnostic.code == &codes::WRONG_TYPE);
    if (layer.broken || wants_text)
        && let Some((key, value)) = text.split_once('=')
    {
        // A shell has taken the quotes of `--set camera.encoding="logc4"`, or of `--set diffusion.grade="1"`.
        let quoted = toml::Value::String(value.trim().to_owned());
        let (second, problems) = attempt(format!("{key}={quoted}"));
        if !second.broken && (layer.broken || problems.is_empty()) {
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

fn merge(recipe: &mut Recipe, layer: Layer, diagnostics: &mut Vec<Diagnostic>) {
    attached::displace(recipe, &layer);
    for (path, written) in layer.values {
        recipe.folders.insert(path, layer.folder.clone());
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
    for (list, bands) in layer.lists {
        let known = recipe.lists.entry(list).or_default();
        let replaces = bands.is_empty() || bands.iter().any(|band| band.name().is_empty());
        if layer.lists_written.contains(list) && replaces {
            *known = bands;
        } else {
            merge_list(known, bands, layer.role, diagnostics);
        }
    }
}

/// Bands merge by name.
fn merge_list(known: &mut Vec<WrittenBand>, bands: Vec<WrittenBand>, role: Role, diagnostics: &mut Vec<Diagnostic>) {
    for band in bands {
        match known.iter_mut().find(|other| other.name() == band.name()) {
            Some(other) => other.keys.extend(band.keys),
            None if role == Role::Override => diagnostics.push(no_such_band(&band, known)),
            None => known.push(band),
        }
    }
}

fn no_such_band(band: &WrittenBand, known: &[WrittenBand]) -> Diagnostic {
    let name = band.name();
    let diagnostic = Diagnostic::error(&codes::UNKNOWN_NAME, format!("the recipe has no band called \"{name}\""))
        .at(band.span.clone(), "expected the name of a band of the recipe");
    let names: Vec<&str> = known.iter().map(WrittenBand::name).filter(|name| !name.is_empty()).collect();
    match nearest(name, names.iter().copied()) {
        Some(near) => diagnostic.help(format!("did you mean \"{near}\"?")),
        None if names.is_empty() => diagnostic.help("it has no named bands; give one a `name` in the recipe"),
        None => diagnostic.help(format!("its bands: {}", names.join(", "))),
    }
}

fn missing(recipe: &Recipe, faulty: &BTreeSet<String>, diagnostics: &mut Vec<Diagnostic>) {
    let required = parameters::PARAMETERS.iter().filter(|p| p.default == super::parameter::Default::Required);
    let mut found = Vec::new();
    for parameter in required.filter(|p| parameters::find_list(p.table()).is_none() && p.path != "lookwright") {
        if recipe.get(parameter.path).is_none() && !faulty.contains(parameter.path) {
            let message = format!("`{}` is missing", parameter.path);
            let label = format!("expected `{}` in [{}]", parameter.key(), parameter.table());
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, message).at(recipe.place(parameter.path), label);
            found.push(diagnostic.help(format!("for example: {} = {}", parameter.key(), parameter.example)));
        }
    }
    for list in parameters::LISTS {
        found.extend(recipe.items(list.path).iter().flat_map(|band| band_missing(list, band, faulty)));
    }
    diagnostics.append(&mut found);
}

fn band_missing(list: &List, band: &WrittenBand, faulty: &BTreeSet<String>) -> Vec<Diagnostic> {
    let told = |key: &str| band.faulty.contains(&key) || faulty.contains(&format!("{}.{key}", list.path));
    parameters::keys_of(list.path)
        .filter(|parameter| parameter.default == super::parameter::Default::Required)
        .map(super::parameter::Parameter::key)
        .filter(|key| !band.keys.contains_key(key) && !told(key))
        .map(|key| {
            let name = if band.name().is_empty() { String::new() } else { format!(" \"{}\"", band.name()) };
            let message = format!("the band{name} has no `{key}`");
            Diagnostic::error(&codes::MISSING_KEY, message)
                .at(band.span.clone(), format!("expected `{key}`"))
                .help(list.needs)
        })
        .collect()
}
