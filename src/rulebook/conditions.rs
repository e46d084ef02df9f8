//! Conditions as they are written: `{all: [{fact: wc-count, at-least: 1}, {not: {fact: spray-taps, is: yes}}]}`.

use std::collections::BTreeSet;

use crate::rulebook::condition::{Atom, End, Test, When};
use crate::rulebook::fact::{Fact, Point};
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::{Fields, texts_of};
use crate::rulebook::node::{Node, Value};
use crate::rulebook::quantity::{Kind, Quantity};

const TESTS: [&str; 6] = ["is", "one-of", "at-least", "at-most", "above", "below"];

/// Reads a condition; the reader's own depth limit bounds the nesting.
pub(super) fn condition(document: &str, node: &Node) -> Result<When, RulebookError> {
    let known = ["all", "any", "not", "fact", "seen", "is", "one-of", "at-least", "at-most", "above", "below"];
    let fields = Fields::of(document, node, &known)?;
    let parts = |name: &str| -> Result<Vec<When>, RulebookError> {
        fields.list(name)?.iter().map(|part| condition(document, part)).collect()
    };
    let joined = ["all", "any", "not", "fact"].into_iter().filter(|name| fields.get(name).is_some());
    match joined.collect::<Vec<_>>().as_slice() {
        ["all"] => Ok(When::All(parts("all")?)),
        ["any"] => Ok(When::Any(parts("any")?)),
        ["not"] => Ok(When::Not(Box::new(condition(document, fields.need("not")?)?))),
        ["fact"] => atom(&fields).map(When::Atom),
        _ => Err(fields.fault("a condition of no kind or of several", "one of: all, any, not, fact")),
    }
}

fn atom(fields: &Fields<'_>) -> Result<Atom, RulebookError> {
    let fact = fact(fields)?;
    let mut range = (None, None);
    let mut set = None;
    for name in TESTS {
        let Some(node) = fields.get(name) else { continue };
        let points = points(fields.document(), fact, node)?;
        let number = match (points.first(), points.len()) {
            (Some(Point::Number(n)), 1) => Some(*n),
            _ => None,
        };
        match (name, number) {
            ("is" | "one-of", _) => set = Some(points),
            ("at-least", Some(n)) => range.0 = Some(End::at(n)),
            ("above", Some(n)) => range.0 = Some(End::beyond(n)),
            ("at-most", Some(n)) => range.1 = Some(End::at(n)),
            ("below", Some(n)) => range.1 = Some(End::beyond(n)),
            _ => return Err(fields.fault(format!("`{name}` with {}", node.shown()), "one number with its unit")),
        }
    }
    let test = match (set, range) {
        (Some(set), (None, None)) => Test::In(set),
        (None, (None, None)) => {
            return Err(fields.fault("a fact without a test", format!("one of: {}", TESTS.join(", "))));
        }
        (None, (low, high)) => Test::Range { low, high },
        (Some(_), _) => return Err(fields.fault("a list and a range at once", "one or the other")),
    };
    Ok(Atom { fact, test, seen: fields.seen()? })
}

/// The `fact` field.
pub(super) fn fact(fields: &Fields<'_>) -> Result<Fact, RulebookError> {
    fields.read("fact", &format!("one of: {}", Fact::all_words()), Fact::from_word)
}

/// One or more values of a fact.
pub(super) fn points(document: &str, fact: Fact, node: &Node) -> Result<BTreeSet<Point>, RulebookError> {
    let mut points = BTreeSet::new();
    for (line, text) in texts_of(document, node)? {
        points.insert(point(document, fact, line, text)?);
    }
    if points.is_empty() {
        return Err(RulebookError::new(document, node.line, "an empty list", "at least one value"));
    }
    Ok(points)
}

/// One value of a fact.
pub(super) fn point(document: &str, fact: Fact, line: usize, text: &str) -> Result<Point, RulebookError> {
    let quantity = Quantity::read(fact.kind(), text);
    quantity.as_ref().and_then(Point::of).ok_or_else(|| {
        let wants = format!("a {} for {}: {}", fact.kind().word(), fact.word(), fact.kind().example());
        RulebookError::new(document, line, format!("`{text}`"), wants)
    })
}

/// One number of a fact, for edges and points.
pub(super) fn number(document: &str, fact: Fact, node: &Node) -> Result<i64, RulebookError> {
    let text = match &node.value {
        Value::Text(text) => text,
        Value::Seq(_) | Value::Map(_) => {
            return Err(RulebookError::new(document, node.line, node.shown(), "one value"));
        }
    };
    match point(document, fact, node.line, text)? {
        Point::Number(n) if fact.kind() != Kind::YesNo => Ok(n),
        Point::Number(_) | Point::Word(_) => {
            let read = format!("`{text}`");
            Err(RulebookError::new(document, node.line, read, "a fact with numbers: a band needs an order"))
        }
    }
}
