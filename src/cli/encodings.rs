//! `encodings`: what the program knows, with its sources; and the stops-to-code table of one encoding.

use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome};
use super::layout::labelled;
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::{self, Curve, CurveFault, ENCODINGS, Encoding, Functions, Step};
use lookwright::colour::gamuts::{self, GAMUTS, Gamut};
use lookwright::colour::{Grade, Source};
use lookwright::diagnostics::{Diagnostic, codes, nearest};
use lookwright::explain::{ExposureStep, ExposureTable};
use lookwright::maths::{CODE10_MAX, stops_from_grey};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// List the encodings, gamuts and displays with their sources, or print the stops-to-code table of one encoding
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright encodings
           lookwright encodings s-log3
           lookwright encodings logc3 --exposure-index 800

Names are compared without case, spaces, hyphens, dots and underscores: S-Log3, slog3 and s-log3 are one.")]
pub struct Arguments {
    /// Encoding whose stops-to-code table is printed; without one, everything is listed
    #[arg(value_name = "ENCODING")]
    encoding: Option<String>,

    /// Exposure index, for encodings whose curve depends on it
    #[arg(long, value_name = "EI", requires = "encoding")]
    exposure_index: Option<u32>,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    match &arguments.encoding {
        Some(name) => one(find(name)?, arguments.exposure_index, console),
        None => {
            if console.is_json() {
                console.document(&list_document());
            } else {
                console.text(&list(console));
            }
            Ok(Outcome::Fine)
        }
    }
}

fn find(name: &str) -> Result<&'static Encoding, Vec<Diagnostic>> {
    if let Some(encoding) = encodings::find(name) {
        return Ok(encoding);
    }
    let mut diagnostic = Diagnostic::error(&codes::UNKNOWN_NAME, format!("unknown camera encoding \"{name}\""));
    if let Some(gamut) = gamuts::find(name) {
        diagnostic = diagnostic.help(format!("{} is a gamut; only camera encodings have stops and codes", gamut.name));
    } else if let Some(display) = DisplayEncoding::find(name) {
        let help = format!("{} is a display encoding; only camera encodings have stops and codes", display.name());
        diagnostic = diagnostic.help(help);
    } else if let Some(near) = nearest(name, ENCODINGS.iter().map(|encoding| encoding.id)) {
        diagnostic = diagnostic.help(format!("did you mean \"{near}\"?"));
    }
    Err(vec![diagnostic.help("`lookwright encodings` lists them all")])
}

// ---- one encoding ----

fn one(encoding: &'static Encoding, index: Option<u32>, console: &Console) -> CommandResult {
    let (curve, warnings) = curve(encoding, index)?;
    console.warnings(&warnings);
    let table = ExposureTable::new(curve);
    if console.is_json() {
        let mut document = table_document(&table);
        document["exposure_index_given"] = json!(index.is_some());
        document["diagnostics"] = as_json(&warnings);
        console.document(&document);
    } else {
        let chosen = index.is_none() && curve.exposure_index().is_some();
        console.text(&table_text(&table, chosen, console));
    }
    Ok(Outcome::Fine)
}

/// The curve; without an index the middle one of those that are published.
fn curve(encoding: &'static Encoding, index: Option<u32>) -> Result<(Curve, Vec<Diagnostic>), Vec<Diagnostic>> {
    let index = match (index, encoding.functions) {
        (None, Functions::ByExposureIndex { indices, .. }) => indices.get(indices.len() / 2).copied(),
        (index, _) => index,
    };
    match Curve::new(encoding, index) {
        Ok(curve) => Ok((curve, Vec::new())),
        Err(fault @ CurveFault::ExposureIndexNotUsed { .. }) => {
            let warning = Diagnostic::warning(&codes::INDEX_NOT_USED, fault.to_string());
            let fixed = Curve::new(encoding, None).map_err(|fault| vec![index_error(&fault)])?;
            Ok((fixed, vec![warning.help("the table is the same for every exposure index")]))
        }
        Err(fault) => Err(vec![index_error(&fault)]),
    }
}

fn index_error(fault: &CurveFault) -> Diagnostic {
    Diagnostic::error(&codes::EXPOSURE_INDEX, fault.to_string())
        .help("take the index that the camera is set to; for one between, the nearest below")
}

fn table_text(table: &ExposureTable, chosen: bool, console: &Console) -> String {
    let encoding = table.curve.encoding();
    let index = table.curve.exposure_index();
    let title = match index {
        Some(index) => format!("{} EI {index}", encoding.name),
        None => encoding.name.to_owned(),
    };
    let mut text = format!("{}  {}\n", console.emphasise(Emphasis::Strong, &title), encoding.publisher);
    facts(&mut text, encoding);
    if chosen {
        let why = "the middle one of those published, for no --exposure-index was given; another index has other codes";
        text.push_str(&labelled("here", &format!("{title}: {why}"), INDENT));
    }
    text.push('\n');
    for landmark in &table.landmarks {
        text.push_str(&landmark_line(landmark.name, &landmark.at));
    }
    let (clip, highest) = (&table.clip, table.clip.code);
    let _ = writeln!(
        text,
        "  {:<12}{:+7.2} stops: brighter light is recorded as code {highest:.0} too",
        "clips at", clip.stops
    );
    for jump in &table.jumps {
        text.push_str(&labelled("step", &jump_text(jump), INDENT));
    }
    text.push_str(TABLE_HEAD);
    for step in &table.steps {
        text.push_str(&table_row(step));
    }
    text.push_str(TABLE_FOOT);
    text
}

const INDENT: usize = 14;

const TABLE_HEAD: &str = "
  stops      light     signal     code    a device that scales 64..940 to 0..1
  from    grey 0.18      0..1   10-bit    shows      in %     code
  grey\n";

const TABLE_FOOT: &str = "
  Codes are not rounded. Below 0 % and above 100 % the scaling device has nothing left to show.\n";

fn landmark_line(name: &str, at: &ExposureStep) -> String {
    if !at.signal.is_finite() {
        return format!("  {name:<12}no code: the formula takes the logarithm of zero\n");
    }
    format!(
        "  {name:<12}code {:6.1}, {:5.1} % of full scale; {:5.1} % of 64..940\n",
        at.code,
        100.0 * at.signal,
        100.0 * at.scaled
    )
}

fn table_row(step: &ExposureStep) -> String {
    let mark = if step.beyond_signal { "   beyond the signal" } else { "" };
    format!(
        "  {:>5} {:>10} {:10.4} {:8.1} {:10.4} {:7.1} % {:8.1}{mark}\n",
        whole_stops(step.stops),
        light(step.linear),
        step.signal,
        step.code,
        step.scaled,
        100.0 * step.scaled,
        step.scaled_code,
    )
}

/// Whole stops with their sign; grey has none.
fn whole_stops(stops: f64) -> String {
    if stops == 0.0 { "0".to_owned() } else { format!("{stops:+.0}") }
}

/// Light with four significant digits.
fn light(linear: f64) -> String {
    let digits = if linear < 0.001 {
        7
    } else if linear < 0.01 {
        6
    } else if linear < 0.1 {
        5
    } else if linear < 1.0 {
        4
    } else {
        3
    };
    format!("{linear:.digits$}")
}

fn jump_text(jump: &Step) -> String {
    let (below, above) = (jump.linear_below, jump.linear_above);
    let size = (stops_from_grey(above) - stops_from_grey(below)).abs();
    let way = if above < below { "falls" } else { "rises" };
    let decoded = if size.is_finite() {
        format!("decode {way} by {size:.4} stop")
    } else {
        format!("decode {way} by {:.2e} of light", (above - below).abs())
    };
    format!(
        "at code {:.1} {decoded}, and at light {:.6} encode jumps by {:+.2} of a 10-bit code: so the published \
         constants have it",
        CODE10_MAX * jump.code,
        jump.linear,
        CODE10_MAX * (jump.code_above - jump.code_below),
    )
}

fn table_document(table: &ExposureTable) -> Value {
    let mut document = encoding_document(table.curve.encoding());
    document["exposure_index"] = json!(table.curve.exposure_index());
    document["landmarks"] = json!(table.landmarks);
    document["clip"] = json!(table.clip);
    let jumps: Vec<Value> = table
        .jumps
        .iter()
        .map(|jump| {
            json!({
                "code": CODE10_MAX * jump.code, "linear_below": jump.linear_below, "linear_above": jump.linear_above,
                "linear": jump.linear, "code_below": CODE10_MAX * jump.code_below, "code_above": CODE10_MAX * jump.code_above,
            })
        })
        .collect();
    document["jumps"] = json!(jumps);
    document["stops"] = json!(table.steps);
    document
}

// ---- the list ----

fn list(console: &Console) -> String {
    let heading = |text: &str| format!("{}\n\n", console.emphasise(Emphasis::Strong, text));
    let mut text = heading("Camera encodings: [camera] encoding");
    for encoding in ENCODINGS {
        let id = console.emphasise(Emphasis::Strong, encoding.id);
        let _ = writeln!(text, "{id}  {}, {}", encoding.name, encoding.publisher);
        facts(&mut text, encoding);
    }
    text.push('\n');
    text.push_str(&heading("Gamuts: [camera] gamut"));
    for gamut in GAMUTS {
        let _ = writeln!(text, "{}  {}", console.emphasise(Emphasis::Strong, gamut.id), gamut.name);
        source_lines(&mut text, &gamut.source);
        text.push_str(&labelled("note", gamut.note, INDENT));
    }
    text.push('\n');
    text.push_str(&heading("Display encodings: [display] encoding"));
    for display in DisplayEncoding::ALL {
        let peak = if display.needs_peak() { ", needs peak_nits" } else { "" };
        let _ = writeln!(text, "{}  {}{peak}", console.emphasise(Emphasis::Strong, display.id()), display.name());
        source_lines(&mut text, &display.source());
    }
    text.push('\n');
    text.push_str("`lookwright encodings NAME` prints the stops-to-code table of a camera encoding.\n");
    text
}

fn facts(text: &mut String, encoding: &Encoding) {
    source_lines(text, &encoding.source);
    text.push_str(&labelled("gamuts", &encoding.gamuts.join(", "), INDENT));
    if let Functions::ByExposureIndex { indices, .. } = encoding.functions {
        let indices: Vec<String> = indices.iter().map(u32::to_string).collect();
        text.push_str(&labelled("index", &format!("needs exposure_index: {}", indices.join(", ")), INDENT));
    }
    text.push_str(&labelled("note", encoding.note, INDENT));
}

fn source_lines(text: &mut String, source: &Source) {
    text.push_str(&labelled("source", &format!("{}: {}", source.grade.told(), source.citation), INDENT));
}

fn list_document() -> Value {
    let encodings: Vec<Value> = ENCODINGS.iter().map(|encoding| encoding_document(encoding)).collect();
    let gamuts: Vec<Value> = GAMUTS.iter().map(|gamut| gamut_document(gamut)).collect();
    let displays: Vec<Value> = DisplayEncoding::ALL
        .iter()
        .map(|display| {
            json!({
                "id": display.id(), "name": display.name(), "source": source_document(&display.source()),
                "needs_peak_nits": display.needs_peak(),
            })
        })
        .collect();
    json!({ "encodings": encodings, "gamuts": gamuts, "displays": displays })
}

fn encoding_document(encoding: &Encoding) -> Value {
    let indices = match encoding.functions {
        Functions::ByExposureIndex { indices, .. } => indices,
        Functions::Fixed { .. } => &[],
    };
    json!({
        "id": encoding.id, "name": encoding.name, "publisher": encoding.publisher,
        "source": source_document(&encoding.source), "gamuts": encoding.gamuts, "exposure_indices": indices,
        "note": encoding.note,
    })
}

fn gamut_document(gamut: &Gamut) -> Value {
    json!({
        "id": gamut.id, "name": gamut.name, "red": gamut.red, "green": gamut.green, "blue": gamut.blue,
        "white": gamut.white, "source": source_document(&gamut.source), "note": gamut.note,
    })
}

fn source_document(source: &Source) -> Value {
    let grade = match source.grade {
        Grade::Maker => "maker",
        Grade::Standard => "standard",
        Grade::ThirdParty => "third-party",
    };
    json!({ "key": source.key, "citation": source.citation, "grade": grade })
}
