//! Resolve: what was written → what it means: names become published things, defaults are filled in, units are one.

use super::parameter::{Bound, Default, Kind};
use super::value::Value;
use super::{Recipe, WrittenBand, parameters};
use crate::colour::adaptation::Adaptation;
use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::{self, Curve, CurveFault};
use crate::colour::whites::DUV_PER_CC;
use crate::colour::{Grade, gamuts};
use crate::diagnostics::{Diagnostic, codes};
use crate::lut::Interpolation;
use crate::maths::Rgb;
use crate::pipeline::Fault;
use crate::plan::{
    After, Band, Camera, Cdl, Colour, Device, Diffusion, DisplayTarget, Levels, Look, OutputCompression, Plan, Split,
    Tint, Tolerances, Tone, Trim,
};
use std::sync::Arc;

/// Shifts beyond this are possible but doubtful: more than a full orange filter (about 160 mired, common practice).
const DOUBTFUL_MIRED: f64 = 200.0;

/// Presets of diffusion by grade, (veil, knee, softness, loss, bleach). This project's own starting points, measured from
/// no filter.
pub(super) const DIFFUSION_PRESETS: [(&str, [f64; 5]); 5] = [
    ("1/8", [0.006, 2.0, 2.0, 0.15, 0.06]),
    ("1/4", [0.012, 2.0, 2.0, 0.25, 0.10]),
    ("1/2", [0.025, 1.75, 2.0, 0.45, 0.16]),
    ("1", [0.05, 1.5, 2.0, 0.8, 0.25]),
    ("2", [0.09, 1.0, 2.0, 1.3, 0.40]),
];

/// The diffusion that a grade stands for; `None` for an unknown grade.
#[must_use]
pub(crate) fn diffusion_preset(grade: &str) -> Option<Diffusion> {
    let (_, [veil, knee_stops, softness_stops, loss_stops, bleach]) =
        DIFFUSION_PRESETS.into_iter().find(|(name, _)| *name == grade)?;
    Some(Diffusion { veil, knee_stops, softness_stops, loss_stops, bleach, ..Diffusion::NONE })
}

impl Recipe {
    /// What the recipe means. Doubtful values come back as warnings beside the plan.
    ///
    /// # Errors
    /// Values that are each possible and contradict each other: an exposure index that the curve does not have, HLG on
    /// another gamut than BT.2020, a peak that is missing.
    pub fn resolve(&self) -> Result<(Plan, Vec<Diagnostic>), Vec<Diagnostic>> {
        let (plan, found) = self.resolve_all();
        if found.iter().any(Diagnostic::is_error) { Err(found) } else { Ok((plan, found)) }
    }

    /// The same, with a plan also where something is wrong, so that what else is wrong can be said at once. Nothing may
    /// be made from a plan that came with an error: an impossible camera is ACEScct there.
    #[must_use]
    pub fn resolve_all(&self) -> (Plan, Vec<Diagnostic>) {
        let mut reader = Reader { recipe: self, faults: Vec::new() };
        let plan = reader.plan();
        // The map is no part of the plan, but what is wrong with it is wrong with the recipe.
        reader.faults.extend(self.map().1);
        let found = reader.faults.into_iter().map(|fault| self.locate(fault));
        (plan, self.doubts.iter().cloned().chain(found).collect())
    }
}

impl Recipe {
    /// The trim alone.
    pub(super) fn trim(&self) -> Trim {
        Reader { recipe: self, faults: Vec::new() }.trim()
    }
}

struct Reader<'a> {
    recipe: &'a Recipe,
    faults: Vec<Fault>,
}

impl Reader<'_> {
    fn plan(&mut self) -> Plan {
        let display = self.display();
        let reference_kelvin = self.number("white.reference_kelvin");
        self.moving_bounds();
        let camera = self.camera();
        let tone = self.recipe.has_table("tone").then(|| self.tone(&display));
        Plan {
            look: Look { name: printable(&self.text("look.name")), note: self.text("look.note") },
            adaptation: Adaptation::find(&self.text("adaptation")).unwrap_or_default(),
            camera,
            camera_trim: Trim::IDENTITY,
            trim: self.trim(),
            exposure_stops: self.number("exposure.stops"),
            input_compress: self.flag("gamut.input_compress"),
            diffusion: self.diffusion(),
            white: self.tint("white", reference_kelvin),
            grade: Cdl {
                slope: self.triple("grade.slope"),
                offset: self.triple("grade.offset"),
                power: self.triple("grade.power"),
                saturation: self.number("grade.saturation"),
            },
            split: Split {
                shadows: self.tint("split.shadows", reference_kelvin),
                highlights: self.tint("split.highlights", reference_kelvin),
                balance_stops: self.number("split.balance_stops"),
                width_stops: self.number("split.width_stops"),
            },
            tone,
            colour: Colour {
                saturation: self.number("colour.saturation"),
                bands: self.recipe.bands().iter().map(|band| self.band(band)).collect(),
            },
            strength: 1.0,
            monochrome: false,
            output: OutputCompression {
                compress: self.flag("gamut.output_compress"),
                threshold: self.number("gamut.threshold"),
                power: self.number("gamut.power"),
            },
            display,
            after: self.after(),
            device: Device {
                size: self.size("lut.size"),
                interpolation: Interpolation::find(&self.text("lut.interpolation")).unwrap_or_default(),
                input_levels: self.levels("lut.input_levels"),
                output_levels: self.levels("lut.output_levels"),
            },
            tolerances: Tolerances {
                grey_neutral_codes: self.number("verify.grey_neutral_codes"),
                grey_codes: self.number("verify.grey_codes"),
                grey_de: self.number("verify.grey_de"),
                patch_mean_de: self.number("verify.patch_mean_de"),
                patch_max_de: self.number("verify.patch_max_de"),
            },
        }
    }

    fn after(&self) -> Option<After> {
        Some(After {
            tables: Arc::clone(self.recipe.after.as_ref()?),
            interpolation: Interpolation::find(&self.text("after.interpolation")).unwrap_or_default(),
            input_levels: self.levels("after.input_levels"),
            output_levels: self.levels("after.output_levels"),
        })
    }

    fn trim(&self) -> Trim {
        Trim { stops: self.number("trim.stops"), matrix: self.matrix("trim.matrix"), root: self.matrix("trim.root") }
    }

    /// The camera; where it is wrong, one that is not, so that everything else can be looked at too.
    fn camera(&mut self) -> Camera {
        let encoding = encodings::find(&self.text("camera.encoding")).unwrap_or(&encodings::linear::LINEAR);
        let gamut = gamuts::find(&self.text("camera.gamut")).unwrap_or(&gamuts::ACESCG);
        let index = match self.recipe.get("camera.exposure_index").map(|written| &written.value) {
            Some(Value::Integer(index)) => u32::try_from(*index).ok(),
            _ => None,
        };
        for (parameter, name, source) in
            [("camera.encoding", encoding.name, encoding.source), ("camera.gamut", gamut.name, gamut.source)]
        {
            if source.grade == Grade::ThirdParty {
                let message = format!("{name} is known from third parties only, not from its maker");
                let label = source.citation.to_owned();
                let fault = Fault::warning(&codes::WEAK_SOURCE, parameter, message, label);
                self.faults.push(fault.help("check it against a chart that the camera recorded before you trust it"));
            }
        }
        if !encoding.gamuts.is_empty() && !encoding.gamuts.contains(&gamut.id) {
            let message = format!("{} does not belong to {}", gamut.name, encoding.name);
            let label = format!("published with {}: {}", encoding.name, encoding.gamuts.join(", "));
            let fault = Fault::warning(&codes::FOREIGN_GAMUT, "camera.gamut", message, label);
            self.faults.push(fault.help("look up in the camera's menu which gamut it records"));
        }
        let fallback = match Curve::new(encoding, index) {
            Ok(curve) => return Camera { curve, gamut },
            Err(CurveFault::ExposureIndexNotUsed { .. }) => {
                let message = format!("{} does not depend on the exposure index", encoding.name);
                let label = "has no effect".to_owned();
                let fault = Fault::warning(&codes::INDEX_NOT_USED, "camera.exposure_index", message, label);
                self.faults.push(fault.help("remove the line; `[exposure] stops` moves the exposure"));
                None
            }
            Err(CurveFault::ExposureIndexMissing { indices, .. }) => {
                let message = format!("{} depends on the exposure index, which is missing", encoding.name);
                self.index_fault(message, format!("expected `exposure_index`, one of {}", listed(indices)), "camera");
                indices.first().copied()
            }
            Err(CurveFault::ExposureIndexUnknown { given, indices, .. }) => {
                let message = format!("{} is not published for exposure index {given}", encoding.name);
                let label = format!("expected one of {}, found {given}", listed(indices));
                self.index_fault(message, label, "camera.exposure_index");
                indices.first().copied()
            }
        };
        let curve = Curve::new(encoding, fallback).expect("the encoding publishes this index, or takes none");
        Camera { curve, gamut }
    }

    fn index_fault(&mut self, message: String, label: String, parameter: &str) {
        let fault = Fault::error(&codes::EXPOSURE_INDEX, parameter, message, label);
        self.faults.push(fault.help("take the index that the camera is set to; for one between, the nearest below"));
    }

    fn display(&mut self) -> DisplayTarget {
        let encoding = DisplayEncoding::find(&self.text("display.encoding")).unwrap_or(DisplayEncoding::Bt1886);
        let gamut = gamuts::find(&self.text("display.gamut")).unwrap_or(&gamuts::BT709);
        let peak_nits = self.number("display.peak_nits");
        if encoding.needs_peak() && self.recipe.get("display.peak_nits").is_none() {
            let message = format!("`display.peak_nits` is required for {}", encoding.id());
            let label = format!("{} needs the luminance of display white", encoding.name());
            let fault = Fault::error(&codes::MISSING_KEY, "display.encoding", message, label);
            self.faults.push(fault.help("for example: peak_nits = 1000"));
        }
        if encoding == DisplayEncoding::Hlg && gamut.id != "bt2020" {
            let message = "HLG is defined for BT.2020 only".to_owned();
            let label = format!("expected \"bt2020\", found \"{}\"", gamut.id);
            let parameter =
                if self.recipe.get("display.gamut").is_some() { "display.gamut" } else { "display.encoding" };
            let fault = Fault::error(&codes::DISPLAY_MISMATCH, parameter, message, label);
            self.faults.push(fault.help("write gamut = \"bt2020\" in [display], or choose another encoding"));
        }
        DisplayTarget { encoding, gamut, peak_nits }
    }

    fn tone(&mut self, display: &DisplayTarget) -> Tone {
        let grey = match self.recipe.get("tone.grey_nits").map(|written| &written.value) {
            Some(Value::Number(nits)) => self.grey_from_nits(*nits, display.peak_nits),
            _ => self.number("tone.grey"),
        };
        Tone {
            contrast: self.number("tone.contrast"),
            white_stops: self.number("tone.white_stops"),
            black_stops: self.number("tone.black_stops"),
            straight_up: self.number("tone.straight_up"),
            straight_down: self.number("tone.straight_down"),
            white_slope: self.number("tone.white_slope"),
            black_slope: self.number("tone.black_slope"),
            grey,
            black: self.number("tone.black"),
            hue_hold: self.number("tone.hue_hold"),
        }
    }

    fn grey_from_nits(&mut self, nits: f64, peak: f64) -> f64 {
        let grey = nits / peak;
        if let Some(Kind::Number { min, max: Bound::Value(max) }) = parameters::find("tone.grey").map(|p| &p.kind)
            && !(*min..=*max).contains(&grey)
        {
            let message = format!("grey at {nits} nits is out of range for a display of {peak} nits");
            let label = format!("expected {} to {} nits, found {nits}", min * peak, max * peak);
            self.faults.push(
                Fault::error(&codes::OUT_OF_RANGE, "tone.grey_nits", message, label)
                    .help("check `display.peak_nits` too"),
            );
            // Nothing else should seem wrong because of it.
            return default_number("tone.grey");
        }
        grey
    }

    fn diffusion(&mut self) -> Diffusion {
        let mut filter = Diffusion::NONE;
        if self.recipe.get("diffusion.grade").is_some() {
            let grade = self.text("diffusion.grade");
            filter = diffusion_preset(&grade).unwrap_or(filter);
        }
        for (path, place) in [
            ("diffusion.veil", &mut filter.veil),
            ("diffusion.veil_level", &mut filter.veil_level),
            ("diffusion.knee_stops", &mut filter.knee_stops),
            ("diffusion.softness_stops", &mut filter.softness_stops),
            ("diffusion.loss_stops", &mut filter.loss_stops),
            ("diffusion.bleach", &mut filter.bleach),
        ] {
            if self.recipe.get(path).is_some() {
                *place = self.number(path);
            }
        }
        if filter.loss_stops > filter.softness_stops {
            let message = "a highlight would lose more light than it gains: the picture would turn over".to_owned();
            let label = format!(
                "expected `loss_stops` 0 to `softness_stops`, found {} of {}",
                filter.loss_stops, filter.softness_stops
            );
            let parameter = if self.recipe.get("diffusion.loss_stops").is_some() {
                "diffusion.loss_stops"
            } else {
                "diffusion.softness_stops"
            };
            self.faults.push(
                Fault::error(&codes::OUT_OF_RANGE, parameter, message, label)
                    .help("raise `softness_stops` or lower `loss_stops`"),
            );
        }
        filter
    }

    fn tint(&mut self, table: &str, reference_kelvin: f64) -> Tint {
        let path = |key: &str| format!("{table}.{key}");
        let own_reference = path("reference_kelvin");
        let reference_kelvin =
            if self.recipe.get(&own_reference).is_some() { self.number(&own_reference) } else { reference_kelvin };
        let warmer_mired = self.number(&path("warmer_mired"));
        let greener_duv = if self.recipe.get(&path("greener_cc")).is_some() {
            self.number(&path("greener_cc")) * DUV_PER_CC
        } else {
            self.number(&path("greener_duv"))
        };
        if warmer_mired.abs() >= DOUBTFUL_MIRED {
            let message = format!("a shift of {warmer_mired} mired is more than a full colour temperature filter");
            let label = format!("{warmer_mired} mired seen from {reference_kelvin} K");
            let fault = Fault::warning(&codes::LARGE_SHIFT, path("warmer_mired"), message, label);
            self.faults
                .push(fault.help("common practice: a full orange filter is about +160 mired, a full blue one −137"));
        }
        Tint { reference_kelvin, warmer_mired, greener_duv }
    }

    fn band(&mut self, written: &WrittenBand) -> Band {
        let number = |key: &str| match written.keys.get(key).map(|written| &written.value) {
            Some(Value::Number(number)) => *number,
            _ => default_number(&format!("colour.band.{key}")),
        };
        Band {
            name: written.name().to_owned(),
            centre_deg: number("centre_deg"),
            width_deg: number("width_deg"),
            shift_deg: number("shift_deg"),
            saturation: number("saturation"),
            lightness: number("lightness"),
        }
    }

    /// Ranges that end at another parameter.
    fn moving_bounds(&mut self) {
        for parameter in parameters::PARAMETERS {
            let Kind::Number { min, max: Bound::Parameter(other) } = parameter.kind else { continue };
            if parameter.table() == "diffusion" || self.recipe.get(parameter.path).is_none() {
                // Diffusion has presets under its numbers and is checked with them.
                continue;
            }
            let limit = self.number(&format!("{}.{other}", parameter.table()));
            let value = self.number(parameter.path);
            if value > limit {
                let message = format!("`{}` is out of range", parameter.path);
                let label = format!("expected {min} to `{other}` = {limit}, found {value}");
                let fault = Fault::error(&codes::OUT_OF_RANGE, parameter.path, message, label);
                self.faults.push(fault.help(parameter.help));
            }
        }
    }

    fn value(&self, path: &str) -> Option<&Value> {
        self.recipe.get(path).map(|written| &written.value)
    }

    fn number(&self, path: &str) -> f64 {
        match self.value(path) {
            Some(Value::Number(number)) => *number,
            _ => default_number(path),
        }
    }

    fn size(&self, path: &str) -> usize {
        let number = match (self.value(path), default(path)) {
            (Some(Value::Integer(number)), _) | (None, Default::Integer(number)) => *number,
            _ => no_default(path),
        };
        usize::try_from(number).unwrap_or(0)
    }

    fn text(&self, path: &str) -> String {
        match (self.value(path), default(path)) {
            (Some(Value::Text(text)), _) => text.clone(),
            (None, Default::Text(text)) => (*text).to_owned(),
            _ => String::new(),
        }
    }

    fn flag(&self, path: &str) -> bool {
        match (self.value(path), default(path)) {
            (Some(Value::Flag(flag)), _) | (None, Default::Flag(flag)) => *flag,
            _ => no_default(path),
        }
    }

    fn triple(&self, path: &str) -> Rgb {
        match (self.value(path), default(path)) {
            (Some(Value::Triple(triple)), _) => *triple,
            (None, Default::Triple(each)) => [*each; 3],
            _ => no_default(path),
        }
    }

    fn matrix(&self, path: &str) -> [[f64; 3]; 3] {
        match (self.value(path), default(path)) {
            (Some(Value::Matrix(matrix)), _) => *matrix,
            (None, Default::Identity) => Trim::IDENTITY.matrix,
            (None, Default::Zeros) => Trim::IDENTITY.root,
            _ => no_default(path),
        }
    }

    fn levels(&self, path: &str) -> Levels {
        let name = self.text(path);
        Levels::ALL.into_iter().find(|levels| levels.id() == name).unwrap_or(Levels::Full)
    }
}

/// The tone curve of a recipe that says nothing of it but `[tone]`.
pub(crate) fn default_tone() -> Tone {
    let number = |key: &str| default_number(&format!("tone.{key}"));
    Tone {
        contrast: number("contrast"),
        white_stops: number("white_stops"),
        black_stops: number("black_stops"),
        straight_up: number("straight_up"),
        straight_down: number("straight_down"),
        white_slope: number("white_slope"),
        black_slope: number("black_slope"),
        grey: number("grey"),
        black: number("black"),
        hue_hold: number("hue_hold"),
    }
}

/// A name without control characters, which would move the reader's cursor or split a report.
pub(crate) fn printable(name: &str) -> String {
    name.chars().map(|character| if character.is_control() { ' ' } else { character }).collect()
}

fn listed(indices: &[u32]) -> String {
    indices.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn default(path: &str) -> &'static Default {
    parameters::find(path).map_or(&Default::Absent, |parameter| &parameter.default)
}

pub(super) fn default_number(path: &str) -> f64 {
    match default(path) {
        Default::Number(number) => *number,
        _ => no_default(path),
    }
}

/// What is declared and what is read here disagree: every recipe would show it, and none is computed from a guess.
fn no_default(path: &str) -> ! {
    unreachable!("{path} has no default of the type that is read")
}
