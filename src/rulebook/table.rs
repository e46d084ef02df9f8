//! Tables: rows chosen by labels and by bands.

use crate::base::citation::Seen;
use crate::rulebook::condition::{Atom, End, Test, When};
use crate::rulebook::conditions::{fact, number, points};
use crate::rulebook::entry::{Outcome, Row};
use crate::rulebook::fact::Fact;
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::{Fields, texts_of};
use crate::rulebook::node::Node;
use crate::rulebook::parse::{Head, otherwise, row, row_with};

/// One axis.
struct Axis {
    fact: Fact,
    /// Names and tests of its bands; empty for an axis of labels.
    bands: Vec<(String, Test)>,
    seen: Option<Seen>,
}

const CELL: [&str; 8] = ["is", "seen", "in", "ref", "when", "clause", "eases", "instead-of"];

/// Reads a table's rows and what holds beside them. With `across`, each row lists a value for every label across.
pub(super) fn rows(document: &str, node: &Node, head: &Head) -> Result<(Vec<Row>, Outcome), RulebookError> {
    let fields = Fields::of(document, node, &["axes", "across", "rows", "otherwise"])?;
    let axes = match fields.get("axes") {
        Some(_) => fields.list("axes")?.iter().map(|item| axis(document, item)).collect::<Result<Vec<_>, _>>()?,
        None => Vec::new(),
    };
    let across = fields.get("across").map(|node| across(document, node)).transpose()?.unwrap_or_default();
    let known: Vec<&str> = CELL.into_iter().chain(axes.iter().map(|axis| axis.fact.word())).collect();
    let mut rows = Vec::new();
    for item in fields.list("rows")? {
        let part = Fields::of(document, item, &known)?;
        let (selects, place) = selects(&part, &axes)?;
        if across.is_empty() {
            rows.push(row(&part, head, selects, place)?);
        } else {
            rows.extend(cells(&part, head, &across, &selects, &place)?);
        }
    }
    Ok((rows, otherwise(&fields, "otherwise", head)?))
}

/// The columns of a grid: a test and a name each.
fn across(document: &str, node: &Node) -> Result<Vec<(When, String)>, RulebookError> {
    let fields = Fields::of(document, node, &["fact", "labels", "seen"])?;
    let (fact, seen) = (fact(&fields)?, fields.seen()?);
    let one = |item: &Node| {
        let test = Test::In(points(document, fact, item)?);
        let name = format!("{}{}", fact.word(), test.canonical(fact));
        Ok((When::Atom(Atom { fact, test, seen }), name))
    };
    let columns = fields.list("labels")?.iter().map(one).collect::<Result<Vec<_>, RulebookError>>()?;
    if columns.is_empty() { Err(fields.fault("no labels", "at least one")) } else { Ok(columns) }
}

/// The cells of one row of a grid.
fn cells(
    fields: &Fields<'_>,
    head: &Head,
    across: &[(When, String)],
    selects: &[When],
    place: &str,
) -> Result<Vec<Row>, RulebookError> {
    let values = texts_of(fields.document(), fields.need("is")?)?;
    if values.len() != across.len() {
        let read = format!("{} values for {} labels across", values.len(), across.len());
        return Err(fields.fault(read, "a value for each label"));
    }
    let cell = |((line, text), (when, name)): ((usize, &str), &(When, String))| {
        let outcome = Outcome::read(head.gives, text).ok_or_else(|| {
            RulebookError::new(fields.document(), line, format!("`{text}`"), Outcome::wants(head.gives))
        })?;
        let tests = selects.iter().chain([when]).cloned().collect();
        let place = if place.is_empty() { name.clone() } else { format!("{place}; {name}") };
        row_with(fields, head, outcome, tests, place)
    };
    values.into_iter().zip(across).map(cell).collect()
}

fn axis(document: &str, item: &Node) -> Result<Axis, RulebookError> {
    let fields = Fields::of(document, item, &["fact", "kind", "edges", "at-edge", "names", "seen"])?;
    let fact = fact(&fields)?;
    let banded = fields.read("kind", "label or band", |text| match text {
        "label" => Some(false),
        "band" => Some(true),
        _ => None,
    })?;
    let bands = if banded { bands(&fields, fact)? } else { Vec::new() };
    Ok(Axis { fact, bands, seen: fields.seen()? })
}

fn bands(fields: &Fields<'_>, fact: Fact) -> Result<Vec<(String, Test)>, RulebookError> {
    let edges = fields.list("edges")?.iter().map(|node| number(fields.document(), fact, node));
    let edges = edges.collect::<Result<Vec<i64>, _>>()?;
    if edges.is_empty() || !edges.is_sorted_by(|a, b| a < b) {
        return Err(fields.fault("edges that do not rise", "at least one edge, each above the last"));
    }
    let lower =
        fields.read("at-edge", "lower or upper: the band that a value on an edge belongs to", |text| match text {
            "lower" => Some(true),
            "upper" => Some(false),
            _ => None,
        })?;
    let names = match fields.get("names") {
        Some(node) => texts_of(fields.document(), node)?.into_iter().map(|(_, name)| name.to_owned()).collect(),
        None => vec!["low".to_owned(), "high".to_owned()],
    };
    if names.len() != edges.len() + 1 {
        let wants = format!("{} names, one a band", edges.len() + 1);
        return Err(fields.fault(format!("{} names for {} edges", names.len(), edges.len()), wants));
    }
    let end = |i: usize, included: bool| edges.get(i).map(|at| End { at: *at, included });
    let band = |i: usize| Test::Range { low: i.checked_sub(1).and_then(|j| end(j, !lower)), high: end(i, lower) };
    Ok(names.into_iter().enumerate().map(|(i, name)| (name, band(i))).collect())
}

/// The tests that a row's place puts on the facts, and the place's name.
fn selects(fields: &Fields<'_>, axes: &[Axis]) -> Result<(Vec<When>, String), RulebookError> {
    let mut tests = Vec::new();
    let mut place = Vec::new();
    for axis in axes {
        let Some(node) = fields.get(axis.fact.word()) else { continue };
        let test = if axis.bands.is_empty() {
            let test = Test::In(points(fields.document(), axis.fact, node)?);
            place.push(format!("{}{}", axis.fact.word(), test.canonical(axis.fact)));
            test
        } else {
            let name = fields.text(axis.fact.word())?;
            place.push(format!("{}={name}", axis.fact.word()));
            let names = || axis.bands.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>().join(", ");
            let band = axis.bands.iter().find(|(n, _)| n == name).map(|(_, test)| test.clone());
            band.ok_or_else(|| RulebookError::new(fields.document(), node.line, format!("`{name}`"), names()))?
        };
        tests.push(When::Atom(Atom { fact: axis.fact, test, seen: axis.seen }));
    }
    Ok((tests, place.join("; ")))
}
