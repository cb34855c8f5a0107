//! From the bytes of an ASC CDL file to its corrections, or to everything that is wrong with it.

use super::elements::Elements;
use super::{CdlFile, Correction};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes};
use roxmltree::{Document, Error, ParsingOptions, TextPos};
use std::collections::HashMap;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

/// Bytes of a file that are read: a correction has under 1000, so that these are twenty thousand.
pub const FILE_BYTES_MAX: u64 = 16 << 20;

/// Elements and texts that are read; each takes about a hundred bytes of memory, so that the worst file takes 200 MB.
const NODES_MAX: u32 = 2_000_000;

/// Errors that are told: what follows is most likely the same fault again.
pub(crate) const ERRORS_MAX: usize = 20;

/// Reads an ASC CDL file from disk.
///
/// # Errors
/// As [`parse`]; `LW0401` where the file can't be read.
pub fn read(path: &Path) -> Result<CdlFile, Vec<Diagnostic>> {
    let bytes = read_bytes(path).map_err(|diagnostic| vec![*diagnostic])?;
    parse(&path.display().to_string(), &bytes)
}

/// Reads an ASC CDL file from its bytes. `source_name` is the name that diagnostics give it.
///
/// What is accepted stands at the head of [this module](super).
///
/// # Errors
/// All errors up to twenty, each with line and column, and after them the warnings. Codes `LW0340`–`LW0346`.
pub fn parse(source_name: &str, bytes: &[u8]) -> Result<CdlFile, Vec<Diagnostic>> {
    let text = utf8(source_name, bytes).map_err(|diagnostic| vec![*diagnostic])?;
    let source = SourceText::new(source_name, text);
    let options = ParsingOptions { nodes_limit: NODES_MAX, ..ParsingOptions::default() };
    let document = match Document::parse_with_options(&source.text, options) {
        Ok(document) => document,
        Err(error) => return Err(vec![not_xml(&source, &error)]),
    };
    let mut elements = Elements::new(&source);
    let file = elements.file(document.root_element());
    let (mut errors, mut warnings) = elements.into_diagnostics();
    if let Some(file) = &file {
        let (clashing, repeated) = clashes(file.corrections());
        errors.extend(clashing);
        warnings.extend(repeated);
    }
    errors.truncate(ERRORS_MAX);
    match file {
        Some(file) if errors.is_empty() => Ok(CdlFile { warnings, ..file }),
        _ => {
            errors.append(&mut warnings);
            Err(errors)
        }
    }
}

/// The bytes of a file, if they are not absurdly many for one of corrections.
pub(crate) fn read_bytes(path: &Path) -> Result<Vec<u8>, Box<Diagnostic>> {
    let name = path.display();
    let unreadable = |why: String| Box::new(Diagnostic::error(&codes::FILE_UNREADABLE, format!("{name}: {why}")));
    let file = File::open(path).map_err(|error| unreadable(error.to_string()))?;
    let mut bytes = Vec::new();
    // A device or pipe has no length to look at before: it is read up to the limit only.
    file.take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes).map_err(|error| unreadable(error.to_string()))?;
    if bytes.len() as u64 > FILE_BYTES_MAX { Err(Box::new(too_large(&name.to_string()))) } else { Ok(bytes) }
}

pub(crate) fn too_large(name: &str) -> Diagnostic {
    let message = format!("{name}: more than {FILE_BYTES_MAX} bytes are no list of corrections");
    Diagnostic::error(&codes::CDL_NOT_TEXT, message).help("name another file")
}

/// The bytes as UTF-8, or where they stop being it.
fn utf8(source_name: &str, bytes: &[u8]) -> Result<String, Box<Diagnostic>> {
    if bytes.len() as u64 > FILE_BYTES_MAX {
        return Err(Box::new(too_large(source_name)));
    }
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => return Ok(text.to_owned()),
        Err(error) => error,
    };
    let at = error.valid_up_to();
    let line_start = bytes[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |newline| newline + 1);
    let number = bytes[..at].iter().filter(|byte| **byte == b'\n').count() + 1;
    let before = String::from_utf8_lossy(&bytes[line_start..at]);
    // The column is that of the byte; the excerpt begins there, for what stands before may be long.
    let source = SourceText::excerpt(source_name, "\u{FFFD}", number, before.chars().count() + 1);
    let span = Span { range: 0..source.text.len(), source };
    let two_bytes = bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF");
    let found =
        if two_bytes { "a text of two bytes a character".to_owned() } else { format!("byte {:#04x}", bytes[at]) };
    Err(Box::new(
        Diagnostic::error(&codes::CDL_NOT_TEXT, "the file is not UTF-8 text")
            .at(span, format!("expected UTF-8, found {found}"))
            .help("save the file as UTF-8, or export it again"),
    ))
}

fn not_xml(source: &Arc<SourceText>, error: &Error) -> Diagnostic {
    if *error == Error::DtdDetected {
        let start = source.text.find("<!DOCTYPE").unwrap_or(0);
        let span = Span { source: Arc::clone(source), range: start..start + "<!DOCTYPE".len().min(source.text.len()) };
        return Diagnostic::error(&codes::CDL_XML, "the file brings a document type with it")
            .at(span, "expected no <!DOCTYPE>")
            .help("no ASC CDL needs one, and its entities can make a small file endless: take it out");
    }
    let message = match error {
        Error::NodesLimitReached => format!("more than {NODES_MAX} elements and texts"),
        // Its own words end with the place, which is told in our way.
        other => other.to_string().rsplit_once(" at ").map_or(other.to_string(), |(words, _)| words.to_owned()),
    };
    let start = match error {
        Error::UnexpectedEndOfStream | Error::UnclosedRootNode | Error::NoRootNode => source.text.trim_end().len(),
        other => offset(&source.text, other.pos()),
    };
    let end = source.text[start..].chars().next().map_or(start, |one| start + one.len_utf8());
    let found = match start {
        0 if source.text.trim().is_empty() => "an empty file",
        end if end == source.text.trim_end().len() => "the end of the file",
        _ => "this",
    };
    Diagnostic::error(&codes::CDL_XML, format!("the file is not XML: {message}"))
        .at(Span { source: Arc::clone(source), range: start..end }, format!("expected XML, found {found}"))
        .help("export the file again")
}

/// The byte offset of a row and a column, both from 1.
fn offset(text: &str, place: TextPos) -> usize {
    let row = (place.row as usize).saturating_sub(1);
    let line = text.split_inclusive('\n').take(row).map(str::len).sum::<usize>();
    let column = (place.col as usize).saturating_sub(1);
    text[line..].char_indices().nth(column).map_or(text.len(), |(within, _)| line + within)
}

/// Corrections that share an id: errors where their numbers differ, else one warning in all. An empty id is none.
fn clashes<'a>(corrections: impl Iterator<Item = &'a Correction>) -> (Vec<Diagnostic>, Option<Diagnostic>) {
    let mut known: HashMap<&str, &Correction> = HashMap::new();
    let (mut errors, mut repeated) = (Vec::new(), None);
    for correction in corrections.filter(|correction| !correction.id.is_empty()) {
        let Some(other) = known.get(correction.id.as_str()) else {
            known.insert(&correction.id, correction);
            continue;
        };
        let (line, _) = other.place.source.line_column(other.place.range.start);
        let id = super::shown(&correction.id);
        if other.cdl == correction.cdl {
            repeated.get_or_insert_with(|| {
                Diagnostic::warning(&codes::CDL_ID, format!("the correction {id} is there twice"))
                    .at(correction.place.clone(), format!("the same as in line {line}"))
            });
        } else if errors.len() < ERRORS_MAX {
            errors.push(
                Diagnostic::error(&codes::CDL_ID, format!("two different corrections are called {id}"))
                    .at(
                        correction.place.clone(),
                        format!("expected an id of its own; it stands in line {line} already"),
                    )
                    .help("give one of them another id"),
            );
        }
    }
    (errors, repeated)
}
