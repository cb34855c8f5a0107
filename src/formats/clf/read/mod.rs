//! From the bytes of a file to a process list, or to everything that is wrong with it.

mod guard;
mod places;
mod steps;
mod values;

use super::model::{BitDepth, Node, ProcessList};
use super::{NAMESPACE, NAMESPACE_SMPTE, VERSION};
use crate::diagnostics::{Diagnostic, codes};
use places::{Element, Read, Reader, Reported};
use roxmltree::{Document, ParsingOptions};
use std::fs::File;
use std::io::{self, Read as _};
use std::ops::Range;
use std::path::Path;

/// Bytes of a file that [`read`] accepts: a table of 128 points a side, the largest that the specification thinks sensible, has
/// 2 million rows of some 35 bytes; this leaves room for three of them.
pub const FILE_BYTES_MAX: u64 = 256 << 20;

/// Errors after which reading stops.
const ERRORS_MAX: usize = 20;

/// What a file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ClfFile {
    /// The list, on the floating-point scale.
    pub list: ProcessList,
    /// Departures from the format that were read all the same.
    pub warnings: Vec<Diagnostic>,
}

/// Reads a file from disk.
///
/// # Errors
/// As [`parse`]; `LW0401` where the file can't be read or has more than [`FILE_BYTES_MAX`] bytes.
pub fn read(path: &Path) -> Result<ClfFile, Vec<Diagnostic>> {
    let name = path.display().to_string();
    let bytes = read_bytes(path).map_err(|error| {
        let message = format!("can't read {name}: {error}");
        vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("check the name, and that it is a file")]
    })?;
    parse(&name, &bytes)
}

fn read_bytes(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > FILE_BYTES_MAX {
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, "it is too large for a Common LUT Format file"));
    }
    Ok(bytes)
}

/// Reads a file from its bytes. `source_name` is the name that diagnostics give it.
///
/// What is accepted stands at the head of [the module](super).
///
/// # Errors
/// All errors that don't follow from one another, at most about twenty, each with line and column; after them the warnings.
/// Codes `LW0330`–`LW0338`.
pub fn parse(source_name: &str, bytes: &[u8]) -> Result<ClfFile, Vec<Diagnostic>> {
    let text = decode(source_name, bytes)?;
    let mut reader = Reader::new(source_name, text);
    let list = reader.document();
    let Reader { mut faults, warnings, .. } = reader;
    match list {
        Ok(list) if faults.is_empty() => Ok(ClfFile { list, warnings }),
        _ => {
            faults.truncate(ERRORS_MAX);
            if faults.len() == ERRORS_MAX
                && let Some(last) = faults.pop()
            {
                faults.push(last.help(format!("reading stopped here, after {ERRORS_MAX} errors")));
            }
            faults.extend(warnings);
            Err(faults)
        }
    }
}

/// The text of a file, which is UTF-8.
fn decode<'a>(source_name: &str, bytes: &'a [u8]) -> Result<&'a str, Vec<Diagnostic>> {
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let label = format!("expected UTF-8, found the byte 0x{:02X}", bytes.get(at).copied().unwrap_or(0));
        let help = if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
            "save it as UTF-8: it is in a two-byte encoding (UTF-16)"
        } else {
            "save it as UTF-8, or copy or export it again: it is in another encoding, damaged, or another format"
        };
        let span = places::span_in(source_name, bytes, at..at + 1);
        vec![Diagnostic::error(&codes::CLF_NOT_XML, "the file is not UTF-8 text").at(span, label).help(help)]
    })
}

impl Reader<'_> {
    fn document(&mut self) -> Read<ProcessList> {
        if let Some((excess, place)) = guard::excess(self.text) {
            let (message, label) = excess.describe();
            let help = "export the file again; no program writes such a file by itself";
            return Err(self.error(&codes::CLF_DECLARATION, message, place, label, help));
        }
        let options = ParsingOptions { allow_dtd: false, nodes_limit: guard::NODES_MAX, ..ParsingOptions::default() };
        let text = self.text;
        let document = Document::parse_with_options(text, options).map_err(|error| self.broken(&error))?;
        if !text.trim_start_matches('\u{FEFF}').starts_with("<?xml") {
            self.warn("the XML declaration is missing", 0..0, "expected <?xml version=\"1.0\" encoding=\"UTF-8\"?>");
        }
        self.list(document.root_element())
    }

    /// Says what the XML parser found.
    fn broken(&mut self, error: &roxmltree::Error) -> Reported {
        let start = self.text.trim_start_matches('\u{FEFF}').trim_start();
        if !start.starts_with('<') {
            let label = match start.split_whitespace().next() {
                Some(word) => format!("expected <?xml, found {}", places::shown(word)),
                None => "expected <?xml, found an empty file".to_owned(),
            };
            let help = "it is another kind of file: name one in the Common LUT Format";
            return self.error(&codes::CLF_NOT_XML, "not an XML file", 0..0, label, help);
        }
        let place = match error {
            roxmltree::Error::UnexpectedEndOfStream | roxmltree::Error::UnclosedRootNode => {
                let end = self.text.trim_end().len();
                end..end
            }
            other => self.offset(other.pos()),
        };
        let label = places::without_position(&error.to_string());
        let help = "copy or export the file again: it was cut off or damaged";
        self.error(&codes::CLF_NOT_XML, "the file breaks the rules of XML", place, label, help)
    }

    fn list(&mut self, root: Element<'_, '_>) -> Read<ProcessList> {
        if root.tag_name().name() != "ProcessList" {
            let label = format!("expected ProcessList, found {}", places::shown(root.tag_name().name()));
            let help = "it is another kind of file: name one in the Common LUT Format";
            return Err(self.error(&codes::CLF_NOT_CLF, "not a Common LUT Format file", self.tag(root), label, help));
        }
        let smpte = root.tag_name().namespace() == Some(NAMESPACE_SMPTE);
        self.version(root, smpte)?;
        self.known_attributes(root, &["id", "compCLFversion", "name", "inverseOf"]);
        self.known_children(
            root,
            &["Id", "InputDescriptor", "OutputDescriptor", "Info"],
            &[&["Description"], &steps::NAMES[..]].concat(),
        );
        let id = self.identifier(root, smpte);
        let nodes = self.nodes(root);
        Ok(ProcessList {
            id: id?,
            name: values::attribute(root, "name").map(|name| name.value().to_owned()).unwrap_or_default(),
            descriptions: values::texts(root, "Description"),
            input: values::texts(root, "InputDescriptor").into_iter().next().unwrap_or_default(),
            output: values::texts(root, "OutputDescriptor").into_iter().next().unwrap_or_default(),
            nodes: nodes?,
        })
    }

    /// Refuses versions that are not known.
    fn version(&mut self, root: Element<'_, '_>, smpte: bool) -> Read<()> {
        let namespace = root.tag_name().namespace();
        if namespace.is_some_and(|found| found != NAMESPACE && found != NAMESPACE_SMPTE) {
            let label = format!("expected {NAMESPACE} or none, found {}", places::shown(namespace.unwrap_or_default()));
            self.warn("namespace of another version", self.tag(root), &label);
        }
        let Some(attribute) = values::attribute(root, "compCLFversion") else {
            if smpte {
                return Ok(());
            }
            let label = format!("expected compCLFversion=\"{VERSION}\", found none");
            let help = "write the version of the format that the file was made for; a file of another format has none";
            return Err(self.error(&codes::CLF_MISSING, "the version is missing", self.tag(root), label, help));
        };
        let found = attribute.value().trim();
        let mut parts = found.split('.').map(|part| part.parse::<u32>().ok());
        let (major, rest) = (parts.next().flatten(), parts.collect::<Option<Vec<u32>>>());
        let old = match (major, rest) {
            (Some(3), Some(rest)) if rest.iter().all(|&part| part == 0) => false,
            (Some(2), Some(_)) => true,
            _ if found == "ST2136-1:2024" => false,
            _ => {
                let label = format!("expected {VERSION}, found {}", places::shown(found));
                let help =
                    "export the file again in version 3.0; what another version means by the same words is not known";
                return Err(self.error(&codes::CLF_NOT_CLF, "unknown version", attribute.range_value(), label, help));
            }
        };
        if old {
            self.warn("file of version 2", attribute.range_value(), "expected 3.0, found an earlier version");
        }
        Ok(())
    }

    fn identifier(&mut self, root: Element<'_, '_>, smpte: bool) -> Read<String> {
        let given = match values::attribute(root, "id") {
            Some(attribute) => attribute.value().trim().to_owned(),
            None if smpte => values::texts(root, "Id").into_iter().next().unwrap_or_default(),
            None => String::new(),
        };
        if given.is_empty() {
            let help = "give the list an identifier of its own";
            return Err(self.error(
                &codes::CLF_MISSING,
                "the identifier is missing",
                self.tag(root),
                "expected id=\"…\", found none",
                help,
            ));
        }
        Ok(given)
    }

    fn nodes(&mut self, root: Element<'_, '_>) -> Read<Vec<Node>> {
        let mut nodes = Vec::new();
        let mut before: Option<BitDepth> = None;
        let mut wrong = false;
        for step in root.children().filter(|child| steps::NAMES.contains(&child.tag_name().name())) {
            let depths = self.depths(step);
            if let (Some(before), Ok((found, _))) = (before, &depths)
                && before != *found
            {
                let (place, found) = (self.value_place(step, "inBitDepth"), found.id());
                let label = format!("expected \"{}\" as the step before has it, found \"{found}\"", before.id());
                let help = "correct the depth that is wrong, together with the numbers that it scales";
                wrong = true;
                self.error(&codes::CLF_DEPTHS, "bit depths that don't fit each other", place, label, help);
            }
            before = depths.as_ref().ok().map(|depths| depths.1);
            match self.step(step, depths) {
                Ok(node) => nodes.push(node),
                Err(Reported) => wrong = true,
            }
            if self.faults.len() >= ERRORS_MAX {
                return Err(Reported);
            }
        }
        if nodes.is_empty() && self.faults.is_empty() {
            let help = "a list holds at least one step, even if it changes nothing";
            return Err(self.error(
                &codes::CLF_MISSING,
                "the list has no step",
                self.tag(root),
                "expected a step, found none",
                help,
            ));
        }
        if wrong { Err(Reported) } else { Ok(nodes) }
    }

    /// The place of an attribute's value.
    fn value_place(&self, element: Element<'_, '_>, name: &str) -> Range<usize> {
        values::attribute(element, name).map_or_else(|| self.tag(element), |attribute| attribute.range_value())
    }
}
