//! `compare`: two looks, whatever file they stand in, on the same grey scale and patches.

use super::compare_packages;
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::foreign::{self, FileKind, Steps, told};
use super::inspect::SignalArguments;
use super::reports;
use super::sketch::{self, Paper};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::{self, Curve};
use lookwright::colour::gamuts;
use lookwright::compile::{Prepared, camera_in, levels_in, monitor_in, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::cube::{self, CubeFile, Tables};
use lookwright::lut::Interpolation;
use lookwright::picture::preview::Applier;
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Camera, Cdl, DisplayTarget, Levels, Plan};
use lookwright::portrait::{SeenSide, Use};
use lookwright::verify::comparison::Difference;
use lookwright::verify::inspection::Assumptions;
use lookwright::verify::{Comparison, LightOf, Mapping, View, compare, differences};
use serde_json::json;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Compare two looks, each a recipe, a cube, a list of steps or a correction, on the same grey scale and patches
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright compare recipes/day.toml recipes/night.toml
           lookwright compare look.toml from-set.cube
           lookwright compare day.toml night.toml --report
           lookwright compare old.cube new.cube --encoding logc4 --gamut awg4 --max-de 1
           lookwright compare monday.zip tuesday.zip              two packages of one show
           lookwright compare look.toml from-post.clf
           lookwright compare grade.cc look.toml
           lookwright compare day.cc cut.edl --id 003 --recipe look.toml

A cube is seen as the recipe beside it is: same camera, display and levels. Two cubes are seen
as their comments say, or as s-log3 / s-gamut3.cine on bt1886 / bt709 where they say nothing.
A list of steps (.clf) is seen as its descriptors say, else as a cube is; one that takes light gets
the light of the recipe's camera. A correction (.cc, .ccc, .cdl, .edl) stands in ACEScct in the place
of [grade], over the plain conversion of the recipe beside it or of --recipe.
Exit code 1 only with --max-de, if the chart differs by more.")]
pub struct Arguments {
    /// The first look, A: a recipe (.toml), a cube (.cube), a list of steps (.clf) or a correction (.cc, .ccc, .cdl, .edl)
    #[arg(value_name = "A")]
    a: PathBuf,

    /// The second look, B
    #[arg(value_name = "B")]
    b: PathBuf,

    /// Lay one value on top of the recipes, as if it were written in them
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// The recipe whose camera, display and plain conversion other files are seen through
    #[arg(long, value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// Of a file with several corrections the one that is meant; twice for A and B
    #[arg(long = "id", value_name = "NAME")]
    ids: Vec<String>,

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
    Steps(Box<Steps>),
    Correction(Box<Corrected>),
}

/// A correction, and the plain conversion that it is seen through once that is known.
struct Corrected {
    name: String,
    kind: String,
    cdl: Cdl,
    warnings: Vec<Diagnostic>,
    look: Option<(Plan, Pipeline)>,
    known: &'static str,
}

/// How a side is seen.
struct Seen {
    camera: Camera,
    display: DisplayTarget,
    levels: (Levels, Levels),
    interpolation: Interpolation,
    /// What makes the light that a list of steps takes.
    light: Option<LightOf>,
    /// Where that comes from, in words.
    known: &'static str,
}

/// What files are seen by that don't say how themselves.
struct Context<'a> {
    given: Assumptions,
    recipe: Option<&'a Prepared>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let paths = [arguments.a.as_path(), arguments.b.as_path()];
    if paths.into_iter().any(compare_packages::is_package) {
        only_for_looks(arguments)?;
        return compare_packages::run(paths, arguments.max_de, console);
    }
    let given = arguments.signal.assumptions()?;
    let (a, b, recipe) = both(arguments)?;
    let doubts: Vec<Diagnostic> = [&a, &b].into_iter().flat_map(Loaded::doubts).cloned().collect();
    for (loaded, path) in [(&a, &arguments.a), (&b, &arguments.b)] {
        if let Loaded::Steps(steps) = loaded {
            steps.gives_picture(path, given.display)?;
        }
    }
    console.warnings(&doubts);
    let context = Context { given, recipe: recipe.as_ref() };
    let (seen_a, seen_b) = (a.seen(&b, &context), b.seen(&a, &context));
    let comparison = compare(&a.view(&seen_a), &b.view(&seen_b));
    let changed: Option<Vec<Difference>> = match (&a, &b) {
        (Loaded::Recipe(a), Loaded::Recipe(b)) => Some(differences(&a.recipe, &b.recipe)),
        _ => a.grade().zip(b.grade()).map(|(a, b)| told::differences(&a, &b)),
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
        figures(&mut text, &comparison, changed.as_deref(), console);
        if let Some(report) = &report {
            let _ = writeln!(text, "\n  report       {}", report.display());
        }
        console.text(&text);
    }
    // Written so that no number fails too.
    let within = arguments.max_de.is_none_or(|limit| comparison.max_de <= limit);
    Ok(if within { Outcome::Fine } else { Outcome::OutOfTolerance })
}

/// Options that mean nothing between packages would otherwise be left aside in silence.
fn only_for_looks(arguments: &Arguments) -> Result<(), Vec<Diagnostic>> {
    let given = [
        ("--set", !arguments.overrides.is_empty()),
        ("--recipe", arguments.recipe.is_some()),
        ("--id", !arguments.ids.is_empty()),
        ("--report", arguments.report),
    ];
    let named = given.into_iter().filter(|(_, given)| *given).map(|(option, _)| option);
    let Some(option) = named.chain(arguments.signal.named()).next() else { return Ok(()) };
    let message = format!("{option} is for looks that are compared, and stands beside packages");
    let help =
        "leave it out: packages are compiled from their own texts, and compared look by look; --max-de counts for each";
    Err(vec![Diagnostic::error(&codes::PACKAGE_BESIDE, message).help(help)])
}

/// Both sides, and the recipe that they are seen by.
fn both(arguments: &Arguments) -> Result<(Loaded, Loaded, Option<Prepared>), Vec<Diagnostic>> {
    let ids = &arguments.ids;
    if ids.len() > 2 {
        let error = Diagnostic::error(&codes::CORRECTION_CHOICE, format!("--id is given {} times", ids.len()));
        return Err(vec![error.help("once for both files, or twice: for A, then for B")]);
    }
    let recipe = arguments.recipe.as_ref().map(|path| prepare(path, &arguments.overrides)).transpose();
    let (a, b) = (load(&arguments.a, 0, arguments), load(&arguments.b, 1, arguments));
    let (mut a, mut b, recipe) = match (a, b, recipe) {
        (Ok(a), Ok(b), Ok(recipe)) => (a, b, recipe),
        (a, b, recipe) => return Err([a.err(), b.err(), recipe.err()].into_iter().flatten().flatten().collect()),
    };
    let holds_any = [&a, &b].into_iter().any(|side| matches!(side, Loaded::Correction(_)));
    if !ids.is_empty() && !holds_any {
        let error =
            Diagnostic::error(&codes::CORRECTION_CHOICE, "--id chooses a correction, and neither file holds any");
        return Err(vec![error.help("leave out --id")]);
    }
    if recipe.is_some() && [&a, &b].into_iter().all(|side| matches!(side, Loaded::Recipe(_))) {
        let error = Diagnostic::error(&codes::CORRECTION_NO_PICTURE, "--recipe stands beside two recipes");
        return Err(vec![error.help("leave out --recipe: each is seen as it says itself")]);
    }
    see_corrections(&mut a, &mut b, recipe.as_ref(), arguments)?;
    Ok((a, b, recipe))
}

/// Corrections get the plain conversion that they are seen through: of `--recipe`, of the recipe beside them, or a technical one for two of
/// them.
fn see_corrections(
    a: &mut Loaded,
    b: &mut Loaded,
    recipe: Option<&Prepared>,
    arguments: &Arguments,
) -> Result<(), Vec<Diagnostic>> {
    let given = arguments.signal.assumptions()?;
    let beside = [&*a, &*b].into_iter().find_map(|side| match side {
        Loaded::Recipe(prepared) => Some(prepared.plan.clone()),
        _ => None,
    });
    let of_two = matches!((&*a, &*b), (Loaded::Correction(_), Loaded::Correction(_)));
    for (side, path) in [(a, &arguments.a), (b, &arguments.b)] {
        let Loaded::Correction(correction) = side else { continue };
        let (plan, known) = match (recipe, &beside) {
            (Some(recipe), _) => (recipe.plan.clone(), "over the plain conversion of --recipe"),
            (None, Some(plan)) => (plan.clone(), "over the plain conversion of the recipe beside it"),
            (None, None) if of_two => (foreign::technical(given.display)?.plan, "over a plain technical conversion"),
            (None, None) => {
                return Err(foreign::needs_recipe(path, ", and the file beside it says nothing of a plain conversion"));
            }
        };
        (correction.look, correction.known) = (Some(foreign::corrected(&plan, correction.cdl)?), known);
    }
    Ok(())
}

/// Reads a file: A is at place 0, B at 1.
fn load(path: &Path, place: usize, arguments: &Arguments) -> Result<Loaded, Vec<Diagnostic>> {
    match FileKind::of(path) {
        FileKind::Cube => cube::read(path).map(|file| Loaded::Cube(Box::new(file))),
        FileKind::Other => prepare(path, &arguments.overrides).map(|one| Loaded::Recipe(Box::new(one))),
        FileKind::Steps => Steps::read(path).map(|steps| Loaded::Steps(Box::new(steps))),
        kind @ (FileKind::Corrections | FileKind::Events) => {
            let file = foreign::corrections(path, kind)?;
            // One id for both is of the file that holds several.
            let id = match arguments.ids.as_slice() {
                [one] => Some(one).filter(|_| file.several()),
                ids => ids.get(place),
            };
            let id = id.map(String::as_str);
            let chosen = file.choose(path, id)?;
            let cdl = chosen.correction.as_ref().map_or(Cdl::IDENTITY, |correction| correction.cdl);
            Ok(Loaded::Correction(Box::new(Corrected {
                name: chosen.name().to_owned(),
                kind: told::candidate(&chosen),
                cdl,
                warnings: file.warnings,
                look: None,
                known: "",
            })))
        }
    }
}

impl Loaded {
    fn doubts(&self) -> &[Diagnostic] {
        match self {
            Self::Recipe(prepared) => &prepared.warnings,
            Self::Cube(file) => &file.warnings,
            Self::Steps(steps) => &steps.warnings,
            Self::Correction(correction) => &correction.warnings,
        }
    }

    /// The ten numbers of a correction, or of a recipe that one is held against.
    fn grade(&self) -> Option<Cdl> {
        match self {
            Self::Recipe(prepared) => Some(prepared.plan.grade),
            Self::Correction(correction) => Some(correction.cdl),
            Self::Cube(_) | Self::Steps(_) => None,
        }
    }

    fn name(&self) -> String {
        match self {
            Self::Recipe(prepared) => prepared.plan.look.name.clone(),
            Self::Cube(file) => {
                file.title.clone().filter(|title| !title.trim().is_empty()).unwrap_or_else(|| "no title".to_owned())
            }
            Self::Steps(steps) => steps.name(),
            Self::Correction(correction) => correction.name.clone(),
        }
    }

    fn kind(&self) -> String {
        match self {
            Self::Recipe(_) => "recipe".to_owned(),
            Self::Cube(file) => super::verify::kind(&file.tables),
            Self::Steps(steps) => steps.kind(),
            Self::Correction(correction) => correction.kind.clone(),
        }
    }

    /// A recipe is seen as it says, a correction as its plain conversion; other files as the command line says, else as a list's own
    /// descriptors, else as the recipe beside it or `--recipe`, else as comments say, else as most are.
    fn seen(&self, other: &Self, context: &Context<'_>) -> Seen {
        let recipe = context.recipe.or(match other {
            Self::Recipe(prepared) => Some(prepared),
            _ => None,
        });
        let from_beside = if context.recipe.is_some() { "as --recipe says" } else { "as the recipe beside it" };
        let mut seen = match (self, recipe) {
            (Self::Recipe(prepared), _) => return of_plan(&prepared.plan, "as the recipe says"),
            (Self::Correction(correction), _) => {
                let plan = correction.look.as_ref().map(|(plan, _)| plan);
                return plan.map_or_else(|| commented(&[]), |plan| of_plan(plan, correction.known));
            }
            (Self::Cube(_) | Self::Steps(_), Some(recipe)) => of_plan(&recipe.plan, from_beside),
            (Self::Cube(file), None) => match other {
                // A file that says nothing is taken for the same camera as a list that says something.
                Self::Steps(steps) if camera_in(&file.comments).is_none() => {
                    described(steps, commented(&file.comments))
                }
                _ => commented(&file.comments),
            },
            (Self::Steps(_), None) => match other {
                Self::Cube(file) => commented(&file.comments),
                _ => commented(&[]),
            },
        };
        let given = &context.given;
        if let Self::Steps(steps) = self {
            seen = described(steps, seen);
            // A list knows no levels: its numbers are those of a full-range signal.
            seen.levels = (Levels::Full, Levels::Full);
        }
        // Light is said of the list that takes it, not of the cube beside it.
        let is_light = |camera: &Camera| camera.curve.encoding().id == "linear";
        let beside_list = matches!((self, other), (Self::Cube(_), Self::Steps(_)));
        let camera = given.camera.filter(|camera| !(beside_list && is_light(camera)));
        if camera.is_some() || given.display.is_some() || given.levels.is_some() {
            seen.known = "as given";
        }
        seen.camera = camera.unwrap_or(seen.camera);
        seen.display = given.display.unwrap_or(seen.display);
        seen.levels = given.levels.unwrap_or(seen.levels);
        if let Self::Steps(steps) = self
            && steps.light_gamut(given.camera).is_some()
        {
            let look = recipe.map(|recipe| (&recipe.plan, &recipe.pipeline));
            seen.camera = look.map_or_else(foreign::light_carrier, |(plan, _)| plan.camera);
            seen.light = steps.light(given.camera, look, &seen.camera);
            seen.known = if look.is_some() {
                "the light of the recipe's camera, which the list takes"
            } else {
                "it takes light, behind a working log signal"
            };
        }
        seen
    }

    /// The side as a report needs it: a recipe's pictures are made through its table.
    fn report_side<'a>(&'a self, path: &Path, seen: &'a Seen) -> Result<SeenSide<'a>, Vec<Diagnostic>> {
        let device = reports::device(seen.interpolation, seen.levels);
        let applier = match self {
            Self::Recipe(prepared) => Applier::Tables(Tables::Three(prepared.sample()?.table)),
            Self::Cube(file) => Applier::Tables(file.tables.clone()),
            Self::Steps(steps) => Applier::Steps(Arc::new(steps.list.clone()), seen.light.clone().map(Box::new)),
            Self::Correction(correction) => match &correction.look {
                Some((_, pipeline)) => Applier::Exact(Box::new(pipeline.clone())),
                None => return Err(foreign::needs_recipe(path, "")),
            },
        };
        let known = seen.known.to_owned();
        Ok(SeenSide {
            name: self.name(),
            kind: self.kind(),
            file: reports::name_of(path),
            seen: Use { known, ..Use::new(&seen.camera, &seen.display, &device) },
            view: self.view(seen),
            applier,
            device,
        })
    }

    fn view<'a>(&'a self, seen: &'a Seen) -> View<'a> {
        match self {
            Self::Recipe(prepared) => View::of_look(&prepared.plan, &prepared.pipeline),
            Self::Cube(file) => {
                let mapping = Mapping::new(&file.tables, seen.interpolation);
                View::of_file(mapping, seen.camera, seen.display, seen.levels)
            }
            Self::Steps(steps) => {
                let mapping = Mapping::of_steps(&steps.list, seen.light.as_ref());
                View::of_file(mapping, seen.camera, seen.display, seen.levels)
            }
            Self::Correction(correction) => match &correction.look {
                Some((plan, pipeline)) => View::of_look(plan, pipeline),
                None => View::new(seen.camera, Adaptation::default(), seen.display, |signal| signal),
            },
        }
    }
}

fn of_plan(plan: &Plan, known: &'static str) -> Seen {
    let (device, camera, display) = (&plan.device, plan.camera, plan.display);
    let levels = (device.input_levels, device.output_levels);
    Seen { camera, display, levels, interpolation: device.interpolation, light: None, known }
}

/// As a list's descriptors say, where they do.
fn described(steps: &Steps, seen: Seen) -> Seen {
    let (camera, display) = (steps.declared.camera(), steps.declared.display());
    let known = match (camera.is_some(), display.is_some()) {
        (true, true) => "as the list's descriptors say",
        (false, false) => seen.known,
        _ => "partly as the list's descriptors say",
    };
    Seen { camera: camera.unwrap_or(seen.camera), display: display.unwrap_or(seen.display), known, ..seen }
}

/// As a file's comments say, and as most files are where they say nothing.
fn commented(comments: &[String]) -> Seen {
    let curve = Curve::new(&encodings::s_log3::S_LOG3, None).expect("the encoding takes no exposure index");
    let camera = camera_in(comments);
    let monitor = monitor_in(comments);
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
        levels: levels_in(comments).unwrap_or((Levels::Full, Levels::Full)),
        interpolation: Interpolation::Tetrahedral,
        light: None,
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

fn figures(text: &mut String, comparison: &Comparison, changed: Option<&[Difference]>, console: &Console) {
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
