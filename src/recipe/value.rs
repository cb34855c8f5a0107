//! Values as they were written, with the place where they stand.

use crate::diagnostics::Span;
use crate::maths::Rgb;
use std::collections::BTreeMap;
use std::fmt;

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

/// As in a recipe: text in quotes, numbers in their shortest exact form.
impl fmt::Display for Value {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            // On one line, whatever is in it.
            Self::Text(text) => write!(formatter, "{text:?}"),
            Self::Number(number) => write!(formatter, "{number}"),
            Self::Integer(number) => write!(formatter, "{number}"),
            Self::Flag(flag) => write!(formatter, "{flag}"),
            Self::Triple([r, g, b]) => write!(formatter, "[{r}, {g}, {b}]"),
            Self::Matrix(rows) => {
                let rows = rows.map(|[r, g, b]| format!("[{r}, {g}, {b}]"));
                write!(formatter, "[{}]", rows.join(", "))
            }
        }
    }
}

/// A value and the place of its key and itself.
#[derive(Clone, Debug)]
pub struct Written {
    /// What was written.
    pub value: Value,
    /// Place of the value.
    pub span: Span,
}

/// The keys of one table of a list, a hue band or a band of the exposure map, by their last part.
#[derive(Clone, Debug)]
pub struct WrittenBand {
    /// Its keys.
    pub keys: BTreeMap<&'static str, Written>,
    /// Keys whose value is wrong.
    pub faulty: Vec<&'static str>,
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

    /// Place of a key's value, or of the header where the key is not written.
    #[must_use]
    pub fn place(&self, key: &str) -> Span {
        self.keys.get(key).map_or(&self.span, |written| &written.span).clone()
    }
}
