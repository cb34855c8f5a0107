//! Comments that mean something to us.

use super::line::Line;
use crate::diagnostics::{Diagnostic, Span, codes};
use crate::formats::cdl::{Values, number, shown, triple};
use crate::maths::Rgb;
use std::ops::Range;

/// What a comment says, with the piece of the line that stands for it.
pub(super) enum Comment<'a> {
    /// `ASC_SOP`.
    Sop(&'a str),
    /// `ASC_SAT`.
    Sat(&'a str),
    /// `ASC_CC_XML`.
    CorrectionId(&'a str),
    /// `FROM CLIP NAME`.
    FromClip(&'a str),
    /// `TO CLIP NAME`.
    ToClip(&'a str),
    /// `LOC`.
    Locator(&'a str),
    /// `M2`, which has no star.
    Speed(&'a str),
    /// Anything else.
    Other(&'a str),
}

/// What a line after an event says.
pub(super) fn comment<'a>(line: &'a Line<'_>) -> Comment<'a> {
    let text = line.text.trim();
    let Some(body) = text.strip_prefix('*') else {
        return after(text, "M2").map_or(Comment::Other(text), Comment::Speed);
    };
    let body = body.trim();
    let said = |word: &str| after(body, word);
    said("ASC_SOP")
        .map(Comment::Sop)
        .or_else(|| said("ASC_SAT").map(Comment::Sat))
        .or_else(|| said("ASC_CC_XML").map(Comment::CorrectionId))
        .or_else(|| said("FROM CLIP NAME").map(Comment::FromClip))
        .or_else(|| said("TO CLIP NAME").map(Comment::ToClip))
        .or_else(|| said("LOC").map(Comment::Locator))
        .unwrap_or(Comment::Other(body))
}

/// What stands after a keyword and its colon, which may be missing.
fn after<'a>(text: &'a str, keyword: &str) -> Option<&'a str> {
    let head = text.get(..keyword.len())?;
    let rest = &text[keyword.len()..];
    let ends = rest.is_empty() || rest.starts_with([':', '(', ' ', '\t']);
    (head.eq_ignore_ascii_case(keyword) && ends).then(|| rest.trim_start().trim_start_matches(':').trim())
}

/// The three triples of `ASC_SOP (s s s)(o o o)(p p p)`, and where they stand.
pub(super) fn sop(name: &str, line: &Line<'_>, body: &str) -> Result<[(Rgb, Span); 3], Vec<Diagnostic>> {
    let mut rest = body;
    let mut groups: Vec<&str> = Vec::new();
    while let Some(inner) = rest.trim_start().strip_prefix('(') {
        let Some((group, behind)) = inner.split_once(')') else { break };
        groups.push(group);
        rest = behind;
    }
    let ([slope, offset, power], true) = (groups.as_slice(), rest.trim().is_empty()) else {
        let label = format!("expected (three slopes)(three offsets)(three powers), found {}", shown(body));
        let diagnostic = Diagnostic::error(&codes::CDL_COUNT, "ASC_SOP has another form than that of ASC")
            .at(place(name, line, body), label)
            .help("for example: * ASC_SOP (1 1 1)(0 0 0)(1 1 1)");
        return Err(vec![diagnostic]);
    };
    let mut found = Vec::new();
    let mut read = |which, group: &str| {
        let there = place(name, line, group);
        match triple(which, group, &there) {
            Ok(values) => (values, there),
            Err(diagnostics) => {
                found.extend(diagnostics);
                ([0.0; 3], there)
            }
        }
    };
    let sop = [read(Values::Slope, slope), read(Values::Offset, offset), read(Values::Power, power)];
    if found.is_empty() { Ok(sop) } else { Err(found) }
}

/// The number of `ASC_SAT n`, and where it stands.
pub(super) fn sat(name: &str, line: &Line<'_>, body: &str) -> Result<(f64, Span), Vec<Diagnostic>> {
    let there = place(name, line, body);
    match number(Values::Saturation, body, &there) {
        Ok(value) => Ok((value, there)),
        Err(diagnostic) => Err(vec![diagnostic]),
    }
}

fn place(name: &str, line: &Line<'_>, piece: &str) -> Span {
    let start = line.offset(piece);
    let range: Range<usize> = start..start + piece.len();
    line.span(name, range)
}
