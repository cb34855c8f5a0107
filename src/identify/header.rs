//! What a file's header claims, held against its numbers.

use super::{Candidate, Verdict};
use crate::compile::fingerprint_in;
use serde::Serialize;

/// What the header claims. It is evidence, not proof: anybody can copy one.
#[derive(Clone, Debug, Serialize)]
pub struct Claim {
    /// The fingerprint in the header.
    pub fingerprint: Option<String>,
    /// Candidates with that fingerprint.
    pub candidates: Vec<usize>,
    /// Whether the numbers agree.
    pub agreement: Agreement,
}

/// Whether the numbers agree with the header.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Agreement {
    /// The header claims nothing.
    NoClaim,
    /// Its fingerprint is that of no candidate.
    Unknown,
    /// The numbers are those of the look that it claims.
    Agrees,
    /// They can be explained by that look, but another explains them more simply.
    LessSimply,
    /// They are those of another candidate.
    OtherLook,
    /// They are those of no candidate.
    NoLook,
}

impl Agreement {
    /// The same as a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NoClaim => "the header claims nothing",
            Self::Unknown => "the header claims a look that is not among these",
            Self::Agrees => "the numbers are those of the look that the header claims",
            Self::LessSimply => "the look that the header claims explains the numbers, but another does so more simply",
            Self::OtherLook => "the header claims one look, the numbers are those of another",
            Self::NoLook => "the header claims a look whose numbers these are not",
        }
    }
}

impl Claim {
    /// The claim, not yet held against anything.
    pub(super) fn of(comments: &[String], candidates: &[Candidate]) -> Self {
        let fingerprint = fingerprint_in(comments).map(str::to_ascii_lowercase);
        let claims =
            |candidate: &Candidate| fingerprint.as_ref().is_some_and(|text| *text == candidate.plan.fingerprint());
        let claimed: Vec<usize> = if fingerprint.is_some() {
            (0..candidates.len()).filter(|index| claims(&candidates[*index])).collect()
        } else {
            Vec::new()
        };
        let agreement = match fingerprint {
            None => Agreement::NoClaim,
            Some(_) => Agreement::Unknown,
        };
        Self { fingerprint, candidates: claimed, agreement }
    }

    /// Holds it against the numbers. `fitting` are the candidates that explain them in any way.
    pub(super) fn judge(&mut self, verdict: &Verdict, fitting: &[usize]) {
        if self.candidates.is_empty() {
            return;
        }
        let any_in = |indices: &[usize]| self.candidates.iter().any(|index| indices.contains(index));
        self.agreement = match verdict {
            Verdict::Is { candidates, .. } if any_in(candidates) => Agreement::Agrees,
            Verdict::Is { .. } if any_in(fitting) => Agreement::LessSimply,
            Verdict::Is { .. } => Agreement::OtherLook,
            Verdict::None => Agreement::NoLook,
        };
    }
}
