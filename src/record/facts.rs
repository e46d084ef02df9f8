//! Plain questions of a record, answered the same way everywhere.

use crate::base::known::How;
use crate::base::units::Length;
use crate::record::evidence::Test;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::quantity::Spread;
use crate::record::sections::Item;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::ApplianceKind;
use crate::record::words::KnownWord;
use crate::record::words::Ref;
use crate::record::words::Stage;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// The letters with which an id says what an appliance is.
const LETTERS: [(&str, ApplianceKind); 12] = [
    ("WC", ApplianceKind::Wc),
    ("WB", ApplianceKind::Basin),
    ("WHB", ApplianceKind::Basin),
    ("BD", ApplianceKind::Bidet),
    ("BTH", ApplianceKind::Bath),
    ("SHR", ApplianceKind::Shower),
    ("SK", ApplianceKind::Sink),
    ("WM", ApplianceKind::WashingMachine),
    ("DW", ApplianceKind::Dishwasher),
    ("FW", ApplianceKind::FoodWaste),
    ("UR", ApplianceKind::Urinal),
    ("SNK", ApplianceKind::Sink),
];

/// What an appliance is: as said, else by the letters of its id; `None` when neither tells.
pub fn kind_of(item: &Item<Appliance>) -> Option<ApplianceKind> {
    if let Some(kind) = item.body.what.get() {
        return Some(*kind);
    }
    let letters: String = item.id.chars().take_while(char::is_ascii_alphabetic).collect();
    LETTERS.iter().find(|(l, _)| l.eq_ignore_ascii_case(&letters)).map(|(_, kind)| *kind)
}

/// Where an item stands in the work: as said, else installed.
pub fn stage_of(stage: &Field<Stage>) -> Stage {
    stage.get().copied().unwrap_or(Stage::Installed)
}

/// What is asked of a record for many items in turn, gathered once when it is read.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::record) struct Index {
    closings: BTreeMap<String, Vec<Closed>>,
    repeats: BTreeMap<String, String>,
}

/// One closing of one item or part.
#[derive(Clone, Debug, PartialEq)]
struct Closed {
    part: Option<String>,
    date: NaiveDate,
    position: usize,
}

impl Index {
    /// Gathers closings by what they hide, and tests by the test that they repeat; the first repeat of two counts.
    pub(in crate::record) fn of(record: &Record) -> Self {
        let mut index = Self::default();
        for (position, closing) in record.closings.iter().enumerate() {
            let (Some(date), Some(hides)) = (closing.value.date.get(), closing.value.hides.get()) else { continue };
            for mention in hides.iter() {
                let closed = Closed { part: mention.part.clone(), date: *date, position };
                index.closings.entry(mention.id.clone()).or_default().push(closed);
            }
        }
        for test in &record.tests {
            if let Some(again) = test.body.again.get().filter(|again| again.0 != test.id) {
                index.repeats.entry(again.0.clone()).or_insert_with(|| test.id.clone());
            }
        }
        index
    }
}

impl Pipe {
    /// Where it stands in the work.
    pub fn stage_now(&self) -> Stage {
        stage_of(&self.stage)
    }
}

impl Record {
    /// How a field's value is known: as its own word says, else as is usual, else stated.
    pub fn how<T>(&self, field: &Field<T>) -> How {
        field.how.unwrap_or_else(|| match self.usual.known.get() {
            Some(KnownWord::Measured) => How::Measured,
            Some(KnownWord::FromDrawing) => How::FromDrawing,
            Some(KnownWord::Maker) => How::Maker,
            Some(KnownWord::Believed) => How::Believed,
            Some(KnownWord::Stated) | None => How::Stated,
        })
    }

    /// The spread of a level read with an item's instrument, else with the usual one; `None` when neither says.
    pub fn level_spread(&self, kit: Option<&Field<Ref>>) -> Option<Length> {
        self.spread(kit).map(|s| s.value)
    }

    /// The spread of an item's instrument, else of the usual one; `None` when neither says.
    pub fn spread(&self, kit: Option<&Field<Ref>>) -> Option<Spread> {
        let id = kit.and_then(Field::get).or_else(|| self.usual.kit.get())?;
        self.kit.get(&id.0)?.body.spread.get().copied()
    }

    /// The day on which an item, or the part of it that is named, is or will be hidden, with the closing's position in
    /// the record. The first closing counts.
    pub fn closed(&self, id: &str, part: Option<&str>) -> Option<(NaiveDate, usize)> {
        let fits = |c: &&Closed| c.part.is_none() || part.is_none() || c.part.as_deref() == part;
        let closings = self.index.closings.get(id)?;
        closings.iter().filter(fits).map(|c| (c.date, c.position)).min()
    }

    /// The day on which an item of this work was fitted, or last changed; `None` when it was there before, was taken out,
    /// or the record does not say.
    pub fn fitted_on(&self, id: &str) -> Option<NaiveDate> {
        let last = |stage: &Field<Stage>, days: &[&Field<NaiveDate>]| {
            let ours = !matches!(stage.get(), Some(Stage::Existing | Stage::Removed));
            days.iter().filter_map(|day| day.get().copied()).max().filter(|_| ours)
        };
        if let Some(item) = self.pipes.get(id) {
            return last(&item.body.stage, &[&item.body.fitted, &item.body.changed]);
        }
        if let Some(item) = self.access.get(id) {
            return last(&item.body.stage, &[&item.body.fitted, &item.body.changed]);
        }
        if let Some(item) = self.penetrations.get(id) {
            return last(&item.body.stage, &[&item.body.fitted]);
        }
        if let Some(item) = self.appliances.get(id) {
            return last(&item.body.stage, &[&item.body.fitted]);
        }
        if let Some(item) = self.valves.get(id) {
            return last(&item.body.stage, &[&item.body.fitted]);
        }
        if let Some(item) = self.pumps.get(id) {
            return last(&item.body.stage, &[&item.body.fitted]);
        }
        self.terminals.get(id).and_then(|item| last(&item.body.stage, &[&item.body.fitted]))
    }

    /// The test that repeats and replaces another, the last one when there are several in turn.
    pub fn replaced_by(&self, id: &str) -> Option<&Item<Test>> {
        let mut current = id;
        let mut found = None;
        // Each step moves to another test, so there are never more steps than tests.
        for _ in 0..self.tests.len() {
            let Some(next) = self.index.repeats.get(current) else { break };
            current = next;
            found = self.tests.get(next);
        }
        found
    }

    /// The newest day that anything in the record happened or will happen on; never a planned visit.
    pub fn newest_date(&self) -> Option<NaiveDate> {
        let mut newest: Option<NaiveDate> = None;
        let mut see = |field: &Field<NaiveDate>| newest = newest.max(field.get().copied());
        for p in &self.pipes {
            see(&p.body.fitted);
            see(&p.body.changed);
        }
        for a in &self.access {
            see(&a.body.fitted);
            see(&a.body.changed);
        }
        for t in &self.tests {
            see(&t.body.date);
        }
        for p in &self.penetrations {
            see(&p.body.fitted);
        }
        for t in &self.terminals {
            see(&t.body.fitted);
        }
        for v in &self.valves {
            see(&v.body.fitted);
        }
        for p in &self.pumps {
            see(&p.body.fitted);
        }
        for t in &self.temporary {
            see(&t.body.since);
        }
        for n in &self.nearby {
            see(&n.body.date);
        }
        for v in &self.visits {
            see(&v.value.told);
            see(&v.value.came);
        }
        for c in &self.closings {
            if c.value.stage.get() != Some(&Stage::Planned) {
                see(&c.value.date);
            }
        }
        newest
    }
}
