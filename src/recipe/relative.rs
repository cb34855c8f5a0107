//! Relative changes after `--set`: `white.warmer_mired=+5` adds, `tone.contrast-=0.05` takes off.
//!
//! A plus sign is never needed to write a value, so that it can only mean a step. A minus sign is: `=-5` is the value −5.

use super::parameter::{Default, Kind};
use super::value::Value;
use super::{Recipe, parameters, within_list};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes};

/// What a `--set` text asks for as an absolute `key=value`, seen from a recipe.
///
/// # Errors
/// A step of something that is no number, or whose partner in another unit is written instead.
pub fn absolute(text: &str, recipe: &Recipe) -> Result<String, Box<Diagnostic>> {
    let Some((key, step)) = step(text) else { return Ok(text.to_owned()) };
    let problem = |message: String, label: &str, help: String| {
        let source = SourceText::new("--set", text);
        let span = Span { range: 0..text.len(), source };
        Err(Box::new(Diagnostic::error(&codes::STEP_IMPOSSIBLE, message).at(span, label).help(help)))
    };
    let example = "a step is `key=+NUMBER`, `key+=NUMBER` or `key-=NUMBER`".to_owned();
    let Ok(step) = step.parse::<f64>() else {
        return problem(format!("`{step}` is no number"), "expected a number to add or to take off", example);
    };
    let Some(now) = current(key, recipe) else {
        // An unknown key, or one of another type: as a value it is told in the usual way.
        let known = parameters::find(key).is_some();
        return if known {
            problem(format!("`{key}` is not changed in steps"), "expected the key of a number", example)
        } else {
            Ok(format!("{key}={step}"))
        };
    };
    if let Some(parameter) = parameters::find(key)
        && let Some(other) = parameter.excludes
        && let Some(written) = recipe.get(&format!("{}.{other}", parameter.table()))
    {
        let message = format!("the recipe says `{other} = {}`, not `{}`", written.value, parameter.key());
        let help =
            format!("change `{}.{other}` in steps, or give `{key}` a value without a plus sign", parameter.table());
        return problem(message, "expected the key that the recipe uses", help);
    }
    Ok(format!("{key}={}", decimal(now, step)))
}

/// Key and signed step, where the text asks for one.
fn step(text: &str) -> Option<(&str, String)> {
    let (left, right) = text.split_once('=')?;
    let (left, right) = (left.trim_end(), right.trim());
    let (key, sign) = match (left.strip_suffix('+'), left.strip_suffix('-')) {
        (Some(key), _) => (key, ""),
        (None, Some(key)) => (key, "-"),
        (None, None) => return right.strip_prefix('+').map(|number| (left.trim(), number.trim().to_owned())),
    };
    Some((key.trim(), format!("{sign}{}", right.strip_prefix('+').unwrap_or(right))))
}

/// The number that holds for a key; `None` for what is no number.
fn current(key: &str, recipe: &Recipe) -> Option<f64> {
    if let Some((list, rest)) = within_list(key) {
        let (name, key) = rest.rsplit_once('.')?;
        let name = name.trim_matches('"');
        let band = recipe.items(list).iter().find(|band| band.name() == name)?;
        let written = band.keys.get(key).map(|written| written.value.clone());
        return number(written.or_else(|| parameters::find(&format!("{list}.{key}"))?.default.value())?);
    }
    let parameter = parameters::find(key)?;
    if !matches!(parameter.kind, Kind::Number { .. } | Kind::Integer { .. }) {
        return None;
    }
    match recipe.get(key) {
        Some(written) => number(written.value.clone()),
        None if parameter.default == Default::Absent => None,
        None => number(parameter.default.value()?),
    }
}

fn number(value: Value) -> Option<f64> {
    match value {
        Value::Number(number) => Some(number),
        Value::Integer(number) => Some(number as f64),
        _ => None,
    }
}

/// The sum of two numbers that were written in decimals, without the dust of binary fractions: 1.3 + 0.1 is 1.4.
fn decimal(now: f64, step: f64) -> f64 {
    const DECIMALS: usize = 9;
    let sum = now + step;
    format!("{sum:.DECIMALS$}").parse().unwrap_or(sum)
}

#[cfg(test)]
mod tests {
    use super::{decimal, step};

    #[test]
    fn a_plus_sign_is_a_step_and_a_minus_sign_is_a_value() {
        assert_eq!(step("white.warmer_mired=+5"), Some(("white.warmer_mired", "5".to_owned())));
        assert_eq!(step("tone.contrast += 0.05"), Some(("tone.contrast", "0.05".to_owned())));
        assert_eq!(step("tone.contrast-=0.05"), Some(("tone.contrast", "-0.05".to_owned())));
        assert_eq!(step("white.warmer_mired=-5"), None);
        assert_eq!(step("look.name=a+b"), None);
    }

    #[test]
    fn sums_are_decimal() {
        assert_eq!(decimal(1.3, 0.1), 1.4);
        assert_eq!(decimal(0.1, 0.2), 0.3);
    }
}
