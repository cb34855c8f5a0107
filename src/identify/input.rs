//! What the axes of a file mean, seen from the look's own.

use super::levelling::Levelling;
use crate::maths::Rgb;
use serde::Serialize;

/// How the input of a file goes to the input of the look.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Input {
    /// The axes are the look's own, or re-levelled.
    Levels(Levelling),
    /// The file's domain is a part of the look's axes, or more than them.
    Domain {
        /// The first node's place on the look's axes.
        min: Rgb,
        /// The last node's.
        max: Rgb,
    },
}

impl Input {
    pub(super) const KEPT: Self = Self::Levels(Levelling::Kept);

    pub(super) const LEVELS: [Self; 3] =
        [Self::Levels(Levelling::PLAIN[0]), Self::Levels(Levelling::PLAIN[1]), Self::Levels(Levelling::PLAIN[2])];

    /// Itself and what lies too near to be told apart at first sight.
    pub(super) fn near(self) -> Vec<Self> {
        match self {
            Self::Levels(levelling) => levelling.near().iter().map(|near| Self::Levels(*near)).collect(),
            Self::Domain { .. } => vec![self],
        }
    }

    /// From a part 0..1 of the file's axes to the look's.
    pub(super) fn to_look(self, place: Rgb) -> Rgb {
        match self {
            Self::Levels(levelling) => levelling.undo_all(place),
            Self::Domain { min, max } => [0, 1, 2].map(|i| min[i] + (max[i] - min[i]) * place[i]),
        }
    }

    pub(super) fn words(self) -> Option<String> {
        match self {
            Self::KEPT => None,
            Self::Levels(levelling) => Some(format!("input {}", levelling.words())),
            Self::Domain { .. } => Some("re-sampled over its own domain".to_owned()),
        }
    }
}
