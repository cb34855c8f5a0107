//! A show → the work: one job for each look, variant or version, camera and monitor.

use super::model::{Id, Show, ShowCamera, ShowMonitor, Variant};
use super::names::{self, Purpose};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes};
use crate::formats::cube::Newline;
use crate::lut::sample;
use crate::pipeline::Pipeline;
use crate::plan::{Cdl, Plan, Trim};
use crate::recipe::{self, Overlay, Recipe, Value, Written};
use std::path::{Path, PathBuf};

/// Digits of a look's fingerprint that a show records.
pub const LOOK_FINGERPRINT_DIGITS: usize = 16;

/// A grade that leaves the finite numbers does so at the ends of the table first; a table of this size has them all.
const FINITE_SIZE: usize = 5;

/// What of a look a job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The look itself.
    Look,
    /// A variant, as a place in the look's variants.
    Variant(usize),
    /// A version, as a place in the show's versions.
    Version(usize),
}

/// One LUT to make.
#[derive(Clone, Debug)]
pub struct Job {
    /// The look, as a place in the show's looks.
    pub look: usize,
    /// The look itself, a variant or a version.
    pub part: Part,
    /// The camera, as a place in the show's cameras.
    pub camera: usize,
    /// The monitor, as a place in the show's monitors.
    pub monitor: usize,
    /// The look's recipe, as camera and monitor complete it.
    pub recipe: Recipe,
    /// What the LUT means.
    pub plan: Plan,
    /// Its blocks.
    pub pipeline: Pipeline,
    /// Short code of look and camera, in capital letters.
    pub code: String,
    /// Where the file goes, in the show's folder.
    pub path: PathBuf,
    /// Title in the file.
    pub title: String,
    /// What the header says beside the usual facts.
    pub facts: Vec<(&'static str, String)>,
    /// Whether the device accepts comments.
    pub comments: bool,
    /// What ends the file's lines.
    pub newline: Newline,
    /// Where the grade stands, for what is wrong with it.
    pub grade_place: Span,
}

/// A version whose recipe was changed after it was made.
#[derive(Clone, Debug)]
pub struct Drifted {
    /// The version, as a place in the show's versions.
    pub version: usize,
    /// What its look means now.
    pub fingerprint: String,
}

/// Everything that a show asks for, ready to be made.
#[derive(Clone, Debug)]
pub struct Work {
    /// The show.
    pub show: Show,
    /// The jobs: monitor by monitor, in each in the order of looks, parts and cameras.
    pub jobs: Vec<Job>,
    /// Versions that are no longer what they were; they have no jobs.
    pub drifted: Vec<Drifted>,
    /// Recipes that were read, in the order of the looks.
    pub recipes: Vec<PathBuf>,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

/// What of a show is to be made.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Selection {
    /// Everything.
    #[default]
    All,
    /// The look and the versions of one setup, as a place in the show's setups, for the setup's cameras.
    Setup(usize),
    /// The looks and the versions of some setups, for their cameras.
    Setups(Vec<usize>),
    /// One version, as a place in the show's versions.
    Version(usize),
}

impl Selection {
    /// Whether a job belongs to it.
    #[must_use]
    pub fn has(&self, show: &Show, job: &Job) -> bool {
        let of_setup = |setup: usize| Self::is_of_setup(show, job, setup);
        match self {
            Self::All => true,
            Self::Version(version) => job.part == Part::Version(*version),
            Self::Setup(setup) => of_setup(*setup),
            Self::Setups(setups) => setups.iter().any(|setup| of_setup(*setup)),
        }
    }

    fn is_of_setup(show: &Show, job: &Job, setup: usize) -> bool {
        let wanted = &show.setups[setup];
        let part = match job.part {
            Part::Version(version) => show.versions[version].setup == setup,
            Part::Look => wanted.variant.is_none(),
            Part::Variant(variant) => wanted.variant == Some(variant),
        };
        job.look == wanted.look && part && wanted.cameras.contains(&job.camera)
    }
}

/// Reads the recipes and trims of a show, and resolves and builds every job. Nothing is written.
///
/// # Errors
/// Everything that is wrong in any of these files.
pub fn prepare(show: Show, doubts: Vec<Diagnostic>) -> Result<Work, Vec<Diagnostic>> {
    let mut builder = Builder { show: &show, found: doubts, trims: Vec::new(), jobs: Vec::new(), drifted: Vec::new() };
    builder.trims();
    let recipes = builder.looks();
    builder.versions();
    builder.found.extend(super::lighting::diffusion_twice(&show, &builder.jobs));
    builder.name_files();
    builder.slots();
    let Builder { found, mut jobs, drifted, .. } = builder;
    if found.iter().any(Diagnostic::is_error) {
        return Err(found);
    }
    // Versions last, in the order in which they were made: a new one moves no other to another slot.
    jobs.sort_by_key(|job| {
        let is_version = matches!(job.part, Part::Version(_));
        (job.monitor, is_version, if is_version { 0 } else { job.look }, job.part, job.camera)
    });
    Ok(Work { jobs, drifted, recipes, warnings: found, show })
}

/// What a look means whatever camera and monitor: the first 16 hexadecimal digits of the fingerprint of its plan for ACEScct on
/// a BT.1886 monitor of BT.709 with 100 cd/m².
#[must_use]
pub fn look_fingerprint(recipe: &Recipe, variant: Option<&Variant>) -> String {
    let source = SourceText::new("", "");
    let span = Span { source, range: 0..0 };
    let text =
        |path: &'static str, text: &str| (path, Written { value: Value::Text(text.to_owned()), span: span.clone() });
    let reference = Overlay {
        tables: ["camera", "display", "lut", "verify"].into_iter().map(|table| (table, span.clone())).collect(),
        values: vec![text("camera.encoding", "acescct"), text("camera.gamut", "acescg")],
    };
    let (mut plan, _) = recipe.over(&reference).resolve_all();
    vary(&mut plan, variant);
    plan.fingerprint()[..LOOK_FINGERPRINT_DIGITS].to_owned()
}

/// What a variant changes.
fn vary(plan: &mut Plan, variant: Option<&Variant>) {
    if let Some(variant) = variant {
        plan.exposure_stops += variant.exposure_stops;
        plan.strength = variant.strength;
        plan.monochrome = variant.monochrome;
    }
}

/// The recipe of a look, read for the first camera and monitor that it is for.
///
/// # Errors
/// Everything that is wrong with the recipe; a file that is missing is shown where the show names it.
pub(super) fn read_recipe(show: &Show, look: usize, set: &[String]) -> Result<Recipe, Vec<Diagnostic>> {
    let look = &show.looks[look];
    let path = beside(&show.path, &look.recipe.text);
    let mut overlay = Overlay::default();
    for one in look
        .cameras
        .first()
        .map(|camera| &show.cameras[*camera].overlay)
        .into_iter()
        .chain(look.monitors.first().map(|monitor| &show.monitors[*monitor].overlay))
    {
        overlay.tables.extend(one.tables.iter().cloned());
        overlay.values.extend(one.values.iter().cloned());
    }
    recipe::load_over(&path, set, &overlay).map(|loaded| loaded.recipe).map_err(|found| {
        found
            .into_iter()
            .map(|diagnostic| {
                // A file that can't be read has no place of its own.
                if diagnostic.span.is_some() || diagnostic.code != &codes::FILE_UNREADABLE {
                    return diagnostic;
                }
                let label = diagnostic.message.clone();
                let message = format!("the recipe of look \"{}\" can't be read", look.id.text);
                Diagnostic::error(&codes::EXTENDS_UNREADABLE, message)
                    .at(look.recipe.span.clone(), label)
                    .help("the path is relative to the show")
            })
            .collect()
    })
}

/// A path as a file names it: relative to that file.
pub(super) fn beside(file: &Path, written: &str) -> PathBuf {
    file.parent().unwrap_or(Path::new("")).join(written)
}

struct Builder<'a> {
    show: &'a Show,
    found: Vec<Diagnostic>,
    /// One for each camera.
    trims: Vec<Trim>,
    jobs: Vec<Job>,
    drifted: Vec<Drifted>,
}

impl Builder<'_> {
    /// Adds what was found, each thing once, with the combination in which it was found first.
    fn report(&mut self, found: Vec<Diagnostic>, context: Option<&str>) {
        for diagnostic in found {
            let known = |other: &Diagnostic| {
                other.code == diagnostic.code
                    && other.span == diagnostic.span
                    && other.message == diagnostic.message
                    && other.label == diagnostic.label
            };
            if !self.found.iter().any(known) {
                let in_show = diagnostic.span.as_ref().is_some_and(|span| span.source == self.show.source);
                let diagnostic = match context {
                    Some(context) if !in_show => diagnostic.help(format!("found for {context}")),
                    _ => diagnostic,
                };
                self.found.push(diagnostic);
            }
        }
    }

    fn trims(&mut self) {
        for camera in &self.show.cameras {
            let trim = match &camera.trim {
                None => Ok(Trim::IDENTITY),
                Some(file) => recipe::load_trim(&beside(&self.show.path, &file.text)).map_err(|found| {
                    let unread = |diagnostic: Diagnostic| {
                        if diagnostic.span.is_some() {
                            return diagnostic;
                        }
                        let label = diagnostic.message.clone();
                        let message = format!("the trim of camera \"{}\" can't be read", camera.id.text);
                        Diagnostic::error(&codes::TRIM_FILE, message)
                            .at(file.span.clone(), label)
                            .help("the path is relative to the show")
                    };
                    found.into_iter().map(unread).collect()
                }),
            };
            match trim {
                Ok(trim) => self.trims.push(trim),
                Err(found) => {
                    self.report(found, None);
                    self.trims.push(Trim::IDENTITY);
                }
            }
        }
    }

    fn looks(&mut self) -> Vec<PathBuf> {
        let show = self.show;
        let mut recipes = Vec::new();
        for (index, look) in show.looks.iter().enumerate() {
            recipes.push(beside(&show.path, &look.recipe.text));
            let recipe = match read_recipe(show, index, &[]) {
                Ok(recipe) => recipe,
                Err(found) => {
                    self.report(found, None);
                    continue;
                }
            };
            if let Some(written) = ["trim.stops", "trim.matrix", "trim.root"].iter().find_map(|key| recipe.get(key)) {
                let message = format!("the trim of look \"{}\" is laid on every camera of the show", look.id.text);
                self.found.push(
                    Diagnostic::warning(&codes::RECIPE_TRIM, message)
                        .at(written.span.clone(), "expected no [trim] in a recipe of a show")
                        .help("a trim corrects one camera: put it into a file of its own, and name that in [[camera]]"),
                );
            }
            let cameras = look.cameras.clone();
            self.part(&recipe, index, Part::Look, &cameras);
            for variant in 0..look.variants.len() {
                self.part(&recipe, index, Part::Variant(variant), &cameras);
            }
        }
        recipes
    }

    fn versions(&mut self) {
        let show = self.show;
        for (index, version) in show.versions.iter().enumerate() {
            let setup = &show.setups[version.setup];
            let recipe = match read_recipe(show, setup.look, &version.set) {
                Ok(recipe) => recipe,
                Err(found) => {
                    // What is wrong with a setting stands in the show.
                    let of_set = |diagnostic: &Diagnostic| {
                        diagnostic.span.as_ref().is_some_and(|span| span.source.name == "--set")
                    };
                    let placed = found.into_iter().map(|diagnostic| {
                        if of_set(&diagnostic) {
                            let label = diagnostic.label.clone();
                            diagnostic.at(version.set_span.clone(), label)
                        } else {
                            diagnostic
                        }
                    });
                    self.report(placed.collect(), None);
                    continue;
                }
            };
            let variant = setup.variant.map(|variant| &show.looks[setup.look].variants[variant]);
            let fingerprint = look_fingerprint(&recipe, variant);
            if fingerprint == version.look_fingerprint.text {
                self.part(&recipe, setup.look, Part::Version(index), &setup.cameras);
                continue;
            }
            let recorded = &version.look_fingerprint;
            let message = format!("version \"{}\" is no longer what it was", version.id.text);
            let label = format!("it was {}, its recipe now makes {fingerprint}", recorded.text);
            let diagnostic = Diagnostic::warning(&codes::VERSION_DRIFTED, message)
                .at(recorded.span.clone(), label)
                .help("its files stay as they are; put the recipe back, or make a new version from it");
            self.found.push(diagnostic);
            self.drifted.push(Drifted { version: index, fingerprint });
        }
    }

    /// The jobs of a look, variant or version: for all its cameras and monitors.
    fn part(&mut self, recipe: &Recipe, look: usize, part: Part, cameras: &[usize]) {
        let show = self.show;
        for camera in cameras {
            for monitor in &show.looks[look].monitors {
                let (of_camera, of_monitor) = (&show.cameras[*camera], &show.monitors[*monitor]);
                let (job, found) = self.job(recipe, look, part, *camera, *monitor);
                let context = format!(
                    "look \"{}\", camera \"{}\", monitor \"{}\"",
                    show.looks[look].id.text, of_camera.id.text, of_monitor.id.text
                );
                self.report(found, Some(&context));
                self.jobs.extend(job);
            }
        }
    }

    fn job(
        &self,
        recipe: &Recipe,
        look: usize,
        part: Part,
        camera: usize,
        monitor: usize,
    ) -> (Option<Job>, Vec<Diagnostic>) {
        let show = self.show;
        let (of_camera, of_monitor): (&ShowCamera, &ShowMonitor) = (&show.cameras[camera], &show.monitors[monitor]);
        let recipe = recipe.over(&of_camera.overlay).over(&of_monitor.overlay);
        let (mut plan, mut found) = recipe.resolve_all();
        plan.camera_trim = self.trims[camera];
        vary(&mut plan, self.variant(look, part));
        let built = Pipeline::build(&plan);
        let (pipeline, faults) = match built {
            Ok((pipeline, doubts)) => (Some(pipeline), doubts),
            Err(faults) => (None, faults),
        };
        found.extend(faults.into_iter().map(|fault| recipe.locate(fault)));
        let grade_place = recipe.place("grade");
        let Some(pipeline) = pipeline.filter(|_| !found.iter().any(Diagnostic::is_error)) else {
            return (None, found);
        };
        let infinite = if plan.grade == Cdl::IDENTITY { 0 } else { sample(&pipeline, FINITE_SIZE).clips.not_finite };
        if infinite > 0 {
            found.push(crate::compile::not_finite(infinite, grade_place));
            return (None, found);
        }
        let part_id = self.part_id(look, part);
        let rules = &of_monitor.rules;
        let job = Job {
            look,
            part,
            camera,
            monitor,
            title: self.title(&plan, part_id, of_camera, of_monitor),
            facts: self.facts(look, part, of_camera, of_monitor),
            recipe,
            plan,
            pipeline,
            code: String::new(),
            path: PathBuf::new(),
            comments: rules.comments,
            newline: rules.newline,
            grade_place,
        };
        (Some(job), found)
    }

    fn variant(&self, look: usize, part: Part) -> Option<&Variant> {
        let variant = match part {
            Part::Look => None,
            Part::Variant(variant) => Some(variant),
            Part::Version(version) => self.show.setups[self.show.versions[version].setup].variant,
        };
        variant.map(|variant| &self.show.looks[look].variants[variant])
    }

    fn part_id(&self, look: usize, part: Part) -> &str {
        self.show.part_id(look, part)
    }

    fn title(&self, plan: &Plan, part: &str, camera: &ShowCamera, monitor: &ShowMonitor) -> String {
        let part = if part.is_empty() { String::new() } else { format!(" {part}") };
        format!("{}{part} / camera {} / {}", plan.look.name, camera.id.text, monitor.id.text)
    }

    fn facts(
        &self,
        look: usize,
        part: Part,
        camera: &ShowCamera,
        monitor: &ShowMonitor,
    ) -> Vec<(&'static str, String)> {
        let show = self.show;
        let mut facts = vec![("show", show.name.text.clone()), ("look id", show.looks[look].id.text.clone())];
        match part {
            Part::Look => {}
            Part::Variant(_) => facts.push(("variant", self.part_id(look, part).to_owned())),
            Part::Version(version) => {
                let version = &show.versions[version];
                facts.push(("version", format!("{} of setup {}", version.id.text, show.setups[version.setup].id.text)));
            }
        }
        facts.push(("camera id", camera.id.text.clone()));
        facts.push(("monitor id", monitor.id.text.clone()));
        facts
    }

    /// Codes, and a path in the show's folder: one folder for each monitor and look.
    fn name_files(&mut self) {
        let show = self.show;
        let mut keys: Vec<(usize, Part, usize)> =
            self.jobs.iter().map(|job| (job.look, job.part, job.camera)).collect();
        // Versions first, in the order in which they were made: no look that is added later takes the name of one.
        keys.sort_by_key(|(look, part, camera)| {
            let is_version = matches!(part, Part::Version(_));
            (!is_version, if is_version { 0 } else { *look }, *part, *camera)
        });
        keys.dedup();
        let purposes: Vec<Purpose<'_>> = keys
            .iter()
            .map(|(look, part, camera)| Purpose {
                look: &show.looks[*look].id.text,
                part: show.part_id(*look, *part),
                camera: &show.cameras[*camera].id.text,
            })
            .collect();
        let codes = names::short_codes(&purposes);
        for (index, monitor) in show.monitors.iter().enumerate() {
            let wanted: Vec<usize> = keys
                .iter()
                .enumerate()
                .filter(|(_, key)| {
                    self.jobs.iter().any(|job| job.monitor == index && (job.look, job.part, job.camera) == **key)
                })
                .map(|(place, _)| place)
                .collect();
            let own: Vec<Purpose<'_>> = wanted.iter().map(|place| purposes[*place].clone()).collect();
            let own_codes: Vec<String> = wanted.iter().map(|place| codes[*place].clone()).collect();
            let names = match names::names(&own, &own_codes, &monitor.rules) {
                Ok(names) => names,
                Err(diagnostic) => {
                    self.found.push(*diagnostic);
                    continue;
                }
            };
            for job in self.jobs.iter_mut().filter(|job| job.monitor == index) {
                let key = (job.look, job.part, job.camera);
                let Some(place) = wanted.iter().position(|place| keys[*place] == key) else { continue };
                let (name, code) = &names[place];
                job.code.clone_from(code);
                // Ids are unique without case, and made of characters that any folder may have.
                let folder = |id: &Id| id.text.to_ascii_lowercase();
                let folder = Path::new(&folder(&monitor.id)).join(folder(&show.looks[job.look].id));
                job.path = match &monitor.rules.fixed_name {
                    Some(fixed) => folder.join(name).join(fixed),
                    None => folder.join(format!("{name}.cube")),
                };
            }
        }
    }

    fn slots(&mut self) {
        for (index, monitor) in self.show.monitors.iter().enumerate() {
            let Some(slots) = monitor.slots else { continue };
            let count = self.jobs.iter().filter(|job| job.monitor == index).count();
            if count > slots {
                let message =
                    format!("monitor \"{}\" holds {slots} LUTs, and the show has {count} for it", monitor.id.text);
                let diagnostic = Diagnostic::warning(&codes::SLOTS_FEW, message);
                self.found.push(
                    diagnostic.at(monitor.id.span.clone(), format!("the last {} find no slot", count - slots)).help(
                        "give the monitor only the looks of the day with `monitors` in [[look]], or load in turns",
                    ),
                );
            }
        }
    }
}

impl Show {
    /// Id of a variant or version, empty for the look itself.
    #[must_use]
    pub fn part_id(&self, look: usize, part: Part) -> &str {
        match part {
            Part::Look => "",
            Part::Variant(variant) => &self.looks[look].variants[variant].id.text,
            Part::Version(version) => &self.versions[version].id.text,
        }
    }
}
