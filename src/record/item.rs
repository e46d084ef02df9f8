//! The one table per kind of item, from which come its struct, decoder, JSON Schema, field guide and spelling hints.

use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::record::fault::nearest;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::value::Cx;
use crate::record::value::clip;
use serde_json::Value as Json;
use std::collections::BTreeSet;

/// One field of a kind of item.
#[derive(Clone, Copy, Debug)]
pub struct FieldSpec {
    /// The key in a record.
    pub key: &'static str,
    /// What it means, and its unit.
    pub doc: &'static str,
    /// A value as one would write it.
    pub example: &'static str,
    /// Whether the item makes no sense without it.
    pub required: bool,
    /// What it looks like.
    pub form: &'static str,
    /// Its JSON Schema.
    pub schema: fn() -> Json,
    /// The fields of the maps that may stand in it; none for a single value.
    pub parts: fn() -> Vec<FieldSpec>,
}

/// A kind of item: a map with known keys.
pub trait ItemKind: Default {
    /// What it is.
    const DOC: &'static str;

    /// Its fields, in the order in which one would write them.
    fn fields() -> Vec<FieldSpec>;

    /// Reads one field; false when there is none of that key.
    fn set(&mut self, key: &str, node: &Node, cx: &mut Cx<'_>) -> bool;

    /// Required fields of which nothing is said.
    fn missing(&self) -> Vec<&'static str>;

    /// The fields of which something is said, with their places, in the order of the table.
    fn said(&self) -> Vec<(&'static str, Span)>;
}

/// Reads an item from its map, noting every fault; `None` when there is no map.
pub fn decode<T: ItemKind>(node: &Node, cx: &mut Cx<'_>) -> Option<T> {
    let Body::Map(entries) = &node.body else {
        let first = T::fields().first().map_or("key", |f| f.key);
        cx.wrong(node, &format!("a map, such as {{{first}: …}}"));
        return None;
    };
    let mut item = T::default();
    let mut seen = BTreeSet::new();
    let mut strangers: Vec<&str> = Vec::new();
    let mut rest_of_number = false;
    for (i, (key, value)) in entries.iter().enumerate() {
        if std::mem::take(&mut rest_of_number) {
            continue;
        }
        // Inside braces a decimal comma ends the value, and what follows it looks like a key.
        if let Some(number) = entries.get(i + 1).and_then(|(rest, none)| cut_number(value, rest, none)) {
            rest_of_number = true;
            seen.insert(key.value.as_str());
            let span = Span::new(value.span.start, number.len());
            let what = format!("`{}` has a comma", clip(&number));
            cx.path.push(key.value.clone());
            let point = clip(&number.replace(',', "."));
            cx.fault(span, "not readable", what, format!("write the decimal point as a point: `{point}`"));
            cx.path.pop();
            continue;
        }
        if !seen.insert(key.value.as_str()) {
            let what = format!("`{}` stands in this item a second time", clip(&key.value));
            cx.fault(key.span, "said twice", what, "keep one of the two");
        }
        cx.path.push(key.value.clone());
        let known = item.set(&key.value, value, cx);
        if !known {
            unknown_key::<T>(key, value, cx);
            strangers.push(&key.value);
        }
        cx.path.pop();
    }
    for key in item.missing() {
        // A key that stands there mistyped has its own fault already.
        let mistyped = || strangers.iter().take(100).any(|word| means(word, key));
        if !seen.contains(key) && !mistyped() {
            let example = T::fields().into_iter().find(|f| f.key == key).map_or("", |f| f.example);
            let place = Span::new(node.span.start, node.span.len.min(1));
            cx.fault(place, "missing", format!("`{key}` is missing"), format!("add `{key}: {example}`"));
        }
    }
    Some(item)
}

/// A number whose decimal comma cut it in two, as it was written; `None` when these are not its two parts.
fn cut_number(value: &Node, rest: &Spanned<String>, none: &Node) -> Option<String> {
    let before = value.text().filter(|t| !value.quoted && !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit()))?;
    let adjoins = rest.span.start == value.span.end() + 1 && none.text() == Some("") && none.span.len == 0;
    let after = rest.value.as_str();
    (adjoins && after.starts_with(|c: char| c.is_ascii_digit())).then(|| format!("{before},{after}"))
}

/// Whether a word that is no key was meant for a key: mistyped, or without a space after the colon.
fn means(word: &str, key: &str) -> bool {
    nearest(word, [key]).is_some() || word.split_once(':').is_some_and(|(before, _)| before == key)
}

fn unknown_key<T: ItemKind>(key: &Spanned<String>, value: &Node, cx: &mut Cx<'_>) {
    if !cx.listening() {
        return cx.fault(key.span, "unknown key", "", "");
    }
    let fields = T::fields();
    let keys: Vec<&str> = fields.iter().map(|f| f.key).collect();
    let glued = |before: &&str| keys.contains(before);
    let help = match nearest(&key.value, keys.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => match key.value.split_once(':').filter(|(before, _)| glued(before)) {
            Some((before, after)) => format!("put a space after the colon: `{before}: {}`", clip(after)),
            // A key without a value, inside braces, is most often the rest of some words with a comma in them.
            None if value.text() == Some("") && value.span.len == 0 => {
                "a comma ends the words before it: put all of them in quotes".to_owned()
            }
            None => format!("the keys here are {}; free words go under `note`", keys.join(", ")),
        },
    };
    cx.fault(key.span, "unknown key", format!("there is no key `{}` here", clip(&key.value)), help);
}

/// Makes a kind of item from its table: key, type, example, and `required` where it makes no sense without.
macro_rules! item {
    ($(#[doc = $doc:literal])* $name:ident {
        $( $(#[doc = $fdoc:literal])* $field:ident $key:literal : $ty:ty = $example:literal $($required:ident)? ;)*
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct $name {
            $( $(#[doc = $fdoc])* pub $field: $crate::record::value::Field<$ty>, )*
            /// Free words about it.
            pub note: $crate::record::value::Field<$crate::record::words::Text>,
        }

        impl $crate::record::item::ItemKind for $name {
            const DOC: &'static str = concat!($($doc, "\n"),*);

            fn fields() -> Vec<$crate::record::item::FieldSpec> {
                vec![
                    $( $crate::record::item::FieldSpec {
                        key: $key,
                        doc: concat!($($fdoc),*),
                        example: $example,
                        required: item!(@required $($required)?),
                        form: <$ty as $crate::record::value::Value>::FORM,
                        schema: $crate::record::schema::field::<$ty>,
                        parts: <$ty as $crate::record::value::Value>::parts,
                    }, )*
                    $crate::record::item::FieldSpec {
                        key: "note",
                        doc: " Free words about it.",
                        example: "as agreed on site",
                        required: false,
                        form: <$crate::record::words::Text as $crate::record::value::Value>::FORM,
                        schema: $crate::record::schema::field::<$crate::record::words::Text>,
                        parts: <$crate::record::words::Text as $crate::record::value::Value>::parts,
                    },
                ]
            }

            fn set(&mut self, key: &str, node: &$crate::record::node::Node, cx: &mut $crate::record::value::Cx<'_>) -> bool {
                match key {
                    $( $key => self.$field = $crate::record::value::Field::read(node, cx), )*
                    "note" => self.note = $crate::record::value::Field::read(node, cx),
                    _ => return false,
                }
                true
            }

            fn said(&self) -> Vec<(&'static str, $crate::base::span::Span)> {
                let mut said = Vec::new();
                $( if !self.$field.is_absent() { said.push(($key, self.$field.span)); } )*
                if !self.note.is_absent() { said.push(("note", self.note.span)); }
                said
            }

            fn missing(&self) -> Vec<&'static str> {
                #[allow(unused_mut, reason = "a kind without required fields pushes nothing")]
                let mut missing = Vec::new();
                $( item!(@missing self, missing, $field, $key $(, $required)?); )*
                missing
            }
        }

        impl $crate::record::value::Value for $name {
            const FORM: &'static str = "a map with the keys of the field guide";
            const KNOWN: bool = false;

            fn read(node: &$crate::record::node::Node, cx: &mut $crate::record::value::Cx<'_>) -> Option<Self> {
                $crate::record::item::decode(node, cx)
            }

            fn schema() -> serde_json::Value {
                $crate::record::schema::of_item::<Self>()
            }

            fn parts() -> Vec<$crate::record::item::FieldSpec> {
                <Self as $crate::record::item::ItemKind>::fields()
            }
        }
    };
    (@required required) => { true };
    (@required) => { false };
    (@missing $self:ident, $list:ident, $field:ident, $key:literal, required) => {
        if $self.$field.is_absent() { $list.push($key); }
    };
    (@missing $self:ident, $list:ident, $field:ident, $key:literal) => {};
}
pub(crate) use item;
