//! The sections of a record, and the record itself.
//!
//! Longer than most files: the one list of sections stands beside the struct, the reader and the order made of it.

use crate::base::span::Span;
use crate::base::span::Spanned;
use crate::base::text::turns;
use crate::record::about::Decision;
use crate::record::about::Departure;
use crate::record::about::Document;
use crate::record::about::Element;
use crate::record::about::Home;
use crate::record::about::Job;
use crate::record::about::Kit;
use crate::record::about::NamedLevel;
use crate::record::about::Person;
use crate::record::about::Question;
use crate::record::about::StageEntry;
use crate::record::about::Usual;
use crate::record::about::Visit;
use crate::record::evidence::Closing;
use crate::record::evidence::Nearby;
use crate::record::evidence::Penetration;
use crate::record::evidence::PhotoItem;
use crate::record::evidence::Temporary;
use crate::record::evidence::Test;
use crate::record::facts::Index;
use crate::record::fault::nearest;
use crate::record::item::FieldSpec;
use crate::record::item::ItemKind;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::pipework::Access;
use crate::record::pipework::Appliance;
use crate::record::pipework::Opening;
use crate::record::pipework::Outfall;
use crate::record::pipework::Pipe;
use crate::record::pipework::Terminal;
use crate::record::protection::Pump;
use crate::record::protection::Site;
use crate::record::protection::Valve;
use crate::record::value::Cx;
use crate::record::value::Field;
use crate::record::value::ListOf;
use crate::record::value::Value;
use crate::record::value::clip;
use crate::record::words::Text;
use serde_json::Value as Json;
use std::collections::BTreeSet;
use std::collections::HashMap;

/// What an id looks like: no spaces, no control characters, at most 60 characters.
pub const ID_PATTERN: &str = r"^[^\s\u0000-\u001f\u007f-\u009f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]{1,60}$";

/// The format's version that this program writes and reads.
pub const VERSION: &str = "1";

/// An item with its id.
#[derive(Clone, Debug, PartialEq)]
pub struct Item<T> {
    /// Its id, as written.
    pub id: String,
    /// Where the id stands.
    pub id_span: Span,
    /// Where its body stands.
    pub span: Span,
    /// What is said of it; empty when it could not be read.
    pub body: T,
    /// Whether something in it could not be read, so that little can be said of it.
    pub broken: bool,
}

/// The items of a section, in the order of the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Items<T> {
    list: Vec<Item<T>>,
    by_id: HashMap<String, usize>,
}

impl<T> Default for Items<T> {
    fn default() -> Self {
        Self { list: Vec::new(), by_id: HashMap::new() }
    }
}

impl<T> Items<T> {
    /// The items in the order of the record.
    pub fn iter(&self) -> std::slice::Iter<'_, Item<T>> {
        self.list.iter()
    }

    /// The item of an id.
    pub fn get(&self, id: &str) -> Option<&Item<T>> {
        self.by_id.get(id).and_then(|i| self.list.get(*i))
    }

    /// The item at a position in the record's order.
    pub fn at(&self, position: usize) -> Option<&Item<T>> {
        self.list.get(position)
    }

    /// The position of an id in the record's order.
    pub fn position(&self, id: &str) -> Option<usize> {
        self.by_id.get(id).copied()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }
}

impl<'a, T> IntoIterator for &'a Items<T> {
    type Item = &'a Item<T>;
    type IntoIter = std::slice::Iter<'a, Item<T>>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// The shape of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// One map.
    One,
    /// A map from ids to items.
    ById,
    /// A list of entries.
    List,
    /// A list of words.
    Words,
}

/// A section, for the schema and the field guide.
#[derive(Clone, Copy)]
pub struct Section {
    /// Its key.
    pub key: &'static str,
    /// Its shape.
    pub shape: Shape,
    /// What stands in it.
    pub doc: &'static str,
    /// The fields of what stands in it.
    pub fields: fn() -> Vec<FieldSpec>,
    /// Its JSON Schema.
    pub schema: fn() -> Json,
}

fn no_fields() -> Vec<FieldSpec> {
    Vec::new()
}

macro_rules! sections {
    (one { $($one:ident $okey:literal : $oty:ty),* $(,)? }
     by_id { $($many:ident $mkey:literal : $mty:ty),* $(,)? }
     list { $($list:ident $lkey:literal : $lty:ty),* $(,)? }) => {
        /// One job, as written.
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct Record {
            /// The rulebook the work is held against, by name.
            pub rulebook: Field<Text>,
            /// The names of the places.
            pub places: Field<ListOf<Text>>,
            /// The named levels.
            pub levels: Items<NamedLevel>,
            $( #[doc = concat!("The section `", $okey, "`.")] pub $one: $oty, )*
            $( #[doc = concat!("The section `", $mkey, "`.")] pub $many: Items<$mty>, )*
            $( #[doc = concat!("The section `", $lkey, "`.")] pub $list: Vec<Spanned<$lty>>, )*
            /// Sections that stand in the record, by key, with their place.
            pub present: Vec<Spanned<String>>,
            /// Sections of which nothing could be read, by key: what they held may be spoken of elsewhere.
            pub unread: BTreeSet<&'static str>,
            pub(in crate::record) index: Index,
        }

        /// Every section, in the order in which one would write them.
        pub fn all() -> Vec<Section> {
            let mut all = vec![
                $( Section { key: $okey, shape: Shape::One, doc: <$oty as ItemKind>::DOC, fields: <$oty as ItemKind>::fields, schema: crate::record::schema::of_item::<$oty> }, )*
                Section { key: "places", shape: Shape::Words, doc: " The names of the places: rooms, flats, yard, street.", fields: no_fields, schema: crate::record::schema::field::<ListOf<Text>> },
                Section { key: "levels", shape: Shape::ById, doc: " Named levels: a datum, floors, the plane of a laser.", fields: <crate::record::about::LevelMark as ItemKind>::fields, schema: levels_schema },
                $( Section { key: $mkey, shape: Shape::ById, doc: <$mty as ItemKind>::DOC, fields: <$mty as ItemKind>::fields, schema: crate::record::schema::of_section::<$mty> }, )*
                $( Section { key: $lkey, shape: Shape::List, doc: <$lty as ItemKind>::DOC, fields: <$lty as ItemKind>::fields, schema: crate::record::schema::of_list::<$lty> }, )*
            ];
            all.sort_by_key(|s| ALL.iter().position(|k| *k == s.key));
            all
        }

        /// Reads a section; false when what stands there is no section of that shape.
        fn read_section(record: &mut Record, key: &str, node: &Node, cx: &mut Cx<'_>) -> bool {
            match key {
                "rulebook" => record.rulebook = Field::read(node, cx),
                "places" => record.places = Field::read(node, cx),
                "levels" => return by_id(&mut record.levels, node, cx, NamedLevel::read),
                $( $okey => record.$one = crate::record::item::decode(node, cx).unwrap_or_default(), )*
                $( $mkey => return by_id(&mut record.$many, node, cx, crate::record::item::decode::<$mty>), )*
                $( $lkey => return listed(&mut record.$list, node, cx), )*
                _ => return false,
            }
            true
        }

        impl Record {
            /// Calls with every id of the sections that map ids to items, its section and its place.
            pub fn each_id<'a>(&'a self, mut call: impl FnMut(&'a str, &'static str, Span)) {
                for item in &self.levels { call(&item.id, "levels", item.id_span); }
                $( for item in &self.$many { call(&item.id, $mkey, item.id_span); } )*
            }
        }
    };
}

sections! {
    one { job "job": Job, home "home": Home, usual "usual": Usual, site "site": Site }
    by_id {
        people "people": Person, kit "kit": Kit, elements "elements": Element, appliances "appliances": Appliance,
        pipes "pipes": Pipe, access "access": Access, outfalls "outfalls": Outfall, terminals "terminals": Terminal,
        openings "openings": Opening, valves "valves": Valve, pumps "pumps": Pump, penetrations "penetrations": Penetration, nearby "nearby": Nearby, tests "tests": Test,
        temporary "temporary": Temporary, questions "questions": Question, documents "documents": Document,
        photos "photos": PhotoItem,
    }
    list { stages "stages": StageEntry, visits "visits": Visit, closings "closings": Closing, decisions "decisions": Decision, changes "changes": Departure }
}

/// Every key at the top of a record but its version, in the order in which one would write them.
const ALL: [&str; 30] = [
    "job",
    "rulebook",
    "people",
    "stages",
    "home",
    "kit",
    "usual",
    "places",
    "levels",
    "elements",
    "appliances",
    "pipes",
    "access",
    "outfalls",
    "terminals",
    "openings",
    "site",
    "valves",
    "pumps",
    "penetrations",
    "nearby",
    "tests",
    "visits",
    "closings",
    "temporary",
    "questions",
    "decisions",
    "changes",
    "documents",
    "photos",
];

fn levels_schema() -> Json {
    serde_json::json!({
        "type": "object",
        "propertyNames": {"pattern": ID_PATTERN},
        "additionalProperties": NamedLevel::schema(),
    })
}

/// Reads the whole record from its tree, noting every fault.
pub fn read(root: &Node, cx: &mut Cx<'_>) -> Record {
    let mut record = Record::default();
    let Body::Map(entries) = &root.body else {
        if root.text() == Some("") {
            cx.fault(Span::default(), "nothing said", "the record is empty", "start it with `record: 1` and a `job:`");
            return record;
        }
        cx.wrong(root, "a record: it starts with `record: 1` and a `job:`");
        return record;
    };
    version(root, entries, cx);
    for (key, node) in entries {
        if key.value == "record" {
            continue;
        }
        cx.path.push(key.value.clone());
        let name = ALL.iter().find(|k| **k == key.value).copied().or_else(|| unknown_section(key, cx));
        if let Some(name) = name {
            section(&mut record, name, key, node, cx);
        }
        cx.path.pop();
    }
    if !record.present.iter().any(|p| p.value == "job") {
        cx.fault(Span::new(root.span.start, 1), "missing", "there is no `job:`", "add `job: {id: …, title: …}`");
    }
    record.index = Index::of(&record);
    record
}

/// Reads one section into the record; a second one of the same name adds to the first.
fn section(record: &mut Record, name: &'static str, key: &Spanned<String>, node: &Node, cx: &mut Cx<'_>) {
    if record.present.iter().any(|p| p.value == name) {
        let what = format!("the section `{name}` stands here a second time");
        cx.fault(key.span, "said twice", what, "put all of it under one of the two");
    } else {
        record.present.push(Spanned { value: name.to_owned(), span: key.span });
    }
    if !read_section(record, name, node, cx) {
        record.unread.insert(name);
    }
}

/// Reports a key that is no section; gives the one that was probably meant, so that it is read all the same.
fn unknown_section(key: &Spanned<String>, cx: &mut Cx<'_>) -> Option<&'static str> {
    if !cx.listening() {
        cx.fault(key.span, "unknown section", "", "");
        return None;
    }
    let near = nearest(&key.value, ALL);
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the sections are {}", ALL.join(", ")),
    };
    cx.fault(key.span, "unknown section", format!("there is no section `{}`", clip(&key.value)), help);
    near
}

fn version(root: &Node, entries: &[(Spanned<String>, Node)], cx: &mut Cx<'_>) {
    let Some((_, node)) = entries.iter().find(|(key, _)| key.value == "record") else {
        let place = Span::new(root.span.start, 1);
        cx.fault(place, "missing", "the record does not say its version", "put `record: 1` on the first line");
        return;
    };
    let said = node.text().unwrap_or("");
    if said == VERSION {
        return;
    }
    let newer = said.len() < 10 && said.parse::<u32>().is_ok_and(|v| v > 1);
    let (what, help) = if newer {
        (
            format!("this record is of version {}", clip(said)),
            "this program reads version 1: use a newer one".to_owned(),
        )
    } else {
        (format!("`{}` is no version of the format", clip(said)), "write `record: 1`".to_owned())
    };
    cx.fault(node.span, "version", what, help);
}

/// Reads a section's items by id, after those that are already there; false when there is no map.
fn by_id<T: Default>(
    items: &mut Items<T>,
    node: &Node,
    cx: &mut Cx<'_>,
    read: fn(&Node, &mut Cx<'_>) -> Option<T>,
) -> bool {
    let Body::Map(entries) = &node.body else {
        cx.wrong(node, "a map from ids to items, such as {D1: {…}}, or leave the section out");
        return false;
    };
    for (key, value) in entries {
        cx.path.push(key.value.clone());
        check_id(key, cx);
        let before = cx.found;
        let body = read(value, cx);
        let broken = body.is_none() || cx.found > before;
        if items.by_id.contains_key(&key.value) {
            let what = format!("the id `{}` stands here a second time", clip(&key.value));
            cx.fault(key.span, "said twice", what, "give one of the two another id; only the first was read");
        } else {
            items.by_id.insert(key.value.clone(), items.list.len());
            let body = body.unwrap_or_default();
            items.list.push(Item { id: key.value.clone(), id_span: key.span, span: value.span, body, broken });
        }
        cx.path.pop();
    }
    true
}

fn check_id(key: &Spanned<String>, cx: &mut Cx<'_>) {
    let id = &key.value;
    let bad = |c: char| c.is_whitespace() || c.is_control() || turns(c);
    if id.is_empty() || id.chars().count() > 60 || id.contains(bad) {
        let read = crate::base::text::harmless(&clip(id));
        cx.fault(
            key.span,
            "not an id",
            format!("`{read}` is no id"),
            "an id has 1 to 60 characters and no spaces: `D1`, `WC2`",
        );
    }
}

/// Reads a section's entries after those that are already there; false when there is no list.
fn listed<T: ItemKind>(list: &mut Vec<Spanned<T>>, node: &Node, cx: &mut Cx<'_>) -> bool {
    let Body::List(entries) = &node.body else {
        cx.wrong(node, "a list, each entry after a dash: `- {…}`; or leave the section out");
        return false;
    };
    for (i, entry) in entries.iter().enumerate() {
        cx.path.push(format!("entry {}", i + 1));
        if let Some(value) = crate::record::item::decode(entry, cx) {
            list.push(Spanned { value, span: entry.span });
        }
        cx.path.pop();
    }
    true
}
