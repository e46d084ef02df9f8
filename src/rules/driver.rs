//! Holds a measure against a limit and makes the verdict: the only place where that is done.

use crate::base::citation::Citation;
use crate::base::finding::Finding;
use crate::base::finding::Remedy;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::span::Span;
use crate::base::units::Gradient;
use crate::base::units::Length;
use crate::rulebook::Answer;
use crate::rulebook::Limit;
use crate::rulebook::LimitValue;
use crate::rulebook::Words;
use crate::rules::Rule;

/// The item that is judged.
#[derive(Clone)]
pub struct Subject<'a> {
    /// Its id, or an id and the part meant.
    pub id: String,
    /// Where the record says what is judged; the item itself where it says nothing.
    pub span: Span,
    /// Whether it is only planned.
    pub planned: bool,
    /// The path of the field that would settle it.
    pub field: String,
    /// The rule.
    pub rule: &'a Rule,
}

/// A measure with what it may be, or what is missing.
#[derive(Clone, Debug)]
pub enum Measure<T> {
    /// It is this.
    Is {
        /// The value.
        value: T,
        /// The least it may be.
        low: T,
        /// The most it may be.
        high: T,
        /// How it is known.
        how: How,
        /// As it is printed.
        words: String,
    },
    /// It is not shown, and this would settle it: "the depth of its seal".
    Missing(String),
}

impl Measure<Length> {
    /// Of a length with its spread.
    pub fn length(known: Known<Length>, words: String) -> Self {
        let (low, high) = (known.value - known.half, known.value + known.half);
        Measure::Is { value: known.value, low, high, how: known.how, words: about(known.how, &words) }
    }
}

impl Measure<Gradient> {
    /// Of a gradient with its spread.
    pub fn gradient(known: KnownGradient, words: String) -> Self {
        let (low, high) = (known.flattest, known.steepest);
        Measure::Is { value: known.value, low, high, how: known.how, words: about(known.how, &words) }
    }
}

impl<T: Clone> Measure<T> {
    /// Of something that is so or not, without spread.
    pub fn plain(value: T, how: How, words: impl Into<String>) -> Self {
        let words = about(how, &words.into());
        Measure::Is { low: value.clone(), high: value.clone(), value, how, words }
    }
}

/// `about` before what is only believed.
pub fn about(how: How, words: &str) -> String {
    if how == How::Believed { format!("about\u{a0}{words}") } else { words.to_owned() }
}

/// A finding of a subject without a measure, for the driver and for rules that judge by looking.
pub fn finding(subject: &Subject<'_>, verdict: Verdict) -> Finding {
    Finding {
        rule: subject.rule.id,
        item: subject.id.clone(),
        verdict,
        inside_spread: false,
        planned: subject.planned,
        weight: subject.rule.weight,
        due: subject.rule.due,
        measured: String::new(),
        limit: String::new(),
        citation: None,
        recalled: false,
        span: subject.span,
        text: String::new(),
        remedy: None,
        replaced_by: None,
    }
}

/// How a limit is said: "at least 75 mm", "no flatter than 1 in 80".
pub fn limit_words<T: LimitValue>(limit: &Limit<T>) -> String {
    limit.words()
}

/// Holds a measure against what the rulebook answers. `miss` says by how much it misses, in words.
pub fn hold<T: LimitValue>(
    subject: &Subject<'_>,
    measure: &Measure<T::Measured>,
    answer: &Answer<T>,
    miss: impl Fn(&T, &T::Measured) -> (String, String),
) -> Finding
where
    T::Measured: Sized + Clone,
{
    let mut out = finding(subject, Verdict::NotApplicable);
    out.citation = answer.citation().cloned();
    if let Measure::Is { words, .. } = measure {
        out.measured = words.clone();
    }
    match answer {
        Answer::Silent => {}
        Answer::NotPermitted(_) => {
            out.verdict = Verdict::NotMet;
            out.limit = "not permitted".to_owned();
            out.text = "the guidance does not allow it, whatever the figure".to_owned();
        }
        Answer::NeedsApproval(_) => {
            unsettled(&mut out, subject, "the body\u{2019}s approval, which the guidance leaves to it".to_owned());
        }
        Answer::AdopterFills(_) => {
            unsettled(&mut out, subject, "the figure, which whoever adopts the rulebook fills in".to_owned());
        }
        Answer::Unknown(facts) => {
            let asks: Vec<&str> = facts.iter().map(|f| f.asks()).collect();
            unsettled(&mut out, subject, crate::base::text::list(&asks, "and"));
        }
        Answer::Is(limit) => against(&mut out, subject, measure, limit, miss),
    }
    out
}

/// Holds words against a list of which one has to stand in them, whatever the letters' case: `EN 13564` in
/// `to BS EN 13564-1`.
pub fn hold_named(
    subject: &Subject<'_>,
    said: &Measure<String>,
    answer: &Answer<Words>,
    miss: impl Fn(&str) -> (String, String),
) -> Finding {
    let wanted = answer.limit().map(|limit| &limit.value);
    let names = |words: &String| {
        let words = words.to_lowercase();
        wanted.is_some_and(|all| all.iter().any(|one| words.contains(&one.to_lowercase())))
    };
    let measure = match said {
        Measure::Missing(what) => Measure::Missing(what.clone()),
        Measure::Is { value, how, words, .. } => {
            let named = names(value);
            Measure::Is { value: named, low: named, high: named, how: *how, words: words.clone() }
        }
    };
    let as_yes = |limit: &Limit<Words>| Limit {
        value: true,
        compare: limit.compare,
        citation: limit.citation.clone(),
        recalled: limit.recalled,
        cell: limit.cell.clone(),
        relaxed_by: limit.relaxed_by.clone(),
        would_ease: limit.would_ease.clone(),
    };
    let held: Answer<bool> = match answer {
        Answer::Is(limit) => Answer::Is(as_yes(limit)),
        Answer::NeedsApproval(citation) => Answer::NeedsApproval(citation.clone()),
        Answer::NotPermitted(citation) => Answer::NotPermitted(citation.clone()),
        Answer::AdopterFills(citation) => Answer::AdopterFills(citation.clone()),
        Answer::Silent => Answer::Silent,
        Answer::Unknown(facts) => Answer::Unknown(facts.clone()),
    };
    let limit = answer.limit().map_or(String::new(), limit_words);
    let mut out = hold(subject, &measure, &held, |_: &bool, _| miss(&limit));
    if !out.limit.is_empty() && out.limit != "not permitted" {
        out.limit = limit;
    }
    out
}

fn against<T: LimitValue>(
    out: &mut Finding,
    subject: &Subject<'_>,
    measure: &Measure<T::Measured>,
    limit: &Limit<T>,
    miss: impl Fn(&T, &T::Measured) -> (String, String),
) where
    T::Measured: Sized + Clone,
{
    out.limit = limit_words(limit);
    out.recalled = limit.recalled;
    let (value, low, high, how) = match measure {
        Measure::Missing(what) => return unsettled(out, subject, what.clone()),
        Measure::Is { value, low, high, how, .. } => (value, low, high, *how),
    };
    let met = limit.met_by(value);
    out.inside_spread = limit.met_by(low) != met || limit.met_by(high) != met;
    if met && how == How::Believed {
        out.inside_spread = false;
        out.verdict = Verdict::NotShown;
        out.text = format!("{} would do, but it is only believed", out.measured);
        out.remedy = Some(Remedy {
            field: Some(subject.field.clone()),
            change: None,
            text: "measure it, or say who states it".to_owned(),
        });
        return;
    }
    if !met && !limit.would_ease.is_empty() {
        // A milder limit may hold: that is for the record to show.
        let asks: Vec<&str> = limit.would_ease.iter().map(|f| f.asks()).collect();
        unsettled(out, subject, crate::base::text::list(&asks, "and"));
        out.text =
            format!("{} is less than {}, which holds unless the record shows otherwise", out.measured, out.limit);
        return;
    }
    out.verdict = if met { Verdict::Met } else { Verdict::NotMet };
    if !met {
        let (text, proposed) = miss(&limit.value, value);
        out.text = text;
        if !proposed.is_empty() {
            out.remedy = Some(Remedy { field: Some(subject.field.clone()), change: None, text: proposed });
        }
    }
}

/// Makes a finding *not shown*, with what would settle it.
pub fn unsettled(out: &mut Finding, subject: &Subject<'_>, settled_by: String) {
    out.verdict = Verdict::NotShown;
    out.text = format!("the record does not show {settled_by}");
    out.remedy = Some(Remedy { field: Some(subject.field.clone()), change: None, text: settled_by });
}

/// The governing one of several sub-checks on one item: what is not met before what is not shown before what is met;
/// among equals one that turns inside its spread, then the first. "n of m" is added to what is found when there are more.
pub fn governing(all: Vec<Finding>) -> Option<Finding> {
    let spoken: Vec<Finding> = all.into_iter().filter(|f| f.verdict != Verdict::NotApplicable).collect();
    let total = spoken.len();
    let met = spoken.iter().filter(|f| f.verdict == Verdict::Met).count();
    let recalled = spoken.iter().any(|f| f.recalled);
    let mut worst = spoken.into_iter().min_by_key(|f| (f.verdict, !f.inside_spread))?;
    worst.recalled |= recalled && worst.verdict == Verdict::Met;
    if total > 1 && met < total {
        worst.text = format!("{} ({met} of {total} checks here met)", worst.text);
    }
    Some(worst)
}

/// A citation's clause for a rule that judges by looking.
pub fn cite(out: &mut Finding, citation: Option<&Citation>) {
    out.citation = citation.cloned();
    out.recalled = citation.is_some_and(Citation::recalled);
}
