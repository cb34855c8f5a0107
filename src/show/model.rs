//! What a show says, as values. Ids are as they were written; what is compared is compared without case.

use crate::colour::canonical_name;
use crate::diagnostics::{SourceText, Span};
use crate::formats::cube::Newline;
use crate::light::exposure::Receptor;
use crate::light::{Filter, Lamp};
use crate::recipe::{Overlay, Value, Written};
use std::path::PathBuf;
use std::sync::Arc;

/// A show that was read: cameras, monitors, looks and setups of one production. Every id is unique in its kind, and every id
/// that is named exists.
#[derive(Clone, Debug)]
pub struct Show {
    /// Its file.
    pub path: PathBuf,
    /// Its text.
    pub source: Arc<SourceText>,
    /// Name of the production.
    pub name: Id,
    /// Frames a second.
    pub frame_rate: f64,
    /// Free text.
    pub note: String,
    /// Tolerances of the consistency proof.
    pub tolerances: ConsistencyTolerances,
    /// The cameras, in order.
    pub cameras: Vec<ShowCamera>,
    /// The monitors, in order.
    pub monitors: Vec<ShowMonitor>,
    /// The looks, in order.
    pub looks: Vec<ShowLook>,
    /// Filters that the show defines.
    pub filters: Vec<OwnFilter>,
    /// The setups, in order.
    pub setups: Vec<Setup>,
    /// Versions of the setups' looks, in the order in which they were made.
    pub versions: Vec<LookVersion>,
}

/// A name with the place where it stands.
#[derive(Clone, Debug)]
pub struct Id {
    /// The name.
    pub text: String,
    /// Where.
    pub span: Span,
}

impl Id {
    /// Whether it is the same id: compared without case.
    #[must_use]
    pub fn is(&self, other: &str) -> bool {
        self.text.eq_ignore_ascii_case(other)
    }
}

/// Tolerances of the consistency proof, CIEDE2000.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConsistencyTolerances {
    /// Mean.
    pub mean_de: f64,
    /// Nineteen of twenty lie below it.
    pub p95_de: f64,
    /// The worst.
    pub max_de: f64,
}

/// A camera of a show.
#[derive(Clone, Debug)]
pub struct ShowCamera {
    /// Its id.
    pub id: Id,
    /// What it lays over `[camera]` of every recipe.
    pub overlay: Overlay,
    /// The file with its trim.
    pub trim: Option<Id>,
    /// Free text.
    pub note: String,
}

/// A monitor of a show, or another device that applies the LUT.
#[derive(Clone, Debug)]
pub struct ShowMonitor {
    /// Its id.
    pub id: Id,
    /// What it lays over `[display]` and `[lut]` of every recipe.
    pub overlay: Overlay,
    /// What it accepts as a file.
    pub rules: FileRules,
    /// How many LUTs it holds.
    pub slots: Option<usize>,
    /// Free text.
    pub note: String,
}

/// What a device accepts as a file.
#[derive(Clone, Debug)]
pub struct FileRules {
    /// Longest name, without its ending.
    pub name_max: usize,
    /// Characters of a name.
    pub charset: Charset,
    /// The one name that it knows, if it knows only one.
    pub fixed_name: Option<String>,
    /// What ends a line.
    pub newline: Newline,
    /// Whether it accepts comments.
    pub comments: bool,
    /// Points a side that it accepts; empty for any.
    pub sizes: Vec<usize>,
    /// Where the rules stand.
    pub span: Span,
}

/// Characters of a device's file names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Charset {
    /// Letters of both cases, digits and underscores.
    #[default]
    Mixed,
    /// Capital letters, digits and underscores.
    Upper,
    /// Small letters, digits and underscores.
    Lower,
    /// Capital letters and digits.
    UpperPlain,
    /// Small letters and digits.
    LowerPlain,
    /// Digits.
    Digits,
}

impl Charset {
    /// All, in the order of the reference page.
    pub const ALL: [Self; 6] =
        [Self::Mixed, Self::Upper, Self::Lower, Self::UpperPlain, Self::LowerPlain, Self::Digits];

    /// Name in a show.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Mixed => "mixed",
            Self::Upper => "upper",
            Self::Lower => "lower",
            Self::UpperPlain => "upper-plain",
            Self::LowerPlain => "lower-plain",
            Self::Digits => "digits",
        }
    }

    /// What it holds, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Mixed => "letters, digits and underscores",
            Self::Upper => "capital letters, digits and underscores",
            Self::Lower => "small letters, digits and underscores",
            Self::UpperPlain => "capital letters and digits",
            Self::LowerPlain => "small letters and digits",
            Self::Digits => "digits only",
        }
    }

    /// The one of that name.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let name = canonical_name(name);
        Self::ALL.into_iter().find(|charset| canonical_name(charset.id()) == name)
    }

    /// Whether a name may hold a character.
    #[must_use]
    pub fn holds(self, character: char) -> bool {
        match self {
            Self::Mixed => character.is_ascii_alphanumeric() || character == '_',
            Self::Upper => character.is_ascii_uppercase() || character.is_ascii_digit() || character == '_',
            Self::Lower => character.is_ascii_lowercase() || character.is_ascii_digit() || character == '_',
            Self::UpperPlain => character.is_ascii_uppercase() || character.is_ascii_digit(),
            Self::LowerPlain => character.is_ascii_lowercase() || character.is_ascii_digit(),
            Self::Digits => character.is_ascii_digit(),
        }
    }
}

/// A look of a show.
#[derive(Clone, Debug)]
pub struct ShowLook {
    /// Its id.
    pub id: Id,
    /// The recipe's path as it was written, relative to the show.
    pub recipe: Id,
    /// Its variants, in order.
    pub variants: Vec<Variant>,
    /// The cameras that it is for, as places in [`Show::cameras`].
    pub cameras: Vec<usize>,
    /// The monitors that it is for, as places in [`Show::monitors`].
    pub monitors: Vec<usize>,
    /// Free text.
    pub note: String,
}

/// A variant of a look.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its id.
    pub id: Id,
    /// Added to the exposure of the look, stops.
    pub exposure_stops: f64,
    /// Share of the look.
    pub strength: f64,
    /// Whether the luminance alone is shown.
    pub monochrome: bool,
}

/// A filter that the show defines.
#[derive(Clone, Debug)]
pub struct OwnFilter {
    /// Its name, with its place.
    pub name: Id,
    /// What it does.
    pub filter: Filter,
}

/// How much light a lamp gives, as somebody measured or read it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// Illuminance at the subject in lux, by an incident meter, with the filters before the lamp.
    Lux(f64),
    /// Luminous intensity of the bare lamp in candela, and its distance from the subject in metres.
    Lamp {
        /// Candela.
        candela: f64,
        /// Metres.
        distance_m: f64,
    },
}

/// A light of a setup.
#[derive(Clone, Debug)]
pub struct Light {
    /// What it does in the picture.
    pub role: Id,
    /// The source and its filters.
    pub lamp: Lamp,
    /// How much light it gives, if that is known.
    pub reading: Option<Reading>,
    /// Free text.
    pub note: String,
}

/// One lighting set-up.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Its id.
    pub id: Id,
    /// Its look, as a place in [`Show::looks`].
    pub look: usize,
    /// A variant, as a place in the look's variants.
    pub variant: Option<usize>,
    /// Its cameras, as places in [`Show::cameras`].
    pub cameras: Vec<usize>,
    /// The camera's balance, kelvin.
    pub balance_kelvin: Option<f64>,
    /// Its tint, CIE 1960 (u, v).
    pub balance_greener_duv: f64,
    /// What the camera's menu says.
    pub balance_note: String,
    /// Beginnings of the names of its clips and reels, for edit decision lists.
    pub clips: Vec<String>,
    /// Its lights.
    pub lights: Vec<Light>,
    /// Grade of a diffusion filter on the lens.
    pub diffusion_on_lens: Option<Id>,
    /// Whether haze is in the air.
    pub haze: bool,
    /// What the camera is rated at.
    pub iso: Option<f64>,
    /// Shutter angle, degrees.
    pub shutter_deg: Option<f64>,
    /// T-stop, as a number.
    pub t_stop: Option<f64>,
    /// Frames a second, where they are not the show's.
    pub frame_rate: Option<f64>,
    /// Light that filters on the lens take, stops.
    pub lens_stops: f64,
    /// The meter's receptor, where it is said.
    pub receptor: Option<Receptor>,
    /// Free text.
    pub note: String,
}

/// A version of a setup's look.
#[derive(Clone, Debug)]
pub struct LookVersion {
    /// Its id.
    pub id: Id,
    /// Its setup, as a place in [`Show::setups`].
    pub setup: usize,
    /// The version that it was made from.
    pub from: Id,
    /// What is laid over the recipe.
    pub set: Vec<String>,
    /// Where that stands.
    pub set_span: Span,
    /// What changed, in words.
    pub changed: String,
    /// When it was made, as was written.
    pub made: String,
    /// What the look meant when it was made.
    pub look_fingerprint: Id,
}

impl Show {
    /// The setup of that id.
    #[must_use]
    pub fn setup(&self, id: &str) -> Option<usize> {
        self.setups.iter().position(|setup| setup.id.is(id))
    }

    /// The versions of a setup, in order.
    pub fn versions_of(&self, setup: usize) -> impl Iterator<Item = &LookVersion> {
        self.versions.iter().filter(move |version| version.setup == setup)
    }
}

/// The text of a written value, empty for any other.
pub(super) fn text_of(written: &Written) -> &str {
    if let Value::Text(text) = &written.value { text } else { "" }
}
