//! What every trigger looks at: what is new, what is covered, what was there before and is worked on.

use crate::base::finding::Finding;
use crate::compute::Computed;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::Stage;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A job with what is covered on it.
pub(super) struct Site<'a> {
    pub(super) record: &'a Record,
    pub(super) network: &'a Network<'a>,
    pub(super) computed: &'a Computed,
    pub(super) findings: &'a [Finding],
    /// What closings that are done hide, `D1`, `P1 above`, and the last day of one; `None` when it has no date.
    hidden: BTreeMap<String, Option<NaiveDate>>,
    /// Old pipes, by position, and old chambers, that new and open pipes end in or start from.
    pub(super) joined: BTreeSet<usize>,
    pub(super) joined_access: BTreeSet<usize>,
}

/// Whether something belongs to this work: it was neither there before nor taken out.
pub(super) fn ours(stage: Option<&Stage>) -> bool {
    !matches!(stage, Some(Stage::Existing | Stage::Removed))
}

/// Whether the record says that something is already made.
pub(super) fn made<T>(stage: Option<&Stage>, fitted: &Field<T>) -> bool {
    match stage {
        Some(Stage::Planned) => false,
        Some(Stage::Installed | Stage::Existing | Stage::Removed | Stage::Temporary) => true,
        None => fitted.get().is_some(),
    }
}

/// Whether free words hold one of several, whatever the letters' case.
pub(super) fn says(words: &str, any: &[&str]) -> bool {
    let words = words.to_lowercase();
    any.iter().any(|word| words.contains(word))
}

/// The same for words that stand alone: `lead` and not `leads`.
pub(super) fn says_whole(words: &str, any: &[&str]) -> bool {
    let words = words.to_lowercase();
    words.split(|c: char| !c.is_alphanumeric()).any(|word| any.contains(&word))
}

/// The ids once each, in the order they came.
pub(super) fn once<'s>(ids: impl IntoIterator<Item = &'s str>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    ids.into_iter().filter(|id| !id.is_empty() && seen.insert(*id)).map(str::to_owned).collect()
}

impl<'a> Site<'a> {
    pub(super) fn of(network: &'a Network<'a>, computed: &'a Computed, findings: &'a [Finding]) -> Self {
        let record = network.record;
        let done = record.closings.iter().filter(|c| c.value.stage.get() != Some(&Stage::Planned));
        let mut hidden: BTreeMap<String, Option<NaiveDate>> = BTreeMap::new();
        for closing in done {
            let day = closing.value.date.get().copied();
            for mention in closing.value.hides.get().into_iter().flat_map(|list| list.iter()) {
                let last = hidden.entry(mention.words()).or_default();
                *last = (*last).max(day);
            }
        }
        let (joined, joined_access) = (BTreeSet::new(), BTreeSet::new());
        let mut site = Self { record, network, computed, findings, hidden, joined, joined_access };
        site.find_joined();
        site
    }

    fn find_joined(&mut self) {
        let mut ends: Vec<End> = self.open_pipes().flat_map(|(leg, _)| [leg.ends.from, leg.ends.to]).collect();
        ends.retain(|end| match end {
            End::Pipe(p) => self.record.pipes.at(*p).is_some_and(|p| !ours(p.body.stage.get())),
            End::Access(a) => self.record.access.at(*a).is_some_and(|a| !ours(a.body.stage.get())),
            End::Appliance(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => false,
        });
        for end in ends {
            match end {
                End::Pipe(p) => self.joined.insert(p),
                End::Access(a) => self.joined_access.insert(a),
                End::Appliance(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => false,
            };
        }
    }

    /// Whether something is covered, as a whole or on both faces, and was not fitted or changed after that.
    pub(super) fn covered(&self, id: &str) -> bool {
        let fitted = self.record.fitted_on(id);
        let hidden = |what: &str| self.hidden.get(what).is_some_and(|day| *day >= fitted);
        let face = |side: &str| hidden(&format!("{id} {side}"));
        hidden(id) || face("above") && face("below")
    }

    /// Pipes of this work that are not covered.
    pub(super) fn open_pipes(&self) -> impl Iterator<Item = (&'a Leg, &'a Item<Pipe>)> + '_ {
        let network = self.network;
        let pipes = network.legs.iter().filter_map(|leg| Some((leg, network.record.pipes.at(leg.pipe)?)));
        pipes.filter(|(_, item)| !item.broken && ours(item.body.stage.get()) && !self.covered(&item.id))
    }

    /// Drains of this work that are not covered, by position of their leg.
    pub(super) fn open_drains(&self) -> impl Iterator<Item = (usize, &'a Leg, &'a Item<Pipe>)> + '_ {
        let network = self.network;
        let legs = network.legs.iter().enumerate().filter(|(_, leg)| leg.derived.kind == Kind::Drain);
        let drains = legs.filter_map(|(i, leg)| Some((i, leg, network.record.pipes.at(leg.pipe)?)));
        drains.filter(|(_, _, item)| !item.broken && ours(item.body.stage.get()) && !self.covered(&item.id))
    }

    /// Whether an old pipe is worked on: a new pipe that is open joins it, or shares a chamber with it.
    pub(super) fn worked_on(&self, leg: &Leg) -> bool {
        let shares = |end: End| matches!(end, End::Access(a) if self.joined_access.contains(&a));
        self.joined.contains(&leg.pipe) || shares(leg.ends.from) || shares(leg.ends.to)
    }

    /// Pipes that were there before, with their legs.
    pub(super) fn old_pipes(&self) -> impl Iterator<Item = (&'a Leg, &'a Item<Pipe>)> + '_ {
        let network = self.network;
        let pipes = network.legs.iter().filter_map(|leg| Some((leg, network.record.pipes.at(leg.pipe)?)));
        pipes.filter(|(_, item)| item.body.stage.get() == Some(&Stage::Existing) && !self.covered(&item.id))
    }
}
