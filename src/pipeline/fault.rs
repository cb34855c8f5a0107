//! What is wrong with the values of a plan together.

use crate::diagnostics::{Code, Diagnostic};

/// A diagnostic about one parameter. Whoever has the recipe's text turns the parameter into a place in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Dotted path of the parameter, such as `tone.straight_up`.
    pub parameter: String,
    /// What stands under the mark.
    pub label: String,
    /// The diagnostic, without a place.
    pub diagnostic: Box<Diagnostic>,
}

impl Fault {
    /// An error about a parameter.
    #[must_use]
    pub fn error(code: &'static Code, parameter: impl Into<String>, message: String, label: String) -> Self {
        Self { parameter: parameter.into(), label, diagnostic: Box::new(Diagnostic::error(code, message)) }
    }

    /// A warning about a parameter.
    #[must_use]
    pub fn warning(code: &'static Code, parameter: impl Into<String>, message: String, label: String) -> Self {
        Self { parameter: parameter.into(), label, diagnostic: Box::new(Diagnostic::warning(code, message)) }
    }

    /// The same with one more remedy.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.diagnostic.help.push(help.into());
        self
    }
}
