//! The recipe language: every key, declared once; its tables stand beside them, in `tables.rs`, and are found here too.
//!
//! The checks, `docs/recipe.md`, the JSON Schema for editors and the commented recipe that `new` writes come from the
//! two. Ranges and defaults: `docs/look-maths.md`.

pub use super::tables::{LISTS, List, TABLES, Table, find_list, find_table};

use super::parameter::{Bound, Choice, Default, Kind, Parameter};
use crate::plan::Tint;

const fn number(min: f64, max: f64) -> Kind {
    Kind::Number { min, max: Bound::Value(max) }
}

const fn parameter(
    path: &'static str,
    kind: Kind,
    default: Default,
    unit: &'static str,
    help: &'static str,
    example: &'static str,
) -> Parameter {
    Parameter { path, kind, default, unit, help, example, excludes: None }
}

const fn exclusive(parameter: Parameter, other: &'static str) -> Parameter {
    Parameter { excludes: Some(other), ..parameter }
}

const fn kelvin(path: &'static str, default: Default, help: &'static str, example: &'static str) -> Parameter {
    parameter(path, number(1667.0, 25000.0), default, "K", help, example)
}

const fn warmer_mired(path: &'static str, help: &'static str, example: &'static str) -> Parameter {
    parameter(path, number(-Tint::MOST_MIRED, Tint::MOST_MIRED), Default::Number(0.0), "mired", help, example)
}

const fn greener_cc(path: &'static str, help: &'static str) -> Parameter {
    exclusive(parameter(path, number(-75.0, 75.0), Default::Number(0.0), "CC", help, "3"), "greener_duv")
}

const fn greener_duv(path: &'static str, help: &'static str) -> Parameter {
    exclusive(
        parameter(path, number(-Tint::MOST_DUV, Tint::MOST_DUV), Default::Number(0.0), "Duv", help, "0.002"),
        "greener_cc",
    )
}

const WARMER: &str = "Shift of the white; positive warms, negative cools";
const GREENER_CC: &str =
    "Green (positive) or magenta (negative) in the trade's CC units; 30 CC is a full plus-green, about 0.020 Duv";
const GREENER_DUV: &str = "The same as a distance from the Planckian locus in CIE 1960 (u, v); positive is greener";

/// All keys, in the order of the tables.
pub static PARAMETERS: &[Parameter] = &[
    parameter("lookwright", Kind::Version, Default::Required, "", "Version of the recipe language", "1"),
    parameter(
        "adaptation",
        Kind::Choice(Choice::Adaptation),
        Default::Text("bradford"),
        "",
        "Cone space of every chromatic adaptation",
        "\"bradford\"",
    ),
    parameter(
        "look.name",
        Kind::Text,
        Default::Required,
        "",
        "Name of the look; the file is named after it",
        "\"Quayside warm\"",
    ),
    parameter(
        "look.note",
        Kind::Text,
        Default::Text(""),
        "",
        "What the look is for, in your words",
        "\"Dusk on the ferry deck; sodium glow, clean shadows.\"",
    ),
    parameter(
        "look.extends",
        Kind::Path,
        Default::Absent,
        "",
        "Another recipe to start from; tables merge key by key, this file wins",
        "\"base.toml\"",
    ),
    parameter(
        "camera.encoding",
        Kind::Choice(Choice::Encoding),
        Default::Required,
        "",
        "Log curve that the camera records; `lookwright encodings` lists them",
        "\"s-log3\"",
    ),
    parameter(
        "camera.gamut",
        Kind::Choice(Choice::Gamut),
        Default::Required,
        "",
        "Colour gamut that the camera records; `lookwright encodings` lists them",
        "\"s-gamut3.cine\"",
    ),
    parameter(
        "camera.exposure_index",
        Kind::Integer { min: 1, max: 1_000_000 },
        Default::Absent,
        "EI",
        "Exposure index, required for encodings whose curve depends on it",
        "800",
    ),
    parameter("trim.stops", number(-6.0, 6.0), Default::Number(0.0), "stops", "Gain of the trim", "0.1"),
    parameter(
        "trim.matrix",
        Kind::Matrix { limit: 16.0 },
        Default::Identity,
        "",
        "Linear part, on ACEScg; each row together with that of `root` sums to 1",
        "[[1, 0, 0], [0, 1, 0], [0, 0, 1]]",
    ),
    parameter(
        "trim.root",
        Kind::Matrix { limit: 16.0 },
        Default::Zeros,
        "",
        "Root-polynomial part, for √(rg), √(rb), √(gb)",
        "[[0, 0, 0], [0, 0, 0], [0, 0, 0]]",
    ),
    parameter(
        "exposure.stops",
        number(-10.0, 10.0),
        Default::Number(0.0),
        "stops",
        "Exposure offset; positive is brighter",
        "-0.5",
    ),
    parameter(
        "diffusion.grade",
        Kind::Choice(Choice::DiffusionGrade),
        Default::Absent,
        "",
        "A preset by the trade's grades; the numbers are this project's own starting points",
        "\"1/4\"",
    ),
    parameter(
        "diffusion.veil",
        number(0.0, 0.5),
        Default::Number(0.0),
        "",
        "Share of the light that becomes a veil over the whole frame",
        "0.012",
    ),
    parameter(
        "diffusion.veil_level",
        number(0.0, 10.0),
        Default::Number(0.18),
        "",
        "Scene light that the veil carries; 0.18 is grey",
        "0.18",
    ),
    parameter(
        "diffusion.knee_stops",
        number(-2.0, 8.0),
        Default::Number(2.0),
        "stops",
        "Where highlights begin to change, above grey",
        "2.0",
    ),
    parameter(
        "diffusion.softness_stops",
        number(0.1, 6.0),
        Default::Number(2.0),
        "stops",
        "How softly they begin",
        "2.0",
    ),
    parameter(
        "diffusion.loss_stops",
        Kind::Number { min: 0.0, max: Bound::Parameter("softness_stops") },
        Default::Number(0.0),
        "stops",
        "The most light that a highlight gives away",
        "0.25",
    ),
    parameter(
        "diffusion.bleach",
        number(0.0, 1.0),
        Default::Number(0.0),
        "",
        "How much of its colour a highlight gives away",
        "0.1",
    ),
    kelvin(
        "white.reference_kelvin",
        Default::Number(5600.0),
        "Colour temperature that the shift is seen from: the camera's balance",
        "4700",
    ),
    warmer_mired("white.warmer_mired", WARMER, "24"),
    greener_cc("white.greener_cc", GREENER_CC),
    greener_duv("white.greener_duv", GREENER_DUV),
    parameter(
        "grade.from",
        Kind::Path,
        Default::Absent,
        "",
        "A correction from post, `.cc`, `.ccc`, `.cdl` or `.edl`, made in ACEScct: its numbers hold where none are written beside it",
        "\"from-post.cc\"",
    ),
    parameter(
        "grade.from_id",
        Kind::Text,
        Default::Absent,
        "",
        "Which correction of that file, where it holds several: its id, or of an EDL the event's number or clip",
        "\"TW_012_0030\"",
    ),
    parameter(
        "grade.slope",
        Kind::Triple { min: 0.0, max: 4.0 },
        Default::Triple(1.0),
        "",
        "Slope for red, green and blue",
        "[1.0, 1.0, 1.0]",
    ),
    parameter(
        "grade.offset",
        Kind::Triple { min: -1.0, max: 1.0 },
        Default::Triple(0.0),
        "",
        "Offset for red, green and blue",
        "[0.0, 0.0, 0.0]",
    ),
    parameter(
        "grade.power",
        Kind::Triple { min: 0.1, max: 4.0 },
        Default::Triple(1.0),
        "",
        "Power for red, green and blue",
        "[1.0, 1.0, 1.0]",
    ),
    parameter("grade.saturation", number(0.0, 4.0), Default::Number(1.0), "", "Saturation about luma", "1.0"),
    parameter(
        "split.balance_stops",
        number(-6.0, 6.0),
        Default::Number(0.0),
        "stops",
        "Where both tints meet in equal parts, from grey",
        "0",
    ),
    parameter(
        "split.width_stops",
        number(0.5, 20.0),
        Default::Number(6.0),
        "stops",
        "Width of the passage from one to the other",
        "6",
    ),
    kelvin("split.shadows.reference_kelvin", Default::Absent, "As in [white]; absent, that of [white] holds", "5600"),
    warmer_mired("split.shadows.warmer_mired", WARMER, "-12"),
    greener_cc("split.shadows.greener_cc", GREENER_CC),
    greener_duv("split.shadows.greener_duv", GREENER_DUV),
    kelvin(
        "split.highlights.reference_kelvin",
        Default::Absent,
        "As in [white]; absent, that of [white] holds",
        "5600",
    ),
    warmer_mired("split.highlights.warmer_mired", WARMER, "8"),
    greener_cc("split.highlights.greener_cc", GREENER_CC),
    greener_duv("split.highlights.greener_duv", GREENER_DUV),
    parameter(
        "tone.contrast",
        number(0.3, 4.0),
        Default::Number(1.35),
        "display stops per scene stop",
        "Slope of the straight line",
        "1.35",
    ),
    parameter(
        "tone.white_stops",
        number(1.0, 12.0),
        Default::Number(6.0),
        "stops",
        "Scene stops from grey to display white",
        "6",
    ),
    parameter(
        "tone.black_stops",
        number(2.0, 14.0),
        Default::Number(8.0),
        "stops",
        "Scene stops from grey down to display black",
        "8",
    ),
    parameter(
        "tone.straight_up",
        Kind::Number { min: 0.0, max: Bound::Open },
        Default::Number(0.5),
        "stops",
        "Length of the straight line above grey, before the shoulder",
        "0.5",
    ),
    parameter(
        "tone.straight_down",
        Kind::Number { min: 0.0, max: Bound::Open },
        Default::Number(1.0),
        "stops",
        "Length of the straight line below grey, before the toe",
        "1.0",
    ),
    parameter(
        "tone.white_slope",
        Kind::Number { min: 0.0, max: Bound::Parameter("contrast") },
        Default::Number(0.0),
        "display stops per scene stop",
        "Slope left where white is reached; 0 is flat",
        "0.0",
    ),
    parameter(
        "tone.black_slope",
        Kind::Number { min: 0.0, max: Bound::Parameter("contrast") },
        Default::Number(0.0),
        "display stops per scene stop",
        "Slope left where black is reached; 0 is flat",
        "0.0",
    ),
    exclusive(
        parameter(
            "tone.grey",
            number(0.0005, 0.5),
            Default::Number(0.10),
            "",
            "Display-linear level of 18 % grey; 1 is display white",
            "0.10",
        ),
        "grey_nits",
    ),
    exclusive(
        parameter(
            "tone.grey_nits",
            number(0.024, 5000.0),
            Default::Absent,
            "nits",
            "The same as a luminance; display white is `display.peak_nits`",
            "10",
        ),
        "grey",
    ),
    parameter(
        "tone.black",
        number(1e-6, 0.01),
        Default::Number(0.0005),
        "",
        "Display-linear level that is called black in the log domain; below grey",
        "0.0005",
    ),
    parameter(
        "tone.hue_hold",
        number(0.0, 1.0),
        Default::Number(0.0),
        "",
        "How far hues are held where the curve bends; 0 is per channel",
        "0.0",
    ),
    parameter("colour.saturation", number(0.0, 3.0), Default::Number(1.0), "", "Chroma factor of all colours", "1.05"),
    parameter(
        "colour.band.name",
        Kind::Text,
        Default::Text(""),
        "",
        "Name; a recipe that extends this one changes the band by it",
        "\"sea\"",
    ),
    parameter(
        "colour.band.centre_deg",
        number(0.0, 360.0),
        Default::Required,
        "degrees",
        "Oklab hue of the centre: about 29 red, 55 skin, 110 yellow, 142 green, 195 cyan, 264 blue, 328 magenta",
        "230",
    ),
    parameter(
        "colour.band.width_deg",
        number(1.0, 180.0),
        Default::Required,
        "degrees",
        "Half-width; the band has ended there",
        "50",
    ),
    parameter(
        "colour.band.shift_deg",
        number(-90.0, 90.0),
        Default::Number(0.0),
        "degrees",
        "Turn of the hue at the centre",
        "-8",
    ),
    parameter(
        "colour.band.saturation",
        number(0.0, 3.0),
        Default::Number(1.0),
        "",
        "Chroma factor at the centre",
        "0.85",
    ),
    parameter(
        "colour.band.lightness",
        number(0.5, 2.0),
        Default::Number(1.0),
        "",
        "Lightness factor at the centre; greys keep theirs",
        "1.0",
    ),
    parameter(
        "gamut.input_compress",
        Kind::Flag,
        Default::Flag(true),
        "",
        "Compress colours outside AP1 on the scene side (ACES Reference Gamut Compression)",
        "true",
    ),
    parameter(
        "gamut.output_compress",
        Kind::Flag,
        Default::Flag(true),
        "",
        "Compress colours into the display gamut before anything is clipped",
        "true",
    ),
    parameter(
        "gamut.threshold",
        number(0.0, 0.99),
        Default::Number(0.9),
        "",
        "Share of the way to the display gamut's edge that stays untouched",
        "0.9",
    ),
    parameter("gamut.power", number(1.0, 5.0), Default::Number(1.2), "", "Sharpness of that compression's bend", "1.2"),
    parameter(
        "display.encoding",
        Kind::Choice(Choice::DisplayEncoding),
        Default::Text("bt1886"),
        "",
        "Encoding that the display expects",
        "\"bt1886\"",
    ),
    parameter(
        "display.gamut",
        Kind::Choice(Choice::DisplayGamut),
        Default::Text("bt709"),
        "",
        "Primaries and white of the display",
        "\"bt709\"",
    ),
    parameter(
        "display.peak_nits",
        number(48.0, 10_000.0),
        Default::Number(100.0),
        "nits",
        "Luminance of display white; required for pq and hlg",
        "100",
    ),
    parameter(
        "after.cube",
        Kind::Path,
        Default::Absent,
        "",
        "The cube file, 1D, 3D or both in one; its numbers are part of the look, its name is not",
        "\"from-post.cube\"",
    ),
    parameter(
        "after.domain",
        Kind::Choice(Choice::AfterDomain),
        Default::Absent,
        "",
        "What the cube takes and gives, required with one: the signal of the display that [display] describes",
        "\"display\"",
    ),
    parameter(
        "after.interpolation",
        Kind::Choice(Choice::Interpolation),
        Default::Text("tetrahedral"),
        "",
        "How the cube is read between its points",
        "\"tetrahedral\"",
    ),
    parameter(
        "after.input_levels",
        Kind::Choice(Choice::Levels),
        Default::Text("full"),
        "",
        "What the cube was made for: full if 0..1 is the whole signal, legal if it takes codes 64..940 for it",
        "\"full\"",
    ),
    parameter(
        "after.output_levels",
        Kind::Choice(Choice::Levels),
        Default::Text("full"),
        "",
        "The same of what it gives",
        "\"full\"",
    ),
    parameter("lut.size", Kind::Integer { min: 2, max: 129 }, Default::Integer(33), "points", "Points a side", "33"),
    parameter(
        "lut.interpolation",
        Kind::Choice(Choice::Interpolation),
        Default::Text("tetrahedral"),
        "",
        "How the device reads between points",
        "\"tetrahedral\"",
    ),
    parameter(
        "lut.input_levels",
        Kind::Choice(Choice::Levels),
        Default::Text("full"),
        "",
        "What the device feeds to its LUT stage: full if the raw codes 0..1023, legal if it scales 64..940 to 0..1 before",
        "\"full\"",
    ),
    parameter(
        "lut.output_levels",
        Kind::Choice(Choice::Levels),
        Default::Text("full"),
        "",
        "What the device takes the LUT's output for: full if 0..1 is the whole picture (most monitors), legal if it expects codes 64..940",
        "\"full\"",
    ),
    parameter(
        "verify.grey_neutral_codes",
        number(0.0, 1023.0),
        Default::Number(1.0),
        "10-bit codes",
        "Neutrality of the grey scale, or distance from the cast that the recipe asks for",
        "1.0",
    ),
    parameter(
        "verify.grey_codes",
        number(0.0, 1023.0),
        Default::Number(4.0),
        "10-bit codes",
        "Grey scale of the written file against the exact look, −5..+5 stops",
        "4.0",
    ),
    parameter(
        "verify.grey_de",
        number(0.0, 100.0),
        Default::Number(1.0),
        "CIEDE2000",
        "Grey scale, −8..+8 stops",
        "1.0",
    ),
    parameter(
        "verify.patch_mean_de",
        number(0.0, 100.0),
        Default::Number(0.5),
        "CIEDE2000",
        "Mean of the chart patches at −3..+3 stops",
        "0.5",
    ),
    parameter(
        "verify.patch_max_de",
        number(0.0, 100.0),
        Default::Number(2.0),
        "CIEDE2000",
        "Worst of the chart patches at −3..+3 stops",
        "2.0",
    ),
    parameter(
        "map.zero_stops",
        number(-4.0, 4.0),
        Default::Number(0.0),
        "stops",
        "Where the bands count from, in stops from grey; 1 for a camera that is overexposed by a stop on purpose",
        "0",
    ),
    parameter(
        "map.noise_stops",
        number(-16.0, 0.0),
        Default::Absent,
        "stops",
        "Where the noise floor ends, in stops from grey; absent, where a 10-bit code is worth more than a tenth of a stop",
        "-6",
    ),
    parameter(
        "map.clip_signal",
        number(0.5, 1.0),
        Default::Number(1.0),
        "",
        "Camera signal at which this camera clips in truth; 1 is the end of the encoding's range",
        "0.92",
    ),
    parameter(
        "map.dim",
        number(0.0, 1.0),
        Default::Number(0.35),
        "",
        "Display light of the picture outside the bands, as a part of its own",
        "0.35",
    ),
    parameter(
        "map.band.name",
        Kind::Text,
        Default::Required,
        "",
        "Name; a recipe that extends this one changes the band by it",
        "\"skin\"",
    ),
    parameter(
        "map.band.from_stops",
        number(-16.0, 16.0),
        Default::Required,
        "stops",
        "Where the band begins, in stops from the map's zero",
        "0.7",
    ),
    parameter("map.band.to_stops", number(-16.0, 16.0), Default::Required, "stops", "Where it ends", "1.3"),
];

/// The declaration of a dotted path.
#[must_use]
pub fn find(path: &str) -> Option<&'static Parameter> {
    PARAMETERS.iter().find(|parameter| parameter.path == path)
}

/// Whether the keys of a table are part of the look: not its name and note, nor tolerances, nor the exposure map.
#[must_use]
pub fn is_of_the_look(table: &str) -> bool {
    !matches!(table, "look" | "verify" | "map" | "map.band")
}

/// The keys of a table, in order.
pub fn keys_of(table: &str) -> impl Iterator<Item = &'static Parameter> + '_ {
    PARAMETERS.iter().filter(move |parameter| parameter.table() == table)
}
