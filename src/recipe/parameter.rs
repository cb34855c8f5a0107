//! What a parameter is, and how the language's tables and choices are described.

use super::value::Value;
use crate::colour::adaptation::Adaptation;
use crate::colour::displays::DisplayEncoding;
use crate::colour::{canonical_name, encodings, gamuts};
use crate::lut::Interpolation;
use crate::plan::Levels;

/// One key of the recipe language: the only place where its type, unit, range, default and help are said.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// Dotted path, such as `white.warmer_mired`. Keys of a hue band stand under `colour.band`.
    pub path: &'static str,
    /// Type and range.
    pub kind: Kind,
    /// What holds where the key is absent.
    pub default: Default,
    /// Unit, empty for pure numbers and names.
    pub unit: &'static str,
    /// One line of help.
    pub help: &'static str,
    /// A value as it is written in TOML.
    pub example: &'static str,
    /// A key that excludes this one, by its last part.
    pub excludes: Option<&'static str>,
}

impl Parameter {
    /// The table that the key stands in; empty for the top level.
    #[must_use]
    pub fn table(&self) -> &'static str {
        self.path.rsplit_once('.').map_or("", |(table, _)| table)
    }

    /// Whether the key means something only beside a file that has to be there.
    #[must_use]
    pub fn needs_file(&self) -> bool {
        matches!(self.kind, Kind::Path) || self.path == "grade.from_id"
    }

    /// The key without its table.
    #[must_use]
    pub fn key(&self) -> &'static str {
        self.path.rsplit_once('.').map_or(self.path, |(_, key)| key)
    }
}

/// Type and range of a parameter.
#[derive(Clone, Debug)]
pub enum Kind {
    /// The version of the language.
    Version,
    /// Text.
    Text,
    /// A path, relative to the file that it stands in.
    Path,
    /// `true` or `false`.
    Flag,
    /// One of a list of names.
    Choice(Choice),
    /// A number.
    Number {
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: Bound,
    },
    /// A whole number.
    Integer {
        /// Smallest value.
        min: i64,
        /// Largest value.
        max: i64,
    },
    /// Three numbers, for red, green and blue.
    Triple {
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: f64,
    },
    /// Three rows of three numbers, each within ±`limit`.
    Matrix {
        /// Largest size of an element.
        limit: f64,
    },
}

/// The upper end of a range.
#[derive(Clone, Copy, Debug)]
pub enum Bound {
    /// A number.
    Value(f64),
    /// The value of another parameter of the same table.
    Parameter(&'static str),
    /// No end of its own; what is possible depends on the other keys.
    Open,
}

/// What holds where a key is absent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Default {
    /// The key must be written.
    Required,
    /// The key may be absent; the help says what then holds.
    Absent,
    /// A number.
    Number(f64),
    /// A whole number.
    Integer(i64),
    /// A name or a text.
    Text(&'static str),
    /// A flag.
    Flag(bool),
    /// Three equal numbers.
    Triple(f64),
    /// The identity matrix.
    Identity,
    /// The zero matrix.
    Zeros,
}

impl Default {
    /// The value that holds; `None` where none does.
    #[must_use]
    pub fn value(&self) -> Option<Value> {
        const IDENTITY: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        match *self {
            Self::Required | Self::Absent => None,
            Self::Number(number) => Some(Value::Number(number)),
            Self::Integer(number) => Some(Value::Integer(number)),
            Self::Text(text) => Some(Value::Text(text.to_owned())),
            Self::Flag(flag) => Some(Value::Flag(flag)),
            Self::Triple(each) => Some(Value::Triple([each; 3])),
            Self::Identity => Some(Value::Matrix(IDENTITY)),
            Self::Zeros => Some(Value::Matrix([[0.0; 3]; 3])),
        }
    }
}

/// A list of names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Cone spaces.
    Adaptation,
    /// Camera encodings.
    Encoding,
    /// Gamuts of cameras.
    Gamut,
    /// Encodings of displays.
    DisplayEncoding,
    /// Gamuts of displays.
    DisplayGamut,
    /// Grades of diffusion.
    DiffusionGrade,
    /// Ways to read between nodes.
    Interpolation,
    /// Levels.
    Levels,
    /// What a table from post takes and gives.
    AfterDomain,
    /// Names that another language than that of recipes declares, and what one of them is called.
    Other(&'static str, &'static [&'static str]),
}

/// The signal of the recipe's display: the only domain of a table from post so far.
pub const DISPLAY_DOMAIN: &str = "display";

/// Gamuts that a display may have.
pub const DISPLAY_GAMUTS: [&str; 6] = ["bt709", "srgb", "p3-d65", "p3-dci", "bt2020", "display-p3"];

/// Grades of diffusion filters, in the trade's fractions.
pub const DIFFUSION_GRADES: [&str; 5] = ["1/8", "1/4", "1/2", "1", "2"];

impl Choice {
    /// All names, in canonical form.
    #[must_use]
    pub fn names(self) -> Vec<&'static str> {
        match self {
            Self::Adaptation => Adaptation::ALL.iter().map(|a| a.id()).collect(),
            Self::Encoding => encodings::ENCODINGS.iter().map(|e| e.id).collect(),
            Self::Gamut => gamuts::GAMUTS.iter().map(|g| g.id).collect(),
            Self::DisplayEncoding => DisplayEncoding::ALL.iter().map(|d| d.id()).collect(),
            Self::DisplayGamut => DISPLAY_GAMUTS.to_vec(),
            Self::DiffusionGrade => DIFFUSION_GRADES.to_vec(),
            Self::Interpolation => Interpolation::ALL.iter().map(|i| i.id()).collect(),
            Self::Levels => Levels::ALL.iter().map(|l| l.id()).collect(),
            Self::AfterDomain => vec![DISPLAY_DOMAIN],
            Self::Other(_, names) => names.to_vec(),
        }
    }

    /// The canonical name that `written` means, if any.
    #[must_use]
    pub fn find(self, written: &str) -> Option<&'static str> {
        let wanted = canonical_name(written);
        self.names().into_iter().find(|name| canonical_name(name) == wanted)
    }

    /// What a value of this kind is called in messages.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Adaptation => "adaptation",
            Self::Encoding => "camera encoding",
            Self::Gamut => "gamut",
            Self::DisplayEncoding => "display encoding",
            Self::DisplayGamut => "display gamut",
            Self::DiffusionGrade => "diffusion grade",
            Self::Interpolation => "interpolation",
            Self::Levels => "levels",
            Self::AfterDomain => "domain",
            Self::Other(noun, _) => noun,
        }
    }
}
