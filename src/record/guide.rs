//! The field guide: what may stand in a record, from the same tables as the decoder.

use crate::record::item::FieldSpec;
use crate::record::sections::Shape;
use crate::record::sections::all;
use std::fmt::Write;

/// The guide as Markdown: every section with its keys, what they mean, what they look like and an example.
pub fn markdown() -> String {
    let mut out =
        String::from("# Field guide, record version 1\n\nStart a record with `record: 1`, `job:` and `rulebook:`.\n");
    for section in all() {
        let shape = match section.shape {
            Shape::One => "one map",
            Shape::ById => "a map from ids to items",
            Shape::List => "a list of entries",
            Shape::Words => "a list of words",
        };
        // Writing to a String cannot fail.
        let _ = writeln!(out, "\n## {}\n\n{} ({shape})\n", section.key, section.doc.trim());
        for field in (section.fields)() {
            entry(&mut out, &field, "");
        }
    }
    out
}

/// A field with the fields of the maps that may stand in it.
fn entry(out: &mut String, field: &FieldSpec, indent: &str) {
    let must = if field.required { ", required" } else { "" };
    let (key, doc, form, example) = (field.key, field.doc.trim(), field.form, field.example);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{indent}- `{key}`{must}: {doc} It is {form}. For example `{key}: {example}`.");
    for part in (field.parts)() {
        entry(out, &part, &format!("{indent}  "));
    }
}
