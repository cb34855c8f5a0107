//! Attributes, texts, numbers and arrays.

use super::places::{Element, Read, Reader, Reported, shown};
use crate::diagnostics::{codes, nearest};
use crate::formats::cube::parse_number;
use roxmltree::Attribute;
use std::ops::Range;

/// A number and its place.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub(super) value: f64,
    pub(super) place: Range<usize>,
}

/// The numbers of an array.
pub(super) struct Array {
    pub(super) dimensions: Vec<usize>,
    pub(super) values: Vec<f64>,
}

/// The attribute of that name, which has no prefix.
pub(super) fn attribute<'d, 'i>(element: Element<'d, 'i>, name: &str) -> Option<Attribute<'d, 'i>> {
    element.attributes().find(|attribute| attribute.namespace().is_none() && attribute.name() == name)
}

/// The child of that name.
pub(super) fn child<'d, 'i>(element: Element<'d, 'i>, name: &str) -> Option<Element<'d, 'i>> {
    children(element, name).next()
}

/// The children of that name.
pub(super) fn children<'d, 'i>(element: Element<'d, 'i>, name: &str) -> impl Iterator<Item = Element<'d, 'i>> {
    element.children().filter(move |child| child.is_element() && child.tag_name().name() == name)
}

/// The texts of the children of that name, trimmed.
pub(super) fn texts(element: Element<'_, '_>, name: &str) -> Vec<String> {
    let text =
        |child: Element<'_, '_>| child.children().filter_map(|part| part.text().filter(|_| part.is_text())).collect();
    children(element, name).map(text).map(|text: String| text.trim().to_owned()).collect()
}

/// What a misspelt name may have been.
fn suggestion(written: &str, known: &[&str]) -> String {
    match nearest(written, known.iter().copied()) {
        Some(name) => format!("did you mean {name}? What is not known could change the picture, so it is not skipped"),
        None => "take it out if it says nothing about the picture; put information under Info".to_owned(),
    }
}

impl Reader<'_> {
    /// Refuses attributes that are not known; those with a prefix (`xml:lang`) belong to other languages.
    pub(super) fn known_attributes(&mut self, element: Element<'_, '_>, known: &[&str]) {
        for attribute in element.attributes().filter(|attribute| attribute.namespace().is_none()) {
            if !known.contains(&attribute.name()) {
                let label = format!("expected {}, found {}", listed(known), shown(attribute.name()));
                let help = suggestion(attribute.name(), known);
                self.error(&codes::CLF_UNKNOWN, "unknown attribute", attribute.range_qname(), label, &help);
            }
        }
    }

    /// Refuses children that are not known, those that stand twice where they may once, and text between them.
    pub(super) fn known_children(&mut self, element: Element<'_, '_>, once: &[&str], often: &[&str]) {
        let mut seen = Vec::new();
        let namespace = element.tag_name().namespace();
        for child in element.children() {
            let name = child.tag_name().name();
            if child.is_text() {
                self.no_text(child);
            } else if !child.is_element() || (often.contains(&name) && child.tag_name().namespace() == namespace) {
                continue;
            } else if name == "IndexMap" {
                let help = "version 3 removed index maps: export the file again, with a table over the half-float domain instead";
                let label = "expected a table without index map, found one";
                self.error(&codes::CLF_UNKNOWN, "index maps are not supported", self.tag(child), label, help);
            } else if !once.contains(&name) || child.tag_name().namespace() != namespace {
                let known = [once, often].concat();
                let label = format!("expected {}, found {}", listed(&known), shown(name));
                let help = suggestion(name, &known);
                self.error(&codes::CLF_UNKNOWN, "unknown element", self.tag(child), label, &help);
            } else if seen.contains(&name) {
                let label = format!("expected one {name}, found another");
                self.error(
                    &codes::CLF_TWICE,
                    "element given twice",
                    self.tag(child),
                    label,
                    "keep the one that is meant",
                );
            } else {
                seen.push(name);
            }
        }
    }

    fn no_text(&mut self, text: Element<'_, '_>) {
        let written = text.text().unwrap_or_default();
        if written.trim().is_empty() {
            return;
        }
        let range = text.range();
        let start = range.start + self.text[range.clone()].find(|c: char| !c.is_whitespace()).unwrap_or(0);
        let label = format!("expected elements only, found {}", shown(written.trim()));
        let help = "numbers stand in an Array, words in a Description";
        self.error(&codes::CLF_UNKNOWN, "text between elements", start..start + 1, label, help);
    }

    /// One of the words that an attribute may hold; where it is missing, the default, if there is one.
    pub(super) fn choice<T: Copy>(
        &mut self,
        element: Element<'_, '_>,
        name: &str,
        choices: &[(&str, T)],
        default: Option<T>,
    ) -> Read<T> {
        let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
        let Some(attribute) = attribute(element, name) else {
            return default.ok_or_else(|| self.missing(element, &format!("{name}=\"…\"")));
        };
        let written = attribute.value();
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == written) {
            return Ok(*value);
        }
        let label = format!("expected {}, found {}", listed(&words), shown(written));
        let help = match nearest(written, words.iter().copied()) {
            Some(word) => format!("did you mean {word}?"),
            None => format!("write one of the words that {name} can hold"),
        };
        Err(self.error(&codes::CLF_VALUE, &format!("unknown {name}"), attribute.range_value(), label, &help))
    }

    /// An attribute that is "true" or absent. "false" says the same as its absence, but the format does not have it.
    pub(super) fn flag(&mut self, element: Element<'_, '_>, name: &str) -> Read<bool> {
        let set = self.choice(element, name, &[("true", true), ("false", false)], Some(false));
        if matches!(set, Ok(false))
            && let Some(attribute) = attribute(element, name)
        {
            self.warn(&format!("{name} set to false"), attribute.range_value(), "expected \"true\" or no attribute");
        }
        set
    }

    /// Says that something is missing from an element.
    pub(super) fn missing(&mut self, element: Element<'_, '_>, what: &str) -> Reported {
        let message = format!("{what} is missing");
        let label = format!("expected {what} in {}, found none", element.tag_name().name());
        self.error(&codes::CLF_MISSING, &message, self.tag(element), label, "add it, or export the file again")
    }

    /// The number that an attribute holds, if it is there.
    pub(super) fn number_attribute(&mut self, element: Element<'_, '_>, name: &str) -> Read<Option<Placed>> {
        let Some(attribute) = attribute(element, name) else { return Ok(None) };
        let place = attribute.range_value();
        self.number(attribute.value().trim(), place.clone()).map(|value| Some(Placed { value, place }))
    }

    /// Says that a number is outside what it may be.
    pub(super) fn out_of_range(&mut self, name: &str, number: &Placed, expected: &str) -> Reported {
        let label = format!("expected {expected}, found {}", number.value);
        let help = "correct the number, or export the file again";
        self.error(&codes::CLF_VALUE, &format!("{name} out of range"), number.place.clone(), label, help)
    }

    /// A finite number.
    fn number(&mut self, token: &str, place: Range<usize>) -> Read<f64> {
        if let Some(value) = parse_number(token.as_bytes()).filter(|value| value.is_finite()) {
            return Ok(value);
        }
        let label = format!("expected a finite decimal number, found {}", shown(token));
        let help = if token.contains(',') {
            "write a decimal point, and spaces between numbers"
        } else {
            "export the file again"
        };
        Err(self.error(&codes::CLF_VALUE, "not a number", place, label, help))
    }

    /// The numbers that an element holds: exactly so many.
    pub(super) fn numbers<const N: usize>(&mut self, element: Element<'_, '_>) -> Read<[Placed; N]> {
        let content = self.content(element);
        let tokens: Vec<_> = Tokens { text: self.text, at: content.start, end: content.end }.take(N + 1).collect();
        if tokens.len() != N {
            let found = if tokens.len() > N { "more".to_owned() } else { tokens.len().to_string() };
            let (name, plural) = (element.tag_name().name(), if N == 1 { "" } else { "s" });
            let label = format!("expected {N} number{plural} in {name}, found {found}");
            let help = "write the numbers with decimal points, and spaces between them";
            return Err(self.error(&codes::CLF_VALUE, "wrong number of values", self.tag(element), label, help));
        }
        let placed: Vec<Placed> = tokens
            .into_iter()
            .map(|place| self.number(&self.text[place.clone()], place.clone()).map(|value| Placed { value, place }))
            .collect::<Vec<_>>()
            .into_iter()
            .collect::<Read<_>>()?;
        placed.try_into().map_err(|_| Reported)
    }

    /// The array of a step, with dimensions that `fits` accepts; `expected` says which those are. `any_row` says whether what is not
    /// finite may stand at an index.
    pub(super) fn array(
        &mut self,
        step: Element<'_, '_>,
        expected: &str,
        fits: impl Fn(&[usize]) -> bool,
        may_be_special: impl Fn(usize, &[usize]) -> bool,
    ) -> Read<Array> {
        let Some(array) = child(step, "Array") else { return Err(self.missing(step, "an Array")) };
        self.known_attributes(array, &["dim"]);
        let Some(dim) = attribute(array, "dim") else { return Err(self.missing(array, "dim=\"…\"")) };
        let dimensions: Option<Vec<usize>> = dim.value().split_whitespace().map(|word| word.parse().ok()).collect();
        let Some(dimensions) = dimensions.filter(|dimensions| fits(dimensions)) else {
            let label = format!("expected {expected}, found {}", shown(dim.value()));
            let help = "correct the dimensions, or export the file again";
            return Err(self.error(&codes::CLF_ARRAY, "dimensions that can't be", dim.range_value(), label, help));
        };
        let values = self.array_values(array, &dimensions, |index| may_be_special(index, &dimensions))?;
        Ok(Array { dimensions, values })
    }

    /// Memory is taken for what the text can hold, never for what the dimensions promise.
    fn array_values(
        &mut self,
        array: Element<'_, '_>,
        dimensions: &[usize],
        may_be_special: impl Fn(usize) -> bool,
    ) -> Read<Vec<f64>> {
        // The old form of a matrix has the number of channels as a third dimension.
        let counted = if dimensions.len() == 3 { &dimensions[..2] } else { dimensions };
        let promised: usize = counted.iter().product();
        let content = self.content(array);
        let mut values = Vec::with_capacity(promised.min(content.len() / 2 + 1));
        let (mut count, mut surplus, mut wrong) = (0, None, false);
        for place in (Tokens { text: self.text, at: content.start, end: content.end }) {
            let token = &self.text[place.clone()];
            if count < promised {
                match parse_number(token.as_bytes()) {
                    Some(value) if value.is_finite() || may_be_special(count) => values.push(value),
                    _ => {
                        wrong = true;
                        let _ = self.number(token, place.clone());
                        if self.faults.len() >= super::ERRORS_MAX {
                            return Err(Reported);
                        }
                    }
                }
            } else {
                surplus.get_or_insert(place);
            }
            count += 1;
        }
        if count != promised {
            self.wrong_count(array, promised, count, surplus);
        } else if !wrong {
            return Ok(values);
        }
        Err(Reported)
    }

    fn wrong_count(&mut self, array: Element<'_, '_>, promised: usize, count: usize, surplus: Option<Range<usize>>) {
        let message = format!("{count} numbers where the dimensions need {promised}");
        let label = format!("expected {promised} numbers, found {count}");
        match surplus {
            Some(place) => {
                let help = "correct dim, or take out the numbers that don't belong to this array";
                self.error(&codes::CLF_ARRAY, &message, place, format!("{label}; this is the first too many"), help)
            }
            None => {
                let help = "copy or export the file again: it was cut off, or dim is wrong";
                self.error(&codes::CLF_ARRAY, &message, self.tag(array), label, help)
            }
        };
    }
}

/// Words as a sentence lists them; many are cut short.
fn listed(words: &[&str]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// The words of a text, without comments. Other markup is a word, which is no number.
struct Tokens<'a> {
    text: &'a str,
    at: usize,
    end: usize,
}

impl Iterator for Tokens<'_> {
    type Item = Range<usize>;

    fn next(&mut self) -> Option<Range<usize>> {
        let bytes = &self.text.as_bytes()[..self.end];
        loop {
            self.at += bytes[self.at..].iter().position(|byte| !byte.is_ascii_whitespace())?;
            if !bytes[self.at..].starts_with(b"<!--") {
                break;
            }
            self.at += 4;
            self.at += self.text[self.at..self.end].find("-->")? + 3;
        }
        let start = self.at;
        // A comment ends a word; other markup, and a comment that cuts a word in two, goes with it and makes it no number.
        while let Some(byte) = bytes.get(self.at).filter(|byte| !byte.is_ascii_whitespace()) {
            if *byte == b'<' && bytes[self.at..].starts_with(b"<!--") {
                let close = self.text[self.at..self.end].find("-->").map_or(self.end, |length| self.at + length + 3);
                if bytes.get(close).is_none_or(u8::is_ascii_whitespace) || bytes[close..].starts_with(b"<") {
                    break;
                }
                self.at = close;
            } else {
                self.at += 1;
            }
        }
        Some(start..self.at)
    }
}

#[cfg(test)]
mod tests {
    use super::Tokens;

    #[test]
    fn words_stand_between_blanks_and_comments() {
        for (text, expected) in [
            ("", vec![]),
            (" 1\n2\t3 ", vec!["1", "2", "3"]),
            ("1 <!-- 2 --> 3<!-- 4 -->", vec!["1", "3"]),
            ("<!-- a --><!-- b -->1<!-- c --><!-- d --> 2", vec!["1", "2"]),
            // A number that a comment cuts in two is no number.
            ("0.5<!-- -->7 1", vec!["0.5<!-- -->7", "1"]),
            ("<![CDATA[1]]> 2", vec!["<![CDATA[1]]>", "2"]),
            ("1 <!-- open", vec!["1"]),
        ] {
            let words: Vec<&str> = Tokens { text, at: 0, end: text.len() }.map(|place| &text[place]).collect();
            assert_eq!(words, expected, "{text}");
        }
    }
}
