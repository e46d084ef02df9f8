//! YAML as a tree of our own, each node with its place. The only room of the record that meets the YAML reader.
//!
//! A plain scalar's meaning is its source text, so `98.310`, `1:60`, `no` and `1_000` arrive as they were written.

use crate::base::span::SourceText;
use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::record::fault::Fault;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// The largest record that is read: 8 MiB holds some 25,000 pipes, far more than any dwelling has.
pub const LARGEST: usize = 8 << 20;

/// How deep maps and lists may stand inside one another.
const DEEPEST: usize = 24;

/// A piece of the record with its place.
#[derive(Clone, Debug, Default)]
pub struct Node {
    /// Where it stands.
    pub span: Span,
    /// Whether it is a scalar in quotes, so that a word in it is text and nothing else.
    pub quoted: bool,
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
            // Each value of a real record takes eight bytes or more; a file of bare commas would fill the memory.
            max_nodes: (bytes / 4).saturating_add(10_000),
            max_events: bytes.saturating_add(40_000),
            max_total_scalar_bytes: bytes.saturating_mul(2).saturating_add(1_000),
        },
        duplicate_keys: serde_yaml::DuplicateKeyPolicy::PassThrough,
        merge_keys: serde_yaml::MergeKeyPolicy::AsOrdinary,
        strict_booleans: true,
        non_finite_float_policy: serde_yaml::NonFiniteFloatPolicy::AsString,
        with_snippet: false,
    };
    let text = source.text.strip_prefix('\u{feff}').unwrap_or(&source.text);
    let lead = source.text.len() - text.len();
    match serde_yaml::from_str_with_options::<Raw>(text, options) {
        Ok(raw) => Ok(settle(raw, text, lead)),
        Err(error) => Err(Box::new(place(&error, text, lead))),
    }
}

/// The YAML reader's error as a fault of ours, at its place in the whole text.
fn place(error: &serde_yaml::Error, text: &str, lead: usize) -> Fault {
    let start = error.location().map_or(0, |l| byte_of(text, l.line(), l.column())).min(text.len());
    let mut fault = crate::record::syntax::explain(text, start, &error.without_snippet().to_string());
    fault.span.start += lead;
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
    let mut span = Span::new(raw.span.start + lead, raw.span.len);
    let quoted = text.get(raw.span.start..).is_some_and(|t| t.starts_with(['"', '\''])) && raw.span.len > 1;
    let body = match raw.body {
        RawBody::Typed => Body::Scalar(written(text, raw.span, None)),
        RawBody::Text(value) => Body::Scalar(written(text, raw.span, Some(value))),
        RawBody::List(list) => {
            let list: Vec<Node> = list.into_iter().map(|n| settle(n, text, lead)).collect();
            span.len = reach(text, lead, span, list.last().map(|n| n.span));
            Body::List(list)
        }
        RawBody::Map(map) => {
            let map: Vec<_> = map.into_iter().map(|(key, value)| entry(key, value, text, lead)).collect();
            let last =
                map.last().map(|(key, value)| if value.span.end() > key.span.end() { value.span } else { key.span });
            span.len = reach(text, lead, span, last);
            Body::Map(map)
        }
    };
    Node { span, quoted, body }
}

fn entry(key: RawKey, value: Raw, text: &str, lead: usize) -> (Spanned<String>, Node) {
    let word = written(text, key.span, key.text);
    let span = Span::new(key.span.start + lead, key.span.len);
    (Spanned { value: word, span }, settle(value, text, lead))
}

/// How long a map or list is: the reader gives only its start, so it is followed over its last part to its bracket.
fn reach(text: &str, lead: usize, own: Span, last: Option<Span>) -> usize {
    let end = own.end().max(last.map_or(0, Span::end));
    let closer = match text.as_bytes().get(own.start.wrapping_sub(lead)) {
        Some(b'{') => '}',
        Some(b'[') => ']',
        _ => return end.saturating_sub(own.start),
    };
    let mut comment = false;
    for (i, c) in text.get(end.saturating_sub(lead)..).unwrap_or("").char_indices() {
        match c {
            '\n' => comment = false,
            _ if comment => {}
            '#' => comment = true,
            c if c == closer => return end + i + 1 - own.start,
            c if c.is_whitespace() || c == ',' => {}
            _ => break,
        }
    }
    end.saturating_sub(own.start)
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
