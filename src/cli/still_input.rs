//! What the numbers of a still are, as `--input` says it.

use super::camera::{Given, camera};
use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use lookwright::picture::stand_in::Content;

/// Help of the argument.
pub const HELP: &str = "What the stills are: log (the camera's signal, full range), another camera's ENCODING/GAMUT such as s-log3/s-gamut3.cine, \
     or as a stand-in srgb or display-p3 (ordinary photographs) or linear (scene light in BT.709 primaries, 18 % grey at 0.18)";

const GIVEN: Given = Given { gamut: "the gamut (--input ENCODING/GAMUT)", index: "--input ENCODING@INDEX/GAMUT" };

/// What is said with `--input`, and what is doubtful about it.
pub fn content(text: &str) -> Result<(Content, Vec<Diagnostic>), Vec<Diagnostic>> {
    if let Some(content) = Content::find(text.trim()) {
        return Ok((content, Vec::new()));
    }
    let (encoding, gamut) = match text.split_once('/') {
        Some((encoding, gamut)) => (encoding, Some(gamut.trim())),
        None => (text, None),
    };
    let (encoding, index) = match encoding.split_once('@') {
        Some((encoding, index)) => (encoding, Some(index.trim().parse::<u32>().map_err(|_| no_index(text, index))?)),
        None => (encoding, None),
    };
    let found = camera(GIVEN, encoding.trim(), gamut, index);
    found.map(|(camera, doubts)| (Content::Camera(camera), doubts)).map_err(|found| {
        let near =
            nearest(text, Content::NAMED.map(|content| content.id()).iter().map(String::as_str)).map(str::to_owned);
        found.into_iter().map(|one| placed(one, text, near.as_deref())).collect()
    })
}

fn no_index(text: &str, index: &str) -> Vec<Diagnostic> {
    let found = Diagnostic::error(&codes::EXPOSURE_INDEX, format!("\"{index}\" is not an exposure index"));
    vec![placed(found, text, None).help("for example --input logc3@800/awg3")]
}

/// A fault at the argument; what was meant is more likely a word of `--input` if it is nearly one.
fn placed(found: Diagnostic, text: &str, near: Option<&str>) -> Diagnostic {
    let span = Span { source: SourceText::new("--input", text), range: 0..text.len() };
    let found = found.at(span, "expected log, srgb, display-p3, linear, or ENCODING/GAMUT");
    match near {
        Some(near) => found.help(format!("did you mean \"{near}\"?")),
        None => found,
    }
}
