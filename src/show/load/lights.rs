//! Lights of setups and the filters before them.

use super::super::fields::{Fields, GivenFilter};
use super::super::model::{Id, Light, OwnFilter, Reading, text_of};
use super::{Reader, id, number, text};
use crate::colour::whites::DUV_PER_CC;
use crate::diagnostics::{Diagnostic, Span, codes, nearest};
use crate::light::exposure::{T_LIMIT, T_SLOWEST, check_t_stop};
use crate::light::{BUILT_IN, Filter, Lamp, LampFault, LightSource, Source, SourceFault, built_in, estimated_stops};
use crate::recipe::{Value, Written};

impl Reader {
    pub(super) fn own_filter(&mut self, fields: &Fields) -> OwnFilter {
        self.exclusive(fields, "cc", "duv", "a filter");
        let value = |key: &str| amount(fields, key);
        let greener_duv = value("duv").or_else(|| value("cc").map(|cc| cc * DUV_PER_CC)).unwrap_or(0.0);
        let warmer_mired = value("mired").unwrap_or(0.0);
        let name = id(fields, "name");
        let stops = value("stops");
        let is_estimated = stops.is_none() && (warmer_mired != 0.0 || greener_duv != 0.0);
        let stops = stops.unwrap_or_else(|| estimated_stops(warmer_mired, greener_duv));
        // A filter without a name was told already.
        if is_estimated && !name.text.is_empty() {
            let message = format!("the filter \"{}\" does not say how much light it takes", name.text);
            self.found.push(
                Diagnostic::warning(&codes::FILTER_LOSS, message)
                    .at(
                        name.span.clone(),
                        format!("expected `stops`; taken to be {stops:.2}, as filters of this strength take"),
                    )
                    .help("write the measured loss, or the one of its maker"),
            );
        }
        let filter = Filter { name: name.text.clone(), warmer_mired, greener_duv, stops, is_estimated };
        OwnFilter { name, filter }
    }

    /// Two keys that say one thing in two ways.
    fn exclusive(&mut self, fields: &Fields, one: &str, other: &str, owner: &str) {
        if let (Some(first), Some(_)) = (fields.one(one), fields.one(other)) {
            let message = format!("`{one}` and `{other}` exclude each other in {owner}");
            self.found.push(
                Diagnostic::error(&codes::EXCLUSIVE_KEYS, message)
                    .at(first.span.clone(), "expected one of the two, found both")
                    .help(format!("remove `{one}` or `{other}`")),
            );
        }
    }

    pub(super) fn filter_names(&mut self, filters: &[OwnFilter]) {
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

    pub(super) fn light(&mut self, fields: &Fields, own: &[OwnFilter]) -> Light {
        let source = fields.one("source").map(text_of).unwrap_or_default();
        let source = Source {
            kind: LightSource::find(source).unwrap_or(LightSource::Planckian),
            kelvin: number(Some(fields), "setup.lights", "kelvin"),
            duv: number(Some(fields), "setup.lights", "duv"),
        };
        let given = fields.filters("filters");
        let filters: Vec<Filter> = given.iter().filter_map(|filter| self.filter(filter, own)).collect();
        let complete = filters.len() == given.len() && source.kelvin > 0.0;
        let lamp = Lamp { source, filters };
        if complete && let Err(fault) = lamp.lit() {
            self.impossible_light(fields, &lamp, fault);
        }
        Light { role: id(fields, "role"), lamp, reading: self.reading(fields), note: text(fields, "note") }
    }

    fn reading(&mut self, fields: &Fields) -> Option<Reading> {
        self.exclusive(fields, "lux", "candela", "a light");
        match (amount(fields, "lux"), amount(fields, "candela"), amount(fields, "distance_m")) {
            (Some(lux), _, _) => Some(Reading::Lux(lux)),
            (None, Some(candela), Some(distance_m)) => Some(Reading::Lamp { candela, distance_m }),
            (None, None, None) => None,
            (None, candela, _) => {
                let (given, missing) =
                    if candela.is_some() { ("candela", "distance_m") } else { ("distance_m", "candela") };
                let message = format!("`{given}` needs `{missing}`");
                self.found.push(
                    Diagnostic::error(&codes::MISSING_KEY, message)
                        .at(fields.place(given), format!("expected `{missing}` beside it"))
                        .help("or write `lux`, what a meter reads at the subject"),
                );
                None
            }
        }
    }

    /// A lamp that can't be, told at the key that makes it so.
    fn impossible_light(&mut self, fields: &Fields, lamp: &Lamp, fault: LampFault) {
        let key = fault_key(&fault);
        let span = fields.one(key).map_or_else(|| fields.place(key), |written| written.span.clone());
        let span = if key == "filters" { filters_place(fields).unwrap_or(span) } else { span };
        self.found.push(impossible(lamp, fault).at(span, fault_label(lamp, &fault)));
    }

    fn filter(&mut self, given: &GivenFilter, own: &[OwnFilter]) -> Option<Filter> {
        match given {
            GivenFilter::Own(fields) => Some(self.own_filter(fields).filter),
            GivenFilter::Named(written) => match named_filter(text_of(written), own) {
                Ok(filter) => Some(filter),
                Err(diagnostic) => {
                    let label = "expected a built-in name such as \"1/2 CTO\", or a filter of the show";
                    self.found.push(diagnostic.at(written.span.clone(), label));
                    None
                }
            },
        }
    }

    pub(super) fn t_stop(&mut self, written: &Written) -> Option<f64> {
        let text = text_of(written);
        let number = text.strip_prefix(['T', 't']).and_then(|number| number.trim().parse::<f64>().ok());
        let Some(number) = number else {
            let diagnostic = Diagnostic::error(&codes::STOP_FORM, format!("\"{text}\" is not a T-stop"));
            let label = format!("expected T and a number, found \"{text}\"");
            self.found.push(diagnostic.at(written.span.clone(), label).help("for example: stop = \"T3.4\""));
            return None;
        };
        if let Err(why) = check_t_stop(number) {
            let diagnostic = Diagnostic::error(&codes::STOP_IMPOSSIBLE, format!("no lens has {text}"));
            let label = format!("expected T{T_LIMIT} to T{T_SLOWEST}, found \"{text}\"");
            self.found.push(diagnostic.at(written.span.clone(), label).help(why));
            return None;
        }
        Some(number)
    }
}

fn amount(fields: &Fields, key: &str) -> Option<f64> {
    match fields.one(key).map(|written| &written.value) {
        Some(Value::Number(number)) => Some(*number),
        _ => None,
    }
}

/// Where the filters of a light stand: the first of them.
fn filters_place(fields: &Fields) -> Option<Span> {
    fields.filters("filters").first().map(|filter| match filter {
        GivenFilter::Named(written) => written.span.clone(),
        GivenFilter::Own(fields) => fields.span.clone(),
    })
}

/// The filter of that name: one of the show, else a built-in one.
///
/// # Errors
/// An unknown name, with the nearest known one; its place is still to be added.
pub fn named_filter(name: &str, own: &[OwnFilter]) -> Result<Filter, Diagnostic> {
    // A kind alone is a full one, as with those of the trade.
    let full = format!("full {name}");
    if let Some(own) = own.iter().find(|own| own.name.is(name)).or_else(|| own.iter().find(|own| own.name.is(&full))) {
        return Ok(own.filter.clone());
    }
    if let Some(known) = built_in(name) {
        return Ok(known.filter());
    }
    let known: Vec<&str> =
        own.iter().map(|own| own.name.text.as_str()).chain(BUILT_IN.iter().map(|known| known.name)).collect();
    let parts: Vec<&str> = name.split([',', '+', '&']).map(str::trim).filter(|part| !part.is_empty()).collect();
    let help = if parts.len() > 1 && parts.iter().all(|part| named_filter(part, own).is_ok()) {
        format!("each filter stands alone: \"{}\"", parts.join("\", \""))
    } else if let Some(near) = spelt_out(name).or_else(|| nearest(name, known).map(str::to_owned)) {
        format!("did you mean \"{near}\"?")
    } else {
        "define it: [[filter]] with name, mired and stops".to_owned()
    };
    Err(Diagnostic::error(&codes::FILTER_UNKNOWN, format!("unknown filter \"{name}\"")).help(help))
}

/// The built-in filter whose strength is spelt out, such as "half CTO".
fn spelt_out(name: &str) -> Option<String> {
    const STRENGTHS: [(&str, &str); 6] = [
        ("three quarter ", "3/4 "),
        ("three-quarter ", "3/4 "),
        ("half ", "1/2 "),
        ("quarter ", "1/4 "),
        ("eighth ", "1/8 "),
        ("eight ", "1/8 "),
    ];
    let name = name.trim().to_ascii_lowercase();
    STRENGTHS.iter().find_map(|(word, figure)| {
        let known = built_in(&format!("{figure}{}", name.strip_prefix(word)?))?;
        Some(known.name.to_owned())
    })
}

/// The key of a light that makes a lamp impossible.
#[must_use]
pub fn fault_key(fault: &LampFault) -> &'static str {
    match fault {
        LampFault::Source(SourceFault::NoDaylight) => "kelvin",
        LampFault::Source(_) => "duv",
        LampFault::NoLight(_) => "filters",
    }
}

/// What is said at that key.
#[must_use]
pub fn fault_label(lamp: &Lamp, fault: &LampFault) -> String {
    let Source { kelvin, duv, .. } = lamp.source;
    match fault {
        LampFault::Source(SourceFault::NoDaylight) => format!("expected 4000 to 25000 K for daylight, found {kelvin}"),
        LampFault::Source(SourceFault::DuvOfItsOwn) => format!("expected 0 for this source, found {duv}"),
        LampFault::Source(SourceFault::NoLight(white)) => {
            format!(
                "expected a Duv that a light of {kelvin} K can have; {duv} would be x {:.4}, y {:.4}",
                white.x, white.y
            )
        }
        LampFault::NoLight(white) => format!("behind them the light would be x {:.4}, y {:.4}", white.x, white.y),
    }
}

/// Why a lamp can't be, without its place.
#[must_use]
pub fn impossible(lamp: &Lamp, fault: LampFault) -> Diagnostic {
    let source = lamp.source.kind.id();
    let (message, help) = match fault {
        LampFault::Source(SourceFault::NoDaylight) => (
            format!("there is no daylight of {} K", lamp.source.kelvin),
            "the CIE defines daylight from 4000 to 25000 K; a low sun is better written as source = \"led\" with its measured kelvin and duv",
        ),
        LampFault::Source(SourceFault::DuvOfItsOwn) => (
            format!("a {source} source has no Duv of its own"),
            "write source = \"led\" for a light that is known by measured CCT and Duv, or hang a green or magenta filter before it",
        ),
        LampFault::Source(SourceFault::NoLight(_)) => (
            format!("no light has {} Duv at {} K", lamp.source.duv, lamp.source.kelvin),
            "Duv is mostly between -0.02 and 0.02; look whether the decimal point is right",
        ),
        LampFault::NoLight(_) => {
            ("the filters make a colour that no light has".to_owned(), "take some away, or look at their numbers")
        }
    };
    Diagnostic::error(&codes::LIGHT_IMPOSSIBLE, message).help(help)
}
