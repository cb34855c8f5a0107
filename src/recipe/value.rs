//! Values as they were written, with the place where they stand.

use crate::diagnostics::Span;
use crate::maths::Rgb;
use std::collections::BTreeMap;

/// A value of a parameter, checked against its declared type and range.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Text, path or the canonical form of a name.
    Text(String),
    /// A finite number.
    Number(f64),
    /// A whole number.
    Integer(i64),
    /// A flag.
    Flag(bool),
    /// Numbers for red, green and blue.
    Triple(Rgb),
    /// Three rows of three.
    Matrix([[f64; 3]; 3]),
}

/// A value and the place of its key and itself.
#[derive(Clone, Debug)]
pub struct Written {
    /// What was written.
    pub value: Value,
    /// Place of the value.
    pub span: Span,
}

/// The keys of one hue band, by their last part.
#[derive(Clone, Debug)]
pub struct WrittenBand {
    /// Its keys.
    pub keys: BTreeMap<&'static str, Written>,
    /// Place of its header.
    pub span: Span,
}

impl WrittenBand {
    /// The band's name, empty if it has none.
    #[must_use]
    pub fn name(&self) -> &str {
        match self.keys.get("name").map(|written| &written.value) {
            Some(Value::Text(name)) => name,
            _ => "",
        }
    }
}
