//! `false-colour`: exposure maps.

use super::compile::{camera_document, monitor_document, prepare_all};
use super::compile_show::{card_pages, parse_size, write_pages};
use super::console::{Console, Emphasis, as_json};
use super::exit::{CommandResult, Outcome, failure_code};
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes};
use lookwright::exposure_map::{
    MapReport, PreparedMap, ProducedMap, WrittenFile, ZoneReport, maps_of, on_card, record,
};
use lookwright::recipe::read_text;
use lookwright::show::{Hold, LEDGER, LoadingCard, Show, Work, is_show, prepare};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Make exposure maps (false colour): LUTs for the same camera and monitor that show stops as colours, with a legend
#[derive(clap::Args)]
#[command(after_help = "\
Examples:  lookwright false-colour recipes/dusk-car-deck.toml
           lookwright false-colour look.toml --size 65 --set map.zero_stops=0.5
           lookwright false-colour look.toml --set map.band.skin.to_stops=1.5 --legend-only
           lookwright false-colour show.toml                    one for each camera and monitor

The map is read before the look: it shows the same whatever the look does. Its zones are those of [map] in the recipe; without
it, shadow, grey, skin and highlight, and always noise floor and clip. Each file is read back and its edges are measured; the
legend, a picture, lies beside it. Those of a show stand on its loading card, which is renewed.")]
pub struct Arguments {
    /// Recipes, or one show
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Folder that the files are written to
    #[arg(long, value_name = "DIR", default_value = "luts-out")]
    out: PathBuf,

    /// Points a side, 2 to 129; as --set lut.size=N. For a show: for every monitor, or the nearest that it accepts
    #[arg(long, value_name = "N")]
    size: Option<String>,

    /// Lay one value on top of the recipes, as if it were written in them; of a show, values of [map] only
    #[arg(long = "set", value_name = "KEY=VALUE")]
    overrides: Vec<String>,

    /// Write the legends and no LUT
    #[arg(long)]
    legend_only: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments, console: &Console) -> CommandResult {
    let mut texts: Vec<(&PathBuf, Result<String, Diagnostic>)> =
        arguments.files.iter().map(|file| (file, read_text(file))).collect();
    let (maps, mut place, doubts) = match texts.as_mut_slice() {
        [(file, Ok(text))] if is_show(text) => of_show(file, std::mem::take(text), arguments)?,
        _ => {
            let mut overrides = arguments.overrides.clone();
            overrides.extend(arguments.size.iter().map(|size| format!("lut.size={size}")));
            let prepared = prepare_all(texts, &overrides)?;
            (
                prepared.into_iter().map(PreparedMap::of_recipe).collect(),
                Place::Folder(arguments.out.clone()),
                Vec::new(),
            )
        }
    };
    let mut warnings = doubts;
    maps.iter().for_each(|map| add(&mut warnings, &map.warnings));
    console.warnings(&warnings);
    let mut documents = Vec::new();
    let made = maps.iter().try_for_each(|map| {
        let produced = place.make(map, arguments)?;
        let mut new = Vec::new();
        add(&mut new, &produced.warnings);
        new.retain(|warning| !warnings.contains(warning));
        console.warnings(&new);
        warnings.extend(new);
        if console.is_json() {
            documents.push(document(map, &produced));
        } else {
            console.text(&text(map, &produced, console));
        }
        Ok::<(), Vec<Diagnostic>>(())
    });
    // The card tells what is there, also where a map could not be made.
    let (pages, mut failed) = place.finish();
    if let Err(found) = made {
        failed.extend(found);
        return Err(failed);
    }
    if console.is_json() {
        add(&mut warnings, &failed);
        console.document(&json!({ "maps": documents, "pages": pages, "diagnostics": as_json(&warnings) }));
    } else {
        if !pages.is_empty() {
            console.text(&format!("  pages        {}\n\n", pages.join(", ")));
        }
        console.warnings(&failed);
    }
    Ok(if failed.is_empty() { Outcome::Fine } else { Outcome::Partly(failure_code(&failed)) })
}

/// Where maps go to.
enum Place {
    Folder(PathBuf),
    /// A show's folder, with the show as its loading card sees it: without a size that is asked for.
    Show(Box<Work>, Hold),
}

impl Place {
    fn make(&mut self, map: &PreparedMap, arguments: &Arguments) -> Result<ProducedMap, Vec<Diagnostic>> {
        match self {
            Self::Folder(folder) => map.produce(folder, arguments.legend_only),
            Self::Show(work, hold) => {
                let produced = map.produce(&hold.folder, arguments.legend_only)?;
                let asked = (arguments.overrides.as_slice(), arguments.size.is_some());
                record(work, &mut hold.ledger, map, &produced, asked).map_err(|error| unkept(hold, &error))?;
                Ok(produced)
            }
        }
    }

    /// Puts a show's ledger in order and renews its loading card. Gives back the pages, and what went wrong.
    fn finish(&mut self) -> (Vec<&'static str>, Vec<Diagnostic>) {
        let Self::Show(work, hold) = self else { return (Vec::new(), Vec::new()) };
        // Where this fails, the lines that were added tell the same.
        let _ = hold.ledger.save();
        let card = LoadingCard::new(work, &hold.ledger, &on_card(work, &hold.ledger));
        write_pages(&hold.folder, card_pages(&card))
    }
}

fn unkept(hold: &Hold, error: &std::io::Error) -> Vec<Diagnostic> {
    let message = format!("{}: {error}", hold.folder.join(LEDGER).display());
    vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("make room, and run the command again")]
}

/// Adds what is not there yet: of a show's cameras and monitors many say the same.
fn add(all: &mut Vec<Diagnostic>, more: &[Diagnostic]) {
    for one in more {
        if !all.contains(one) {
            all.push(one.clone());
        }
    }
}

type Maps = (Vec<PreparedMap>, Place, Vec<Diagnostic>);

fn of_show(file: &Path, text: String, arguments: &Arguments) -> Result<Maps, Vec<Diagnostic>> {
    of_map_only(&arguments.overrides)?;
    let size = arguments.size.as_deref().map(parse_size).transpose()?;
    let (show, doubts) = Show::parse(file, text.clone(), size)?;
    let work = prepare(show, doubts)?;
    let (maps, more) = maps_of(&work, &arguments.overrides)?;
    let mut doubts = work.warnings.clone();
    doubts.extend(more);
    let of_card = if size.is_none() {
        work
    } else {
        let (show, doubts) = Show::parse(file, text, None)?;
        prepare(show, doubts)?
    };
    let hold = Hold::new(&arguments.out, &of_card.show)?;
    Ok((maps, Place::Show(Box::new(of_card), hold), doubts))
}

/// In a show, cameras and monitors are the show's, and the look changes no map.
fn of_map_only(overrides: &[String]) -> Result<(), Vec<Diagnostic>> {
    let other = |text: &&String| !text.trim_start().starts_with("map.");
    let found: Vec<Diagnostic> = overrides
        .iter()
        .filter(other)
        .map(|text| {
            let span = Span { source: SourceText::new("--set", text.as_str()), range: 0..text.len() };
            Diagnostic::error(&codes::NOT_THE_SHOWS, "a show's maps take values of [map] only")
                .at(span, "expected map.KEY=VALUE")
                .help("change the show, or a recipe; --size sets the points of every monitor")
        })
        .collect();
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn document(map: &PreparedMap, produced: &ProducedMap) -> Value {
    let plan = map.map.plan();
    let file = |file: &WrittenFile| json!({ "file": file.path, "sha256": file.sha256 });
    let settings = map.map.settings();
    json!({
        "source": map.source,
        "name": map.name,
        "cube": produced.cube.as_ref().map(file),
        "legend": file(&produced.legend),
        "camera": camera_document(plan),
        "monitor": monitor_document(plan),
        "clip_signal": settings.clip_signal,
        "dim": settings.dim,
        "map": produced.report,
    })
}

fn text(map: &PreparedMap, produced: &ProducedMap, console: &Console) -> String {
    let (plan, report) = (map.map.plan(), &produced.report);
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    let mut text = format!(
        "{}  exposure map, {}{index} / {} → {} / {}, {} points\n",
        console.emphasise(Emphasis::Strong, &map.name),
        plan.camera.curve.encoding().id,
        plan.camera.gamut.id,
        plan.display.encoding.id(),
        plan.display.gamut.id,
        report.size,
    );
    if report.zero_stops != 0.0 {
        let side = if report.zero_stops < 0.0 { "under" } else { "over" };
        let _ = writeln!(text, "  stops count from {} stops {side} grey", report.zero_stops.abs());
    }
    zones(&mut text, report, console);
    apart(&mut text, report);
    let _ = writeln!(
        text,
        "  levels       input {}, output {}: choose these on the device",
        plan.device.input_levels.id(),
        plan.device.output_levels.id()
    );
    if let Some(cube) = &produced.cube {
        let _ = writeln!(text, "  written      {}  fingerprint {}", cube.path.display(), &report.fingerprint[..16]);
    }
    let _ = writeln!(text, "  legend       {}\n", produced.legend.path.display());
    text
}

/// The zones, the brightest first, as on the legend.
fn zones(text: &mut String, report: &MapReport, console: &Console) {
    let wide = report.zones.iter().map(|zone| zone.name.chars().count()).max().unwrap_or(0).clamp(4, 32);
    let indent = if console.swatch([0.0; 3]).is_empty() { 0 } else { 7 };
    let _ = writeln!(
        text,
        "  {:indent$}{:wide$}  {:>17}  {:>10}  {:>7}  measured in the file",
        "", "zone", "stops from grey", "codes", "colour"
    );
    for zone in report.zones.iter().rev() {
        let codes = zone.codes.map_or_else(|| "-".to_owned(), |[first, last]| format!("{first}..{last}"));
        let swatch = console.swatch(zone.srgb);
        let name: String = zone.name.chars().take(wide).collect();
        let _ = writeln!(
            text,
            "  {swatch}{name:wide$}  {:>17}  {codes:>10}  #{}  {}",
            stops(zone),
            zone.hex,
            measured(zone)
        );
    }
}

fn stops(zone: &ZoneReport) -> String {
    match (zone.shown, zone.from_stops, zone.to_stops) {
        (true, None, Some(to)) => format!("below {to:+.2}"),
        (true, Some(from), None) => format!("from {from:+.2}"),
        (true, Some(from), Some(to)) => format!("{from:+.2}..{to:+.2}"),
        _ => "never shown".to_owned(),
    }
}

fn measured(zone: &ZoneReport) -> String {
    if !zone.shown {
        return "-".to_owned();
    }
    let edges = [zone.lower, zone.upper].into_iter().flatten();
    let edges = edges.map(|edge| edge.measured_stops.map_or("none".to_owned(), |stops| format!("{stops:+.2}")));
    let full = 100.0 * zone.fullness.unwrap_or_default();
    let verdict = match (zone.held, zone.points_that_hold) {
        (Some(false), Some(points)) => format!(", needs {points} points"),
        (Some(false), None) => ", too narrow for a table".to_owned(),
        _ => String::new(),
    };
    format!("{}, colour {full:.0} %{verdict}", edges.collect::<Vec<_>>().join(".."))
}

/// How well the colours keep apart, and how far edges are off for colours.
fn apart(text: &mut String, report: &MapReport) {
    let least = |pick: fn(&lookwright::exposure_map::Separation) -> Option<f64>| -> String {
        let each =
            report.separations.visions.iter().filter_map(|one| Some(format!("{} {:.1}", one.vision, pick(one)?)));
        each.collect::<Vec<_>>().join(", ")
    };
    let _ = writeln!(text, "  neighbours   differ by ΔE2000 {} at least", least(|one| Some(one.neighbours)));
    let _ = writeln!(text, "  any two      differ by ΔE2000 {} at least", least(|one| Some(one.any_two)));
    let greys = least(|one| one.greys);
    if !greys.is_empty() {
        let _ = writeln!(text, "  picture      zones differ from its greys by ΔE2000 {greys} at least");
    }
    let _ = writeln!(
        text,
        "  in grey      each zone is {:.1} L* lighter than the one below",
        report.separations.grey_steps
    );
    let coloured = &report.coloured;
    if let Some((patch, zone)) = &coloured.worst {
        let lost = if coloured.lost > 0 { format!("; {} are missing", coloured.lost) } else { String::new() };
        let _ = writeln!(
            text,
            "  colours      chart patches meet {} edges {:.2} stops off in the mean, {:.2} at worst ({patch}, {zone}){lost}",
            coloured.found, coloured.mean_stops, coloured.worst_stops
        );
    }
}
