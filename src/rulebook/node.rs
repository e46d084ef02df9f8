//! YAML as a tree of texts with their lines: the only place in the rulebook that meets the YAML reader.
//!
//! A plain scalar's meaning is its source text, so `1 in 40`, `1.70 m` and `no` arrive as they were written.

use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;

use crate::rulebook::fault::RulebookError;

/// One node with the line it starts on, from 1.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub line: usize,
    pub value: Value,
}

/// What a node holds.
#[derive(Clone, Debug)]
pub(super) enum Value {
    Text(String),
    Seq(Vec<Node>),
    Map(Vec<(Node, Node)>),
}

/// What the reader hands over before plain scalars are looked up in the source.
enum Raw {
    Plain,
    Decoded(String),
    Seq(Vec<Spanned<Raw>>),
    Map(Vec<(Spanned<Raw>, Spanned<Raw>)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text, a list or a map")
    }
    fn visit_bool<E>(self, _: bool) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_i64<E>(self, _: i64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_u64<E>(self, _: u64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_f64<E>(self, _: f64) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Plain)
    }
    fn visit_str<E>(self, text: &str) -> Result<Raw, E> {
        Ok(Raw::Decoded(text.to_owned()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Raw, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = seq.next_element()? {
            items.push(item);
        }
        Ok(Raw::Seq(items))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Raw, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Raw::Map(pairs))
    }
}

/// Reads a text into its tree.
pub(super) fn read(document: &str, text: &str) -> Result<Node, RulebookError> {
    // Snippets cost time on every read, and our own errors show the line.
    let options = serde_yaml::options! {
        with_snippet: false,
        budget: serde_yaml::budget! { max_aliases: 0, max_anchors: 0 }
    };
    match serde_yaml::from_str_with_options::<Spanned<Raw>>(text, options) {
        Ok(raw) => Ok(settle(raw, text)),
        Err(error) => {
            let line = error.location().map_or(0, |place| usize::try_from(place.line()).unwrap_or(0));
            // What follows a comma is advice for whoever calls the reader, not for whoever wrote the text.
            let read = error.without_snippet().to_string();
            let read = read.split(", set ").next().unwrap_or_default().to_owned();
            Err(RulebookError::new(document, line, read, "well-formed YAML, each key once, no anchors"))
        }
    }
}

fn settle(raw: Spanned<Raw>, text: &str) -> Node {
    let line = usize::try_from(raw.referenced.line()).unwrap_or(0);
    let span = raw.referenced.span();
    let value = match raw.value {
        Raw::Decoded(decoded) => Value::Text(decoded),
        Raw::Plain => Value::Text(slice(text, span.byte_offset(), span.byte_len()).trim().to_owned()),
        Raw::Seq(items) => Value::Seq(items.into_iter().map(|item| settle(item, text)).collect()),
        Raw::Map(pairs) => Value::Map(pairs.into_iter().map(|(k, v)| (settle(k, text), settle(v, text))).collect()),
    };
    Node { line, value }
}

fn slice(text: &str, offset: Option<u64>, len: Option<u64>) -> &str {
    let at = |n: Option<u64>| n.and_then(|n| usize::try_from(n).ok());
    let (Some(start), Some(len)) = (at(offset), at(len)) else { return "" };
    text.get(start..start.saturating_add(len)).unwrap_or("")
}

impl Node {
    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            Value::Seq(_) | Value::Map(_) => None,
        }
    }

    /// What it looks like in an error message.
    pub fn shown(&self) -> String {
        match &self.value {
            Value::Text(text) if text.is_empty() => "nothing".to_owned(),
            Value::Text(text) => text.clone(),
            Value::Seq(_) => "a list".to_owned(),
            Value::Map(_) => "a map".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_scalars_arrive_as_written() {
        let node = read("toy", "a: 1.70\nb: no\nc: {d: 1:60, e: \"x\\ty\"}\nf:\n").unwrap();
        let Value::Map(pairs) = node.value else { panic!("a map") };
        let texts: Vec<Option<&str>> = pairs.iter().map(|(_, v)| v.text()).collect();
        assert_eq!(texts, [Some("1.70"), Some("no"), None, Some("")]);
        let Value::Map(inner) = &pairs[2].1.value else { panic!("a map") };
        assert_eq!(inner[0].1.text(), Some("1:60"));
        assert_eq!(inner[1].1.text(), Some("x\ty"));
        assert_eq!(inner[1].1.line, 3);
    }

    #[test]
    fn a_key_twice_is_refused_with_its_line() {
        let error = read("toy", "a: 1\nb: 2\na: 3\n").unwrap_err();
        assert_eq!(error.line, 3, "{error}");
    }
}
