//! Values at places along a pipe, each place counted from one of its ends: `{3.20 m down from IC1: TBM - 1.214 m}`.

use crate::base::span::Spanned;
use crate::record::item::FieldSpec;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::quantity::Measure;
use crate::record::quantity::Station;
use crate::record::value::Cx;
use crate::record::value::Field;
use crate::record::value::Scalar;
use crate::record::value::Value;
use crate::record::value::clip;
use serde_json::Value as Json;
use serde_json::json;
use std::collections::BTreeSet;

/// A place along a pipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The distance.
    pub distance: Measure,
    /// Whether against the flow.
    pub up: bool,
    /// The end it is counted from.
    pub from: String,
}

impl Place {
    /// As the trade writes it: `3.20 m down from IC1`.
    pub fn words(&self) -> String {
        let way = if self.up { "up" } else { "down" };
        format!("{} {way} from {}", self.distance.words(), self.from)
    }
}

/// Values at places along a pipe, in the order of the text.
#[derive(Clone, Debug, PartialEq)]
pub struct AlongPipe<T>(pub Vec<(Spanned<Place>, Field<T>)>);

impl<T> AlongPipe<T> {
    /// The places with what is said of them.
    pub fn iter(&self) -> impl Iterator<Item = (&Place, &Field<T>)> {
        self.0.iter().map(|(place, field)| (&place.value, field))
    }
}

/// What a place looks like.
const PLACE: &str = "a place along the pipe with the end it is counted from: `3.20 m down from IC1`";

fn place(words: &str) -> Option<Place> {
    match Station::from_words(words.trim()) {
        Ok(Station::Along { distance, up, from }) => Some(Place { distance, up, from }),
        Ok(Station::AboveFoot(_) | Station::Level(_)) | Err(_) => None,
    }
}

impl<T: Value> Value for AlongPipe<T> {
    const FORM: &'static str = "a map from places along the pipe, such as {3.20 m down from IC1: value}";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        let Body::Map(entries) = &node.body else {
            cx.wrong(node, Self::FORM);
            return None;
        };
        let mut all = Vec::new();
        let mut seen = BTreeSet::new();
        let mut sound = true;
        for (key, value) in entries {
            let Some(at) = place(&key.value) else {
                let what = format!("`{}` is no place along it", clip(&key.value));
                cx.fault(key.span, "not readable", what, format!("write {PLACE}"));
                sound = false;
                continue;
            };
            if !seen.insert((at.distance.value, at.up, at.from.clone())) {
                let what = format!("`{}` stands here a second time", clip(&key.value));
                cx.fault(key.span, "said twice", what, "keep one of the two");
            }
            cx.path.push(key.value.clone());
            let field = Field::read(value, cx);
            cx.path.pop();
            all.push((Spanned { value: at, span: key.span }, field));
        }
        sound.then_some(Self(all))
    }

    fn schema() -> Json {
        let names = json!({"pattern": r"^\s*[0-9]+(?:\.[0-9]+)? *(?:mm|cm|m|in|ft) +(?:up|down) from +\S+\s*$"});
        json!({"type": "object", "propertyNames": names, "additionalProperties": crate::record::schema::field::<T>()})
    }

    fn parts() -> Vec<FieldSpec> {
        T::parts()
    }
}
