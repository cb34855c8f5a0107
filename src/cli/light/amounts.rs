//! Numbers and filters of the command line, read with the same care as those of a file.

use lookwright::diagnostics::{Diagnostic, SourceText, Span, codes};
use lookwright::light::{Filter, estimated_stops, quantities};
use lookwright::show::{OwnFilter, named_filter};

/// A number on the command line.
pub struct Argument {
    /// How it is given.
    pub name: &'static str,
    /// Least and most.
    pub range: (f64, f64),
    /// Unit.
    pub unit: &'static str,
    /// What it is.
    pub help: &'static str,
}

/// As the keys of a show have them.
pub const KELVIN: Argument =
    Argument { name: "--kelvin", range: (1667.0, 25000.0), unit: "K", help: "colour temperature of the bare source" };
pub const DUV: Argument = Argument {
    name: "--duv",
    range: (-0.05, 0.05),
    unit: "Duv",
    help: "distance of an LED from the locus of black bodies",
};
pub const BALANCE: Argument =
    Argument { name: "--balance", range: (1667.0, 25000.0), unit: "K", help: "the camera's white balance" };
pub const BALANCE_DUV: Argument = Argument {
    name: "--balance-duv",
    range: (-0.05, 0.05),
    unit: "Duv",
    help: "tint of the balance, positive is greener",
};

impl Argument {
    /// The number, if one is given.
    pub fn read(&self, text: Option<&str>) -> Result<Option<f64>, Box<Diagnostic>> {
        let Some(text) = text else { return Ok(None) };
        let (low, high) = self.range;
        let expected = format!("expected {low} to {high} {}, found {text}", self.unit);
        let span = || Span { source: SourceText::new(self.name, text), range: 0..text.len() };
        let fault = |code, message: String| {
            Box::new(Diagnostic::error(code, message).at(span(), expected.clone()).help(self.help))
        };
        match text.trim().parse::<f64>() {
            Ok(number) if (low..=high).contains(&number) => Ok(Some(number)),
            Ok(number) if number.is_finite() => {
                Err(fault(&codes::OUT_OF_RANGE, format!("`{}` is out of range", self.name)))
            }
            Ok(_) => Err(fault(&codes::NOT_FINITE, format!("`{}` is not a finite number", self.name))),
            Err(_) => Err(fault(&codes::WRONG_TYPE, format!("`{}` is not a number", self.name))),
        }
    }
}

/// The filters that are given: names, or amounts. `none`, alone, stands for no filter.
pub fn filters(given: &[String], own: &[OwnFilter], found: &mut Vec<Diagnostic>) -> Vec<Filter> {
    let is_none = |text: &String| text.trim().eq_ignore_ascii_case("none");
    if given.len() > 1 && given.iter().any(is_none) {
        let others: Vec<&str> = given.iter().filter(|text| !is_none(text)).map(|text| text.trim()).collect();
        let message = "`--filter none` takes all filters away, and others are given beside it";
        let help = match others.as_slice() {
            [] => "once is enough".to_owned(),
            others => format!("leave `none` out: {} take the place of what hangs there anyway", others.join(", ")),
        };
        found.push(Diagnostic::error(&codes::LIGHT_ARGUMENTS, message).help(help));
        return Vec::new();
    }
    let given = given.iter().filter(|text| !is_none(text));
    given
        .filter_map(|text| match filter(text, own) {
            Ok(filter) => Some(filter),
            Err(fault) => {
                found.push(*fault);
                None
            }
        })
        .collect()
}

fn filter(text: &str, own: &[OwnFilter]) -> Result<Filter, Box<Diagnostic>> {
    let unknown = match named_filter(text.trim(), own) {
        Ok(filter) => return Ok(filter),
        Err(diagnostic) => diagnostic,
    };
    let at = |range| Span { source: SourceText::new("--filter", text), range };
    // What begins with a number, but not with one of the trade's fractions, is meant as amounts.
    let first = text.split_whitespace().next().unwrap_or_default();
    let is_amount =
        first.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '−' | '.')) && !first.contains('/');
    if !is_amount {
        let label = "expected a filter of the trade or the show, or amounts such as \"96 mired warmer, 0.5 stops\"";
        return Err(Box::new(unknown.at(at(0..text.len()), label)));
    }
    let amounts = quantities(text).map_err(|fault| {
        Box::new(
            Diagnostic::error(&codes::FILTER_UNKNOWN, format!("\"{text}\" is not a filter"))
                .at(at(fault.range), format!("expected {}", fault.expected))
                .help("for example --filter \"1/2 CTO\" or --filter \"96 mired warmer, 5 cc greener, 0.5 stops\""),
        )
    })?;
    let cast = amounts.cast();
    let stops = amounts.stops.unwrap_or_else(|| estimated_stops(cast.warmer_mired, cast.greener_duv));
    Ok(Filter {
        name: text.trim().to_owned(),
        warmer_mired: cast.warmer_mired,
        greener_duv: cast.greener_duv,
        stops,
        // What changes no colour takes no light either, as far as anybody knows.
        is_estimated: amounts.stops.is_none() && stops > 0.0,
    })
}
