//! The recipe language: text → [`Recipe`] (what was written) → [`Plan`](crate::plan::Plan) (what it means).
//!
//! A recipe is a TOML file that declares one look. Reading is strict, and everything that is wrong with a file, and with
//! those that it extends, is reported at once, each with its place.

mod attached;
pub(crate) mod convert;
mod load;
pub mod map;
pub mod parameter;
pub mod parameters;
mod parse;
pub mod reference;
mod relative;
mod resolve;
pub mod schema;
mod tables;
mod template;
mod value;

pub use load::{Loaded, Overlay, load, load_over, load_text, load_trim, read_text};
pub use map::{MapBand, MapSettings};
pub use relative::absolute;
pub(crate) use resolve::{default_tone, diffusion_preset, printable};
pub use template::starter;
pub use value::{Value, Written, WrittenBand};

use crate::diagnostics::{Diagnostic, SourceText, Span};
use crate::lut::Tables;
use crate::pipeline::Fault;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// What was written, with inheritance and `--set` applied: every value with the place where it stands.
#[derive(Clone, Debug)]
pub struct Recipe {
    source: Arc<SourceText>,
    values: BTreeMap<&'static str, Written>,
    lists: BTreeMap<&'static str, Vec<WrittenBand>>,
    tables: BTreeMap<&'static str, Span>,
    /// Where the paths of the values begin: the folders of the texts that write them.
    folders: BTreeMap<&'static str, PathBuf>,
    /// The table of `after.cube`.
    after: Option<Arc<Tables>>,
    /// What is doubtful in the files that values were taken from.
    doubts: Vec<Diagnostic>,
}

impl Recipe {
    /// Nothing written yet.
    fn of(source: Arc<SourceText>) -> Self {
        Self {
            source,
            values: BTreeMap::new(),
            lists: BTreeMap::new(),
            tables: BTreeMap::new(),
            folders: BTreeMap::new(),
            after: None,
            doubts: Vec::new(),
        }
    }

    /// The value of a parameter, if it was written.
    #[must_use]
    pub fn get(&self, path: &str) -> Option<&Written> {
        self.values.get(path)
    }

    /// The hue bands, in order.
    #[must_use]
    pub fn bands(&self) -> &[WrittenBand] {
        self.items("colour.band")
    }

    /// The tables of a list, by its declared path, in order; none for any other path.
    #[must_use]
    pub fn items(&self, list: &str) -> &[WrittenBand] {
        self.lists.get(list).map_or(&[], Vec::as_slice)
    }

    /// Whether a table was written, even if empty.
    #[must_use]
    pub fn has_table(&self, path: &str) -> bool {
        self.tables.contains_key(path)
    }

    /// The place that stands for a parameter: its value, else the nearest table that was written, else the top.
    ///
    /// Paths of bands carry their index: `colour.band.0.shift_deg`, `map.band.2.to_stops`.
    #[must_use]
    pub fn place(&self, path: &str) -> Span {
        if let Some((list, rest)) = within_list(path) {
            let (index, key) = rest.split_once('.').unwrap_or((rest, ""));
            if let Some(band) = index.parse::<usize>().ok().and_then(|index| self.items(list).get(index)) {
                return band.place(key);
            }
        }
        if let Some(written) = self.values.get(path) {
            return written.span.clone();
        }
        let mut table = path;
        loop {
            if let Some(span) = self.tables.get(table) {
                return span.clone();
            }
            match table.rsplit_once('.') {
                Some((parent, _)) => table = parent,
                None => return Span { source: Arc::clone(&self.source), range: 0..0 },
            }
        }
    }

    /// A fault of the built look as a diagnostic with its place.
    #[must_use]
    pub fn locate(&self, fault: Fault) -> Diagnostic {
        let span = self.place(&fault.parameter);
        (*fault.diagnostic).at(span, fault.label)
    }
}

/// Of a path below a list of tables, the list and what stands behind it.
fn within_list(path: &str) -> Option<(&'static str, &str)> {
    parameters::LISTS.iter().find_map(|list| Some((list.path, path.strip_prefix(list.path)?.strip_prefix('.')?)))
}
