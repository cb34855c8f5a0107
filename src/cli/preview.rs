//! `preview`: looks on still pictures.

mod look;
mod scopes;
mod sheets;
mod terminal;
mod told;

use super::console::Console;
use super::exit::{CommandResult, Outcome, failure_code};
use super::foreign::FileKind;
use super::still_input;
use clap::ValueEnum;
use indicatif::{ProgressBar, ProgressStyle};
use look::{Look, Stills};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::icc::Profile;
use lookwright::formats::image::{PictureFormat, WriteOptions};
use lookwright::picture::apply::Applied;
use lookwright::picture::batch::{self, Done, Job, LogFloor, Writing, find_stills, name_outputs};
use lookwright::picture::camera_chart::camera_chart;
use lookwright::picture::chart_frame::ChartKind;
use lookwright::picture::lens::{self, Haze, Lens, LensFilter};
use lookwright::picture::mosaic::{Mosaic, cell_width, labelled, scaled, side_by_side};
use lookwright::picture::preview::Preview;
use lookwright::picture::scene::{self, MOST_STOPS};
use lookwright::picture::screen::ScreenKind;
use lookwright::picture::stand_in::Content;
use lookwright::picture::{Frame, SampleDepth};
use lookwright::pipeline::Pipeline;
use lookwright::plan::Plan;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};

/// Apply looks to still pictures, or to built-in frames: whole, split, on contact sheets, or their scopes
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright preview recipes/dusk-car-deck.toml                        the built-in chart
           lookwright preview recipes/*.toml --built-in scene --sheet           looks without any footage
           lookwright preview recipes/dusk-car-deck.toml stills/ --for-screen   log frames of the camera
           lookwright preview recipes/*.toml stills/ --sheet                    every look on every still, small
           lookwright preview recipes/*.toml still.tif --exposures              at -2 to +2 stops
           lookwright preview recipes/*.toml --sheet --terminal                 seen at once, nothing written
           lookwright preview recipes/dusk-car-deck.toml still.tif --split      log, plain conversion, look
           lookwright preview recipes/dusk-car-deck.toml photo.jpg --input srgb --for-screen
           lookwright preview recipes/fog-morning.toml still.tif --lens 1/4 --compare-lens
           lookwright preview luts-out/dusk-car-deck.cube frame.tif --recipe recipes/dusk-car-deck.toml
           lookwright preview from-post.clf frame.tif                           a list of steps, evaluated at every pixel
           lookwright preview grade.cc frame.tif --recipe recipes/dusk-car-deck.toml

The first names are looks (.toml, .cube, .clf, .cc, .ccc, .cdl, .edl), the others stills: PNG, JPEG, TIFF, OpenEXR, or folders of them. The picture of still.tif
is called still.LOOK.png: a file of that name is replaced, but never a still. Without --for-screen the picture holds the signal
of the look's display; sheets and split pictures are always for a screen, where the display is known.")]
pub struct Arguments {
    /// Recipes, cube files, lists of steps or corrections, then stills or folders of stills; without any, a built-in frame as the recipe's camera records it
    #[arg(value_name = "LOOK|IMAGE", required = true)]
    files: Vec<PathBuf>,

    /// Folder that the pictures are written to
    #[arg(long, value_name = "DIR", default_value = "previews")]
    out: PathBuf,

    /// File format of the pictures
    #[arg(long, value_name = "FORMAT", value_enum, default_value = "png")]
    format: Format,

    /// Bits a sample; without it, 16 for PNG and TIFF. JPEG has 8, OpenEXR has floats
    #[arg(long, value_name = "BITS", value_parser = ["8", "16"])]
    depth: Option<String>,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Apply the look itself and not its table
    #[arg(long)]
    exact: bool,

    #[arg(long, value_name = "WHAT", default_value = "log", help = still_input::HELP)]
    input: String,

    /// Exposure of the stills, in stops; what a camera clipped stays clipped
    #[arg(long, value_name = "STOPS", allow_negative_numbers = true, value_parser = stops)]
    stops: Option<f64>,

    /// One contact sheet of all stills and looks
    #[arg(long, conflicts_with_all = ["exposures", "split"])]
    sheet: bool,

    /// A contact sheet for each still: its exposures and the looks
    #[arg(long, value_name = "STOPS", value_delimiter = ',', num_args = 0..=1, require_equals = true,
        default_missing_value = "-2,-1,0,1,2", value_parser = stops, conflicts_with_all = ["split", "stops"])]
    exposures: Option<Vec<f64>>,

    /// Each picture in three parts: the log signal, the plain conversion, the look
    #[arg(long)]
    split: bool,

    /// Simulate a diffusion filter on the lens, by grade (1/8, 1/4, 1/2, 1, 2); it is in no LUT, and the picture says so
    #[arg(long, value_name = "GRADE")]
    lens: Option<String>,

    /// Simulate haze: a veil of this share of the picture's mean light, 0 to 0.5. A stand-in: real haze grows with distance
    #[arg(long, value_name = "SHARE", allow_negative_numbers = true)]
    haze: Option<f64>,

    /// Each picture four ways: without diffusion, with --lens, with the recipe's own, with both
    #[arg(long, requires = "lens", conflicts_with_all = ["sheet", "exposures", "split", "exact"])]
    compare_lens: bool,

    /// Instead of each picture its scopes: waveform, parade, vectorscope, histogram in stops, chromaticities
    #[arg(long, conflicts_with_all = ["sheet", "exposures", "split", "compare_lens", "for_screen"])]
    scopes: bool,

    /// Without stills: what stands for one
    #[arg(long, value_name = "FRAME", value_enum, default_value = "chart")]
    built_in: BuiltIn,

    /// Convert the picture for a computer screen, with its profile in the file; the white of the look becomes the white of the screen
    #[arg(long, value_name = "SCREEN", value_enum, num_args = 0..=1, require_equals = true, default_missing_value = "srgb")]
    for_screen: Option<ForScreen>,

    /// With --for-screen: the light that becomes the white of the screen, instead of the look's own white. For HDR: 203 shows
    /// the picture about as bright as an ordinary one, and clips what is brighter
    #[arg(long, value_name = "NITS", requires = "for_screen", value_parser = nits)]
    screen_white: Option<f64>,

    /// Show the picture, or the sheet, in the terminal, small, and write nothing; needs a terminal with 24-bit colours
    #[arg(long, conflicts_with_all = ["out", "format", "depth", "split", "compare_lens", "scopes"])]
    terminal: bool,

    /// With a cube file or a list of steps: the recipe that says which camera, levels and display it is for; with a correction: the
    /// recipe in the place of whose [grade] it stands, over its plain conversion
    #[arg(long, value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// Of a file with several corrections the one that is meant
    #[arg(long, value_name = "NAME")]
    id: Option<String>,
}

/// Computer screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ForScreen {
    /// IEC 61966-2-1
    Srgb,
    /// Primaries of P3, white D65, the curve of sRGB
    DisplayP3,
}

impl ForScreen {
    fn kind(self) -> ScreenKind {
        match self {
            Self::Srgb => ScreenKind::Srgb,
            Self::DisplayP3 => ScreenKind::DisplayP3,
        }
    }
}

impl Arguments {
    /// Whether pictures are for a computer screen, and which.
    fn screen(&self) -> Option<ScreenKind> {
        let always = self.split || self.compare_lens || self.sheet || self.terminal || self.exposures.is_some();
        self.for_screen.map(ForScreen::kind).or(always.then_some(ScreenKind::Srgb))
    }
}

/// What stands for a still.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum BuiltIn {
    /// Grey scales, patches, hues
    Chart,
    /// A ferry's lounge at dusk, rendered in scene light; takes some seconds
    Scene,
}

/// File formats of pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// 8 or 16 bits
    Png,
    /// 8 or 16 bits
    #[value(alias = "tif")]
    Tiff,
    /// 8 bits
    #[value(alias = "jpg")]
    Jpeg,
    /// Floats; the display's signal, not light
    Exr,
}

fn stops(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(stops) if stops.abs() <= MOST_STOPS => Ok(stops),
        _ => Err(format!("expected a number of stops from -{MOST_STOPS} to {MOST_STOPS}, found \"{text}\"")),
    }
}

fn nits(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(nits) if (1.0..=10_000.0).contains(&nits) => Ok(nits),
        _ => Err(format!("expected 1 to 10000 nits, found \"{text}\"")),
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut options = write_options(arguments)?;
    let (content, doubts) = still_input::content(&arguments.input)?;
    let (looks, stills) = sorted(&arguments.files);
    let lens = before_camera(arguments)?;
    let task = Task {
        arguments,
        content,
        looks: Look::open_all(arguments, looks, &Stills { content, any: !stills.is_empty() })?,
        stills,
        lens,
        scene: OnceLock::new(),
        doubts,
    };
    task.possible()?;
    options.profile = task.profile();
    if arguments.terminal {
        terminal::possible(&task, console)?;
        console.warnings(&task.warnings());
        return terminal::show(&task, console);
    }
    console.warnings(&task.warnings());
    let made = if arguments.sheet || arguments.exposures.is_some() {
        make_folder(&arguments.out)?;
        sheets::write(&task, &options, console)?
    } else {
        let makers = task.makers()?;
        make_folder(&arguments.out)?;
        let mut made = pictures(&task, &makers, &options, console)?;
        made.counted(&makers);
        made
    };
    if console.is_json() {
        console.document(&told::document(&task, &made));
    } else if made.done.is_empty() {
        return Err(made.faults);
    } else {
        console.text(&told::text(&task, &made, console));
        console.warnings(&made.faults);
    }
    Ok(if made.faults.is_empty() { Outcome::Fine } else { Outcome::Partly(failure_code(&made.faults)) })
}

/// What hangs before the camera.
fn before_camera(arguments: &Arguments) -> Result<Lens, Vec<Diagnostic>> {
    let filter = arguments.lens.as_deref().map_or_else(|| Ok(LensFilter::default()), LensFilter::grade);
    let haze = arguments.haze.map_or_else(|| Ok(Haze::default()), |share| Haze::new(share, 0.0));
    match (filter, haze) {
        (Ok(filter), Ok(haze)) => Ok(Lens { filter, haze }),
        (filter, haze) => Err(filter.err().into_iter().chain(haze.err()).collect()),
    }
}

/// The looks, which come first, and the stills.
fn sorted(files: &[PathBuf]) -> (&[PathBuf], &[PathBuf]) {
    let is_recipe = |path: &PathBuf| path.extension().is_some_and(|end| end.eq_ignore_ascii_case("toml"));
    let is_look = |path: &PathBuf| is_recipe(path) || FileKind::of(path).is_look();
    // The first is a look whatever it is called.
    let count = 1 + files.iter().skip(1).take_while(|path| is_look(path)).count();
    files.split_at(count.min(files.len()))
}

/// What is asked for.
struct Task<'a> {
    arguments: &'a Arguments,
    content: Content,
    looks: Vec<Look>,
    stills: &'a [PathBuf],
    /// What hangs before the camera.
    lens: Lens,
    /// The scene's light, once it is needed.
    scene: OnceLock<Result<Frame, Box<Diagnostic>>>,
    /// What is doubtful about `--input`.
    doubts: Vec<Diagnostic>,
}

impl Task<'_> {
    fn possible(&self) -> Result<(), Vec<Diagnostic>> {
        if !matches!(self.content, Content::Log) && self.stills.is_empty() {
            return Err(impossible(
                "--input says what stills are, and none are named",
                "name a still, or leave out --input",
            ));
        }
        Ok(())
    }

    /// What a picture's file declares: a screen, unless a cube file is shown that nobody knows the display of.
    fn profile(&self) -> Option<Profile> {
        let screen = self.arguments.screen().or(self.arguments.scopes.then_some(ScreenKind::Srgb));
        screen.filter(|_| self.looks.iter().all(|look| look.display().is_some())).map(ScreenKind::profile)
    }

    fn warnings(&self) -> Vec<Diagnostic> {
        let of_looks = self.looks.iter().flat_map(|look| &look.warnings);
        self.doubts.iter().chain(of_looks).cloned().chain(self.one_still_of_many_cameras()).collect()
    }

    /// One still can't be the log signal of several cameras.
    fn one_still_of_many_cameras(&self) -> Option<Diagnostic> {
        if !matches!(self.content, Content::Log) || self.stills.is_empty() {
            return None;
        }
        let of = |plan: &Plan| format!("{}/{}", plan.camera.curve.encoding().id, plan.camera.gamut.id);
        let mut cameras: Vec<String> = self.looks.iter().filter_map(Look::plan).map(of).collect();
        cameras.sort_unstable();
        cameras.dedup();
        (cameras.len() > 1).then(|| {
            let message = format!("the stills are taken for the log signal of {}, each for another look", cameras.join(", "));
            Diagnostic::warning(&codes::STILL_OF_MANY_CAMERAS, message)
                .help("say whose they are, for example --input s-log3/s-gamut3.cine: the other looks then get what their cameras would record")
        })
    }

    /// The black of the darkest camera that the stills are taken for, and its encoding's name.
    fn log_floor(&self) -> Option<LogFloor> {
        let curves = match self.content {
            Content::Log => self.looks.iter().filter_map(Look::plan).map(|plan| plan.camera.curve).collect(),
            Content::Camera(camera) => vec![camera.curve],
            _ => Vec::new(),
        };
        let floors =
            curves.into_iter().map(|curve| LogFloor { encoding: curve.encoding().name, signal: curve.encode(0.0) });
        floors.filter(|floor| floor.signal.is_finite()).min_by(|a, b| a.signal.total_cmp(&b.signal))
    }

    /// What pictures are called after: the looks, and what is made of them.
    fn ids(&self) -> Vec<String> {
        let end = match (self.arguments.scopes, self.arguments.compare_lens) {
            (true, _) => ".scopes",
            (_, true) => ".lens",
            _ => "",
        };
        self.looks.iter().map(|look| format!("{}{end}", look.id)).collect()
    }

    /// What is done to a still by each look, as the file of the picture says it.
    fn descriptions(&self) -> Vec<String> {
        let of = |look: &Look| {
            let what = if self.arguments.scopes { "scopes of the look" } else { "through the look" };
            let mut parts = vec![format!("{what} \"{}\"", look.title), told::input_words(self)];
            parts.extend(self.lens.label());
            parts.join("; ")
        };
        self.looks.iter().map(of).collect()
    }

    /// Pictures of these names are no stills.
    fn own_names(&self) -> Vec<&str> {
        self.looks.iter().map(|look| look.id.as_str()).collect()
    }

    /// What makes the picture of a still, for each look.
    fn makers(&self) -> Result<Vec<Maker>, Vec<Diagnostic>> {
        let arguments = self.arguments;
        let stops = arguments.stops.unwrap_or(0.0);
        self.looks.iter().map(|look| Maker::new(self, look, stops)).collect()
    }

    /// The built-in chart or scene as a look's camera records it.
    fn chart(&self, look: &Look) -> Result<Frame, Vec<Diagnostic>> {
        let plan = look.known("the built-in frames need the camera")?;
        match self.arguments.built_in {
            BuiltIn::Chart => Ok(camera_chart(ChartKind::Sheet, &plan.camera, plan.adaptation, CHART_SIZE)?.frame),
            BuiltIn::Scene => {
                // Rendered once, for all looks.
                let light = self.scene.get_or_init(|| scene::scene(CHART_SIZE).map_err(Box::new));
                let light = light.as_ref().map_err(|fault| vec![fault.as_ref().clone()])?;
                Ok(scene::recorded_by(light, &plan.camera, plan.adaptation, 0.0)?.frame)
            }
        }
    }

    /// What the built-in frame is called in words, and in names of files.
    fn built_in(&self) -> [&'static str; 2] {
        match self.arguments.built_in {
            BuiltIn::Chart => ["built-in chart", "chart"],
            BuiltIn::Scene => ["built-in scene", "scene"],
        }
    }
}

/// Pixels of the built-in chart.
const CHART_SIZE: [usize; 2] = [1920, 1080];

/// Makes pictures by one look.
struct Maker {
    look: Preview,
    /// The signal itself and the plain conversion, for a split picture, and what the parts are called.
    split: Option<(Preview, Preview, [String; 3])>,
    /// What hangs before the camera, and the look's plan.
    lens: Option<(Lens, Box<Plan>)>,
    /// Whether each picture is shown four ways.
    four_ways: bool,
    /// The camera's signal and the look itself, for scopes.
    scopes: Option<Box<(Preview, Plan, Pipeline)>>,
    /// Samples that were brighter than the still holds, so that their halo is too weak.
    at_end: AtomicU64,
    /// Pictures that are too small for the lens's label.
    unlabelled: AtomicU64,
}

impl Maker {
    fn new(task: &Task<'_>, look: &Look, stops: f64) -> Result<Self, Vec<Diagnostic>> {
        let arguments = task.arguments;
        let preview = look.preview(arguments, task.content, stops)?;
        let split = match arguments.split {
            false => None,
            true => {
                let names = ["log signal".to_owned(), "plain conversion".to_owned(), look.title.clone()];
                Some((look.untouched(&preview)?, look.plain(&preview)?, names))
            }
        };
        let lens = match task.lens.is_identity() {
            true => None,
            false => {
                let plan = look.known("--lens and --haze need the camera")?;
                if arguments.compare_lens && look.is_assumed() {
                    return Err(impossible(
                        "--compare-lens needs the look's own diffusion, and a list of steps names none",
                        "add --recipe",
                    ));
                }
                Some((task.lens.clone(), Box::new(plan.clone())))
            }
        };
        let scopes = match arguments.scopes {
            false => None,
            true => {
                let plan = look.known("--scopes need the camera and the display")?.clone();
                Some(Box::new((look.untouched(&preview)?, plan, look.exactly()?)))
            }
        };
        Ok(Self {
            look: preview,
            split,
            lens,
            four_ways: arguments.compare_lens,
            scopes,
            at_end: AtomicU64::new(0),
            unlabelled: AtomicU64::new(0),
        })
    }

    /// The finished picture of a still.
    fn make(&self, frame: &Frame) -> Result<Applied, Vec<Diagnostic>> {
        if let (true, Some((lens, plan))) = (self.four_ways, &self.lens) {
            return self.four_ways(frame, lens, plan);
        }
        if let Some(of_look) = &self.scopes {
            let (signal, plan, pipeline) = of_look.as_ref();
            let (log, shown) = (self.through(signal, frame), self.through(&self.look, frame));
            return Ok(Applied { frame: scopes::sheet(plan, pipeline, &log.frame, &shown.frame)?, ..shown });
        }
        let picture = match &self.split {
            None => self.through(&self.look, frame),
            Some((signal, plain, names)) => {
                let look = self.through(&self.look, frame);
                let parts = [self.through(signal, frame).frame, self.through(plain, frame).frame, look.frame.clone()];
                let joined = side_by_side(&parts)
                    .ok_or_else(|| impossible("the parts of the picture are not alike", "leave out --split"))?;
                let labels: Vec<&str> = names.iter().map(String::as_str).collect();
                Applied { frame: labelled(&joined, &labels), ..look }
            }
        };
        let Some(label) = self.lens.as_ref().and_then(|(lens, _)| lens.label()) else { return Ok(picture) };
        match lens::burnt(&picture.frame, &label) {
            Some(frame) => Ok(Applied { frame, ..picture }),
            None => {
                self.unlabelled.fetch_add(1, Ordering::Relaxed);
                Ok(picture)
            }
        }
    }

    /// A still through one of the looks, behind the lens, without any label.
    fn through(&self, preview: &Preview, frame: &Frame) -> Applied {
        let Some((lens, plan)) = &self.lens else { return preview.apply(frame) };
        let shown = lens::show(lens, preview, &plan.camera, frame);
        self.at_end.fetch_add(shown.samples_at_end, Ordering::Relaxed);
        shown.applied
    }

    fn four_ways(&self, frame: &Frame, lens: &Lens, plan: &Plan) -> Result<Applied, Vec<Diagnostic>> {
        let found = lens::compare(plan, lens, frame, self.look.stand_in.as_ref(), self.look.screen.as_ref());
        let found =
            found.map_err(|faults| faults.into_iter().map(|fault| *fault.diagnostic).collect::<Vec<Diagnostic>>())?;
        self.at_end.fetch_add(found.lens.samples_at_end, Ordering::Relaxed);
        let width = cell_width(2);
        let cell = |shown: &lens::Shown| scaled(&shown.applied.frame, width, width);
        let mosaic = Mosaic {
            title: plan.look.name.clone(),
            subtitle: lens.label().unwrap_or_default(),
            columns: vec!["LUT without diffusion".to_owned(), "LUT with the recipe's diffusion".to_owned()],
            rows: vec![
                ("nothing on the lens".to_owned(), vec![cell(&found.none), cell(&found.recipe)]),
                ("simulated on the lens".to_owned(), vec![cell(&found.lens), cell(&found.both)]),
            ],
            notes: vec![match plan.diffusion.is_identity() {
                true => "This recipe has no diffusion of its own: left and right are the same.".to_owned(),
                false => "Both together is diffusion twice, on the lens and in the LUT.".to_owned(),
            }],
        };
        let frame =
            mosaic.frame().ok_or_else(|| impossible("the four pictures are too large", "name a smaller still"))?;
        Ok(Applied { frame, ..found.both.applied })
    }
}

fn impossible(message: &str, help: &str) -> Vec<Diagnostic> {
    vec![Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help(help)]
}

fn write_options(arguments: &Arguments) -> Result<WriteOptions, Vec<Diagnostic>> {
    let depth = match (arguments.format, arguments.depth.as_deref()) {
        (Format::Png | Format::Tiff, Some("8")) | (Format::Jpeg, None | Some("8")) => SampleDepth::Eight,
        (Format::Png | Format::Tiff, _) => SampleDepth::Sixteen,
        (Format::Exr, None) => SampleDepth::Float,
        (Format::Jpeg, Some(_)) => {
            return Err(impossible("JPEG has 8 bits only", "leave out --depth, or use --format png"));
        }
        (Format::Exr, Some(_)) => {
            return Err(impossible("OpenEXR has floats only", "leave out --depth, or use --format tiff"));
        }
    };
    Ok(WriteOptions { depth: Some(depth), ..WriteOptions::default() })
}

fn picture_format(format: Format) -> PictureFormat {
    match format {
        Format::Png => PictureFormat::Png,
        Format::Tiff => PictureFormat::Tiff,
        Format::Jpeg => PictureFormat::Jpeg,
        Format::Exr => PictureFormat::OpenExr,
    }
}

fn make_folder(folder: &Path) -> Result<(), Vec<Diagnostic>> {
    std::fs::create_dir_all(folder).map_err(|error| {
        let message = format!("{}: {error}", folder.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder with --out")]
    })
}

/// What came of a run.
#[derive(Default)]
struct Made {
    done: Vec<Done>,
    faults: Vec<Diagnostic>,
    /// Stills that were named or found.
    stills: usize,
    earlier_previews: usize,
    of_chart: bool,
    /// Samples whose halo is too weak, and pictures without the lens's label.
    at_end: u64,
    unlabelled: u64,
}

impl Made {
    fn counted(&mut self, makers: &[Maker]) {
        self.at_end = makers.iter().map(|maker| maker.at_end.load(Ordering::Relaxed)).sum();
        self.unlabelled = makers.iter().map(|maker| maker.unlabelled.load(Ordering::Relaxed)).sum();
    }
}

fn pictures(
    task: &Task<'_>,
    makers: &[Maker],
    options: &WriteOptions,
    console: &Console,
) -> Result<Made, Vec<Diagnostic>> {
    let (arguments, format) = (task.arguments, picture_format(task.arguments.format));
    let make = |frame: &Frame, look: usize| makers[look].make(frame);
    let ids = task.ids();
    let descriptions = task.descriptions();
    let writing = Writing { options, descriptions: &descriptions, log_floor: task.log_floor() };
    if task.stills.is_empty() {
        // Each look has a camera of its own, and so a chart of its own.
        let mut made = Made { stills: 1, of_chart: true, ..Made::default() };
        for (place, look) in task.looks.iter().enumerate() {
            let chart = task.chart(look)?;
            let still = PathBuf::from(task.built_in()[1]);
            let (jobs, _) = name_outputs(&[still], &[ids[place].as_str()], format, &arguments.out);
            for job in &jobs {
                let done = batch::write_pictures(
                    &chart,
                    job,
                    &|frame, _| makers[place].make(frame),
                    Writing { descriptions: &descriptions[place..], ..writing },
                )?;
                made.done.extend(done.into_iter().map(|done| Done { look: place, ..done }));
            }
        }
        return Ok(made);
    }
    let stills = find_stills(task.stills, &task.own_names());
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let (jobs, clashes) = name_outputs(&stills.files, &ids, format, &arguments.out);
    let mut faults = stills.faults;
    faults.extend(clashes);
    let bar = progress(jobs.len(), console);
    let finished = |job: &Job| {
        bar.set_message(job.still.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default());
        bar.inc(1);
    };
    let mut done = Vec::new();
    for result in batch::run(&jobs, &make, writing, &finished) {
        match result {
            Ok(pictures) => done.extend(pictures),
            Err(found) => faults.extend(found),
        }
    }
    bar.finish_and_clear();
    let (stills, earlier_previews) = (stills.files.len(), stills.earlier_previews);
    Ok(Made { done, faults, stills, earlier_previews, ..Made::default() })
}

/// A bar on stderr; indicatif hides it where that is not a terminal.
fn progress(count: usize, console: &Console) -> ProgressBar {
    if console.is_json() || count < 2 {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(count as u64);
    if let Ok(style) = ProgressStyle::with_template("  {bar:30} {pos} of {len}  {wide_msg}") {
        bar.set_style(style);
    }
    bar
}
