//! The JSON Schema of a spec and of a shop file, from the key tables that the reader uses.
//!
//! Draft 2020-12. An editor that knows it completes keys and checks most values; what compares one
//! table with another only `hotside check` knows.

use serde_json::{Map, Value, json};
use tube::alloy::ALLOYS;

use crate::key::{End, Key, Kind, Limit, Table};
use crate::shop_keys::SHOP;
use crate::spec_keys::SPEC;

/// The schema of a spec file.
pub fn spec() -> Value {
    document("hotside spec", &SPEC)
}

/// The schema of a shop file.
pub fn shop() -> Value {
    document("hotside shop file", &SHOP)
}

/// A name that can become a file name.
const NAME: &str = "^[A-Za-z0-9_-]{1,40}$";
const NUMBER: &str = r"[-+]?[0-9.]+(e[-+]?[0-9]+)?";

fn document(title: &str, table: &Table) -> Value {
    let mut root = Map::new();
    root.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    root.insert("title".into(), json!(title));
    root.extend(object(table));
    let is_open = Value::Object(root.clone()).to_string().contains("#/$defs/open_");
    root.insert("$defs".into(), definitions(is_open));
    Value::Object(root)
}

/// What several keys hold, and the kinds that may be left open where the file has any.
fn definitions(is_open: bool) -> Value {
    let fraction = r"([0-9]+[- ] *)?[0-9]+ */ *[0-9]+";
    let unit = r#"(mm|cm|m|in|inch|inches|")?"#;
    let number = json!({ "type": "number" });
    let text = |pattern: String| json!({ "type": "string", "pattern": pattern });
    let length = text(format!("^ *({NUMBER}|-? *{fraction}) *{unit} *$"));
    let decimal = text(format!("^ *{NUMBER} *{unit} *$"));
    let mass = text(format!("^ *{NUMBER} *(kg|g|lb|oz)? *$"));
    let angle = text(format!("^ *{NUMBER} *(deg|°|degree|degrees|rad)? *$"));
    let open_length = text(format!(r"^ *\? *(({NUMBER}|-? *{fraction}) *{unit})? *$"));
    let open_angle = text(format!(r"^ *\? *({NUMBER} *(deg|°|degree|degrees|rad)?)? *$"));
    let mut definitions = json!({
        "length": { "anyOf": [number, length] },
        "decimal": { "anyOf": [number, decimal] },
        "angle": { "anyOf": [number, angle] },
        "mass": { "anyOf": [number, mass] },
        "place": { "anyOf": [{ "enum": ["start", "end"] }, { "$ref": "#/$defs/length" }] },
        "temperature": { "anyOf": [number, text(format!("^ *{NUMBER} *(C|F)? *$"))] },
        "point": list(3, json!({ "$ref": "#/$defs/length" })),
        "pair": list(2, json!({ "$ref": "#/$defs/length" })),
        "spot": list(2, json!({ "$ref": "#/$defs/length" })),
        "direction": list(3, number.clone()),
        "alloy": { "enum": ALLOYS.iter().map(|alloy| alloy.name).collect::<Vec<_>>() },
    });
    let open = json!({
        "open_length": { "anyOf": [number, length, open_length] },
        "open_angle": { "anyOf": [number, angle, open_angle] },
        "open_point": list(3, json!({ "$ref": "#/$defs/open_length" })),
        "open_direction": { "anyOf": [{ "$ref": "#/$defs/direction" }, { "const": "?" }] },
    });
    if let (true, Value::Object(all), Value::Object(open)) = (is_open, &mut definitions, open) {
        all.extend(open);
    }
    definitions
}

fn list(count: usize, items: Value) -> Value {
    json!({ "type": "array", "items": items, "minItems": count, "maxItems": count })
}

/// A table, its description beside its keys.
fn object(table: &Table) -> Map<String, Value> {
    let mut object = Map::new();
    object.insert("description".into(), json!(table.doc));
    object.insert("type".into(), json!("object"));
    let properties: Map<String, Value> =
        table.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    object.insert("properties".into(), Value::Object(properties));
    let required: Vec<&str> = table.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    if !table.either.is_empty() {
        let sets: Vec<Value> = table.either.iter().map(|set| only(set, table)).collect();
        object.insert("oneOf".into(), json!(sets));
    }
    object.insert("additionalProperties".into(), json!(false));
    object
}

/// One of a table's either-or sets: its keys there, those of the other sets not.
fn only(set: &[&str], table: &Table) -> Value {
    let others = table.either.iter().filter(|other| **other != set).flat_map(|other| other.iter());
    let absent: Map<String, Value> = others.map(|key| ((*key).to_owned(), json!(false))).collect();
    json!({ "required": set, "properties": absent })
}

fn property(key: &Key) -> Value {
    let mut property = kind(&key.kind);
    let doc = match property.remove("description") {
        Some(Value::String(table)) if !matches!(key.kind, Kind::Table(_)) => format!("{} {table}", key.doc),
        _ => key.doc.to_owned(),
    };
    let mut described = Map::new();
    described.insert("description".into(), json!(doc));
    described.extend(property);
    Value::Object(described)
}

fn kind(kind: &Kind) -> Map<String, Value> {
    let value = match kind {
        Kind::Text => json!({ "type": "string", "not": { "const": "?" } }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Alloy => json!({ "$ref": "#/$defs/alloy" }),
        Kind::Pipe => json!({ "type": "string", "pattern": "^ *[Pp]ipe .+ [Ss]ch" }),
        Kind::Length(limit) => ranged("length", limit),
        Kind::Wall => ranged("decimal", &Limit::above("", 0.0)),
        Kind::Angle(limit) => ranged("angle", limit),
        Kind::Place => json!({ "$ref": "#/$defs/place" }),
        Kind::Mass => ranged("mass", &Limit::above("", 0.0)),
        Kind::Number(limit) => bounded(json!({ "type": "number" }), limit),
        Kind::OpenLength(limit) => ranged("open_length", limit),
        Kind::OpenAngle(limit) => ranged("open_angle", limit),
        Kind::OpenPoint => json!({ "$ref": "#/$defs/open_point" }),
        Kind::OpenDirection => json!({ "$ref": "#/$defs/open_direction" }),
        Kind::Count(low, high) => json!({ "type": "integer", "minimum": low, "maximum": high }),
        Kind::Point => json!({ "$ref": "#/$defs/point" }),
        Kind::Direction => json!({ "$ref": "#/$defs/direction" }),
        Kind::Numbers => json!({ "$ref": "#/$defs/direction" }),
        Kind::Lengths(limit) => list(3, ranged("length", limit)),
        Kind::Spot => json!({ "$ref": "#/$defs/spot" }),
        Kind::Temperature(limit) => ranged("temperature", limit),
        Kind::Names => json!({ "type": "array", "items": { "type": "string" }, "minItems": 1 }),
        Kind::Words(words) => json!({ "type": "array", "items": { "enum": words }, "minItems": 1 }),
        Kind::WordOrTable(word, table) => {
            json!({ "anyOf": [{ "const": word }, Value::Object(object(table))] })
        }
        Kind::Pair => json!({ "$ref": "#/$defs/pair" }),
        Kind::Table(table) => Value::Object(object(table)),
        Kind::Named(table) => json!({
            "type": "object",
            "propertyNames": { "pattern": NAME },
            "additionalProperties": Value::Object(object(table)),
        }),
        Kind::List(tables) => json!({ "type": "array", "items": forms(tables) }),
    };
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

/// The forms of a list's tables.
fn forms(tables: &[&Table]) -> Value {
    match tables {
        [only] => Value::Object(object(only)),
        _ => json!({ "oneOf": tables.iter().map(|table| Value::Object(object(table))).collect::<Vec<_>>() }),
    }
}

/// A definition with the range of its bare numbers.
fn ranged(definition: &str, limit: &Limit) -> Value {
    bounded(json!({ "$ref": format!("#/$defs/{definition}") }), limit)
}

/// A schema with a range beside it.
fn bounded(schema: Value, limit: &Limit) -> Value {
    let Value::Object(mut map) = schema else { return schema };
    match limit.low {
        End::None => {}
        End::With(low) => drop(map.insert("minimum".into(), json!(low))),
        End::Without(low) => drop(map.insert("exclusiveMinimum".into(), json!(low))),
    }
    match limit.high {
        End::None => {}
        End::With(high) => drop(map.insert("maximum".into(), json!(high))),
        End::Without(high) => drop(map.insert("exclusiveMaximum".into(), json!(high))),
    }
    Value::Object(map)
}
