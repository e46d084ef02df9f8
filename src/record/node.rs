//! YAML as a tree of our own, each node with its place. The only room of the record that meets the YAML reader.
//!
//! A plain scalar's meaning is its source text, so `98.310`, `1:60`, `no` and `1_000` arrive as they were written.

use crate::base::span::SourceText;
use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::record::fault::Fault;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// The largest record that is read: 32 MiB holds far more pipes than any dwelling.
pub const LARGEST: usize = 32 << 20;

/// How deep maps and lists may stand inside one another.
const DEEPEST: usize = 24;

/// A piece of the record with its place.
#[derive(Clone, Debug, Default)]
pub struct Node {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub body: Body,
}

/// What a [`Node`] is.
#[derive(Clone, Debug)]
pub enum Body {
    /// Words, a number, a date: everything without structure, as written.
    Scalar(String),
    /// A list.
    List(Vec<Node>),
    /// A map, in the order of the text, with repeated keys kept.
    Map(Vec<(Spanned<String>, Node)>),
}

impl Default for Body {
    fn default() -> Self {
        Body::Scalar(String::new())
    }
}

impl Node {
    /// The words of a scalar.
    pub fn text(&self) -> Option<&str> {
        match &self.body {
            Body::Scalar(text) => Some(text),
            Body::List(_) | Body::Map(_) => None,
        }
    }

    /// What kind of thing it is, for a message.
    pub fn kind(&self) -> &'static str {
        match &self.body {
            Body::Scalar(text) if text.is_empty() => "nothing",
            Body::Scalar(_) => "a single value",
            Body::List(_) => "a list",
            Body::Map(_) => "a map",
        }
    }
}

/// Parses a record's text.
///
/// # Errors
/// One fault, when the text is not YAML, is too large or too deep, or uses anchors, aliases or a second document.
pub fn parse(source: &SourceText) -> Result<Node, Box<Fault>> {
    if source.text.len() > LARGEST {
        let fault = Fault::at(Span::default(), "record too large", format!("{} bytes", source.text.len()));
        return Err(Box::new(fault.help(format!("a record has at most {} MiB", LARGEST >> 20))));
    }
    let bytes = source.text.len();
    let options = serde_yaml::options! {
        budget: serde_yaml::budget! {
            max_aliases: 0,
            max_anchors: 0,
            max_depth: DEEPEST,
            max_nodes: bytes.saturating_add(1_000),
            max_events: bytes.saturating_mul(2).saturating_add(1_000),
            max_total_scalar_bytes: bytes.saturating_mul(2).saturating_add(1_000),
        },
        duplicate_keys: serde_yaml::DuplicateKeyPolicy::PassThrough,
        merge_keys: serde_yaml::MergeKeyPolicy::AsOrdinary,
        strict_booleans: true,
        with_snippet: false,
    };
    let text = source.text.strip_prefix('\u{feff}').unwrap_or(&source.text);
    let lead = source.text.len() - text.len();
    match serde_yaml::from_str_with_options::<Raw>(text, options) {
        Ok(raw) => Ok(settle(raw, text, lead)),
        Err(error) => Err(Box::new(syntax_fault(&error, text, lead))),
    }
}

fn syntax_fault(error: &serde_yaml::Error, text: &str, lead: usize) -> Fault {
    let start = error.location().map(|l| byte_of(text, l.line(), l.column())).unwrap_or(0).min(text.len());
    let line_end = text.get(start..).and_then(|t| t.find('\n')).unwrap_or(0).max(1);
    let said = error.without_snippet().to_string();
    let said = said.split(", set ").next().unwrap_or(&said).to_owned();
    let (what, help) = if text.trim().is_empty() {
        ("the record is empty".to_owned(), "start it with `record: 1` and a `job:`")
    } else if said.contains("alias") || said.contains("anchor") {
        (
            "an anchor (&) or alias (*) is not read".to_owned(),
            "write the value out at each place; put a text that starts with & or * in quotes",
        )
    } else if said.contains("depth") || said.contains("recursion") || said.contains("nesting") {
        ("maps or lists stand too deep inside one another".to_owned(), "a record needs no more than six levels")
    } else {
        (
            format!("this is not YAML: {said}"),
            "look for a lost brace, bracket or quote on this line or the one above; a text with `: ` or `#` in it wants quotes",
        )
    };
    let mut fault = Fault::at(Span::new(start + lead, line_end), "not readable as YAML", what);
    fault.help = help.to_owned();
    fault
}

fn byte_of(text: &str, line: u64, column: u64) -> usize {
    let line = usize::try_from(line).unwrap_or(1).max(1);
    let column = usize::try_from(column).unwrap_or(1).max(1);
    let start: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
    let tail = text.get(start..).unwrap_or("");
    start + tail.char_indices().nth(column - 1).map_or(0, |(i, _)| i)
}

/// A node as the YAML reader gives it: places apart from values, scalars already interpreted.
struct Raw {
    span: Span,
    body: RawBody,
}

enum RawBody {
    Typed,
    Text(String),
    List(Vec<Raw>),
    Map(Vec<(RawKey, Raw)>),
}

struct RawKey {
    span: Span,
    text: Option<String>,
}

fn span_of(at: serde_yaml::Location) -> Span {
    let span = at.span();
    let byte = |n: Option<u64>| n.and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
    Span::new(byte(span.byte_offset()), byte(span.byte_len()))
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let spanned = serde_yaml::Spanned::<RawBody>::deserialize(d)?;
        Ok(Raw { span: span_of(spanned.referenced), body: spanned.value })
    }
}

impl<'de> Deserialize<'de> for RawBody {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(BodyVisitor)
    }
}

impl<'de> Deserialize<'de> for RawKey {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let raw = Raw::deserialize(d)?;
        let text = match raw.body {
            RawBody::Text(text) => Some(text),
            RawBody::Typed | RawBody::List(_) | RawBody::Map(_) => None,
        };
        Ok(RawKey { span: raw.span, text })
    }
}

struct BodyVisitor;

impl<'de> Visitor<'de> for BodyVisitor {
    type Value = RawBody;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value, a list or a map")
    }
    fn visit_bool<E>(self, _: bool) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_i64<E>(self, _: i64) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_u64<E>(self, _: u64) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_f64<E>(self, _: f64) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_unit<E>(self) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_none<E>(self) -> Result<RawBody, E> {
        Ok(RawBody::Typed)
    }
    fn visit_str<E>(self, text: &str) -> Result<RawBody, E> {
        Ok(RawBody::Text(text.to_owned()))
    }
    fn visit_string<E>(self, text: String) -> Result<RawBody, E> {
        Ok(RawBody::Text(text))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<RawBody, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = seq.next_element()? {
            list.push(item);
        }
        Ok(RawBody::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<RawBody, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = map.next_entry()? {
            entries.push(entry);
        }
        Ok(RawBody::Map(entries))
    }
}

/// Replaces what the YAML reader made of plain scalars by their source text.
fn settle(raw: Raw, text: &str, lead: usize) -> Node {
    let span = Span::new(raw.span.start + lead, raw.span.len);
    let body = match raw.body {
        RawBody::Typed => Body::Scalar(written(text, raw.span, None)),
        RawBody::Text(value) => Body::Scalar(written(text, raw.span, Some(value))),
        RawBody::List(list) => Body::List(list.into_iter().map(|n| settle(n, text, lead)).collect()),
        RawBody::Map(map) => Body::Map(
            map.into_iter()
                .map(|(key, value)| {
                    let word = written(text, key.span, key.text);
                    let span = Span::new(key.span.start + lead, key.span.len);
                    (Spanned { value: word, span }, settle(value, text, lead))
                })
                .collect(),
        ),
    };
    Node { span, body }
}

/// The text of a scalar: the decoded value when quoted or a block, else what stands at its place.
fn written(text: &str, span: Span, decoded: Option<String>) -> String {
    let slice = text.get(span.start..span.end()).unwrap_or("").trim();
    let coded = slice.starts_with(['"', '\'', '|', '>', '!']) || slice.contains('\n');
    match decoded {
        Some(value) if coded || slice.is_empty() => value,
        _ if slice == "~" || slice == "null" => String::new(),
        _ => slice.to_owned(),
    }
}
