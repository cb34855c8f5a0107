//! One TOML value → one checked [`Value`], or what is wrong with it.

use super::parameter::{Bound, Choice, Default, Kind, Parameter};
use super::value::Value;
use crate::diagnostics::{Code, Diagnostic, Span, codes, nearest};
use toml::de::{DeInteger, DeValue};

/// The version of the recipe language that this program reads.
pub(super) const VERSION: i64 = 1;

/// Checks a value against the declaration of its key.
pub(crate) fn convert(parameter: &Parameter, value: &DeValue<'_>, span: Span) -> Result<Value, Diagnostic> {
    let problem = Problem { parameter, span };
    match &parameter.kind {
        Kind::Version => match value {
            DeValue::Integer(number) if integer(number) == Some(VERSION) => Ok(Value::Integer(VERSION)),
            DeValue::Integer(number) => Err(problem
                .with(&codes::UNKNOWN_VERSION, "unknown version of the recipe language", "1", number.as_str())
                .help("this program reads version 1; a later program may read more")),
            other => Err(problem.wrong_type("the number 1", other)),
        },
        Kind::Text | Kind::Path => match value {
            DeValue::String(text) if text.trim().is_empty() && parameter.default != Default::Text("") => {
                let message = format!("`{}` is empty", parameter.path);
                Err(problem.with(&codes::EMPTY_TEXT, &message, "a text", "none").help(problem.example()))
            }
            DeValue::String(text) => Ok(Value::Text(text.to_string())),
            other => Err(problem.wrong_type("text in double quotes", other)),
        },
        Kind::Flag => match value {
            DeValue::Boolean(flag) => Ok(Value::Flag(*flag)),
            other => Err(problem.wrong_type("true or false", other)),
        },
        Kind::Choice(choice) => match value {
            DeValue::String(text) => problem.choose(*choice, text),
            other => Err(problem.wrong_type(&format!("a {} in double quotes", choice.noun()), other)),
        },
        Kind::Number { min, max } => {
            let max = match max {
                Bound::Value(max) => *max,
                Bound::Parameter(_) | Bound::Open => f64::INFINITY,
            };
            problem.number(value, *min, max).map(Value::Number)
        }
        Kind::Integer { min, max } => match value {
            DeValue::Integer(number) => match integer(number) {
                Some(whole) if (*min..=*max).contains(&whole) => Ok(Value::Integer(whole)),
                _ => Err(problem.out_of_range(&format!("{min} to {max}"), number.as_str())),
            },
            other => Err(problem.wrong_type("a whole number", other)),
        },
        Kind::Triple { min, max } => problem.triple(value, *min, *max).map(Value::Triple),
        Kind::Matrix { limit } => problem.matrix(value, *limit).map(Value::Matrix),
    }
}

fn integer(number: &DeInteger<'_>) -> Option<i64> {
    i64::from_str_radix(number.as_str(), number.radix()).ok()
}

/// What a TOML value is called in a message: its type, and the value where it is short.
pub(crate) fn describe(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) if text.chars().count() <= 40 => format!("the text \"{text}\""),
        DeValue::String(_) => "a text".to_owned(),
        DeValue::Integer(number) => format!("the whole number {}", number.as_str()),
        DeValue::Float(number) => format!("the number {}", number.as_str()),
        DeValue::Boolean(flag) => format!("{flag}"),
        DeValue::Datetime(date) => format!("the date {date}"),
        DeValue::Array(items) => format!("a list of {}", items.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

struct Problem<'a> {
    parameter: &'a Parameter,
    span: Span,
}

impl Problem<'_> {
    fn with(&self, code: &'static Code, message: &str, expected: &str, found: &str) -> Diagnostic {
        Diagnostic::error(code, message).at(self.span.clone(), format!("expected {expected}, found {found}"))
    }

    fn wrong_type(&self, expected: &str, found: &DeValue<'_>) -> Diagnostic {
        let message = format!("`{}` has the wrong type", self.parameter.path);
        let diagnostic = self.with(&codes::WRONG_TYPE, &message, expected, &describe(found));
        match found {
            DeValue::String(text) if text.trim().parse::<f64>().is_ok() => diagnostic.help("remove the quotes"),
            _ => diagnostic.help(self.example()),
        }
    }

    fn example(&self) -> String {
        format!("for example: {} = {}", self.parameter.key(), self.parameter.example)
    }

    fn out_of_range(&self, range: &str, found: &str) -> Diagnostic {
        let message = format!("`{}` is out of range", self.parameter.path);
        let unit = self.parameter.unit;
        let range = if unit.is_empty() { range.to_owned() } else { format!("{range} {unit}") };
        self.with(&codes::OUT_OF_RANGE, &message, &range, found).help(self.parameter.help)
    }

    fn choose(&self, choice: Choice, written: &str) -> Result<Value, Diagnostic> {
        if let Some(name) = choice.find(written) {
            return Ok(Value::Text(name.to_owned()));
        }
        let names = choice.names();
        let listed = matches!(choice, Choice::Encoding | Choice::Gamut);
        let expected = if listed { format!("a known {}", choice.noun()) } else { names.join(" or ") };
        let message = format!("unknown {} \"{written}\"", choice.noun());
        let mut diagnostic = self.with(&codes::UNKNOWN_NAME, &message, &expected, &format!("\"{written}\""));
        if let Some(near) = nearest(written, names.iter().copied()) {
            diagnostic = diagnostic.help(format!("did you mean \"{near}\"?"));
        }
        Err(if listed { diagnostic.help("`lookwright encodings` lists them all") } else { diagnostic })
    }

    fn number(&self, value: &DeValue<'_>, min: f64, max: f64) -> Result<f64, Diagnostic> {
        let (number, written) = match value {
            DeValue::Integer(number) => (integer(number).map(|whole| whole as f64), number.as_str()),
            DeValue::Float(number) => (number.as_str().parse::<f64>().ok(), number.as_str()),
            other => return Err(self.wrong_type("a number", other)),
        };
        match number {
            Some(number) if !number.is_finite() => {
                let message = format!("`{}` is not a finite number", self.parameter.path);
                Err(self.with(&codes::NOT_FINITE, &message, "a finite number", written).help(self.parameter.help))
            }
            Some(number) if (min..=max).contains(&number) => Ok(number),
            _ => {
                let range = if max.is_finite() { format!("{min} to {max}") } else { format!("{min} or more") };
                Err(self.out_of_range(&range, written))
            }
        }
    }

    fn triple(&self, value: &DeValue<'_>, min: f64, max: f64) -> Result<[f64; 3], Diagnostic> {
        let DeValue::Array(items) = value else {
            return Err(self.wrong_type("three numbers in brackets", value));
        };
        if items.len() != 3 {
            let message = format!("`{}` needs one number for red, green and blue each", self.parameter.path);
            let found = format!("{}", items.len());
            let diagnostic = self.with(&codes::WRONG_TYPE, &message, "three numbers", &found);
            return Err(diagnostic.help(self.example()));
        }
        let mut triple = [0.0; 3];
        for (place, item) in triple.iter_mut().zip(items) {
            let inner = Self { parameter: self.parameter, span: Span { range: item.span(), ..self.span.clone() } };
            *place = inner.number(item.get_ref(), min, max)?;
        }
        Ok(triple)
    }

    fn matrix(&self, value: &DeValue<'_>, limit: f64) -> Result<[[f64; 3]; 3], Diagnostic> {
        let DeValue::Array(rows) = value else {
            return Err(self.wrong_type("three rows of three numbers", value));
        };
        if rows.len() != 3 {
            let message = format!("`{}` is a 3×3 matrix", self.parameter.path);
            let diagnostic = self.with(&codes::WRONG_TYPE, &message, "three rows", &format!("{}", rows.len()));
            return Err(diagnostic.help(self.example()));
        }
        let mut matrix = [[0.0; 3]; 3];
        for (place, row) in matrix.iter_mut().zip(rows) {
            let inner = Self { parameter: self.parameter, span: Span { range: row.span(), ..self.span.clone() } };
            *place = inner.triple(row.get_ref(), -limit, limit)?;
        }
        Ok(matrix)
    }
}
