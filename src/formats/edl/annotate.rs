//! Corrections into a list, with every other byte left as it was.

use super::comment::{Comment, comment};
use super::line::{Class, Line, lines};
use super::{Event, parse};
use crate::diagnostics::Diagnostic;
use crate::formats::cdl::{shortest, spaced};
use crate::plan::Cdl;

/// The list with a correction after each event that `choose` gives one: `* ASC_SOP (s s s)(o o o)(p p p)` and `* ASC_SAT n`.
///
/// Where the event has such comments already, they are replaced in their places; else both stand after its other comments. Every other
/// byte, line ends included, stays as it was; an event that gets none keeps what it has. New lines end as the one before them does.
///
/// # Errors
/// Everything that is wrong with the list, as [`parse`] tells it: a list that can't be understood is not written into.
pub fn annotate<'a>(
    source_name: &str,
    bytes: &[u8],
    mut choose: impl FnMut(&Event) -> Option<&'a Cdl>,
) -> Result<Vec<u8>, Vec<Diagnostic>> {
    let edl = parse(source_name, bytes)?;
    let lines = lines(bytes);
    let starts: Vec<usize> = (0..lines.len()).filter(|index| lines[*index].class() == Class::Event).collect();
    let newline = lines.iter().map(|line| line.end).find(|end| !end.is_empty()).unwrap_or(b"\n");
    let mut out = Out { bytes: Vec::with_capacity(bytes.len()), newline };
    let before = starts.first().copied().unwrap_or(lines.len());
    lines[..before].iter().for_each(|line| out.line(line));
    // An event that can't be read is an error, so that both are as long.
    for (place, event) in edl.events.iter().enumerate() {
        let end = starts.get(place + 1).copied().unwrap_or(lines.len());
        let block = &lines[starts[place]..end];
        match choose(event) {
            Some(cdl) => out.annotated(block, cdl),
            None => block.iter().for_each(|line| out.line(line)),
        }
    }
    Ok(out.bytes)
}

struct Out<'a> {
    bytes: Vec<u8>,
    /// How the list ends its lines.
    newline: &'a [u8],
}

impl Out<'_> {
    fn line(&mut self, line: &Line<'_>) {
        self.bytes.extend_from_slice(line.bytes);
        self.bytes.extend_from_slice(line.end);
    }

    /// An event and what follows it up to the next.
    fn annotated(&mut self, block: &[Line<'_>], cdl: &Cdl) {
        let sop = format!("* ASC_SOP ({})({})({})", spaced(cdl.slope), spaced(cdl.offset), spaced(cdl.power));
        let sat = format!("* ASC_SAT {}", shortest(cdl.saturation));
        let is_sop = |line: &Line<'_>| line.class() == Class::Other && matches!(comment(line), Comment::Sop(_));
        let is_sat = |line: &Line<'_>| line.class() == Class::Other && matches!(comment(line), Comment::Sat(_));
        let has_sop = block.iter().any(is_sop);
        let has_sat = block.iter().any(is_sat);
        // What stands at the end and speaks of the next event is not this event's.
        let own = |line: &Line<'_>| matches!(line.class(), Class::Event | Class::Other);
        let last = block.iter().rposition(own).unwrap_or(0);
        for (index, line) in block.iter().enumerate() {
            let replaced = match (is_sop(line), is_sat(line)) {
                (true, _) => Some(&sop),
                (_, true) => Some(&sat),
                _ => None,
            };
            match replaced {
                Some(text) => {
                    self.bytes.extend_from_slice(text.as_bytes());
                    self.bytes.extend_from_slice(line.end);
                }
                None => self.line(line),
            }
            // One of the two stands beside the other where only that was there.
            if is_sop(line) && !has_sat {
                self.added(line, &sat);
            } else if is_sat(line) && !has_sop {
                self.added(line, &sop);
            }
            if index == last && !has_sop && !has_sat {
                self.added(line, &sop);
                self.added(line, &sat);
            }
        }
    }

    /// A new line after `line`; where that ends the file without a line end, so does the new one.
    fn added(&mut self, line: &Line<'_>, text: &str) {
        if line.end.is_empty() {
            self.bytes.extend_from_slice(self.newline);
            self.bytes.extend_from_slice(text.as_bytes());
        } else {
            self.bytes.extend_from_slice(text.as_bytes());
            self.bytes.extend_from_slice(line.end);
        }
    }
}
