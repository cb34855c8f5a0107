//! Reports: pages that say what a look, a file or two of them do.

use lookwright::compile::{Prepared, Produced};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::atomic::write_atomically;
use lookwright::formats::cube::{self, Tables};
use lookwright::formats::package::Making;
use lookwright::lut::{Interpolation, Table3, sample};
use lookwright::picture::preview::Applier;
use lookwright::plan::{Device, Levels, hex};
use lookwright::portrait::{
    ComparisonReport, CubeReport, FileFacts, LookReport, LookSubject, SeenSide, ShowPart, Studio, Use,
};
use lookwright::report::{comparison_report_html, cube_report_html, look_report_html};
use lookwright::show::{Job, Made, Part, Run, Work};
use lookwright::verify::comparison::Difference;
use lookwright::verify::{Comparison, Inspection, View, verify};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The report on a look whose file was just written, beside it.
pub fn of_look(one: &Prepared, produced: &Produced, studio: &Studio) -> Result<PathBuf, Vec<Diagnostic>> {
    let table = table(&produced.path)?;
    let subject = LookSubject {
        plan: &one.plan,
        pipeline: &one.pipeline,
        table: &table,
        verification: produced.verification.as_ref(),
        recipe: Some(&one.recipe),
        warnings: &one.warnings,
    };
    let file = FileFacts {
        name: name_of(&produced.path),
        sha256: produced.sha256.clone(),
        fingerprint: produced.fingerprint.clone(),
    };
    let report = LookReport::new(&subject, ShowPart::default(), file, studio)?;
    write(produced.path.with_extension(ENDING), &look_report_html(&report))
}

/// Reports on the looks of a show, each for the first camera and monitor that it was made for, in a folder of their own. Gives
/// back their names in the show's folder, and what went wrong.
pub fn of_show(work: &Work, run: &Run) -> (Vec<String>, Vec<Diagnostic>) {
    let mut first: Vec<&Job> = Vec::new();
    for (job, made) in run.jobs.iter().map(|place| &work.jobs[*place]).zip(&run.made) {
        let known = first.iter().any(|other| (other.look, other.part) == (job.look, job.part));
        if made.entry().is_some() && !known {
            first.push(job);
        }
    }
    let studio = match Studio::new() {
        Ok(studio) => studio,
        Err(found) => return (Vec::new(), found),
    };
    let made: Vec<Result<String, Vec<Diagnostic>>> =
        first.into_par_iter().map(|job| of_job(work, job, &run.folder, &studio)).collect();
    let (mut names, mut failed) = (Vec::new(), Vec::new());
    for one in made {
        match one {
            Ok(name) => names.push(name),
            Err(found) => failed.extend(found),
        }
    }
    (names, failed)
}

/// Reports of a show that speak of a look whose files were made anew since.
pub fn of_earlier_files(work: &Work, run: &Run) -> Vec<String> {
    let written = run.jobs.iter().zip(&run.made).filter(|(_, made)| matches!(made, Made::Written { .. }));
    let mut stale: Vec<String> = Vec::new();
    for (job, _) in written.map(|(place, made)| (&work.jobs[*place], made)) {
        let name = name_of_job(work, job);
        let Ok(page) = std::fs::read_to_string(run.folder.join(&name)) else { continue };
        // A report is of one of the look's files: it is right as long as it names the fingerprint of one of them.
        let of_same_look = |other: &&Job| (other.look, other.part) == (job.look, job.part);
        let known = work.jobs.iter().filter(of_same_look).any(|other| page.contains(&other.plan.fingerprint()));
        if !known && !stale.contains(&name) {
            stale.push(name);
        }
    }
    stale
}

/// The name of a job's report in the show's folder. Ids are told apart without case and have no dots; a word before them keeps the
/// name from being that of a device of some system.
fn name_of_job(work: &Work, job: &Job) -> String {
    let (look, part) = (&work.show.looks[job.look].id.text, work.show.part_id(job.look, job.part));
    let file = match job.part {
        Part::Look => format!("look-{look}.html"),
        Part::Variant(_) => format!("look-{look}.{part}.html"),
        Part::Version(_) => format!("look-{look}.{part}.version.html"),
    };
    format!("{FOLDER}/{}", file.to_lowercase())
}

/// The same pages for a package, each made when its turn comes.
pub fn pages_of_show<'a>(work: &'a Work, run: &'a Run) -> Vec<(String, Making<'a>)> {
    let mut first: Vec<&Job> = Vec::new();
    for job in run.jobs.iter().map(|place| &work.jobs[*place]) {
        if !first.iter().any(|other| (other.look, other.part) == (job.look, job.part)) {
            first.push(job);
        }
    }
    let studio = Arc::new(Studio::new());
    first
        .into_iter()
        .map(|job| {
            let studio = Arc::clone(&studio);
            let make: Making<'a> = Box::new(move || match studio.as_ref() {
                Ok(studio) => html_of_job(work, job, &run.folder, studio).map(String::into_bytes),
                Err(found) => Err(found.clone()),
            });
            (name_of_job(work, job), make)
        })
        .collect()
}

fn of_job(work: &Work, job: &Job, folder: &Path, studio: &Studio) -> Result<String, Vec<Diagnostic>> {
    let page = html_of_job(work, job, folder, studio)?;
    let name = name_of_job(work, job);
    write(folder.join(&name), &page)?;
    Ok(name)
}

fn html_of_job(work: &Work, job: &Job, folder: &Path, studio: &Studio) -> Result<String, Vec<Diagnostic>> {
    let show = &work.show;
    let path = folder.join(&job.path);
    let table = table(&path)?;
    let verification = verify(&table, &job.plan, &job.pipeline, &sample(&job.pipeline, table.size()));
    let (look, part) = (&show.looks[job.look].id.text, show.part_id(job.look, job.part));
    let warnings: Vec<Diagnostic> = work.warnings.iter().filter(|one| is_about(one, work, job)).cloned().collect();
    let subject = LookSubject {
        plan: &job.plan,
        pipeline: &job.pipeline,
        table: &table,
        verification: Some(&verification),
        recipe: Some(&job.recipe),
        warnings: &warnings,
    };
    let file = FileFacts { name: name_of(&path), sha256: sha256(&path)?, fingerprint: job.plan.fingerprint() };
    let (camera, monitor) = (&show.cameras[job.camera].id.text, &show.monitors[job.monitor].id.text);
    let variant = match job.part {
        Part::Look => String::new(),
        Part::Variant(_) => format!("variant {part}"),
        Part::Version(_) => format!("version {part}"),
    };
    let others = "files and levels of every other camera and monitor: loading-card.html";
    let of_look = if variant.is_empty() { look.clone() } else { format!("{look}, {variant}") };
    let place = format!("{}: look {of_look}; here for camera {camera} on monitor {monitor}; {others}", show.name.text);
    let report = LookReport::new(&subject, ShowPart { variant, part: place }, file, studio)?;
    Ok(look_report_html(&report))
}

/// Whether a warning of a show is about the look of a job: it stands in the look's recipe, or was found for it.
fn is_about(warning: &Diagnostic, work: &Work, job: &Job) -> bool {
    let found_for = format!("look \"{}\"", work.show.looks[job.look].id.text);
    let recipe = work.recipes.get(job.look).map(|path| path.display().to_string());
    let in_recipe = warning.span.as_ref().is_some_and(|span| Some(&span.source.name) == recipe.as_ref());
    in_recipe || warning.message.contains(&found_for) || warning.help.iter().any(|help| help.contains(&found_for))
}

/// The folder of a show's reports.
const FOLDER: &str = "reports";

/// A file of unknown origin.
pub struct Subject<'a> {
    /// What it calls itself; may be empty.
    pub title: &'a str,
    /// What pictures are made through.
    pub applier: Applier,
    /// What is doubtful.
    pub warnings: &'a [Diagnostic],
}

/// The report on a cube file of unknown origin.
pub fn of_file(
    path: &Path,
    file: &Subject<'_>,
    (inspection, view): (&Inspection, View<'_>),
    levels_known: bool,
    studio: &Studio,
    out: &Path,
) -> Result<PathBuf, Vec<Diagnostic>> {
    let shown = &inspection.display;
    let find = |id: &str| Levels::ALL.into_iter().find(|levels| levels.id() == id).unwrap_or(Levels::Full);
    let device = device(Interpolation::Tetrahedral, (find(shown.input_levels), find(shown.output_levels)));
    let mut seen = Use::new(&view.camera, view.display(), &device);
    seen.known = known(inspection).to_owned();
    seen.levels_known = levels_known;
    let side = SeenSide {
        name: file.title.to_owned(),
        kind: inspection.table.to_owned(),
        file: name_of(path),
        seen,
        view,
        applier: file.applier.clone(),
        device,
    };
    let facts = FileFacts {
        name: name_of(path),
        sha256: sha256(path)?,
        fingerprint: inspection.fingerprint.clone().unwrap_or_default(),
    };
    let report = CubeReport::new(&side, inspection.clone(), facts, file.warnings, studio)?;
    write(out.join(format!("{}.{ENDING}", name_of(path))), &cube_report_html(&report))
}

/// How a file's camera and display are known.
fn known(inspection: &Inspection) -> &'static str {
    use lookwright::verify::inspection::Known;
    match (inspection.camera.known, inspection.display.known) {
        (Known::Given | Known::Header | Known::Named, true) => "as given, or as the file's comments say",
        (Known::Given | Known::Header | Known::Named, false) => {
            "the camera as given, or as the file's comments say; the display is an assumption"
        }
        (Known::Described, true) => "as given, or as the list's descriptors say",
        (Known::Described, false) => "the camera as the list's descriptor says; the display is an assumption",
        (Known::Light, true) => {
            "the list takes light and no camera's signal: pictures and figures show it behind a working log signal; the display as given or described"
        }
        (Known::Light, false) => {
            "the list takes light and no camera's signal: pictures and figures show it behind a working log signal; the display is an assumption"
        }
        (Known::Conversion, _) => "the camera from the table itself, which is a conversion from its encoding",
        (Known::Guessed, true) => "the camera is a guess, by which of the published encodings gives a sensible picture",
        (Known::Guessed, false) => {
            "the camera is a guess, by which of the published encodings gives a sensible picture; the display is an assumption"
        }
        (Known::Nothing, _) => "an assumption: no published encoding gives a sensible picture",
    }
}

/// The report on two looks.
pub fn of_two(
    sides: [&SeenSide<'_>; 2],
    comparison: &Comparison,
    changed: Option<Vec<Difference>>,
    warnings: &[Diagnostic],
    out: &Path,
) -> Result<PathBuf, Vec<Diagnostic>> {
    let report = ComparisonReport::new(sides, comparison.clone(), changed, warnings, &Studio::new()?)?;
    let [a, b] = sides.map(|side| stem_of(Path::new(&side.file)));
    write(out.join(format!("{a}.against.{b}.{ENDING}")), &comparison_report_html(&report))
}

/// Reports of one name would replace each other.
pub fn distinct(stems: impl Iterator<Item = String>) -> Result<(), Vec<Diagnostic>> {
    let mut known: Vec<String> = Vec::new();
    for stem in stems {
        if known.contains(&stem.to_lowercase()) {
            let message = format!("two files would have the report {stem}.{ENDING}");
            return Err(vec![
                Diagnostic::error(&codes::SAME_FILE, message).help("inspect them in two runs, with another --out"),
            ]);
        }
        known.push(stem.to_lowercase());
    }
    Ok(())
}

/// The name of a file without its ending.
pub fn stem_of(path: &Path) -> String {
    path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default()
}

/// How a cube file is applied.
pub fn device(interpolation: Interpolation, levels: (Levels, Levels)) -> Device {
    Device { size: 0, interpolation, input_levels: levels.0, output_levels: levels.1 }
}

/// What the name of a report ends with.
pub const ENDING: &str = "report.html";

/// Whether a report that stands there is of an earlier file: it does not name this one's SHA-256.
pub fn is_of_another_file(report: &Path, sha256: &str) -> bool {
    std::fs::read_to_string(report).is_ok_and(|page| !page.contains(sha256))
}

/// The table of a file of ours.
pub fn table(path: &Path) -> Result<Table3, Vec<Diagnostic>> {
    match cube::read(path)?.tables {
        Tables::Three(table) => Ok(table),
        Tables::One(_) | Tables::Shaped { .. } => {
            let message = format!("{}: another kind of table than a look's", path.display());
            Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message)])
        }
    }
}

/// The last part of a path.
pub fn name_of(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// SHA-256 of a file.
pub fn sha256(path: &Path) -> Result<String, Vec<Diagnostic>> {
    let bytes = std::fs::read(path)
        .map_err(|error| vec![Diagnostic::error(&codes::FILE_UNREADABLE, format!("{}: {error}", path.display()))])?;
    Ok(hex(&Sha256::digest(&bytes)))
}

/// Writes a page, and its folder where that is missing.
pub fn write(path: PathBuf, page: &str) -> Result<PathBuf, Vec<Diagnostic>> {
    let unwritable = |error: std::io::Error| {
        let message = format!("{}: {error}", path.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder with --out")]
    };
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(unwritable)?;
    }
    write_atomically(&path, page.as_bytes()).map_err(unwritable)?;
    Ok(path)
}
