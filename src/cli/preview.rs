//! `preview`: looks on still pictures.

mod look;
mod sheets;
mod told;

use super::console::Console;
use super::exit::{CommandResult, Outcome, failure_code};
use super::still_input;
use clap::ValueEnum;
use indicatif::{ProgressBar, ProgressStyle};
use look::Look;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::image::{PictureFormat, WriteOptions};
use lookwright::picture::apply::Applied;
use lookwright::picture::batch::{self, Done, Job, find_stills, name_outputs};
use lookwright::picture::camera_chart::camera_chart;
use lookwright::picture::chart_frame::ChartKind;
use lookwright::picture::preview::Preview;
use lookwright::picture::stand_in::Content;
use lookwright::picture::{Frame, SampleDepth};
use std::path::{Path, PathBuf};

/// Apply looks to still pictures, or to the built-in chart: whole, split, or on contact sheets
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright preview recipes/dusk-car-deck.toml                        the built-in chart
           lookwright preview recipes/dusk-car-deck.toml stills/ --for-screen   log frames of the camera
           lookwright preview recipes/*.toml stills/ --sheet                    every look on every still, small
           lookwright preview recipes/*.toml still.tif --exposures              at -2 to +2 stops
           lookwright preview recipes/dusk-car-deck.toml still.tif --split      log, plain conversion, look
           lookwright preview recipes/dusk-car-deck.toml photo.jpg --input srgb --for-screen
           lookwright preview luts-out/dusk-car-deck.cube frame.tif --recipe recipes/dusk-car-deck.toml

The first names are looks (.toml, .cube), the others stills: PNG, JPEG, TIFF, OpenEXR, or folders of them. The picture of still.tif
is called still.LOOK.png: a file of that name is replaced, but never a still. Without --for-screen the picture holds the signal
of the look's display; sheets and split pictures are always for a screen, where the display is known.")]
pub struct Arguments {
    /// Recipes or cube files, then stills or folders of stills; without any, the built-in chart as the recipe's camera records it
    #[arg(value_name = "RECIPE|CUBE|IMAGE", required = true)]
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

    /// Convert the picture for an sRGB computer screen; the white of the look becomes the white of the screen
    #[arg(long)]
    for_screen: bool,

    /// With --for-screen: the light that becomes the white of the screen, instead of the look's own white. For HDR: 203 shows
    /// the picture about as bright as an ordinary one, and clips what is brighter
    #[arg(long, value_name = "NITS", requires = "for_screen", value_parser = nits)]
    screen_white: Option<f64>,

    /// With a cube file: the recipe that says which camera, levels and display it is for
    #[arg(long, value_name = "RECIPE")]
    recipe: Option<PathBuf>,
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

/// More than this either way is a slip of the keyboard.
const MOST_STOPS: f64 = 12.0;

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
    let options = write_options(arguments)?;
    let (content, doubts) = still_input::content(&arguments.input)?;
    let (looks, stills) = sorted(&arguments.files);
    let task = Task { arguments, content, looks: Look::open_all(arguments, looks)?, stills, doubts };
    task.possible()?;
    console.warnings(&task.warnings());
    let made = if arguments.sheet || arguments.exposures.is_some() {
        make_folder(&arguments.out)?;
        sheets::write(&task, &options, console)?
    } else {
        let makers = task.makers()?;
        make_folder(&arguments.out)?;
        pictures(&task, &makers, &options, console)?
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

/// The looks, which come first, and the stills.
fn sorted(files: &[PathBuf]) -> (&[PathBuf], &[PathBuf]) {
    let is_look = |path: &PathBuf| {
        path.extension().is_some_and(|end| ["toml", "cube"].iter().any(|known| end.eq_ignore_ascii_case(known)))
    };
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

    fn warnings(&self) -> Vec<Diagnostic> {
        self.doubts.iter().chain(self.looks.iter().flat_map(|look| &look.warnings)).cloned().collect()
    }

    fn ids(&self) -> Vec<&str> {
        self.looks.iter().map(|look| look.id.as_str()).collect()
    }

    /// What makes the picture of a still, for each look.
    fn makers(&self) -> Result<Vec<Maker>, Vec<Diagnostic>> {
        self.looks.iter().map(|look| Maker::new(self, look)).collect()
    }

    /// The built-in chart as a look's camera records it.
    fn chart(&self, look: &Look) -> Result<Frame, Vec<Diagnostic>> {
        let plan = look.known("the built-in chart needs the camera")?;
        Ok(camera_chart(ChartKind::Sheet, &plan.camera, plan.adaptation, CHART_SIZE)?.frame)
    }
}

/// Pixels of the built-in chart.
const CHART_SIZE: [usize; 2] = [1920, 1080];

/// Makes pictures by one look.
struct Maker {
    look: Preview,
    /// The signal itself and the plain conversion, for a split picture, and what the parts are called.
    split: Option<(Preview, Preview, [String; 3])>,
}

impl Maker {
    fn new(task: &Task<'_>, look: &Look) -> Result<Self, Vec<Diagnostic>> {
        let arguments = task.arguments;
        let for_screen = arguments.for_screen || arguments.split;
        let preview = look.preview(arguments, task.content, arguments.stops.unwrap_or(0.0), for_screen)?;
        let split = match arguments.split {
            false => None,
            true => {
                let names = ["log signal".to_owned(), "plain conversion".to_owned(), look.title.clone()];
                Some((look.untouched(&preview)?, look.plain(&preview)?, names))
            }
        };
        Ok(Self { look: preview, split })
    }

    fn make(&self, frame: &Frame) -> Result<Applied, Vec<Diagnostic>> {
        let Some((signal, plain, names)) = &self.split else { return Ok(self.look.apply(frame)) };
        let look = self.look.apply(frame);
        let parts = [signal.apply(frame).frame, plain.apply(frame).frame, look.frame.clone()];
        let joined = lookwright::picture::mosaic::side_by_side(&parts)
            .ok_or_else(|| impossible("the parts of the picture are not alike", "leave out --split"))?;
        let labels: Vec<&str> = names.iter().map(String::as_str).collect();
        Ok(Applied { frame: lookwright::picture::mosaic::labelled(&joined, &labels), ..look })
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
}

fn pictures(
    task: &Task<'_>,
    makers: &[Maker],
    options: &WriteOptions,
    console: &Console,
) -> Result<Made, Vec<Diagnostic>> {
    let (arguments, format) = (task.arguments, picture_format(task.arguments.format));
    let make = |frame: &Frame, look: usize| makers[look].make(frame);
    if task.stills.is_empty() {
        // Each look has a camera of its own, and so a chart of its own.
        let mut made = Made { stills: 1, of_chart: true, ..Made::default() };
        for (place, look) in task.looks.iter().enumerate() {
            let chart = task.chart(look)?;
            let (jobs, _) = name_outputs(&[PathBuf::from("chart")], &[&look.id], format, &arguments.out);
            for job in &jobs {
                let done = batch::write_pictures(&chart, job, &|frame, _| makers[place].make(frame), options)?;
                made.done.extend(done.into_iter().map(|done| Done { look: place, ..done }));
            }
        }
        return Ok(made);
    }
    let stills = find_stills(task.stills, &task.ids());
    let (jobs, clashes) = name_outputs(&stills.files, &task.ids(), format, &arguments.out);
    let mut faults = stills.faults;
    faults.extend(clashes);
    let bar = progress(jobs.len(), console);
    let finished = |job: &Job| {
        bar.set_message(job.still.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default());
        bar.inc(1);
    };
    let mut done = Vec::new();
    for result in batch::run(&jobs, &make, options, &finished) {
        match result {
            Ok(pictures) => done.extend(pictures),
            Err(found) => faults.extend(found),
        }
    }
    bar.finish_and_clear();
    let (stills, earlier_previews) = (stills.files.len(), stills.earlier_previews);
    Ok(Made { done, faults, stills, earlier_previews, of_chart: false })
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
