//! Chambers as ports: the invert that leaves, each invert that comes in with its step above that, and depths.

use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::record::words::Entry;
use crate::record::words::Stage;

/// An access point with its ports.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chamber {
    /// The first drain that leaves it.
    pub outlet: Option<usize>,
    /// The invert that leaves: as the drain that leaves has it, else as recorded for the chamber.
    pub outgoing: Option<Height<Invert>>,
    /// Drains that come in, in the order of the record.
    pub inlets: Vec<Inlet>,
}

/// A drain that comes into an access point.
#[derive(Clone, Debug, PartialEq)]
pub struct Inlet {
    /// The leg.
    pub leg: usize,
    /// Its invert there; of one that comes in by a backdrop, at the top of that.
    pub invert: Option<Height<Invert>>,
    /// How far that lies above the invert that leaves.
    pub step: Option<Known<Length>>,
    /// How far its soffit lies above that of the leg that leaves; `None` where an inside diameter is not known.
    pub soffit_step: Option<Known<Length>>,
    /// How it enters.
    pub entry: Option<Entry>,
}

impl Inlet {
    /// Whether it comes in by a backdrop.
    pub fn by_backdrop(&self) -> bool {
        self.entry == Some(Entry::Backdrop)
    }
}

/// Every access point with its ports, in the order of the record. What is not known stays so: a chamber by itself tells
/// no invert from another.
pub fn ports(network: &Network<'_>) -> Vec<Chamber> {
    let mut all: Vec<Chamber> = vec![Chamber::default(); network.record.access.len()];
    let there = |leg: &Leg| {
        let pipe = network.record.pipes.at(leg.pipe);
        leg.derived.kind == Kind::Drain && pipe.is_some_and(|p| p.body.stage_now() != Stage::Removed)
    };
    for (i, leg) in network.legs.iter().enumerate().filter(|(_, leg)| there(leg)) {
        if let End::Access(a) = leg.ends.from
            && let Some(chamber) = all.get_mut(a)
        {
            chamber.outlet.get_or_insert(i);
        }
    }
    for (item, chamber) in network.record.access.iter().zip(&mut all) {
        let leaves = chamber.outlet.and_then(|leg| network.solved(leg).up);
        chamber.outgoing = leaves.or_else(|| network.height(&item.body.il_out, Some(&item.body.kit)));
    }
    for (i, leg) in network.legs.iter().enumerate().filter(|(_, leg)| there(leg)) {
        let Some(pipe) = network.record.pipes.at(leg.pipe) else { continue };
        if let End::Access(a) = leg.ends.to
            && let Some(chamber) = all.get_mut(a)
        {
            let inlet = inlet(network, chamber, i, pipe.body.entry.get().copied());
            chamber.inlets.push(inlet);
        }
    }
    all
}

fn inlet(network: &Network<'_>, chamber: &Chamber, leg: usize, entry: Option<Entry>) -> Inlet {
    let invert = network.solved(leg).down;
    let step = invert.zip(chamber.outgoing).and_then(|(own, out)| own.above(&out));
    let bore = |leg: usize| network.legs.get(leg).and_then(|l| l.bore);
    let wider = bore(leg).zip(chamber.outlet.and_then(bore)).map(|(own, out)| own - out);
    let soffit_step = step.zip(wider).map(|(step, wider)| Known { value: step.value + wider, ..step });
    Inlet { leg, invert, step, soffit_step, entry }
}

/// Depth of each access point, in the order of the record: from its cover to the invert that leaves it, as recorded for
/// the chamber or as the drain that leaves has it. `None` when either is not known, or they have no datum in common.
pub fn depths(network: &Network<'_>, ports: &[Chamber]) -> Vec<Option<Known<Length>>> {
    network
        .record
        .access
        .iter()
        .zip(ports)
        .map(|(item, chamber)| {
            let cover: Height<Cover> = network.height(&item.body.cover, Some(&item.body.kit))?;
            let recorded: Option<Height<Invert>> = network.height(&item.body.il_out, Some(&item.body.kit));
            cover.above(&recorded.or(chamber.outgoing)?)
        })
        .collect()
}
