//! `verify`: holds any file against a recipe: a cube, a list of steps, a correction.

mod function;

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome, failure_code};
use super::foreign::{Candidate, FileKind, Steps, corrections};
use super::verdict::round;
use lookwright::compile::{Prepared, fingerprint_in, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::cube::{self, CubeFile, Tables};
use lookwright::verify::{Check, GreyPoint, Shape, Verification};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Hold any file against a recipe: of a cube every number, and what the monitor makes of it
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright verify luts-out/quayside-warm.cube --recipe recipes/quayside-warm.toml
           lookwright verify card/*.cube --recipe look.toml --grey
           lookwright verify from-set.cube --recipe look.toml --set exposure.stops=0.5
           lookwright verify from-post.clf --recipe look.toml
           lookwright verify cut.edl --id 003 --recipe look.toml

A list of steps (Common LUT Format) is held against the exact look at full levels: it has no nodes that could be
compared. A correction (ASC CDL) is what the recipe asks for if its numbers are those of [grade], or if it leaves no
more of the whole look than the tolerances allow.
Exit code 1 if a file is not what the recipe asks for.")]
pub struct Arguments {
    /// Cubes, lists of steps (.clf) or corrections (.cc, .ccc, .cdl, .edl)
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// The recipe that they should hold
    #[arg(long, value_name = "RECIPE")]
    recipe: PathBuf,

    /// Lay one value on top of the recipe, as if it were written in it
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Of a file with several corrections the one that is meant
    #[arg(long, value_name = "NAME")]
    id: Option<String>,

    /// Print the grey scale too, −8 to +8 stops
    #[arg(long)]
    grey: bool,
}

/// A file that was read.
enum Read {
    Cube(CubeFile),
    Steps(Box<Steps>),
    Correction(Box<Candidate>, Vec<Diagnostic>),
}

impl Read {
    fn from(path: &Path, arguments: &Arguments) -> Result<Self, Vec<Diagnostic>> {
        match FileKind::of(path) {
            FileKind::Other | FileKind::Cube => cube::read(path).map(Self::Cube),
            FileKind::Steps => {
                let steps = Steps::read(path)?;
                steps.gives_picture(path, None)?;
                Ok(Self::Steps(Box::new(steps)))
            }
            kind @ (FileKind::Corrections | FileKind::Events) => {
                let file = corrections(path, kind)?;
                let chosen = file.choose(path, arguments.id.as_deref())?;
                Ok(Self::Correction(Box::new(chosen), file.warnings))
            }
        }
    }

    fn doubts(&self) -> &[Diagnostic] {
        match self {
            Self::Cube(file) => &file.warnings,
            Self::Steps(steps) => &steps.warnings,
            Self::Correction(_, warnings) => warnings,
        }
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let prepared = prepare(&arguments.recipe, &arguments.overrides)?;
    let (mut files, mut found) = (Vec::new(), Vec::new());
    for path in &arguments.files {
        match Read::from(path, arguments) {
            Ok(file) => files.push((path, file)),
            Err(diagnostics) => found.extend(diagnostics),
        }
    }
    if files.is_empty() {
        return Err(found);
    }
    if arguments.id.is_some() && !files.iter().any(|(_, file)| matches!(file, Read::Correction(..))) {
        let error =
            Diagnostic::error(&codes::CORRECTION_CHOICE, "--id chooses a correction, and no file here holds any");
        return Err(vec![error.help("leave out --id, or name an ASC CDL file or an edit decision list")]);
    }
    let mut doubts = prepared.warnings.clone();
    doubts.extend(files.iter().flat_map(|(_, file)| file.doubts().iter().cloned()));
    console.warnings(&doubts);
    // A file that can't be read is told beside the verdicts on the others.
    console.warnings(&found);
    let mut documents = Vec::new();
    let mut outcome = Outcome::Fine;
    for (path, file) in &files {
        let held = match file {
            Read::Cube(file) => of_cube(path, file, &prepared, arguments.grey, console)?,
            Read::Steps(steps) => function::of_steps(path, steps, &prepared, arguments.grey, console)?,
            Read::Correction(chosen, _) => function::of_correction(path, chosen, &prepared, arguments.grey, console)?,
        };
        if !held.pass {
            outcome = Outcome::OutOfTolerance;
        }
        if console.is_json() {
            documents.push(held.document);
        } else {
            console.text(&held.text);
        }
    }
    if console.is_json() {
        doubts.extend(found.iter().cloned());
        console.document(&json!({ "files": documents, "diagnostics": as_json(&doubts) }));
    }
    Ok(if found.is_empty() { outcome } else { Outcome::Partly(failure_code(&found)) })
}

/// What came of a file.
struct Held {
    pass: bool,
    document: Value,
    text: String,
}

fn of_cube(
    path: &Path,
    file: &CubeFile,
    prepared: &Prepared,
    grey: bool,
    console: &Console,
) -> Result<Held, Vec<Diagnostic>> {
    let verification = match &file.tables {
        Tables::Three(table) => Some(prepared.hold(table)?),
        Tables::One(_) | Tables::Shaped { .. } => None,
    };
    let verification = verification.as_ref();
    Ok(Held {
        pass: verification.is_some_and(|verification| verification.pass),
        document: if console.is_json() { document(path, file, prepared, verification) } else { Value::Null },
        text: if console.is_json() { String::new() } else { text(path, file, prepared, verification, grey, console) },
    })
}

/// What a file holds, in words.
pub fn kind(tables: &Tables) -> String {
    let domain = |min: [f64; 3], max: [f64; 3]| {
        if min == [min[0]; 3] && max == [max[0]; 3] {
            format!("domain {} to {}", min[0], max[0])
        } else {
            let [r, g, b] = [0, 1, 2].map(|i| format!("{} to {}", min[i], max[i]));
            format!("domain {r}, {g}, {b}")
        }
    };
    match tables {
        Tables::One(table) => {
            format!("1D table, {} points, {}", table.rows().len(), domain(table.domain().min, table.domain().max))
        }
        Tables::Three(table) => {
            format!("3D table, {} points a side, {}", table.size(), domain(table.domain().min, table.domain().max))
        }
        Tables::Shaped { shaper, table } => format!(
            "1D table of {} points ({}) that shapes a 3D table of {} points a side",
            shaper.rows().len(),
            domain(shaper.domain().min, shaper.domain().max),
            table.size()
        ),
    }
}

/// Why a file that is not one 3D table can't hold the look.
fn not_a_look(tables: &Tables) -> Option<&'static str> {
    match tables {
        Tables::Three(_) => None,
        Tables::One(_) => {
            Some("a 1D table changes each channel alone, and can't hold a look; the recipe compiles to a 3D table")
        }
        Tables::Shaped { .. } => Some(
            "the recipe compiles to one 3D table without a shaper; many monitors would read this file wrongly or not at all",
        ),
    }
}

fn document(path: &Path, file: &CubeFile, prepared: &Prepared, verification: Option<&Verification>) -> Value {
    let own = prepared.plan.fingerprint();
    let claimed = fingerprint_in(&file.comments);
    json!({
        "file": path,
        "recipe": prepared.path,
        "name": prepared.plan.look.name,
        "kind": kind(&file.tables),
        "title": file.title,
        "fingerprint": claimed,
        "recipe_fingerprint": own,
        "fingerprint_matches": claimed.map(|claimed| matches(claimed, &own)),
        "pass": verification.is_some_and(|verification| verification.pass),
        "reason": not_a_look(&file.tables),
        "verify": verification,
    })
}

/// A header may carry the fingerprint shortened, but no shorter than it is printed.
fn matches(claimed: &str, own: &str) -> bool {
    claimed.len() >= 16 && own.starts_with(&claimed.to_ascii_lowercase())
}

fn text(
    path: &Path,
    file: &CubeFile,
    prepared: &Prepared,
    verification: Option<&Verification>,
    grey: bool,
    console: &Console,
) -> String {
    let mut text = verdict(path, verification.is_some_and(|verification| verification.pass), console);
    let _ = writeln!(text, "  file         {}", kind(&file.tables));
    let _ = writeln!(text, "  recipe       {} ({})", prepared.plan.look.name, prepared.path.display());
    let _ = writeln!(text, "  fingerprint  {}", fingerprint(file, prepared));
    match (verification, not_a_look(&file.tables)) {
        (Some(verification), _) => whole(&mut text, verification, grey, console),
        (None, Some(reason)) => {
            let _ = writeln!(text, "  reason       {reason}");
        }
        (None, None) => {}
    }
    text.push('\n');
    text
}

/// The first line.
fn verdict(path: &Path, pass: bool, console: &Console) -> String {
    let verdict =
        if pass { console.emphasise(Emphasis::Good, "pass") } else { console.emphasise(Emphasis::Bad, "FAIL") };
    format!("{}  {verdict}\n", console.emphasise(Emphasis::Strong, &path.display().to_string()))
}

fn fingerprint(file: &CubeFile, prepared: &Prepared) -> String {
    let own = prepared.plan.fingerprint();
    let short = |text: &str| text.chars().take(16).collect::<String>();
    match fingerprint_in(&file.comments) {
        None => format!("none in the file; the recipe's is {}", short(&own)),
        Some(claimed) if matches(claimed, &own) => format!("{}, the recipe's", short(&own)),
        Some(claimed) => format!(
            "{} in the file, {} for the recipe: made from another recipe, or another version of this one",
            short(claimed),
            short(&own)
        ),
    }
}

fn whole(text: &mut String, verification: &Verification, grey: bool, console: &Console) {
    table(text, &verification.checks, console);
    ends(text, verification.mid_grey_signal, verification.black_stops, verification.white_stops);
    let search = &verification.search;
    let worst = &search.worst;
    let _ = writeln!(
        text,
        "  anywhere     {} random signals: ΔE {:.2} mean, 95 % below {:.2}; worst found {:.2} ({:.0} codes) at camera codes {}",
        search.points,
        search.mean_de,
        search.de_95,
        worst.de2000,
        worst.codes,
        codes(worst.code_in)
    );
    folds(text, &verification.shape);
    let _ = writeln!(
        text,
        "  steepest     {:.1} codes out for one code in; along the greys {:.1}, at code {:.0}",
        verification.shape.steepest,
        verification.shape.steepest_grey,
        1023.0 * verification.shape.steepest_grey_input
    );
    let clipped = 100.0 * verification.clipped_nodes as f64 / verification.nodes.count as f64;
    let _ = writeln!(
        text,
        "  clipped      {} nodes ({clipped:.1} %) at the display's black or white",
        verification.clipped_nodes
    );
    if let Some(cut) = &verification.cut {
        let stops = |stops: Option<f64>| stops.map_or("no light".to_owned(), |stops| format!("{stops:+.1} stops"));
        let _ = writeln!(
            text,
            "  cut          legal input keeps codes {:.0} ({}) to {:.0} ({}); what is cut costs up to ΔE {:.1} (grey, code {:.0})",
            cut.first_code,
            stops(cut.first_stops),
            cut.last_code,
            stops(cut.last_stops),
            cut.max_de,
            cut.max_de_code
        );
    }
    for note in &verification.notes {
        let _ = writeln!(text, "  note         {note}");
    }
    if let Some(suspicion) = &verification.suspicion {
        let _ = writeln!(text, "  {}    {suspicion}", console.emphasise(Emphasis::Strong, "suspicion"));
    }
    if !verification.pass && verification.nodes.pass() {
        let remedy = match verification.smallest_grid {
            Some(grid) => format!("{grid} points a side would pass; or relax the tolerance under [verify]"),
            None => "no usual grid would pass: soften the look, or relax the tolerance under [verify]".to_owned(),
        };
        let _ = writeln!(text, "  {}       {remedy}", console.emphasise(Emphasis::Strong, "remedy"));
    }
    if grey {
        grey_scale(text, &verification.grey);
    }
}

fn ends(text: &mut String, mid: f64, black: Option<f64>, white: Option<f64>) {
    let reached = |stops: Option<f64>, word: &str| {
        stops.map_or("never reached".to_owned(), |stops| match stops.is_finite() {
            true => format!("{word} {stops:+.1} stops"),
            false => "without light only".to_owned(),
        })
    };
    let (black, white) = (reached(black, "below"), reached(white, "from"));
    let _ = writeln!(
        text,
        "\n  picture      grey at {:.1} % (code {:.0}), black {black}, white {white}",
        100.0 * mid,
        1023.0 * mid
    );
}

fn table(text: &mut String, checks: &[Check], console: &Console) {
    let width = checks.iter().map(|check| check.name.chars().count()).max().unwrap_or(0);
    let _ = writeln!(text, "\n  {:width$}  {:>9}  {:>9}  {:21}", "check", "found", "at most", "in");
    for check in checks {
        let verdict = if check.pass {
            console.emphasise(Emphasis::Good, "pass")
        } else {
            console.emphasise(Emphasis::Bad, "FAIL")
        };
        let value = figure(check.value);
        let _ = writeln!(
            text,
            "  {:width$}  {value:>9}  {:>9}  {:21}{verdict}",
            check.name,
            figure(check.limit),
            check.unit
        );
        if !check.worst.is_empty() {
            let _ = writeln!(text, "  {:width$}  {}", "", where_worst(check));
        }
    }
}

fn figure(value: f64) -> String {
    if value.is_finite() { round(value) } else { "-".to_owned() }
}

fn where_worst(check: &Check) -> String {
    if check.pass { format!("worst {}", check.worst) } else { check.worst.clone() }
}

fn folds(text: &mut String, shape: &Shape) {
    let _ = write!(text, "  folds        ");
    if shape.folded_cells == 0 {
        let _ = writeln!(text, "none: more of a channel never turns the picture back");
        return;
    }
    let of_look = |looked_at: usize, look: usize| match (looked_at, look) {
        (0, _) => String::new(),
        (looked_at, look) if look == looked_at => "; the look itself turns back there".to_owned(),
        (looked_at, look) => format!("; the look itself turns back in {look} of {looked_at} that were looked at"),
    };
    let look = shape.folds_of_look.unwrap_or_default();
    let _ = writeln!(
        text,
        "{} of {} cells among the colours of pictures{}",
        shape.picture_folds,
        shape.picture_cells,
        of_look(look.picture_looked_at, look.picture_look_folds)
    );
    for fold in &shape.picture_folds_named {
        let _ = writeln!(
            text,
            "               at input {} by {:.2}",
            codes(fold.input.map(|value| 1023.0 * value)),
            -fold.volume
        );
    }
    let (far, cells) = (shape.folded_cells - shape.picture_folds, shape.cells - shape.picture_cells);
    let _ = writeln!(
        text,
        "               {far} of {cells} cells in colours that no picture holds{}",
        of_look(look.far_looked_at, look.far_look_folds)
    );
}

fn codes([r, g, b]: [f64; 3]) -> String {
    format!("{r:.0} {g:.0} {b:.0}")
}

fn grey_scale(text: &mut String, grey: &[GreyPoint]) {
    let _ = writeln!(text, "\n  grey scale, display signal in 10-bit codes");
    let _ = writeln!(
        text,
        "  {:>6}  {:>8}  {:>20}  {:>20}  {:>6}  {:>6}",
        "stops", "camera", "file  R     G     B", "look  R     G     B", "codes", "ΔE"
    );
    for point in grey {
        let three = |signal: [f64; 3]| signal.map(|value| format!("{:6.1}", 1023.0 * value)).join(" ");
        let end = if point.beyond_signal { "  camera's last code" } else { "" };
        let _ = writeln!(
            text,
            "  {:>+6.2}  {:>8.1}  {}  {}  {:>6.2}  {:>6.3}{end}",
            point.stops,
            point.code_in,
            three(point.signal),
            three(point.exact),
            point.codes,
            point.de2000
        );
    }
}
