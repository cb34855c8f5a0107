//! Lights of setups and the filters before them.

use super::super::fields::{Fields, GivenFilter};
use super::super::filters;
use super::super::model::{FilterNumbers, Id, Light, LightFilter, LightSource, text_of};
use super::{Reader, id, number, text};
use crate::diagnostics::{Diagnostic, codes, nearest};
use crate::recipe::{self, Value, Written};

impl Reader {
    pub(super) fn own_filter(&mut self, fields: &Fields) -> LightFilter {
        let value = |key: &str| match fields.one(key).map(|written| &written.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        };
        if let (Some(cc), Some(_)) = (fields.one("cc"), fields.one("duv")) {
            let message = "`cc` and `duv` exclude each other in a filter";
            self.found.push(
                Diagnostic::error(&codes::EXCLUSIVE_KEYS, message)
                    .at(cc.span.clone(), "expected one of the two, found both")
                    .help("remove `cc` or `duv`"),
            );
        }
        let duv = value("duv").or_else(|| value("cc").map(|cc| cc * recipe::DUV_PER_CC)).unwrap_or(0.0);
        let numbers = FilterNumbers { mired: value("mired").unwrap_or(0.0), stops: value("stops").unwrap_or(0.0), duv };
        LightFilter { name: id(fields, "name"), numbers: Some(numbers) }
    }

    pub(super) fn filter_names(&mut self, filters: &[LightFilter]) {
        let mut seen: Vec<&Id> = Vec::new();
        for filter in filters.iter().filter(|filter| !filter.name.text.is_empty()) {
            if seen.iter().any(|first| first.is(&filter.name.text)) {
                let message = format!("two filters are called \"{}\"", filter.name.text);
                let diagnostic = Diagnostic::error(&codes::ID_TWICE, message);
                self.found
                    .push(diagnostic.at(filter.name.span.clone(), "expected a name of its own").help("rename one"));
            }
            seen.push(&filter.name);
        }
    }

    pub(super) fn light(&mut self, fields: &Fields, own: &[LightFilter]) -> Light {
        let source = fields.one("source").map(text_of).unwrap_or_default();
        Light {
            role: id(fields, "role"),
            source: LightSource::ALL.into_iter().find(|known| known.id() == source).unwrap_or(LightSource::Planckian),
            kelvin: number(Some(fields), "setup.lights", "kelvin"),
            duv: number(Some(fields), "setup.lights", "duv"),
            filters: fields.filters("filters").iter().filter_map(|filter| self.filter(filter, own)).collect(),
            note: text(fields, "note"),
        }
    }

    fn filter(&mut self, given: &GivenFilter, own: &[LightFilter]) -> Option<LightFilter> {
        match given {
            GivenFilter::Own(fields) => Some(self.own_filter(fields)),
            GivenFilter::Named(written) => {
                let name = text_of(written);
                if let Some(filter) = own.iter().find(|filter| filter.name.is(name)) {
                    return Some(filter.clone());
                }
                if let Some(known) = filters::find(name) {
                    return Some(LightFilter {
                        name: Id { text: known.to_owned(), span: written.span.clone() },
                        numbers: None,
                    });
                }
                let diagnostic = Diagnostic::error(&codes::FILTER_UNKNOWN, format!("unknown filter \"{name}\""));
                let near = nearest(name, own.iter().map(|filter| filter.name.text.as_str()));
                let help = match near.or_else(|| nearest(name, filters::names())) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => "define it: [[filter]] with name, mired and stops".to_owned(),
                };
                let label = "expected a built-in name such as \"1/2 CTO\", or a filter of the show";
                self.found.push(diagnostic.at(written.span.clone(), label).help(help));
                None
            }
        }
    }

    pub(super) fn t_stop(&mut self, written: &Written) -> Option<f64> {
        let text = text_of(written);
        let number = text.strip_prefix(['T', 't']).and_then(|number| number.trim().parse::<f64>().ok());
        let number = number.filter(|number| number.is_finite() && *number > 0.0);
        if number.is_none() {
            let diagnostic = Diagnostic::error(&codes::STOP_FORM, format!("\"{text}\" is not a T-stop"));
            let label = format!("expected T and a number, found \"{text}\"");
            self.found.push(diagnostic.at(written.span.clone(), label).help("for example: stop = \"T3.4\""));
        }
        number
    }
}
