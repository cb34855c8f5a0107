//! From values to the XML of an ASC CDL file.

use super::{CdlFile, Content, Correction, Entry, Kind, NAMESPACE, Notes};
use crate::plan::Cdl;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// Blanks that a level is set in by.
const INDENT: usize = 2;

/// The whole file: UTF-8, line feeds, the elements in the order of the schema, each number in its shortest form that reads back as
/// itself, never with an exponent.
///
/// Of a [`Kind::Correction`] the first correction is written; a file of that kind without one is that of an identity. Characters that
/// XML can't hold are replaced by blanks.
#[must_use]
pub fn write(file: &CdlFile) -> Vec<u8> {
    let mut out = Out { writer: Writer::new_with_indent(Vec::new(), b' ', INDENT) };
    out.put(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
    let root = |name| BytesStart::new(name).with_attributes([("xmlns", NAMESPACE)]);
    if file.kind == Kind::Correction {
        let none = Correction::new("", Cdl::IDENTITY);
        out.correction(file.corrections().next().unwrap_or(&none), root(file.kind.element()));
    } else {
        out.within(root(file.kind.element()), |out| {
            out.notes(&file.notes);
            for entry in &file.entries {
                out.entry(entry, file.kind);
            }
        });
    }
    let mut bytes = out.writer.into_inner();
    bytes.push(b'\n');
    bytes
}

struct Out {
    writer: Writer<Vec<u8>>,
}

impl Out {
    fn put(&mut self, event: Event<'_>) {
        // Writing to a vector does not fail.
        let _ = self.writer.write_event(event);
    }

    fn within(&mut self, start: BytesStart<'_>, inner: impl FnOnce(&mut Self)) {
        let end = start.to_end().into_owned();
        self.put(Event::Start(start));
        inner(self);
        self.put(Event::End(end));
    }

    fn text(&mut self, element: &str, text: &str) {
        self.put(Event::Start(BytesStart::new(element)));
        self.put(Event::Text(BytesText::new(&possible(text))));
        self.put(Event::End(BytesEnd::new(element)));
    }

    fn notes(&mut self, notes: &Notes) {
        self.descriptions(&notes.descriptions, &notes.input_description, &notes.viewing_description);
    }

    fn descriptions(&mut self, descriptions: &[String], input: &str, viewing: &str) {
        for description in descriptions {
            self.text("Description", description);
        }
        for (element, text) in [("InputDescription", input), ("ViewingDescription", viewing)] {
            if !text.is_empty() {
                self.text(element, text);
            }
        }
    }

    fn entry(&mut self, entry: &Entry, kind: Kind) {
        if kind == Kind::DecisionList {
            self.within(BytesStart::new("ColorDecision"), |out| {
                out.notes(&entry.notes);
                if !entry.media.is_empty() {
                    out.reference("MediaRef", &entry.media);
                }
                out.content(&entry.content);
            });
        } else {
            self.content(&entry.content);
        }
    }

    fn content(&mut self, content: &Content) {
        match content {
            Content::Correction(correction) => self.correction(correction, BytesStart::new("ColorCorrection")),
            Content::Reference(id) => self.reference("ColorCorrectionRef", id),
        }
    }

    fn reference(&mut self, element: &str, to: &str) {
        self.put(Event::Empty(BytesStart::new(element).with_attributes([("ref", line(to).as_str())])));
    }

    fn correction(&mut self, correction: &Correction, mut start: BytesStart<'_>) {
        if !correction.id.is_empty() {
            start.push_attribute(("id", line(&correction.id).as_str()));
        }
        let Cdl { slope, offset, power, saturation } = correction.cdl;
        self.within(start, |out| {
            out.descriptions(&correction.descriptions, &correction.input_description, &correction.viewing_description);
            out.within(BytesStart::new("SOPNode"), |out| {
                for (element, values) in [("Slope", slope), ("Offset", offset), ("Power", power)] {
                    out.text(element, &super::spaced(values));
                }
            });
            out.within(BytesStart::new("SatNode"), |out| out.text("Saturation", &super::shortest(saturation)));
        });
    }
}

/// A text without what XML can't hold, and with line feeds alone.
fn possible(text: &str) -> String {
    text.replace("\r\n", "\n").chars().map(|one| if is_possible(one) { one } else { ' ' }).collect()
}

/// The same on one line.
fn line(text: &str) -> String {
    text.chars().map(|one| if is_possible(one) && one != '\n' && one != '\t' { one } else { ' ' }).collect()
}

/// Whether XML 1.0 can hold a character as itself.
fn is_possible(one: char) -> bool {
    match one {
        '\n' | '\t' => true,
        '\u{FFFE}' | '\u{FFFF}' => false,
        _ => !one.is_control(),
    }
}
