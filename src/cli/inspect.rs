//! `inspect`: what a file of unknown origin does: a cube, a list of steps, a correction.

mod corrections;
mod grades;
mod signal;

pub use signal::SignalArguments;

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::foreign::{self, Corrections, FileKind, Steps, told};
use super::reports;
use super::sketch::{self, Paper};
use super::verify::kind;
use grades::Grades;
use lookwright::compile::levels_in;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::cube::{self, CubeFile};
use lookwright::picture::preview::Applier;
use lookwright::portrait::Studio;
use lookwright::verify::inspection::{
    Assumptions, Inspection, Known, inspect_steps, inspect_with_view, light_of_carrier,
};
use lookwright::verify::{Cast, Hue};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Say what an unknown file does: a cube, a list of steps, a correction or an edit decision list
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright inspect from-set.cube
           lookwright inspect from-set.cube --encoding s-log3 --gamut s-gamut3.cine
           lookwright inspect from-set.cube --report
           lookwright inspect from-set.cube --encoding logc3 --exposure-index 800 --display srgb
           lookwright inspect from-post.clf                                  its steps, and what the whole does
           lookwright inspect linear.clf --encoding linear --gamut aces2065-1
           lookwright inspect grades.ccc --id 12A
           lookwright inspect from-post.cc --recipe look.toml                the look's own numbers, or how far from them
           lookwright inspect from-post.ccc --recipe show.toml               whose numbers of a show's looks
           lookwright inspect cut.edl                                        which events have a correction

A list of steps (Common LUT Format) is evaluated as it stands. One that takes light, as its InputDescriptor or its first step says, is
never shown as if it took a log signal. A correction (ASC CDL) stands in ACEScct over a plain technical conversion, or that of --recipe.
What the command line or a list's own descriptors say of camera and display counts before --recipe; comments in a cube after it.")]
pub struct Arguments {
    /// Cubes, lists of steps (.clf), corrections (.cc, .ccc, .cdl) or edit decision lists (.edl)
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// The one correction that is meant: its id; of an edit decision list an event's number, clip or ASC_CC_XML id
    #[arg(long, value_name = "NAME")]
    id: Option<String>,

    /// The recipe that files are held against, or for corrections a show: a correction is compared with [grade] and seen over the plain
    /// conversion; a cube or list of steps is seen as the recipe's camera, display and levels
    #[arg(long, value_name = "RECIPE|SHOW")]
    recipe: Option<PathBuf>,

    /// Write a report on each file: what it does, with pictures and plots (NAME.cube.report.html)
    #[arg(long)]
    report: bool,

    /// Folder that reports are written to
    #[arg(long, value_name = "DIR", default_value = ".", requires = "report")]
    out: PathBuf,

    #[command(flatten)]
    signal: SignalArguments,
}

/// A file that was read.
enum Read {
    Cube(CubeFile),
    Steps(Box<Steps>),
    Corrections(Corrections, FileKind),
}

impl Read {
    fn from(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        match FileKind::of(path) {
            FileKind::Other | FileKind::Cube => cube::read(path).map(Self::Cube),
            FileKind::Steps => Steps::read(path).map(|steps| Self::Steps(Box::new(steps))),
            kind @ (FileKind::Corrections | FileKind::Events) => {
                foreign::corrections(path, kind).map(|file| Self::Corrections(file, kind))
            }
        }
    }

    fn doubts(&self) -> &[Diagnostic] {
        match self {
            Self::Cube(file) => &file.warnings,
            Self::Steps(steps) => &steps.warnings,
            Self::Corrections(file, _) => &file.warnings,
        }
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let known = arguments.signal.assumptions()?;
    let (mut files, mut found) = (Vec::new(), Vec::new());
    for path in &arguments.files {
        match Read::from(path) {
            Ok(file) => files.push((path, file)),
            Err(diagnostics) => found.extend(diagnostics),
        }
    }
    if !found.is_empty() {
        return Err(found);
    }
    possible(arguments, &known, &files)?;
    let grades = arguments.recipe.as_deref().map(Grades::read).transpose()?;
    if let Some(show) = arguments.recipe.as_ref().filter(|_| grades.as_ref().is_some_and(|grades| grades.is_show)) {
        only_corrections(show, &files)?;
    }
    let mut doubts: Vec<Diagnostic> = grades.iter().flat_map(|grades| grades.warnings.iter().cloned()).collect();
    doubts.extend(files.iter().flat_map(|(_, file)| file.doubts().iter().cloned()));
    console.warnings(&doubts);
    let mut documents: Vec<Value> = Vec::new();
    // One rendering of the scene serves all reports.
    let studio = arguments.report.then(Studio::new).transpose()?;
    if arguments.report {
        reports::distinct(files.iter().map(|(path, _)| reports::name_of(path)))?;
    }
    for (path, file) in &files {
        let (mut document, text) = match file {
            Read::Cube(file) => {
                let known = of_recipe_cube(known, grades.as_ref());
                of_cube(path, file, &known, (arguments, studio.as_ref()), console)?
            }
            Read::Steps(steps) => {
                let known = of_recipe_steps(known, grades.as_ref(), steps);
                of_steps(path, steps, &known, (arguments, studio.as_ref()), console)?
            }
            Read::Corrections(file, kind) => {
                let asked = corrections::Asked { id: arguments.id.as_deref(), known: &known, grades: grades.as_ref() };
                corrections::of_corrections(path, (file, *kind), &asked, console)?
            }
        };
        if console.is_json() {
            if let Value::Object(fields) = &mut document {
                fields.insert("file".into(), json!(path));
            }
            documents.push(document);
        } else {
            let name = console.emphasise(Emphasis::Strong, &path.display().to_string());
            console.text(&format!("{name}\n{text}\n"));
        }
    }
    if console.is_json() {
        console.document(&json!({ "files": documents, "diagnostics": as_json(&doubts) }));
    }
    Ok(Outcome::Fine)
}

/// Refuses what can't be done before anything is written.
fn possible(arguments: &Arguments, known: &Assumptions, files: &[(&PathBuf, Read)]) -> Result<(), Vec<Diagnostic>> {
    if arguments.id.is_some() && !files.iter().any(|(_, file)| matches!(file, Read::Corrections(..))) {
        let error =
            Diagnostic::error(&codes::CORRECTION_CHOICE, "--id chooses a correction, and no file here holds any");
        return Err(vec![error.help("leave out --id, or name an ASC CDL file or an edit decision list")]);
    }
    if !arguments.report {
        return Ok(());
    }
    let refused = files.iter().filter_map(|(path, file)| match file {
        Read::Cube(_) => None,
        Read::Steps(steps) => steps.gives_picture(path, known.display).err(),
        Read::Corrections(..) => Some(foreign::needs_recipe(
            path,
            ", and this report is of pictures: `compare` reports on it beside a recipe",
        )),
    });
    let refused: Vec<Diagnostic> = refused.flatten().collect();
    if refused.is_empty() { Ok(()) } else { Err(refused) }
}

/// A show has many cameras and displays: only corrections, which have neither, are held against one.
fn only_corrections(path: &Path, files: &[(&PathBuf, Read)]) -> Result<(), Vec<Diagnostic>> {
    let Some((file, _)) = files.iter().find(|(_, file)| !matches!(file, Read::Corrections(..))) else { return Ok(()) };
    let (show, file) = (path.display(), file.display());
    let message = format!("{show} is a show, with cameras and displays of which {file} is seen as one");
    let help = format!("name a recipe; or ask whose file it is: lookwright identify {file} --among {show}");
    Err(vec![Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)])
}

/// What is not given of a cube is as the recipe has it.
fn of_recipe_cube(known: Assumptions, grades: Option<&Grades>) -> Assumptions {
    let Some(plan) = grades.and_then(Grades::plan) else { return known };
    let device = &plan.device;
    Assumptions {
        camera: known.camera.or(Some(plan.camera)),
        display: known.display.or(Some(plan.display)),
        levels: known.levels.or(Some((device.input_levels, device.output_levels))),
    }
}

/// The same of a list of steps, whose own descriptors count before; a list that takes light or gives no picture stays one, and levels are
/// nothing to it.
fn of_recipe_steps(known: Assumptions, grades: Option<&Grades>, steps: &Steps) -> Assumptions {
    let Some(plan) = grades.and_then(Grades::plan) else { return known };
    let declared = &steps.declared;
    let camera = Some(plan.camera).filter(|_| declared.camera().is_none() && steps.light_gamut(None).is_none());
    let display = Some(plan.display).filter(|_| declared.display().is_none() && declared.no_picture().is_none());
    Assumptions { camera: known.camera.or(camera), display: known.display.or(display), levels: known.levels }
}

type Asked<'a> = (&'a Arguments, Option<&'a Studio>);

fn of_cube(
    path: &Path,
    file: &CubeFile,
    known: &Assumptions,
    (arguments, studio): Asked<'_>,
    console: &Console,
) -> Result<(Value, String), Vec<Diagnostic>> {
    let (inspection, view) = inspect_with_view(file, known);
    let levels_known = known.levels.is_some() || levels_in(&file.comments).is_some();
    let subject = reports::Subject {
        title: file.title.as_deref().unwrap_or_default(),
        applier: Applier::Tables(file.tables.clone()),
        warnings: &file.warnings,
    };
    let report = studio
        .map(|studio| reports::of_file(path, &subject, (&inspection, view), levels_known, studio, &arguments.out))
        .transpose()?;
    let mut document = json!(inspection);
    document["report"] = json!(report);
    let text = if console.is_json() { String::new() } else { text(file, &inspection, console) };
    Ok((document, text + &reported(report)))
}

fn of_steps(
    path: &Path,
    steps: &Steps,
    known: &Assumptions,
    (arguments, studio): Asked<'_>,
    console: &Console,
) -> Result<(Value, String), Vec<Diagnostic>> {
    let light = light_of_carrier(&steps.declared, known.camera);
    let (inspection, view) = inspect_steps(&steps.list, &steps.declared, light.as_ref(), known);
    let subject = reports::Subject {
        title: &steps.name(),
        applier: Applier::Steps(Arc::new(steps.list.clone()), light.clone().map(Box::new)),
        warnings: &steps.warnings,
    };
    let report = studio
        .map(|studio| reports::of_file(path, &subject, (&inspection, view), true, studio, &arguments.out))
        .transpose()?;
    let no_picture = steps.declared.no_picture().filter(|_| known.display.is_none());
    let mut document = json!(inspection);
    document["format"] = json!("common-lut-format");
    document["id"] = json!(steps.list.id);
    document["size"] = Value::Null;
    document["ends"] = told::ends(steps);
    document["light"] = json!(steps.light_gamut(known.camera).map(|gamut| gamut.id));
    document["no_picture"] = json!(no_picture);
    document["report"] = json!(report);
    if no_picture.is_some() {
        document["picture"] = Value::Null;
    }
    let mut text = String::new();
    if console.is_json() {
        return Ok((document, text));
    }
    judged(&mut text, &inspection, console);
    told::steps(&mut text, steps, &inspection);
    if no_picture.is_none() {
        values(&mut text, &inspection);
        smoothness(&mut text, &inspection);
    }
    match (&no_picture, steps.light_gamut(known.camera)) {
        (Some(words), _) => {
            let _ = writeln!(text, "  no picture   what comes out is {words}; --display says otherwise");
        }
        (None, light) => {
            if let Some(gamut) = light {
                let _ = writeln!(
                    text,
                    "\n  light        it takes light, linear / {}, and no log signal: greys and hues below are of that light, behind {}",
                    gamut.id, inspection.camera.encoding
                );
            }
            pictured(&mut text, &inspection, console);
        }
    }
    Ok((document, text + &reported(report)))
}

fn reported(report: Option<PathBuf>) -> String {
    report.map_or(String::new(), |report| format!("\n  report       {}\n", report.display()))
}

fn text(file: &CubeFile, inspection: &Inspection, console: &Console) -> String {
    let mut text = String::new();
    judged(&mut text, inspection, console);
    facts(&mut text, file, inspection);
    smoothness(&mut text, inspection);
    pictured(&mut text, inspection, console);
    text
}

fn judged(text: &mut String, inspection: &Inspection, console: &Console) {
    let judgement = &inspection.judgement;
    let _ = writeln!(text, "  looks like   {}", console.emphasise(Emphasis::Strong, &judgement.sentence));
    for evidence in &judgement.evidence {
        let _ = writeln!(text, "               {evidence}");
    }
}

/// What has no picture gets none: the signal of a camera in, that of a display out.
fn pictured(text: &mut String, inspection: &Inspection, console: &Console) {
    let judgement = &inspection.judgement;
    if !judgement.kind.has_picture() {
        return;
    }
    picture(text, inspection);
    grey_scale(text, inspection);
    let paper = Paper::new(console);
    text.push('\n');
    text.push_str(&sketch::greys(paper, &inspection.picture.curve));
    text.push_str(&sketch::casts(paper, &inspection.picture.curve));
    if judgement.kind.has_colours() {
        hues(text, &inspection.picture.hues, judgement.monochrome);
    }
}

fn facts(text: &mut String, file: &CubeFile, inspection: &Inspection) {
    let _ = writeln!(text, "  file         {}", kind(&file.tables));
    if let Some(title) = &inspection.title {
        let _ = writeln!(text, "  title        {title}");
    }
    for (index, comment) in inspection.comments.iter().enumerate() {
        let _ = writeln!(text, "  {:11}  {comment}", if index == 0 { "comments" } else { "" });
    }
    values(text, inspection);
}

fn values(text: &mut String, inspection: &Inspection) {
    let values = &inspection.values;
    let least = values.min.into_iter().fold(f64::INFINITY, f64::min);
    let most = values.max.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let _ = writeln!(
        text,
        "  values       {least:.6} to {most:.6}; at 0 {}, at 1 {}",
        percent(values.share_at_0),
        percent(values.share_at_1)
    );
    if values.share_below_0 + values.share_above_1 > 0.0 {
        let (below, above) = (percent(values.share_below_0), percent(values.share_above_1));
        let _ = writeln!(text, "               outside 0 to 1: below {below}, above {above}; most devices cut them");
    }
    if let Some(flat) = values.flat_cells.filter(|flat| *flat > 0.0) {
        let _ = writeln!(text, "  flat         {} of the cells hold one colour only", percent(flat));
    }
}

fn smoothness(text: &mut String, inspection: &Inspection) {
    let smooth = &inspection.smoothness;
    let bands = if smooth.grey_step_codes > 3.0 { ": a 10-bit signal may show bands there" } else { "" };
    let _ = writeln!(
        text,
        "  smoothness   greys step by up to {:.1} codes for one code in, at code {:.0}{bands}",
        smooth.grey_step_codes, smooth.grey_step_at
    );
    let _ = writeln!(
        text,
        "               largest bend at a node {:.1} codes among the greys (code {:.0})",
        smooth.grey_bend_codes, smooth.grey_bend_at
    );
    if let Some(bend) = &smooth.bend {
        let _ = writeln!(
            text,
            "               {:.1} codes anywhere (at codes {})",
            bend.codes,
            codes(bend.input.map(|value| 1023.0 * value))
        );
    }
    if let Some(fall) = &inspection.picture.falling {
        let channel = ["red", "green", "blue"][fall.channel];
        let _ = writeln!(
            text,
            "  falls        {channel} falls back by {:.1} codes at code {:.0}",
            fall.codes, fall.code_in
        );
    } else {
        let _ = writeln!(text, "  rises        no channel of the grey scale falls");
    }
    if let Some(shape) = &inspection.shape {
        let far = shape.folded_cells - shape.picture_folds;
        let _ = match shape.folded_cells {
            0 => writeln!(text, "  folds        none"),
            _ => writeln!(
                text,
                "  folds        {} of {} cells among the colours of pictures, {far} of {} beyond",
                shape.picture_folds,
                shape.picture_cells,
                shape.cells - shape.picture_cells
            ),
        };
    }
}

fn picture(text: &mut String, inspection: &Inspection) {
    let camera = &inspection.camera;
    let how = match camera.known {
        Known::Given => "as given",
        Known::Header => "the comments say so",
        Known::Named => "named in the title or the comments",
        Known::Described => "its InputDescriptor says so",
        Known::Light => "a working log signal that stands for the light it takes",
        Known::Conversion => "the grey scale is a conversion from it",
        Known::Guessed => "a guess: mid-grey and contrast come out sensible",
        Known::Nothing => "a stand-in: no known encoding gives a sensible picture",
    };
    let head = if camera.known == Known::Light { "behind" } else { "camera" };
    let _ = writeln!(text, "\n  {head}       {} / {} ({how})", camera.encoding, camera.gamut);
    if camera.known == Known::Guessed && camera.candidates.len() > 1 {
        let others: Vec<String> = camera.candidates[1..].iter().map(|other| other.encoding.clone()).collect();
        let _ = writeln!(text, "               also sensible: {}; name it with --encoding", others.join(", "));
    }
    let display = &inspection.display;
    let known = if display.known { "known" } else { "assumed" };
    let _ = writeln!(
        text,
        "  display      {} / {} ({known}), levels input {}, output {}",
        display.encoding, display.gamut, display.input_levels, display.output_levels
    );
    let picture = &inspection.picture;
    let grey = picture.mid_grey_signal;
    let _ = writeln!(
        text,
        "  grey         {:.1} % signal (code {:.0}), {:.1} % of white's light",
        100.0 * grey,
        1023.0 * grey,
        100.0 * picture.grey.light
    );
    let contrast = picture.contrast.map_or("none: grey is black".to_owned(), |contrast| {
        format!("{contrast:.2} display stops per scene stop at grey")
    });
    let _ = writeln!(text, "  contrast     {contrast}");
    let ends = &picture.ends;
    let at = |stops: Option<f64>, word: &str, otherwise: &str| {
        stops.map_or(otherwise.to_owned(), |stops| format!("{word} {stops:+.1} stops"))
    };
    let _ = writeln!(
        text,
        "  ends         black at code {:.0} ({}), white at code {:.0} ({})",
        1023.0 * ends.black_signal,
        at(ends.black_stops, "below", "rises from the first code on"),
        1023.0 * ends.white_signal,
        at(ends.white_stops, "from", "reached at the last code only"),
    );
    for (name, cast) in [("black", &picture.black), ("grey", &picture.grey), ("white", &picture.white)] {
        let _ = writeln!(text, "  {:11}  {name:5}  {}", if name == "black" { "casts" } else { "" }, cast_words(cast));
    }
}

fn cast_words(cast: &Cast) -> String {
    let neutral = cast.red_green.abs() < 0.05 && cast.blue_green.abs() < 0.05;
    let codes = if neutral {
        "neutral".to_owned()
    } else {
        format!("red−green {:+.1}, blue−green {:+.1} codes", cast.red_green, cast.blue_green)
    };
    match (cast.kelvin, cast.duv) {
        (Some(kelvin), Some(duv)) => format!("{codes}; {kelvin:.0} K, Duv {duv:+.4}"),
        _ if cast.light < 1e-3 => codes,
        _ => format!("{codes}; no colour temperature"),
    }
}

fn grey_scale(text: &mut String, inspection: &Inspection) {
    let _ = writeln!(
        text,
        "\n  {:>6}  {:>8}  {:>20}  {:>13}  {:>8}",
        "stops", "camera", "display  R    G    B", "display stops", "contrast"
    );
    for step in &inspection.picture.grey_scale {
        let three = step.codes.map(|code| format!("{code:6.1}")).join(" ");
        let number = |value: Option<f64>, signs: bool| match value {
            // Adding zero turns what would be printed as −0.00 into 0.00.
            Some(value) if signs => format!("{:+.2}", (100.0 * value).round() / 100.0 + 0.0),
            Some(value) => format!("{:.2}", (100.0 * value).round() / 100.0 + 0.0),
            None => "-".to_owned(),
        };
        let end = if step.beyond_signal { "  camera's last code" } else { "" };
        let _ = writeln!(
            text,
            "  {:>+6.0}  {:>8.1}  {three}  {:>13}  {:>8}{end}",
            step.stops,
            step.code_in,
            number(step.display_stops, true),
            number(step.slope, false)
        );
    }
    let _ = writeln!(
        text,
        "  display in 10-bit codes, and in stops from display white; contrast in display stops per scene stop"
    );
}

fn hues(text: &mut String, hues: &[Hue], monochrome: bool) {
    if hues.is_empty() || monochrome {
        return;
    }
    let mean: f64 = hues.iter().map(|hue| hue.chroma_gain).sum::<f64>() / hues.len() as f64;
    let _ = writeln!(text, "\n  colour at mid-grey: saturation {mean:.2} times the scene's on average");
    let _ = writeln!(text, "  {:14}{:>10}  {:>10}  {:>9}", "hue", "saturation", "turns", "lightness");
    for hue in hues {
        let _ = writeln!(
            text,
            "  {:>4.0}° {:12}{:>6.2} ×  {:>+9.1}°  {:>7.2} ×",
            hue.hue_deg, hue.name, hue.chroma_gain, hue.shift_deg, hue.lightness
        );
    }
    let _ = writeln!(text, "  as Oklab hues; towards larger numbers is positive; lightness against grey");
}

fn codes([r, g, b]: [f64; 3]) -> String {
    format!("{r:.0} {g:.0} {b:.0}")
}
