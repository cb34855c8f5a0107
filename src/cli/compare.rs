//! `compare`: two recipes or cubes on the same grey scale and patches.

use super::compare_packages;
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::inspect::SignalArguments;
use super::reports;
use super::sketch::{self, Paper};
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::{self, Curve};
use lookwright::colour::gamuts;
use lookwright::compile::{Prepared, camera_in, levels_in, monitor_in, prepare};
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::cube::{self, CubeFile, Tables};
use lookwright::lut::Interpolation;
use lookwright::plan::{Camera, DisplayTarget, Levels};
use lookwright::portrait::{SeenSide, Use};
use lookwright::verify::comparison::Difference;
use lookwright::verify::inspection::Assumptions;
use lookwright::verify::{Comparison, Mapping, View, compare, differences};
use serde_json::json;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Compare two looks, each a recipe or a cube, on the same grey scale and patches
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright compare recipes/day.toml recipes/night.toml
           lookwright compare look.toml from-set.cube
           lookwright compare day.toml night.toml --report
           lookwright compare old.cube new.cube --encoding logc4 --gamut awg4 --max-de 1
           lookwright compare monday.zip tuesday.zip              two packages of one show

A cube is seen as the recipe beside it is: same camera, display and levels. Two cubes are seen
as their comments say, or as s-log3 / s-gamut3.cine on bt1886 / bt709 where they say nothing.
Exit code 1 only with --max-de, if the chart differs by more.")]
pub struct Arguments {
    /// The first look, A: a recipe (.toml) or a cube (.cube)
    #[arg(value_name = "A")]
    a: PathBuf,

    /// The second look, B
    #[arg(value_name = "B")]
    b: PathBuf,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Exit with code 1 if a patch of the chart differs by more than this ΔE2000
    #[arg(long, value_name = "N")]
    max_de: Option<f64>,

    /// Write a report on both: pictures, curves and colours side by side (A.against.B.report.html)
    #[arg(long)]
    report: bool,

    /// Folder that the report is written to
    #[arg(long, value_name = "DIR", default_value = ".", requires = "report")]
    out: PathBuf,

    #[command(flatten)]
    signal: SignalArguments,
}

/// What was named on the command line.
enum Loaded {
    Recipe(Box<Prepared>),
    Cube(Box<CubeFile>),
}

/// How a side is seen.
struct Seen {
    camera: Camera,
    display: DisplayTarget,
    levels: (Levels, Levels),
    interpolation: Interpolation,
    /// Where that comes from, in words.
    known: &'static str,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let paths = [arguments.a.as_path(), arguments.b.as_path()];
    if paths.into_iter().all(compare_packages::is_package) {
        return compare_packages::run(paths, arguments.max_de, console);
    }
    let given = arguments.signal.assumptions()?;
    let (a, b) = match (load(&arguments.a, &arguments.overrides), load(&arguments.b, &arguments.overrides)) {
        (Ok(a), Ok(b)) => (a, b),
        (a, b) => return Err([a.err(), b.err()].into_iter().flatten().flatten().collect()),
    };
    let doubts: Vec<Diagnostic> = [&a, &b].into_iter().flat_map(Loaded::doubts).cloned().collect();
    console.warnings(&doubts);
    let (seen_a, seen_b) = (a.seen(&b, &given), b.seen(&a, &given));
    let comparison = compare(&a.view(&seen_a), &b.view(&seen_b));
    let changed: Option<Vec<Difference>> = match (&a, &b) {
        (Loaded::Recipe(a), Loaded::Recipe(b)) => Some(differences(&a.recipe, &b.recipe)),
        _ => None,
    };
    let report = if arguments.report {
        let paths = [&arguments.a, &arguments.b];
        let sides = [a.report_side(paths[0], &seen_a)?, b.report_side(paths[1], &seen_b)?];
        Some(reports::of_two([&sides[0], &sides[1]], &comparison, changed.clone(), &doubts, &arguments.out)?)
    } else {
        None
    };
    if console.is_json() {
        console.document(&json!({
            "a": { "file": arguments.a, "name": a.name(), "kind": a.kind(), "seen_as": seen_a.text() },
            "b": { "file": arguments.b, "name": b.name(), "kind": b.kind(), "seen_as": seen_b.text() },
            "comparison": comparison,
            "parameters": changed,
            "report": report,
            "diagnostics": as_json(&doubts),
        }));
    } else {
        let mut text = String::new();
        for (letter, path, loaded, seen) in [("A", &arguments.a, &a, &seen_a), ("B", &arguments.b, &b, &seen_b)] {
            let name = console.emphasise(Emphasis::Strong, &loaded.name());
            let _ = writeln!(text, "{letter}  {name}  {} ({})", loaded.kind(), path.display());
            let _ = writeln!(text, "   seen as {}, {}", seen.text(), seen.known);
        }
        told(&mut text, &comparison, changed.as_deref(), console);
        if let Some(report) = &report {
            let _ = writeln!(text, "\n  report       {}", report.display());
        }
        console.text(&text);
    }
    // Written so that no number fails too.
    let within = arguments.max_de.is_none_or(|limit| comparison.max_de <= limit);
    Ok(if within { Outcome::Fine } else { Outcome::OutOfTolerance })
}

fn load(path: &Path, overrides: &[String]) -> Result<Loaded, Vec<Diagnostic>> {
    let is_cube = path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("cube"));
    if is_cube {
        cube::read(path).map(|file| Loaded::Cube(Box::new(file)))
    } else {
        prepare(path, overrides).map(|one| Loaded::Recipe(Box::new(one)))
    }
}

impl Loaded {
    fn doubts(&self) -> &[Diagnostic] {
        match self {
            Self::Recipe(prepared) => &prepared.warnings,
            Self::Cube(file) => &file.warnings,
        }
    }

    fn name(&self) -> String {
        match self {
            Self::Recipe(prepared) => prepared.plan.look.name.clone(),
            Self::Cube(file) => {
                file.title.clone().filter(|title| !title.trim().is_empty()).unwrap_or_else(|| "no title".to_owned())
            }
        }
    }

    fn kind(&self) -> String {
        match self {
            Self::Recipe(_) => "recipe".to_owned(),
            Self::Cube(file) => super::verify::kind(&file.tables),
        }
    }

    /// A recipe is seen as it says; a cube as the command line says, else as the recipe beside it, else as its own comments
    /// say, else as most are.
    fn seen(&self, other: &Self, given: &Assumptions) -> Seen {
        let of_recipe = |prepared: &Prepared, known| {
            let (plan, device) = (&prepared.plan, &prepared.plan.device);
            let levels = (device.input_levels, device.output_levels);
            Seen { camera: plan.camera, display: plan.display, levels, interpolation: device.interpolation, known }
        };
        let file = match self {
            Self::Recipe(prepared) => return of_recipe(prepared, "as the recipe says"),
            Self::Cube(file) => file,
        };
        let mut seen = match other {
            Self::Recipe(prepared) => of_recipe(prepared, "as the recipe beside it"),
            Self::Cube(_) => commented(file),
        };
        if given.camera.is_some() || given.display.is_some() || given.levels.is_some() {
            seen.known = "as given";
        }
        seen.camera = given.camera.unwrap_or(seen.camera);
        seen.display = given.display.unwrap_or(seen.display);
        seen.levels = given.levels.unwrap_or(seen.levels);
        seen
    }

    /// The side as a report needs it: a recipe's pictures are made through its table.
    fn report_side(&self, path: &Path, seen: &Seen) -> Result<SeenSide<'_>, Vec<Diagnostic>> {
        let device = reports::device(seen.interpolation, seen.levels);
        let tables = match self {
            Self::Recipe(prepared) => Tables::Three(prepared.sample()?.table),
            Self::Cube(file) => file.tables.clone(),
        };
        let known = seen.known.to_owned();
        Ok(SeenSide {
            name: self.name(),
            kind: self.kind(),
            file: reports::name_of(path),
            seen: Use { known, ..Use::new(&seen.camera, &seen.display, &device) },
            view: self.view(seen),
            tables,
            device,
        })
    }

    fn view(&self, seen: &Seen) -> View<'_> {
        match self {
            Self::Recipe(prepared) => View::of_look(&prepared.plan, &prepared.pipeline),
            Self::Cube(file) => {
                let mapping = Mapping::new(&file.tables, seen.interpolation);
                View::of_file(mapping, seen.camera, seen.display, seen.levels)
            }
        }
    }
}

/// As a file's comments say, and as most files are where they say nothing.
fn commented(file: &CubeFile) -> Seen {
    let curve = Curve::new(&encodings::s_log3::S_LOG3, None).expect("the encoding takes no exposure index");
    let camera = camera_in(&file.comments);
    let monitor = monitor_in(&file.comments);
    let known = match (camera.is_some(), monitor.is_some()) {
        (true, true) => "as its comments say",
        (false, false) => "an assumption: name the camera with --encoding and --gamut",
        _ => "partly an assumption: its comments don't say all",
    };
    Seen {
        camera: camera.unwrap_or(Camera { curve, gamut: &gamuts::S_GAMUT3_CINE }),
        display: monitor.map_or(
            DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: 100.0 },
            |monitor| DisplayTarget {
                encoding: monitor.encoding,
                gamut: monitor.gamut,
                peak_nits: monitor.peak_nits.unwrap_or(100.0),
            },
        ),
        levels: levels_in(&file.comments).unwrap_or((Levels::Full, Levels::Full)),
        interpolation: Interpolation::Tetrahedral,
        known,
    }
}

impl Seen {
    fn text(&self) -> String {
        let curve = &self.camera.curve;
        let index = curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
        let (encoding, gamut) = (curve.encoding().id, self.camera.gamut.id);
        let display = &self.display;
        let levels = format!("levels {} in, {} out", self.levels.0.id(), self.levels.1.id());
        format!("{encoding}{index} / {gamut} → {} / {}, {levels}", display.encoding.id(), display.gamut.id)
    }
}

fn told(text: &mut String, comparison: &Comparison, changed: Option<&[Difference]>, console: &Console) {
    let _ = writeln!(text, "\n  {}", console.emphasise(Emphasis::Strong, &comparison.words));
    let worst = &comparison.worst;
    let _ = writeln!(
        text,
        "  chart        ΔE2000 {:.2} mean, 95 % below {:.2}, worst {:.2} ({} at {:+} stops); skins up to {:.2}",
        comparison.mean_de, comparison.de_95, comparison.max_de, worst.name, worst.stops, comparison.skin_max_de
    );
    if let Some(changed) = changed {
        parameters(text, changed);
    }
    let (a, b) = (&comparison.a, &comparison.b);
    let or_none = |value: Option<f64>, digits: usize| value.map_or("-".to_owned(), |value| format!("{value:.digits$}"));
    let stops = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:+.1}"));
    let _ = writeln!(text, "\n  {:32}{:>10}{:>10}", "", "A", "B");
    for (name, of_a, of_b) in [
        ("light of grey, % of white", format!("{:.2}", 100.0 * a.grey.light), format!("{:.2}", 100.0 * b.grey.light)),
        ("colour of grey, K", or_none(a.grey.kelvin, 0), or_none(b.grey.kelvin, 0)),
        ("colour of grey, Duv", or_none(a.grey.duv, 4), or_none(b.grey.duv, 4)),
        ("contrast at grey", or_none(a.contrast, 2), or_none(b.contrast, 2)),
        ("black up to, stops", stops(a.ends.black_stops), stops(b.ends.black_stops)),
        ("white from, stops", stops(a.ends.white_stops), stops(b.ends.white_stops)),
        ("chroma of the chart, CIELAB", format!("{:.1}", a.chroma), format!("{:.1}", b.chroma)),
    ] {
        let _ = writeln!(text, "  {name:32}{of_a:>10}{of_b:>10}");
    }
    let _ = writeln!(text, "\n  {:>6}{:>8}{:>8}{:>8}  worst patch", "stops", "mean", "95 %", "most");
    for summary in &comparison.by_stop {
        let _ = writeln!(
            text,
            "  {:>6}{:>8.2}{:>8.2}{:>8.2}  {}",
            summary.of, summary.mean_de, summary.de_95, summary.max_de, summary.worst_patch
        );
    }
    let _ = writeln!(text, "  ΔE2000 of the chart by exposure; about 1 is just to be seen side by side");
    let _ = writeln!(text, "\n  {:40}{:>8}{:>8}  worst at", "patch", "mean", "most");
    for summary in &comparison.by_patch {
        let (mean, most, stops) = (summary.mean_de, summary.max_de, summary.worst_stops);
        let _ = writeln!(text, "  {:40}{mean:>8.2}{most:>8.2}  {stops:+} stops", summary.of);
    }
    let _ = writeln!(text, "  ΔE2000 over −3 to +3 stops");
    let _ = writeln!(
        text,
        "\n  {:>6}  {:>20}  {:>20}  {:>7}",
        "stops", "A  R      G      B", "B  R      G      B", "ΔE2000"
    );
    for step in &comparison.grey {
        let three = |codes: [f64; 3]| codes.map(|code| format!("{code:6.1}")).join(" ");
        let _ = writeln!(
            text,
            "  {:>+6.0}  {}  {}  {:>7.2}",
            step.stops,
            three(step.codes_a),
            three(step.codes_b),
            step.de2000
        );
    }
    let _ = writeln!(text, "  grey scale in 10-bit codes of the display's signal");
    let _ = writeln!(text, "\n  display signal of a grey through A and B");
    text.push_str(&sketch::two(Paper::new(console), &comparison.curve_a, &comparison.curve_b));
}

fn parameters(text: &mut String, changed: &[Difference]) {
    if changed.is_empty() {
        let _ = writeln!(text, "  parameters   all the same");
        return;
    }
    let width = changed.iter().map(|one| one.key.chars().count()).max().unwrap_or(0);
    for (index, one) in changed.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {:11}  {:width$}  {} → {}",
            if index == 0 { "parameters" } else { "" },
            one.key,
            one.a,
            one.b
        );
    }
}
