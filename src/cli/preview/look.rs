//! A look that was named: a recipe, a cube file, a list of steps or a correction, and what is known of its camera and display.

use super::super::foreign::{self, FileKind, Steps, light_carrier};
use super::super::reports::stem_of;
use super::{Arguments, impossible};
use lookwright::colour::gamuts::Gamut;
use lookwright::compile::{Monitor, Prepared, levels_in, monitor_in, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::clf::ProcessList;
use lookwright::formats::cube::{self, Tables};
use lookwright::lut::{Domain, Interpolation, Table3, sample};
use lookwright::picture::preview::{Applier, Preview};
use lookwright::picture::screen::Screen;
use lookwright::picture::stand_in::{Content, StandIn};
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Camera, Cdl, Device, DisplayTarget, Levels, Plan};
use lookwright::verify::LightOf;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A look.
pub struct Look {
    /// What the pictures are called after.
    pub id: String,
    /// Its name.
    pub title: String,
    /// Where it was named.
    pub path: PathBuf,
    prepared: Option<Prepared>,
    /// What pictures are made through that is no recipe.
    pub file: LookFile,
    /// Whether the plan is put together from what a list says of itself, and no recipe's.
    assumed: bool,
    /// Levels that the cube file's own comments name.
    pub levels: Option<(Levels, Levels)>,
    /// The display that a cube file's own comments name.
    commented: Option<DisplayTarget>,
    /// What is doubtful about it.
    pub warnings: Vec<Diagnostic>,
}

/// What a look stands in.
pub enum LookFile {
    /// A recipe, or a correction in the place of its grade.
    Recipe,
    /// A cube file.
    Cube(Tables),
    /// A list of steps, with the primaries of the light that it takes, if it takes light.
    Steps(Arc<ProcessList>, Option<&'static Gamut>),
}

impl Look {
    /// Every look; what is wrong with any of them at once.
    pub fn open_all(arguments: &Arguments, paths: &[PathBuf], stills: &Stills) -> Result<Vec<Self>, Vec<Diagnostic>> {
        let (mut looks, mut faults): (Vec<Self>, Vec<Diagnostic>) = (Vec::new(), Vec::new());
        for path in paths {
            match Self::open(arguments, path, stills) {
                Ok(look) => looks.push(look),
                Err(found) => faults.extend(found),
            }
        }
        let kinds: Vec<FileKind> = paths.iter().map(|path| FileKind::of(path)).collect();
        if arguments.recipe.is_some() && kinds.iter().all(|kind| *kind == FileKind::Other) && faults.is_empty() {
            return Err(impossible("--recipe stands beside a recipe", "leave out --recipe, or name a cube file first"));
        }
        let has_corrections = kinds.iter().any(|kind| matches!(kind, FileKind::Corrections | FileKind::Events));
        if arguments.id.is_some() && !has_corrections {
            return Err(impossible("--id chooses a correction, and no file here holds any", "leave out --id"));
        }
        // Two looks of one name would write one file.
        for (place, look) in looks.iter().enumerate() {
            if let Some(other) = looks[..place].iter().find(|other| other.id.eq_ignore_ascii_case(&look.id)) {
                let message =
                    format!("{} and {} are both called \"{}\"", other.path.display(), look.path.display(), look.id);
                faults.extend(impossible(&message, "give one of them another name, or preview them in two runs"));
            }
        }
        if faults.is_empty() { Ok(looks) } else { Err(faults) }
    }

    fn open(arguments: &Arguments, path: &Path, stills: &Stills) -> Result<Self, Vec<Diagnostic>> {
        match FileKind::of(path) {
            FileKind::Other => Ok(Self::of_recipe(path, prepare(path, &arguments.overrides)?)),
            FileKind::Cube => Self::of_cube(arguments, path),
            FileKind::Steps => Self::of_steps(arguments, path, stills),
            kind @ (FileKind::Corrections | FileKind::Events) => Self::of_correction(arguments, path, kind),
        }
    }

    fn of_recipe(path: &Path, prepared: Prepared) -> Self {
        Self {
            id: prepared.file_name.trim_end_matches(".cube").to_owned(),
            title: prepared.plan.look.name.clone(),
            path: path.to_path_buf(),
            warnings: prepared.warnings.clone(),
            prepared: Some(prepared),
            file: LookFile::Recipe,
            assumed: false,
            levels: None,
            commented: None,
        }
    }

    fn of_cube(arguments: &Arguments, path: &Path) -> Result<Self, Vec<Diagnostic>> {
        if arguments.exact {
            return Err(impossible(
                "a cube file is a table, there is nothing more exact",
                "leave out --exact, or name the recipe",
            ));
        }
        let prepared = beside(arguments, "a cube file")?;
        let file = cube::read(path)?;
        let stem = stem_of(path);
        let title = file.title.unwrap_or_else(|| stem.clone());
        let (levels, commented) = (levels_in(&file.comments), display_in(&file.comments));
        let mut warnings = file.warnings;
        warnings.extend(prepared.iter().flat_map(|prepared| prepared.warnings.clone()));
        let (path, file) = (path.to_path_buf(), LookFile::Cube(file.tables));
        Ok(Self { id: stem, title, path, prepared, file, assumed: false, levels, commented, warnings })
    }

    /// A list of steps: for the camera and display of `--recipe`, else for those that it names itself.
    fn of_steps(arguments: &Arguments, path: &Path, stills: &Stills) -> Result<Self, Vec<Diagnostic>> {
        let recipe = beside(arguments, "a list of steps")?;
        let Steps { list, declared, warnings } = Steps::read(path)?;
        let gamut = declared.light_in();
        let mut warnings = warnings;
        warnings.extend(recipe.iter().flat_map(|prepared| prepared.warnings.clone()));
        if let Some(words) = declared.no_picture() {
            let message =
                format!("{} gives {words}: the picture holds that, and no display shows it as it is", path.display());
            let help = "OpenEXR keeps light above 1: --format exr";
            warnings.push(Diagnostic::warning(&codes::STEPS_NO_PICTURE, message).help(help));
        }
        let camera = match (gamut, stills.content) {
            (None, _) => declared.camera(),
            (Some(_), Content::Camera(camera)) if camera.curve.encoding().id != LINEAR => Some(camera),
            (Some(_), Content::Log) if stills.any && recipe.is_none() => return Err(takes_light(path)),
            (Some(_), _) => Some(light_carrier()),
        };
        let assumed = recipe.is_none() && camera.is_some();
        let prepared = match (recipe, camera) {
            (Some(recipe), _) => Some(recipe),
            (None, Some(camera)) => Some(put_together(camera, declared.display())?),
            (None, None) => None,
        };
        let stem = stem_of(path);
        let title = if list.name.trim().is_empty() { stem.clone() } else { list.name.clone() };
        let (path, commented) = (path.to_path_buf(), declared.display());
        let file = LookFile::Steps(Arc::new(list), gamut);
        // A list knows no levels.
        let levels = Some((Levels::Full, Levels::Full));
        Ok(Self { id: stem, title, path, prepared, file, assumed, levels, commented, warnings })
    }

    /// A correction in the place of the grade of `--recipe`, over its plain conversion.
    fn of_correction(arguments: &Arguments, path: &Path, kind: FileKind) -> Result<Self, Vec<Diagnostic>> {
        let Some(prepared) = beside(arguments, "a correction")? else { return Err(foreign::needs_recipe(path, "")) };
        let file = foreign::corrections(path, kind)?;
        let chosen = file.choose(path, arguments.id.as_deref())?;
        let cdl = chosen.correction.as_ref().map_or(Cdl::IDENTITY, |correction| correction.cdl);
        let (plan, pipeline) = foreign::corrected(&prepared.plan, cdl)?;
        let title = format!("{} over the plain conversion of {}", chosen.name(), prepared.plan.look.name);
        let mut warnings = file.warnings.clone();
        warnings.extend(prepared.warnings.iter().cloned());
        let id = if file.several() { format!("{}.{}", stem_of(path), slug(chosen.name())) } else { stem_of(path) };
        let look = Self::of_recipe(path, Prepared { plan, pipeline, warnings, ..prepared });
        Ok(Self { id, title, ..look })
    }

    /// What the look means, where a recipe says it.
    pub fn plan(&self) -> Option<&Plan> {
        self.prepared.as_ref().map(|prepared| &prepared.plan)
    }

    /// The display that the look's signal is for, as its recipe or the cube file's comments say.
    pub fn display(&self) -> Option<DisplayTarget> {
        // What a list does not say is not made up.
        self.plan().filter(|_| !self.assumed).map(|plan| plan.display).or(self.commented)
    }

    /// The plan, or what is missing without one.
    pub fn known(&self, needed_for: &str) -> Result<&Plan, Vec<Diagnostic>> {
        self.plan().ok_or_else(|| {
            let what = if matches!(self.file, LookFile::Steps(..)) { "this list of steps" } else { "a cube file" };
            let message = format!("{needed_for}, and {what} alone does not say which it is for");
            impossible(&message, "add --recipe with the recipe that it was made from")
        })
    }

    /// The look for stills of that content, `stops` over or under.
    pub fn preview(&self, arguments: &Arguments, content: Content, stops: f64) -> Result<Preview, Vec<Diagnostic>> {
        if let (LookFile::Steps(list, Some(gamut)), Content::Camera(camera)) = (&self.file, content)
            && camera.curve.encoding().id == LINEAR
        {
            // Light is no stand-in for what takes light.
            let adaptation = self.plan().map(|plan| plan.adaptation).unwrap_or_default();
            let light = LightOf::of_camera(&camera, adaptation, gamut).exposed(stops);
            let applier = Applier::Light(Arc::clone(list), Box::new(light));
            return Ok(Preview { applier, device: self.device(), stand_in: None, screen: self.screen(arguments)? });
        }
        let stand_in = if matches!(content, Content::Log) && stops == 0.0 {
            None
        } else {
            StandIn::new(content, self.known("--input and exposures need the camera")?, stops)
        };
        let screen = self.screen(arguments)?;
        Ok(Preview { applier: self.applier(arguments)?, device: self.device(), stand_in, screen })
    }

    /// The computer screen that the picture is for, if it is for one.
    fn screen(&self, arguments: &Arguments) -> Result<Option<Screen>, Vec<Diagnostic>> {
        Ok(match (arguments.screen(), self.display()) {
            (None, _) => None,
            (Some(kind), Some(display)) => {
                let adaptation = self.plan().map(|plan| plan.adaptation).unwrap_or_default();
                Some(Screen::of_display(kind, &display, adaptation, arguments.screen_white))
            }
            (Some(_), None) if arguments.for_screen.is_none() => None,
            (Some(_), None) => {
                let message =
                    "--for-screen needs the display, and neither a recipe nor the file itself says which it is for";
                return Err(impossible(message, "add --recipe with the recipe that it was made from"));
            }
        })
    }

    fn applier(&self, arguments: &Arguments) -> Result<Applier, Vec<Diagnostic>> {
        match (&self.file, &self.prepared) {
            (LookFile::Cube(tables), _) => Ok(Applier::Tables(tables.clone())),
            (LookFile::Steps(list, None), _) => Ok(Applier::Steps(Arc::clone(list), None)),
            (LookFile::Steps(list, Some(gamut)), Some(prepared)) => {
                let (plan, pipeline) = (&prepared.plan, &prepared.pipeline);
                let light = match self.assumed {
                    true => LightOf::of_camera(&plan.camera, plan.adaptation, gamut),
                    false => LightOf::of_look(plan, pipeline, gamut),
                };
                Ok(Applier::Steps(Arc::clone(list), Some(Box::new(light))))
            }
            (LookFile::Steps(_, Some(_)), None) => Err(takes_light(&self.path)),
            (LookFile::Recipe, Some(prepared)) if arguments.exact => {
                Ok(Applier::Exact(Box::new(prepared.pipeline.clone())))
            }
            (LookFile::Recipe, Some(prepared)) => Ok(Applier::Tables(Tables::Three(prepared.sample()?.table))),
            (LookFile::Recipe, None) => Err(impossible("there is no look", "name a recipe or a cube file")),
        }
    }

    /// The camera's signal as it is, for the same stills.
    pub fn untouched(&self, like: &Preview) -> Result<Preview, Vec<Diagnostic>> {
        let corner = |place: u8| [0, 1, 2].map(|channel| f64::from(place >> channel & 1));
        let unity = Table3::new(2, Domain::UNIT, (0..8).map(corner).collect());
        let unity = unity.ok_or_else(|| impossible("there is no unity table", "leave out --split"))?;
        let device = Device { input_levels: Levels::Full, output_levels: Levels::Full, ..self.device() };
        Ok(Preview {
            applier: Applier::Tables(Tables::Three(unity)),
            device,
            stand_in: like.stand_in.clone(),
            screen: None,
        })
    }

    /// The plain conversion to the look's display, for the same stills.
    pub fn plain(&self, like: &Preview) -> Result<Preview, Vec<Diagnostic>> {
        let mut plan = self.known("the plain conversion needs the camera and the display")?.clone();
        plan.strength = 0.0;
        let (pipeline, _) = Pipeline::build(&plan)
            .map_err(|faults| faults.into_iter().map(|fault| *fault.diagnostic).collect::<Vec<Diagnostic>>())?;
        let table = sample(&pipeline, plan.device.size).table;
        Ok(Preview { applier: Applier::Tables(Tables::Three(table)), ..like.clone() })
    }

    /// The look itself, without a table.
    pub fn exactly(&self) -> Result<Pipeline, Vec<Diagnostic>> {
        let exact = self.prepared.as_ref().filter(|_| !self.assumed).map(|prepared| prepared.pipeline.clone());
        exact.ok_or_else(|| impossible("a file alone does not say what it means", "add --recipe"))
    }

    /// How the table is applied; a cube file without a recipe as its comments say, else as most devices do it.
    pub fn device(&self) -> Device {
        let (input_levels, output_levels) = self.levels.unwrap_or((Levels::Full, Levels::Full));
        let usual = Device { size: 0, interpolation: Interpolation::default(), input_levels, output_levels };
        if matches!(self.file, LookFile::Steps(..)) {
            return usual;
        }
        self.plan().map_or(usual, |plan| plan.device)
    }

    /// Whether what it is for is put together from what a list says of itself.
    pub fn is_assumed(&self) -> bool {
        self.assumed
    }
}

/// Id of light without a curve.
const LINEAR: &str = "linear";

/// What the stills are, for what is opened.
pub struct Stills {
    /// What their numbers are.
    pub content: Content,
    /// Whether any are named.
    pub any: bool,
}

/// The recipe that says what a file is for.
fn beside(arguments: &Arguments, what: &str) -> Result<Option<Prepared>, Vec<Diagnostic>> {
    if arguments.recipe.is_none() && !arguments.overrides.is_empty() {
        return Err(impossible(&format!("--set changes a recipe, and {what} has none"), "add --recipe"));
    }
    arguments.recipe.as_ref().map(|recipe| prepare(recipe, &arguments.overrides)).transpose()
}

/// The plain conversion of a camera, for what is asked of a list that names it.
fn put_together(camera: Camera, display: Option<DisplayTarget>) -> Result<Prepared, Vec<Diagnostic>> {
    let mut prepared = foreign::technical(display)?;
    prepared.plan.camera = camera;
    prepared.pipeline = foreign::build(&prepared.plan)?;
    Ok(prepared)
}

/// A list that takes light gets no log signal.
fn takes_light(path: &Path) -> Vec<Diagnostic> {
    let message = format!("{} takes light, and the stills are taken for a log signal", path.display());
    let help = "say whose signal they are, --input s-log3/s-gamut3.cine, or that they are light, --input linear/aces2065-1; or add --recipe";
    vec![Diagnostic::error(&codes::STEPS_TAKE_LIGHT, message).help(help)]
}

/// An id as a part of a file's name.
fn slug(name: &str) -> String {
    let plain = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    name.chars().take(64).map(plain).collect()
}

/// The display that a cube file's comments name, with all that must be known of it.
fn display_in(comments: &[String]) -> Option<DisplayTarget> {
    let Monitor { encoding, gamut, peak_nits } = monitor_in(comments)?;
    // The peak counts for encodings of absolute light only.
    let peak_nits = peak_nits.or((!encoding.needs_peak()).then_some(100.0))?;
    Some(DisplayTarget { encoding, gamut, peak_nits })
}
