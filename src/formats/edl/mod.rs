//! Edit decision lists in the CMX 3600 form, with the corrections that their comments carry.
//!
//! The form is common practice, from memory: no document of it was at hand. The comments `ASC_SOP` and `ASC_SAT` are those of the ASC
//! CDL (bibliography: asc-cdl).
//!
//! A line that begins with a number is an event: number, reel, channels, transition with its duration, and four time codes. What
//! follows it up to the next event is about it: comments (`* FROM CLIP NAME: …`, `* LOC: …`), speeds (`M2`), and anything else, which is
//! kept and never judged. Line ends, case and spacing are free; tabs are spaces. An event of which anything is missing is an error, as
//! are corrections that contradict each other or belong to no event.
//!
//! A dissolve has two lines of one number: the picture that goes and the one that comes. Each is an [`Event`] here, and has the name of its
//! own clip.

mod annotate;
mod comment;
mod line;
mod read;
mod timecode;

pub use annotate::annotate;
pub use read::{parse, read};
pub use timecode::Timecode;

use crate::diagnostics::{Diagnostic, Span};
use crate::formats::cdl::ValuePlaces;
use crate::plan::Cdl;

/// An edit decision list.
#[derive(Clone, Debug, PartialEq)]
pub struct Edl {
    /// The title; empty where there is none.
    pub title: String,
    /// The events, in order.
    pub events: Vec<Event>,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

/// One line of an event, and what its comments say.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Its number as it is written, such as `003`.
    pub number: String,
    /// The reel that it comes from.
    pub reel: String,
    /// The channels, such as `V`, `AA/V` or `NONE`.
    pub channels: String,
    /// The transition to it: `C` for a cut, `D` for a dissolve, `W001` for a wipe, `KB`, `K` or `KO` for a key.
    pub transition: String,
    /// Frames that the transition takes; none for a cut.
    pub transition_frames: Option<u32>,
    /// In and out of the source.
    pub source: [Timecode; 2],
    /// In and out in the programme.
    pub record: [Timecode; 2],
    /// Whether its programme's time code drops frames, by its own separators or by the last `FCM` before it.
    pub drop_frame: bool,
    /// The name of its clip: of a dissolve's second line that after `TO CLIP NAME`, else that after `FROM CLIP NAME`.
    pub clip_name: Option<String>,
    /// Marks, as they are written after `LOC:`.
    pub locators: Vec<String>,
    /// Speeds, as they are written after `M2`.
    pub speeds: Vec<String>,
    /// The id of a correction in another file, after `ASC_CC_XML`.
    pub correction_id: Option<String>,
    /// Its correction; `None` where it has none.
    pub cdl: Option<Cdl>,
    /// Where the numbers of that stand.
    pub values: ValuePlaces,
    /// All other comments, without the star.
    pub comments: Vec<String>,
    /// Where its line stands.
    pub place: Span,
}
