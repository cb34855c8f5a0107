//! Recipes to start from, and what must hold for any recipe.

use lookwright::compile::{Prepared, prepare};
use lookwright::diagnostics::Diagnostic;
use lookwright::exposure_map::ExposureMap;
use lookwright::lut::{Sampled, sample};
use lookwright::plan::Plan;
use lookwright::recipe;
use proptest::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};

/// Nodes a side of the table that every accepted recipe is sampled to: corners, black, white and a middle.
pub const SIZE: usize = 5;

/// A recipe in which every block acts.
pub const EVERYTHING: &str = r#"lookwright = 1
adaptation = "cat16"
[look]
name = "Everything"
note = "Night crossing, all blocks at work."
[camera]
encoding = "logc3"
gamut = "awg3"
exposure_index = 800
[trim]
stops = 0.1
matrix = [[0.9, 0.1, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
root = [[0.0, 0.0, 0.0], [0.02, 0.0, -0.02], [0.0, 0.0, 0.0]]
[exposure]
stops = -0.5
[diffusion]
grade = "1/4"
veil = 0.02
veil_level = 0.2
knee_stops = 1.5
softness_stops = 2.5
loss_stops = 0.3
bleach = 0.2
[white]
reference_kelvin = 4700
warmer_mired = 24
greener_cc = 3
[grade]
slope = [0.98, 1.0, 1.02]
offset = [0.01, 0.0, 0.0]
power = [1.0, 1.02, 1.0]
saturation = 1.05
[split]
shadows = { reference_kelvin = 5000, warmer_mired = -12, greener_cc = 1 }
highlights = { reference_kelvin = 5200, warmer_mired = 8, greener_duv = 0.001 }
balance_stops = 0.5
width_stops = 5
[tone]
contrast = 1.4
white_stops = 6.5
black_stops = 8.5
straight_up = 0.4
straight_down = 0.9
white_slope = 0.05
black_slope = 0.1
grey = 0.11
black = 0.0006
hue_hold = 0.2
[colour]
saturation = 0.95
[[colour.band]]
name = "sea"
centre_deg = 230
width_deg = 50
shift_deg = -8
saturation = 0.85
lightness = 1.05
[gamut]
input_compress = true
output_compress = true
threshold = 0.85
power = 1.3
[display]
encoding = "pq"
gamut = "p3-d65"
peak_nits = 600
[lut]
size = 17
interpolation = "tetrahedral"
input_levels = "full"
output_levels = "full"
[verify]
grey_neutral_codes = 1.0
grey_codes = 4.0
grey_de = 1.0
patch_mean_de = 0.5
patch_max_de = 2.0
[map]
zero_stops = 0.3
noise_stops = -7
clip_signal = 0.93
dim = 0.4
[[map.band]]
name = "deck"
from_stops = -1
to_stops = 1.5
"#;

/// A folder with one recipe in it.
pub struct Written {
    _folder: tempfile::TempDir,
    /// The recipe.
    pub path: PathBuf,
}

/// Writes bytes as a recipe.
pub fn written(bytes: &[u8]) -> Written {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("look.toml");
    fs::write(&path, bytes).expect("the folder can be written");
    Written { _folder: folder, path }
}

/// The plan of a text that must be right.
pub fn plan(text: &str, overrides: &[&str]) -> Plan {
    let file = written(text.as_bytes());
    let overrides: Vec<String> = overrides.iter().map(|text| (*text).to_owned()).collect();
    let told = |faults: Vec<Diagnostic>| -> ! {
        panic!("{:?} in\n{text}", faults.iter().map(|fault| &fault.message).collect::<Vec<_>>())
    };
    let loaded = recipe::load(&file.path, &overrides).unwrap_or_else(|faults| told(faults));
    loaded.recipe.resolve().unwrap_or_else(|faults| told(faults)).0
}

/// Refusals say what is wrong: at least one error; every message is there, every place lies in its text.
pub fn check_refusal(faults: &[Diagnostic]) -> Result<(), TestCaseError> {
    prop_assert!(faults.iter().any(Diagnostic::is_error), "refused without an error");
    for fault in faults {
        prop_assert!(!fault.message.is_empty(), "{} without a message", fault.code.id);
        let remedy = !fault.help.is_empty() || fault.label.contains("expected");
        prop_assert!(!fault.is_error() || remedy, "{}: no remedy: {}", fault.code.id, fault.message);
        if let Some(span) = &fault.span {
            let text = &span.source.text;
            let (start, end) = (span.range.start, span.range.end);
            prop_assert!(start <= end && end <= text.len(), "{}: {start}..{end} of {}", fault.code.id, text.len());
            prop_assert!(
                text.is_char_boundary(start) && text.is_char_boundary(end),
                "{}: inside a letter",
                fault.code.id
            );
        }
    }
    Ok(())
}

/// Every node of a table is finite and within 0..1, unless the sampler says that a grade went to infinity.
pub fn check_table(sampled: &Sampled) -> Result<(), TestCaseError> {
    if sampled.clips.not_finite > 0 {
        return Ok(());
    }
    for (index, node) in sampled.table.nodes().iter().enumerate() {
        let inside = node.iter().all(|value| (0.0..=1.0).contains(value));
        prop_assert!(inside, "node {index} of a {SIZE}-point table is {node:?}");
    }
    Ok(())
}

/// The exposure map of any recipe: finite, and in the range of a signal.
fn check_map(prepared: &Prepared) -> Result<(), TestCaseError> {
    let (map, _) = ExposureMap::new(&prepared.plan, &prepared.recipe.map().0);
    let table = map.sample(SIZE);
    let wrong = table.nodes().iter().flatten().find(|value| !(0.0..=1.0).contains(*value));
    prop_assert!(wrong.is_none(), "a node of the map holds {:?}", wrong);
    Ok(())
}

/// What must hold for any recipe: it is refused with reasons, or it builds and gives a table.
pub fn check_recipe(path: &Path, overrides: &[String]) -> Result<(), TestCaseError> {
    match prepare(path, overrides) {
        Ok(prepared) => {
            prop_assert!(!prepared.warnings.iter().any(Diagnostic::is_error), "an error among the warnings");
            prop_assert_eq!(prepared.plan.fingerprint().len(), 64);
            check_map(&prepared)?;
            check_table(&sample(&prepared.pipeline, SIZE))
        }
        Err(faults) => check_refusal(&faults),
    }
}
