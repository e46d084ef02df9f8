//! What each test lost, from its readings alone, and for which pipes it still speaks.
//!
//! [`coverage`]: between which plugs. [`cover`]: before or after it was covered. [`wetted`]: the surface over which the litres of a water test are shared out.

pub mod cover;
pub mod coverage;
pub mod wetted;

use crate::base::units::Length;
use crate::base::units::fixed;
use crate::base::water::Pressure;
use crate::compute::tightness::coverage::Bare;
use crate::compute::tightness::coverage::Covered;
use crate::compute::tightness::coverage::Reach;
use crate::compute::tightness::wetted::Missing;
use crate::compute::tightness::wetted::Wetted;
use crate::network::Network;
use crate::network::kind::Kind;
use crate::record::evidence::Test;
use crate::record::gauge::Gauge;
use crate::record::gauge::Litres;
use crate::record::gauge::clock;
use crate::record::sections::Item;
use crate::record::value::ListOf;
use crate::record::words::Mention;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::record::words::TestMethod;
use chrono::NaiveDate;
use chrono::NaiveTime;

/// What a test gave.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// What it is: its own word, or that of the test it repeats.
    pub kind: Option<TestKind>,
    /// The pipes it speaks for, by position in the record: its own, or those of the test it repeats.
    pub covers: Vec<usize>,
    /// The parts of them between its plugs.
    pub parts: Vec<Covered>,
    /// The chambers that are under test too, by position in the record.
    pub chambers: Vec<usize>,
    /// Whether the record says where it was plugged.
    pub plugged: bool,
    /// A chamber with an open channel between two lengths under test and no plug in it: no air test holds there.
    pub open_channel: Option<usize>,
    /// The method of BS EN 1610 that it names, or that of the test it repeats when that is of the same kind.
    pub method: Option<TestMethod>,
    /// First and last reading with their clock times.
    pub first: Option<(NaiveTime, Length)>,
    /// The last reading.
    pub last: Option<(NaiveTime, Length)>,
    /// What was lost between them; negative when the gauge rose.
    pub lost: Option<Length>,
    /// Minutes between them, or as recorded.
    pub minutes: Option<i64>,
    /// The same in seconds.
    pub seconds: Option<i64>,
    /// First and last reading as pressures.
    pub pressures: Option<(Pressure, Pressure)>,
    /// How far the gauge stood below its first reading at the lowest.
    pub sank: Option<Length>,
    /// The water added.
    pub added: Option<Litres>,
    /// The surface that a water test wets, or what is missing for it; `None` for other tests.
    pub wetted: Option<Result<Wetted, Missing>>,
    /// Pipes changed after it, by position, with the day: for these it is stale.
    pub stale: Vec<(usize, NaiveDate)>,
    /// The test that repeats and replaces it, by position.
    pub replaced_by: Option<usize>,
}

/// `7 min`, `1.5 min`.
pub fn in_minutes(seconds: i64) -> String {
    let decimals = u32::from(seconds % 60 != 0);
    format!("{}\u{a0}min", fixed(i128::from(seconds), 60, decimals))
}

/// What each test gave, in the order of the record.
pub fn outcomes(network: &Network<'_>) -> Vec<Outcome> {
    network.record.tests.iter().map(|item| outcome(network, item)).collect()
}

fn outcome(network: &Network<'_>, item: &Item<Test>) -> Outcome {
    let origin = origin(network, item);
    // What a repeated test does not say again is as it was.
    let own = item.body.covers.get().or_else(|| origin.and_then(|o| o.body.covers.get()));
    let plugs = item.body.plugs.get().or_else(|| origin.and_then(|o| o.body.plugs.get()));
    let plugs: Vec<&Mention> = plugs.into_iter().flat_map(ListOf::iter).collect();
    let found = |at: fn(&Network<'_>, &str) -> Option<usize>| -> Vec<usize> {
        own.into_iter().flat_map(ListOf::iter).filter_map(|m| at(network, &m.id)).collect()
    };
    let covers = found(|n, id| n.record.pipes.position(id));
    let kind = item.body.what.get().or_else(|| origin.and_then(|o| o.body.what.get())).copied();
    let same = origin.filter(|o| o.body.what.get().copied() == kind);
    let method = item.body.method.get().or_else(|| same.and_then(|o| o.body.method.get())).copied();
    let readings = readings(&item.body);
    let pair = (readings.len() > 1).then(|| readings.first().zip(readings.last())).flatten();
    let told = item.body.lasted.get().map(|l| l.seconds);
    let seconds = told.or_else(|| pair.map(|(a, b)| (b.0 - a.0).num_seconds()));
    let stale = covers.iter().filter_map(|p| changed_since(network, *p, item.body.date.get()?).map(|d| (*p, d)));
    let mut out = Outcome {
        kind,
        parts: coverage::parts(network, &covers, &plugs),
        plugged: !plugs.is_empty(),
        open_channel: coverage::open_channel(network, &covers, &plugs),
        chambers: found(|n, id| n.record.access.position(id)),
        method,
        first: readings.first().map(|(t, g)| (*t, g.value)),
        last: pair.map(|(_, b)| (b.0, b.1.value)),
        lost: pair.map(|(a, b)| a.1.value - b.1.value),
        minutes: seconds.map(|s| s / 60),
        seconds,
        pressures: pair.map(|(a, b)| (a.1.pressure, b.1.pressure)),
        sank: pair.and_then(|(a, _)| readings.iter().map(|(_, g)| a.1.value - g.value).max()),
        added: item.body.added.get().copied(),
        wetted: None,
        stale: stale.collect(),
        replaced_by: network.record.replaced_by(&item.id).and_then(|t| network.record.tests.position(&t.id)),
        covers,
    };
    if kind == Some(TestKind::DrainWater) {
        out.wetted = Some(wetted::wetted(network, item, &out));
    }
    out
}

/// The first of a chain of repeated tests.
fn origin<'r>(network: &Network<'r>, item: &'r Item<Test>) -> Option<&'r Item<Test>> {
    let mut current = item;
    for _ in 0..network.record.tests.len() {
        match current.body.again.get().and_then(|a| network.record.tests.get(&a.0)) {
            Some(earlier) if earlier.id != current.id => current = earlier,
            _ => break,
        }
    }
    (current.id != item.id).then_some(current)
}

/// The readings in the order of their clock times; of two at one time the lower first.
fn readings(test: &Test) -> Vec<(NaiveTime, Gauge)> {
    let said = test.readings.get().into_iter().flat_map(|m| &m.0);
    let mut all: Vec<(NaiveTime, Gauge)> =
        said.filter_map(|(key, field)| Some((clock(key.value.trim())?, *field.get()?))).collect();
    all.sort_by_key(|(time, gauge)| (*time, gauge.pressure));
    all
}

fn changed_since(network: &Network<'_>, pipe: usize, test: &NaiveDate) -> Option<NaiveDate> {
    network.record.pipes.at(pipe)?.body.changed.get().copied().filter(|d| d > test)
}

/// New pipes that no tightness test speaks for over their whole length, or only stale ones, with what is left of each.
pub fn untested(network: &Network<'_>, tests: &[Outcome]) -> Vec<(usize, Bare)> {
    let mut reaches: Vec<Vec<Reach>> = vec![Vec::new(); network.legs.len()];
    for outcome in tests.iter().filter(|o| o.replaced_by.is_none() && o.was_read()) {
        for part in &outcome.parts {
            let stale = outcome.stale.iter().any(|(p, _)| *p == part.pipe);
            if let Some(list) = reaches.get_mut(part.pipe).filter(|_| !stale) {
                list.push(part.reach);
            }
        }
    }
    let wants = |kind: Kind| matches!(kind, Kind::Branch | Kind::CommonBranch | Kind::Stack | Kind::Drain);
    let new = |leg: usize| {
        let stage = network.record.pipes.at(leg).map(|p| p.body.stage_now());
        matches!(stage, Some(Stage::Installed | Stage::Temporary))
    };
    let legs = network.legs.iter().zip(&reaches).enumerate();
    legs.filter(|(i, (leg, _))| wants(leg.derived.kind) && new(*i))
        .map(|(i, (leg, reaches))| (i, coverage::bare(leg.length.map(|l| l.value), reaches)))
        .filter(|(_, bare)| *bare != Bare::Nothing)
        .collect()
}

impl Outcome {
    /// Whether it is a test for tightness of which something was read.
    pub fn was_read(&self) -> bool {
        match self.kind {
            Some(TestKind::DrainAir | TestKind::AboveGroundAir) => self.lost.is_some(),
            Some(TestKind::DrainWater) => self.added.is_some(),
            _ => false,
        }
    }

    /// What it fills or presses, as a rulebook says it: pipes, chambers, or both.
    pub fn under_test(&self) -> &'static str {
        match (self.parts.is_empty(), self.chambers.is_empty()) {
            (_, true) => "pipes",
            (false, false) => "pipes and chambers",
            (true, false) => "chambers",
        }
    }

    /// The part of a pipe that it speaks for.
    pub fn reach(&self, pipe: usize) -> Option<Reach> {
        self.parts.iter().find(|p| p.pipe == pipe).map(|p| p.reach)
    }
}
