//! Every parameter of a recipe with its value and where the value comes from.

use crate::colour::whites::DUV_PER_CC;
use crate::diagnostics::Span;
use crate::plan::{Plan, Tint};
use crate::recipe::parameter::{Default, Parameter};
use crate::recipe::parameters::{TABLES, Table, find_list, keys_of};
use crate::recipe::{Recipe, Value, WrittenBand};
use std::fmt;

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// It was written, in this place.
    Written(Span),
    /// Nothing was written; the language's default holds.
    Default,
    /// The preset of this grade of diffusion.
    Preset(String),
    /// It follows from another parameter, named by its path.
    From(&'static str),
    /// Nothing was written and nothing holds.
    Absent,
}

impl fmt::Display for Origin {
    /// "noon.toml:12", "default", "preset of grade 1/4".
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            // An argument has one line only.
            Self::Written(span) if span.source.name == "--set" => write!(formatter, "--set"),
            Self::Written(span) => {
                let (line, _) = span.source.line_column(span.range.start);
                write!(formatter, "{}:{line}", span.source.name)
            }
            Self::Default => write!(formatter, "default"),
            Self::Preset(grade) => write!(formatter, "preset of grade {grade}"),
            Self::From(path) => write!(formatter, "from {path}"),
            Self::Absent => write!(formatter, "not written"),
        }
    }
}

/// One parameter of one recipe.
#[derive(Clone, Debug)]
pub struct ResolvedParameter {
    /// Its declaration: path, unit, range and help.
    pub declared: &'static Parameter,
    /// What holds; `None` where nothing does.
    pub value: Option<Value>,
    /// Where that comes from.
    pub origin: Origin,
}

impl ResolvedParameter {
    /// The value with its unit. Written numbers are as they were; computed ones have eight digits, for 3 CC is not 3.0000000000000004 CC.
    #[must_use]
    pub fn value_text(&self) -> String {
        let unit = self.declared.unit;
        let shown = |value: &Value| match value {
            Value::Number(number) => format!("{}", format!("{number:.7e}").parse().unwrap_or(*number)),
            other => other.to_string(),
        };
        match &self.value {
            None => "none".to_owned(),
            Some(value) if unit.is_empty() => shown(value),
            // "4 10-bit codes" reads like 410.
            Some(value) if unit.starts_with(|first: char| first.is_ascii_digit()) => {
                format!("{} ({unit})", shown(value))
            }
            Some(value) => format!("{} {unit}", shown(value)),
        }
    }
}

/// One table of one recipe.
#[derive(Clone, Debug)]
pub struct ResolvedTable {
    /// Its declaration; `None` for the top level.
    pub declared: Option<&'static Table>,
    /// Which table of its list it is, from 0; `None` for all other tables.
    pub band: Option<usize>,
    /// Whether the block works at all: a recipe without `[tone]` has no tone block.
    pub present: bool,
    /// Its keys, in the order of the language; none where the block is not present.
    pub parameters: Vec<ResolvedParameter>,
}

/// All tables in the order of the language, the top level first; one for each table of a list.
#[must_use]
pub fn parameters(recipe: &Recipe, plan: &Plan) -> Vec<ResolvedTable> {
    let reader = Reader { recipe, plan };
    let mut tables = vec![reader.table(None)];
    for declared in TABLES {
        if find_list(declared.path).is_some() {
            let items = recipe.items(declared.path).iter().enumerate();
            tables.extend(items.map(|(index, band)| Reader::band(declared, index, band)));
        } else {
            tables.push(reader.table(Some(declared)));
        }
    }
    tables
}

struct Reader<'a> {
    recipe: &'a Recipe,
    plan: &'a Plan,
}

impl Reader<'_> {
    fn table(&self, declared: Option<&'static Table>) -> ResolvedTable {
        let path = declared.map_or("", |table| table.path);
        let present = path != "tone" || self.plan.tone.is_some();
        let parameters = if present { keys_of(path).map(|key| self.parameter(key)).collect() } else { Vec::new() };
        ResolvedTable { declared, band: None, present, parameters }
    }

    fn band(declared: &'static Table, index: usize, band: &WrittenBand) -> ResolvedTable {
        let parameters = keys_of(declared.path)
            .map(|key| match band.keys.get(key.key()) {
                Some(written) => ResolvedParameter {
                    declared: key,
                    value: Some(written.value.clone()),
                    origin: Origin::Written(written.span.clone()),
                },
                None => by_default(key),
            })
            .collect();
        ResolvedTable { declared: Some(declared), band: Some(index), present: true, parameters }
    }

    fn parameter(&self, key: &'static Parameter) -> ResolvedParameter {
        if let Some(written) = self.recipe.get(key.path) {
            let origin = Origin::Written(written.span.clone());
            return ResolvedParameter { declared: key, value: Some(written.value.clone()), origin };
        }
        self.preset(key).or_else(|| self.derived(key)).unwrap_or_else(|| by_default(key))
    }

    /// What a grade of diffusion stands for.
    fn preset(&self, key: &'static Parameter) -> Option<ResolvedParameter> {
        let Some(Value::Text(grade)) = self.recipe.get("diffusion.grade").map(|written| &written.value) else {
            return None;
        };
        let filter = &self.plan.diffusion;
        let value = match key.path {
            "diffusion.veil" => filter.veil,
            "diffusion.knee_stops" => filter.knee_stops,
            "diffusion.softness_stops" => filter.softness_stops,
            "diffusion.loss_stops" => filter.loss_stops,
            "diffusion.bleach" => filter.bleach,
            _ => return None,
        };
        let origin = Origin::Preset(grade.clone());
        Some(ResolvedParameter { declared: key, value: Some(Value::Number(value)), origin })
    }

    /// What follows from a parameter that was written: the other unit of a tint or of grey, and the reference of a split.
    fn derived(&self, key: &'static Parameter) -> Option<ResolvedParameter> {
        let found = |value: f64, from: &'static str| {
            Some(ResolvedParameter { declared: key, value: Some(Value::Number(value)), origin: Origin::From(from) })
        };
        if let Some((partner, value)) = self.exclusive_partner(key) {
            return found(value, partner);
        }
        match key.path {
            "split.shadows.reference_kelvin" => found(self.plan.split.shadows.reference_kelvin, WHITE_REFERENCE),
            "split.highlights.reference_kelvin" => found(self.plan.split.highlights.reference_kelvin, WHITE_REFERENCE),
            _ => None,
        }
    }

    /// The path of the exclusive partner that was written, and this key's value by it.
    fn exclusive_partner(&self, key: &'static Parameter) -> Option<(&'static str, f64)> {
        let partner = keys_of(key.table()).find(|other| Some(other.key()) == key.excludes)?;
        self.recipe.get(partner.path)?;
        let tint: &Tint = match key.table() {
            "white" => &self.plan.white,
            "split.shadows" => &self.plan.split.shadows,
            "split.highlights" => &self.plan.split.highlights,
            "tone" => {
                let grey = self.plan.tone.as_ref()?.grey;
                let in_nits = key.key() == "grey_nits";
                return Some((partner.path, if in_nits { grey * self.plan.display.peak_nits } else { grey }));
            }
            _ => return None,
        };
        let in_cc = key.key() == "greener_cc";
        Some((partner.path, if in_cc { tint.greener_duv / DUV_PER_CC } else { tint.greener_duv }))
    }
}

const WHITE_REFERENCE: &str = "white.reference_kelvin";

fn by_default(declared: &'static Parameter) -> ResolvedParameter {
    let value = declared.default.value();
    let origin = if declared.default == Default::Absent { Origin::Absent } else { Origin::Default };
    ResolvedParameter { declared, value, origin }
}
