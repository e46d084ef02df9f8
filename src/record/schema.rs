//! The JSON Schema of a record, from the same tables as the decoder.
//!
//! It describes the record as text: every scalar may be a string, since its meaning is what was written. It cannot say
//! that an id exists or that a date is a day of the calendar; the decoder does.

use crate::base::known::How;
use crate::record::item::FieldSpec;
use crate::record::item::ItemKind;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::value::Value;
use serde_json::{Map, Value as Json, json};

/// The schema of a field: its value, `unknown`, `none`, and the words that say how it is known.
pub fn field<T: Value>() -> Json {
    let mut schema = T::schema();
    let mut plain = vec!["unknown"];
    if !T::NONE_IS_A_WORD {
        plain.push("none");
    }
    if T::KNOWN {
        let after: Vec<&str> = How::WORDS.iter().map(|(word, _)| *word).collect();
        loosen(&mut schema, &format!("(?: +(?:{}))?", after.join("|")));
    }
    json!({"anyOf": [schema, {"enum": plain}]})
}

/// Lets `about` stand before, and a word of knowledge after, the pattern of a scalar.
fn loosen(schema: &mut Json, after: &str) {
    let Some(pattern) = schema.get("pattern").and_then(Json::as_str) else { return };
    let body = pattern.trim_start_matches("^\\s*").trim_end_matches("\\s*$");
    schema["pattern"] = json!(format!("^\\s*(?:about +{body}|{body}{after})\\s*$"));
}

/// The schema of an item.
pub fn of_item<T: ItemKind>() -> Json {
    of_fields(T::DOC, &T::fields())
}

/// The schema of a map with the fields of a table.
pub fn of_fields(doc: &str, fields: &[FieldSpec]) -> Json {
    let mut properties = Map::new();
    for spec in fields {
        let mut schema = (spec.schema)();
        schema["description"] = json!(spec.doc.trim());
        schema["examples"] = json!([example(spec.example)]);
        properties.insert(spec.key.to_owned(), schema);
    }
    let required: Vec<&str> = fields.iter().filter(|f| f.required).map(|f| f.key).collect();
    json!({
        "type": "object",
        "description": doc.trim(),
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

/// An example as the value that a reader of YAML sees.
fn example(text: &str) -> Json {
    let source = crate::base::span::SourceText::new("example", text);
    crate::record::node::parse(&source).map_or_else(|_| json!(text), |node| as_json(&node))
}

fn as_json(node: &Node) -> Json {
    match &node.body {
        Body::Scalar(text) => json!(text),
        Body::List(list) => Json::Array(list.iter().map(as_json).collect()),
        Body::Map(map) => Json::Object(map.iter().map(|(k, v)| (k.value.clone(), as_json(v))).collect()),
    }
}

/// The schema of a section that maps ids to items.
pub fn of_section<T: ItemKind>() -> Json {
    json!({
        "type": "object",
        "description": T::DOC.trim(),
        "propertyNames": {"pattern": crate::record::sections::ID_PATTERN},
        "additionalProperties": of_item::<T>(),
    })
}

/// The schema of a section that lists entries without ids.
pub fn of_list<T: ItemKind>() -> Json {
    json!({"type": "array", "description": T::DOC.trim(), "items": of_item::<T>()})
}

/// The schema of a whole record.
pub fn of_record() -> Json {
    let mut properties = Map::new();
    properties.insert("record".to_owned(), json!({"enum": [1, "1"], "description": "The format's version."}));
    let book = json!({"type": "string", "pattern": "\\S", "description": "The rulebook the work is held against."});
    properties.insert("rulebook".to_owned(), book);
    for section in crate::record::sections::all() {
        properties.insert(section.key.to_owned(), (section.schema)());
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Fallmark job record, version 1",
        "type": "object",
        "properties": properties,
        "required": ["record", "job"],
        "additionalProperties": false,
    })
}
