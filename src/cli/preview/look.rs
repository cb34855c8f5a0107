//! A look that was named: a recipe or a cube file, and what is known of its camera and display.

use super::{Arguments, impossible};
use lookwright::compile::{Monitor, Prepared, levels_in, monitor_in, prepare};
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::cube::{self, Tables};
use lookwright::lut::{Domain, Interpolation, Table3, sample};
use lookwright::picture::preview::{Applier, Preview};
use lookwright::picture::screen::Screen;
use lookwright::picture::stand_in::{Content, StandIn};
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Device, DisplayTarget, Levels, Plan};
use std::path::{Path, PathBuf};

/// A look.
pub struct Look {
    /// What the pictures are called after.
    pub id: String,
    /// Its name.
    pub title: String,
    /// Where it was named.
    pub path: PathBuf,
    prepared: Option<Prepared>,
    /// The table of a cube file.
    pub cube: Option<Tables>,
    /// Levels that the cube file's own comments name.
    pub levels: Option<(Levels, Levels)>,
    /// The display that a cube file's own comments name.
    commented: Option<DisplayTarget>,
    /// What is doubtful about it.
    pub warnings: Vec<Diagnostic>,
}

impl Look {
    /// Every look; what is wrong with any of them at once.
    pub fn open_all(arguments: &Arguments, paths: &[PathBuf]) -> Result<Vec<Self>, Vec<Diagnostic>> {
        let (mut looks, mut faults): (Vec<Self>, Vec<Diagnostic>) = (Vec::new(), Vec::new());
        for path in paths {
            match Self::open(arguments, path) {
                Ok(look) => looks.push(look),
                Err(found) => faults.extend(found),
            }
        }
        if arguments.recipe.is_some() && looks.iter().all(|look| look.cube.is_none()) && faults.is_empty() {
            return Err(impossible("--recipe stands beside a recipe", "leave out --recipe, or name a cube file first"));
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

    fn open(arguments: &Arguments, path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let is_cube = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("cube"));
        if !is_cube {
            let prepared = prepare(path, &arguments.overrides)?;
            let id = prepared.file_name.trim_end_matches(".cube").to_owned();
            let (title, warnings) = (prepared.plan.look.name.clone(), prepared.warnings.clone());
            let path = path.to_path_buf();
            return Ok(Self {
                id,
                title,
                path,
                prepared: Some(prepared),
                cube: None,
                levels: None,
                commented: None,
                warnings,
            });
        }
        if arguments.exact {
            return Err(impossible(
                "a cube file is a table, there is nothing more exact",
                "leave out --exact, or name the recipe",
            ));
        }
        if arguments.recipe.is_none() && !arguments.overrides.is_empty() {
            return Err(impossible("--set changes a recipe, and a cube file has none", "add --recipe"));
        }
        let prepared = arguments.recipe.as_ref().map(|recipe| prepare(recipe, &arguments.overrides)).transpose()?;
        let file = cube::read(path)?;
        let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let title = file.title.unwrap_or_else(|| stem.clone());
        let (levels, commented) = (levels_in(&file.comments), display_in(&file.comments));
        let mut warnings = file.warnings;
        warnings.extend(prepared.iter().flat_map(|prepared| prepared.warnings.clone()));
        let path = path.to_path_buf();
        Ok(Self { id: stem, title, path, prepared, cube: Some(file.tables), levels, commented, warnings })
    }

    /// What the look means, where a recipe says it.
    pub fn plan(&self) -> Option<&Plan> {
        self.prepared.as_ref().map(|prepared| &prepared.plan)
    }

    /// The display that the look's signal is for, as its recipe or the cube file's comments say.
    pub fn display(&self) -> Option<DisplayTarget> {
        self.plan().map(|plan| plan.display).or(self.commented)
    }

    /// The plan, or what is missing without one.
    pub fn known(&self, needed_for: &str) -> Result<&Plan, Vec<Diagnostic>> {
        self.plan().ok_or_else(|| {
            let message = format!("{needed_for}, and a cube file alone does not say which it is for");
            impossible(&message, "add --recipe with the recipe that it was made from")
        })
    }

    /// The look for stills of that content, `stops` over or under.
    pub fn preview(&self, arguments: &Arguments, content: Content, stops: f64) -> Result<Preview, Vec<Diagnostic>> {
        let stand_in = if matches!(content, Content::Log) && stops == 0.0 {
            None
        } else {
            StandIn::new(content, self.known("--input and exposures need the camera")?, stops)
        };
        let screen = match (arguments.screen(), self.display()) {
            (None, _) => None,
            (Some(kind), Some(display)) => {
                let adaptation = self.plan().map(|plan| plan.adaptation).unwrap_or_default();
                Some(Screen::of_display(kind, &display, adaptation, arguments.screen_white))
            }
            (Some(_), None) if arguments.for_screen.is_none() => None,
            (Some(_), None) => {
                let message = "--for-screen needs the display, and neither a recipe nor the cube file's comments say which it is for";
                return Err(impossible(message, "add --recipe with the recipe that it was made from"));
            }
        };
        Ok(Preview { applier: self.applier(arguments)?, device: self.device(), stand_in, screen })
    }

    fn applier(&self, arguments: &Arguments) -> Result<Applier, Vec<Diagnostic>> {
        match (&self.cube, &self.prepared) {
            (Some(tables), _) => Ok(Applier::Tables(tables.clone())),
            (None, Some(prepared)) if arguments.exact => Ok(Applier::Exact(Box::new(prepared.pipeline.clone()))),
            (None, Some(prepared)) => Ok(Applier::Tables(Tables::Three(prepared.sample()?.table))),
            (None, None) => Err(impossible("there is no look", "name a recipe or a cube file")),
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
        let exact = self.prepared.as_ref().map(|prepared| prepared.pipeline.clone());
        exact.ok_or_else(|| impossible("a cube file alone does not say what it means", "add --recipe"))
    }

    /// How the table is applied; a cube file without a recipe as its comments say, else as most devices do it.
    pub fn device(&self) -> Device {
        let (input_levels, output_levels) = self.levels.unwrap_or((Levels::Full, Levels::Full));
        let usual = Device { size: 0, interpolation: Interpolation::default(), input_levels, output_levels };
        self.plan().map_or(usual, |plan| plan.device)
    }
}

/// The display that a cube file's comments name, with all that must be known of it.
fn display_in(comments: &[String]) -> Option<DisplayTarget> {
    let Monitor { encoding, gamut, peak_nits } = monitor_in(comments)?;
    // The peak counts for encodings of absolute light only.
    let peak_nits = peak_nits.or((!encoding.needs_peak()).then_some(100.0))?;
    Some(DisplayTarget { encoding, gamut, peak_nits })
}
