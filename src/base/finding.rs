//! What a judgement says: small outcomes, and texts only where something is open.

use crate::base::citation::Citation;
use crate::base::span::Span;

/// What a rule says of an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// The record shows less than is asked, or the contrary.
    NotMet,
    /// The record lacks what is needed to say.
    NotShown,
    /// What is asked is shown.
    Met,
    /// The rule does not speak of this item.
    NotApplicable,
}

impl Verdict {
    /// The words, in every output.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::NotShown => "not shown",
            Verdict::NotApplicable => "not applicable",
        }
    }
}

/// Whether a clause stands behind a rule, or only good practice. Advice moves no exit code and no headline count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// A clause of law, guidance or standard.
    Clause,
    /// Custom of the trade.
    Advice,
}

/// When something must be shown. The record's stages are mapped to these.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Moment {
    /// Before anything is cut or laid.
    BeforeStart,
    /// Before the item is covered.
    BeforeCover,
    /// After it was covered.
    AfterCover,
    /// When it is tested.
    AtTest,
    /// When all is done.
    Completion,
    /// When the owner takes over.
    Handover,
}

impl Moment {
    /// Every moment, in order of the work.
    pub const ALL: [Moment; 6] = [
        Moment::BeforeStart,
        Moment::BeforeCover,
        Moment::AfterCover,
        Moment::AtTest,
        Moment::Completion,
        Moment::Handover,
    ];

    /// The words that a record uses.
    pub fn word(self) -> &'static str {
        match self {
            Moment::BeforeStart => "before start",
            Moment::BeforeCover => "before cover",
            Moment::AfterCover => "after cover",
            Moment::AtTest => "at test",
            Moment::Completion => "completion",
            Moment::Handover => "handover",
        }
    }

    /// From the words of a record.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.word() == word)
    }
}

/// The name of a rule: what is required, in kebab case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RuleId(pub &'static str);

/// What would put it right, or settle it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remedy {
    /// The field of the record that would settle it, as a path: `penetrations.P1.above.doc`.
    pub field: Option<String>,
    /// What to change it to, when that can be said.
    pub change: Option<String>,
    /// In words.
    pub text: String,
}

/// One rule held against one item.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which rule.
    pub rule: RuleId,
    /// The item's id.
    pub item: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Whether the verdict turns inside the reading's spread.
    pub inside_spread: bool,
    /// Whether the item is only planned: "met, as planned".
    pub planned: bool,
    /// Whether a clause stands behind it.
    pub weight: Weight,
    /// When it must be shown.
    pub due: Moment,
    /// What was found, in the forms of the schedules; empty when nothing was.
    pub measured: String,
    /// What is asked; empty when the clause is silent.
    pub limit: String,
    /// The clause.
    pub citation: Option<Citation>,
    /// Whether any cell that decided was recalled.
    pub recalled: bool,
    /// Where the record says it.
    pub span: Span,
    /// One sentence; for a plain *met* empty, unless the reader might take it for another rule's case.
    pub text: String,
    /// What would put it right, or settle it; empty for *met*.
    pub remedy: Option<Remedy>,
    /// The finding of which this is a repetition that replaces it: `T3` for a failed `T2`.
    pub replaced_by: Option<String>,
}

impl Finding {
    /// The words of the verdict with what qualifies it.
    pub fn words(&self) -> &'static str {
        match (self.verdict, self.inside_spread, self.planned) {
            (Verdict::Met, true, _) => "met, inside the spread",
            (Verdict::Met, false, true) => "met, as planned",
            (verdict, _, _) => verdict.word(),
        }
    }
}
