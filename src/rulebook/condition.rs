//! Conditions over facts, three-valued: what hangs on an unknown fact is unknown, and says which fact.

use std::collections::BTreeSet;

use crate::base::citation::Seen;
use crate::rulebook::entry::Condition;
use crate::rulebook::fact::{Fact, Facts, Point};

/// Whether a condition holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Truth {
    Yes,
    No,
    /// These facts would settle it.
    Unknown(BTreeSet<Fact>),
}

/// What one fact must be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Test {
    In(BTreeSet<Point>),
    NotIn(BTreeSet<Point>),
    Range { low: Option<End>, high: Option<End> },
}

/// One end of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct End {
    pub at: i64,
    pub included: bool,
}

impl End {
    pub fn at(at: i64) -> Self {
        Self { at, included: true }
    }

    pub fn beyond(at: i64) -> Self {
        Self { at, included: false }
    }

    fn flipped(self) -> Self {
        Self { at: self.at, included: !self.included }
    }
}

/// A test of one fact, with how the test itself was seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Atom {
    pub fact: Fact,
    pub test: Test,
    pub seen: Option<Seen>,
}

/// A condition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum When {
    Atom(Atom),
    All(Vec<When>),
    Any(Vec<When>),
    Not(Box<When>),
}

/// More alternatives than any clause has; a hostile overlay is stopped here.
pub(super) const MOST_ALTERNATIVES: usize = 64;

impl Test {
    pub fn holds(&self, point: &Point) -> bool {
        match (self, point) {
            (Test::In(set), point) => set.contains(point),
            (Test::NotIn(set), point) => !set.contains(point),
            (Test::Range { low, high }, Point::Number(n)) => {
                low.is_none_or(|e| *n > e.at || (e.included && *n == e.at))
                    && high.is_none_or(|e| *n < e.at || (e.included && *n == e.at))
            }
            (Test::Range { .. }, Point::Word(_)) => false,
        }
    }

    /// The contrary, as alternatives.
    fn denied(&self) -> Vec<Test> {
        match self {
            Test::In(set) => vec![Test::NotIn(set.clone())],
            Test::NotIn(set) => vec![Test::In(set.clone())],
            Test::Range { low, high } => {
                let below = low.map(|e| Test::Range { low: None, high: Some(e.flipped()) });
                let above = high.map(|e| Test::Range { low: Some(e.flipped()), high: None });
                below.into_iter().chain(above).collect()
            }
        }
    }

    /// Whether no value can pass both.
    pub fn excludes(&self, other: &Test) -> bool {
        match (self, other) {
            (Test::In(set), test) | (test, Test::In(set)) => !set.iter().any(|point| test.holds(point)),
            (Test::Range { low: a, high: b }, Test::Range { low: c, high: d }) => parted(*b, *c) || parted(*d, *a),
            (Test::NotIn(_), _) | (_, Test::NotIn(_)) => false,
        }
    }
}

/// Whether a range that ends at `high` lies wholly before one that starts at `low`.
fn parted(high: Option<End>, low: Option<End>) -> bool {
    match (high, low) {
        (Some(h), Some(l)) => h.at < l.at || (h.at == l.at && !(h.included && l.included)),
        _ => false,
    }
}

impl When {
    /// Whether it holds for these facts.
    pub fn truth(&self, facts: &Facts) -> Truth {
        match self {
            When::Atom(atom) => match facts.point(atom.fact) {
                None => Truth::Unknown([atom.fact].into()),
                Some(point) if atom.test.holds(&point) => Truth::Yes,
                Some(_) => Truth::No,
            },
            When::All(parts) => fold(parts, facts, &Truth::No, Truth::Yes),
            When::Any(parts) => fold(parts, facts, &Truth::Yes, Truth::No),
            When::Not(inner) => match inner.truth(facts) {
                Truth::Yes => Truth::No,
                Truth::No => Truth::Yes,
                unknown @ Truth::Unknown(_) => unknown,
            },
        }
    }

    /// Every way in which it can hold, each a list of tests that must all pass; `None` when there are too many.
    pub fn alternatives(&self) -> Option<Vec<Vec<Atom>>> {
        self.spread(false)
    }

    fn spread(&self, denied: bool) -> Option<Vec<Vec<Atom>>> {
        match (self, denied) {
            (When::Atom(atom), false) => Some(vec![vec![atom.clone()]]),
            (When::Atom(atom), true) => {
                let tests = atom.test.denied().into_iter();
                Some(tests.map(|test| vec![Atom { fact: atom.fact, test, seen: atom.seen }]).collect())
            }
            (When::Not(inner), _) => inner.spread(!denied),
            (When::All(parts), false) | (When::Any(parts), true) => {
                parts.iter().try_fold(vec![Vec::new()], |ways, part| crossed(ways, &part.spread(denied)?))
            }
            (When::Any(parts), false) | (When::All(parts), true) => {
                let ways: Option<Vec<_>> = parts.iter().map(|part| part.spread(denied)).collect();
                Some(ways?.into_iter().flatten().collect::<Vec<_>>()).filter(|w| w.len() <= MOST_ALTERNATIVES)
            }
        }
    }

    /// How its tests were seen.
    pub fn seen(&self, out: &mut Vec<Seen>) {
        match self {
            When::Atom(atom) => out.extend(atom.seen),
            When::All(parts) | When::Any(parts) => parts.iter().for_each(|part| part.seen(out)),
            When::Not(inner) => inner.seen(out),
        }
    }

    /// Its parts in words, each of which must hold.
    pub fn told(&self) -> Vec<Condition> {
        match self {
            When::All(parts) => parts.iter().flat_map(When::told).collect(),
            When::Atom(atom) => vec![Condition { fact: Some(atom.fact), words: atom.test.words(atom.fact) }],
            When::Any(_) | When::Not(_) => vec![Condition { fact: None, words: self.words() }],
        }
    }

    fn words(&self) -> String {
        let join = |parts: &[When], by: &str| parts.iter().map(When::words).collect::<Vec<_>>().join(by);
        match self {
            When::Atom(atom) => format!("{} {}", atom.fact.word().replace('-', " "), atom.test.words(atom.fact)),
            When::All(parts) => join(parts, " and "),
            When::Any(parts) => join(parts, " or "),
            When::Not(inner) => format!("not {}", inner.words()),
        }
    }

    /// A form that does not depend on layout, for digests.
    pub fn canonical(&self) -> String {
        self.written(&|seen| format!(" seen {}", seen.word()))
    }

    /// The form in a cell's name.
    pub fn named(&self) -> String {
        self.written(&|_| String::new())
    }

    fn written(&self, mark: &dyn Fn(Seen) -> String) -> String {
        let join = |parts: &[When]| parts.iter().map(|part| part.written(mark)).collect::<Vec<_>>().join(", ");
        match self {
            When::Atom(atom) => {
                let seen = atom.seen.map_or(String::new(), mark);
                format!("{}{}{seen}", atom.fact.word(), atom.test.canonical(atom.fact))
            }
            When::All(parts) => format!("all({})", join(parts)),
            When::Any(parts) => format!("any({})", join(parts)),
            When::Not(inner) => format!("not({})", inner.written(mark)),
        }
    }
}

impl Test {
    /// As it is printed: `bath or shower`, `over 0.7 m up to 1.1 m`.
    fn words(&self, fact: Fact) -> String {
        match self {
            Test::In(_) | Test::Range { .. } => {
                self.canonical(fact).replace('|', " or ").trim_start_matches(['=', ' ']).to_owned()
            }
            Test::NotIn(set) => format!("not {}", Test::In(set.clone()).words(fact)),
        }
    }

    /// As in a cell's name: `=bath|shower`, ` over 0.7 m up to 1.1 m`.
    pub fn canonical(&self, fact: Fact) -> String {
        let word = |point: &Point| match point {
            Point::Word(word) => word.clone(),
            Point::Number(_) => shown(fact, point),
        };
        let list = |set: &BTreeSet<Point>| set.iter().map(word).collect::<Vec<_>>().join("|");
        match self {
            Test::In(set) => format!("={}", list(set)),
            Test::NotIn(set) => format!("≠{}", list(set)),
            Test::Range { low, high } => {
                let value = |e: &End| shown(fact, &Point::Number(e.at));
                let low = low.map(|e| format!(" {} {}", if e.included { "from" } else { "over" }, value(&e)));
                let high = high.map(|e| format!(" {} {}", if e.included { "up to" } else { "under" }, value(&e)));
                format!("{}{}", low.unwrap_or_default(), high.unwrap_or_default())
            }
        }
    }
}

fn shown(fact: Fact, point: &Point) -> String {
    point.to_value(fact).map_or(String::new(), |value| value.words().replace('\u{a0}', " "))
}

fn fold(parts: &[When], facts: &Facts, decides: &Truth, otherwise: Truth) -> Truth {
    let mut open = BTreeSet::new();
    for part in parts {
        match part.truth(facts) {
            truth if truth == *decides => return truth,
            Truth::Unknown(facts) => open.extend(facts),
            Truth::Yes | Truth::No => {}
        }
    }
    if open.is_empty() { otherwise } else { Truth::Unknown(open) }
}

fn crossed(ways: Vec<Vec<Atom>>, more: &[Vec<Atom>]) -> Option<Vec<Vec<Atom>>> {
    if ways.len().saturating_mul(more.len()) > MOST_ALTERNATIVES {
        return None;
    }
    let both = |way: &Vec<Atom>| more.iter().map(|m| way.iter().chain(m).cloned().collect()).collect::<Vec<_>>();
    Some(ways.iter().flat_map(both).collect())
}

/// Whether two lists of tests can all pass together, as far as pairs of tests on one fact tell.
pub(super) fn compatible(one: &[Atom], other: &[Atom]) -> bool {
    !one.iter().any(|a| other.iter().any(|b| a.fact == b.fact && a.test.excludes(&b.test)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tests of every shape over the points −1 to 4.
    fn pool() -> Vec<Test> {
        let set = |points: &[i64]| points.iter().map(|n| Point::Number(*n)).collect::<BTreeSet<_>>();
        let mut pool = vec![Test::In(set(&[1])), Test::In(set(&[0, 3])), Test::NotIn(set(&[1])), Test::NotIn(set(&[]))];
        let ends = [None, Some(End::at(1)), Some(End::beyond(1)), Some(End::at(2)), Some(End::beyond(2))];
        pool.extend(ends.iter().flat_map(|low| ends.iter().map(|high| Test::Range { low: *low, high: *high })));
        pool
    }

    fn points() -> Vec<Point> {
        (-1..=4).map(Point::Number).collect()
    }

    #[test]
    fn tests_that_exclude_one_another_share_no_point() {
        let pool = pool();
        let mut excluded = 0;
        for (a, b) in pool.iter().flat_map(|a| pool.iter().map(move |b| (a, b))) {
            if a.excludes(b) {
                excluded += 1;
                assert!(!points().iter().any(|p| a.holds(p) && b.holds(p)), "{a:?} and {b:?}");
            }
        }
        assert!(excluded > 50);
        assert!(
            Test::Range { low: None, high: Some(End::at(1)) }
                .excludes(&Test::Range { low: Some(End::beyond(1)), high: None })
        );
    }

    #[test]
    fn a_denied_test_holds_exactly_where_the_test_does_not() {
        for test in pool() {
            for point in points() {
                let denied = test.denied().iter().any(|d| d.holds(&point));
                assert_ne!(test.holds(&point), denied, "{test:?} at {point:?}");
            }
        }
    }
}
