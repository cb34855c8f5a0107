//! Places in texts, and pieces of them as a message may show them.

use crate::diagnostics::{SourceText, Span};

/// Characters of a value that a message repeats at most.
const SHOWN_CHARACTERS: usize = 24;

/// No place in any text.
pub(super) fn no_place() -> Span {
    Span { source: SourceText::new("", ""), range: 0..0 }
}

/// A piece of a file as a message repeats it: between backticks, never long, without control characters.
pub(crate) fn shown(text: &str) -> String {
    let mut characters = text.chars().map(|one| if one.is_control() { ' ' } else { one });
    let mut shown: String = characters.by_ref().take(SHOWN_CHARACTERS).collect();
    if characters.next().is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}
