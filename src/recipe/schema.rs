//! The JSON Schema (draft-07) that editors use for completion and hover, made from the declarations.

use super::parameter::{Bound, Default, Kind, Parameter};
use super::parameters::{self, TABLES};
use crate::colour::canonical_name;
use serde_json::{Map, Value, json};

/// The whole schema, without references: editors' TOML servers handle those poorly.
#[must_use]
pub fn schema() -> Value {
    let mut root = object("", "One look, declared. See docs/recipe.md.");
    root.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
    root.insert("title".into(), json!("lookwright recipe, version 1"));
    Value::Object(root)
}

fn object(table: &str, help: &str) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut required = Vec::new();
    let mut exclusions = Vec::new();
    let is_list = parameters::find_list(table).is_some();
    for parameter in parameters::keys_of(table) {
        properties.insert(parameter.key().to_owned(), property(parameter));
        // A recipe that extends another may leave out what the other says; so may a band that the other names.
        if parameter.default == Default::Required && !matches!(table, "look" | "camera") && !is_list {
            required.push(parameter.key());
        }
        if let Some(other) = parameter.excludes.filter(|other| parameter.key() < *other) {
            exclusions.push(json!({"not": {"required": [parameter.key(), other]}}));
        }
    }
    for child in TABLES {
        let (parent, key) = child.path.rsplit_once('.').unwrap_or(("", child.path));
        if parent == table {
            let inner = Value::Object(object(child.path, child.help));
            let schema = match parameters::find_list(child.path) {
                Some(list) => {
                    json!({"type": "array", "description": child.help, "items": inner, "maxItems": list.most})
                }
                None => inner,
            };
            properties.insert(key.to_owned(), schema);
        }
    }
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("description".into(), json!(help));
    object.insert("additionalProperties".into(), json!(false));
    object.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    if is_list {
        let needed: Vec<&str> = parameters::keys_of(table)
            .filter(|parameter| parameter.default == Default::Required)
            .map(Parameter::key)
            .collect();
        object.insert("anyOf".into(), json!([{"required": needed}, {"required": ["name"]}]));
    }
    if !exclusions.is_empty() {
        object.insert("allOf".into(), json!(exclusions));
    }
    object
}

pub(crate) fn property(parameter: &Parameter) -> Value {
    let unit = if parameter.unit.is_empty() { String::new() } else { format!(" [{}]", parameter.unit) };
    let mut schema = match &parameter.kind {
        Kind::Version => json!({"type": "integer", "enum": [1]}),
        // As the program has it: only what is empty by default may be empty.
        Kind::Text | Kind::Path if parameter.default != Default::Text("") => {
            json!({"type": "string", "pattern": "\\S"})
        }
        Kind::Text | Kind::Path => json!({"type": "string"}),
        Kind::Flag => json!({"type": "boolean"}),
        Kind::Choice(choice) => {
            let names = choice.names();
            // Editors complete from the first, and the second takes every spelling that the program takes.
            json!({"type": "string", "anyOf": [{"enum": names}, {"pattern": any_spelling(&names)}]})
        }
        Kind::Number { min, max } => match max {
            Bound::Value(max) => json!({"type": "number", "minimum": min, "maximum": max}),
            Bound::Parameter(_) | Bound::Open => json!({"type": "number", "minimum": min}),
        },
        Kind::Integer { min, max } => json!({"type": "integer", "minimum": min, "maximum": max}),
        Kind::Triple { min, max } => {
            let each = json!({"type": "number", "minimum": min, "maximum": max});
            json!({"type": "array", "items": each, "minItems": 3, "maxItems": 3})
        }
        Kind::Matrix { limit } => {
            let each = json!({"type": "number", "minimum": -limit, "maximum": limit});
            let row = json!({"type": "array", "items": each, "minItems": 3, "maxItems": 3});
            json!({"type": "array", "items": row, "minItems": 3, "maxItems": 3})
        }
    };
    if let Value::Object(fields) = &mut schema {
        fields.insert(
            "description".into(),
            json!(format!("{}{unit}. For example: {}", parameter.help, parameter.example)),
        );
        if let Some(default) = default(&parameter.default) {
            fields.insert("default".into(), default);
        }
    }
    schema
}

/// A regular expression for names without regard to case, spaces, hyphens, dots and underscores.
fn any_spelling(names: &[&str]) -> String {
    const BETWEEN: &str = "[ ._-]*";
    let spelt = |name: &&str| {
        let characters: Vec<String> = canonical_name(name).chars().map(either_case).collect();
        characters.join(BETWEEN)
    };
    let all: Vec<String> = names.iter().map(spelt).collect();
    format!("^{BETWEEN}(?:{}){BETWEEN}$", all.join("|"))
}

fn either_case(character: char) -> String {
    if character.is_ascii_alphabetic() {
        format!("[{character}{}]", character.to_ascii_uppercase())
    } else {
        character.to_string()
    }
}

fn default(default: &Default) -> Option<Value> {
    // In TOML's own types: whole numbers stay whole.
    match default {
        Default::Required | Default::Absent => None,
        Default::Number(number) => Some(json!(number)),
        Default::Integer(number) => Some(json!(number)),
        Default::Text(text) => Some(json!(text)),
        Default::Flag(flag) => Some(json!(flag)),
        Default::Triple(each) => Some(json!([each, each, each])),
        Default::Identity => Some(json!([[1, 0, 0], [0, 1, 0], [0, 0, 1]])),
        Default::Zeros => Some(json!([[0, 0, 0], [0, 0, 0], [0, 0, 0]])),
    }
}
