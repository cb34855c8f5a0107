//! `chart`: log-encoded test frames for any camera.

use super::camera::{self, Given};
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use clap::ValueEnum;
use lookwright::colour::adaptation::Adaptation;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::atomic::write_atomically;
use lookwright::formats::image::{self, PictureFormat, WriteOptions};
use lookwright::picture::SampleDepth;
use lookwright::picture::camera_chart::camera_chart;
use lookwright::picture::chart_frame::{ChartFrame, ChartKind, sidecar};
use lookwright::picture::scene::camera_scene;
use lookwright::plan::Camera;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Write log-encoded test frames for a camera: grey scale, patches, sweeps of hue and exposure, or a rendered scene
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright chart --encoding s-log3 --gamut s-gamut3.cine
           lookwright chart --encoding logc3 --exposure-index 800 --kind grey-scale --out grey.tif
           lookwright chart --encoding v-log --size 3840x2160 --out charts
           lookwright chart --encoding v-log --kind scene --out lounge.png   a place, to judge looks by eye

Frames are 16-bit, full range. Beside each stands a CSV file with the place, the scene light and the 10-bit
code of every field: play the frame through a monitor, or hold what comes out against the numbers.
A frame of the same name is replaced.")]
pub struct Arguments {
    /// Log encoding of the camera; `lookwright encodings` lists them
    #[arg(long, value_name = "NAME")]
    encoding: String,

    /// Gamut of the camera; may be left out where only one belongs to the encoding
    #[arg(long, value_name = "NAME")]
    gamut: Option<String>,

    /// Exposure index, for encodings that depend on it
    #[arg(long, value_name = "N")]
    exposure_index: Option<u32>,

    /// What the frame shows; without it, one frame of each kind but the scene, which takes seconds to render
    #[arg(long, value_name = "KIND", value_enum)]
    kind: Option<Kind>,

    /// Pixels across and down
    #[arg(long, value_name = "WxH", default_value = "1920x1080", value_parser = size)]
    size: [usize; 2],

    /// File format; without it, that of the name after --out, or PNG
    #[arg(long, value_name = "FORMAT", value_enum)]
    format: Option<Format>,

    /// Folder for the frames, or with --kind the name of one file
    #[arg(long, value_name = "DIR|FILE", default_value = "charts")]
    out: PathBuf,
}

/// How a camera is named here.
const GIVEN: Given = Given { gamut: "--gamut", index: "--exposure-index" };

/// What a frame shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// −8 to +8 stops as a ramp and in half stops
    GreyScale,
    /// The 24 patches at −3 to +3 stops
    Patches,
    /// All hues and saturations at the level of grey
    HueSweep,
    /// Primaries and their pairs at −6 to +6 stops
    ExposureSweep,
    /// All of the above on one frame
    Sheet,
    /// A ferry's lounge at dusk, rendered: skins, cloth, metal, deep shade and a low sun, with the patches in it
    Scene,
}

/// What can be drawn: one of the charts, or the scene.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Subject {
    Chart(ChartKind),
    Scene,
}

impl Subject {
    fn id(self) -> &'static str {
        match self {
            Self::Chart(kind) => kind.id(),
            Self::Scene => "scene",
        }
    }

    fn drawn(self, camera: &Camera, size: [usize; 2]) -> Result<ChartFrame, Vec<Diagnostic>> {
        match self {
            Self::Chart(kind) => camera_chart(kind, camera, Adaptation::default(), size),
            Self::Scene => camera_scene(camera, Adaptation::default(), size, 0.0),
        }
    }
}

impl Kind {
    fn subject(self) -> Subject {
        match self {
            Self::GreyScale => Subject::Chart(ChartKind::GreyScale),
            Self::Patches => Subject::Chart(ChartKind::Patches),
            Self::HueSweep => Subject::Chart(ChartKind::HueSweep),
            Self::ExposureSweep => Subject::Chart(ChartKind::ExposureSweep),
            Self::Sheet => Subject::Chart(ChartKind::Sheet),
            Self::Scene => Subject::Scene,
        }
    }
}

/// File formats that hold 16-bit codes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Portable Network Graphics
    Png,
    /// Tag Image File Format
    #[value(alias = "tif")]
    Tiff,
}

impl Format {
    fn picture(self) -> PictureFormat {
        match self {
            Self::Png => PictureFormat::Png,
            Self::Tiff => PictureFormat::Tiff,
        }
    }
}

/// `1920x1080`, also with a capital or a true multiplication sign.
fn size(text: &str) -> Result<[usize; 2], String> {
    let wanted = || format!("expected width and height in pixels like 1920x1080, found \"{text}\"");
    let (width, height) = text.split_once(['x', 'X', '×']).ok_or_else(wanted)?;
    match (width.trim().parse(), height.trim().parse()) {
        (Ok(width), Ok(height)) => Ok([width, height]),
        _ => Err(wanted()),
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let (camera, warnings) =
        camera::camera(GIVEN, &arguments.encoding, arguments.gamut.as_deref(), arguments.exposure_index)?;
    let targets = targets(arguments, &camera)?;
    console.warnings(&warnings);
    // Everything is drawn before anything is written, so that a size that suits only some charts writes none.
    let (mut charts, mut faults) = (Vec::new(), Vec::new());
    for target in targets {
        match target.subject.drawn(&camera, arguments.size) {
            Ok(chart) => charts.push((target, chart)),
            Err(found) => faults.extend(found),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    for (target, chart) in &charts {
        write(target, chart)?;
    }
    if console.is_json() {
        let frames: Vec<Value> = charts.iter().map(|(target, chart)| document(target, chart)).collect();
        console.document(
            &json!({ "camera": camera_document(&camera), "frames": frames, "diagnostics": as_json(&warnings) }),
        );
    } else {
        console.text(&text(&camera, &charts, console));
    }
    Ok(Outcome::Fine)
}

/// A frame to be written.
struct Target {
    subject: Subject,
    picture: PathBuf,
    sidecar: PathBuf,
}

fn targets(arguments: &Arguments, camera: &Camera) -> Result<Vec<Target>, Vec<Diagnostic>> {
    let named = arguments.out.extension().map(|end| end.to_string_lossy().into_owned());
    let named = named.filter(|_| !arguments.out.is_dir()).and_then(|end| PictureFormat::from_extension(&end));
    let refuse =
        |message: String, help: &str| Err(vec![Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help(help)]);
    let out = arguments.out.display();
    let Some(format) = named else {
        let format = arguments.format.map_or(PictureFormat::Png, Format::picture);
        let charts = || ChartKind::ALL.iter().map(|kind| Subject::Chart(*kind)).collect();
        let subjects: Vec<Subject> = arguments.kind.map_or_else(charts, |kind| vec![kind.subject()]);
        let name = |subject: Subject| arguments.out.join(file_name(subject, camera, format));
        return Ok(subjects.into_iter().map(|subject| target(subject, name(subject))).collect());
    };
    if !matches!(format, PictureFormat::Png | PictureFormat::Tiff) {
        let message = format!("{out}: {} does not hold 16-bit codes", format.name());
        return refuse(message, "name a .png or a .tif");
    }
    if arguments.format.is_some_and(|wanted| wanted.picture() != format) {
        return refuse(format!("{out} and --format name two formats"), "leave out --format, or change the name");
    }
    let Some(kind) = arguments.kind else {
        return refuse(
            format!("{out} is one file, and there are five frames"),
            "choose one with --kind, or name a folder",
        );
    };
    Ok(vec![target(kind.subject(), arguments.out.clone())])
}

fn target(subject: Subject, picture: PathBuf) -> Target {
    Target { subject, sidecar: picture.with_extension("csv"), picture }
}

/// Such as `chart-grey-scale-s-log3-s-gamut3-cine.png`: no dots, because some players take what follows one for the format.
fn file_name(subject: Subject, camera: &Camera, format: PictureFormat) -> String {
    let index = camera.curve.exposure_index().map_or(String::new(), |index| format!("-ei{index}"));
    let stem = format!("chart-{}-{}{index}-{}", subject.id(), camera.curve.encoding().id, camera.gamut.id);
    format!("{}.{}", stem.replace('.', "-"), format.extensions().first().copied().unwrap_or_default())
}

fn write(target: &Target, chart: &ChartFrame) -> Result<(), Vec<Diagnostic>> {
    let unwritable = |path: &Path, error: &std::io::Error| {
        let message = format!("{}: {error}", path.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder with --out")]
    };
    if let Some(folder) = target.picture.parent() {
        std::fs::create_dir_all(folder).map_err(|error| unwritable(folder, &error))?;
    }
    let options = WriteOptions { depth: Some(SampleDepth::Sixteen), ..WriteOptions::default() };
    image::write(&target.picture, &chart.frame, &options)?;
    write_atomically(&target.sidecar, sidecar(chart).as_bytes()).map_err(|error| unwritable(&target.sidecar, &error))
}

fn camera_document(camera: &Camera) -> Value {
    json!({
        "encoding": camera.curve.encoding().id,
        "gamut": camera.gamut.id,
        "exposure_index": camera.curve.exposure_index(),
    })
}

fn document(target: &Target, chart: &ChartFrame) -> Value {
    json!({
        "file": target.picture,
        "sidecar": target.sidecar,
        "kind": target.subject.id(),
        "width": chart.frame.width(),
        "height": chart.frame.height(),
        "fields": chart.fields.len(),
        "clipped_fields": clipped(chart),
    })
}

fn clipped(chart: &ChartFrame) -> usize {
    chart.fields.iter().filter(|field| field.clipped).count()
}

fn text(camera: &Camera, charts: &[(Target, ChartFrame)], console: &Console) -> String {
    let index = camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    let name = console.emphasise(Emphasis::Strong, "Test frames");
    let mut text =
        format!("{name}  {}{index} / {}, 16-bit codes, full range\n", camera.curve.encoding().id, camera.gamut.id);
    for (target, chart) in charts {
        let (frame, fields) = (&chart.frame, chart.fields.len());
        let size = format!("{} × {}", frame.width(), frame.height());
        text.push_str(&format!(
            "  {:<15} {size:<12} {fields:>3} fields  {}\n",
            target.subject.id(),
            target.picture.display()
        ));
    }
    text.push_str("  Beside each frame stands a .csv with the place, the light and the 10-bit code of every field.\n");
    let outside: usize = charts.iter().map(|(_, chart)| clipped(chart)).sum();
    if outside > 0 {
        text.push_str(&format!(
            "  {outside} fields hold more light, or a deeper colour, than the encoding can: they are marked in the .csv.\n"
        ));
    }
    text
}
