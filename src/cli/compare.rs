//! `compare`: two recipes or cubes on the same grey scale and patches.

use super::camera::named_camera;
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::gamuts;
use lookwright::compile::{Prepared, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::explain::{ParameterDifference, parameter_differences, parameters};
use lookwright::formats::cube::{self, Tables};
use lookwright::lut::{Interpolation, Table3};
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Device, DisplayTarget, Levels, Plan};
use lookwright::verify::{Comparison, Side, Viewer, compare};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Compare two recipes or cube files on one grey scale and one set of patches
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright compare recipes/dusk-car-deck.toml recipes/deck-hdr.toml
           lookwright compare look.toml from-set.cube
           lookwright compare old.cube new.cube --encoding v-log --gamut v-gamut --max-de 1

A recipe is seen as its exact look, through its own camera and on its own display. A cube file does not say what
it is for: it is seen like the recipe beside it, or like --recipe, or as --encoding and --gamut say, for a
BT.1886 display in BT.709 at full levels. What was assumed is printed.")]
pub struct Arguments {
    /// A recipe or a cube file
    #[arg(value_name = "A")]
    a: PathBuf,

    /// Another
    #[arg(value_name = "B")]
    b: PathBuf,

    /// The recipe that says which camera, display and levels cube files are for
    #[arg(long, value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// Camera encoding that cube files are for
    #[arg(long, value_name = "NAME", default_value = "s-log3", conflicts_with = "recipe")]
    encoding: String,

    /// Camera gamut that cube files are for
    #[arg(long, value_name = "NAME", conflicts_with = "recipe")]
    gamut: Option<String>,

    /// Exposure index, for encodings that depend on it
    #[arg(long, value_name = "N", conflicts_with = "recipe")]
    exposure_index: Option<u32>,

    /// Exit with 1 if any patch differs by more ΔE2000 than this
    #[arg(long, value_name = "DE", value_parser = not_negative)]
    max_de: Option<f64>,
}

fn not_negative(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() && number >= 0.0 => Ok(number),
        _ => Err(format!("expected a number of 0 or more, found \"{text}\"")),
    }
}

/// What was named: a recipe, or a table that needs to be told what it is for.
enum Named {
    Recipe(Box<Prepared>),
    Cube(Table3),
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut warnings = Vec::new();
    let (a, b) = match (open(&arguments.a, &mut warnings), open(&arguments.b, &mut warnings)) {
        (Ok(a), Ok(b)) => (a, b),
        (a, b) => return Err(a.err().into_iter().chain(b.err()).flatten().collect()),
    };
    let assumed = assumed(arguments, &a, &b, &mut warnings)?;
    console.warnings(&warnings);
    let any_cube = matches!(a, Named::Cube(_)) || matches!(b, Named::Cube(_));
    let comparison = compare(&side(&a, &assumed), &side(&b, &assumed));
    let differences = match (&a, &b) {
        (Named::Recipe(a), Named::Recipe(b)) => {
            parameter_differences(&parameters(&a.recipe, &a.plan), &parameters(&b.recipe, &b.plan))
        }
        _ => Vec::new(),
    };
    if console.is_json() {
        let assumption = any_cube.then_some(&assumed.said);
        console.document(&json!({
            "a": arguments.a,
            "b": arguments.b,
            "assumed": assumption,
            "comparison": comparison,
            "worst": comparison.worst(),
            "parameters": differences.iter().map(difference).collect::<Vec<Value>>(),
            "diagnostics": as_json(&warnings),
        }));
    } else {
        console.text(&text(arguments, &comparison, any_cube.then_some(&assumed), &differences, console));
    }
    let exceeded = arguments.max_de.is_some_and(|limit| comparison.max_de > limit);
    Ok(if exceeded { Outcome::OutOfTolerance } else { Outcome::Fine })
}

fn open(path: &Path, warnings: &mut Vec<Diagnostic>) -> Result<Named, Vec<Diagnostic>> {
    if !path.extension().is_some_and(|end| end.eq_ignore_ascii_case("cube")) {
        let prepared = prepare(path, &[])?;
        warnings.extend(prepared.warnings.iter().cloned());
        return Ok(Named::Recipe(Box::new(prepared)));
    }
    let file = cube::read(path)?;
    warnings.extend(file.warnings);
    let kind = match file.tables {
        Tables::Three(table) => return Ok(Named::Cube(table)),
        Tables::One(_) => "a 1D table",
        Tables::Shaped { .. } => "a 1D table before a 3D one",
    };
    let message = format!("{}: {kind} can't be compared", path.display());
    let diagnostic = Diagnostic::error(&codes::CUBE_KIND, message);
    Err(vec![diagnostic.help("`lookwright inspect` says what it does; compare takes recipes and 3D tables")])
}

/// What a cube file is taken to be for.
struct Assumed {
    plan: Plan,
    pipeline: Pipeline,
    said: String,
}

fn assumed(
    arguments: &Arguments,
    a: &Named,
    b: &Named,
    warnings: &mut Vec<Diagnostic>,
) -> Result<Assumed, Vec<Diagnostic>> {
    if let Some(path) = &arguments.recipe {
        let Prepared { plan, pipeline, .. } = prepare(path, &[])?;
        let said = format!("{} (of {})", told(&plan), path.display());
        return Ok(Assumed { plan, pipeline, said });
    }
    if let (Named::Recipe(prepared), path, _) | (_, path, Named::Recipe(prepared)) =
        (a, if matches!(a, Named::Recipe(_)) { &arguments.a } else { &arguments.b }, b)
    {
        let said = format!("{} (of {})", told(&prepared.plan), path.display());
        return Ok(Assumed { plan: prepared.plan.clone(), pipeline: prepared.pipeline.clone(), said });
    }
    // The default encoding has four gamuts; the usual one is assumed with it, and said.
    let gamut = arguments.gamut.as_deref().or((arguments.encoding == "s-log3").then_some("s-gamut3.cine"));
    let (camera, doubts) = named_camera(&arguments.encoding, gamut, arguments.exposure_index)?;
    warnings.extend(doubts);
    let display = DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: 100.0 };
    let device = Device {
        size: 33,
        interpolation: Interpolation::Tetrahedral,
        input_levels: Levels::Full,
        output_levels: Levels::Full,
    };
    let plan = Plan::technical(camera, display, device);
    let pipeline = match Pipeline::build(&plan) {
        Ok((pipeline, _)) => pipeline,
        Err(faults) => return Err(faults.into_iter().map(|fault| *fault.diagnostic).collect()),
    };
    let said = format!("{}, an assumption", told(&plan));
    Ok(Assumed { plan, pipeline, said })
}

fn told(plan: &Plan) -> String {
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    format!(
        "{}{index} / {} → {} / {}, input {}, output {}, {}",
        plan.camera.curve.encoding().id,
        plan.camera.gamut.id,
        plan.display.encoding.id(),
        plan.display.gamut.id,
        plan.device.input_levels.id(),
        plan.device.output_levels.id(),
        plan.device.interpolation.id(),
    )
}

fn side<'a>(named: &'a Named, assumed: &'a Assumed) -> Side<'a> {
    match named {
        Named::Recipe(prepared) => Side { viewer: Viewer::new(&prepared.plan, &prepared.pipeline), table: None },
        Named::Cube(table) => Side { viewer: Viewer::new(&assumed.plan, &assumed.pipeline), table: Some(table) },
    }
}

fn difference(difference: &ParameterDifference) -> Value {
    json!({"parameter": difference.path, "a": difference.a, "b": difference.b})
}

fn text(
    arguments: &Arguments,
    comparison: &Comparison,
    assumed: Option<&Assumed>,
    differences: &[ParameterDifference],
    console: &Console,
) -> String {
    let mut text = format!(
        "A  {}\nB  {}\n",
        console.emphasise(Emphasis::Strong, &arguments.a.display().to_string()),
        console.emphasise(Emphasis::Strong, &arguments.b.display().to_string())
    );
    if let Some(assumed) = assumed {
        let _ = writeln!(text, "cube files are seen as  {}", assumed.said);
    }
    let _ = writeln!(text, "\nB against A: {}\n", comparison.words.join("; "));
    let _ = writeln!(
        text,
        "  chart and skins, −3..+3 stops   ΔE2000 {:.2} mean, 95 % below {:.2}, {:.2} worst",
        comparison.mean_de, comparison.de_95, comparison.max_de
    );
    if let Some(worst) = comparison.worst() {
        let lab = |lab: [f64; 3]| format!("L* {:.1} a* {:.1} b* {:.1}", lab[0], lab[1], lab[2]);
        let _ = writeln!(
            text,
            "  worst                           {} at {:+} stops: A {}, B {}",
            worst.name,
            worst.stops,
            lab(worst.lab_a),
            lab(worst.lab_b)
        );
    }
    text.push_str("\n  stops   A, 10-bit codes          B, 10-bit codes          codes   ΔE2000\n");
    for step in &comparison.grey {
        let codes = |signal: [f64; 3]| {
            let [r, g, b] = signal.map(|value| 1023.0 * value);
            format!("{r:7.1} {g:7.1} {b:7.1}")
        };
        let _ = writeln!(
            text,
            "  {:>5}  {}  {}  {:>6.1}  {:>7.2}",
            format!("{:+}", step.stops),
            codes(step.a),
            codes(step.b),
            step.codes,
            step.de2000
        );
    }
    if !differences.is_empty() {
        text.push_str("\n  parameter                        A → B\n");
        for difference in differences {
            let value = |value: &Option<String>| value.clone().unwrap_or_else(|| "–".to_owned());
            let (a, b) = (value(&difference.a), value(&difference.b));
            let _ = writeln!(text, "  {:<32} {a} → {b}", difference.path);
        }
    }
    if let Some(limit) = arguments.max_de {
        let verdict = if comparison.max_de > limit {
            console.emphasise(Emphasis::Bad, "beyond")
        } else {
            console.emphasise(Emphasis::Good, "within")
        };
        let _ = writeln!(text, "\n  {verdict} the limit of {limit} ΔE2000");
    }
    text
}
