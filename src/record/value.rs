//! Fields: what an item says of one thing, and how each kind of value is read.
//!
//! Absent (not said), `unknown` (looked for, not known) and `none` (there is none) are three different things.

use crate::base::known::How;
use crate::base::span::SourceText;
use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::record::fault::Fault;
use crate::record::item::FieldSpec;
use crate::record::node::Body;
use crate::record::node::Node;
use serde_json::{Value as Json, json};
use std::collections::BTreeSet;

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
        // In quotes a free text is a text, whatever it says.
        let as_written = T::FREE && node.quoted;
        match node.text().map(str::trim) {
            Some("unknown") if !as_written => return whole(Said::Unknown),
            Some("none") if !as_written && !T::NONE_IS_A_WORD => return whole(Said::None),
            Some("") => {
                cx.nothing::<T>(span);
                return whole(Said::Faulty);
            }
            _ => {}
        }
        let (stripped, how) = if T::KNOWN && !as_written { strip_how(node, T::FREE) } else { (None, None) };
        let said = T::read(stripped.as_ref().unwrap_or(node), cx).map_or(Said::Faulty, Said::Is);
        Self { said, span, how }
    }
}

/// Takes the word that says how a value is known off its end, or `about` off its front.
///
/// In free words `about` counts only before a number, and a word at the end only when the rest is not left hanging:
/// `as stated` and `about the loft` stay whole.
fn strip_how(node: &Node, free: bool) -> (Option<Node>, Option<How>) {
    let Some(text) = node.text() else { return (None, None) };
    let text = text.trim();
    let bare =
        |rest: &str| Some(Node { span: node.span, quoted: node.quoted, body: Body::Scalar(rest.trim().to_owned()) });
    if let Some(rest) = text.strip_prefix("about ")
        && (!free || rest.trim_start().starts_with(|c: char| c.is_ascii_digit()))
    {
        return (bare(rest), Some(How::Believed));
    }
    for (word, how) in How::WORDS {
        let rest = text.strip_suffix(word).filter(|r| r.ends_with(' '));
        if let Some(rest) = rest.filter(|r| !free || !hangs(r)) {
            return (bare(rest), Some(how));
        }
    }
    (None, None)
}

/// Words after which more must come.
const HANGING: [&str; 24] = [
    "a", "an", "and", "are", "as", "be", "been", "by", "for", "from", "if", "in", "is", "never", "not", "of", "on",
    "or", "per", "than", "the", "to", "was", "with",
];

fn hangs(words: &str) -> bool {
    let last = words.split_whitespace().last().unwrap_or("").to_ascii_lowercase();
    HANGING.contains(&last.as_str()) || last.ends_with([',', ';', ':'])
}

/// Faults that are kept; those after them are counted.
pub const MOST_FAULTS: usize = 2_000;

/// The longest text that a value other than free words may have, in bytes.
const LONGEST: usize = 200;

/// What reading needs and gathers.
pub struct Cx<'a> {
    /// The text being read.
    pub source: &'a SourceText,
    /// The faults found so far, at most [`MOST_FAULTS`] of them.
    pub faults: Vec<Fault>,
    /// How many faults were found, the ones not kept among them.
    pub found: usize,
    /// Where in the record we are: `pipes`, `D1`, `size`.
    pub path: Vec<String>,
}

impl<'a> Cx<'a> {
    /// Starts at the top of a text.
    pub fn new(source: &'a SourceText) -> Self {
        Self { source, faults: Vec::new(), found: 0, path: Vec::new() }
    }

    /// Whether faults are still kept, so that it is worth looking for what was meant.
    pub fn listening(&self) -> bool {
        self.found < MOST_FAULTS
    }

    /// Notes a fault.
    pub fn fault(&mut self, span: Span, kind: &'static str, what: impl Into<String>, help: impl Into<String>) {
        if self.listening() {
            let mut fault = Fault::at(span, kind, what).help(help);
            fault.path = self.path.join(".");
            self.faults.push(fault);
        }
        self.found += 1;
    }

    /// Notes that a value has the wrong form.
    pub fn wrong(&mut self, node: &Node, form: &str) {
        let read = match node.text() {
            Some("") => "nothing".to_owned(),
            Some(text) => format!("`{}`", clip(text)),
            None => node.kind().to_owned(),
        };
        let what = match self.path.last() {
            Some(key) => format!("`{}` cannot be {read}", clip(key)),
            None => format!("{read} cannot stand here"),
        };
        self.fault(node.span, "not readable", what, format!("write {form}"));
    }

    /// Notes that nothing stands where a value should.
    pub fn nothing<T: Value>(&mut self, span: Span) {
        let help = format!("write {}; or `unknown`; or leave the key out", T::FORM);
        self.fault(span, "nothing said", "nothing stands here", help);
    }
}

/// A text short enough for a message.
pub fn clip(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((cut, _)) => format!("{}…", text.get(..cut).unwrap_or("")),
        None => text.to_owned(),
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
    /// Whether it is free words: in quotes they are text, whatever they say.
    const FREE: bool = false;

    /// Reads it, noting faults; `None` when it cannot be read.
    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self>;

    /// Its JSON Schema, without `unknown`, `none` and the words that say how it is known.
    fn schema() -> Json;

    /// The fields of the maps that may stand in it; none for a single value.
    fn parts() -> Vec<FieldSpec> {
        Vec::new()
    }
}

/// A value that is one scalar: read from its words.
pub trait Scalar: Sized {
    /// What it looks like, after "write …".
    const FORM: &'static str;
    /// A regular expression (ECMA dialect, without anchors) that the decoder's reading agrees with.
    const PATTERN: &'static str;
    /// Whether a word that says how it is known may follow.
    const KNOWN: bool = true;
    /// Whether it is free words: in quotes they are text, whatever they say.
    const FREE: bool = false;
    /// Whether a number may stand for it, without a unit or a word.
    const BARE: bool = false;

    /// Reads it from its words.
    ///
    /// # Errors
    /// What is wrong with the words and, after it, what would do (empty for the form itself).
    fn from_words(words: &str) -> Result<Self, (String, String)>;
}

impl<T: Scalar> Value for T {
    const FORM: &'static str = <T as Scalar>::FORM;
    const KNOWN: bool = <T as Scalar>::KNOWN;
    const FREE: bool = <T as Scalar>::FREE;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        let Some(words) = node.text().filter(|t| <T as Scalar>::FREE || t.len() <= LONGEST) else {
            cx.wrong(node, <T as Scalar>::FORM);
            return None;
        };
        if let Some((mark, opener)) = stray(words.trim_end()).filter(|_| !node.quoted) {
            let what = format!("a `{mark}` ends these words, and nothing before opens it");
            cx.fault(node.span, "not readable", what, format!("put `{opener}` before them, or take the `{mark}` out"));
            return None;
        }
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
        let kind = if <T as Scalar>::BARE { json!(["string", "number"]) } else { json!("string") };
        json!({"type": kind, "pattern": format!("^\\s*(?:{})\\s*$", <T as Scalar>::PATTERN)})
    }
}

/// The bracket or quote that ends some words though nothing opens it, with what would: the sign of a lost opener.
fn stray(words: &str) -> Option<(char, char)> {
    let pairs = [(']', '['), ('}', '{'), ('"', '"')];
    let (mark, opener) = pairs.into_iter().find(|(mark, _)| words.ends_with(*mark))?;
    if mark != '"' {
        return (!words.contains(opener)).then_some((mark, opener));
    }
    // `a 4" pipe` and `cover 6"` are inches.
    let last = words.split_whitespace().last().unwrap_or("");
    let inches = last.chars().count() <= 4 && last.starts_with(|c: char| c.is_numeric());
    (words.matches('"').count() % 2 == 1 && !inches).then_some((mark, opener))
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
    const FREE: bool = T::FREE;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        match &node.body {
            Body::List(items) => {
                let read = |n: &Node, cx: &mut Cx<'_>| {
                    if n.text().is_some_and(|t| t.trim().is_empty()) {
                        cx.nothing::<T>(n.span);
                        return None;
                    }
                    T::read(n, cx).map(|value| Spanned { value, span: n.span })
                };
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

    fn parts() -> Vec<FieldSpec> {
        T::parts()
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
        let mut seen = BTreeSet::new();
        for (key, value) in entries {
            if key.value.trim().is_empty() {
                cx.fault(key.span, "nothing said", "a name is empty", "put a name before the `:`");
            }
            if !seen.insert(key.value.as_str()) {
                let what = format!("`{}` stands here a second time", clip(&key.value));
                cx.fault(key.span, "said twice", what, "keep one of the two");
            }
            cx.path.push(key.value.clone());
            map.push((key.clone(), Field::read(value, cx)));
            cx.path.pop();
        }
        Some(Self(map))
    }

    fn schema() -> Json {
        let names = json!({"pattern": "\\S"});
        json!({"type": "object", "propertyNames": names, "additionalProperties": crate::record::schema::field::<T>()})
    }

    fn parts() -> Vec<FieldSpec> {
        T::parts()
    }
}
