//! Lengths of drain from one access point, or the start of a drain, to the next access point with the flow.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::order::downstream_first;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::words::Stage;

/// A length of drain between two places where it can be got at.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The first leg, whose id names the run.
    pub first: usize,
    /// What stands at its upper end.
    pub from: End,
    /// What stands at its lower end; [`End::Absent`] when it cannot be followed so far.
    pub to: End,
    /// Its length; `None` when a part of it is not recorded.
    pub length: Option<Known<Length>>,
    /// The leg of which the length, or the place of its join, is missing.
    pub missing: Option<usize>,
    /// Whether an item on the way could not be read: then nothing is said of the run.
    pub unreadable: bool,
}

/// The way from a leg's upper end to the next access point.
#[derive(Clone, Copy)]
struct Way {
    to: End,
    length: Option<Known<Length>>,
    missing: Option<usize>,
    unreadable: bool,
}

/// Every run that starts at an access point, a stack's foot, an appliance, or where the record does not say, in the
/// order of the record. Existing and removed drains start none.
pub fn runs(network: &Network<'_>) -> Vec<Run> {
    let ways = ways(network);
    let new = |leg: usize| {
        let stage = network.record.pipes.at(leg).map(|p| p.body.stage_now());
        !matches!(stage, Some(Stage::Existing | Stage::Removed) | None)
    };
    network
        .legs
        .iter()
        .zip(ways)
        .enumerate()
        .filter(|(i, (leg, _))| leg.derived.kind == Kind::Drain && starts(network, *i) && new(leg.pipe))
        .filter_map(|(first, (leg, way))| {
            let Way { to, length, missing, unreadable } = way?;
            Some(Run { first, from: leg.ends.from, to, length, missing, unreadable })
        })
        .collect()
}

/// Whether no other run goes on through this leg. A drain that another one runs into end to end starts none.
fn starts(network: &Network<'_>, leg: usize) -> bool {
    match network.legs.get(leg).map(|l| l.ends.from) {
        Some(End::Access(_) | End::Appliance(_) | End::Unknown | End::Absent) => true,
        Some(End::Pipe(p)) => {
            network.legs.get(p).is_some_and(|l| l.derived.kind != Kind::Drain || l.ends.to != End::Pipe(leg))
        }
        Some(End::Outfall(_) | End::Temporary) | None => false,
    }
}

/// For each leg the way from its upper end down; a ring has no end, so a way into one leads nowhere.
fn ways(network: &Network<'_>) -> Vec<Option<Way>> {
    let mut ways: Vec<Option<Way>> = vec![None; network.legs.len()];
    for i in downstream_first(network) {
        let Some(leg) = network.legs.get(i) else { continue };
        let mut way = match leg.ends.to {
            End::Pipe(next) => joined(leg.join.and_then(|j| j.along), i, ways.get(next).copied().flatten()),
            to => Way {
                to,
                length: Some(Known::exact(Length::ZERO, crate::base::known::How::Computed)),
                missing: None,
                unreadable: false,
            },
        };
        way.length = sum(leg.length, way.length);
        if leg.length.is_none() {
            way.missing = Some(i);
        }
        way.unreadable |= unreadable(network, i, leg.ends.to);
        if let Some(slot) = ways.get_mut(i) {
            *slot = Some(way);
        }
    }
    ways
}

/// What is left of a receiver's way below the place where leg `i` joins it.
fn joined(along: Option<Known<Length>>, i: usize, below: Option<Way>) -> Way {
    let Some(below) = below else { return Way { to: End::Absent, length: None, missing: None, unreadable: false } };
    let length = along.zip(below.length).map(|(a, b)| Known {
        value: b.value - a.value,
        half: b.half + a.half,
        how: b.how.with(a.how),
    });
    let missing = if along.is_none() { Some(i) } else { below.missing };
    Way { length, missing, ..below }
}

fn unreadable(network: &Network<'_>, leg: usize, to: End) -> bool {
    let record = network.record;
    let access = match to {
        End::Access(a) => record.access.at(a).is_some_and(|a| a.broken),
        _ => false,
    };
    access || record.pipes.at(leg).is_some_and(|p| p.broken)
}

/// The sum of two lengths, their spreads added.
pub fn sum(a: Option<Known<Length>>, b: Option<Known<Length>>) -> Option<Known<Length>> {
    a.zip(b).map(|(a, b)| Known { value: a.value + b.value, half: a.half + b.half, how: a.how.with(b.how) })
}
