//! Fields: what an item says of one thing, and how each kind of value is read.
//!
//! Absent (not said), `unknown` (looked for, not known) and `none` (there is none) are three different things.

use crate::base::known::How;
use crate::base::span::SourceText;
use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::record::fault::Fault;
use crate::record::node::Body;
use crate::record::node::Node;
use serde_json::{Value as Json, json};

/// What an item says of one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Field<T> {
    /// What is said.
    pub said: Said<T>,
    /// Where; empty when nothing is.
    pub span: Span,
    /// The trailing word that says how it is known, or `about` before it.
    pub how: Option<How>,
}

/// The states of a [`Field`].
#[derive(Clone, Debug, PartialEq)]
pub enum Said<T> {
    /// Not said: *not shown*, never zero.
    Absent,
    /// Looked for, not known.
    Unknown,
    /// There is none.
    None,
    /// A value.
    Is(T),
    /// Something that could not be read; the fault is reported, and nothing else is said of it.
    Faulty,
}

impl<T> Default for Field<T> {
    fn default() -> Self {
        Self { said: Said::Absent, span: Span::default(), how: None }
    }
}

impl<T> Field<T> {
    /// The value, when there is one.
    pub fn get(&self) -> Option<&T> {
        match &self.said {
            Said::Is(value) => Some(value),
            Said::Absent | Said::Unknown | Said::None | Said::Faulty => None,
        }
    }

    /// Whether nothing is said.
    pub fn is_absent(&self) -> bool {
        matches!(self.said, Said::Absent)
    }

    /// Whether it was looked for and is not known.
    pub fn is_unknown(&self) -> bool {
        matches!(self.said, Said::Unknown)
    }

    /// Whether there is said to be none.
    pub fn is_none(&self) -> bool {
        matches!(self.said, Said::None)
    }

    /// Whether what was written could not be read.
    pub fn is_faulty(&self) -> bool {
        matches!(self.said, Said::Faulty)
    }
}

impl<T: Value> Field<T> {
    /// Reads a field from its node.
    pub fn read(node: &Node, cx: &mut Cx<'_>) -> Self {
        let span = node.span;
        let whole = |said| Self { said, span, how: None };
        match node.text().map(str::trim) {
            Some("unknown") => return whole(Said::Unknown),
            Some("none") if !T::NONE_IS_A_WORD => return whole(Said::None),
            Some("") => {
                cx.fault(
                    span,
                    "nothing said",
                    "nothing stands here",
                    format!("write {}, `unknown`, or leave the key out", T::FORM),
                );
                return whole(Said::Faulty);
            }
            _ => {}
        }
        let (stripped, how) = if T::KNOWN { strip_how(node) } else { (None, None) };
        let said = T::read(stripped.as_ref().unwrap_or(node), cx).map_or(Said::Faulty, Said::Is);
        Self { said, span, how }
    }
}

/// Takes the word that says how a value is known off its end, or `about` off its front.
fn strip_how(node: &Node) -> (Option<Node>, Option<How>) {
    let Some(text) = node.text() else { return (None, None) };
    let text = text.trim();
    if let Some(rest) = text.strip_prefix("about ") {
        return (Some(Node { span: node.span, body: Body::Scalar(rest.trim().to_owned()) }), Some(How::Believed));
    }
    for (word, how) in How::WORDS {
        if let Some(rest) = text.strip_suffix(word).filter(|r| r.ends_with(' ')) {
            return (Some(Node { span: node.span, body: Body::Scalar(rest.trim().to_owned()) }), Some(how));
        }
    }
    (None, None)
}

/// What reading needs and gathers.
pub struct Cx<'a> {
    /// The text being read.
    pub source: &'a SourceText,
    /// Every fault found so far.
    pub faults: Vec<Fault>,
    /// Where in the record we are: `pipes`, `D1`, `size`.
    pub path: Vec<String>,
}

impl<'a> Cx<'a> {
    /// Starts at the top of a text.
    pub fn new(source: &'a SourceText) -> Self {
        Self { source, faults: Vec::new(), path: Vec::new() }
    }

    /// Notes a fault.
    pub fn fault(&mut self, span: Span, kind: &'static str, what: impl Into<String>, help: impl Into<String>) {
        let mut fault = Fault::at(span, kind, what).help(help);
        fault.path = self.path.join(".");
        self.faults.push(fault);
    }

    /// Notes that a value has the wrong form.
    pub fn wrong(&mut self, node: &Node, form: &str) {
        let read = node.text().map_or_else(|| node.kind().to_owned(), |t| format!("`{t}`"));
        let what = match self.path.last() {
            Some(key) => format!("`{key}` cannot be {read}"),
            None => format!("{read} cannot stand here"),
        };
        self.fault(node.span, "not readable", what, format!("write {form}"));
    }
}

/// A kind of value: how it is read, and how it is described.
pub trait Value: Sized {
    /// What it looks like, after "write …".
    const FORM: &'static str;
    /// Whether a word that says how it is known may follow.
    const KNOWN: bool = true;
    /// Whether `none` is a word of the value itself.
    const NONE_IS_A_WORD: bool = false;

    /// Reads it, noting faults; `None` when it cannot be read.
    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self>;

    /// Its JSON Schema, without `unknown`, `none` and the words that say how it is known.
    fn schema() -> Json;
}

/// A value that is one scalar: read from its words.
pub trait Scalar: Sized {
    /// What it looks like, after "write …".
    const FORM: &'static str;
    /// A regular expression (ECMA dialect, without anchors) that the decoder's reading agrees with.
    const PATTERN: &'static str;
    /// Whether a word that says how it is known may follow.
    const KNOWN: bool = true;

    /// Reads it from its words.
    ///
    /// # Errors
    /// What is wrong with the words and, after it, what would do (empty for the form itself).
    fn from_words(words: &str) -> Result<Self, (String, String)>;
}

impl<T: Scalar> Value for T {
    const FORM: &'static str = <T as Scalar>::FORM;
    const KNOWN: bool = <T as Scalar>::KNOWN;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        let Some(words) = node.text() else {
            cx.wrong(node, <T as Scalar>::FORM);
            return None;
        };
        match T::from_words(words.trim()) {
            Ok(value) => Some(value),
            Err((what, help)) if what.is_empty() => {
                cx.wrong(node, if help.is_empty() { <T as Scalar>::FORM } else { &help });
                None
            }
            Err((what, help)) => {
                let help = if help.is_empty() { format!("write {}", <T as Scalar>::FORM) } else { help };
                cx.fault(node.span, "not readable", what, help);
                None
            }
        }
    }

    fn schema() -> Json {
        json!({"type": ["string", "number"], "pattern": format!("^\\s*(?:{})\\s*$", <T as Scalar>::PATTERN)})
    }
}

/// A list; a single value stands for a list of one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ListOf<T>(pub Vec<Spanned<T>>);

impl<T> ListOf<T> {
    /// The values in order.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        self.0.iter().map(|s| &s.value)
    }
}

impl<T: Value> Value for ListOf<T> {
    const FORM: &'static str = T::FORM;
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        match &node.body {
            Body::List(items) => {
                let read = |n: &Node, cx: &mut Cx<'_>| T::read(n, cx).map(|value| Spanned { value, span: n.span });
                let list: Vec<_> = items.iter().map(|n| read(n, cx)).collect();
                list.into_iter().collect::<Option<Vec<_>>>().map(Self)
            }
            Body::Scalar(_) | Body::Map(_) => {
                T::read(node, cx).map(|value| Self(vec![Spanned { value, span: node.span }]))
            }
        }
    }

    fn schema() -> Json {
        json!({"anyOf": [T::schema(), {"type": "array", "items": T::schema()}]})
    }
}

/// A map from names to values, in the order of the text.
#[derive(Clone, Debug, PartialEq)]
pub struct MapOf<T>(pub Vec<(Spanned<String>, Field<T>)>);

impl<T> Default for MapOf<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> MapOf<T> {
    /// The value of a name.
    pub fn get(&self, name: &str) -> Option<&Field<T>> {
        self.0.iter().find(|(key, _)| key.value == name).map(|(_, field)| field)
    }
}

impl<T: Value> Value for MapOf<T> {
    const FORM: &'static str = "a map from names to values, such as {name: value}";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        let Body::Map(entries) = &node.body else {
            cx.wrong(node, Self::FORM);
            return None;
        };
        let mut map: Vec<(Spanned<String>, Field<T>)> = Vec::new();
        for (key, value) in entries {
            if map.iter().any(|(k, _)| k.value == key.value) {
                cx.fault(
                    key.span,
                    "said twice",
                    format!("`{}` stands here a second time", key.value),
                    "keep one of the two",
                );
            }
            cx.path.push(key.value.clone());
            map.push((key.clone(), Field::read(value, cx)));
            cx.path.pop();
        }
        Some(Self(map))
    }

    fn schema() -> Json {
        json!({"type": "object", "additionalProperties": crate::record::schema::field::<T>()})
    }
}
