//! The language of shows: every table and every key, declared once.
//!
//! What a key of a camera or monitor means is declared by the recipe language already; here stands only where it is found.

use crate::recipe::parameter::{Bound, Choice, Default, Kind, Parameter};
use crate::recipe::parameters;

/// A table of a show.
#[derive(Debug)]
pub struct Table {
    /// Dotted path, such as `monitor.file`.
    pub path: &'static str,
    /// How it is written.
    pub written: &'static str,
    /// What it is for, in one sentence.
    pub help: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

/// One key of a table.
#[derive(Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What stands behind it.
    pub shape: Shape,
}

/// What stands behind a key.
#[derive(Debug)]
pub enum Shape {
    /// One value.
    Value(Parameter),
    /// One value that the recipe language declares, with the path that the key has in a show and the one that it has there.
    Recipe(&'static str, &'static str),
    /// A list of ids, with one line of help and an example.
    Ids(&'static str, &'static str),
    /// A list of whole numbers from `min` to `max`, with one line of help and an example.
    Sizes(&'static str, &'static str),
    /// A list of texts, with one line of help and an example.
    Texts(&'static str, &'static str),
    /// A list of `key=value` texts, as after `--set`.
    Settings(&'static str, &'static str),
    /// A table of its own, by its path.
    Table(&'static str),
    /// A list of tables, by the path of one.
    Tables(&'static str),
    /// A list of filters: names, or tables.
    Filters(&'static str, &'static str),
}

impl Key {
    /// The declaration of a single value; `None` for lists and tables.
    #[must_use]
    pub fn parameter(&self) -> Option<Parameter> {
        match &self.shape {
            Shape::Value(parameter) => Some(parameter.clone()),
            Shape::Recipe(path, declared) => {
                let parameter = parameters::find(declared)?;
                Some(Parameter { path, excludes: None, ..parameter.clone() })
            }
            _ => None,
        }
    }

    /// Whether the key must be written.
    #[must_use]
    pub fn is_required(&self) -> bool {
        self.parameter().is_some_and(|parameter| parameter.default == Default::Required)
    }
}

/// The table at a path.
#[must_use]
pub fn table(path: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.path == path)
}

const fn key(name: &'static str, shape: Shape) -> Key {
    Key { name, shape }
}

const fn value(
    name: &'static str,
    path: &'static str,
    kind: Kind,
    default: Default,
    unit: &'static str,
    help: &'static str,
    example: &'static str,
) -> Key {
    key(name, Shape::Value(Parameter { path, kind, default, unit, help, example, excludes: None }))
}

const fn text(
    name: &'static str,
    path: &'static str,
    default: Default,
    help: &'static str,
    example: &'static str,
) -> Key {
    value(name, path, Kind::Text, default, "", help, example)
}

const fn number(
    name: &'static str,
    path: &'static str,
    (min, max): (f64, f64),
    default: Default,
    unit: &'static str,
    help: &'static str,
    example: &'static str,
) -> Key {
    value(name, path, Kind::Number { min, max: Bound::Value(max) }, default, unit, help, example)
}

const fn shared(name: &'static str, path: &'static str, declared: &'static str) -> Key {
    key(name, Shape::Recipe(path, declared))
}

/// Sets of characters, as [`super::Charset::ALL`] has them.
const CHARSET: Choice =
    Choice::Other("set of characters", &["mixed", "upper", "lower", "upper-plain", "lower-plain", "digits"]);
const NEWLINE: Choice = Choice::Other("line end", &["lf", "crlf"]);
/// Receptors of incident meters, as [`crate::light::exposure::Receptor::ALL`] has them.
const RECEPTOR: Choice = Choice::Other("receptor", &["flat", "dome"]);
/// Kinds of light, as [`crate::light::LightSource::ALL`] has them.
const LIGHT_SOURCE: Choice = Choice::Other("source of light", &["planckian", "daylight", "led"]);

const ID: &str = "Short name: letters, digits, hyphens and underscores, up to 32; it becomes part of file names";
const KELVIN: (f64, f64) = (1667.0, 25000.0);
const DUV: (f64, f64) = (-0.05, 0.05);

/// All tables, in the order of the reference page.
pub static TABLES: &[Table] = &[
    Table {
        path: "",
        written: "Top level",
        help: "",
        keys: &[
            shared("lookwright", "lookwright", "lookwright"),
            key("show", Shape::Table("show")),
            key("consistency", Shape::Table("consistency")),
            key("camera", Shape::Tables("camera")),
            key("monitor", Shape::Tables("monitor")),
            key("look", Shape::Tables("look")),
            key("filter", Shape::Tables("filter")),
            key("setup", Shape::Tables("setup")),
            key("version", Shape::Tables("version")),
        ],
    },
    Table {
        path: "show",
        written: "[show]",
        help: "What the production is called.",
        keys: &[
            text(
                "name",
                "show.name",
                Default::Required,
                "Name of the production; the folder of its files is named after it",
                "\"Tidewater\"",
            ),
            number(
                "frame_rate",
                "show.frame_rate",
                (1.0, 1000.0),
                Default::Number(24.0),
                "fps",
                "Frame rate of the production",
                "24",
            ),
            text("note", "show.note", Default::Text(""), "Free text", "\"Second unit from week two.\""),
        ],
    },
    Table {
        path: "consistency",
        written: "[consistency]",
        help: "Tolerances of the proof that all cameras and monitors show one picture: CIEDE2000 between two cameras on one monitor, and between two monitors for one camera.",
        keys: &[
            number(
                "mean_de",
                "consistency.mean_de",
                (0.0, 100.0),
                Default::Number(0.5),
                "ΔE2000",
                "Mean of all patches, skins and greys",
                "0.5",
            ),
            number(
                "p95_de",
                "consistency.p95_de",
                (0.0, 100.0),
                Default::Number(1.5),
                "ΔE2000",
                "Nineteen of twenty lie below it",
                "1.5",
            ),
            number(
                "max_de",
                "consistency.max_de",
                (0.0, 100.0),
                Default::Number(3.0),
                "ΔE2000",
                "The worst one",
                "3.0",
            ),
        ],
    },
    Table {
        path: "camera",
        written: "[[camera]]",
        help: "A camera of the show: what it records. The keys mean what they mean in `[camera]` of a recipe.",
        keys: &[
            text("id", "camera.id", Default::Required, ID, "\"a\""),
            shared("encoding", "camera.encoding", "camera.encoding"),
            shared("gamut", "camera.gamut", "camera.gamut"),
            shared("exposure_index", "camera.exposure_index", "camera.exposure_index"),
            value(
                "trim",
                "camera.trim",
                Kind::Path,
                Default::Absent,
                "",
                "A file with a `[trim]` table that brings this camera to the others; relative to the show",
                "\"trims/b.toml\"",
            ),
            text("note", "camera.note", Default::Text(""), "Free text", "\"handheld\""),
        ],
    },
    Table {
        path: "monitor",
        written: "[[monitor]]",
        help: "A monitor, or any device that applies the LUT: what it shows and what it accepts. The keys mean what they mean in `[display]` and `[lut]` of a recipe.",
        keys: &[
            text("id", "monitor.id", Default::Required, ID, "\"onboard\""),
            shared("encoding", "monitor.encoding", "display.encoding"),
            shared("gamut", "monitor.gamut", "display.gamut"),
            shared("peak_nits", "monitor.peak_nits", "display.peak_nits"),
            shared("size", "monitor.size", "lut.size"),
            shared("interpolation", "monitor.interpolation", "lut.interpolation"),
            shared("input_levels", "monitor.input_levels", "lut.input_levels"),
            shared("output_levels", "monitor.output_levels", "lut.output_levels"),
            value(
                "slots",
                "monitor.slots",
                Kind::Integer { min: 1, max: 1000 },
                Default::Absent,
                "",
                "How many LUTs the device holds at once; without it, as many as there are",
                "8",
            ),
            key("file", Shape::Table("monitor.file")),
            text("note", "monitor.note", Default::Text(""), "Free text", "\"on the A camera\""),
        ],
    },
    Table {
        path: "monitor.file",
        written: "file = { … } in [[monitor]]",
        help: "What the device accepts as a file. Device manuals say it; the defaults are what nearly all accept (common practice, no source).",
        keys: &[
            value(
                "name_max",
                "monitor.file.name_max",
                Kind::Integer { min: 1, max: 200 },
                Default::Integer(20),
                "characters",
                "Longest name, without the ending `.cube`",
                "24",
            ),
            value(
                "charset",
                "monitor.file.charset",
                Kind::Choice(CHARSET),
                Default::Text("mixed"),
                "",
                "Characters of a name: `mixed` letters of both cases, digits, underscores; `upper` and `lower` one case of them; `upper-plain` and `lower-plain` without underscores; `digits` only",
                "\"upper\"",
            ),
            text(
                "name",
                "monitor.file.name",
                Default::Absent,
                "The one name that the device loads, where it knows only one: each file then has a folder of its own",
                "\"VIEW.cube\"",
            ),
            value(
                "newline",
                "monitor.file.newline",
                Kind::Choice(NEWLINE),
                Default::Text("lf"),
                "",
                "What ends a line: `lf` as the format has it, or `crlf`",
                "\"lf\"",
            ),
            value(
                "comments",
                "monitor.file.comments",
                Kind::Flag,
                Default::Flag(true),
                "",
                "Whether the device accepts comment lines; without them a file does not say what it is",
                "true",
            ),
            key(
                "sizes",
                Shape::Sizes("Points a side that the device accepts; the nearest to `size` is taken", "[17, 33]"),
            ),
        ],
    },
    Table {
        path: "look",
        written: "[[look]]",
        help: "A look of the show: a recipe, and variants of it. What the recipe says about camera, display and device is left aside; the show says it.",
        keys: &[
            text("id", "look.id", Default::Required, ID, "\"warm\""),
            value(
                "recipe",
                "look.recipe",
                Kind::Path,
                Default::Required,
                "",
                "The recipe, relative to the show",
                "\"quayside-warm.toml\"",
            ),
            key("variants", Shape::Tables("look.variants")),
            key("cameras", Shape::Ids("The cameras that the look is for; without it, all", "[\"a\", \"b\"]")),
            key("monitors", Shape::Ids("The monitors that the look is for; without it, all", "[\"onboard\"]")),
            text("note", "look.note", Default::Text(""), "Free text", "\"act two\""),
        ],
    },
    Table {
        path: "look.variants",
        written: "variants = [{ … }] in [[look]]",
        help: "The look, changed in one or more of three ways.",
        keys: &[
            text("id", "look.variants.id", Default::Required, ID, "\"p1\""),
            number(
                "exposure_stops",
                "look.variants.exposure_stops",
                (-10.0, 10.0),
                Default::Number(0.0),
                "stops",
                "Added to `[exposure]`: +1 for a camera that is rated a stop higher and records a stop less",
                "1.0",
            ),
            number(
                "strength",
                "look.variants.strength",
                (0.0, 1.5),
                Default::Number(1.0),
                "",
                "Share of the look, mixed with the plain conversion; 0 is the plain conversion",
                "0.5",
            ),
            value(
                "monochrome",
                "look.variants.monochrome",
                Kind::Flag,
                Default::Flag(false),
                "",
                "The luminance of the picture alone, for judging contrast",
                "true",
            ),
        ],
    },
    Table {
        path: "filter",
        written: "[[filter]]",
        help: "A filter of the show's own, measured or from its maker's data; it can be named in the lights of setups.",
        keys: &[
            text("name", "filter.name", Default::Required, "Name of the filter", "\"house amber\""),
            number(
                "mired",
                "filter.mired",
                (-400.0, 400.0),
                Default::Number(0.0),
                "mired",
                "Shift; positive warms",
                "96",
            ),
            number(
                "stops",
                "filter.stops",
                (0.0, 10.0),
                Default::Absent,
                "stops",
                "Light that it takes; without it, about what filters of this strength take, and a warning",
                "0.6",
            ),
            number(
                "cc",
                "filter.cc",
                (-75.0, 75.0),
                Default::Absent,
                "CC",
                "Green (positive) or magenta (negative); not together with `duv`",
                "15",
            ),
            number(
                "duv",
                "filter.duv",
                DUV,
                Default::Absent,
                "Duv",
                "The same in CIE 1960 (u, v); not together with `cc`",
                "0.011",
            ),
        ],
    },
    Table {
        path: "setup",
        written: "[[setup]]",
        help: "One lighting set-up of the shoot.",
        keys: &[
            text("id", "setup.id", Default::Required, ID, "\"7b\""),
            text("look", "setup.look", Default::Required, "The look, by its id", "\"warm\""),
            text("variant", "setup.variant", Default::Absent, "A variant of the look, by its id", "\"p1\""),
            key("cameras", Shape::Ids("The cameras of the setup; without it, those of the look", "[\"a\"]")),
            number(
                "balance_kelvin",
                "setup.balance_kelvin",
                KELVIN,
                Default::Absent,
                "K",
                "The camera's white balance",
                "4700",
            ),
            number(
                "balance_greener_duv",
                "setup.balance_greener_duv",
                DUV,
                Default::Number(0.0),
                "Duv",
                "Its tint, measured or planned",
                "0.0",
            ),
            text(
                "balance_note",
                "setup.balance_note",
                Default::Text(""),
                "What the camera's own menu says, in its own units",
                "\"menu: 4700, +2\"",
            ),
            key(
                "clips",
                Shape::Texts(
                    "Names of its clips or reels, or how they begin; `handoff` finds an edit decision list's events by them",
                    "[\"A003\", \"B003C007\"]",
                ),
            ),
            key("lights", Shape::Tables("setup.lights")),
            value(
                "diffusion_on_lens",
                "setup.diffusion_on_lens",
                Kind::Choice(Choice::DiffusionGrade),
                Default::Absent,
                "",
                "Grade of a diffusion filter on the lens",
                "\"1/4\"",
            ),
            value("haze", "setup.haze", Kind::Flag, Default::Flag(false), "", "Whether haze is in the air", "false"),
            number(
                "lens_stops",
                "setup.lens_stops",
                (0.0, 20.0),
                Default::Number(0.0),
                "stops",
                "Light that filters on the lens take together: neutral density, polariser, diffusion",
                "1.2",
            ),
            number("iso", "setup.iso", (1.0, 1e6), Default::Absent, "ISO", "What the camera is rated at", "640"),
            number("shutter_deg", "setup.shutter_deg", (0.1, 360.0), Default::Absent, "°", "Shutter angle", "172.8"),
            number(
                "frame_rate",
                "setup.frame_rate",
                (1.0, 1000.0),
                Default::Absent,
                "fps",
                "Frame rate of this setup, where it is not the show's",
                "48",
            ),
            text("stop", "setup.stop", Default::Absent, "T-stop", "\"T3.4\""),
            value(
                "meter",
                "setup.meter",
                Kind::Choice(RECEPTOR),
                Default::Absent,
                "",
                "Receptor of the incident meter: `dome` (faces, round things) or `flat` (flat things, one light alone); without it, both are told",
                "\"dome\"",
            ),
            text("note", "setup.note", Default::Text(""), "Free text", "\"ramp closes at 18:40\""),
        ],
    },
    Table {
        path: "setup.lights",
        written: "lights = [{ … }] in [[setup]]",
        help: "A light of the setup and what hangs before it.",
        keys: &[
            text("role", "setup.lights.role", Default::Required, "What it does in the picture", "\"key\""),
            value(
                "source",
                "setup.lights.source",
                Kind::Choice(LIGHT_SOURCE),
                Default::Required,
                "",
                "`planckian` (a filament), `daylight` (a phase of daylight, from 4000 K), `led` (any light that is known by its CCT and Duv)",
                "\"daylight\"",
            ),
            number(
                "kelvin",
                "setup.lights.kelvin",
                KELVIN,
                Default::Required,
                "K",
                "Colour temperature of the bare source",
                "5600",
            ),
            number(
                "duv",
                "setup.lights.duv",
                DUV,
                Default::Number(0.0),
                "Duv",
                "Its distance from the locus, for an `led` only; positive is greener",
                "0.004",
            ),
            key(
                "filters",
                Shape::Filters(
                    "Filters in their order: the trade's names, those of the show, or `{ name, mired, stops, cc or duv }`",
                    "[\"1/2 CTO\"]",
                ),
            ),
            number(
                "lux",
                "setup.lights.lux",
                (0.001, 1e6),
                Default::Absent,
                "lx",
                "What an incident meter reads of this light alone at the subject, its filters before it",
                "640",
            ),
            number(
                "candela",
                "setup.lights.candela",
                (0.01, 1e9),
                Default::Absent,
                "cd",
                "Luminous intensity of the bare lamp from its data sheet, with `distance_m`; not together with `lux`",
                "36000",
            ),
            number(
                "distance_m",
                "setup.lights.distance_m",
                (0.05, 10000.0),
                Default::Absent,
                "m",
                "From the lamp to the subject, with `candela`",
                "4.5",
            ),
            text("note", "setup.lights.note", Default::Text(""), "Free text", "\"from the car deck ramp\""),
        ],
    },
    Table {
        path: "version",
        written: "[[version]]",
        help: "A version of a setup's look, as `compile SHOW --setup … --set … --as …` writes it. Versions stand at the end of the file, in the order in which they were made.",
        keys: &[
            text("setup", "version.setup", Default::Required, "The setup, by its id", "\"14a\""),
            text("id", "version.id", Default::Required, ID, "\"14a-b\""),
            text(
                "from",
                "version.from",
                Default::Required,
                "The version that it was made from; the setup's own id is the look as the recipe has it",
                "\"14a\"",
            ),
            key("set", Shape::Settings("Everything that is laid over the recipe", "[\"white.warmer_mired=29\"]")),
            text("changed", "version.changed", Default::Text(""), "What changed, in words", "\"5 mired warmer\""),
            text(
                "made",
                "version.made",
                Default::Text(""),
                "When, as the machine's clock had it, with its distance from UTC; without one, as earlier versions have it, it counts as UTC",
                "\"2026-11-25 14:03+01:00\"",
            ),
            text(
                "look_fingerprint",
                "version.look_fingerprint",
                Default::Required,
                "What the look meant when the version was made, whatever camera and monitor",
                "\"8d0da987cf649db6\"",
            ),
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::LightSource;
    use crate::light::exposure::Receptor;
    use crate::show::Charset;

    #[test]
    fn declared_names_are_those_of_the_types() {
        assert_eq!(CHARSET.names(), Charset::ALL.map(Charset::id));
        assert_eq!(LIGHT_SOURCE.names(), LightSource::ALL.map(LightSource::id));
        assert_eq!(RECEPTOR.names(), Receptor::ALL.map(Receptor::name));
    }
}
