//! `identify`: which look, version, camera and monitor a loose file came from.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome, failure_code};
use super::layout::labelled;
use lookwright::compile::{self, Prepared, fact_in};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::cube;
use lookwright::identify::{Candidate, Identification, Nearest, Verdict, identify};
use lookwright::plan::{Plan, short};
use lookwright::recipe::read_text;
use lookwright::show::{self, Part, Show, Work, is_show};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Column at which the words of a line begin.
const INDENT: usize = 15;

/// Further away than this, what must have been done to a file is a story and no finding. This project's own choice.
const TELLING_DE: f64 = 3.0;

/// What is looked among where nothing is named.
const USUAL_SHOW: &str = "show.toml";

/// Say which look, version, camera and monitor a loose cube file came from
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright identify card/WARM_A_7KQ3.cube --among show.toml
           lookwright identify *.cube --among show.toml --among recipes/technical.toml

The numbers decide, not the header: a file is found again without its comments, with its numbers printed anew,
re-sampled to another size, or with its levels re-scaled. Exit code 1: a file is none of these; the nearest are told.")]
pub struct Arguments {
    /// Cube files
    #[arg(required = true, value_name = "CUBE")]
    cubes: Vec<PathBuf>,

    /// A show or a recipe that it could come from; show.toml in the current folder where none is named
    #[arg(long, value_name = "FILE")]
    among: Vec<PathBuf>,
}

/// Where candidates come from.
enum Origin {
    Show(Box<Work>),
    Recipe(Box<Prepared>),
}

/// All candidates, and what each is.
struct Catalogue {
    origins: Vec<Origin>,
    /// Origin, and the place of the job in its show.
    of: Vec<(usize, usize)>,
    candidates: Vec<Candidate>,
    warnings: Vec<Diagnostic>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let catalogue = Catalogue::read(&arguments.among)?;
    console.warnings(&catalogue.warnings);
    let mut documents = Vec::new();
    let mut failed: Vec<Diagnostic> = Vec::new();
    let mut outcome = Outcome::Fine;
    for path in &arguments.cubes {
        let file = match cube::read(path) {
            Ok(file) => file,
            Err(found) => {
                failed.extend(found);
                continue;
            }
        };
        let found = identify(&file, &catalogue.candidates);
        if matches!(found.verdict, Verdict::None) {
            outcome = Outcome::OutOfTolerance;
        }
        if console.is_json() {
            documents.push(catalogue.document(path, &found));
        } else {
            console.text(&catalogue.text(path, &file.comments, &found, console));
        }
    }
    if console.is_json() {
        let diagnostics: Vec<Diagnostic> = catalogue.warnings.iter().chain(&failed).cloned().collect();
        console.document(
            &json!({"files": documents, "among": catalogue.candidates.len(), "diagnostics": as_json(&diagnostics)}),
        );
    } else if !failed.is_empty() {
        console.failure(&failed);
    }
    Ok(if failed.is_empty() { outcome } else { Outcome::Partly(failure_code(&failed)) })
}

impl Catalogue {
    fn read(among: &[PathBuf]) -> Result<Self, Vec<Diagnostic>> {
        let usual = [PathBuf::from(USUAL_SHOW)];
        let files = match among {
            [] if usual[0].is_file() => &usual[..],
            [] => {
                let message = "nothing to look among: there is no show.toml here";
                let help = "name a show or recipes: --among show.toml";
                return Err(vec![Diagnostic::error(&codes::NOTHING_AMONG, message).help(help)]);
            }
            among => among,
        };
        let mut catalogue = Self { origins: Vec::new(), of: Vec::new(), candidates: Vec::new(), warnings: Vec::new() };
        let mut found = Vec::new();
        for file in files {
            if let Err(diagnostics) = catalogue.add(file) {
                found.extend(diagnostics);
            }
        }
        if found.is_empty() { Ok(catalogue) } else { Err(found) }
    }

    fn add(&mut self, file: &Path) -> Result<(), Vec<Diagnostic>> {
        let origin = self.origins.len();
        let text = read_text(file).map_err(|diagnostic| vec![diagnostic])?;
        if is_show(&text) {
            let (show, doubts) = Show::parse(file, text, None)?;
            let mut work = show::prepare(show, doubts)?;
            // How many slots a device has is nothing to a loose file.
            self.warnings.extend(work.warnings.drain(..).filter(|one| one.code != &codes::SLOTS_FEW));
            for (place, job) in work.jobs.iter().enumerate() {
                self.of.push((origin, place));
                self.candidates.push(Candidate { plan: job.plan.clone(), pipeline: job.pipeline.clone() });
            }
            self.origins.push(Origin::Show(Box::new(work)));
        } else {
            let prepared = compile::prepare_text(file, text, &[])?;
            self.of.push((origin, 0));
            self.candidates.push(Candidate { plan: prepared.plan.clone(), pipeline: prepared.pipeline.clone() });
            self.origins.push(Origin::Recipe(Box::new(prepared)));
        }
        Ok(())
    }

    /// What a candidate is, in words.
    fn name(&self, candidate: usize) -> String {
        let (origin, place) = self.of[candidate];
        match &self.origins[origin] {
            Origin::Recipe(prepared) => format!("{} ({})", prepared.plan.look.name, prepared.path.display()),
            Origin::Show(work) => {
                let (show, job) = (&work.show, &work.jobs[place]);
                let part = match job.part {
                    Part::Look => String::new(),
                    Part::Variant(_) => format!(", variant {}", show.part_id(job.look, job.part)),
                    Part::Version(version) => {
                        let setup = &show.setups[show.versions[version].setup].id.text;
                        format!(", version {} of setup {setup}", show.part_id(job.look, job.part))
                    }
                };
                format!(
                    "look {} ({}){part}, camera {}, monitor {}",
                    show.looks[job.look].id.text,
                    job.plan.look.name,
                    show.cameras[job.camera].id.text,
                    show.monitors[job.monitor].id.text,
                )
            }
        }
    }

    /// Where a candidate comes from: its show and the file that it is there.
    fn source(&self, candidate: usize) -> String {
        let (origin, place) = self.of[candidate];
        match &self.origins[origin] {
            Origin::Recipe(prepared) => format!("recipe {}", prepared.path.display()),
            Origin::Show(work) => format!(
                "show {} ({}), file {}",
                work.show.name.text,
                work.show.path.display(),
                work.jobs[place].path.display()
            ),
        }
    }

    fn text(&self, path: &Path, comments: &[String], found: &Identification, console: &Console) -> String {
        let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, &path.display().to_string()));
        match &found.verdict {
            Verdict::Is { candidates, origin, .. } => {
                let is = console.emphasise(Emphasis::Good, "is");
                let first = candidates.first().copied().unwrap_or_default();
                // The colour takes no room on the terminal, so that the column is laid out by hand.
                text.push_str(&format!("  {is}{:1$}{2}\n", "", INDENT - 4, self.name(first)));
                text.push_str(&labelled("from", &self.source(first), INDENT));
                let plan: &Plan = &self.candidates[first].plan;
                let levels = (plan.device.input_levels.id(), plan.device.output_levels.id());
                let facts = format!(
                    "fingerprint {}, {} points, levels in {} out {}",
                    short(&plan.fingerprint()),
                    plan.device.size,
                    levels.0,
                    levels.1
                );
                text.push_str(&labelled("", &facts, INDENT));
                let how = if origin.is_unchanged() { "as it was written".to_owned() } else { origin.words() };
                text.push_str(&labelled("state", &how, INDENT));
                for other in candidates.iter().skip(1) {
                    text.push_str(&labelled("same table", &self.name(*other), INDENT));
                }
            }
            Verdict::None => {
                let none = console.emphasise(Emphasis::Bad, "none of these");
                text.push_str(&format!("  {none}, of {} in {}; the nearest:\n", self.candidates.len(), self.among()));
                for near in &found.nearest {
                    text.push_str(&self.near(near));
                }
            }
        }
        text.push_str(&labelled("header", &self.header(found), INDENT));
        if found.header.fingerprint.is_some() && found.header.candidates.is_empty() {
            text.push_str(&labelled("it says", &said(comments), INDENT));
        }
        for note in &found.notes {
            text.push_str(&labelled("note", note, INDENT));
        }
        text.push('\n');
        text
    }

    /// The files that were looked among.
    fn among(&self) -> String {
        let name = |origin: &Origin| match origin {
            Origin::Show(work) => work.show.path.display().to_string(),
            Origin::Recipe(prepared) => prepared.path.display().to_string(),
        };
        self.origins.iter().map(name).collect::<Vec<_>>().join(", ")
    }

    fn near(&self, near: &Nearest) -> String {
        let Some(first) = near.candidates.first() else { return String::new() };
        let words = format!(
            "ΔE {:.2} mean, {:.2} worst from {}{}",
            near.left.mean_de,
            near.left.max_de,
            self.name(*first),
            if near.origin.is_unchanged() || near.left.mean_de > TELLING_DE {
                String::new()
            } else {
                format!(", taken as {}", near.origin.words())
            },
        );
        labelled("", &words, INDENT)
    }

    fn header(&self, found: &Identification) -> String {
        let claim = &found.header;
        match (&claim.fingerprint, claim.candidates.first()) {
            (Some(fingerprint), Some(first)) => {
                format!("{}: fingerprint {}, {}", claim.agreement.words(), short(fingerprint), self.name(*first))
            }
            (Some(fingerprint), None) => {
                format!("{}: fingerprint {}", claim.agreement.words(), short(fingerprint))
            }
            (None, _) => claim.agreement.words().to_owned(),
        }
    }

    fn document(&self, path: &Path, found: &Identification) -> Value {
        let matches: Vec<Value> = match &found.verdict {
            Verdict::Is { candidates, .. } => candidates.iter().map(|one| self.describe(*one)).collect(),
            Verdict::None => Vec::new(),
        };
        let nearest: Vec<Value> = found
            .nearest
            .iter()
            .map(|near| {
                json!({"matches": near.candidates.iter().map(|one| self.describe(*one)).collect::<Vec<_>>(),
                    "how": near.origin.words(), "mean_de": near.left.mean_de, "max_de": near.left.max_de})
            })
            .collect();
        let how = match &found.verdict {
            Verdict::Is { origin, .. } => json!(origin.words()),
            Verdict::None => Value::Null,
        };
        json!({"file": path.to_string_lossy(), "identified": !matches.is_empty(), "matches": matches, "how": how, "nearest": nearest,
            "header": found.header, "details": found})
    }

    fn describe(&self, candidate: usize) -> Value {
        let (origin, place) = self.of[candidate];
        let fingerprint = self.candidates[candidate].plan.fingerprint();
        match &self.origins[origin] {
            Origin::Recipe(prepared) => {
                json!({"recipe": prepared.path.to_string_lossy(), "name": prepared.plan.look.name, "fingerprint": fingerprint})
            }
            Origin::Show(work) => {
                let (show, job) = (&work.show, &work.jobs[place]);
                let part = show.part_id(job.look, job.part);
                json!({
                    "show": show.path.to_string_lossy(),
                    "recipe": work.recipes[job.look].to_string_lossy(),
                    "look": show.looks[job.look].id.text,
                    "name": job.plan.look.name,
                    "variant": matches!(job.part, Part::Variant(_)).then_some(part),
                    "version": matches!(job.part, Part::Version(_)).then_some(part),
                    "camera_id": show.cameras[job.camera].id.text,
                    "monitor_id": show.monitors[job.monitor].id.text,
                    "file": job.path,
                    "code": job.code,
                    "fingerprint": fingerprint,
                })
            }
        }
    }
}

/// What a header says of a file that is not among the candidates: a version whose recipe was changed since, another show.
fn said(comments: &[String]) -> String {
    ["show", "look", "variant", "version", "camera id", "monitor id"]
        .iter()
        .filter_map(|name| Some(format!("{name} {}", fact_in(comments, name)?)))
        .collect::<Vec<_>>()
        .join(", ")
}
