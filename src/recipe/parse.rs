//! Parse: one text → one [`Layer`] of checked values, with everything that is wrong in it.

use super::convert::{convert, describe};
use super::parameters::{self, List, Table};
use super::value::{Written, WrittenBand};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A text with more faults than this is no TOML at all; what is said further on helps nobody.
const SYNTAX_ERRORS_MAX: usize = 20;

/// What one text says, before inheritance.
#[derive(Clone, Debug)]
pub(super) struct Layer {
    pub source: Arc<SourceText>,
    /// Where its paths begin.
    pub folder: PathBuf,
    pub role: Role,
    pub values: BTreeMap<&'static str, Written>,
    /// The tables of lists.
    pub lists: BTreeMap<&'static str, Vec<WrittenBand>>,
    /// Lists that were written as such; an empty one takes away that of the base.
    pub lists_written: BTreeSet<&'static str>,
    /// Tables that were written, even if empty: `[tone]` alone asks for the tone block.
    pub tables: BTreeMap<&'static str, Span>,
    /// Keys whose value is wrong, or that were probably meant by an unknown key: they are not also missing.
    pub faulty: BTreeSet<String>,
    /// Whether the text is no TOML: what seems to be missing may only be unreadable.
    pub broken: bool,
}

/// What a text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// A file, which says its version.
    File,
    /// One `--set`, where a band is named in the path.
    Override,
}

/// Reads a text. Everything wrong is pushed to `diagnostics`; what could be read is in the layer.
pub(super) fn parse(source: &Arc<SourceText>, role: Role, diagnostics: &mut Vec<Diagnostic>) -> Layer {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    let mut parser = Parser {
        layer: Layer {
            source: Arc::clone(source),
            folder: PathBuf::new(),
            role,
            values: BTreeMap::new(),
            lists: BTreeMap::new(),
            lists_written: BTreeSet::new(),
            faulty: BTreeSet::new(),
            tables: BTreeMap::new(),
            broken: !errors.is_empty(),
        },
        found: Vec::new(),
    };
    for error in errors.iter().take(SYNTAX_ERRORS_MAX) {
        parser.syntax(error.message(), error.span());
    }
    if role == Role::File && errors.is_empty() && table.get_ref().keys().any(|key| key.get_ref() == "show") {
        let diagnostic = Diagnostic::error(&codes::SHOW_NOT_RECIPE, "this is a show, not a recipe");
        let span = parser.key_span(table.get_ref(), "show");
        parser.found.push(
            diagnostic.at(span, "expected the tables of a recipe").help("name one of the recipes that the show lists"),
        );
        // A show lacks nothing that a recipe has.
        parser.layer.broken = true;
    } else {
        parser.table("", table.get_ref());
        parser.exclusive_keys();
        parser.band_names();
    }
    if !errors.is_empty() {
        parser.drop_consequences();
    }
    let Parser { mut layer, mut found } = parser;
    // What a later version asks for is not known: nothing is missing from it.
    layer.broken |= role == Role::File && found.iter().any(|diagnostic| diagnostic.code == &codes::UNKNOWN_VERSION);
    found.sort_by_key(|diagnostic| diagnostic.span.as_ref().map_or(0, |span| span.range.start));
    diagnostics.append(&mut found);
    layer
}

struct Parser {
    layer: Layer,
    found: Vec<Diagnostic>,
}

impl Parser {
    fn span(&self, range: Range<usize>) -> Span {
        Span { source: Arc::clone(&self.layer.source), range }
    }

    fn key_span(&self, table: &DeTable<'_>, key: &str) -> Span {
        self.span(table.keys().find(|k| k.get_ref() == key).map_or(0..0, Spanned::span))
    }

    fn syntax(&mut self, message: &str, range: Option<Range<usize>>) {
        let span = self.span(range.unwrap_or(0..0));
        let mut lines = message.lines();
        let first = lines.next().unwrap_or("not TOML").to_owned();
        let label = lines.collect::<Vec<_>>().join(", ");
        let mut diagnostic = Diagnostic::error(&codes::TOML_SYNTAX, first);
        if message.contains("duplicate key") {
            diagnostic = diagnostic.help("keep one of the two");
        } else {
            diagnostic = diagnostic.help("a line is a [table], or a key = value; text stands in double quotes");
        }
        self.found.push(diagnostic.at(span, label));
    }

    /// Drops what is only said because TOML broke off before it: about a value in the same line, and about keys below a
    /// header that could not be read.
    fn drop_consequences(&mut self) {
        let text = Arc::clone(&self.layer.source);
        let start = |diagnostic: &Diagnostic| diagnostic.span.as_ref().map_or(0, |span| span.range.start);
        let syntax: Vec<usize> = self.found.iter().filter(|one| one.code == &codes::TOML_SYNTAX).map(start).collect();
        self.found.retain(|diagnostic| {
            diagnostic.code == &codes::TOML_SYNTAX
                || !syntax.iter().any(|error| consequence(&text.text, *error, start(diagnostic)))
        });
    }

    fn table(&mut self, path: &'static str, table: &DeTable<'_>) {
        for (key, value) in table {
            self.entry(path, key, value);
        }
    }

    fn entry(&mut self, table: &'static str, key: &Spanned<std::borrow::Cow<'_, str>>, value: &Spanned<DeValue<'_>>) {
        let name = key.get_ref().as_ref();
        let path = if table.is_empty() { name.to_owned() } else { format!("{table}.{name}") };
        if name.contains('.') {
            // A quoted key: TOML takes its dot for a letter, and so do we.
            self.unknown(table, name, key.span());
        } else if let Some(list) = parameters::find_list(&path) {
            self.bands(list, key.span(), value);
        } else if let Some(declared) = parameters::find_table(&path) {
            self.enter(declared, key.span(), value);
        } else if let Some(parameter) = parameters::find(&path) {
            let span = self.span(value.span());
            match convert(parameter, value.get_ref(), span.clone()) {
                Ok(value) => {
                    self.layer.values.insert(parameter.path, Written { value, span });
                }
                Err(diagnostic) => {
                    self.layer.faulty.insert(path);
                    self.found.push(diagnostic);
                }
            }
        } else {
            self.unknown(table, name, key.span());
        }
    }

    fn enter(&mut self, declared: &'static Table, key: Range<usize>, value: &Spanned<DeValue<'_>>) {
        let DeValue::Table(inner) = value.get_ref() else {
            let found = describe(value.get_ref());
            let message = format!("`{}` is a table, not a value", declared.path);
            let diagnostic = Diagnostic::error(&codes::WRONG_TYPE, message)
                .at(self.span(value.span()), format!("expected a table, found {found}"))
                .help(format!("write `[{}]` on its own line, and its keys below", declared.path));
            self.found.push(diagnostic);
            return;
        };
        let span = self.span(key);
        self.layer.tables.insert(declared.path, span);
        self.table(declared.path, inner);
    }

    fn bands(&mut self, list: &'static List, key: Range<usize>, value: &Spanned<DeValue<'_>>) {
        let path = list.path;
        let wrong = |parser: &Self, range, found: &str| {
            Diagnostic::error(&codes::WRONG_TYPE, format!("`{path}` is a list of tables"))
                .at(parser.span(range), format!("expected [[{path}]], found {found}"))
                .help(format!("write `[[{path}]]`, with two brackets, once for each band"))
        };
        match value.get_ref() {
            DeValue::Array(items) => {
                self.layer.lists.entry(path).or_default();
                self.layer.lists_written.insert(path);
                for item in items {
                    if let DeValue::Table(table) = item.get_ref() {
                        self.band(list, item.span(), table, None);
                    } else {
                        let diagnostic = wrong(self, item.span(), &describe(item.get_ref()));
                        self.found.push(diagnostic);
                    }
                }
            }
            DeValue::Table(named) if self.layer.role == Role::Override => {
                for (name, band) in named {
                    match band.get_ref() {
                        DeValue::Table(table) if table.keys().any(|key| key.get_ref() == "name") => {
                            let diagnostic =
                                Diagnostic::error(&codes::UNKNOWN_KEY, "a band's name can't be set from outside")
                                    .at(self.span(name.span()), "expected another key of the band")
                                    .help("bands are told apart by their names; rename it in the recipe");
                            self.found.push(diagnostic);
                        }
                        DeValue::Table(table) => self.band(list, name.span(), table, Some(name.get_ref())),
                        other => {
                            let diagnostic = wrong(self, band.span(), &describe(other));
                            let help = format!("`--set {path}.NAME.KEY=VALUE` changes a named band");
                            self.found.push(diagnostic.help(help));
                        }
                    }
                }
            }
            DeValue::Table(_) => {
                let diagnostic = wrong(self, key, &format!("[{path}]"));
                self.found.push(diagnostic);
            }
            other => {
                let diagnostic = wrong(self, value.span(), &describe(other));
                self.found.push(diagnostic);
            }
        }
    }

    fn band(&mut self, list: &'static List, header: Range<usize>, table: &DeTable<'_>, named: Option<&str>) {
        let mut band = WrittenBand { keys: BTreeMap::new(), faulty: Vec::new(), span: self.span(header.clone()) };
        if let Some(name) = named {
            let value = super::value::Value::Text(name.to_owned());
            band.keys.insert("name", Written { value, span: band.span.clone() });
        }
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let Some(parameter) = parameters::find(&format!("{}.{name}", list.path)) else {
                self.unknown(list.path, name, key.span());
                continue;
            };
            let span = self.span(value.span());
            match convert(parameter, value.get_ref(), span.clone()) {
                Ok(value) => {
                    band.keys.insert(parameter.key(), Written { value, span });
                }
                Err(diagnostic) => {
                    band.faulty.push(parameter.key());
                    self.found.push(diagnostic);
                }
            }
        }
        self.layer.lists.entry(list.path).or_default().push(band);
    }

    fn unknown(&mut self, table: &'static str, name: &str, range: Range<usize>) {
        let place = if table.is_empty() { "at the top level".to_owned() } else { format!("in [{table}]") };
        let siblings: Vec<&str> = parameters::keys_of(table)
            .map(super::parameter::Parameter::key)
            .chain(parameters::TABLES.iter().filter_map(|t| match t.path.rsplit_once('.') {
                Some((parent, key)) => (parent == table).then_some(key),
                None => table.is_empty().then_some(t.path),
            }))
            .collect();
        let mut diagnostic = Diagnostic::error(&codes::UNKNOWN_KEY, format!("unknown key `{name}` {place}"))
            .at(self.span(range), format!("not a key {place}"));
        if let Some(near) = nearest(name, siblings.iter().copied()) {
            diagnostic = diagnostic.help(format!("did you mean `{near}`?"));
            let meant = if table.is_empty() { near.to_owned() } else { format!("{table}.{near}") };
            self.layer.faulty.insert(meant);
        } else if let Some(elsewhere) = elsewhere(name) {
            diagnostic = diagnostic.help(format!("`{name}` stands in [{elsewhere}]"));
        } else {
            diagnostic = diagnostic.help(format!("known here: {}", siblings.join(", ")));
        }
        self.found.push(diagnostic);
    }

    /// Two keys of one text that exclude each other.
    fn exclusive_keys(&mut self) {
        let mut clashes = Vec::new();
        for (path, written) in &self.layer.values {
            let Some(parameter) = parameters::find(path) else { continue };
            let Some(other_key) = parameter.excludes else { continue };
            let other_path = format!("{}.{other_key}", parameter.table());
            let Some(other) = self.layer.values.get(other_path.as_str()) else { continue };
            // Said once, at the later of the two.
            if written.span.range.start > other.span.range.start {
                let (line, _) = self.layer.source.line_column(other.span.range.start);
                let (a, b) = (parameter.key(), other_key);
                let message = format!("`{a}` and `{b}` exclude each other in [{}]", parameter.table());
                let label = format!("expected one of the two, found `{b}` in line {line} already");
                let diagnostic = Diagnostic::error(&codes::EXCLUSIVE_KEYS, message).at(written.span.clone(), label);
                clashes.push(diagnostic.help(format!("remove `{a}` or `{b}`")));
            }
        }
        self.found.append(&mut clashes);
    }

    fn band_names(&mut self) {
        let mut clashes = Vec::new();
        for list in parameters::LISTS {
            let Some(bands) = self.layer.lists.get_mut(list.path) else { continue };
            if let Some(first) = bands.get(list.most) {
                clashes.push(too_many(list, bands.len(), first.span.clone()));
                bands.truncate(list.most);
            }
            let mut names = BTreeSet::new();
            for band in bands.iter() {
                let name = band.name();
                if !name.is_empty() && !names.insert(name) {
                    let span = band.place("name");
                    let message = format!("two bands are called \"{name}\"");
                    let diagnostic = Diagnostic::error(&codes::DUPLICATE_BAND, message);
                    clashes.push(diagnostic.at(span, "expected a name of its own").help("rename one of the two"));
                }
            }
        }
        self.found.append(&mut clashes);
    }
}

/// What is said of a list that is longer than it may be, at the first table that is too much.
fn too_many(list: &List, found: usize, place: Span) -> Diagnostic {
    let (message, label, help) = too_many_words(list, found);
    Diagnostic::error(&codes::OUT_OF_RANGE, message).at(place, label).help(help)
}

/// Message, label and help of it.
pub(super) fn too_many_words(list: &List, found: usize) -> (String, String, &'static str) {
    let label = format!("expected at most {}, this is one more", list.most);
    (format!("{found} {} are too many", list.noun), label, list.fewer)
}

/// Whether what stands at `place` follows from a syntax error at `error`: in the same line, or, where that line is a
/// header, before the next header.
fn consequence(text: &str, error: usize, place: usize) -> bool {
    let (Some(before), Some(after)) = (text.get(..error), text.get(error..)) else { return false };
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let is_header = text[line_start..].trim_start().starts_with('[');
    let end = if is_header { after.find("\n[") } else { after.find('\n') };
    (line_start..=end.map_or(text.len(), |length| error + length)).contains(&place)
}

/// The only other table that knows a key, if there is exactly one.
fn elsewhere(key: &str) -> Option<&'static str> {
    let mut tables = parameters::PARAMETERS.iter().filter(|p| p.key() == key).map(super::parameter::Parameter::table);
    let first = tables.next().filter(|table| !table.is_empty())?;
    tables.next().is_none().then_some(first)
}
