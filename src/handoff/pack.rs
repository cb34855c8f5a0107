//! Puts a show into a package.

use super::amf::{Metadata, Transform, amf};
use super::frames::Frames;
use super::manifest::{CdlNote, FORM, ListNote, LookNote, LutNote, MANIFEST, Manifest, PostNote};
use super::notes;
use super::parts::{PartKey, cameras, id_in_name, part_stem, part_words, parts, reference_job, slashed};
use super::post::{PostLook, Said, Shared, cube_bytes, input, input_key, input_steps, nearest, plain_output, top};
use super::resolved::resolved;
use super::sources::sources;
use super::tables::{grey_csv, patch_csv};
use super::uses::{look_notes, looks_csv};
use crate::diagnostics::{Diagnostic, codes};
use crate::exchange::{Step, WholeError};
use crate::formats::cdl::{CdlFile, Correction, Kind};
use crate::formats::package::{Making, MediaHashes, PackageWriter};
use crate::formats::{cdl, clf, slug};
use crate::lut::{Interpolation, Table3, sample};
use crate::plan::{Cdl, Levels, hex};
use crate::report;
use crate::report::viewer::ViewerLook;
use crate::show::{Job, Made, Run, Show, Work, part_of, sheets};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// Points a side of the viewer's tables: thirty looks make a page of three megabytes.
const VIEWER_SIZE: usize = 33;

/// Folder of the monitors' files.
const MONITORS: &str = "monitors";

/// How the names of the reports on looks begin.
const REPORTS: &str = "reports/look-";

/// How a package is made.
#[derive(Clone, Debug)]
pub struct Options {
    /// Setups that it is for, as places in the show's setups; `None` for the whole show.
    pub setups: Option<Vec<usize>>,
    /// The monitor whose display the files for post are for, as a place in the show's monitors.
    pub reference: usize,
    /// When, as `2026-11-30T08:00:00Z`.
    pub date: String,
    /// Edit decision lists: their names and texts.
    pub lists: Vec<(String, Vec<u8>)>,
}

/// A page that somebody else makes for the package.
pub type Page<'a> = (String, Making<'a>);

/// Where files that are made go: into a package, or against one.
pub(super) trait Sink {
    /// Takes files in their order.
    fn take(&mut self, files: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>>;

    /// SHA-256 of a file that was taken.
    fn sha256(&self, file: &str) -> Option<[u8; 32]>;
}

impl Sink for PackageWriter {
    fn take(&mut self, files: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>> {
        self.add_many(files)
    }

    fn sha256(&self, file: &str) -> Option<[u8; 32]> {
        self.files().iter().find(|packed| packed.path == file).map(|packed| packed.sha256)
    }
}

/// A look, variant or version with everything that its files share.
struct PartWork<'a> {
    key: PartKey,
    stem: String,
    words: String,
    /// Cameras, each with the job that its files are made from.
    jobs: Vec<&'a Job>,
    looks: Vec<PostLook>,
    shared: Shared,
    top: f64,
    /// The nearest CDL, where the look is none.
    nearest: Option<(Cdl, super::manifest::FitNote)>,
}

/// A camera, and what its input depends on.
type InputKey = (usize, String);

/// Puts a show that was compiled into a package, all but its `START-HERE`. `pages` are added to it. Nothing is finished: the caller
/// adds what speaks of the manifest, and the checksums, with [`finish`].
///
/// # Errors
/// A file of the show that is gone or was changed since it was compiled; everything that [`PackageWriter`] refuses.
pub fn pack(
    work: &Work,
    run: &Run,
    options: &Options,
    pages: Vec<Page<'_>>,
    writer: &mut PackageWriter,
) -> Result<Manifest, Vec<Diagnostic>> {
    let found = sources(work)?;
    let source = found.show.clone();
    writer.add_many(found.files.into_iter().map(|(name, path)| (name, copied(path, None))).collect())?;
    let luts = luts(work, run, writer)?;
    let jobs: Vec<&Job> = run.jobs.iter().map(|place| &work.jobs[*place]).collect();
    let rest = Packer { work, jobs, options }.rest(writer)?;
    let reports = pages.iter().filter(|(name, _)| name.starts_with(REPORTS)).count();
    writer.add_many(pages)?;
    let mut manifest = rest.manifest(work, options, source, luts);
    manifest.reports = reports;
    writer.add(MANIFEST, manifest.text().into_bytes())?;
    Ok(manifest)
}

/// What is noted of the files that follow from the show alone.
pub(super) struct Rest {
    reference: super::manifest::Reference,
    looks: Vec<LookNote>,
    pub(super) post: Vec<PostNote>,
    pub(super) grades: Vec<CdlNote>,
    lists: Vec<ListNote>,
}

impl Rest {
    pub(super) fn manifest(self, work: &Work, options: &Options, source: String, luts: Vec<LutNote>) -> Manifest {
        let ids = |setups: &Vec<usize>| setups.iter().map(|setup| work.show.setups[*setup].id.text.clone()).collect();
        Manifest {
            form: FORM,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            show: work.show.name.text.clone(),
            date: options.date.clone(),
            source,
            setups: options.setups.as_ref().map(ids),
            reference: self.reference,
            looks: self.looks,
            luts,
            post: self.post,
            lists: options.lists.len(),
            reports: 0,
            edl: self.lists,
            grades: self.grades,
        }
    }
}

/// A file as it is, if its SHA-256 is still what it was.
fn copied<'a>(path: std::path::PathBuf, sha256: Option<String>) -> Making<'a> {
    Box::new(move || {
        let bytes = fs::read(&path).map_err(|error| {
            let message = format!("{}: {error}", path.display());
            vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("run the command again")]
        })?;
        if sha256.is_some_and(|sha256| hex(&Sha256::digest(&bytes)) != sha256) {
            let message = format!("{}: the file was changed while it was packed", path.display());
            return Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("run the command again")]);
        }
        Ok(bytes)
    })
}

/// The LUT files as they were compiled.
fn luts(work: &Work, run: &Run, writer: &mut PackageWriter) -> Result<Vec<LutNote>, Vec<Diagnostic>> {
    let mut notes = Vec::new();
    let mut files: Vec<(String, Making<'_>)> = Vec::new();
    for (place, made) in run.jobs.iter().zip(&run.made) {
        let job = &work.jobs[*place];
        let entry = match made {
            Made::Written { entry, .. } | Made::Unchanged { entry } => entry,
            Made::Held(diagnostic) => return Err(vec![(**diagnostic).clone()]),
            Made::Failed(found) => return Err(found.clone()),
            Made::NotDone => return Err(vec![nothing()]),
        };
        let note = lut_note(&work.show, job, entry.sha256.clone(), entry.verify.as_ref().map(|verify| verify.pass));
        files.push((note.file.clone(), copied(run.folder.join(&job.path), Some(entry.sha256.clone()))));
        notes.push(note);
    }
    writer.add_many(files)?;
    Ok(notes)
}

/// What is noted of a job's file.
pub(super) fn lut_note(show: &Show, job: &Job, sha256: String, pass: Option<bool>) -> LutNote {
    let device = &job.plan.device;
    LutNote {
        file: format!("monitors/{}", slashed(&job.path)),
        look: show.looks[job.look].id.text.clone(),
        part: show.part_id(job.look, job.part).to_owned(),
        camera: show.cameras[job.camera].id.text.clone(),
        monitor: show.monitors[job.monitor].id.text.clone(),
        size: device.size,
        levels: [device.input_levels.id().to_owned(), device.output_levels.id().to_owned()],
        fingerprint: job.plan.fingerprint(),
        sha256,
        pass,
    }
}

/// Adds the hash lists and the checksums of everything that is there, the last of all.
///
/// # Errors
/// As [`PackageWriter::add_many`].
pub fn finish(show: &Show, options: &Options, writer: &mut PackageWriter) -> Result<(), Vec<Diagnostic>> {
    let about = MediaHashes {
        name: slug(&show.name.text),
        made: options.date.clone(),
        host: String::new(),
        author: String::new(),
    };
    writer.add_media_hashes(&about)?;
    writer.add_checksums()
}

fn nothing() -> Diagnostic {
    Diagnostic::error(&codes::PACKAGE_NOTHING, "there is nothing to hand over")
        .help("the setups that were named have no look that can be made: see the warnings above")
}

/// Makes the files that follow from the show alone.
pub(super) struct Packer<'a> {
    pub(super) work: &'a Work,
    /// The jobs that the package is for.
    pub(super) jobs: Vec<&'a Job>,
    pub(super) options: &'a Options,
}

impl<'a> Packer<'a> {
    /// Everything but the show's texts and the monitors' files.
    pub(super) fn rest(&self, sink: &mut dyn Sink) -> Result<Rest, Vec<Diagnostic>> {
        let parts = self.parts()?;
        let all = || parts.iter().flat_map(|part| part.looks.iter().zip(&part.jobs));
        let named = all().find(|(_, job)| Some(job.monitor) == self.reference());
        let Some((look, job)) = named else { return Err(vec![nothing()]) };
        let reference = look.reference(&self.work.show.monitors[job.monitor].id.text);
        let post = self.post(&parts, sink)?;
        let grades = self.grades(&parts, sink)?;
        let lists = self.lists(sink)?;
        self.pages(&parts, sink)?;
        let keys: Vec<PartKey> = parts.iter().map(|part| part.key).collect();
        let looks = look_notes(&self.work.show, &keys, &self.setups());
        let table = looks_csv(&looks, &post).into_bytes();
        sink.take(vec![("tables/looks.csv".to_owned(), Box::new(move || Ok(table)))])?;
        Ok(Rest { reference, looks, post, grades, lists })
    }

    /// The monitor whose display the files for post are for: the one that was asked for, or, where no look of the package is seen on
    /// it, that of the first.
    fn reference(&self) -> Option<usize> {
        let asked = self.jobs.iter().find(|job| job.monitor == self.options.reference);
        asked.or(self.jobs.first()).map(|job| job.monitor)
    }

    /// Everything that files of one look, variant or version share.
    fn parts(&self) -> Result<Vec<PartWork<'a>>, Vec<Diagnostic>> {
        let jobs = &self.jobs;
        let keys = parts(jobs);
        let reference = self.reference().unwrap_or(self.options.reference);
        keys.into_par_iter()
            .map(|key| {
                let jobs: Vec<&Job> = cameras(jobs, key)
                    .into_iter()
                    .filter_map(|camera| reference_job(jobs, key, camera, reference))
                    .collect();
                let looks: Vec<PostLook> = jobs.iter().map(|job| PostLook::of(job)).collect::<Result<_, _>>()?;
                let top = looks.iter().map(top).fold(0.0, f64::max);
                let shared = Shared::new(&looks[0], top);
                let nearest = nearest(&looks[0]);
                let (stem, words) = (part_stem(&self.work.show, key), part_words(self.work, key));
                Ok(PartWork { key, stem, words, jobs, looks, shared, top, nearest })
            })
            .collect()
    }

    fn said<'b>(&'b self, part: &'b PartWork<'_>, job: &Job) -> Said<'b> {
        let show = &self.work.show;
        Said { show: &show.name.text, look: &part.words, camera: &show.cameras[job.camera].id.text }
    }

    fn camera_name(&self, job: &Job) -> String {
        id_in_name(&self.work.show.cameras[job.camera].id.text)
    }

    /// Cubes, steps and metadata files.
    fn post(&self, parts: &[PartWork<'_>], sink: &mut dyn Sink) -> Result<Vec<PostNote>, Vec<Diagnostic>> {
        let inputs = self.inputs(parts);
        let errors: Mutex<BTreeMap<String, WholeError>> = Mutex::default();
        let keep = |file: &str, error: WholeError| {
            errors.lock().unwrap_or_else(PoisonError::into_inner).insert(file.to_owned(), error);
        };
        let steps: BTreeMap<&InputKey, Vec<Step>> =
            inputs.par_iter().map(|(key, (_, part, place))| (key, input_steps(&part.looks[*place]))).collect();
        let mut files: Vec<(String, Making<'_>)> = Vec::new();
        for (key, (file, part, place)) in &inputs {
            let (look, said, steps) = (&part.looks[*place], self.said(part, part.jobs[*place]), &steps[key]);
            files.push((file.clone(), Box::new(move || Ok(clf::write(&input(look, steps, said))))));
        }
        for part in parts {
            let (look, said) = (&part.looks[0], self.said(part, part.jobs[0]));
            if part.shared.has_scene() {
                files.push((scene_file(part), Box::new(move || Ok(clf::write(&part.shared.in_aces(look, said))))));
            }
            files.push((output_file(part), Box::new(move || Ok(clf::write(&part.shared.output(look, said))))));
            files.push((linear_file(part), Box::new(move || Ok(clf::write(&part.shared.linear(look, said))))));
            for (look, job) in part.looks.iter().zip(&part.jobs) {
                let said = self.said(part, job);
                let (cube, clf) = (self.cube_file(part, job), self.clf_file(part, job));
                let (keep_cube, keep_clf) = (keep, keep);
                let (cube_name, clf_name) = (cube.clone(), clf.clone());
                files.push((
                    cube,
                    Box::new(move || {
                        let title = format!("{} / camera {} / post", look.plan.look.name, said.camera);
                        let facts = [("show", said.show.to_owned()), ("for", format!("post, {}", said.look))];
                        let (bytes, error) = cube_bytes(look, &title, &facts);
                        keep_cube(&cube_name, error);
                        Ok(bytes)
                    }),
                ));
                let steps = &steps[&(job.camera, input_key(&job.plan))];
                files.push((
                    clf,
                    Box::new(move || {
                        let (list, error) = part.shared.whole(look, steps, said);
                        keep_clf(&clf_name, error);
                        Ok(clf::write(&list))
                    }),
                ));
            }
        }
        sink.take(files)?;
        let errors = errors.into_inner().unwrap_or_else(PoisonError::into_inner);
        self.metadata(parts, &inputs, &errors, sink)
    }

    /// The input files: one for a camera where all looks share it, else one for each look that differs.
    fn inputs<'b>(&self, parts: &'b [PartWork<'a>]) -> BTreeMap<InputKey, (String, &'b PartWork<'a>, usize)> {
        let mut found: BTreeMap<InputKey, (String, &PartWork<'_>, usize)> = BTreeMap::new();
        for part in parts {
            for (place, job) in part.jobs.iter().enumerate() {
                let key = (job.camera, input_key(&job.plan));
                let taken = found.keys().any(|(camera, _)| *camera == job.camera);
                let camera = self.camera_name(job);
                let name = if taken { format!("input.{}.{camera}", part.stem) } else { format!("input.{camera}") };
                found.entry(key).or_insert_with(|| (format!("post/aces/{name}.clf"), part, place));
            }
        }
        found
    }

    /// Metadata files, and what is noted of the files for post.
    fn metadata(
        &self,
        parts: &[PartWork<'_>],
        inputs: &BTreeMap<InputKey, (String, &PartWork<'_>, usize)>,
        errors: &BTreeMap<String, WholeError>,
        sink: &mut dyn Sink,
    ) -> Result<Vec<PostNote>, Vec<Diagnostic>> {
        let show = &self.work.show;
        let named = |file: &str, description: &str| Transform {
            description: description.to_owned(),
            file: file.rsplit('/').next().unwrap_or(file).to_owned(),
            sha256: sink.sha256(file).unwrap_or_default(),
        };
        let (mut notes, mut files) = (Vec::new(), Vec::new());
        for part in parts {
            for (look, job) in part.looks.iter().zip(&part.jobs) {
                let camera = &show.cameras[job.camera].id.text;
                let input =
                    inputs.get(&(job.camera, input_key(&job.plan))).map(|(file, ..)| file.clone()).unwrap_or_default();
                let scene = part.shared.has_scene().then(|| scene_file(part));
                let output = output_file(part);
                let metadata = Metadata {
                    description: format!(
                        "{}, {}, camera {camera}: what was seen on set, for log recordings in which nothing is burned in",
                        show.name.text, part.words
                    ),
                    date: self.options.date.clone(),
                    input: named(&input, &format!("camera {camera} to ACES2065-1")),
                    look: scene.as_ref().map(|file| named(file, &part.words)),
                    output: named(&output, "tone curve, gamut and encoding of the display that was looked at"),
                };
                let file = format!("post/aces/{}.{}.amf", part.stem, self.camera_name(job));
                let bytes = amf(&metadata)?;
                files.push((file.clone(), Box::new(move || Ok(bytes)) as Making<'_>));
                let (cube, clf) = (self.cube_file(part, job), self.clf_file(part, job));
                let error = |file: &str| {
                    errors.get(file).copied().unwrap_or(WholeError {
                        codes: f64::NAN,
                        mean_de: f64::NAN,
                        max_de: f64::NAN,
                    })
                };
                notes.push(PostNote {
                    look: show.looks[part.key.look].id.text.clone(),
                    part: show.part_id(part.key.look, part.key.part).to_owned(),
                    camera: camera.clone(),
                    monitor: show.monitors[job.monitor].id.text.clone(),
                    fingerprint: look.plan.fingerprint(),
                    clf_error: error(&clf),
                    cube_error: error(&cube),
                    cube,
                    clf,
                    input,
                    scene,
                    output,
                    linear: linear_file(part),
                    amf: file,
                });
            }
        }
        sink.take(files)?;
        Ok(notes)
    }

    fn cube_file(&self, part: &PartWork<'_>, job: &Job) -> String {
        format!("post/cube/{}.{}.cube", part.stem, self.camera_name(job))
    }

    fn clf_file(&self, part: &PartWork<'_>, job: &Job) -> String {
        format!("post/clf/{}.{}.clf", part.stem, self.camera_name(job))
    }

    /// The grades, one by one and together, and for looks that are more than a grade the nearest.
    fn grades(&self, parts: &[PartWork<'_>], sink: &mut dyn Sink) -> Result<Vec<CdlNote>, Vec<Diagnostic>> {
        let show = &self.work.show;
        let (mut notes, mut all) = (Vec::new(), Vec::new());
        let mut files: Vec<(String, Making<'_>)> = Vec::new();
        for part in parts {
            let (look, job) = (&part.looks[0], part.jobs[0]);
            let correction = of_recipe(part);
            let file = format!("post/cdl/{}.cc", part.stem);
            let bytes = cdl::write(&CdlFile::new(Kind::Correction, vec![correction.clone()]));
            files.push((file.clone(), Box::new(move || Ok(bytes))));
            all.push(correction);
            let fit = match &part.nearest {
                None => None,
                Some((cdl, fit)) => {
                    let (file, through) = (
                        format!("post/cdl/nearest/{}.cc", part.stem),
                        format!("post/cdl/nearest/{}.plain.clf", part.stem),
                    );
                    let bytes = cdl::write(&CdlFile::new(Kind::Correction, vec![nearest_correction(part, *cdl, fit)]));
                    files.push((file.clone(), Box::new(move || Ok(bytes))));
                    let plain = look.plain(job)?;
                    let (said, top) = (self.said(part, job), part.top);
                    files.push((through.clone(), Box::new(move || Ok(clf::write(&plain_output(&plain, said, top))))));
                    Some(super::manifest::FitNote { file, through, ..fit.clone() })
                }
            };
            notes.push(CdlNote {
                look: show.looks[part.key.look].id.text.clone(),
                part: show.part_id(part.key.look, part.key.part).to_owned(),
                file,
                is_all: part.nearest.is_none(),
                fit,
            });
        }
        let stem = slug(&show.name.text);
        for kind in [Kind::Collection, Kind::DecisionList] {
            let bytes = cdl::write(&CdlFile::new(kind, all.clone()));
            files.push((format!("post/cdl/{stem}.{}", kind.extension()), Box::new(move || Ok(bytes))));
        }
        sink.take(files)?;
        Ok(notes)
    }

    /// Edit decision lists with the grade of each event's setup.
    fn lists(&self, sink: &mut dyn Sink) -> Result<Vec<ListNote>, Vec<Diagnostic>> {
        let (mut notes, mut files) = (Vec::new(), Vec::new());
        for list in super::lists::annotated(self.work, &self.jobs, self.options)? {
            let bytes = list.bytes;
            files.push((list.note.file.clone(), Box::new(move || Ok(bytes)) as Making<'_>));
            notes.push(list.note);
        }
        sink.take(files)?;
        Ok(notes)
    }

    /// What is read and looked at: resolved recipes, tables, frames, sheets, notes.
    fn pages(&self, parts: &[PartWork<'_>], sink: &mut dyn Sink) -> Result<(), Vec<Diagnostic>> {
        let work = self.work;
        let frames = Frames::new()?;
        let sources = sources(work)?;
        let (frames, sources) = (&frames, &sources);
        let mut files: Vec<(String, Making<'_>)> = Vec::new();
        let mut recorded: Vec<usize> = Vec::new();
        for part in parts {
            let stem = &part.stem;
            let job = part.jobs[0];
            files.push((
                format!("resolved/{stem}.toml"),
                Box::new(move || Ok(resolved(work, job, sources).into_bytes())),
            ));
            for (look, job) in part.looks.iter().zip(&part.jobs) {
                let camera = self.camera_name(job);
                let name = |kind: &str| format!("tables/{stem}.{camera}.{kind}.csv");
                files.push((name("grey"), Box::new(move || Ok(grey_csv(&look.plan, &look.pipeline).into_bytes()))));
                files.push((name("patches"), Box::new(move || Ok(patch_csv(&look.plan, &look.pipeline).into_bytes()))));
                files.push((format!("frames/{stem}.{camera}.look.png"), Box::new(move || frames.with(look))));
                if !recorded.contains(&job.camera) {
                    recorded.push(job.camera);
                    files.push((format!("frames/{camera}.log.png"), Box::new(move || frames.without(look))));
                }
            }
        }
        for setup in self.setups() {
            for mut sheet in sheets(work, Some(setup), None)? {
                // As they lie here, not in the show's folder.
                for of in &mut sheet.files {
                    of.file = Path::new(MONITORS).join(&of.file);
                }
                let name = id_in_name(&sheet.id);
                let (html, text) = (report::setup_sheet_html(&sheet), report::setup_sheet_text(&sheet));
                files.push((format!("setups/{name}.html"), Box::new(move || Ok(html.into_bytes()))));
                files.push((format!("setups/{name}.txt"), Box::new(move || Ok(text.into_bytes()))));
            }
        }
        files.push(("viewer.html".to_owned(), Box::new(move || Ok(self.viewer(parts).into_bytes()))));
        let (noted, versions) = (notes::notes(work), notes::versions(work)?);
        files.push(("notes.txt".to_owned(), Box::new(move || Ok(noted.into_bytes()))));
        files.push(("versions.txt".to_owned(), Box::new(move || Ok(versions.into_bytes()))));
        sink.take(files)
    }

    /// A page in which a log still is seen through every look.
    fn viewer(&self, parts: &[PartWork<'_>]) -> String {
        let all: Vec<(&PostLook, String, String)> = parts
            .iter()
            .flat_map(|part| {
                let superseded = look_notes(&self.work.show, &[part.key], &self.setups())
                    .iter()
                    .any(|note| note.setups.is_empty() && !note.superseded.is_empty());
                let mark = if superseded { ", superseded" } else { "" };
                part.looks.iter().zip(&part.jobs).map(move |(look, job)| {
                    let camera = &self.work.show.cameras[job.camera].id.text;
                    (
                        look,
                        format!("{}{mark}, camera {camera}", part.words),
                        format!("{}.{}", part.stem, self.camera_name(job)),
                    )
                })
            })
            .collect();
        let tables: Vec<Table3> = all.par_iter().map(|(look, ..)| sample(&look.pipeline, VIEWER_SIZE).table).collect();
        let inputs: Vec<String> = all
            .iter()
            .map(|(look, ..)| format!("{} / {}", look.plan.camera.curve.encoding().id, look.plan.camera.gamut.id))
            .collect();
        let looks: Vec<ViewerLook<'_>> = all
            .iter()
            .zip(&tables)
            .zip(&inputs)
            .map(|(((look, name, file), table), input)| ViewerLook {
                name,
                file,
                table,
                input,
                curve: look.plan.camera.curve,
                input_levels: Levels::Full,
                output_levels: Levels::Full,
                interpolation: Interpolation::Tetrahedral,
                display: look.plan.display,
            })
            .collect();
        let note = format!(
            "Every look of the package at {VIEWER_SIZE} points, full levels, for the reference display; the files in post/cube have {} points.",
            super::post::POST_SIZE
        );
        report::viewer_page_html(&self.work.show.name.text, &note, &looks)
    }

    /// Setups that the package is for.
    fn setups(&self) -> Vec<usize> {
        self.options.setups.clone().unwrap_or_else(|| (0..self.work.show.setups.len()).collect())
    }
}

/// The recipe's grade, with what it is applied to.
fn of_recipe(part: &PartWork<'_>) -> Correction {
    let grade = part.looks[0].plan.grade;
    let mut correction = Correction::new(part.stem.clone(), grade);
    let what = if grade == Cdl::IDENTITY {
        format!("{}: the recipe has no [grade]; this is the identity, and the look is in the other files", part.words)
    } else if part.nearest.is_none() {
        format!(
            "{}: the recipe's [grade], which is all of the look but tone, gamut and encoding; behind it stands post/aces/output.LOOK.clf",
            part.words
        )
    } else {
        format!(
            "{}: the recipe's [grade] alone, not the look: white, split, colour and the rest are in the other files",
            part.words
        )
    };
    correction.descriptions = vec![
        what,
        "Working space: ACEScct (AP1). Order: behind the input, its gamut compression, exposure, diffusion and white; before split, tone and \
         colour. Values below 0 are cut behind slope and offset, nothing is cut at 1"
            .to_owned(),
    ];
    correction.input_description = "ACEScct (AMPAS S-2016-001)".to_owned();
    correction.viewing_description = "through the rest of the look: see START-HERE".to_owned();
    correction
}

fn nearest_correction(part: &PartWork<'_>, cdl: Cdl, fit: &super::manifest::FitNote) -> Correction {
    let mut correction = Correction::new(format!("{}.nearest", part.stem), cdl);
    correction.descriptions = vec![
        format!(
            "NOT the look: the ASC CDL that comes nearest to {}. It misses the look by CIEDE2000 {:.2} mean, 95 % below {:.2}, {:.2} at most, on \
             chart and skins at -3 to +3 stops; without it the plain conversion misses {:.2}",
            part.words, fit.mean_de, fit.de_95, fit.max_de, fit.plain_mean_de
        ),
        format!(
            "Working space: ACEScct (AP1). Order: the camera's input (post/aces/input.CAMERA.clf), ACES2065-1 to ACEScct, this CDL in place of all \
             of the look and its exposure, back to ACES2065-1, then the plain conversion in {}.plain.clf beside this file",
            part.stem
        ),
    ];
    correction.input_description = "ACEScct (AMPAS S-2016-001)".to_owned();
    correction.viewing_description = format!("{}.plain.clf", part.stem);
    correction
}

fn scene_file(part: &PartWork<'_>) -> String {
    format!("post/aces/look.{}.clf", part.stem)
}

fn output_file(part: &PartWork<'_>) -> String {
    format!("post/aces/output.{}.clf", part.stem)
}

fn linear_file(part: &PartWork<'_>) -> String {
    format!("post/linear/{}.clf", part.stem)
}

/// The part of the look that a setup uses.
#[must_use]
pub fn key_of_setup(show: &Show, setup: usize) -> PartKey {
    PartKey { look: show.setups[setup].look, part: part_of(show, setup) }
}
