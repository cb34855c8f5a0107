//! `docs/encodings.md`, made from the tables of encodings, gamuts and displays.

use super::exposure_table::{ExposureStep, ExposureTable};
use crate::colour::Source;
use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::{Curve, ENCODINGS, Encoding, Functions};
use crate::colour::gamuts::{GAMUTS, Gamut};
use std::fmt::Write as _;

/// The reference page of encodings, gamuts and displays, Markdown.
#[must_use]
pub fn encodings_page() -> String {
    let mut page = String::from(
        "# Encodings, gamuts and displays\n\n\
         This page is made from the program's own tables; `bash tests/run` checks that it is fresh. Names are compared\n\
         without case, spaces, hyphens, dots and underscores. `lookwright encodings NAME` prints a whole stops-to-code table.\n\n\
         *Grade* says how far a source can be trusted: a maker's document, a standard, or third parties only; using one of\n\
         the last kind warns. How each source was seen: [bibliography.md](bibliography.md).\n\n\
         ## Camera encodings\n\n\
         `[camera] encoding`. *Belongs with* lists the gamuts that were published with it; any other warns.\n\n\
         | id | name | publisher | belongs with | grade | source | note |\n|---|---|---|---|---|---|---|\n",
    );
    for encoding in ENCODINGS {
        encoding_row(&mut page, encoding);
    }
    page.push_str(
        "\n### Where they put black, grey and white\n\n\
         10-bit codes of no light, of 18 % grey and of a 90 % white, and the stops above grey at which the signal ends.\n\
         In brackets: percent of what a device shows that scales codes 64..940 to 0..1.\n\n\
         | id | black | grey 18 % | white 90 % | ends at |\n|---|---|---|---|---|\n",
    );
    for encoding in ENCODINGS {
        landmark_rows(&mut page, encoding);
    }
    page.push_str(
        "\n## Gamuts\n\n\
         `[camera] gamut`; the last six also as `[display] gamut`. CIE 1931 chromaticities (x, y) as published; every matrix\n\
         is derived from them.\n\n\
         | id | name | red | green | blue | white | grade | source | note |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    for gamut in GAMUTS {
        gamut_row(&mut page, gamut);
    }
    page.push_str(
        "\n## Display encodings\n\n`[display] encoding`.\n\n\
         | id | name | needs peak_nits | grade | source |\n|---|---|---|---|---|\n",
    );
    for display in DisplayEncoding::ALL {
        let peak = if display.needs_peak() { "yes" } else { "no" };
        let _ = writeln!(page, "| `{}` | {} | {peak} | {} |", display.id(), display.name(), source(&display.source()));
    }
    page
}

fn encoding_row(page: &mut String, encoding: &Encoding) {
    let gamuts: Vec<String> = encoding.gamuts.iter().map(|id| format!("`{id}`")).collect();
    let note = match encoding.functions {
        Functions::ByExposureIndex { indices, .. } => {
            let indices: Vec<String> = indices.iter().map(u32::to_string).collect();
            format!("Needs `exposure_index`, one of {}. {}", indices.join(", "), encoding.note)
        }
        Functions::Fixed { .. } => encoding.note.to_owned(),
    };
    let _ = writeln!(
        page,
        "| `{}` | {} | {} | {} | {} | {note} |",
        encoding.id,
        encoding.name,
        encoding.publisher,
        gamuts.join(", "),
        source(&encoding.source),
    );
}

/// One row; for a curve that depends on the exposure index, one for each index.
fn landmark_rows(page: &mut String, encoding: &'static Encoding) {
    let indices: Vec<Option<u32>> = match encoding.functions {
        Functions::ByExposureIndex { indices, .. } => indices.iter().copied().map(Some).collect(),
        Functions::Fixed { .. } => vec![None],
    };
    for index in indices {
        // Every published index makes a curve.
        let Ok(curve) = Curve::new(encoding, index) else { continue };
        let table = ExposureTable::new(curve);
        let [black, grey, white] = table.landmarks.map(|landmark| code(&landmark.at));
        let index = index.map_or(String::new(), |index| format!(" EI {index}"));
        let _ = writeln!(page, "| `{}`{index} | {black} | {grey} | {white} | {:+.2} |", encoding.id, table.clip.stops);
    }
}

fn code(at: &ExposureStep) -> String {
    if !at.signal.is_finite() {
        return "none".to_owned();
    }
    let percent = format!("{:.1}", 100.0 * at.scaled);
    // 12-bit codes miss the 10-bit scale by a fraction.
    let percent = if percent == "-0.0" { "0.0" } else { &percent };
    format!("{:.1} ({percent} %)", at.code)
}

fn gamut_row(page: &mut String, gamut: &Gamut) {
    let [red, green, blue, white] = [gamut.red, gamut.green, gamut.blue, gamut.white].map(|[x, y]| format!("{x}, {y}"));
    let _ = writeln!(
        page,
        "| `{}` | {} | {red} | {green} | {blue} | {white} | {} | {} |",
        gamut.id,
        gamut.name,
        source(&gamut.source),
        gamut.note
    );
}

/// Two cells: the grade, and the citation with its key.
fn source(source: &Source) -> String {
    format!("{} | {} [{key}](bibliography.md#{key})", source.grade.told(), source.citation, key = source.key)
}
