//! What an ASC CDL file holds, as values.

use super::text::no_place;
use crate::diagnostics::{Diagnostic, Span};
use crate::plan::Cdl;

/// Which of the three files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `.cc`: one correction.
    Correction,
    /// `.ccc`: a collection of corrections.
    Collection,
    /// `.cdl`: corrections, each with the medium that it is for.
    DecisionList,
}

impl Kind {
    /// All.
    pub const ALL: [Self; 3] = [Self::Correction, Self::Collection, Self::DecisionList];

    /// The root element of the file.
    #[must_use]
    pub fn element(self) -> &'static str {
        match self {
            Self::Correction => "ColorCorrection",
            Self::Collection => "ColorCorrectionCollection",
            Self::DecisionList => "ColorDecisionList",
        }
    }

    /// The usual end of the file's name, without the point.
    #[must_use]
    pub fn extension(self) -> &'static str {
        match self {
            Self::Correction => "cc",
            Self::Collection => "ccc",
            Self::DecisionList => "cdl",
        }
    }
}

/// Free texts of a file, a decision or a correction; each may be missing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notes {
    /// What it is, one paragraph each.
    pub descriptions: Vec<String>,
    /// What the numbers are meant to be applied to; may be empty.
    pub input_description: String,
    /// How the result is meant to be seen; may be empty.
    pub viewing_description: String,
}

/// One correction.
#[derive(Clone, Debug)]
pub struct Correction {
    /// Its identifier; may be empty.
    pub id: String,
    /// What it is, one paragraph each; those of its nodes behind its own.
    pub descriptions: Vec<String>,
    /// What the numbers are meant to be applied to; may be empty.
    pub input_description: String,
    /// How the result is meant to be seen; may be empty.
    pub viewing_description: String,
    /// The ten numbers.
    pub cdl: Cdl,
    /// Where it stands; nowhere if it was not read from a file.
    pub place: Span,
    /// Where its numbers stand.
    pub values: ValuePlaces,
}

impl Correction {
    /// A correction that was read from no file, without descriptions.
    #[must_use]
    pub fn new(id: impl Into<String>, cdl: Cdl) -> Self {
        Self {
            id: id.into(),
            descriptions: Vec::new(),
            input_description: String::new(),
            viewing_description: String::new(),
            cdl,
            place: no_place(),
            values: ValuePlaces::default(),
        }
    }
}

/// Equal if they say the same, wherever they stand.
impl PartialEq for Correction {
    fn eq(&self, other: &Self) -> bool {
        let said = |one: &Self| {
            (
                one.id.clone(),
                one.descriptions.clone(),
                one.input_description.clone(),
                one.viewing_description.clone(),
                one.cdl,
            )
        };
        said(self) == said(other)
    }
}

/// Where the numbers of a correction stand; `None` for what was not written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ValuePlaces {
    /// The three slopes.
    pub slope: Option<Span>,
    /// The three offsets.
    pub offset: Option<Span>,
    /// The three powers.
    pub power: Option<Span>,
    /// The saturation.
    pub saturation: Option<Span>,
}

/// A correction in its file, or a reference to one.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Texts of the decision around it; only in a [`Kind::DecisionList`].
    pub notes: Notes,
    /// The medium that it is for, a path or an address; only in a [`Kind::DecisionList`], may be empty.
    pub media: String,
    /// The correction.
    pub content: Content,
}

impl Entry {
    /// A correction with nothing around it.
    #[must_use]
    pub fn of(correction: Correction) -> Self {
        Self { notes: Notes::default(), media: String::new(), content: Content::Correction(Box::new(correction)) }
    }
}

/// What an entry holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// The numbers themselves.
    Correction(Box<Correction>),
    /// The id of a correction that stands elsewhere, in this file or in another.
    Reference(String),
}

/// An ASC CDL file.
#[derive(Clone, Debug, PartialEq)]
pub struct CdlFile {
    /// Which of the three.
    pub kind: Kind,
    /// Texts of the whole file; none in a [`Kind::Correction`], whose texts are those of its correction.
    pub notes: Notes,
    /// What it holds, in order; exactly one correction in a [`Kind::Correction`].
    pub entries: Vec<Entry>,
    /// Departures that were read all the same, in the order of their lines.
    pub warnings: Vec<Diagnostic>,
}

impl CdlFile {
    /// A file of these corrections.
    #[must_use]
    pub fn new(kind: Kind, corrections: Vec<Correction>) -> Self {
        let entries = corrections.into_iter().map(Entry::of).collect();
        Self { kind, notes: Notes::default(), entries, warnings: Vec::new() }
    }

    /// The corrections, in order.
    pub fn corrections(&self) -> impl Iterator<Item = &Correction> {
        self.entries.iter().filter_map(|entry| match &entry.content {
            Content::Correction(correction) => Some(&**correction),
            Content::Reference(_) => None,
        })
    }

    /// The correction of an id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<&Correction> {
        self.corrections().find(|correction| correction.id == id)
    }
}
