//! A package on arrival: is it what was packed, and is it what the recipes say.
//!
//! Three questions are asked of it, each on its own: whether the bytes are those that were packed (checksums), whether they are what the
//! texts in the package make (everything is compiled again and compared), and whether the different languages say one picture (cubes,
//! steps and CDLs against each other, read by nothing but their readers).

use super::compared::Comparing;
use super::inside::stay_inside;
use super::lists::annotated;
use super::manifest::{FORM, LutNote, MANIFEST, Manifest};
use super::pack::{Options, Packer, lut_note};
use super::parts::{PartKey, part_stem, slashed};
use super::same_picture::{Picture, same_pictures};
use super::start::StartHere;
use super::told::{Told, told_of};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::cube::{self, Tables};
use crate::formats::package::{CHECKSUMS, MAX_ENTRIES, MEDIA_HASH_FOLDER, Package, parse_checksums};
use crate::lut::Sampled;
use crate::plan::hex;
use crate::report;
use crate::show::{Job, Selection, Show, Work, file_of, prepare};
use crate::verify::verify;
use rayon::prelude::*;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// What was found of a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Path in the package.
    pub file: String,
    /// What is the matter, in a word: "changed", "missing", "renamed", "added", "edited", "re-saved", "swapped", "recipe changed", "unreadable",
    /// "out of tolerance", "another picture".
    pub what: &'static str,
    /// The same in a sentence.
    pub told: String,
}

impl Finding {
    pub(super) fn new(file: impl Into<String>, what: &'static str, told: impl Into<String>) -> Self {
        Self { file: file.into(), what, told: told.into() }
    }
}

/// A package that was looked at.
#[derive(Debug)]
pub struct Arrival {
    /// What it says of itself.
    pub manifest: Manifest,
    /// Whether it was made by this version of the program, so that files can be compared byte for byte.
    pub same_version: bool,
    /// Files whose bytes are what the texts make.
    pub identical: usize,
    /// Files that were not compared, for another version of the program made them in its own words.
    pub not_compared: usize,
    /// LUT files that hold all tolerances, and all of them.
    pub verified: [usize; 2],
    /// What cubes, steps and CDLs say of each look and camera.
    pub pictures: Vec<Picture>,
    /// Looks, variants and versions whose recipe is not the one any more that they were packed with, as the names of their files begin.
    pub changed_looks: Vec<String>,
    /// Everything that is not as it should be.
    pub findings: Vec<Finding>,
    /// The show as the package's texts make it.
    pub work: Work,
}

/// Looks at a package. `folder` is an empty folder for the show's texts, which are read from there.
///
/// # Errors
/// A package that is refused: hostile, damaged, or none of this program's; texts that can't be compiled any more.
pub fn receive(package: &Package, folder: &Path) -> Result<Arrival, Vec<Diagnostic>> {
    let manifest = manifest(package)?;
    let hashes = hashes(package);
    let (mut findings, renamed) = checksums(package, &hashes)?;
    texts(package, folder)?;
    let work = compiled(&manifest, folder)?;
    let mut options = options(&manifest, &work)?;
    let selection = options.setups.clone().map_or(Selection::All, Selection::Setups);
    let jobs: Vec<&Job> = work.jobs.iter().filter(|job| selection.has(&work.show, job)).collect();
    options.lists = lists(package, &work, &jobs, &options, &mut findings)?;
    let same_version = manifest.program == env!("CARGO_PKG_VERSION");
    let luts = luts(package, &hashes, &manifest, &work, &jobs, same_version);
    let changed = changed_looks(&work, &jobs, &luts);
    let is_changed = !changed.is_empty();
    let mut sink = Comparing::new(package, &hashes, &manifest, same_version, changed.clone());
    let rest = Packer { work: &work, jobs: jobs.clone(), options: &options }.rest(&mut sink)?;
    let not_compared = sink.not_compared();
    let (same, differing, names) = sink.results();
    let identical = same + luts.iter().filter(|lut| lut.identical).count();
    let verified = [luts.iter().filter(|lut| lut.pass).count(), luts.len()];
    let notes = luts.iter().filter_map(|lut| lut.note.clone()).collect();
    findings.extend(luts.into_iter().flat_map(|lut| lut.findings));
    findings.extend(differing);
    let mut made = rest.manifest(&work, &options, manifest.source.clone(), notes);
    // Lists and reports don't follow from the texts: how many there were is taken as it is said.
    made.lists = manifest.lists;
    made.reports = manifest.reports;
    made.edl.clone_from(&manifest.edl);
    if same_version {
        findings.extend(first_pages(package, &work, &made, is_changed));
        findings.extend(added(package, &names, &made, &renamed));
    }
    let pictures = same_pictures(package, &manifest, &work, &jobs, &mut findings);
    Ok(Arrival {
        manifest,
        same_version,
        identical,
        not_compared,
        verified,
        pictures,
        changed_looks: changed,
        findings: each_once(findings),
        work,
    })
}

/// Findings by their files, each once; a file that is called otherwise now is not missing too.
fn each_once(findings: Vec<Finding>) -> Vec<Finding> {
    let renamed: Vec<String> =
        findings.iter().filter(|one| one.what == "renamed").map(|one| one.file.clone()).collect();
    let renamed: BTreeSet<String> = renamed.into_iter().collect();
    let mut seen: BTreeSet<(String, &'static str)> = BTreeSet::new();
    let mut known: Vec<Finding> = Vec::new();
    for finding in findings {
        let is_renamed = finding.what == "missing" && renamed.contains(&finding.file);
        if !is_renamed && seen.insert((finding.file.clone(), finding.what)) {
            known.push(finding);
        }
    }
    known.sort_by(|one, other| one.file.cmp(&other.file));
    known
}

/// How the names of files begin of looks whose recipe is not the one any more that they were packed with.
fn changed_looks(work: &Work, jobs: &[&Job], luts: &[LutFound]) -> Vec<String> {
    let changed = |job: &&&Job| {
        let file = format!("monitors/{}", slashed(&job.path));
        luts.iter().any(|lut| lut.findings.iter().any(|one| one.file == file && one.what == "recipe changed"))
    };
    let mut stems: Vec<String> =
        jobs.iter().filter(changed).map(|job| part_stem(&work.show, PartKey::of(job))).collect();
    stems.sort_unstable();
    stems.dedup();
    stems
}

/// Files at the top that every package has, beside those that follow from its texts.
const TOP: [&str; 4] = ["START-HERE.html", "START-HERE.txt", MANIFEST, CHECKSUMS];

/// What does not follow from the package's texts alone: the texts themselves, pages of the run that compiled them, hash lists.
const OTHERS: [&str; 4] = ["show/", "reports/", "monitors/loading-card.", "ascmhl/"];

/// Whether a file is one that systems leave behind in folders that people open: it says nothing.
fn is_of_system(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    path.starts_with("__MACOSX/") || name.starts_with("._") || matches!(name, ".DS_Store" | "Thumbs.db" | "desktop.ini")
}

/// Files that nothing in the package asks for: whatever a list of checksums says of them.
fn added(package: &Package, names: &[String], made: &Manifest, renamed: &[String]) -> Vec<Finding> {
    let names: BTreeSet<&str> = names
        .iter()
        .chain(renamed)
        .map(String::as_str)
        .chain(made.luts.iter().map(|lut| lut.file.as_str()))
        .chain(TOP)
        .collect();
    let is_known = |path: &String| {
        names.contains(path.as_str())
            || OTHERS.iter().any(|folder| path.starts_with(folder))
            || path.starts_with(LISTS)
            || is_of_system(path)
    };
    let there = package.entries().iter().map(|entry| &entry.path);
    there
        .filter(|path| !is_known(path))
        .map(|path| Finding::new(path, "added", "nothing in the package asks for it"))
        .collect()
}

/// What the package says of itself.
///
/// # Errors
/// It has no `package.json`, or one of another form.
pub fn manifest(package: &Package) -> Result<Manifest, Vec<Diagnostic>> {
    let foreign =
        |why: String| {
            vec![Diagnostic::error(&codes::PACKAGE_FOREIGN, why).help(
                "a package is what `lookwright handoff` makes: a zip archive, or a folder with package.json in it",
            )]
        };
    if package.entry(MANIFEST).is_none() {
        let inner = package.entries().iter().find_map(|entry| entry.path.strip_suffix(&format!("/{MANIFEST}")));
        return Err(match inner {
            Some(inner) if !inner.contains('/') => {
                foreign(format!("the package is one folder further in: unpack it, and name the folder {inner:?}"))
            }
            _ => foreign(format!("the package has no {MANIFEST}")),
        });
    }
    let bytes = package.read(MANIFEST)?;
    let unread = |error: serde_json::Error| foreign(format!("{MANIFEST} can't be read: {error}"));
    let value: serde_json::Value = serde_json::from_slice(&bytes).map_err(unread)?;
    if has_control(&value) {
        return Err(foreign(format!("{MANIFEST} has control characters in its texts")));
    }
    let manifest: Manifest = serde_json::from_value(value).map_err(unread)?;
    if manifest.luts.len().max(manifest.post.len()).max(manifest.grades.len()) > MAX_ENTRIES {
        return Err(foreign(format!("{MANIFEST} speaks of more files than a package has")));
    }
    if manifest.form == FORM {
        Ok(manifest)
    } else {
        Err(foreign(format!("{MANIFEST} is of form {}, not {FORM}", manifest.form)))
    }
}

/// Whether a text anywhere in it could do something to a terminal.
fn has_control(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::String(text) => text.chars().any(char::is_control),
        serde_json::Value::Array(items) => items.iter().any(has_control),
        serde_json::Value::Object(items) => {
            items.iter().any(|(key, value)| key.chars().any(char::is_control) || has_control(value))
        }
        _ => false,
    }
}

/// SHA-256 of every file of a package, or why it can't be read: each is read once for it.
pub(super) type Hashes = BTreeMap<String, Result<[u8; 32], Vec<Diagnostic>>>;

fn hashes(package: &Package) -> Hashes {
    let of = |path: &str| package.read(path).map(|bytes| Sha256::digest(&bytes).into());
    package.entries().par_iter().map(|entry| (entry.path.clone(), of(&entry.path))).collect()
}

/// What the checksums say: changed, missing, added and renamed files; and what the latter are called now.
fn checksums(package: &Package, hashes: &Hashes) -> Result<(Vec<Finding>, Vec<String>), Vec<Diagnostic>> {
    let mut findings = Vec::new();
    if package.entry(CHECKSUMS).is_none() {
        findings.push(Finding::new(
            CHECKSUMS,
            "missing",
            "the list of checksums is missing: nothing says what was packed",
        ));
        return Ok((findings, Vec::new()));
    }
    let sums: BTreeMap<String, [u8; 32]> = match package.read(CHECKSUMS).and_then(|bytes| parse_checksums(&bytes)) {
        Ok(sums) => sums.into_iter().map(|sum| (sum.path, sum.sha256)).collect(),
        Err(found) => {
            let why = found.first().map_or("", |one| one.message.as_str());
            let told = format!("it can't be read, so that nothing says what was packed: {why}");
            findings.push(Finding::new(CHECKSUMS, "unreadable", told));
            return Ok((findings, Vec::new()));
        }
    };
    let mut added: Vec<(&String, [u8; 32])> = Vec::new();
    for (path, hash) in hashes.iter().filter(|(path, _)| *path != CHECKSUMS) {
        match (hash, sums.get(path)) {
            (Err(found), _) => {
                let why = found.first().map_or("", |one| one.message.as_str());
                findings.push(Finding::new(path, "unreadable", why));
            }
            (Ok(hash), Some(sum)) if hash == sum => {}
            (Ok(_), Some(_)) => {
                findings.push(Finding::new(path, "changed", "its bytes are not those that were packed"))
            }
            (Ok(hash), None) => added.push((path, *hash)),
        }
    }
    let mut renamed = Vec::new();
    for (path, sum) in sums.iter().filter(|(path, _)| !hashes.contains_key(*path)) {
        match added.iter().position(|(_, hash)| hash == sum) {
            Some(place) => {
                let (now, _) = added.remove(place);
                findings.push(Finding::new(path, "renamed", format!("it is called {now} now")));
                renamed.push(now.clone());
            }
            None => findings.push(Finding::new(path, "missing", "it was packed, and is not there")),
        }
    }
    // What programs for media hash lists add to their own folder is theirs.
    let theirs = |path: &str| path.starts_with(&format!("{MEDIA_HASH_FOLDER}/"));
    let added = added.into_iter().filter(|(path, _)| !theirs(path) && !is_of_system(path));
    findings.extend(added.map(|(path, _)| Finding::new(path, "added", "it was not packed")));
    Ok((findings, renamed))
}

/// The show's texts, in a folder of this machine.
pub(super) fn texts(package: &Package, folder: &Path) -> Result<(), Vec<Diagnostic>> {
    stay_inside(package)?;
    let unwritable = |error: std::io::Error| {
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, format!("{}: {error}", folder.display()))]
    };
    let prefix = format!("{}/", super::sources::FOLDER);
    for entry in package.entries().iter().filter(|entry| entry.path.starts_with(&prefix)) {
        let bytes = package.read(&entry.path)?;
        let path = folder.join(&entry.path);
        fs::create_dir_all(path.parent().unwrap_or(folder)).map_err(unwritable)?;
        fs::write(&path, bytes).map_err(unwritable)?;
    }
    Ok(())
}

/// The show as the package's texts make it.
pub(super) fn compiled(manifest: &Manifest, folder: &Path) -> Result<Work, Vec<Diagnostic>> {
    let inside = Path::new(&manifest.source).components().all(|part| matches!(part, std::path::Component::Normal(_)));
    let source = folder.join(&manifest.source);
    if !inside || !source.is_file() {
        let message = format!("the package has no {}, which {MANIFEST} names as the show", manifest.source);
        return Err(vec![Diagnostic::error(&codes::PACKAGE_FOREIGN, message).help("ask for the package again")]);
    }
    let (show, doubts) = Show::load(&source, None)?;
    // A text of a few lines can ask for more than any machine makes.
    let looks = show.looks.iter().map(|look| 1 + look.variants.len()).sum::<usize>() + show.versions.len();
    let asked = show.cameras.len().saturating_mul(show.monitors.len()).saturating_mul(looks);
    if asked > MAX_ENTRIES {
        let message =
            format!("the package's show asks for up to {asked} files, and a package has at most {MAX_ENTRIES}");
        return Err(vec![Diagnostic::error(&codes::PACKAGE_TOO_LARGE, message).help("ask for the package again")]);
    }
    prepare(show, doubts)
}

fn options(manifest: &Manifest, work: &Work) -> Result<Options, Vec<Diagnostic>> {
    let show = &work.show;
    let unknown = |kind: &str, id: &str| {
        let message = format!("{MANIFEST} speaks of {kind} \"{id}\", which the show does not have");
        vec![
            Diagnostic::error(&codes::PACKAGE_FOREIGN, message)
                .help("the show's text was changed: ask for the package again"),
        ]
    };
    let setups = match &manifest.setups {
        None => None,
        Some(ids) => {
            let places: Result<Vec<usize>, _> =
                ids.iter().map(|id| show.setup(id).ok_or_else(|| unknown("setup", id))).collect();
            Some(places?)
        }
    };
    let monitor = &manifest.reference.monitor;
    let reference =
        show.monitors.iter().position(|one| one.id.is(monitor)).ok_or_else(|| unknown("monitor", monitor))?;
    Ok(Options { setups, reference, date: manifest.date.clone(), lists: Vec::new() })
}

/// The folder of edit decision lists.
const LISTS: &str = "post/edl/";

/// The edit decision lists that are in the package. What can't be one is told, and left aside.
fn lists(
    package: &Package,
    work: &Work,
    jobs: &[&Job],
    options: &Options,
    findings: &mut Vec<Finding>,
) -> Result<Vec<(String, Vec<u8>)>, Vec<Diagnostic>> {
    let mut lists = Vec::new();
    for entry in package.entries().iter().filter(|entry| entry.path.starts_with(LISTS)) {
        let name = entry.path[LISTS.len()..].to_owned();
        let list = (name, package.read(&entry.path)?);
        let alone = Options { lists: vec![list.clone()], ..options.clone() };
        match annotated(work, jobs, &alone) {
            Ok(_) if !list.0.contains('/') => lists.push(list),
            Ok(_) => findings.push(Finding::new(&entry.path, "added", "it was not packed")),
            Err(found) => {
                let why = found.first().map_or("", |one| one.message.as_str());
                findings.push(Finding::new(&entry.path, "edited", format!("it is no list of this package: {why}")));
            }
        }
    }
    Ok(lists)
}

/// What was found of a LUT file.
struct LutFound {
    identical: bool,
    pass: bool,
    /// What the package's texts say of it; `None` where they don't ask for it.
    note: Option<LutNote>,
    findings: Vec<Finding>,
}

/// Every LUT file against what its recipe makes, and through the verifier.
fn luts(
    package: &Package,
    hashes: &Hashes,
    manifest: &Manifest,
    work: &Work,
    jobs: &[&Job],
    same_version: bool,
) -> Vec<LutFound> {
    let show = &work.show;
    let mut found: Vec<LutFound> = jobs
        .par_iter()
        .map(|job| {
            let file = format!("monitors/{}", slashed(&job.path));
            let known = manifest.luts.iter().find(|lut| lut.file == file);
            let made = file_of(job);
            let found = match (&made, known) {
                // Its bytes are those that were made: they need not be read again.
                (Ok((bytes, exact)), Some(_)) if is_same(hashes, &file, bytes) => identical(job, &file, bytes, exact),
                _ => lut(package, manifest, job, known, made.as_ref().ok(), same_version),
            };
            // Of a file that is another one, nobody knows any more whether the right one held its tolerances.
            let pass = if found.identical { Some(found.pass) } else { known.and_then(|known| known.pass) };
            let sha256 = made.as_ref().map(|(bytes, _)| hex(&Sha256::digest(bytes))).unwrap_or_default();
            LutFound { note: Some(lut_note(show, job, sha256, pass)), ..found }
        })
        .collect();
    let wanted: Vec<String> = jobs.iter().map(|job| format!("monitors/{}", slashed(&job.path))).collect();
    for lut in manifest.luts.iter().filter(|lut| !wanted.contains(&lut.file)) {
        let told = "the show's texts don't ask for this file any more: show or recipe was changed";
        found.push(LutFound {
            identical: false,
            pass: false,
            note: None,
            findings: vec![Finding::new(&lut.file, "recipe changed", told)],
        });
    }
    found
}

/// Whether a file of the package has these bytes.
pub(super) fn is_same(hashes: &Hashes, file: &str, bytes: &[u8]) -> bool {
    let made: [u8; 32] = Sha256::digest(bytes).into();
    matches!(hashes.get(file), Some(Ok(hash)) if *hash == made)
}

/// A file that has the bytes that were made, through the reader and the verifier.
fn identical(job: &Job, file: &str, bytes: &[u8], exact: &Sampled) -> LutFound {
    let pass = match cube::parse(file, bytes).map(|cube| cube.tables) {
        Ok(Tables::Three(table)) => verify(&table, &job.plan, &job.pipeline, exact).pass,
        _ => false,
    };
    let told = "it misses the tolerances of its recipe, as it did when it was packed";
    let findings = if pass { Vec::new() } else { vec![Finding::new(file, "out of tolerance", told)] };
    LutFound { identical: true, pass, note: None, findings }
}

fn lut(
    package: &Package,
    manifest: &Manifest,
    job: &Job,
    known: Option<&LutNote>,
    made: Option<&(Vec<u8>, Sampled)>,
    same_version: bool,
) -> LutFound {
    let file = &format!("monitors/{}", slashed(&job.path));
    let fault = |what: &'static str, told: String| LutFound {
        identical: false,
        pass: false,
        note: None,
        findings: vec![Finding::new(file, what, told)],
    };
    let Some(known) = known else {
        return fault(
            "recipe changed",
            "the show's texts ask for this file, and it was not packed: show or recipe was changed".to_owned(),
        );
    };
    if package.entry(file).is_none() {
        return fault("missing", "it was packed, and is not there".to_owned());
    }
    let first = |found: &[Diagnostic]| found.first().map_or(String::new(), |one| one.message.clone());
    let bytes = match package.read(file) {
        Ok(bytes) => bytes,
        Err(found) => return fault("unreadable", first(&found)),
    };
    let Some((made, exact)) = made else {
        return fault("recipe changed", "the package's recipe makes no file any more".to_owned());
    };
    let table = match cube::parse(file, &bytes).map(|cube| cube.tables) {
        Ok(Tables::Three(table)) => table,
        Ok(_) => return fault("edited", "it holds another kind of table than a look's".to_owned()),
        Err(found) => return fault("unreadable", first(&found)),
    };
    let verification = verify(&table, &job.plan, &job.pipeline, exact);
    let pass = verification.pass;
    if bytes == *made {
        return identical(job, file, &bytes, exact);
    }
    let hash = hex(&Sha256::digest(&bytes));
    let mut findings = Vec::new();
    let twin = manifest.luts.iter().find(|lut| lut.sha256 == hash && lut.file != *file);
    if let Some(twin) = twin {
        findings.push(Finding::new(file, "swapped", format!("it holds the bytes of {}", twin.file)));
    } else if hash == known.sha256 && known.fingerprint != job.plan.fingerprint() {
        findings.push(Finding::new(
            file,
            "recipe changed",
            format!(
                "the file is as it was packed; the package's recipe makes another picture now: {}",
                told_of(&bytes, &table, &exact.table)
            ),
        ));
    } else {
        match told_of(&bytes, &table, &exact.table) {
            Told::Same if same_version => findings.push(Finding::new(
                file,
                "re-saved",
                "its numbers are the look's, its text is not what was written: another program saved it, or its header was changed",
            )),
            Told::Same => {}
            told => findings.push(Finding::new(file, "edited", format!("its numbers are not the look's: {told}"))),
        }
    }
    if !pass && !findings.is_empty() {
        findings.push(Finding::new(file, "out of tolerance", "it misses the tolerances of its recipe"));
    }
    LutFound { identical: false, pass, note: None, findings }
}

/// Whether the first page and the package's own description are what its texts make.
fn first_pages(package: &Package, work: &Work, made: &Manifest, is_changed: bool) -> Vec<Finding> {
    let start = StartHere::new(work, made);
    let pages = [
        ("START-HERE.html", report::start_here_html(&start)),
        ("START-HERE.txt", report::start_here_text(&start)),
        (MANIFEST, made.text()),
    ];
    let found = pages.into_iter().filter_map(|(name, page)| {
        if package.entry(name).is_none() {
            return Some(Finding::new(name, "missing", "every package has it"));
        }
        let is_same = package.read(name).is_ok_and(|bytes| bytes == page.as_bytes());
        let what = if is_changed { "recipe changed" } else { "edited" };
        (!is_same).then(|| Finding::new(name, what, "it is not what the package's own texts say"))
    });
    found.collect()
}
