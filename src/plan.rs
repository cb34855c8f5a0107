//! The Plan: what a recipe means, with every default, name and unit resolved.
//!
//! A Plan has no text to interpret: encodings and gamuts are the published things themselves, tints are mired
//! and Duv, a grade of diffusion is its numbers. It can be printed ([`Plan::canonical`]), hashed
//! ([`Plan::fingerprint`]) and built into a pipeline.

use crate::colour::adaptation::Adaptation;
pub use crate::colour::cdl::Cdl;
use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::Curve;
use crate::colour::gamuts::Gamut;
use crate::lut::{Domain, Interpolation, Tables};
use crate::maths::Rgb;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::sync::Arc;

/// What one recipe means for one camera and one device.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Name and note of the look. Not part of the fingerprint.
    pub look: Look,
    /// The cone space of every chromatic adaptation.
    pub adaptation: Adaptation,
    /// What the signal is.
    pub camera: Camera,
    /// Correction of this camera towards another, as a show gives it for the camera; it comes before [`Self::trim`].
    pub camera_trim: Trim,
    /// Correction of this camera towards another, of the recipe itself.
    pub trim: Trim,
    /// Exposure offset, stops.
    pub exposure_stops: f64,
    /// Whether colours outside AP1 are compressed on the scene side.
    pub input_compress: bool,
    /// What a lens diffusion filter does to one pixel.
    pub diffusion: Diffusion,
    /// White shift.
    pub white: Tint,
    /// ASC CDL in `ACEScct`.
    pub grade: Cdl,
    /// Tints of shadows and highlights.
    pub split: Split,
    /// The characteristic curve; `None` is the plain technical conversion.
    pub tone: Option<Tone>,
    /// Saturation and hue bands.
    pub colour: Colour,
    /// How much of the look there is: 1 is the look, 0 the plain conversion (the same without diffusion, white, grade,
    /// split and colour), what lies between or beyond is mixed in Oklab on the display side. 0..1.5.
    pub strength: f64,
    /// Compression into the display's gamut.
    pub output: OutputCompression,
    /// Whether the picture is shown in its luminance alone.
    pub monochrome: bool,
    /// The display.
    pub display: DisplayTarget,
    /// A table from post over the display's signal.
    pub after: Option<After>,
    /// The device that applies the LUT.
    pub device: Device,
    /// Tolerances of the verifier. Not part of the fingerprint.
    pub tolerances: Tolerances,
}

/// Name and note of a look.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// Name, not empty.
    pub name: String,
    /// Free text.
    pub note: String,
}

/// What the signal is: curve and gamut.
#[derive(Clone, Copy, Debug)]
pub struct Camera {
    /// The curve, with its exposure index where one is needed.
    pub curve: Curve,
    /// The camera's RGB primaries.
    pub gamut: &'static Gamut,
}

/// x ← 2^stops · (matrix x + root q), see [`crate::pipeline`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trim {
    /// Stops.
    pub stops: f64,
    /// Linear part; its rows and those of `root` together sum to 1.
    pub matrix: [[f64; 3]; 3],
    /// Root-polynomial part for (√rg, √rb, √gb).
    pub root: [[f64; 3]; 3],
}

impl Trim {
    /// No correction.
    pub const IDENTITY: Self =
        Self { stops: 0.0, matrix: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], root: [[0.0; 3]; 3] };
}

impl Tint {
    /// The largest shift that a recipe takes, mired: more than two full filters. This project's own choice.
    pub const MOST_MIRED: f64 = 400.0;

    /// The farthest from the locus that a recipe takes, CIE 1960 (u, v): where correlated colour temperature ends (CIE 015, from memory).
    pub const MOST_DUV: f64 = 0.05;
}

/// A shift of white seen from a reference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tint {
    /// Colour temperature that the shift is seen from, kelvin.
    pub reference_kelvin: f64,
    /// Shift in mired; positive is warmer.
    pub warmer_mired: f64,
    /// Distance from the locus in CIE 1960 (u, v); positive is greener.
    pub greener_duv: f64,
}

impl Tint {
    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.warmer_mired == 0.0 && self.greener_duv == 0.0
    }
}

/// A diffusion filter without its halo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diffusion {
    /// Share of the light that becomes a veil, 0..0.5.
    pub veil: f64,
    /// Scene light that the veil carries.
    pub veil_level: f64,
    /// Stops above grey where highlights begin to change.
    pub knee_stops: f64,
    /// How softly, stops.
    pub softness_stops: f64,
    /// The most that a highlight can lose, stops.
    pub loss_stops: f64,
    /// How much colour a highlight can lose, 0..1.
    pub bleach: f64,
}

impl Diffusion {
    /// No filter: the defaults.
    pub const NONE: Self =
        Self { veil: 0.0, veil_level: 0.18, knee_stops: 2.0, softness_stops: 2.0, loss_stops: 0.0, bleach: 0.0 };

    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.veil == 0.0 && self.loss_stops == 0.0 && self.bleach == 0.0
    }
}

/// A tint for the shadows and one for the highlights.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// Tint of the shadows.
    pub shadows: Tint,
    /// Tint of the highlights.
    pub highlights: Tint,
    /// Stops from grey where both meet in equal parts.
    pub balance_stops: f64,
    /// Width of the passage, stops.
    pub width_stops: f64,
}

impl Split {
    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.shadows.is_identity() && self.highlights.is_identity()
    }
}

/// Scene light to display light, in the terms of a characteristic curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Slope of the straight line, display stops per scene stop.
    pub contrast: f64,
    /// Scene stops from grey to display white.
    pub white_stops: f64,
    /// Scene stops from grey down to display black.
    pub black_stops: f64,
    /// Length of the straight line above grey, stops.
    pub straight_up: f64,
    /// Length of the straight line below grey, stops.
    pub straight_down: f64,
    /// Slope that is left at white.
    pub white_slope: f64,
    /// Slope that is left at black.
    pub black_slope: f64,
    /// Display-linear level of grey.
    pub grey: f64,
    /// Display-linear level that is called black in the log domain.
    pub black: f64,
    /// Share of the hue-holding form, 0..1.
    pub hue_hold: f64,
}

/// Saturation and hue bands on the display side.
#[derive(Clone, Debug, PartialEq)]
pub struct Colour {
    /// Overall saturation.
    pub saturation: f64,
    /// Hue bands, in order.
    pub bands: Vec<Band>,
}

impl Colour {
    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.saturation == 1.0 && self.bands.iter().all(Band::is_identity)
    }
}

/// What happens to the colours around one hue.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Name for messages; may be empty.
    pub name: String,
    /// Oklab hue of the centre, degrees.
    pub centre_deg: f64,
    /// Half-width, degrees.
    pub width_deg: f64,
    /// Hue shift at the centre, degrees.
    pub shift_deg: f64,
    /// Chroma factor at the centre.
    pub saturation: f64,
    /// Lightness factor at the centre.
    pub lightness: f64,
}

impl Band {
    pub(crate) fn is_identity(&self) -> bool {
        self.shift_deg == 0.0 && self.saturation == 1.0 && self.lightness == 1.0
    }
}

/// Compression into the display's gamut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutputCompression {
    /// Whether colours are compressed before they are clipped.
    pub compress: bool,
    /// Share of the way to the gamut's edge that stays untouched.
    pub threshold: f64,
    /// Sharpness of the bend.
    pub power: f64,
}

/// Luminance of a white surface on HDR displays, cd/m²: HDR Reference White of ITU-R BT.2408 (bibliography: itu-bt2408).
pub const HDR_WHITE_NITS: f64 = 203.0;

/// The display.
#[derive(Clone, Copy, Debug)]
pub struct DisplayTarget {
    /// Encoding of the signal.
    pub encoding: DisplayEncoding,
    /// Primaries and white.
    pub gamut: &'static Gamut,
    /// Luminance of display white, cd/m².
    pub peak_nits: f64,
}

impl DisplayTarget {
    /// The light of a white surface as a part of the display's white: 1, or on HDR displays that of HDR Reference White
    /// ([`HDR_WHITE_NITS`]), where the display's white is brighter.
    #[must_use]
    pub fn diffuse_white(&self) -> f64 {
        if self.encoding.needs_peak() { (HDR_WHITE_NITS / self.peak_nits).min(1.0) } else { 1.0 }
    }
}

/// A table from post, laid over the display's signal: the look's own signal in and out.
#[derive(Clone, Debug, PartialEq)]
pub struct After {
    /// The table or tables.
    pub tables: Arc<Tables>,
    /// How a 3D table is read between its nodes.
    pub interpolation: Interpolation,
    /// What its input takes 0..1 of the signal for.
    pub input_levels: Levels,
    /// What its output is.
    pub output_levels: Levels,
}

impl After {
    /// SHA-256 of what the tables are: their kinds, sizes, domains and numbers, whatever their file is called and however it prints them.
    #[must_use]
    pub fn content(&self) -> String {
        let mut hash = Sha256::new();
        let mut part = |kind: u8, domain: &Domain, rows: &[Rgb]| {
            hash.update([kind]);
            hash.update((rows.len() as u64).to_le_bytes());
            for row in [&domain.min, &domain.max].into_iter().chain(rows) {
                // Adding zero turns −0 into 0, which means the same.
                row.iter().for_each(|value| hash.update((value + 0.0).to_le_bytes()));
            }
        };
        match &*self.tables {
            Tables::One(table) => part(1, table.domain(), table.rows()),
            Tables::Three(table) => part(3, table.domain(), table.nodes()),
            Tables::Shaped { shaper, table } => {
                part(1, shaper.domain(), shaper.rows());
                part(3, table.domain(), table.nodes());
            }
        }
        hex(&hash.finalize())
    }
}

/// What 0..1 means at a LUT stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Levels {
    /// Codes 0..1023 of a 10-bit signal.
    Full,
    /// Codes 64..940 (SMPTE narrow range).
    Legal,
}

impl Levels {
    /// Both, in the order of the documentation.
    pub const ALL: [Self; 2] = [Self::Full, Self::Legal];

    /// Name in a recipe.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::Legal => "legal",
        }
    }

    /// From a value 0..1 at the LUT stage to the signal as a fraction of full scale.
    #[must_use]
    pub fn to_signal(self, value: f64) -> f64 {
        match self {
            Self::Full => value,
            Self::Legal => (64.0 + 876.0 * value) / 1023.0,
        }
    }

    /// From the signal as a fraction of full scale to a value at the LUT stage; legal levels may leave 0..1.
    #[must_use]
    pub fn from_signal(self, signal: f64) -> f64 {
        match self {
            Self::Full => signal,
            Self::Legal => (1023.0 * signal - 64.0) / 876.0,
        }
    }
}

/// Facts of the device that applies the LUT.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Device {
    /// Points a side.
    pub size: usize,
    /// How the device reads between nodes.
    pub interpolation: Interpolation,
    /// What the device feeds to its LUT stage.
    pub input_levels: Levels,
    /// What the device makes of the LUT's output.
    pub output_levels: Levels,
}

/// Tolerances of the verifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerances {
    /// 10-bit codes: neutrality, or distance from the cast that the recipe asks for.
    pub grey_neutral_codes: f64,
    /// 10-bit codes: written LUT against the exact pipeline, −5..+5 stops.
    pub grey_codes: f64,
    /// CIEDE2000 on the grey scale, −8..+8 stops.
    pub grey_de: f64,
    /// Mean CIEDE2000 of the patches.
    pub patch_mean_de: f64,
    /// Largest CIEDE2000 of the patches.
    pub patch_max_de: f64,
}

impl Plan {
    /// The meaning of the plan as text, one fact a line, in a fixed order, numbers in their shortest exact form.
    ///
    /// Blocks that change nothing are left out, as are names, notes and tolerances: two recipes with the same
    /// canonical text write the same table.
    #[must_use]
    pub fn canonical(&self) -> String {
        let mut lines = Lines::default();
        lines.text("language", "1");
        lines.text("adaptation", self.adaptation.id());
        lines.text("camera.encoding", self.camera.curve.encoding().id);
        if let Some(index) = self.camera.curve.exposure_index() {
            lines.text("camera.exposure_index", &index.to_string());
        }
        lines.text("camera.gamut", self.camera.gamut.id);
        self.scene_side(&mut lines);
        self.display_side(&mut lines);
        lines.text("lut.size", &self.device.size.to_string());
        lines.text("lut.interpolation", self.device.interpolation.id());
        lines.text("lut.input_levels", self.device.input_levels.id());
        lines.text("lut.output_levels", self.device.output_levels.id());
        lines.0
    }

    fn scene_side(&self, lines: &mut Lines) {
        for (name, trim) in [("camera_trim", &self.camera_trim), ("trim", &self.trim)] {
            if *trim != Trim::IDENTITY {
                lines.numbers(&format!("{name}.stops"), &[trim.stops]);
                lines.numbers(&format!("{name}.matrix"), trim.matrix.as_flattened());
                lines.numbers(&format!("{name}.root"), trim.root.as_flattened());
            }
        }
        if self.exposure_stops != 0.0 {
            lines.numbers("exposure.stops", &[self.exposure_stops]);
        }
        lines.text("gamut.input_compress", if self.input_compress { "true" } else { "false" });
        if !self.diffusion.is_identity() {
            let d = &self.diffusion;
            let values = [d.veil, d.veil_level, d.knee_stops, d.softness_stops, d.loss_stops, d.bleach];
            lines.numbers("diffusion", &values);
        }
        lines.tint("white", &self.white);
        if self.grade != Cdl::IDENTITY {
            lines.numbers("grade.slope", &self.grade.slope);
            lines.numbers("grade.offset", &self.grade.offset);
            lines.numbers("grade.power", &self.grade.power);
            lines.numbers("grade.saturation", &[self.grade.saturation]);
        }
        if !self.split.is_identity() {
            lines.tint("split.shadows", &self.split.shadows);
            lines.tint("split.highlights", &self.split.highlights);
            lines.numbers("split.balance_width", &[self.split.balance_stops, self.split.width_stops]);
        }
    }

    fn display_side(&self, lines: &mut Lines) {
        if let Some(t) = &self.tone {
            lines.numbers("tone.contrast", &[t.contrast]);
            lines.numbers("tone.white", &[t.white_stops, t.straight_up, t.white_slope]);
            lines.numbers("tone.black", &[t.black_stops, t.straight_down, t.black_slope]);
            lines.numbers("tone.levels", &[t.grey, t.black]);
            lines.numbers("tone.hue_hold", &[t.hue_hold]);
        }
        if self.colour.saturation != 1.0 {
            lines.numbers("colour.saturation", &[self.colour.saturation]);
        }
        for band in self.colour.bands.iter().filter(|band| !band.is_identity()) {
            let values = [band.centre_deg, band.width_deg, band.shift_deg, band.saturation, band.lightness];
            lines.numbers("colour.band", &values);
        }
        if self.strength != 1.0 {
            lines.numbers("strength", &[self.strength]);
        }
        if self.output.compress {
            lines.numbers("gamut.output_compress", &[self.output.threshold, self.output.power]);
        } else {
            lines.text("gamut.output_compress", "false");
        }
        if self.monochrome {
            lines.text("monochrome", "true");
        }
        lines.text("display.encoding", self.display.encoding.id());
        lines.text("display.gamut", self.display.gamut.id);
        // Relative encodings send the same signal whatever the peak: it changes the table only where it is part of
        // the encoding.
        if self.display.encoding.needs_peak() {
            lines.numbers("display.peak_nits", &[self.display.peak_nits]);
        }
        if let Some(after) = &self.after {
            lines.text("after.content", &after.content());
            // A 1D table is read in one way only.
            if !matches!(*after.tables, Tables::One(_)) {
                lines.text("after.interpolation", after.interpolation.id());
            }
            lines.text("after.levels", &format!("{} {}", after.input_levels.id(), after.output_levels.id()));
        }
    }

    /// SHA-256 of [`Self::canonical`], 64 hexadecimal digits: covers meaning only.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        hex(&Sha256::digest(self.canonical().as_bytes()))
    }
}

/// The first characters of a fingerprint or hash, as they are printed: enough to tell the files of a show apart at a glance.
#[must_use]
pub fn short(fingerprint: &str) -> &str {
    const CHARACTERS: usize = 8;
    fingerprint.char_indices().nth(CHARACTERS).map_or(fingerprint, |(end, _)| &fingerprint[..end])
}

/// Lower-case hexadecimal digits.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[derive(Default)]
struct Lines(String);

impl Lines {
    fn text(&mut self, key: &str, value: &str) {
        let _ = writeln!(self.0, "{key} = {value}");
    }

    fn numbers(&mut self, key: &str, values: &[f64]) {
        // Adding zero turns −0 into 0, which means the same.
        let printed: Vec<String> = values.iter().map(|value| format!("{:?}", value + 0.0)).collect();
        self.text(key, &printed.join(" "));
    }

    fn tint(&mut self, key: &str, tint: &Tint) {
        if !tint.is_identity() {
            self.numbers(key, &[tint.reference_kelvin, tint.warmer_mired, tint.greener_duv]);
        }
    }
}
