//! The schema and the decoder agree, on every record of the tests and on many values for each kind of field.

use crate::record::project;
use crate::record::saying;
use fallmark::record;
use fallmark::record::item::FieldSpec;
use fallmark::record::schema;
use fallmark::record::sections;
use serde_json::Value as Json;
use serde_json::json;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;

/// Asks one Python process everything at once.
fn ask(asked: &Json) -> Json {
    let python = std::env::var_os("FALLMARK_PYTHON").map_or_else(|| project("target/venv/bin/python"), PathBuf::from);
    let mut child = Command::new(&python)
        .arg(project("tests/records/check.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| {
            panic!("no Python at {}: {e}. Run `bash .ci/prepare` once to put it there", python.display())
        });
    child.stdin.take().unwrap().write_all(asked.to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success(), "the schema's checker failed; `bash .ci/prepare` installs what it needs");
    serde_json::from_slice(&out.stdout).unwrap()
}

fn records() -> Vec<PathBuf> {
    let folder = |name: &str| {
        let entries = std::fs::read_dir(project("tests/records").join(name)).unwrap();
        let mut paths: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
        paths.sort();
        paths
    };
    let samples = crate::network::SAMPLES.map(|s| project("samples").join(s).join("job.yaml"));
    folder("valid").into_iter().chain(folder("invalid")).chain(samples).collect()
}

/// Values as people write them, right and wrong, for every kind of field.
const VALUES: &str = include_str!("../records/values.txt");

/// What the schema cannot say of a value: it is written right, and still means nothing.
const BEYOND: [&str; 6] = [
    "no day of the calendar",
    "no pipe of the trade",
    "could be two sizes",
    "more digits than any tape",
    "divides by nothing",
    "in metres above the datum",
];

/// A field of each kind, with the section it is in; kinds are told apart by form and schema.
fn kinds() -> BTreeMap<String, (sections::Section, FieldSpec)> {
    let mut kinds = BTreeMap::new();
    for section in sections::all() {
        for field in (section.fields)() {
            let name = format!("{} {}", field.form, (field.schema)());
            kinds.entry(name).or_insert((section, field));
        }
    }
    kinds
}

/// The decoder's words against a value of a field, when it has some.
fn refused(section: &sections::Section, field: &FieldSpec, value: &str) -> Option<String> {
    let quoted = Json::String(value.to_owned()).to_string();
    let text = saying(section.shape, section.key, &(section.fields)(), field, &quoted);
    let reading = record::read("value", &text);
    assert!(reading.whole, "{text}{:?}", reading.faults);
    let counts = ["not readable", "nothing said"];
    let at = |f: &&record::fault::Fault| counts.contains(&f.kind) && f.path.ends_with(field.key);
    reading.faults.iter().find(at).map(|f| f.what.clone() + &f.help)
}

#[test]
fn the_schema_and_the_decoder_agree() {
    let paths = records();
    let kinds = kinds();
    let values: Vec<&str> = VALUES.lines().filter(|l| !l.starts_with("# ")).collect();
    let mut asked = Vec::new();
    for (name, (_, field)) in &kinds {
        asked.extend(values.iter().map(|v| json!([name, (field.schema)(), v])));
    }
    for (name, (_, field)) in &kinds {
        let example = (field.schema)()["examples"][0].clone();
        assert!(example.is_null(), "the schema of a field carries no example of its own: {name}");
    }
    let answer = ask(&json!({"schema": schema::of_record(), "records": paths, "values": asked}));
    assert!(answer["schema"].is_null(), "the schema is no JSON Schema: {}", answer["schema"]);
    let mut wrong = Vec::new();
    for (path, said) in paths.iter().zip(answer["records"].as_array().unwrap()) {
        let text = String::from_utf8_lossy(&std::fs::read(path).unwrap()).into_owned();
        let marked = text.lines().find_map(|l| l.strip_prefix("# schema: "));
        let expected = marked.filter(|m| *m != "cannot say");
        let invalid = path.parent().is_some_and(|p| p.ends_with("invalid"));
        assert_eq!(marked.is_some(), invalid, "{}: an invalid record says what the schema does", path.display());
        if said.as_str() != expected {
            wrong.push(format!("{}: marked {marked:?}, the schema says {said}", path.display()));
        }
    }
    let mut said = answer["values"].as_array().unwrap().iter();
    for (section, field) in kinds.values() {
        for value in &values {
            let schema = said.next().unwrap().is_string();
            let decoder = refused(section, field, value);
            let beyond = decoder.as_ref().is_some_and(|w| BEYOND.iter().any(|b| w.contains(b)));
            if decoder.is_some() != schema && !beyond {
                wrong.push(format!(
                    "{}.{}: {value:?}: schema refuses {schema}, decoder {decoder:?}",
                    section.key, field.key
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Examples in the schema are values that the schema takes.
#[test]
fn every_example_in_the_schema_fits_it() {
    let mut asked = Vec::new();
    let whole = schema::of_record();
    examples(&whole, &mut asked);
    assert!(asked.len() > 150, "{} examples", asked.len());
    let answer = ask(&json!({"schema": whole, "records": [], "values": asked}));
    let refused: Vec<&Json> = asked
        .iter()
        .zip(answer["values"].as_array().unwrap())
        .filter(|(_, s)| s.is_string())
        .map(|(a, _)| &a[2])
        .collect();
    assert!(refused.is_empty(), "{refused:?}");
}

fn examples(schema: &Json, out: &mut Vec<Json>) {
    match schema {
        Json::Object(map) => {
            if let (Some(example), false) = (map.get("examples"), map.contains_key("properties")) {
                out.push(json!([schema.to_string(), schema, example[0]]));
            }
            map.iter().filter(|(k, _)| *k != "examples").for_each(|(_, v)| examples(v, out));
        }
        Json::Array(list) => list.iter().for_each(|v| examples(v, out)),
        _ => {}
    }
}
