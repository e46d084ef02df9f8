//! Curves: points over one fact, read between them on the safe side or along straight lines.
//!
//! A curve becomes rows: one a point, with the stretch beside it, so that each stretch is a cell like any other.

use crate::base::citation::Seen;
use crate::rulebook::condition::{Atom, End, Test, When};
use crate::rulebook::conditions::{fact, number};
use crate::rulebook::entry::{Compare, Outcome, Row};
use crate::rulebook::fact::Fact;
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::Fields;
use crate::rulebook::node::Node;
use crate::rulebook::parse::{Head, cell_id, otherwise, row};
use crate::rulebook::quantity::{Kind, Quantity};

const POINT: [&str; 7] = ["at", "is", "seen", "in", "ref", "clause", "instead-of"];

struct Curve {
    fact: Fact,
    points: Vec<(i64, Row)>,
    steps: bool,
}

/// Reads a curve's rows and what holds outside its range.
pub(super) fn rows(document: &str, node: &Node, head: &Head) -> Result<(Vec<Row>, Outcome), RulebookError> {
    let fields = Fields::of(document, node, &["fact", "points", "between", "below", "beyond"])?;
    let fact = fact(&fields)?;
    let mut points = Vec::new();
    for item in fields.list("points")? {
        let part = Fields::of(document, item, &POINT)?;
        let at = number(document, fact, part.need("at")?)?;
        points.push((at, row(&part, head, Vec::new(), String::new())?));
    }
    if points.len() < 2 || !points.is_sorted_by(|a, b| a.0 < b.0) {
        return Err(fields.fault("points that do not rise", "two points or more, each above the last"));
    }
    if head.compare != Compare::AtLeast && head.compare != Compare::AtMost {
        return Err(fields.fault(format!("a curve compared `{}`", head.compare.word()), "at-least or at-most"));
    }
    let steps = fields.read("between", "step-safe or linear", |text| match text {
        "step-safe" => Some(true),
        "linear" => Some(false),
        _ => None,
    })?;
    if let Some((_, row)) = points.iter().find(|(_, row)| value(row).is_none()) {
        return Err(RulebookError::new(
            document,
            row.line,
            format!("`{}`", row.outcome.words()),
            "a value at each point",
        ));
    }
    if !steps && !matches!(head.gives, Kind::Length | Kind::Gradient | Kind::Flow | Kind::Units) {
        return Err(fields.fault(format!("a straight line between two of `{}`", head.gives.word()), "step-safe"));
    }
    let mut rows = stretches(&Curve { fact, points, steps }, head);
    let beyond = otherwise(&fields, "beyond", head)?;
    let hold = fields.text("below")? == "hold";
    let below = if hold { beyond.clone() } else { otherwise(&fields, "below", head)? };
    if hold {
        open_below(&mut rows);
    } else if below != beyond {
        return Err(fields.fault("`below` and `beyond` that differ", "the same for both, or hold below"));
    }
    for row in &mut rows {
        row.id = cell_id(&head.key, &place(row, fact));
    }
    Ok((rows, beyond))
}

/// The place of a stretch, for its cell's name.
fn place(row: &Row, fact: Fact) -> String {
    match &row.when {
        When::Atom(atom) => format!("{}{}", fact.word(), atom.test.canonical(fact)),
        other => other.named(),
    }
}

/// One row a point; each stretch between two points goes with the stricter of them, or gets a row of its own.
fn stretches(curve: &Curve, head: &Head) -> Vec<Row> {
    let mut ranges: Vec<(End, End)> = curve.points.iter().map(|(at, _)| (End::at(*at), End::at(*at))).collect();
    let mut lines = Vec::new();
    for (i, pair) in curve.points.windows(2).enumerate() {
        let [(x0, r0), (x1, r1)] = pair else { continue };
        let (Some(a), Some(b)) = (value(r0), value(r1)) else { continue };
        if curve.steps {
            if head.compare.looser(b, a) {
                ranges[i].1 = End::beyond(*x1);
            } else {
                ranges[i + 1].0 = End::beyond(*x0);
            }
        } else {
            let safe_up = head.compare == Compare::AtLeast;
            let outcome = Outcome::Line { fact: curve.fact, from: (*x0, a.clone()), to: (*x1, b.clone()), safe_up };
            lines.push((End::beyond(*x0), End::beyond(*x1), outcome, derived(r0, r1)));
        }
    }
    let when = |low: End, high: End| {
        When::Atom(Atom { fact: curve.fact, test: Test::Range { low: Some(low), high: Some(high) }, seen: None })
    };
    let points =
        curve.points.iter().zip(ranges).map(|((_, row), (low, high))| Row { when: when(low, high), ..row.clone() });
    let lines = lines.into_iter().map(|(low, high, outcome, row)| Row { when: when(low, high), outcome, ..row });
    points.chain(lines).collect()
}

/// A stretch on a straight line rests on both its points: worked out, or recalled if either was.
fn derived(one: &Row, other: &Row) -> Row {
    let mut row = one.clone();
    let recalled = one.recalled() || other.recalled();
    row.citation.value_seen = if recalled { Seen::Memory } else { Seen::Derived };
    row
}

fn value(row: &Row) -> Option<&Quantity> {
    match &row.outcome {
        Outcome::Is(quantity) => Some(quantity),
        _ => None,
    }
}

/// Lets the first point's value hold below it too.
fn open_below(rows: &mut [Row]) {
    if let Some(Row { when: When::Atom(Atom { test: Test::Range { low, .. }, .. }), .. }) = rows.first_mut() {
        *low = None;
    }
}
