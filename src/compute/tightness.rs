//! What each test lost, from its readings alone, and for which pipes it still speaks.

use crate::base::units::Length;
use crate::network::Network;
use crate::network::kind::Kind;
use crate::record::evidence::Test;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use chrono::NaiveDate;
use chrono::NaiveTime;

/// What a test gave.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// What it is: its own word, or that of the test it repeats.
    pub kind: Option<TestKind>,
    /// The pipes it speaks for, by position in the record: its own, or those of the test it repeats.
    pub covers: Vec<usize>,
    /// First and last reading with their clock times.
    pub first: Option<(NaiveTime, Length)>,
    /// The last reading.
    pub last: Option<(NaiveTime, Length)>,
    /// What was lost between them; negative when the gauge rose.
    pub lost: Option<Length>,
    /// Minutes between them.
    pub minutes: Option<i64>,
    /// Pipes changed after it, by position, with the day: for these it is stale.
    pub stale: Vec<(usize, NaiveDate)>,
    /// The test that repeats and replaces it, by position.
    pub replaced_by: Option<usize>,
}

/// What each test gave, in the order of the record.
pub fn outcomes(network: &Network<'_>) -> Vec<Outcome> {
    let record = network.record;
    record
        .tests
        .iter()
        .map(|item| {
            let origin = origin(network, item);
            let covers: Vec<usize> = covers(network, &item.body)
                .or_else(|| origin.and_then(|o| covers(network, &o.body)))
                .unwrap_or_default();
            let kind = item.body.what.get().or_else(|| origin.and_then(|o| o.body.what.get())).copied();
            let (first, last) = readings(&item.body);
            let stale =
                covers.iter().filter_map(|p| changed_since(network, *p, item.body.date.get()?).map(|d| (*p, d)));
            Outcome {
                kind,
                first,
                last,
                lost: first.zip(last).map(|(a, b)| a.1 - b.1),
                minutes: first.zip(last).map(|(a, b)| (b.0 - a.0).num_minutes()),
                stale: stale.collect(),
                replaced_by: record.replaced_by(&item.id).and_then(|t| record.tests.position(&t.id)),
                covers,
            }
        })
        .collect()
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

fn covers(network: &Network<'_>, test: &Test) -> Option<Vec<usize>> {
    let list = test.covers.get()?;
    Some(list.iter().filter_map(|m| network.record.pipes.position(&m.id)).collect())
}

type Reading = Option<(NaiveTime, Length)>;

fn readings(test: &Test) -> (Reading, Reading) {
    let mut all: Vec<(NaiveTime, Length)> = test
        .readings
        .get()
        .into_iter()
        .flat_map(|m| &m.0)
        .filter_map(|(key, field)| {
            let time = NaiveTime::parse_from_str(&key.value, "%H:%M").ok()?;
            field.get().map(|m| (time, m.value))
        })
        .collect();
    all.sort_unstable();
    if all.len() < 2 { (all.first().copied(), None) } else { (all.first().copied(), all.last().copied()) }
}

fn changed_since(network: &Network<'_>, pipe: usize, test: &NaiveDate) -> Option<NaiveDate> {
    network.record.pipes.at(pipe)?.body.changed.get().copied().filter(|d| d > test)
}

/// New pipes that no tightness test speaks for, or only stale ones.
pub fn untested(network: &Network<'_>, tests: &[Outcome]) -> Vec<usize> {
    let mut tested = vec![false; network.legs.len()];
    for outcome in tests.iter().filter(|o| o.replaced_by.is_none() && is_tightness(o.kind) && o.lost.is_some()) {
        for pipe in &outcome.covers {
            let stale = outcome.stale.iter().any(|(p, _)| p == pipe);
            if let Some(slot) = tested.get_mut(*pipe).filter(|_| !stale) {
                *slot = true;
            }
        }
    }
    let wants = |kind: Kind| matches!(kind, Kind::Branch | Kind::CommonBranch | Kind::Stack | Kind::Drain);
    let new = |leg: usize| {
        let stage = network.record.pipes.at(leg).map(|p| p.body.stage_now());
        matches!(stage, Some(Stage::Installed | Stage::Temporary))
    };
    (0..network.legs.len())
        .filter(|i| {
            network.legs.get(*i).is_some_and(|l| wants(l.derived.kind)) && new(*i) && tested.get(*i) == Some(&false)
        })
        .collect()
}

fn is_tightness(kind: Option<TestKind>) -> bool {
    matches!(kind, Some(TestKind::DrainAir | TestKind::DrainWater | TestKind::AboveGroundAir))
}
