//! Whether a test was done before or after what it speaks for was covered.

use crate::compute::tightness::Outcome;
use crate::network::Network;
use crate::record::sections::Record;
use crate::record::words::Stage;
use chrono::NaiveDate;

/// When a test was done, by the closings that the record has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Done {
    /// All of it stood open, and was covered later.
    BeforeCover,
    /// All of it was covered on that day or before.
    AfterCover,
    /// A part was covered, a part was not.
    PartCovered,
    /// Nothing that is done has covered any of it.
    NotCovered,
}

impl Done {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Done::BeforeCover => "before cover",
            Done::AfterCover => "after cover",
            Done::PartCovered => "part before, part after cover",
            Done::NotCovered => "not covered yet",
        }
    }
}

/// The last day on which a closing that is done hid an item.
pub fn covered_on(record: &Record, id: &str) -> Option<NaiveDate> {
    let done = record.closings.iter().map(|c| &c.value).filter(|c| c.stage.get() != Some(&Stage::Planned));
    let hides = done.filter(|c| c.hides.get().is_some_and(|l| l.0.iter().any(|m| m.value.id == id)));
    hides.filter_map(|c| c.date.get().copied()).max()
}

/// When a test was done; `None` where its day is not said or it speaks for nothing.
pub fn done(network: &Network<'_>, outcome: &Outcome, day: Option<NaiveDate>) -> Option<Done> {
    let day = day?;
    let days: Vec<Option<NaiveDate>> =
        outcome.covers.iter().map(|pipe| covered_on(network.record, network.id(*pipe))).collect();
    if days.is_empty() {
        return None;
    }
    let after = days.iter().filter(|on| on.is_some_and(|on| on <= day)).count();
    Some(match (after, days.iter().flatten().count()) {
        (_, 0) => Done::NotCovered,
        (0, _) => Done::BeforeCover,
        (n, _) if n == days.len() => Done::AfterCover,
        _ => Done::PartCovered,
    })
}
