//! Versions: a setup's look is changed on the day, beside what the monitors hold, and the show keeps the record.

use super::jobs::{Part, Work, look_fingerprint, read_recipe};
use super::load::{id_faults, unknown_id};
use super::model::{Id, LookVersion, Show, Variant};
use super::words::changes;
use crate::diagnostics::{Diagnostic, SourceText, Span, codes};
use crate::formats::atomic::write_atomically;
use crate::recipe::absolute;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Tables that the show decides.
const SHOWS: [&str; 5] = ["camera", "trim", "display", "lut", "verify"];

/// A version that is about to be made.
#[derive(Clone, Debug)]
pub struct NewVersion {
    /// The show's text as it was read.
    before: String,
    /// The text with the version's record at its end.
    pub text: String,
    /// The setup, as a place in the show's setups.
    pub setup: usize,
    /// Its id.
    pub id: String,
    /// The version that it starts from.
    pub from: String,
    /// What changed, in words.
    pub changed: String,
    /// What its look means.
    pub look_fingerprint: String,
}

impl NewVersion {
    /// Works out a version: `set` is laid over the version `from` of the setup, or over its newest one; without `set`, `from` is
    /// brought back. `made` is the time, to be kept with it.
    ///
    /// # Errors
    /// A setup, version or key that does not exist; an id that is taken; a change that changes nothing; everything that is
    /// wrong with the recipe.
    pub fn plan(
        show: &Show,
        setup: usize,
        from: Option<&str>,
        set: &[String],
        id: &str,
        made: &str,
    ) -> Result<Self, Vec<Diagnostic>> {
        let of_setup = &show.setups[setup];
        id_is_free(show, setup, id)?;
        let base = base(show, setup, from).map_err(|diagnostic| vec![*diagnostic])?;
        let (from, earlier): (&str, &[String]) =
            base.map_or((of_setup.id.text.as_str(), &[]), |version| (version.id.text.as_str(), &version.set));
        let refused: Vec<Diagnostic> = set.iter().filter_map(|one| refuse(one)).collect();
        if !refused.is_empty() {
            return Err(refused);
        }
        let before = read_recipe(show, of_setup.look, earlier)?;
        let mut all = earlier.to_vec();
        for one in set {
            // One after the other: a step starts from what holds by then.
            let recipe = read_recipe(show, of_setup.look, &all)?;
            let one = absolute(one, &recipe).map_err(|diagnostic| vec![*diagnostic])?;
            let key = key_of(&one).to_owned();
            all.retain(|known| key_of(known) != key);
            all.push(one);
        }
        let after = read_recipe(show, of_setup.look, &all)?;
        let variant = variant(show, setup);
        let look_fingerprint_now = look_fingerprint(&after, variant);
        let mut changed = if set.is_empty() { format!("back to {from}") } else { changes(&before, &after) };
        let before_fingerprint = look_fingerprint(&before, variant);
        if base.is_some_and(|base| base.look_fingerprint.text != before_fingerprint) {
            // What the recipe's own change did to it stands in no `set`.
            changed += &format!(", and its recipe was changed since {from}");
        }
        // What holds now is the newest version, or the look as the recipe has it.
        let newest = show.versions_of(setup).last();
        let (name, holds) = match newest {
            Some(newest) => (newest.id.text.as_str(), newest.look_fingerprint.text.clone()),
            None => (of_setup.id.text.as_str(), look_fingerprint(&read_recipe(show, of_setup.look, &[])?, variant)),
        };
        let same_as = if look_fingerprint_now == holds {
            Some(name)
        } else {
            (!set.is_empty() && look_fingerprint_now == before_fingerprint).then_some(from)
        };
        if let Some(same) = same_as {
            let given =
                if set.is_empty() { format!("--from {from}") } else { format!("--set {}", set.join(" --set ")) };
            let span = Span { range: 0..given.len(), source: SourceText::new("the command line", given) };
            return Err(vec![
                Diagnostic::error(&codes::VERSION_SAME, format!("nothing changes against \"{same}\""))
                    .at(span, "this holds already")
                    .help("set another value; `key=+5` adds to what holds"),
            ]);
        }
        let record = record(&of_setup.id.text, id, from, &all, &changed, made, &look_fingerprint_now);
        let before = show.source.text.clone();
        let gap = if before.ends_with('\n') { "" } else { "\n" };
        let newline = if before.contains("\r\n") { "\r\n" } else { "\n" };
        let record = format!("{gap}\n{record}").replace('\n', newline);
        Ok(Self {
            text: format!("{before}{record}"),
            before,
            setup,
            id: id.to_owned(),
            from: from.to_owned(),
            changed,
            look_fingerprint: look_fingerprint_now,
        })
    }

    /// Writes the record into the show: everything that was in it stays byte for byte.
    ///
    /// # Errors
    /// A show that was saved by somebody else meanwhile, or that can't be written.
    pub fn keep(&self, path: &Path) -> Result<(), Vec<Diagnostic>> {
        // Another run may write into another folder and have a record for the same show. Where files can't be locked, two runs
        // at once are the user's own affair.
        let lock = std::fs::File::open(path).ok();
        if let Some(file) = &lock {
            let _ = file.lock();
        }
        let now = std::fs::read(path).map_err(|error| {
            vec![Diagnostic::error(&codes::FILE_UNREADABLE, format!("{}: {error}", path.display()))]
        })?;
        if now != self.before.as_bytes() {
            let message = format!("{}: the show was changed while the version was made", path.display());
            return Err(vec![
                Diagnostic::error(&codes::SHOW_CHANGED, message)
                    .help("run the command again: the files are there already, and only the record is missing"),
            ]);
        }
        write_atomically(path, self.text.as_bytes()).map_err(|error| {
            let message = format!("{}: {error}", path.display());
            vec![
                Diagnostic::error(&codes::FILE_UNWRITABLE, message)
                    .help("the version's files are written, but the show has no record of it: run the command again"),
            ]
        })
    }
}

/// The id of a new version: one that can be part of a file name, and that nothing else of the setup's look has.
fn id_is_free(show: &Show, setup: usize, id: &str) -> Result<(), Vec<Diagnostic>> {
    let span = Span { source: SourceText::new("--as", id), range: 0..id.len() };
    let new = Id { text: id.to_owned(), span: span.clone() };
    let mut found = id_faults("version", &new);
    let variants = &show.looks[show.setups[setup].look].variants;
    let taken = show.setups.iter().map(|setup| &setup.id).chain(show.versions.iter().map(|version| &version.id));
    if let Some(first) = taken.chain(variants.iter().map(|variant| &variant.id)).find(|known| known.is(id)) {
        let (line, _) = first.span.source.line_column(first.span.range.start);
        let label = format!("expected an id of its own, found that of line {line} of the show");
        let diagnostic = Diagnostic::error(&codes::ID_TWICE, format!("the show has the id \"{id}\" already"));
        found.push(diagnostic.at(span, label).help("name the version otherwise, for example with one letter more"));
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

/// The version of that id, the newest where none is named; `None` for the look as the recipe has it.
fn base<'a>(show: &'a Show, setup: usize, from: Option<&str>) -> Result<Option<&'a LookVersion>, Box<Diagnostic>> {
    let of_setup = &show.setups[setup];
    let Some(wanted) = from else { return Ok(show.versions_of(setup).last()) };
    if of_setup.id.is(wanted) {
        return Ok(None);
    }
    show.versions_of(setup).find(|version| version.id.is(wanted)).map(Some).ok_or_else(|| {
        let known: Vec<&Id> =
            std::iter::once(&of_setup.id).chain(show.versions_of(setup).map(|version| &version.id)).collect();
        let span = Span { source: SourceText::new("--from", wanted), range: 0..wanted.len() };
        Box::new(unknown_id(span, wanted, &format!("setup \"{}\"", of_setup.id.text), "version", &known))
    })
}

fn variant(show: &Show, setup: usize) -> Option<&Variant> {
    let setup = &show.setups[setup];
    setup.variant.map(|variant| &show.looks[setup.look].variants[variant])
}

fn key_of(setting: &str) -> &str {
    setting.split_once('=').map_or(setting, |(key, _)| key).trim_end_matches(['+', '-', ' ']).trim()
}

/// Keys that are none of a version's.
fn refuse(setting: &str) -> Option<Diagnostic> {
    let key = key_of(setting);
    let table = key.split('.').next().unwrap_or(key);
    let span = Span { source: SourceText::new("--set", setting), range: 0..key.len() };
    if SHOWS.contains(&table) {
        let message = format!("`{key}` is no part of a setup's look");
        let diagnostic = Diagnostic::error(&codes::NOT_THE_SHOWS, message);
        let help = match table {
            "camera" => "change [[camera]] in the show",
            "trim" => "a trim belongs to one camera: name its file in [[camera]]",
            "verify" => "tolerances are no part of a look: change [verify] in its recipe",
            _ => "change [[monitor]] in the show",
        };
        return Some(diagnostic.at(span, "expected a key of the look").help(help));
    }
    if matches!(key, "look.name" | "look.note" | "look.extends" | "lookwright") {
        let diagnostic = Diagnostic::error(&codes::NOT_THE_SHOWS, format!("`{key}` is written into a recipe, not set"));
        return Some(diagnostic.at(span, "expected a key of the look").help("a version is named with --as"));
    }
    None
}

fn record(
    setup: &str,
    id: &str,
    from: &str,
    set: &[String],
    changed: &str,
    made: &str,
    look_fingerprint: &str,
) -> String {
    let quoted = |text: &str| toml::Value::String(text.to_owned()).to_string();
    let set: Vec<String> = set.iter().map(|one| quoted(one)).collect();
    let mut lines = vec![
        "[[version]]".to_owned(),
        format!("setup = {}", quoted(setup)),
        format!("id = {}", quoted(id)),
        format!("from = {}", quoted(from)),
        format!("set = [{}]", set.join(", ")),
        format!("changed = {}", quoted(changed)),
    ];
    if !made.is_empty() {
        lines.push(format!("made = {}", quoted(made)));
    }
    lines.push(format!("look_fingerprint = {}", quoted(look_fingerprint)));
    lines.push(String::new());
    lines.join("\n")
}

/// The versions of one setup.
#[derive(Clone, Debug, Serialize)]
pub struct SetupLog {
    /// The setup.
    pub setup: String,
    /// Id of its look.
    pub look: String,
    /// Name of the recipe's look.
    pub name: String,
    /// Id of its variant, empty for the look itself.
    pub variant: String,
    /// Ids of its cameras.
    pub cameras: Vec<String>,
    /// Its versions in order, the look as the recipe has it first.
    pub versions: Vec<Logged>,
}

/// One version.
#[derive(Clone, Debug, Serialize)]
pub struct Logged {
    /// Its id; the setup's own for the first.
    pub id: String,
    /// What it was made from, empty for the first.
    pub from: String,
    /// When, as was written.
    pub made: String,
    /// What changed against `from`, in words.
    pub changed: String,
    /// What its look means.
    pub look_fingerprint: String,
    /// What its look would mean now, where the recipe was changed since.
    pub drifted: Option<String>,
    /// Its files, by their path in the show's folder; empty where the recipe was changed since.
    pub files: Vec<PathBuf>,
}

/// The files of a look, variant or version for some cameras.
fn files(work: &Work, look: usize, part: Part, cameras: &[usize]) -> Vec<PathBuf> {
    let of = work.jobs.iter().filter(|job| (job.look, job.part) == (look, part) && cameras.contains(&job.camera));
    of.map(|job| job.path.clone()).collect()
}

/// The versions of every setup, or of one.
///
/// # Errors
/// Everything that is wrong with the recipes.
pub fn log(work: &Work, only: Option<usize>) -> Result<Vec<SetupLog>, Vec<Diagnostic>> {
    let show = &work.show;
    let mut logs = Vec::new();
    for (index, setup) in show.setups.iter().enumerate().filter(|(index, _)| only.is_none_or(|only| only == *index)) {
        let recipe = read_recipe(show, setup.look, &[])?;
        let (plan, _) = recipe.resolve_all();
        let variant = variant(show, index);
        let mut versions = vec![Logged {
            id: setup.id.text.clone(),
            from: String::new(),
            made: String::new(),
            changed: String::new(),
            look_fingerprint: look_fingerprint(&recipe, variant),
            drifted: None,
            files: files(work, setup.look, setup.variant.map_or(Part::Look, Part::Variant), &setup.cameras),
        }];
        let of_setup = show.versions.iter().enumerate().filter(|(_, version)| version.setup == index);
        for (place, version) in of_setup {
            let now = look_fingerprint(&read_recipe(show, setup.look, &version.set)?, variant);
            let recorded = version.look_fingerprint.text.clone();
            versions.push(Logged {
                id: version.id.text.clone(),
                from: version.from.text.clone(),
                made: version.made.clone(),
                changed: version.changed.clone(),
                drifted: (now != recorded).then_some(now),
                look_fingerprint: recorded,
                files: files(work, setup.look, Part::Version(place), &setup.cameras),
            });
        }
        logs.push(SetupLog {
            setup: setup.id.text.clone(),
            look: show.looks[setup.look].id.text.clone(),
            name: plan.look.name,
            variant: variant.map(|variant| variant.id.text.clone()).unwrap_or_default(),
            cameras: setup.cameras.iter().map(|camera| show.cameras[*camera].id.text.clone()).collect(),
            versions,
        });
    }
    Ok(logs)
}
