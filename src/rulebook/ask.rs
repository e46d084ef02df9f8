//! Asking: one answer for a key and what is known of an item.

use std::collections::BTreeSet;

use crate::base::citation::Citation;
use crate::rulebook::book::Rulebook;
use crate::rulebook::condition::Truth;
use crate::rulebook::entry::{CellId, ClauseLine, Compare, Entry, Outcome, Row};
use crate::rulebook::fact::{Fact, Facts};
use crate::rulebook::held::{Held, LimitValue};
use crate::rulebook::key::{Clauses, Key};
use crate::rulebook::quantity::Quantity;

/// What a rulebook says to a question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer<T> {
    /// A limit.
    Is(Limit<T>),
    /// The body has to approve it case by case.
    NeedsApproval(Citation),
    /// It is not allowed, whatever the value.
    NotPermitted(Citation),
    /// Whoever adopts the rulebook fills it in; nobody has.
    AdopterFills(Citation),
    /// Nothing is said of such an item.
    Silent,
    /// It hangs on these facts, which are not known.
    Unknown(Vec<Fact>),
}

/// A limit with what it rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limit<T> {
    /// The value.
    pub value: T,
    /// Which way a value is held against it.
    pub compare: Compare,
    /// Where it stands.
    pub citation: Citation,
    /// Whether the value or a condition that decided it was recalled and not read.
    pub recalled: bool,
    /// Which cell it came from.
    pub cell: CellId,
    /// The overlay that made it looser, if one did.
    pub relaxed_by: Option<String>,
    /// Facts that are not known and that, if shown, could ease it.
    pub would_ease: Vec<Fact>,
}

impl<T: Held> Limit<T> {
    /// Whether a value satisfies the limit; the only place where that is decided.
    pub fn met_by(&self, measured: &T::Measured) -> bool {
        self.value.holds(self.compare, measured)
    }

    /// As it is printed: `75 mm`, `1 in 40`, `18 mm/m to 22 mm/m`.
    pub fn words(&self) -> String {
        self.value.quantity().words()
    }
}

impl<T> Answer<T> {
    /// The limit, where there is one.
    pub fn limit(&self) -> Option<&Limit<T>> {
        match self {
            Answer::Is(limit) => Some(limit),
            _ => None,
        }
    }

    /// The citation, where there is one.
    pub fn citation(&self) -> Option<&Citation> {
        match self {
            Answer::Is(limit) => Some(&limit.citation),
            Answer::NeedsApproval(c) | Answer::NotPermitted(c) | Answer::AdopterFills(c) => Some(c),
            Answer::Silent | Answer::Unknown(_) => None,
        }
    }

    fn map<U>(self, f: impl FnOnce(&T) -> Option<U>) -> Answer<U> {
        match self {
            Answer::Is(limit) => match f(&limit.value) {
                Some(value) => Answer::Is(Limit {
                    value,
                    compare: limit.compare,
                    citation: limit.citation,
                    recalled: limit.recalled,
                    cell: limit.cell,
                    relaxed_by: limit.relaxed_by,
                    would_ease: limit.would_ease,
                }),
                // Loading refuses an entry of another kind than its key's; a key made elsewhere meets silence.
                None => Answer::Silent,
            },
            Answer::NeedsApproval(c) => Answer::NeedsApproval(c),
            Answer::NotPermitted(c) => Answer::NotPermitted(c),
            Answer::AdopterFills(c) => Answer::AdopterFills(c),
            Answer::Silent => Answer::Silent,
            Answer::Unknown(facts) => Answer::Unknown(facts),
        }
    }
}

/// One line of a clause list with its answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClauseAnswer {
    /// The line.
    pub line: ClauseLine,
    /// What it asks of this item.
    pub answer: Answer<Quantity>,
}

impl Rulebook {
    /// Answers a key for what is known of an item. A key that the rulebook does not hold is silent.
    pub fn ask<T: LimitValue>(&self, key: Key<T>, facts: &Facts) -> Answer<T> {
        self.ask_path(key.path(), facts).map(T::from_quantity)
    }

    /// Answers an entry by its path, whatever kind it gives. A path that the rulebook does not hold is silent.
    pub fn ask_path(&self, path: &str, facts: &Facts) -> Answer<Quantity> {
        self.entry(path).map_or(Answer::Silent, |entry| answer(entry, facts))
    }

    /// Answers every line of a clause list; all of them must hold. Empty when the rulebook has no such list.
    pub fn clauses(&self, key: Key<Clauses>, facts: &Facts) -> Vec<ClauseAnswer> {
        let lines = self.list(key.path()).map_or(&[][..], |list| list.lines.as_slice());
        let one = |line: &ClauseLine| ClauseAnswer { line: line.clone(), answer: self.ask_path(&line.key, facts) };
        lines.iter().map(one).collect()
    }
}

/// Answers one entry.
///
/// At most one plain cell holds, for overlapping ones do not load. A relieving cell answers only when its condition is
/// shown; while that is unknown the stricter cell beneath it stands. So a fact that is taken away can turn an answer
/// into the same, into a stricter one, or into unknown, and never into an easier one.
pub(super) fn answer(entry: &Entry, facts: &Facts) -> Answer<Quantity> {
    let mut plain = None;
    let mut relief = None;
    let mut open = BTreeSet::new();
    let mut would_ease = BTreeSet::new();
    for row in &entry.rows {
        match (row.when.truth(facts), row.eases) {
            (Truth::Yes, false) => plain = Some(row),
            (Truth::Yes, true) => relief = Some(row),
            (Truth::Unknown(facts), false) => open.extend(facts),
            (Truth::Unknown(facts), true) => would_ease.extend(facts),
            (Truth::No, _) => {}
        }
    }
    match (relief, plain) {
        (Some(row), _) => of_row(entry, row, facts, BTreeSet::new()),
        (None, Some(row)) => of_row(entry, row, facts, would_ease),
        (None, None) if !open.is_empty() => Answer::Unknown(open.into_iter().collect()),
        (None, None) => of_outcome(&entry.otherwise, &entry.citation),
    }
}

fn of_row(entry: &Entry, row: &Row, facts: &Facts, would_ease: BTreeSet<Fact>) -> Answer<Quantity> {
    let Some(value) = row.outcome.value(facts) else { return of_outcome(&row.outcome, &row.citation) };
    Answer::Is(Limit {
        value,
        compare: entry.compare,
        citation: row.citation.clone(),
        recalled: row.recalled(),
        cell: row.id.clone(),
        relaxed_by: row.relaxed_by.clone(),
        would_ease: would_ease.into_iter().collect(),
    })
}

fn of_outcome(outcome: &Outcome, citation: &Citation) -> Answer<Quantity> {
    match outcome {
        Outcome::NeedsApproval => Answer::NeedsApproval(citation.clone()),
        Outcome::NotPermitted => Answer::NotPermitted(citation.clone()),
        Outcome::AdopterFills => Answer::AdopterFills(citation.clone()),
        Outcome::Silent | Outcome::Is(_) | Outcome::Line { .. } => Answer::Silent,
    }
}
