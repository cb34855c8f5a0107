//! The text of a show → the fields of its tables, checked against their declarations, each with its place.

use super::declared::{self, Key, Shape, Table};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use crate::recipe::convert::{convert, describe};
use crate::recipe::parameter::Parameter;
use crate::recipe::{Value, Written};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

/// A text with more faults than this is no TOML at all; what is said further on helps nobody.
const SYNTAX_ERRORS_MAX: usize = 20;

/// What stands behind a key.
#[derive(Clone, Debug)]
pub(super) enum Given {
    /// One value.
    One(Written),
    /// Texts or whole numbers.
    List(Vec<Written>),
    /// A table.
    Table(Fields),
    /// A list of tables.
    Tables(Vec<Fields>),
    /// Filters.
    Filters(Vec<GivenFilter>),
}

/// A filter of a light: its name, or all of it.
#[derive(Clone, Debug)]
pub(super) enum GivenFilter {
    /// A name.
    Named(Written),
    /// Its numbers, as in a table `[[filter]]`.
    Own(Fields),
}

/// The fields of one table that was written.
#[derive(Clone, Debug)]
pub(super) struct Fields {
    /// What stands for the table: its header, or the table itself where it stands on a line.
    pub span: Span,
    given: BTreeMap<&'static str, Given>,
    faulty: Vec<&'static str>,
}

impl Fields {
    /// A single value.
    pub fn one(&self, key: &str) -> Option<&Written> {
        match self.given.get(key)? {
            Given::One(written) => Some(written),
            _ => None,
        }
    }

    /// The items of a list; `None` where none was written.
    pub fn list(&self, key: &str) -> Option<&[Written]> {
        match self.given.get(key)? {
            Given::List(items) => Some(items),
            _ => None,
        }
    }

    /// A table.
    pub fn table(&self, key: &str) -> Option<&Self> {
        match self.given.get(key)? {
            Given::Table(fields) => Some(fields),
            _ => None,
        }
    }

    /// All tables of a list.
    pub fn tables(&self, key: &str) -> &[Self] {
        match self.given.get(key) {
            Some(Given::Tables(tables)) => tables,
            _ => &[],
        }
    }

    /// Filters.
    pub fn filters(&self, key: &str) -> &[GivenFilter] {
        match self.given.get(key) {
            Some(Given::Filters(filters)) => filters,
            _ => &[],
        }
    }

    /// Whether the key was written, rightly or wrongly.
    pub fn has(&self, key: &str) -> bool {
        self.given.contains_key(key) || self.faulty.contains(&key)
    }

    /// The place of a key's value, else of the table.
    pub fn place(&self, key: &str) -> Span {
        self.one(key).map_or(&self.span, |written| &written.span).clone()
    }
}

/// Reads the text of a show. Everything wrong with its form is pushed to `found`.
pub(super) fn read(source: &Arc<SourceText>, found: &mut Vec<Diagnostic>) -> Option<Fields> {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    let mut reader = Reader { source, found: Vec::new() };
    for error in errors.iter().take(SYNTAX_ERRORS_MAX) {
        let span = reader.span(error.span().unwrap_or(0..0));
        let message = error.message().lines().next().unwrap_or("not TOML").to_owned();
        let diagnostic = Diagnostic::error(&codes::TOML_SYNTAX, message).at(span, "");
        reader.found.push(diagnostic.help("a line is a [table], or a key = value; text stands in double quotes"));
    }
    if !errors.is_empty() {
        // What seems to be wrong beyond that may only be a consequence.
        found.append(&mut reader.found);
        return None;
    }
    let top = declared::table("").expect("the top level is declared");
    let fields = reader.fields(top, table.get_ref(), reader.span(0..0));
    found.append(&mut reader.found);
    Some(fields)
}

struct Reader<'a> {
    source: &'a Arc<SourceText>,
    found: Vec<Diagnostic>,
}

type Item<'i> = Spanned<DeValue<'i>>;

impl Reader<'_> {
    fn span(&self, range: Range<usize>) -> Span {
        Span { source: Arc::clone(self.source), range }
    }

    fn fields(&mut self, declared: &'static Table, table: &DeTable<'_>, span: Span) -> Fields {
        let mut fields = Fields { span, given: BTreeMap::new(), faulty: Vec::new() };
        for (name, item) in table {
            let written = name.get_ref().as_ref();
            let Some(key) = declared.keys.iter().find(|key| key.name == written) else {
                if let Some(meant) = self.unknown(declared, written, name.span()) {
                    fields.faulty.push(meant);
                }
                continue;
            };
            match self.given(declared, key, name.span(), item) {
                Some(given) => {
                    fields.given.insert(key.name, given);
                }
                None => fields.faulty.push(key.name),
            }
        }
        for key in declared.keys.iter().filter(|key| key.is_required() && !fields.has(key.name)) {
            let parameter = key.parameter().expect("a required key is a single value");
            let message = format!("`{}` is missing in {}", key.name, place_of(declared));
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, message)
                .at(fields.span.clone(), format!("expected `{}`", key.name))
                .help(format!("for example: {} = {}", key.name, parameter.example));
            self.found.push(diagnostic);
        }
        fields
    }

    fn given(&mut self, table: &Table, key: &'static Key, name: Range<usize>, item: &Item<'_>) -> Option<Given> {
        match &key.shape {
            Shape::Value(parameter) => self.one(parameter, item).map(Given::One),
            Shape::Recipe(..) => self.one(&key.parameter()?, item).map(Given::One),
            Shape::Ids(_, example) => self.texts(key, example, item).map(Given::List),
            Shape::Texts(_, example) | Shape::Settings(_, example) => self.texts(key, example, item).map(Given::List),
            Shape::Sizes(_, example) => self.sizes(key, example, item).map(Given::List),
            Shape::Table(path) => {
                let inner = declared::table(path)?;
                let DeValue::Table(written) = item.get_ref() else {
                    self.wrong(key, item, "a table", &format!("write {}", inner.written));
                    return None;
                };
                // A header speaks for its table; a table on a line speaks for itself.
                let span = if table.path.is_empty() { name } else { item.span() };
                let span = self.span(span);
                Some(Given::Table(self.fields(inner, written, span)))
            }
            Shape::Tables(path) => {
                let inner = declared::table(path)?;
                let items = self.list(key, &format!("write {}", inner.written), item)?;
                let mut tables = Vec::new();
                for item in items {
                    let DeValue::Table(written) = item.get_ref() else {
                        self.wrong(key, item, "a table", &format!("write {}", inner.written));
                        continue;
                    };
                    let span = self.span(item.span());
                    tables.push(self.fields(inner, written, span));
                }
                Some(Given::Tables(tables))
            }
            Shape::Filters(_, example) => {
                let items = self.list(key, &format!("for example: {} = {example}", key.name), item)?;
                Some(Given::Filters(items.iter().filter_map(|item| self.filter(key, example, item)).collect()))
            }
        }
    }

    fn filter(&mut self, key: &Key, example: &str, item: &Item<'_>) -> Option<GivenFilter> {
        let span = self.span(item.span());
        match item.get_ref() {
            DeValue::String(name) => Some(GivenFilter::Named(Written { value: Value::Text(name.to_string()), span })),
            DeValue::Table(written) => {
                let declared = declared::table("filter")?;
                Some(GivenFilter::Own(self.fields(declared, written, span)))
            }
            _ => {
                let help = format!("for example: {} = {example}", key.name);
                self.wrong(key, item, "the name of a filter, or { name, mired, stops }", &help);
                None
            }
        }
    }

    fn one(&mut self, parameter: &Parameter, item: &Item<'_>) -> Option<Written> {
        let span = self.span(item.span());
        match convert(parameter, item.get_ref(), span.clone()) {
            Ok(value) => Some(Written { value, span }),
            Err(diagnostic) => {
                self.found.push(diagnostic);
                None
            }
        }
    }

    fn list<'i>(&mut self, key: &Key, help: &str, item: &'i Item<'_>) -> Option<&'i DeArray<'i>> {
        match item.get_ref() {
            DeValue::Array(items) => Some(items),
            _ => {
                self.wrong(key, item, "a list in brackets", help);
                None
            }
        }
    }

    fn texts(&mut self, key: &Key, example: &str, item: &Item<'_>) -> Option<Vec<Written>> {
        let help = format!("for example: {} = {example}", key.name);
        let mut texts = Vec::new();
        for item in self.list(key, &help, item)? {
            match item.get_ref() {
                DeValue::String(text) => {
                    let span = self.span(item.span());
                    texts.push(Written { value: Value::Text(text.to_string()), span });
                }
                _ => {
                    self.wrong(key, item, "text in double quotes", &help);
                    return None;
                }
            }
        }
        Some(texts)
    }

    fn sizes(&mut self, key: &Key, example: &str, item: &Item<'_>) -> Option<Vec<Written>> {
        let help = format!("for example: {} = {example}", key.name);
        let size = crate::recipe::parameters::find("lut.size")?;
        let items = self.list(key, &help, item)?;
        if items.is_empty() {
            self.wrong(key, item, "at least one size", &help);
            return None;
        }
        items.iter().map(|item| self.one(size, item)).collect()
    }

    fn wrong(&mut self, key: &Key, item: &Item<'_>, expected: &str, help: &str) {
        let message = format!("`{}` has the wrong type", key.name);
        let label = format!("expected {expected}, found {}", describe(item.get_ref()));
        let span = self.span(item.span());
        self.found.push(Diagnostic::error(&codes::WRONG_TYPE, message).at(span, label).help(help));
    }

    /// Reports an unknown key; the known one that was probably meant is then not also missing.
    fn unknown(&mut self, table: &'static Table, name: &str, range: Range<usize>) -> Option<&'static str> {
        let place = place_of(table);
        let known = || table.keys.iter().map(|key| key.name);
        let near = nearest(name, known());
        let help = match (within(table, name), near) {
            (Some(inner), _) => format!("`{name}` is a key of {inner}"),
            (None, Some(near)) => format!("did you mean `{near}`?"),
            (None, None) => format!("known here: {}", known().collect::<Vec<_>>().join(", ")),
        };
        let diagnostic = Diagnostic::error(&codes::UNKNOWN_KEY, format!("unknown key `{name}` in {place}"))
            .at(self.span(range), format!("not a key of {place}"))
            .help(help);
        self.found.push(diagnostic);
        near
    }
}

/// How the table inside of `table` is written that knows a key; a filter, for example, belongs to a light and not to a setup.
fn within(table: &Table, name: &str) -> Option<&'static str> {
    let inner = |key: &Key| match &key.shape {
        Shape::Table(path) | Shape::Tables(path) => declared::table(path),
        _ => None,
    };
    let knows = |table: &&Table| table.keys.iter().any(|key| key.name == name);
    // At the top level every table is inside; there the names of keys say little.
    let tables = table.keys.iter().filter(|_| !table.path.is_empty()).filter_map(inner);
    tables.filter(knows).map(|table| table.written).next()
}

fn place_of(table: &Table) -> &'static str {
    if table.path.is_empty() { "a show" } else { table.written }
}
