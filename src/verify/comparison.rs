//! Two looks on the same grey scale and patches, each a recipe or a file.
//!
//! Each side is seen through its own camera and on its own display: the same scene is recorded by both, and the colours are
//! held against each display's own white. What is compared is the picture, not the table.

use super::patches::PATCH_STOPS;
use super::{Cast, CurvePoint, Ends, View};
use crate::colour::chart::{CHART, Patch, SKINS};
use crate::colour::difference::{Lab, ciede2000};
use crate::colour::whites::DUV_PER_CC;
use crate::maths::{CODE10_MAX, Rgb, hypot, log2};
use crate::recipe::Recipe;
use crate::recipe::parameter::Default;
use crate::recipe::parameters::{PARAMETERS, is_of_the_look};
use crate::recipe::{Value, WrittenBand};
use serde::Serialize;

/// The grey scale is compared this many stops either way.
const GREY_STOPS: i32 = 8;

/// Patches 1 to 18 of the chart have a colour; the others are greys.
const COLOURED: usize = 18;

/// Differences below these are not told in words: a twentieth of a stop, a mired, a thirtieth of contrast, 2 % of
/// saturation, and half a thousandth of Duv. Common practice, no source: nobody sees them side by side.
const TOLD_STOPS: f64 = 0.05;
const TOLD_MIRED: f64 = 1.0;
const TOLD_DUV: f64 = 5e-4;
const TOLD_CONTRAST: f64 = 0.03;
const TOLD_SATURATION: f64 = 0.02;
/// A mean CIELAB chroma of the coloured patches below this is none: half of what is just to be seen.
const COLOURLESS: f64 = 0.5;
/// White is seen to move sooner than black, which is approached by ever smaller steps.
const TOLD_WHITE_STOPS: f64 = 0.25;
const TOLD_BLACK_STOPS: f64 = 1.0;

/// What two looks have in common and what not.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// Mean CIEDE2000 of the chart, −3..+3 stops.
    pub mean_de: f64,
    /// 95 % of the chart lie at or below this CIEDE2000.
    pub de_95: f64,
    /// Largest CIEDE2000 of the chart.
    pub max_de: f64,
    /// The patch where it is.
    pub worst: PatchPair,
    /// Largest CIEDE2000 of the skins, −3..+3 stops.
    pub skin_max_de: f64,
    /// The chart by exposure.
    pub by_stop: Vec<Summary>,
    /// The chart by patch, then the skins.
    pub by_patch: Vec<Summary>,
    /// Every patch at every exposure: the chart, then the skins.
    pub patches: Vec<PatchPair>,
    /// The grey scale in whole stops.
    pub grey: Vec<GreyPair>,
    /// The grey scale of the first finely, −8..+8 stops.
    pub curve_a: Vec<CurvePoint>,
    /// That of the second.
    pub curve_b: Vec<CurvePoint>,
    /// The first look in a few figures.
    pub a: Character,
    /// The second.
    pub b: Character,
    /// How the second differs from the first, in words.
    pub words: String,
}

/// A patch in both looks.
#[derive(Clone, Debug, Serialize)]
pub struct PatchPair {
    /// Name of the patch.
    pub name: &'static str,
    /// Stops over or under.
    pub stops: i32,
    /// CIELAB in the first look, against its display's white.
    pub lab_a: [f64; 3],
    /// CIELAB in the second.
    pub lab_b: [f64; 3],
    /// CIEDE2000 between both.
    pub de2000: f64,
}

/// Several patches together.
#[derive(Clone, Debug, Serialize)]
pub struct Summary {
    /// What they have in common: a patch's name, or stops.
    pub of: String,
    /// Mean CIEDE2000.
    pub mean_de: f64,
    /// 95 % lie at or below this CIEDE2000.
    pub de_95: f64,
    /// Largest CIEDE2000.
    pub max_de: f64,
    /// The patch where it is.
    pub worst_patch: &'static str,
    /// The stops where it is.
    pub worst_stops: i32,
}

/// A step of the grey scale in both looks.
#[derive(Clone, Debug, Serialize)]
pub struct GreyPair {
    /// Stops from grey.
    pub stops: f64,
    /// Display signal of the first look, 10-bit codes.
    pub codes_a: Rgb,
    /// Display signal of the second.
    pub codes_b: Rgb,
    /// CIEDE2000 between both.
    pub de2000: f64,
}

/// A look in a few figures.
#[derive(Clone, Debug, Serialize)]
pub struct Character {
    /// Mid-grey.
    pub grey: Cast,
    /// Contrast at grey, display stops per scene stop.
    pub contrast: Option<f64>,
    /// Where black ends and white begins.
    pub ends: Ends,
    /// Mean CIELAB chroma of the chart's coloured patches.
    pub chroma: f64,
    /// Light of display white, cd/m².
    pub peak_nits: f64,
    /// The same, where the display's encoding depends on it.
    #[serde(skip)]
    white_nits: Option<f64>,
}

/// Compares two looks.
#[must_use]
pub fn compare(a: &View<'_>, b: &View<'_>) -> Comparison {
    let chart = pairs(a, b, &CHART);
    let skins = pairs(a, b, &SKINS);
    let all = summary(String::new(), &chart.iter().collect::<Vec<_>>());
    let by = |of: String, points: &[PatchPair], which: &dyn Fn(&PatchPair) -> bool| {
        summary(of, &points.iter().filter(|point| which(point)).collect::<Vec<_>>())
    };
    let by_stop =
        (-PATCH_STOPS..=PATCH_STOPS).map(|stops| by(format!("{stops:+}"), &chart, &|point| point.stops == stops));
    let named = |patches: &'static [Patch], points: &[PatchPair]| -> Vec<Summary> {
        patches.iter().map(|patch| by(patch.name.to_owned(), points, &|point| point.name == patch.name)).collect()
    };
    let mut by_patch = named(&CHART, &chart);
    by_patch.extend(named(&SKINS, &skins));
    let (first, second) = (character(a, &chart, |point| point.lab_a), character(b, &chart, |point| point.lab_b));
    Comparison {
        mean_de: all.mean_de,
        de_95: all.de_95,
        max_de: all.max_de,
        worst: worst(&chart.iter().collect::<Vec<_>>()).clone(),
        skin_max_de: worst(&skins.iter().collect::<Vec<_>>()).de2000,
        by_stop: by_stop.collect(),
        by_patch,
        grey: grey(a, b),
        curve_a: a.curve(),
        curve_b: b.curve(),
        words: words(&first, &second),
        a: first,
        b: second,
        patches: chart.into_iter().chain(skins).collect(),
    }
}

fn pairs(a: &View<'_>, b: &View<'_>, patches: &'static [Patch]) -> Vec<PatchPair> {
    let mut pairs = Vec::with_capacity(patches.len() * 7);
    for patch in patches {
        for stops in -PATCH_STOPS..=PATCH_STOPS {
            let lab = |side: &View<'_>| side.lab(side.patch(patch, f64::from(stops)));
            let (lab_a, lab_b) = (lab(a), lab(b));
            let triple = |lab: Lab| [lab.l, lab.a, lab.b];
            let de2000 = ciede2000(lab_a, lab_b);
            pairs.push(PatchPair { name: patch.name, stops, lab_a: triple(lab_a), lab_b: triple(lab_b), de2000 });
        }
    }
    pairs
}

fn summary(of: String, points: &[&PatchPair]) -> Summary {
    let mut sorted: Vec<f64> = points.iter().map(|point| point.de2000).collect();
    sorted.sort_by(f64::total_cmp);
    let worst = worst(points);
    Summary {
        of,
        mean_de: sorted.iter().sum::<f64>() / sorted.len() as f64,
        de_95: sorted[(sorted.len() * 95).div_ceil(100) - 1],
        max_de: worst.de2000,
        worst_patch: worst.name,
        worst_stops: worst.stops,
    }
}

/// The worst of some patches, of which there is at least one; no number counts as the worst.
fn worst<'a>(points: &[&'a PatchPair]) -> &'a PatchPair {
    points
        .iter()
        .copied()
        .reduce(|most, point| if point.de2000 <= most.de2000 { most } else { point })
        .expect("patches")
}

fn grey(a: &View<'_>, b: &View<'_>) -> Vec<GreyPair> {
    (-GREY_STOPS..=GREY_STOPS)
        .map(|stops| {
            let stops = f64::from(stops);
            let (signal_a, signal_b) = (a.neutral(stops), b.neutral(stops));
            let codes = |signal: Rgb| signal.map(|value| value * CODE10_MAX);
            let de2000 = ciede2000(a.lab(signal_a), b.lab(signal_b));
            GreyPair { stops, codes_a: codes(signal_a), codes_b: codes(signal_b), de2000 }
        })
        .collect()
}

fn character(view: &View<'_>, chart: &[PatchPair], lab: impl Fn(&PatchPair) -> [f64; 3]) -> Character {
    let coloured = || chart.iter().filter(|point| point.stops == 0).take(COLOURED);
    let chroma = coloured().map(|point| hypot(lab(point)[1], lab(point)[2])).sum::<f64>() / COLOURED as f64;
    let target = view.display();
    let white_nits = target.encoding.needs_peak().then_some(target.peak_nits);
    Character {
        grey: view.cast(view.neutral(0.0)),
        contrast: view.contrast(),
        ends: view.ends(),
        chroma,
        peak_nits: target.peak_nits,
        white_nits,
    }
}

/// How the second look differs from the first.
fn words(a: &Character, b: &Character) -> String {
    let mut told = Vec::new();
    // Where a display's light is part of its encoding, light is compared, else what part of white it is.
    let of_light = a.white_nits.or(b.white_nits).is_some();
    let light = |of: &Character| if of_light { of.grey.light * of.peak_nits } else { of.grey.light };
    let brighter = log2(light(b) / light(a));
    if brighter.is_finite() && brighter.abs() >= TOLD_STOPS {
        let way = if brighter > 0.0 { "brighter" } else { "darker" };
        let nits = if of_light { format!(" ({:.1} against {:.1} cd/m²)", light(b), light(a)) } else { String::new() };
        let size = format!("{:.2}", brighter.abs());
        let unit = if brighter.abs() < 1.005 { "stop" } else { "stops" };
        told.push(format!("{size} {unit} {way} at grey{nits}"));
    }
    match (a.grey.light > 0.0, b.grey.light > 0.0) {
        (true, false) => told.push("black at grey".to_owned()),
        (false, true) => told.push("lit at grey, where A is black".to_owned()),
        _ => {}
    }
    if let (Some(from), Some(to)) = (a.grey.warmer_mired, b.grey.warmer_mired)
        && (to - from).abs() >= TOLD_MIRED
    {
        told.push(format!("{:.0} mired {}", (to - from).abs(), if to > from { "warmer" } else { "cooler" }));
    }
    if let (Some(from), Some(to)) = (a.grey.greener_duv, b.grey.greener_duv)
        && (to - from).abs() >= TOLD_DUV
    {
        let (size, way) = ((to - from).abs(), if to > from { "greener" } else { "more magenta" });
        told.push(format!("{size:.4} Duv ({:.1} CC) {way}", size / DUV_PER_CC));
    }
    match (a.contrast, b.contrast) {
        (Some(from), Some(to)) if (to - from).abs() >= TOLD_CONTRAST => {
            told.push(format!(
                "{} at grey (contrast {to:.2} against {from:.2})",
                if to > from { "harder" } else { "softer" }
            ));
        }
        _ => {}
    }
    let saturation = b.chroma / a.chroma - 1.0;
    let colourless = [a, b].map(|of| of.chroma < COLOURLESS);
    if colourless[0] != colourless[1] {
        told.push(if colourless[1] { "without colour".to_owned() } else { "in colour, where A has none".to_owned() });
    } else if !colourless[0] && saturation.abs() >= TOLD_SATURATION {
        told.push(format!(
            "{:.0} % {} saturated",
            100.0 * saturation.abs(),
            if saturation > 0.0 { "more" } else { "less" }
        ));
    }
    let mut sentence = match told.split_last() {
        None => "B is like A in brightness, cast, contrast and saturation".to_owned(),
        Some((last, [])) => format!("B is {last}"),
        Some((last, others)) => format!("B is {} and {last}", others.join(", ")),
    };
    for (name, from, to, least) in [
        ("white", a.ends.white_stops, b.ends.white_stops, TOLD_WHITE_STOPS),
        ("black", a.ends.black_stops, b.ends.black_stops, TOLD_BLACK_STOPS),
    ] {
        if let (Some(from), Some(to)) = (from, to)
            && (to - from).abs() >= least
        {
            sentence.push_str(&format!("; it reaches {name} at {to:+.1} stops, A at {from:+.1}"));
        }
    }
    sentence
}

/// A parameter of two recipes that differs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// Dotted path of the key.
    pub key: String,
    /// Its value in the first recipe, or what holds without one.
    pub a: String,
    /// Its value in the second.
    pub b: String,
}

/// The parameters in which two recipes differ, in the order of the language; names, notes and tolerances are no part of the
/// look. A key that is written in one and left to its default in the other differs only if the values do.
#[must_use]
pub fn differences(a: &Recipe, b: &Recipe) -> Vec<Difference> {
    let mut found = Vec::new();
    for parameter in PARAMETERS {
        let table = parameter.table();
        if matches!(table, "" | "colour.band") && parameter.path != "adaptation" || !is_of_the_look(table) {
            continue;
        }
        // The numbers that a file gave are compared themselves.
        if table == "grade" && parameter.needs_file() {
            continue;
        }
        let value = |recipe: &Recipe| {
            if table == "tone" && !recipe.has_table("tone") {
                return "no [tone]".to_owned();
            }
            recipe
                .get(parameter.path)
                .map_or_else(|| default(&parameter.default), |written| shown_value(&written.value))
        };
        let (value_a, value_b) = (value(a), value(b));
        if value_a != value_b {
            found.push(Difference { key: parameter.path.to_owned(), a: value_a, b: value_b });
        }
    }
    found.extend(band_differences(a.bands(), b.bands()));
    found
}

/// Bands are matched by name, unnamed ones by their place.
fn band_differences(a: &[WrittenBand], b: &[WrittenBand]) -> Vec<Difference> {
    let label = |index: usize, band: &WrittenBand| {
        if band.name().is_empty() {
            format!("colour.band {}", index + 1)
        } else {
            format!("colour.band \"{}\"", band.name())
        }
    };
    let labelled =
        |bands: &[WrittenBand]| bands.iter().enumerate().map(|(index, band)| label(index, band)).collect::<Vec<_>>();
    let (labels_a, labels_b) = (labelled(a), labelled(b));
    let mut found = Vec::new();
    for (name, in_a) in labels_a.iter().zip(a) {
        match labels_b.iter().position(|other| other == name) {
            None => found.push(Difference { key: name.clone(), a: "present".to_owned(), b: "none".to_owned() }),
            Some(place) => found.extend(band_keys(name, in_a, &b[place])),
        }
    }
    let new = labels_b.iter().filter(|name| !labels_a.contains(name));
    found.extend(new.map(|name| Difference { key: name.clone(), a: "none".to_owned(), b: "present".to_owned() }));
    found
}

fn band_keys(name: &str, a: &WrittenBand, b: &WrittenBand) -> Vec<Difference> {
    PARAMETERS
        .iter()
        .filter(|parameter| parameter.table() == "colour.band" && parameter.key() != "name")
        .filter_map(|parameter| {
            let value = |band: &WrittenBand| {
                band.keys.get(parameter.key()).map_or_else(|| default(&parameter.default), |w| shown_value(&w.value))
            };
            let (a, b) = (value(a), value(b));
            (a != b).then(|| Difference { key: format!("{name} {}", parameter.key()), a, b })
        })
        .collect()
}

fn default(default: &Default) -> String {
    match default {
        Default::Required | Default::Absent => "none".to_owned(),
        Default::Number(number) => format!("{number}"),
        Default::Integer(number) => format!("{number}"),
        Default::Text(text) => (*text).to_owned(),
        Default::Flag(flag) => format!("{flag}"),
        Default::Triple(each) => triple([*each; 3]),
        Default::Identity => matrix([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        Default::Zeros => matrix([[0.0; 3]; 3]),
    }
}

fn shown_value(value: &Value) -> String {
    match value {
        Value::Text(text) => text.clone(),
        Value::Number(number) => format!("{}", number + 0.0),
        Value::Integer(number) => format!("{number}"),
        Value::Flag(flag) => format!("{flag}"),
        Value::Triple(values) => triple(*values),
        Value::Matrix(rows) => matrix(*rows),
    }
}

fn triple([r, g, b]: Rgb) -> String {
    format!("[{}, {}, {}]", r + 0.0, g + 0.0, b + 0.0)
}

fn matrix(rows: [[f64; 3]; 3]) -> String {
    let rows = rows.map(triple);
    format!("[{}]", rows.join(", "))
}
