//! What is due at which stage: the record's stages are mapped to moments, and each finding has one. [`cautions`] says
//! what can hurt.

pub mod cautions;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::record::sections::Record;

/// The moment of a stage, by its name under `stages` or by the moment's own words; without a name, of the stage the
/// record asks for; without either, the last one, so that nothing is left out.
///
/// # Errors
/// The names that would do, when the record has no such stage.
pub fn moment(record: &Record, stage: Option<&str>) -> Result<Moment, Vec<String>> {
    let asked = stage.or_else(|| record.job.stage.get().map(|t| t.0.as_str()));
    let Some(asked) = asked else { return Ok(Moment::Handover) };
    let named = record.stages.iter().find(|s| s.value.name.get().is_some_and(|n| n.0 == asked));
    if let Some(word) = named.and_then(|s| s.value.moment.get()) {
        return Ok(Moment::from_word(word.word()).unwrap_or(Moment::Handover));
    }
    Moment::from_word(asked).ok_or_else(|| {
        let own = record.stages.iter().filter_map(|s| s.value.name.get()).map(|n| n.0.clone());
        own.chain(Moment::ALL.iter().map(|m| m.word().to_owned())).collect()
    })
}

/// Whether a finding counts at a moment: a clause stands behind it, it is due by then, its item is there, and no later
/// test has replaced it.
pub fn is_due(finding: &Finding, at: Moment) -> bool {
    finding.weight == Weight::Clause && finding.due <= at && !finding.planned && finding.replaced_by.is_none()
}

/// Whether a finding is open: not met, or not shown.
pub fn is_open(finding: &Finding) -> bool {
    matches!(finding.verdict, Verdict::NotMet | Verdict::NotShown) && finding.replaced_by.is_none()
}

/// Headline counts: clauses only, advice apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Met.
    pub met: usize,
    /// Met, as planned.
    pub planned: usize,
    /// Not met.
    pub not_met: usize,
    /// Not shown.
    pub not_shown: usize,
    /// Not met or not shown, and due.
    pub due: usize,
    /// Open pieces of advice.
    pub advice: usize,
}

/// Counts findings for a moment.
pub fn counts(findings: &[Finding], at: Moment) -> Counts {
    let mut counts = Counts::default();
    for finding in findings.iter().filter(|f| f.replaced_by.is_none()) {
        if finding.weight == Weight::Advice {
            counts.advice += usize::from(is_open(finding));
            continue;
        }
        match finding.verdict {
            Verdict::Met if finding.planned => counts.planned += 1,
            Verdict::Met => counts.met += 1,
            Verdict::NotMet => counts.not_met += 1,
            Verdict::NotShown => counts.not_shown += 1,
            Verdict::NotApplicable => {}
        }
        counts.due += usize::from(is_open(finding) && is_due(finding, at));
    }
    counts
}
