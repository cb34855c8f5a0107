//! `explain`: what a recipe means, with every default and where each value comes from.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::layout::labelled;
use super::sketch::{self, Paper};
use lookwright::compile::{Prepared, prepare};
use lookwright::explain::{Cast, Explanation, Origin, ResolvedParameter, ResolvedTable, SignalStep};
use lookwright::plan::Levels;
use lookwright::recipe::{Value as Written, schema};
use serde_json::{Map, Value, json};
use std::fmt::Write as _;
use std::path::PathBuf;

/// Tell what a recipe means: every value and where it comes from, the curve, the signal of each stop, the cast
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright explain recipes/dusk-car-deck.toml
           lookwright explain look.toml --set tone.contrast=1.5
           lookwright explain --schema > recipe.schema.json      for your editor
           lookwright explain --schema=show > show.schema.json")]
pub struct Arguments {
    /// Recipe
    #[arg(required_unless_present = "schema")]
    recipe: Option<PathBuf>,

    /// Lay one value on top of the recipe, as if it were written in it
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Print the JSON Schema of recipes, or with --schema=show of shows, instead
    #[arg(long, value_name = "OF", value_enum, num_args = 0..=1, require_equals = true, default_missing_value = "recipe",
        conflicts_with_all = ["recipe", "overrides"])]
    schema: Option<SchemaOf>,
}

/// The languages that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum SchemaOf {
    /// Recipes
    Recipe,
    /// Shows
    Show,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let Some(recipe) = &arguments.recipe else {
        console.document(&match arguments.schema {
            Some(SchemaOf::Show) => lookwright::show::reference::schema(),
            _ => schema::schema(),
        });
        return Ok(Outcome::Fine);
    };
    let prepared = prepare(recipe, &arguments.overrides)?;
    let explanation = Explanation::new(&prepared);
    if console.is_json() {
        console.document(&document(&prepared, &explanation));
    } else {
        console.warnings(&prepared.warnings);
        console.text(&text(&prepared, &explanation, console));
    }
    Ok(Outcome::Fine)
}

/// Columns before the text of a labelled line.
const INDENT: usize = 18;

fn text(prepared: &Prepared, explanation: &Explanation, console: &Console) -> String {
    let (plan, paper) = (&prepared.plan, Paper::new(console));
    let mut text = format!("{}\n", console.emphasise(Emphasis::Strong, &plan.look.name));
    text.push_str(&labelled("note", &plan.look.note, INDENT));
    let fingerprint = &explanation.fingerprint;
    text.push_str(&labelled("fingerprint", fingerprint, INDENT));
    text.push_str(&labelled("writes", &prepared.file_name, INDENT));
    text.push('\n');
    for table in &explanation.tables {
        text.push_str(&table_text(table, console));
    }
    let heading = |words: &str| format!("\n{}\n", console.emphasise(Emphasis::Strong, words));
    text.push_str(&heading("Matrices"));
    matrices(&mut text, prepared, explanation);
    text.push_str(&heading("Tone"));
    tone(&mut text, explanation, paper);
    text.push_str(&heading("Greys: from the camera's code to the display"));
    steps(&mut text, prepared, explanation);
    text.push_str(&heading("Cast"));
    casts(&mut text, prepared, explanation);
    text.push_str(&sketch::casts(paper, &explanation.greys));
    text
}

// ---- parameters ----

fn table_text(table: &ResolvedTable, console: &Console) -> String {
    let Some(declared) = table.declared else { return keys_text(table) };
    let title = match table.band {
        Some(_) => format!("[[{}]]", declared.path),
        None => format!("[{}]", declared.path),
    };
    let mut text = format!("\n{}\n", console.emphasise(Emphasis::Strong, &title));
    if !table.present {
        text.push_str("  absent\n");
    }
    text.push_str(&keys_text(table));
    text
}

fn keys_text(table: &ResolvedTable) -> String {
    table
        .parameters
        .iter()
        .map(|parameter| {
            let (value, origin) = (parameter.value_text(), &parameter.origin);
            format!("  {:<20}{value:<34}  {origin}\n", parameter.declared.key())
        })
        .collect()
}

// ---- what follows from them ----

fn matrices(text: &mut String, prepared: &Prepared, explanation: &Explanation) {
    let plan = &prepared.plan;
    let mut all = vec![(format!("{} → ACEScg", plan.camera.gamut.name), explanation.camera_to_acescg)];
    all.extend(explanation.tints.iter().map(|(name, matrix)| (format!("{name}, on ACEScg"), *matrix)));
    all.push((format!("ACEScg → {}", plan.display.gamut.name), explanation.acescg_to_display));
    for (name, matrix) in all {
        let _ = writeln!(text, "  {name}");
        for row in 0..3 {
            let [r, g, b] = [0, 1, 2].map(|column| matrix[(row, column)]);
            let _ = writeln!(text, "    {r:11.6} {g:11.6} {b:11.6}");
        }
    }
}

fn tone(text: &mut String, explanation: &Explanation, paper: Paper) {
    match &explanation.tone {
        Some(slope) => {
            let contrast = format!("{}: slope of the straight line, display stops per scene stop", slope.contrast);
            text.push_str(&labelled("contrast", &contrast, INDENT));
            let seen =
                format!("{:.3}: the slope that the eye meets there, once black is taken off", slope.slope_at_grey);
            text.push_str(&labelled("at grey", &seen, INDENT));
        }
        None => text.push_str("  no [tone]: a technical conversion, display light is scene light\n"),
    }
    text.push('\n');
    text.push_str(&sketch::greys(paper, &explanation.greys));
}

fn steps(text: &mut String, prepared: &Prepared, explanation: &Explanation) {
    let levels = prepared.plan.device.output_levels;
    let three = explanation.tinted;
    let nits = explanation.steps.iter().any(|step| step.nits.is_some());
    let codes = if three { format!("{:>21}", "code out R G B") } else { format!("{:>9}", "code out") };
    let _ = writeln!(text, "  stops  code in  {codes}   signal{}", if nits { "      nits" } else { "" });
    for step in &explanation.steps {
        text.push_str(&step_line(step, three));
    }
    let range = match levels {
        Levels::Full => "0..1023 (full)",
        Levels::Legal => "64..940 (legal)",
    };
    let camera = &prepared.plan.camera;
    let mut told = format!(
        "code in: {} as recorded, 10-bit; code out: what leaves the LUT, 10-bit, with the signal's 0..100 % in {range}; \
         signal: of a grey that is as bright",
        camera.curve.encoding().name
    );
    if !nits {
        told.push_str("; write [display] peak_nits to see nits");
    }
    text.push_str(&labelled("", &told, 2));
}

fn step_line(step: &SignalStep, three: bool) -> String {
    let stops = if step.stops == 0.0 { "0".to_owned() } else { format!("{:+.0}", step.stops) };
    let [r, g, b] = step.code_out;
    let codes = if three { format!("{r:7.1}{g:7.1}{b:7.1}") } else { format!("{g:9.1}") };
    let nits = step.nits.map_or(String::new(), |nits| format!("{:>10}", nits_text(nits)));
    let mark = if step.beyond_signal { "   beyond the camera's signal" } else { "" };
    format!("  {stops:>5} {:8.1}  {codes} {:6.1} %{nits}{mark}\n", step.code_in, 100.0 * step.neutral_signal)
}

/// Three or four digits that mean something: a monitor is adjusted in whole nits above and in thousandths near black.
fn nits_text(nits: f64) -> String {
    let digits = if nits < 1.0 {
        4
    } else if nits < 100.0 {
        2
    } else {
        1
    };
    format!("{nits:.digits$}")
}

fn casts(text: &mut String, prepared: &Prepared, explanation: &Explanation) {
    let white = &prepared.plan.white;
    if !white.is_identity() {
        // Contrast spreads the channels apart, as it does every ratio.
        let told = if explanation.tone.is_some() { "; the curve's slope makes it more or less" } else { "" };
        let _ = writeln!(
            text,
            "  [white] asks for {:+} mired, {:+.4} Duv, seen from {} K{told}",
            white.warmer_mired, white.greener_duv, white.reference_kelvin
        );
    }
    let _ = writeln!(text, "  {:<14}      x       y   kelvin    mired      Duv   beside display white", "");
    for cast in &explanation.casts {
        let label = if cast.stops == 0.0 { "grey".to_owned() } else { format!("{:+.0} stops", cast.stops) };
        let beside = match (cast.warmer_mired, cast.greener_duv) {
            _ if !explanation.tinted => "the same".to_owned(),
            (Some(warmer), Some(greener)) => format!("{warmer:+.1} mired, {greener:+.4} Duv"),
            _ => String::new(),
        };
        let _ = writeln!(text, "{}   {beside}", cast_line(&label, cast));
    }
    let _ = writeln!(text, "{}", cast_line("display white", &explanation.display_white));
}

fn cast_line(label: &str, cast: &Cast) -> String {
    let place = match (cast.kelvin, cast.mired, cast.duv) {
        (Some(kelvin), Some(mired), Some(duv)) => format!("{kelvin:8.0} {mired:8.1} {duv:+8.4}"),
        _ => format!("{:>26}", "like no black body"),
    };
    format!("  {label:<14} {:.4}  {:.4} {place}", cast.x, cast.y)
}

// ---- the document ----

fn document(prepared: &Prepared, explanation: &Explanation) -> Value {
    let plan = &prepared.plan;
    let tints: Map<String, Value> =
        explanation.tints.iter().map(|(name, matrix)| ((*name).to_owned(), matrix_document(matrix))).collect();
    json!({
        "recipe": prepared.path,
        "name": plan.look.name,
        "fingerprint": explanation.fingerprint,
        "lut": prepared.file_name,
        "tables": explanation.tables.iter().map(table_document).collect::<Vec<_>>(),
        "matrices": {
            "camera_to_acescg": matrix_document(&explanation.camera_to_acescg),
            "tints": tints,
            "acescg_to_display": matrix_document(&explanation.acescg_to_display),
        },
        "tone": explanation.tone,
        "grey": explanation.steps,
        "curve": explanation.curve.iter().map(|(stops, signal)| json!([stops, signal])).collect::<Vec<_>>(),
        "greys": explanation.greys,
        "tinted": explanation.tinted,
        "cast": explanation.casts,
        "display_white": explanation.display_white,
        "diagnostics": as_json(&prepared.warnings),
    })
}

fn matrix_document(matrix: &nalgebra::Matrix3<f64>) -> Value {
    json!([0, 1, 2].map(|row| [0, 1, 2].map(|column| matrix[(row, column)])))
}

fn table_document(table: &ResolvedTable) -> Value {
    json!({
        "table": table.declared.map_or("", |declared| declared.path),
        "band": table.band,
        "present": table.present,
        "parameters": table.parameters.iter().map(parameter_document).collect::<Vec<_>>(),
    })
}

fn parameter_document(parameter: &ResolvedParameter) -> Value {
    let value = parameter.value.as_ref().map(|value| match value {
        Written::Text(text) => json!(text),
        Written::Number(number) => json!(number),
        Written::Integer(number) => json!(number),
        Written::Flag(flag) => json!(flag),
        Written::Triple(triple) => json!(triple),
        Written::Matrix(matrix) => json!(matrix),
    });
    let origin = match &parameter.origin {
        Origin::Written(span) => {
            let (line, column) = span.source.line_column(span.range.start);
            json!({"kind": "written", "file": span.source.name, "line": line, "column": column})
        }
        Origin::Default => json!({"kind": "default"}),
        Origin::Preset(grade) => json!({"kind": "preset", "grade": grade}),
        Origin::From(path) => json!({"kind": "from", "parameter": path}),
        Origin::Absent => json!({"kind": "absent"}),
    };
    json!({"key": parameter.declared.path, "value": value, "unit": parameter.declared.unit, "origin": origin})
}
