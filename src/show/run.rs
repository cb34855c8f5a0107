//! Makes the files of a show: in parallel over the files, each whole or not at all, what is unchanged left as it is.

use super::jobs::{Job, Part, Selection, Work};
use super::ledger::{Entry, LEDGER, Ledger, Owner, Summary};
use super::maps::{MapFile, map_files};
use super::model::Show;
use crate::compile::{fingerprint_of, header_of, not_finite};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::atomic::write_atomically;
use crate::formats::cube::{self, CubeFile, Header, Tables};
use crate::formats::slug;
use crate::lut::{Sampled, Table3, sample_alone};
use crate::plan::hex;
use crate::verify::{Verification, compare_nodes, verify};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Name of the file that a run holds as long as it writes into a show's folder.
const LOCK: &str = ".lock";

/// How a show is made.
#[derive(Clone, Debug)]
pub struct Options {
    /// The folder that shows are written to; the show has a folder of its own in it.
    pub out: PathBuf,
    /// Whether files are verified.
    pub verified: bool,
    /// Whether unchanged files are made again.
    pub force: bool,
    /// What is made.
    pub selection: Selection,
}

/// What became of one job.
#[derive(Clone, Debug)]
pub enum Made {
    /// The file was written.
    Written {
        /// What was written.
        entry: Entry,
        /// Fingerprint, or the beginning of the SHA-256, of another look's file that was replaced.
        replaced: Option<String>,
    },
    /// The file is there already, unchanged, and was verified when it was written.
    Unchanged {
        /// What was written then.
        entry: Entry,
    },
    /// The file is one that a monitor may hold, and it holds another look: it stays as it is.
    Held(Box<Diagnostic>),
    /// It could not be made.
    Failed(Vec<Diagnostic>),
    /// The run ended before.
    NotDone,
}

impl Made {
    /// The file, where there is one.
    #[must_use]
    pub fn entry(&self) -> Option<&Entry> {
        match self {
            Self::Written { entry, .. } | Self::Unchanged { entry } => Some(entry),
            Self::Held(_) | Self::Failed(_) | Self::NotDone => None,
        }
    }
}

/// What a caller can watch while a show is made. Jobs are places in [`Run::jobs`].
pub enum Event<'a> {
    /// The work begins: how many jobs, and what each costs beside the others.
    Started {
        /// Cost of each job, in points of its table.
        costs: &'a [u64],
    },
    /// One is done.
    Done {
        /// The job.
        job: usize,
        /// Its path in the show's folder.
        path: &'a Path,
        /// What became of it.
        made: &'a Made,
        /// Everything that the verifier found, where the file was written and verified now.
        verification: Option<&'a Verification>,
    },
}

/// A show that was made.
#[derive(Debug)]
pub struct Run {
    /// The show's folder.
    pub folder: PathBuf,
    /// The jobs of the selection, as places in [`Work::jobs`].
    pub jobs: Vec<usize>,
    /// What became of each.
    pub made: Vec<Made>,
    /// The table of each, as it was read back.
    pub seen: Vec<Option<Seen>>,
    /// Files that earlier runs wrote and the show no longer asks for, by their path in the folder.
    pub left: Vec<Left>,
    /// Half-written files of a run that was killed, which were taken away.
    pub swept: usize,
    /// Whether it was stopped before the end.
    pub stopped: bool,
    /// The ledger.
    pub ledger: Ledger,
    /// Held until the run is dropped.
    _lock: File,
}

/// What is kept of a table for the consistency proof.
pub type Seen = super::consistency::Seen;

/// A file of an earlier run that the show no longer asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Left {
    /// Path in the show's folder.
    pub path: PathBuf,
    /// Whether somebody changed it since it was written; it is then never taken away.
    pub changed: bool,
}

/// The folder of a show's files, in `out`.
#[must_use]
pub fn folder_of(out: &Path, show: &Show) -> PathBuf {
    out.join(slug(&show.name.text))
}

/// Whether another show has its files in that folder.
///
/// # Errors
/// It has; or the folder's ledger can't be read.
pub fn check_folder(folder: &Path, show: &Show) -> Result<(), Vec<Diagnostic>> {
    let ledger = Ledger::read(folder).map_err(|error| vec![unwritable(folder, &error)])?;
    belongs_to(&ledger, folder, show)
}

fn belongs_to(ledger: &Ledger, folder: &Path, show: &Show) -> Result<(), Vec<Diagnostic>> {
    match ledger.entries().find(|entry| entry.show != show.name.text) {
        Some(other) => Err(vec![of_another_show(folder, &other.show, &show.name.text)]),
        None => Ok(()),
    }
}

/// Makes the files. `stop` ends the work after the files that are being made; `watch` is called from several threads.
///
/// # Errors
/// A folder that can't be used, or in which another run is working. What is wrong with single files stands in
/// [`Run::made`].
pub fn run(
    work: &Work,
    options: &Options,
    stop: &AtomicBool,
    watch: &(dyn Fn(Event<'_>) + Sync),
) -> Result<Run, Vec<Diagnostic>> {
    let Hold { folder, ledger, lock } = Hold::new(&options.out, &work.show)?;
    let swept = sweep(&folder);
    let jobs: Vec<usize> =
        (0..work.jobs.len()).filter(|index| options.selection.has(&work.show, &work.jobs[*index])).collect();
    let maker = Maker { work, options, folder: &folder, ledger: Mutex::new(ledger) };
    let costs: Vec<u64> = jobs.iter().map(|index| maker.cost(&work.jobs[*index])).collect();
    watch(Event::Started { costs: &costs });
    let mut results: Vec<(Made, Option<Seen>)> = Vec::new();
    jobs.par_iter()
        .enumerate()
        // One job is a good share of work for a thread.
        .with_max_len(1)
        .map(|(place, index)| {
            if stop.load(Ordering::Relaxed) {
                return (Made::NotDone, None);
            }
            let (made, seen, verification) = maker.make(&work.jobs[*index]);
            if let Made::Failed(found) = &made
                && found.iter().any(|one| one.code == &codes::FILE_UNWRITABLE)
            {
                // A full disk does not get emptier: what is whole stays, nothing more is begun.
                stop.store(true, Ordering::Relaxed);
            }
            let path = &work.jobs[*index].path;
            watch(Event::Done { job: place, path, made: &made, verification: verification.as_ref() });
            (made, seen)
        })
        .collect_into_vec(&mut results);
    let mut ledger = maker.ledger.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    let left = left(work, &mut ledger, &folder);
    let (made, seen): (Vec<_>, Vec<_>) = results.into_iter().unzip();
    // Where even this fails, the lines that were added tell the same.
    let _ = ledger.save();
    let stopped = made.iter().any(|made| matches!(made, Made::NotDone));
    Ok(Run { folder, jobs, made, seen, left, swept, stopped, ledger, _lock: lock })
}

/// A show's folder, in which no other run writes as long as this is held.
#[derive(Debug)]
pub struct Hold {
    /// The folder.
    pub folder: PathBuf,
    /// Its ledger.
    pub ledger: Ledger,
    lock: File,
}

impl Hold {
    /// Makes the folder in `out` if it is missing, and holds it.
    ///
    /// # Errors
    /// It can't be used, another run is working in it, or it holds the files of another show.
    pub fn new(out: &Path, show: &Show) -> Result<Self, Vec<Diagnostic>> {
        let folder = folder_of(out, show);
        let unwritable = |error: std::io::Error| vec![unwritable(&folder, &error)];
        fs::create_dir_all(&folder).map_err(unwritable)?;
        let lock = lock(&folder).map_err(|diagnostic| vec![*diagnostic])?;
        let ledger = Ledger::read(&folder).map_err(unwritable)?;
        belongs_to(&ledger, &folder, show)?;
        Ok(Self { folder, ledger, lock })
    }
}

impl Run {
    /// Takes away the files that the show no longer asks for, and the folders that are empty then. Files that somebody
    /// changed stay. Gives back what was removed, and what could not be.
    pub fn prune(&mut self) -> (Vec<PathBuf>, Vec<Diagnostic>) {
        let mut removed = Vec::new();
        let mut failed = Vec::new();
        for left in self.left.iter().filter(|left| !left.changed) {
            let path = self.folder.join(&left.path);
            if let Err(error) = fs::remove_file(&path) {
                let message = format!("{}: {error}", path.display());
                failed.push(Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("the file was not removed"));
                continue;
            }
            self.ledger.remove(&left.path);
            removed.push(left.path.clone());
            for parent in left.path.ancestors().skip(1).filter(|parent| !parent.as_os_str().is_empty()) {
                // Fails where something else is in it, which is as it should be.
                if fs::remove_dir(self.folder.join(parent)).is_err() {
                    break;
                }
            }
        }
        self.left.retain(|left| !removed.contains(&left.path));
        if let Err(error) = self.ledger.save() {
            failed.push(unwritable(&self.folder.join(LEDGER), &error));
        }
        (removed, failed)
    }
}

fn unwritable(path: &Path, error: &std::io::Error) -> Diagnostic {
    Diagnostic::error(&codes::FILE_UNWRITABLE, format!("{}: {error}", path.display()))
        .help("make room or choose another folder with --out; files that were finished are whole")
}

fn lock(folder: &Path) -> Result<File, Box<Diagnostic>> {
    let path = folder.join(LOCK);
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(|error| Box::new(unwritable(&path, &error)))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            let message = format!("{}: another run is writing into this folder", folder.display());
            Err(Box::new(
                Diagnostic::error(&codes::FOLDER_IN_USE, message).help("wait until it is done, or name another --out"),
            ))
        }
        // A file system without locks: two runs at once are then the user's own affair.
        Err(TryLockError::Error(_)) => Ok(file),
    }
}

/// Takes away half-written files of a run that was killed. Nobody else writes while the folder is locked.
fn sweep(folder: &Path) -> usize {
    let mut swept = 0;
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            let (path, name) = (entry.path(), entry.file_name());
            let name = name.to_string_lossy();
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => folders.push(path),
                Ok(kind) if kind.is_file() && name.starts_with(".lookwright-") && name.ends_with(".part") => {
                    swept += usize::from(fs::remove_file(&path).is_ok());
                }
                _ => {}
            }
        }
    }
    swept
}

/// Files of the ledger that no job writes. Those of versions that the show records stay, and are not counted: a monitor may
/// hold them. So do the exposure maps of cameras and monitors that some look puts together, though no job writes them. Lines about files that are gone are taken out.
fn left(work: &Work, ledger: &mut Ledger, folder: &Path) -> Vec<Left> {
    let mut wanted: BTreeSet<PathBuf> = work.jobs.iter().map(|job| job.path.clone()).collect();
    let maps = map_files(work);
    // Where maps have no names, none of them is taken away.
    let maps_are_named = maps.is_ok();
    let maps = maps.unwrap_or_default();
    wanted.extend(maps.iter().flat_map(|map| [map.legend(), map.cube.clone()]));
    // A map whose name moved, because a new look took it, stays until it is made under the new one.
    let awaited = |entry: &Entry| {
        let show = &work.show;
        let its = |map: &&MapFile| {
            show.cameras[map.camera].id.is(&entry.camera) && show.monitors[map.monitor].id.is(&entry.monitor)
        };
        maps.iter().find(its).is_some_and(|map| ledger.get(&map.cube).is_none())
    };
    let stays = |entry: &Entry| match entry.map {
        Some(_) => !maps_are_named || awaited(entry),
        None => is_version_file(work, entry),
    };
    let others: Vec<Entry> =
        ledger.entries().filter(|entry| !wanted.contains(&entry.path) && !stays(entry)).cloned().collect();
    let mut left = Vec::new();
    for entry in others {
        match fs::read(folder.join(&entry.path)) {
            Ok(bytes) => {
                let changed = hex(&Sha256::digest(&bytes)) != entry.sha256;
                left.push(Left { path: entry.path, changed });
            }
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => ledger.remove(&entry.path),
            Err(_) => {}
        }
    }
    left
}

/// Whether a file is that of a version which the show records.
fn is_version_file(work: &Work, entry: &Entry) -> bool {
    let show = &work.show;
    let look = |version: &super::LookVersion| &show.looks[show.setups[version.setup].look].id;
    show.versions.iter().any(|version| version.id.is(&entry.part) && look(version).is(&entry.look))
}

struct Maker<'a> {
    work: &'a Work,
    options: &'a Options,
    folder: &'a Path,
    ledger: Mutex<Ledger>,
}

type One = (Made, Option<Seen>, Option<Verification>);

/// Why a file was not made.
enum Fault {
    Held(Box<Diagnostic>),
    Failed(Vec<Diagnostic>),
}

impl From<Vec<Diagnostic>> for Fault {
    fn from(found: Vec<Diagnostic>) -> Self {
        Self::Failed(found)
    }
}

impl Maker<'_> {
    /// What a job costs beside the others, in points of a table. What is measured beside: sampling, writing and reading grow with
    /// the table, verifying hardly; a file that is only looked at costs a tenth.
    fn cost(&self, job: &Job) -> u64 {
        const VERIFYING: u64 = 60_000;
        const MADE_TO_LOOKED_AT: u64 = 10;
        let points = (job.plan.device.size as u64).pow(3);
        let whole = points + if self.options.verified { VERIFYING } else { 0 };
        if self.stands(job, &key(job, &header(job))).is_some() { whole / MADE_TO_LOOKED_AT } else { whole }
    }

    /// What the ledger says of a job's file, where that need not be made again.
    fn stands(&self, job: &Job, key: &str) -> Option<Entry> {
        self.known(&job.path).filter(|entry| {
            !self.options.force && entry.key == key && (entry.verify.is_some() || !self.options.verified)
        })
    }

    fn make(&self, job: &Job) -> One {
        match self.try_make(job) {
            Ok(one) => one,
            Err(Fault::Held(diagnostic)) => (Made::Held(diagnostic), None, None),
            Err(Fault::Failed(found)) => (Made::Failed(found), None, None),
        }
    }

    fn try_make(&self, job: &Job) -> Result<One, Fault> {
        let path = self.folder.join(&job.path);
        let header = header(job);
        let key = key(job, &header);
        if let Some(entry) = self.stands(job, &key)
            && let Some(table) = unchanged(&path, &entry)
        {
            let seen = self.see(job, &table);
            return Ok((Made::Unchanged { entry }, Some(seen), None));
        }
        let exact = sample_alone(&job.pipeline, job.plan.device.size);
        if exact.clips.not_finite > 0 {
            return Err(vec![not_finite(exact.clips.not_finite, job.grade_place.clone())].into());
        }
        let (sha256, replaced) = self.write(job, &path, &header, &exact)?;
        let table = table_of(cube::read(&path)?, &path)?;
        let verification = self.options.verified.then(|| verify(&table, &job.plan, &job.pipeline, &exact));
        drop(exact);
        let seen = self.see(job, &table);
        let show = &self.work.show;
        let owner = Owner {
            show: show.name.text.clone(),
            code: job.code.clone(),
            look: show.looks[job.look].id.text.clone(),
            part: show.part_id(job.look, job.part).to_owned(),
            camera: show.cameras[job.camera].id.text.clone(),
            monitor: show.monitors[job.monitor].id.text.clone(),
        };
        let summary = verification.as_ref().map(Summary::of);
        let entry = Entry::new(job.path.clone(), owner, key, [job.plan.fingerprint(), sha256], summary);
        self.note(&entry).map_err(|error| vec![unwritable(&self.folder.join(LEDGER), &error)])?;
        Ok((Made::Written { entry, replaced }, Some(seen), verification))
    }

    fn see(&self, job: &Job, table: &Table3) -> Seen {
        super::consistency::see(&job.plan, &job.pipeline, table)
    }

    fn known(&self, path: &Path) -> Option<Entry> {
        self.ledger.lock().ok()?.get(path).cloned()
    }

    fn note(&self, entry: &Entry) -> std::io::Result<()> {
        self.ledger.lock().unwrap_or_else(std::sync::PoisonError::into_inner).add(entry.clone())
    }

    /// Writes the file; what it replaces is told. The file of a version is only written where none is, or one with the same
    /// numbers and another header.
    fn write(
        &self,
        job: &Job,
        path: &Path,
        header: &Header,
        exact: &Sampled,
    ) -> Result<(String, Option<String>), Fault> {
        let mut bytes = Vec::new();
        cube::write(&exact.table, header, &mut bytes);
        let sha256 = hex(&Sha256::digest(&bytes));
        let earlier = fs::read(path).ok();
        if earlier.as_ref() == Some(&bytes) {
            return Ok((sha256, None));
        }
        let is_version = matches!(job.part, Part::Version(_));
        // What a version was written to stays its own, also where other names would now lead there.
        let of_version = is_version || self.known(&job.path).is_some_and(|entry| is_version_file(self.work, &entry));
        if of_version && earlier.is_some() && !holds(path, exact) {
            return Err(Fault::Held(Box::new(file_held(path, is_version))));
        }
        let replaced = earlier.as_ref().and_then(|earlier| self.replaced(job, path, earlier));
        let folder = path.parent().unwrap_or(self.folder);
        fs::create_dir_all(folder).map_err(|error| vec![unwritable(folder, &error)])?;
        write_atomically(path, &bytes).map_err(|error| vec![unwritable(path, &error)])?;
        Ok((sha256, replaced))
    }

    /// What a file that is there already was: the fingerprint of another look, or the beginning of its SHA-256 where it
    /// has none. `None` where it is the same look.
    fn replaced(&self, job: &Job, path: &Path, earlier: &[u8]) -> Option<String> {
        let fingerprint = job.plan.fingerprint();
        let sha256 = || hex(&Sha256::digest(earlier));
        let of_ledger =
            || self.known(&job.path).filter(|entry| entry.sha256 == sha256()).map(|entry| entry.fingerprint);
        let was = fingerprint_of(path).or_else(of_ledger).unwrap_or_else(sha256);
        (was != fingerprint).then_some(was)
    }
}

fn header(job: &Job) -> Header {
    let header = header_of(&job.plan, &job.title, &job.facts);
    Header { comments_allowed: job.comments, newline: job.newline, ..header }
}

/// The bytes of a job's file, and its table as it is before it is printed.
///
/// # Errors
/// A grade that sends a colour of the table to infinity.
pub fn file_of(job: &Job) -> Result<(Vec<u8>, Sampled), Vec<Diagnostic>> {
    let exact = sample_alone(&job.pipeline, job.plan.device.size);
    if exact.clips.not_finite > 0 {
        return Err(vec![not_finite(exact.clips.not_finite, job.grade_place.clone())]);
    }
    let mut bytes = Vec::new();
    cube::write(&exact.table, &header(job), &mut bytes);
    Ok((bytes, exact))
}

/// What a job's file is made from, and what it is held against.
pub(super) fn key_of(job: &Job) -> String {
    key(job, &header(job))
}

/// The same with a header that is at hand.
fn key(job: &Job, header: &Header) -> String {
    let text =
        format!("{}\n{header:?}\n{:?}\n{}", job.plan.canonical(), job.plan.tolerances, env!("CARGO_PKG_VERSION"));
    hex(&Sha256::digest(text.as_bytes()))
}

/// The table of a file that is still what was written.
fn unchanged(path: &Path, entry: &Entry) -> Option<Table3> {
    let bytes = fs::read(path).ok()?;
    if hex(&Sha256::digest(&bytes)) != entry.sha256 {
        return None;
    }
    table_of(cube::parse(&path.display().to_string(), &bytes).ok()?, path).ok()
}

fn table_of(file: CubeFile, path: &Path) -> Result<Table3, Vec<Diagnostic>> {
    match file.tables {
        Tables::Three(table) => Ok(table),
        Tables::One(_) | Tables::Shaped { .. } => {
            let message = format!("{}: read back as another kind of table", path.display());
            Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message)])
        }
    }
}

/// Whether a file holds exactly this table, whatever its header says.
fn holds(path: &Path, exact: &Sampled) -> bool {
    cube::read(path).and_then(|file| table_of(file, path)).is_ok_and(|table| compare_nodes(&table, &exact.table).pass())
}

fn file_held(path: &Path, is_version: bool) -> Diagnostic {
    let message = format!("{}: the file of a version holds another look, and stays as it is", path.display());
    let diagnostic = Diagnostic::warning(&codes::FILE_HELD, message);
    if is_version {
        diagnostic
            .help("a monitor may hold it: make a version of another name with --as")
            .help("if nothing holds it, or camera or monitor were changed since: move it away and run again")
    } else {
        diagnostic.help("another look's name leads to the same file: give it another id, or the device longer names")
    }
}

/// What is said of a folder that another show writes to.
fn of_another_show(folder: &Path, other: &str, name: &str) -> Diagnostic {
    let message = format!("{}: the folder holds the files of the show \"{other}\"", folder.display());
    Diagnostic::error(&codes::FOLDER_OF_OTHER, message)
        .help(format!("name another folder with --out; if \"{name}\" is its new name, move the folder away"))
}
