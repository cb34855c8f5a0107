//! The main job: a recipe file → a LUT file, read back and verified.
//!
//! [`prepare`] goes from parse to build and touches nothing; [`Prepared::produce`] samples, writes and verifies. A caller
//! prepares everything first, so that nothing is written where anything is wrong.

mod header;

pub use header::{Monitor, camera_in, fact_in, fingerprint_in, levels_in, monitor_in};

use crate::diagnostics::{Diagnostic, Span, codes};
use crate::formats::atomic::write_atomically;
use crate::formats::cube::{self, Header, Tables};
use crate::formats::slug;
use crate::lut::{Sampled, Table3, sample};
use crate::pipeline::Pipeline;
use crate::plan::{Cdl, Plan, hex};
use crate::recipe::{self, Recipe, Value};
use crate::verify::{Verification, verify};
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::{Path, PathBuf};

/// A recipe that has been read, resolved and built, ready to be sampled.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// The recipe's path, as it was named.
    pub path: PathBuf,
    /// What was written.
    pub recipe: Recipe,
    /// What it means.
    pub plan: Plan,
    /// The blocks.
    pub pipeline: Pipeline,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
    /// Name of the file that it compiles to.
    pub file_name: String,
}

/// A LUT file that was written.
#[derive(Clone, Debug)]
pub struct Produced {
    /// Where.
    pub path: PathBuf,
    /// SHA-256 of the file, 64 hexadecimal digits.
    pub sha256: String,
    /// Fingerprint of the plan, as the header carries it.
    pub fingerprint: String,
    /// Fingerprint of another look's file of the same name that was replaced.
    pub replaced: Option<String>,
    /// What the verifier found; `None` where it was not asked.
    pub verification: Option<Verification>,
}

/// Parse, resolve and build.
///
/// # Errors
/// Everything that is wrong with the recipe and those that it extends.
pub fn prepare(path: &Path, overrides: &[String]) -> Result<Prepared, Vec<Diagnostic>> {
    let text = recipe::read_text(path).map_err(|diagnostic| vec![diagnostic])?;
    prepare_text(path, text, overrides)
}

/// The same from a text that was read already: a pipe can be read once only.
///
/// # Errors
/// As [`prepare`].
pub fn prepare_text(path: &Path, text: String, overrides: &[String]) -> Result<Prepared, Vec<Diagnostic>> {
    let recipe = recipe::load_text(path, text, overrides, &recipe::Overlay::default())?.recipe;
    let (plan, mut warnings) = recipe.resolve_all();
    let locate = |faults: Vec<crate::pipeline::Fault>| faults.into_iter().map(|fault| recipe.locate(fault));
    let pipeline = match Pipeline::build(&plan) {
        Ok((pipeline, doubts)) => {
            warnings.extend(locate(doubts));
            Some(pipeline)
        }
        Err(faults) => {
            warnings.extend(locate(faults));
            None
        }
    };
    let file_name = match file_name(&recipe, &plan) {
        Ok((name, changed)) => {
            warnings.extend(changed);
            name
        }
        Err(faults) => {
            warnings.extend(faults);
            String::new()
        }
    };
    match pipeline {
        Some(pipeline) if !warnings.iter().any(Diagnostic::is_error) => {
            let prepared = Prepared { path: path.to_path_buf(), recipe, plan, pipeline, warnings, file_name };
            // Only a grade can leave the finite numbers, and only its table shows whether it does.
            if prepared.plan.grade != Cdl::IDENTITY {
                prepared.sample()?;
            }
            Ok(prepared)
        }
        _ => Err(warnings),
    }
}

/// The name of the LUT file: the look's name in lower-case ASCII letters, digits and hyphens.
fn file_name(recipe: &Recipe, plan: &Plan) -> Result<(String, Option<Diagnostic>), Vec<Diagnostic>> {
    let name = &plan.look.name;
    let (ascii, transliterated) = cube::transliterate(name);
    let stem = slug(name);
    let span = recipe.place("look.name");
    if stem.is_empty() {
        let diagnostic = Diagnostic::error(&codes::NO_FILE_NAME, "the look's name makes no file name");
        return Err(vec![
            diagnostic
                .at(span, format!("expected a letter or digit, found \"{name}\""))
                .help("give the look a name with at least one letter or digit"),
        ]);
    }
    let warning = transliterated.then(|| {
        Diagnostic::warning(&codes::TRANSLITERATED, "the look's name has characters outside ASCII")
            .at(span, format!("the cube file says \"{ascii}\""))
            .help("cube files are ASCII; choose an ASCII name to decide for yourself how it is spelt")
    });
    Ok((format!("{stem}.cube"), warning))
}

impl Prepared {
    /// Sample, write, read back and verify. The folder is made if it is missing; the file appears whole or not at all.
    ///
    /// # Errors
    /// A grade that is not finite; a folder or file that can't be written or read back.
    pub fn produce(&self, folder: &Path, verified: bool) -> Result<Produced, Vec<Diagnostic>> {
        let exact = self.sample()?;
        let mut bytes = Vec::new();
        let header = header_of(&self.plan, &self.plan.look.name, &[]);
        cube::write(&exact.table, &header, &mut bytes);
        let path = folder.join(&self.file_name);
        let unwritable = |error: std::io::Error| {
            let message = format!("{}: {error}", path.display());
            vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder with --out")]
        };
        std::fs::create_dir_all(folder).map_err(unwritable)?;
        let fingerprint = self.plan.fingerprint();
        let replaced = fingerprint_of(&path).filter(|earlier| *earlier != fingerprint);
        write_atomically(&path, &bytes).map_err(unwritable)?;
        let sha256 = hex(&Sha256::digest(&bytes));
        drop(bytes);
        let verification = if verified { Some(self.read_back(&path, &exact)?) } else { None };
        Ok(Produced { path, sha256, fingerprint, replaced, verification })
    }

    /// What a grade of diffusion stands for, where the recipe names one.
    #[must_use]
    pub fn preset(&self) -> Option<String> {
        let Value::Text(grade) = &self.recipe.get("diffusion.grade")?.value else { return None };
        let d = &self.plan.diffusion;
        Some(format!(
            "grade {grade}: veil {}, knee {} stops, softness {} stops, loss {} stops, bleach {}; this project's own \
             starting points, measured from no filter; the halo is not in the LUT",
            d.veil, d.knee_stops, d.softness_stops, d.loss_stops, d.bleach
        ))
    }

    /// The table, before it is printed.
    ///
    /// # Errors
    /// A grade that sends a colour of the table to infinity.
    pub fn sample(&self) -> Result<Sampled, Vec<Diagnostic>> {
        self.sample_at(self.plan.device.size)
    }

    /// Holds any table against the recipe: each of its numbers, and what the recipe's device makes of it. A table of
    /// another size than the recipe asks for is held against the look at its own size, and a note says so; one whose
    /// domain is not 0..1 fails, but is looked at all the same.
    ///
    /// # Errors
    /// A grade that sends a colour of the table to infinity.
    pub fn hold(&self, table: &Table3) -> Result<Verification, Vec<Diagnostic>> {
        let exact = self.sample_at(table.size())?;
        Ok(verify(table, &self.plan, &self.pipeline, &exact))
    }

    fn sample_at(&self, size: usize) -> Result<Sampled, Vec<Diagnostic>> {
        let sampled = sample(&self.pipeline, size);
        if sampled.clips.not_finite > 0 {
            return Err(vec![not_finite(sampled.clips.not_finite, self.recipe.place("grade"))]);
        }
        Ok(sampled)
    }

    fn read_back(&self, path: &Path, exact: &Sampled) -> Result<Verification, Vec<Diagnostic>> {
        match cube::read(path)?.tables {
            Tables::Three(table) => Ok(verify(&table, &self.plan, &self.pipeline, exact)),
            Tables::One(_) | Tables::Shaped { .. } => {
                let message = format!("{}: read back as another kind of table", path.display());
                Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message)])
            }
        }
    }
}

/// What stands above the table of a plan: what the file was made for. `facts` are said between the look's name and its
/// fingerprint.
#[must_use]
pub fn header_of(plan: &Plan, title: &str, facts: &[(&str, String)]) -> Header {
    let (device, display) = (&plan.device, &plan.display);
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    let peak = if display.encoding.needs_peak() { format!(" {} nits", display.peak_nits) } else { String::new() };
    let mut comments = vec![format!("look: {}", plan.look.name)];
    comments.extend(facts.iter().map(|(name, fact)| format!("{name}: {fact}")));
    comments.extend([
        format!("fingerprint: {}", plan.fingerprint()),
        format!("camera: {}{index} / {}", plan.camera.curve.encoding().id, plan.camera.gamut.id),
        format!("monitor: {} / {}{peak}", display.encoding.id(), display.gamut.id),
        format!("levels: input {}, output {}", device.input_levels.id(), device.output_levels.id()),
        format!("interpolation: {}", device.interpolation.id()),
        format!("made by: lookwright {}", env!("CARGO_PKG_VERSION")),
    ]);
    Header { title: title.to_owned(), comments, ..Header::default() }
}

/// What is said of a grade that leaves the finite numbers.
pub(crate) fn not_finite(colours: u64, place: Span) -> Diagnostic {
    let message = format!("the grade sends {colours} colours of the table to infinity");
    Diagnostic::error(&codes::GRADE_NOT_FINITE, message)
        .at(place, "slope, offset and power together are too strong")
        .help("lower `power` or `slope` in [grade]")
}

/// The fingerprint in the header of a file, if there is one.
pub(crate) fn fingerprint_of(path: &Path) -> Option<String> {
    const HEADER_BYTES: u64 = 4096;
    let mut head = Vec::new();
    std::fs::File::open(path).ok()?.take(HEADER_BYTES).read_to_end(&mut head).ok()?;
    let comments: Vec<String> = String::from_utf8_lossy(&head)
        .lines()
        .filter_map(|line| line.strip_prefix('#'))
        .map(|line| line.trim().to_owned())
        .collect();
    fingerprint_in(&comments).map(str::to_owned)
}

/// Two recipes that would write the same file.
///
/// # Errors
/// One diagnostic for each recipe whose file another one writes already.
pub fn distinct_files(prepared: &[Prepared]) -> Result<(), Vec<Diagnostic>> {
    let clashes: Vec<Diagnostic> = prepared
        .iter()
        .enumerate()
        .filter_map(|(index, one)| {
            let earlier = prepared[..index].iter().find(|other| other.file_name == one.file_name)?;
            let diagnostic = Diagnostic::error(&codes::SAME_FILE, format!("two recipes would write {}", one.file_name));
            let label = format!("{} writes it already", earlier.path.display());
            Some(diagnostic.at(one.recipe.place("look.name"), label).help("give one of the two looks another name"))
        })
        .collect();
    if clashes.is_empty() { Ok(()) } else { Err(clashes) }
}
