//! The ledger of a show's folder: what was written there, from what, and how it was verified.
//!
//! It is a text with one JSON object a line. While a run works, lines are only added, so that a run that is killed leaves a
//! ledger of everything that it finished; at the end the whole is written anew. A line that can't be read is left aside: the
//! file that it spoke of is then made again.

use super::maps::MapNote;
use crate::formats::atomic::write_atomically;
use crate::verify::Verification;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Name of the file in the show's folder.
pub const LEDGER: &str = "ledger.jsonl";

/// Version of the ledger's form. One of another version is not read.
const FORM: u32 = 1;

/// A file that was written.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Entry {
    /// Form of the line.
    form: u32,
    /// Name of the show.
    pub show: String,
    /// Path in the show's folder.
    pub path: PathBuf,
    /// What the file was made from: plan, header, tolerances and program version.
    pub key: String,
    /// Fingerprint of its plan.
    pub fingerprint: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// Code in the file's name.
    pub code: String,
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// Id of the camera.
    pub camera: String,
    /// Id of the monitor.
    pub monitor: String,
    /// What the verifier found; `None` where it was not asked.
    pub verify: Option<Summary>,
    /// What is kept of an exposure map; `None` for files of looks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub map: Option<MapNote>,
}

/// Whose file it is.
#[derive(Clone, Debug)]
pub(super) struct Owner {
    pub show: String,
    pub code: String,
    pub look: String,
    pub part: String,
    pub camera: String,
    pub monitor: String,
}

impl Entry {
    /// A line of the present form.
    pub(super) fn new(
        path: PathBuf,
        owner: Owner,
        key: String,
        [fingerprint, sha256]: [String; 2],
        verify: Option<Summary>,
    ) -> Self {
        let Owner { show, code, look, part, camera, monitor } = owner;
        Self { form: FORM, show, path, key, fingerprint, sha256, code, look, part, camera, monitor, verify, map: None }
    }

    /// Whether the line is one that this program writes.
    fn is_sound(&self) -> bool {
        let hash = |text: &str| text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
        // A path that leads out of the folder was not written by this program.
        self.form == FORM
            && is_inside(&self.path)
            && hash(&self.fingerprint)
            && hash(&self.sha256)
            && self.map.as_ref().is_none_or(MapNote::is_sound)
    }
}

/// A verification in a few figures.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Summary {
    /// Whether all checks hold.
    pub pass: bool,
    /// Largest difference on the grey scale, −5..+5 stops, 10-bit codes.
    pub grey_max_codes: f64,
    /// Mean CIEDE2000 of the chart.
    pub patch_mean_de: f64,
    /// Largest CIEDE2000 of the chart.
    pub patch_max_de: f64,
    /// Largest CIEDE2000 of the skins.
    pub skin_max_de: f64,
    /// Whether the signal never falls along the grey scale, or only where the exact look falls too.
    pub monotonic: bool,
    /// Nodes that the look clips at the display's black or white.
    pub clipped_nodes: u64,
    /// Signal of the display's mid-grey.
    pub mid_grey_signal: f64,
    /// The checks that don't hold, in words.
    pub failures: Vec<String>,
    /// Where a tolerance is missed: the smallest usual grid that would hold them all.
    pub smallest_grid: Option<usize>,
}

impl Summary {
    /// The figures of a verification.
    #[must_use]
    pub fn of(verification: &Verification) -> Self {
        Self {
            pass: verification.pass,
            grey_max_codes: verification.grey_max_codes,
            patch_mean_de: verification.patch_mean_de,
            patch_max_de: verification.patch_max_de,
            skin_max_de: verification.skin_max_de,
            monotonic: verification.monotonic,
            clipped_nodes: verification.clipped_nodes,
            mid_grey_signal: verification.mid_grey_signal,
            failures: verification
                .failures()
                .map(|check| {
                    let worst = if check.worst.is_empty() { String::new() } else { format!("; {}", check.worst) };
                    format!("{}: {:.2} {}, at most {:.2}{worst}", check.name, check.value, check.unit, check.limit)
                })
                .collect(),
            smallest_grid: verification.smallest_grid,
        }
    }
}

/// The ledger of one folder.
#[derive(Debug)]
pub struct Ledger {
    path: PathBuf,
    entries: BTreeMap<PathBuf, Entry>,
    /// Open for adding lines.
    file: Option<File>,
}

impl Ledger {
    /// Reads the ledger of a folder; an empty one where there is none.
    ///
    /// # Errors
    /// A ledger that is there and can't be read.
    pub fn read(folder: &Path) -> io::Result<Self> {
        let path = folder.join(LEDGER);
        let bytes = match std::fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
            Err(error) => return Err(error),
        };
        let entries = String::from_utf8_lossy(&bytes)
            .lines()
            .filter_map(|line| serde_json::from_str::<Entry>(line).ok())
            .filter(Entry::is_sound)
            .map(|entry| (entry.path.clone(), entry))
            .collect();
        Ok(Self { path, entries, file: None })
    }

    /// The folder that it speaks of.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new(""))
    }

    /// What was written to a path.
    #[must_use]
    pub fn get(&self, path: &Path) -> Option<&Entry> {
        self.entries.get(path)
    }

    /// Everything, by path.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.values()
    }

    /// Adds a line.
    ///
    /// # Errors
    /// Whatever the system reports.
    pub fn add(&mut self, entry: Entry) -> io::Result<()> {
        if self.file.is_none() {
            self.file = Some(OpenOptions::new().create(true).append(true).open(&self.path)?);
        }
        let mut line = serde_json::to_vec(&entry).map_err(io::Error::from)?;
        line.push(b'\n');
        self.entries.insert(entry.path.clone(), entry);
        match &mut self.file {
            // One call, so that a line is whole or torn off, never mixed.
            Some(file) => file.write_all(&line),
            None => Ok(()),
        }
    }

    /// Takes a path out.
    pub fn remove(&mut self, path: &Path) {
        self.entries.remove(path);
    }

    /// Writes the whole anew, sorted by path.
    ///
    /// # Errors
    /// Whatever the system reports; the old ledger is then still there.
    pub fn save(&mut self) -> io::Result<()> {
        self.file = None;
        let mut bytes = Vec::new();
        for entry in self.entries.values() {
            serde_json::to_writer(&mut bytes, entry).map_err(io::Error::from)?;
            bytes.push(b'\n');
        }
        write_atomically(&self.path, &bytes)
    }
}

/// Whether a path stays in the folder that it is relative to.
fn is_inside(path: &Path) -> bool {
    path.components().all(|part| matches!(part, std::path::Component::Normal(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(path: &str, key: &str) -> Entry {
        let [show, code, look, part, camera, monitor] = ["Quay", "7KQ3", "warm", "", "a", "onboard"].map(str::to_owned);
        let owner = Owner { show, code, look, part, camera, monitor };
        Entry::new(PathBuf::from(path), owner, key.to_owned(), ["0f".repeat(32), "f0".repeat(32)], None)
    }

    #[test]
    fn a_torn_line_costs_only_itself() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let mut ledger = Ledger::read(folder.path())?;
        ledger.add(entry("onboard/warm/a.cube", "one"))?;
        ledger.add(entry("onboard/warm/b.cube", "two"))?;
        drop(ledger);
        let path = folder.path().join(LEDGER);
        let text = std::fs::read_to_string(&path)?;
        std::fs::write(&path, &text[..text.len() - 20])?;
        let ledger = Ledger::read(folder.path())?;
        assert_eq!(ledger.entries().map(|entry| entry.key.as_str()).collect::<Vec<_>>(), ["one"]);
        Ok(())
    }

    #[test]
    fn later_lines_win_and_saving_keeps_one_of_each() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let mut ledger = Ledger::read(folder.path())?;
        ledger.add(entry("a.cube", "old"))?;
        ledger.add(entry("a.cube", "new"))?;
        ledger.save()?;
        let text = std::fs::read_to_string(folder.path().join(LEDGER))?;
        assert_eq!(text.lines().count(), 1);
        assert_eq!(Ledger::read(folder.path())?.get(Path::new("a.cube")).map(|e| e.key.as_str()), Some("new"));
        Ok(())
    }

    #[test]
    fn paths_that_lead_out_are_not_believed() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let mut ledger = Ledger::read(folder.path())?;
        ledger.add(entry("../precious.cube", "x"))?;
        ledger.add(entry("/precious.cube", "x"))?;
        drop(ledger);
        assert_eq!(Ledger::read(folder.path())?.entries().count(), 0);
        Ok(())
    }

    #[test]
    fn hashes_that_are_none_are_not_believed() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let mut short = entry("a.cube", "x");
        short.sha256 = "é".to_owned();
        let mut ledger = Ledger::read(folder.path())?;
        ledger.add(short)?;
        drop(ledger);
        assert_eq!(Ledger::read(folder.path())?.entries().count(), 0);
        Ok(())
    }
}
