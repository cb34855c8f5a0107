//! The elements of an ASC CDL file.

use super::numbers::{Values, single, triple};
use super::read::ERRORS_MAX;
use super::{CdlFile, Content, Correction, Entry, Kind, NAMESPACES, Notes, ValuePlaces, shown};
use crate::diagnostics::{Code, Diagnostic, SourceText, Span, codes};
use crate::plan::Cdl;
use roxmltree::Node;
use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

/// A departure that is read all the same; each kind is told once, with how often it was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Departure {
    Namespace,
    Spelling,
    Unknown,
    Elsewhere,
    Bare,
}

/// Reads the elements of one file.
pub(super) struct Elements<'a> {
    source: &'a Arc<SourceText>,
    /// Namespace of the root, which is also that of a file from another house.
    namespace: Option<String>,
    errors: Vec<Diagnostic>,
    departures: Vec<(Departure, Diagnostic, usize)>,
}

impl<'a> Elements<'a> {
    pub(super) fn new(source: &'a Arc<SourceText>) -> Self {
        Self { source, namespace: None, errors: Vec::new(), departures: Vec::new() }
    }

    /// Errors, and warnings in the order found.
    pub(super) fn into_diagnostics(self) -> (Vec<Diagnostic>, Vec<Diagnostic>) {
        let told = |(_, mut warning, further): (Departure, Diagnostic, usize)| {
            if further > 0 {
                warning.message = format!("{}, and {further} more", warning.message);
            }
            warning
        };
        (self.errors, self.departures.into_iter().map(told).collect())
    }

    /// The whole file; `None` for one of another kind.
    pub(super) fn file(&mut self, root: Node<'_, '_>) -> Option<CdlFile> {
        let name = root.tag_name().name();
        let Some(kind) = Kind::ALL.into_iter().find(|kind| kind.element() == name) else {
            let names = Kind::ALL.map(Kind::element).join(", ");
            let label = format!("expected one of {names}, found {}", shown(name));
            self.error(&codes::CDL_ROOT, "the file is not an ASC CDL", self.tag(root), label, "name another file");
            return None;
        };
        self.root_namespace(root);
        let mut file = CdlFile { kind, notes: Notes::default(), entries: Vec::new(), warnings: Vec::new() };
        if kind == Kind::Correction {
            file.entries.push(Entry::of(self.correction(root)));
            return Some(file);
        }
        for child in self.children(root) {
            if self.note(child, &mut file.notes) {
                continue;
            }
            match (kind, child.tag_name().name()) {
                (Kind::Collection, "ColorCorrection") => file.entries.push(Entry::of(self.correction(child))),
                (Kind::DecisionList, "ColorDecision") => file.entries.extend(self.decision(child)),
                (Kind::DecisionList, "ColorCorrection") => {
                    self.depart(Departure::Bare, child, "a correction outside of a decision", "expected ColorDecision");
                    file.entries.push(Entry::of(self.correction(child)));
                }
                _ => self.unknown(child),
            }
        }
        self.references(&file, root);
        Some(file)
    }

    fn root_namespace(&mut self, root: Node<'_, '_>) {
        let namespace = root.tag_name().namespace();
        self.namespace = namespace.map(str::to_owned);
        match namespace {
            None => {
                let label = format!("expected xmlns=\"{}\"", NAMESPACES[0]);
                self.depart(Departure::Namespace, root, "the file has no namespace", &label);
            }
            Some(other) if !NAMESPACES.contains(&other) => {
                let label = format!("expected {}, found {}", NAMESPACES[0], shown(other));
                self.depart(Departure::Namespace, root, "the file has another namespace", &label);
            }
            Some(_) => {}
        }
    }

    /// The child elements that are meant for us. What belongs to another namespace is somebody's own and left aside.
    fn children<'n, 'input>(&self, parent: Node<'n, 'input>) -> Vec<Node<'n, 'input>> {
        let ours = |node: &Node<'_, '_>| match node.tag_name().namespace() {
            None => true,
            Some(namespace) => Some(namespace) == self.namespace.as_deref() || NAMESPACES.contains(&namespace),
        };
        parent.children().filter(|node| node.is_element() && ours(node)).collect()
    }

    /// Takes one of the three texts; `false` for any other element.
    fn note(&mut self, element: Node<'_, '_>, notes: &mut Notes) -> bool {
        let place = match element.tag_name().name() {
            "Description" => {
                notes.descriptions.push(self.text(element).0);
                return true;
            }
            "InputDescription" => &mut notes.input_description,
            "ViewingDescription" => &mut notes.viewing_description,
            _ => return false,
        };
        // Free text can't contradict itself: a second one goes on where the first ends.
        if !place.is_empty() {
            place.push('\n');
        }
        place.push_str(&self.text(element).0);
        true
    }

    fn decision(&mut self, element: Node<'_, '_>) -> Option<Entry> {
        let (mut notes, mut media, mut content) = (Notes::default(), String::new(), Vec::new());
        for child in self.children(element) {
            if self.note(child, &mut notes) {
                continue;
            }
            match child.tag_name().name() {
                "MediaRef" => media = child.attribute("ref").unwrap_or_default().to_owned(),
                "ColorCorrection" => content.push(Content::Correction(Box::new(self.correction(child)))),
                "ColorCorrectionRef" => {
                    content.push(Content::Reference(child.attribute("ref").unwrap_or_default().to_owned()));
                }
                _ => self.unknown(child),
            }
        }
        if content.len() != 1 {
            let label = format!("expected one ColorCorrection or ColorCorrectionRef, found {}", content.len());
            let message = "a decision needs one correction";
            self.error(&codes::CDL_COUNT, message, self.tag(element), label, "write one ColorDecision for each");
        }
        content.pop().map(|content| Entry { notes, media, content })
    }

    fn correction(&mut self, element: Node<'_, '_>) -> Correction {
        let id = element.attribute("id").unwrap_or_default().to_owned();
        let mut correction = Correction { place: self.tag(element), ..Correction::new(id, Cdl::IDENTITY) };
        let (mut own, mut below) = (Notes::default(), Vec::new());
        let mut seen = HashSet::new();
        for child in self.children(element) {
            if self.note(child, &mut own) {
                continue;
            }
            let name = child.tag_name().name();
            let Some(proper) = ["SOPNode", "SatNode"].into_iter().find(|proper| proper.eq_ignore_ascii_case(name))
            else {
                self.unknown(child);
                continue;
            };
            if name != proper {
                let label = format!("expected {proper}, found {name}");
                self.depart(Departure::Spelling, child, "a node in another spelling", &label);
            }
            if !seen.insert(proper) {
                self.twice(child, proper);
                continue;
            }
            let values: &[Values] = if proper == "SatNode" {
                &[Values::Saturation]
            } else {
                &[Values::Slope, Values::Offset, Values::Power]
            };
            below.append(&mut self.node(child, values, &mut correction));
        }
        correction.descriptions = own.descriptions;
        correction.descriptions.append(&mut below);
        correction.input_description = own.input_description;
        correction.viewing_description = own.viewing_description;
        correction
    }

    /// The numbers of `SOPNode` or `SatNode`; gives back its descriptions.
    fn node(&mut self, node: Node<'_, '_>, wanted: &[Values], correction: &mut Correction) -> Vec<String> {
        let mut notes = Notes::default();
        let mut seen: Vec<Values> = Vec::new();
        for child in self.children(node) {
            if self.note(child, &mut notes) {
                continue;
            }
            let name = child.tag_name().name();
            match wanted.iter().find(|values| values.element() == name) {
                Some(values) if seen.contains(values) => self.twice(child, values.element()),
                Some(values) => {
                    seen.push(*values);
                    self.values(*values, child, correction);
                }
                None => self.unknown(child),
            }
        }
        for missing in wanted.iter().filter(|values| !seen.contains(values)) {
            let label = format!("expected {}, found none", missing.element());
            let message = format!("{} is incomplete", node.tag_name().name());
            self.error(&codes::CDL_COUNT, message, self.tag(node), label, "export the file again");
        }
        notes.descriptions
    }

    fn values(&mut self, which: Values, element: Node<'_, '_>, correction: &mut Correction) {
        let (text, place) = self.text(element);
        let (Correction { cdl, values: places, .. }, there) = (correction, Some(place.clone()));
        let ValuePlaces { slope, offset, power, saturation } = places;
        let (numbers, stands): (&mut [f64; 3], _) = match which {
            Values::Slope => (&mut cdl.slope, slope),
            Values::Offset => (&mut cdl.offset, offset),
            Values::Power => (&mut cdl.power, power),
            Values::Saturation => {
                *saturation = there;
                match single(which, &text, &place) {
                    Ok(number) => cdl.saturation = number,
                    Err(found) => self.errors.extend(found),
                }
                return;
            }
        };
        *stands = there;
        match triple(which, &text, &place) {
            Ok(found) => *numbers = found,
            Err(found) => self.errors.extend(found),
        }
    }

    /// Every reference leads to a correction of the file, and there is one at all.
    fn references(&mut self, file: &CdlFile, root: Node<'_, '_>) {
        if file.corrections().next().is_none() && self.errors.is_empty() {
            let label = "expected at least one ColorCorrection, found none";
            self.error(&codes::CDL_ROOT, "the file holds no correction", self.tag(root), label, "export it again");
        }
        let known: HashSet<&str> = file.corrections().map(|correction| correction.id.as_str()).collect();
        for element in root.descendants().filter(|node| node.tag_name().name() == "ColorCorrectionRef") {
            let to = element.attribute("ref").unwrap_or_default();
            if !known.contains(to.strip_prefix('#').unwrap_or(to)) {
                let label = format!("{} is not in this file", shown(to));
                self.depart(Departure::Elsewhere, element, "a correction that stands elsewhere", &label);
            }
        }
    }

    fn unknown(&mut self, element: Node<'_, '_>) {
        let label = format!("{} is not part of an ASC CDL here; it is left aside", shown(element.tag_name().name()));
        self.depart(Departure::Unknown, element, "an unknown element", &label);
    }

    fn twice(&mut self, element: Node<'_, '_>, name: &str) {
        let message = format!("{name} is there twice");
        self.error(
            &codes::CDL_COUNT,
            message,
            self.tag(element),
            format!("expected one {name}"),
            "remove one of the two",
        );
    }

    fn error(
        &mut self,
        code: &'static Code,
        message: impl Into<String>,
        place: Span,
        label: impl Into<String>,
        help: &str,
    ) {
        if self.errors.len() < ERRORS_MAX {
            self.errors.push(Diagnostic::error(code, message).at(place, label).help(help));
        }
    }

    fn depart(&mut self, departure: Departure, element: Node<'_, '_>, message: &str, label: &str) {
        if let Some((_, _, further)) = self.departures.iter_mut().find(|(known, ..)| *known == departure) {
            *further += 1;
            return;
        }
        let warning = Diagnostic::warning(&codes::CDL_FORM, message).at(self.tag(element), label);
        self.departures.push((departure, warning, 0));
    }

    fn span(&self, range: Range<usize>) -> Span {
        Span { source: Arc::clone(self.source), range }
    }

    /// Place of an element's opening tag.
    fn tag(&self, element: Node<'_, '_>) -> Span {
        let range = element.range();
        // An opening bracket and the name; the prefix, where there is one, stands between.
        let tag = self.source.text[range.clone()].find(['>', ' ', '\n', '\t', '\r', '/']);
        self.span(range.start..range.start + tag.unwrap_or(range.len()))
    }

    /// The text of an element without that of its own elements, and where it stands.
    fn text(&self, element: Node<'_, '_>) -> (String, Span) {
        let mut text = String::new();
        let mut place: Option<Range<usize>> = None;
        for child in element.children().filter(Node::is_text) {
            text.push_str(child.text().unwrap_or_default());
            place = Some(place.map_or(child.range(), |so_far| so_far.start..child.range().end));
        }
        let place = place.map_or_else(|| self.tag(element), |range| self.span(range));
        (text, place)
    }
}
