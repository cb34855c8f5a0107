//! `preview`: a look on still pictures.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome, failure_code};
use clap::ValueEnum;
use indicatif::{ProgressBar, ProgressStyle};
use lookwright::compile::{Prepared, levels_in, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::cube::{self, Tables};
use lookwright::formats::image::{PictureFormat, WriteOptions};
use lookwright::lut::Interpolation;
use lookwright::picture::SampleDepth;
use lookwright::picture::batch::{self, Done, Job, find_stills, name_outputs};
use lookwright::picture::camera_chart::camera_chart;
use lookwright::picture::chart_frame::ChartKind;
use lookwright::picture::preview::{Applier, Preview};
use lookwright::picture::screen::Screen;
use lookwright::picture::stand_in::{Content, StandIn};
use lookwright::plan::{Device, Levels, Plan};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Apply a look to still pictures, or to the built-in chart
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright preview recipes/dusk-car-deck.toml                        the built-in chart
           lookwright preview recipes/dusk-car-deck.toml stills/ --for-screen   log frames of the camera
           lookwright preview recipes/dusk-car-deck.toml photo.jpg --input srgb --for-screen
           lookwright preview luts-out/dusk-car-deck.cube frame.tif --recipe recipes/dusk-car-deck.toml

PNG, JPEG, TIFF and OpenEXR stills are read. The picture of still.tif is called still.LOOK.png: a file of that name
is replaced, but never a still. Without --for-screen the picture holds the signal of the look's display.")]
pub struct Arguments {
    /// A recipe, or a cube file
    #[arg(value_name = "RECIPE|CUBE")]
    look: PathBuf,

    /// Stills, or folders of stills; without any, the built-in chart as the recipe's camera records it
    #[arg(value_name = "IMAGE")]
    stills: Vec<PathBuf>,

    /// Folder that the pictures are written to
    #[arg(long, value_name = "DIR", default_value = "previews")]
    out: PathBuf,

    /// File format of the pictures
    #[arg(long, value_name = "FORMAT", value_enum, default_value = "png")]
    format: Format,

    /// Bits a sample; without it, 16 for PNG and TIFF. JPEG has 8, OpenEXR has floats
    #[arg(long, value_name = "BITS", value_parser = ["8", "16"])]
    depth: Option<String>,

    /// Lay one value on top of the recipe, as if it were written in it
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Apply the look itself and not its table
    #[arg(long)]
    exact: bool,

    /// What the stills are
    #[arg(long, value_name = "WHAT", value_enum, default_value = "log")]
    input: Input,

    /// Exposure of a stand-in, in stops
    #[arg(long, value_name = "STOPS", allow_negative_numbers = true, value_parser = stops)]
    stops: Option<f64>,

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

/// What the stills are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Input {
    /// The camera's log signal, full range
    Log,
    /// Ordinary photographs, as a stand-in for the camera
    Srgb,
    /// Scene light in BT.709 primaries, 18 % grey at 0.18, as a stand-in
    Linear,
}

impl Input {
    pub(super) fn content(self) -> Content {
        match self {
            Self::Log => Content::Log,
            Self::Srgb => Content::Srgb,
            Self::Linear => Content::Linear,
        }
    }
}

/// More than this either way is a slip of the keyboard.
const MOST_STOPS: f64 = 12.0;

fn stops(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
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
    let look = Look::open(arguments)?;
    let preview = look.preview(arguments)?;
    console.warnings(&look.warnings);
    make_folder(&arguments.out)?;
    let made = if arguments.stills.is_empty() {
        chart_picture(arguments, &look, &preview, &options)?
    } else {
        still_pictures(arguments, &look, &preview, &options, console)
    };
    if console.is_json() {
        console.document(&document(arguments, &look, &made));
    } else if made.done.is_empty() {
        return Err(made.faults);
    } else {
        console.text(&text(arguments, &look, &made, console));
        console.warnings(&made.faults);
    }
    Ok(if made.faults.is_empty() { Outcome::Fine } else { Outcome::Partly(failure_code(&made.faults)) })
}

/// The look that was named, and what is known of its camera and display.
struct Look {
    /// What the pictures are called after.
    id: String,
    title: String,
    prepared: Option<Prepared>,
    cube: Option<Tables>,
    /// Levels that the cube file's own comments name.
    levels: Option<(Levels, Levels)>,
    warnings: Vec<Diagnostic>,
}

impl Look {
    fn open(arguments: &Arguments) -> Result<Self, Vec<Diagnostic>> {
        let path = &arguments.look;
        let is_cube = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("cube"));
        if !is_cube {
            if arguments.recipe.is_some() {
                return Err(impossible(
                    "--recipe stands beside a recipe",
                    "leave out --recipe, or name a cube file first",
                ));
            }
            let prepared = prepare(path, &arguments.overrides)?;
            let id = prepared.file_name.trim_end_matches(".cube").to_owned();
            let (title, warnings) = (prepared.plan.look.name.clone(), prepared.warnings.clone());
            return Ok(Self { id, title, prepared: Some(prepared), cube: None, levels: None, warnings });
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
        let levels = levels_in(&file.comments);
        let mut warnings = file.warnings;
        warnings.extend(prepared.iter().flat_map(|prepared| prepared.warnings.clone()));
        Ok(Self { id: stem, title, prepared, cube: Some(file.tables), levels, warnings })
    }

    fn plan(&self) -> Option<&Plan> {
        self.prepared.as_ref().map(|prepared| &prepared.plan)
    }

    /// The plan, or what is missing without one.
    fn known(&self, needed_for: &str) -> Result<&Plan, Vec<Diagnostic>> {
        self.plan().ok_or_else(|| {
            let message = format!("{needed_for}, and a cube file alone does not say which it is for");
            impossible(&message, "add --recipe with the recipe that it was made from")
        })
    }

    fn preview(&self, arguments: &Arguments) -> Result<Preview, Vec<Diagnostic>> {
        let content = arguments.input.content();
        if content == Content::Log && arguments.stops.is_some() {
            let help = "for log frames use --set exposure.stops=…, or say with --input that the stills are a stand-in";
            return Err(impossible("--stops is the exposure of a stand-in", help));
        }
        if content != Content::Log && arguments.stills.is_empty() {
            return Err(impossible(
                "--input says what stills are, and none are named",
                "name a still, or leave out --input",
            ));
        }
        let stand_in = match content {
            Content::Log => None,
            _ => StandIn::new(content, self.known("a stand-in needs the camera")?, arguments.stops.unwrap_or(0.0)),
        };
        let screen = if arguments.for_screen {
            Some(Screen::new(self.known("--for-screen needs the display")?, arguments.screen_white))
        } else {
            None
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

    /// How the table is applied; a cube file without a recipe as its comments say, else as most devices do it.
    fn device(&self) -> Device {
        let (input_levels, output_levels) = self.levels.unwrap_or((Levels::Full, Levels::Full));
        let usual = Device { size: 0, interpolation: Interpolation::default(), input_levels, output_levels };
        self.plan().map_or(usual, |plan| plan.device)
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
struct Made {
    done: Vec<Done>,
    faults: Vec<Diagnostic>,
    /// Stills that were named or found.
    stills: usize,
    earlier_previews: usize,
    of_chart: bool,
}

/// Pixels of the built-in chart.
const CHART_SIZE: [usize; 2] = [1920, 1080];

fn chart_picture(
    arguments: &Arguments,
    look: &Look,
    preview: &Preview,
    options: &WriteOptions,
) -> Result<Made, Vec<Diagnostic>> {
    let plan = look.known("the built-in chart needs the camera")?;
    let chart = camera_chart(ChartKind::Sheet, &plan.camera, plan.adaptation, CHART_SIZE)?;
    let still = PathBuf::from("chart");
    let (jobs, _) = name_outputs(&[still], &look.id, picture_format(arguments.format), &arguments.out);
    let done: Result<Vec<Done>, _> =
        jobs.iter().map(|job| batch::write_preview(&chart.frame, job, preview, options)).collect();
    Ok(Made { done: done?, faults: Vec::new(), stills: 1, earlier_previews: 0, of_chart: true })
}

fn still_pictures(
    arguments: &Arguments,
    look: &Look,
    preview: &Preview,
    options: &WriteOptions,
    console: &Console,
) -> Made {
    let stills = find_stills(&arguments.stills, &look.id);
    let (jobs, clashes) = name_outputs(&stills.files, &look.id, picture_format(arguments.format), &arguments.out);
    let mut faults = stills.faults;
    faults.extend(clashes);
    let bar = progress(jobs.len(), console);
    let finished = |job: &Job| {
        bar.set_message(job.still.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default());
        bar.inc(1);
    };
    let mut done = Vec::new();
    for result in batch::run(&jobs, preview, options, &finished) {
        match result {
            Ok(one) => done.push(one),
            Err(found) => faults.extend(found),
        }
    }
    bar.finish_and_clear();
    Made { done, faults, stills: stills.files.len(), earlier_previews: stills.earlier_previews, of_chart: false }
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

fn document(arguments: &Arguments, look: &Look, made: &Made) -> Value {
    let mut found = look.warnings.clone();
    found.extend(made.faults.iter().cloned());
    let pictures: Vec<Value> = made
        .done
        .iter()
        .map(|done| {
            json!({
                "image": if made.of_chart { Value::Null } else { json!(done.job.still) },
                "file": done.job.output,
                "width": done.size[0],
                "height": done.size[1],
                "clamped_inputs": done.clamped_inputs,
                "clamped_outputs": done.clamped_outputs,
            })
        })
        .collect();
    json!({
        "look": look.title,
        "source": arguments.look,
        "exact": arguments.exact,
        "input": arguments.input.content().id(),
        "stops": arguments.stops.unwrap_or(0.0),
        "for_screen": arguments.for_screen,
        "screen_white_nits": arguments.screen_white,
        "pictures": pictures,
        "earlier_previews_left_out": made.earlier_previews,
        "diagnostics": as_json(&found),
    })
}

fn text(arguments: &Arguments, look: &Look, made: &Made, console: &Console) -> String {
    let mut text = format!("{}  {}\n", console.emphasise(Emphasis::Strong, &look.title), method(arguments, look));
    text.push_str(&format!("  input        {}\n", input_text(arguments, look, made)));
    text.push_str(&format!("  output       {}\n", output_text(arguments, look)));
    for note in notes(arguments, look, made) {
        text.push_str(&format!("  note         {note}\n"));
    }
    let width = made.done.iter().map(|done| still_name(done, made).chars().count()).max().unwrap_or(0);
    for done in &made.done {
        let size = format!("{} × {}", done.size[0], done.size[1]);
        let name = still_name(done, made);
        text.push_str(&format!("  {name:<width$}  {size:<12} {}\n", done.job.output.display()));
        for (count, what) in [
            (done.clamped_inputs, "of the samples lay outside what the device takes in, and were held to it"),
            (done.clamped_outputs, "of the samples lay outside what the file can show, and were held to it"),
        ] {
            if count > 0 {
                text.push_str(&format!("  {:<width$}  {} {what}\n", "", percent(count, done.samples)));
            }
        }
    }
    if !made.faults.is_empty() {
        let (done, stills) = (made.done.len(), made.stills);
        text.push_str(&format!("  {done} of {stills} pictures made; what is wrong with the rest follows\n"));
    }
    text
}

fn still_name(done: &Done, made: &Made) -> String {
    if made.of_chart {
        return "built-in chart".to_owned();
    }
    done.job.still.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn percent(count: u64, samples: u64) -> String {
    let share = 100.0 * count as f64 / samples.max(1) as f64;
    if share < 0.1 { "under 0.1 %".to_owned() } else { format!("{share:.1} %") }
}

fn method(arguments: &Arguments, look: &Look) -> String {
    let device = look.device();
    let levels = format!("levels in {}, out {}", device.input_levels.id(), device.output_levels.id());
    let how = device.interpolation.id();
    match (&look.cube, look.plan()) {
        (Some(_), Some(_)) => format!("{} as the device applies it: {how}, {levels}", arguments.look.display()),
        (Some(_), None) if look.levels.is_some() => {
            format!("{}, taken as {how}, {levels}: its comments say so", arguments.look.display())
        }
        (Some(_), None) => format!("{}, taken as {how}, {levels}: nothing says otherwise", arguments.look.display()),
        (None, Some(_)) if arguments.exact => format!("the look itself, without a table, {levels}"),
        (None, Some(plan)) => format!("as the device applies it: {} points, {how}, {levels}", plan.device.size),
        (None, None) => String::new(),
    }
}

fn camera_text(look: &Look) -> String {
    look.plan().map_or("the camera's signal".to_owned(), |plan| {
        let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
        format!("{}{index} / {}", plan.camera.curve.encoding().id, plan.camera.gamut.id)
    })
}

fn input_text(arguments: &Arguments, look: &Look, made: &Made) -> String {
    let (camera, stops) = (camera_text(look), arguments.stops.unwrap_or(0.0));
    match arguments.input {
        _ if made.of_chart => format!("the built-in chart as {camera}"),
        Input::Log => format!("log frames, taken as {camera}, full range"),
        Input::Srgb => format!("photographs as a STAND-IN for {camera}, {stops:+.1} stops"),
        Input::Linear => format!("scene light (BT.709 primaries) as a STAND-IN for {camera}, {stops:+.1} stops"),
    }
}

fn output_text(arguments: &Arguments, look: &Look) -> String {
    let Some(plan) = look.plan() else { return "what the cube file gives, full range".to_owned() };
    let display = &plan.display;
    let peak = if display.encoding.needs_peak() { format!(" {} nits", display.peak_nits) } else { String::new() };
    let signal = format!("{} / {}{peak}", display.encoding.id(), display.gamut.id);
    if arguments.for_screen {
        let white = arguments.screen_white.map_or("the look's white".to_owned(), |nits| format!("{nits} nits"));
        format!("sRGB for a computer screen, from {signal}; {white} is the screen's white")
    } else {
        format!("the display's signal, {signal}, full range")
    }
}

fn notes(arguments: &Arguments, look: &Look, made: &Made) -> Vec<String> {
    let mut notes = Vec::new();
    if arguments.input == Input::Srgb {
        notes.push("a photograph has its own grade and no more highlights than it was saved with:".to_owned());
        notes.push("judge mood and colour by it, not exposure".to_owned());
    }
    if let Some(plan) = look.plan()
        && !arguments.for_screen
        && !Screen::is_close(plan)
    {
        notes.push(
            "this is that display's signal: it looks wrong on a computer screen; --for-screen converts it".to_owned(),
        );
    }
    match made.earlier_previews {
        0 => {}
        1 => notes.push("1 earlier preview of this look in the folder was left out".to_owned()),
        count => notes.push(format!("{count} earlier previews of this look in the folder were left out")),
    }
    notes
}
