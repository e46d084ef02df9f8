//! What a document holds once it is read: entries of cells, each cell with its own citation.

use crate::base::citation::{Citation, Seen};
use crate::base::units::{Gradient, Length};
use crate::rulebook::condition::When;
use crate::rulebook::fact::{Fact, Facts, Point};
use crate::rulebook::quantity::{Flow, Kind, Quantity, Units};

/// Which way a value is held against a limit, and so which way is looser.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compare {
    /// The value may not be less; a lower limit is looser.
    AtLeast,
    /// The value may not be more; a higher limit is looser.
    AtMost,
    /// The value lies inside a window; a wider one is looser.
    Within,
    /// The value is one of those listed; any other list that is not a part of it counts as looser.
    OneOf,
}

impl Compare {
    const WORDS: [(Compare, &'static str); 4] = [
        (Compare::AtLeast, "at-least"),
        (Compare::AtMost, "at-most"),
        (Compare::Within, "within"),
        (Compare::OneOf, "one-of"),
    ];

    /// The word in a rulebook.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(compare, _)| *compare == self).map_or("", |(_, word)| word)
    }

    /// From the word in a rulebook.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(_, w)| *w == word).map(|(compare, _)| *compare)
    }

    /// Whether values of a kind can be held so.
    pub(super) fn suits(self, kind: Kind) -> bool {
        match kind {
            Kind::Window => self == Compare::Within,
            Kind::YesNo | Kind::Label => self == Compare::OneOf,
            Kind::Length
            | Kind::Gradient
            | Kind::Flow
            | Kind::Units
            | Kind::Factor
            | Kind::Velocity
            | Kind::Viscosity
            | Kind::Pressure
            | Kind::PerArea
            | Kind::Count
            | Kind::Size => matches!(self, Compare::AtLeast | Compare::AtMost),
        }
    }

    /// Whether `new` lets anything pass that `old` does not.
    pub(super) fn looser(self, new: &Quantity, old: &Quantity) -> bool {
        let below = less(new, old);
        let above = less(old, new);
        match (self, new, old) {
            (Compare::AtLeast, _, _) => below,
            (Compare::AtMost, _, _) => above,
            (Compare::Within, Quantity::Window(n), Quantity::Window(o)) => {
                n.flattest < o.flattest || n.steepest > o.steepest
            }
            (Compare::OneOf, Quantity::Label(n), Quantity::Label(o)) => !n.is_subset(o),
            (Compare::Within | Compare::OneOf, _, _) => new != old,
        }
    }
}

fn less(a: &Quantity, b: &Quantity) -> bool {
    match (a, b) {
        (Quantity::Gradient(a), Quantity::Gradient(b)) => a < b,
        _ => Point::of(a) < Point::of(b),
    }
}

/// The name of a cell: its key, and what singles it out: `trap.seal.minimum[appliance=basin]`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CellId(pub String);

impl std::fmt::Display for CellId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// What another document says of the same cell, and why it does not govern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InsteadOf {
    /// Where it stands: `BS EN 12056-2 Table 6`.
    pub place: String,
    /// What it says, in its own form.
    pub says: String,
    /// Why the value of the cell is used instead.
    pub why: String,
    /// How it was seen.
    pub seen: Seen,
}

impl InsteadOf {
    /// As it is printed: "5 minutes up to 200 mm, BS EN 1610, method LA (read). Not taken: the guidance governs."
    pub fn words(&self) -> String {
        format!("{}, {} ({}). Not taken: {}.", self.says, self.place, self.seen.word(), self.why)
    }
}

/// One of the conditions under which a cell answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Condition {
    /// The fact it is about; `None` for one that is put together of several.
    pub fact: Option<Fact>,
    /// What the fact must be: `basin or bidet`, `over 0.7 m up to 1.1 m`.
    pub words: String,
}

/// What a cell says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    Is(Quantity),
    /// On the straight line between two points of a curve.
    Line {
        fact: Fact,
        from: (i64, Quantity),
        to: (i64, Quantity),
        safe_up: bool,
    },
    NeedsApproval,
    NotPermitted,
    AdopterFills,
    Silent,
}

const OUTCOMES: [(&str, Outcome); 4] = [
    ("needs approval", Outcome::NeedsApproval),
    ("not permitted", Outcome::NotPermitted),
    ("adopter fills", Outcome::AdopterFills),
    ("silent", Outcome::Silent),
];

impl Outcome {
    /// Reads a cell: one of the fixed answers, or a value of its kind.
    pub fn read(kind: Kind, text: &str) -> Option<Self> {
        let words = text.replace('-', " ");
        let fixed = OUTCOMES.iter().find(|(word, _)| *word == words).map(|(_, outcome)| outcome.clone());
        fixed.or_else(|| Quantity::read(kind, text).map(Outcome::Is))
    }

    /// What a cell of a kind may hold.
    pub fn wants(kind: Kind) -> String {
        format!("{} ({}), or needs approval, not permitted, adopter fills, silent", kind.word(), kind.example())
    }

    /// As it is printed.
    pub fn words(&self) -> String {
        match self {
            Outcome::Is(quantity) => quantity.words(),
            Outcome::Line { from, to, .. } => format!("{} to {}", from.1.words(), to.1.words()),
            other => OUTCOMES.iter().find(|(_, o)| o == other).map_or("", |(word, _)| word).to_owned(),
        }
    }

    pub fn canonical(&self) -> String {
        match self {
            Outcome::Is(quantity) => quantity.canonical(),
            Outcome::Line { from, to, .. } => {
                format!("line {}@{} {}@{}", from.1.canonical(), from.0, to.1.canonical(), to.0)
            }
            other => other.words(),
        }
    }

    /// Whether `new` lets anything pass that `self` does not. What cannot be told counts as looser.
    pub fn loosened_by(&self, new: &Outcome, compare: Compare) -> bool {
        let rank = |outcome: &Outcome| match outcome {
            Outcome::NotPermitted => 0,
            Outcome::NeedsApproval => 1,
            Outcome::Is(_) | Outcome::Line { .. } => 2,
            Outcome::AdopterFills | Outcome::Silent => 3,
        };
        match (self, new) {
            (Outcome::Is(old), Outcome::Is(new)) => compare.looser(new, old),
            (Outcome::Line { .. }, _) => self != new,
            _ => rank(new) > rank(self),
        }
    }

    /// The value for these facts, where the cell has one.
    pub fn value(&self, facts: &Facts) -> Option<Quantity> {
        match self {
            Outcome::Is(quantity) => Some(quantity.clone()),
            Outcome::Line { fact, from, to, safe_up } => match facts.point(*fact)? {
                Point::Number(x) => between(x, from, to, *safe_up),
                Point::Word(_) => None,
            },
            Outcome::NeedsApproval | Outcome::NotPermitted | Outcome::AdopterFills | Outcome::Silent => None,
        }
    }
}

/// The value on the straight line at `x`, to the unit on the safe side.
fn between(x: i64, from: &(i64, Quantity), to: &(i64, Quantity), safe_up: bool) -> Option<Quantity> {
    let (part, whole) = (i128::from(x) - i128::from(from.0), i128::from(to.0) - i128::from(from.0));
    if whole <= 0 {
        return None;
    }
    let at = |a: i64, b: i64| {
        let n = i128::from(a) * whole + (i128::from(b) - i128::from(a)) * part;
        let down = n.div_euclid(whole);
        let up = i128::from(n.rem_euclid(whole) != 0);
        i64::try_from(if safe_up { down + up } else { down }).unwrap_or(a)
    };
    Some(match (&from.1, &to.1) {
        (Quantity::Length(a), Quantity::Length(b)) => Quantity::Length(Length::from_um(at(a.um(), b.um()))),
        (Quantity::Flow(a), Quantity::Flow(b)) => Quantity::Flow(Flow::from_ml_s(at(a.ml_s(), b.ml_s()))),
        (Quantity::Units(a), Quantity::Units(b)) => {
            Quantity::Units(Units::from_thousandths(at(a.thousandths(), b.thousandths())))
        }
        (Quantity::Gradient(a), Quantity::Gradient(b)) => {
            let um_per_m = |g: &Gradient| {
                let (n, run) = (i128::from(g.fall().um()) * 1_000_000, i128::from(g.run().um()));
                let up = i128::from(safe_up && n.rem_euclid(run) != 0);
                i64::try_from(n.div_euclid(run) + up).unwrap_or(i64::MAX)
            };
            let fall = Length::from_um(at(um_per_m(a), um_per_m(b)));
            Quantity::Gradient(Gradient::new(fall, Length::from_mm(1000))?)
        }
        _ => return None,
    })
}

/// One cell.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub id: CellId,
    pub reference: Option<String>,
    pub when: When,
    pub outcome: Outcome,
    pub citation: Citation,
    /// It relieves the row it lies over, and answers only when its condition is shown.
    pub eases: bool,
    pub relaxed_by: Option<String>,
    pub instead_of: Vec<InsteadOf>,
    /// In which text the value was read, when that is not the document itself.
    pub seen_in: Option<String>,
    pub line: usize,
}

impl Row {
    /// Whether the value or anything that decided the row was recalled.
    pub fn recalled(&self) -> bool {
        let mut seen = vec![self.citation.value_seen];
        self.when.seen(&mut seen);
        seen.contains(&Seen::Memory)
    }
}

/// One key's cells.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub key: String,
    pub gives: Kind,
    pub compare: Compare,
    /// Of the entry as a whole, for what no cell says.
    pub citation: Citation,
    pub rows: Vec<Row>,
    pub otherwise: Outcome,
    pub line: usize,
}

/// One line of a clause list; its limit is the entry at `key`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClauseLine {
    /// Its name within the list: `clearance`.
    pub name: String,
    /// What it asks, in own words.
    pub text: String,
    /// The key of its limit: `vent.terminal.clearance`.
    pub key: String,
}

/// A list of lines that must all hold.
#[derive(Clone, Debug)]
pub(super) struct ClauseList {
    pub key: String,
    pub lines: Vec<ClauseLine>,
}
