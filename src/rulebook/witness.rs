//! Facts for which a cell answers, so that tests can reach every cell, and each of its edges.

use std::collections::BTreeSet;

use crate::rulebook::ask::{Answer, answer};
use crate::rulebook::condition::{Atom, Test};
use crate::rulebook::entry::{Entry, Outcome, Row};
use crate::rulebook::fact::{Fact, Facts, Point};
use crate::rulebook::quantity::{Kind, Quantity};

/// More than the cells of any real table have.
const MOST: usize = 256;

/// Facts for which `row` answers, with every value its tests name and every edge of its ranges.
pub(super) fn witnesses(entry: &Entry, row: &Row) -> Vec<Facts> {
    let mut found: Vec<Facts> = Vec::new();
    for way in row.when.alternatives().unwrap_or_default() {
        for facts in spread(&way) {
            if answers(entry, row, &facts) && !found.contains(&facts) {
                found.push(facts);
            }
        }
    }
    found
}

/// Whether it is this row that answers.
fn answers(entry: &Entry, row: &Row, facts: &Facts) -> bool {
    match answer(entry, facts) {
        Answer::Is(limit) => limit.cell == row.id,
        Answer::NeedsApproval(c) | Answer::NotPermitted(c) | Answer::AdopterFills(c) => c == row.citation,
        Answer::Silent => row.outcome == Outcome::Silent,
        Answer::Unknown(_) => false,
    }
}

fn spread(way: &[Atom]) -> Vec<Facts> {
    let facts: BTreeSet<Fact> = way.iter().map(|atom| atom.fact).collect();
    let mut all = vec![Facts::new()];
    for fact in facts {
        let tests: Vec<&Test> = way.iter().filter(|atom| atom.fact == fact).map(|atom| &atom.test).collect();
        let values: Vec<Quantity> = candidates(fact, &tests).iter().filter_map(|point| point.to_value(fact)).collect();
        let with = |base: &Facts| values.iter().map(|v| base.clone().with(fact, v.clone())).collect::<Vec<_>>();
        all = all.iter().flat_map(with).take(MOST).collect();
    }
    all
}

/// Values of one fact that pass all its tests: those listed, and the edges of ranges with their neighbours.
fn candidates(fact: Fact, tests: &[&Test]) -> Vec<Point> {
    let mut points: BTreeSet<Point> = BTreeSet::new();
    for test in tests {
        match test {
            Test::In(set) => points.extend(set.iter().cloned()),
            Test::NotIn(_) => points.extend(samples(fact)),
            Test::Range { low, high } => {
                let ends = low.iter().chain(high).flat_map(|e| [e.at.saturating_sub(1), e.at, e.at.saturating_add(1)]);
                points.extend(ends.filter(|n| *n >= 0).map(Point::Number));
            }
        }
    }
    points.into_iter().filter(|point| tests.iter().all(|test| test.holds(point))).collect()
}

fn samples(fact: Fact) -> Vec<Point> {
    match fact.kind() {
        Kind::Label => vec![Point::Word("another".to_owned())],
        _ => vec![Point::Number(0), Point::Number(1), Point::Number(1_000_000)],
    }
}
