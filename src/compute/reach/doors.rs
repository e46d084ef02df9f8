//! Where rods can be put in, and which way they go from there.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::reach::Way;
use crate::compute::reach::bends;
use crate::compute::stacks;
use crate::compute::stacks::What;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::ends::Ends;
use crate::network::kind::Kind;
use crate::network::legs::from_upper_end;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::quantity::Station;
use crate::record::words::AccessKind;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;

/// A place where rods are put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Door {
    /// An access point, by position in the record.
    Point(usize),
    /// An access piece on a pipe: the pipe, and its position among that pipe's.
    Piece(usize, usize),
    /// The trap of an appliance, or its pan, that comes off.
    Trap(usize),
    /// One that is not there, to see what it would do.
    Proposed,
}

impl Door {
    /// Its id in the record; of a trap the appliance's.
    pub fn id<'a>(&self, network: &Network<'a>) -> &'a str {
        let record = network.record;
        let id = match *self {
            Door::Point(a) => record.access.at(a).map(|x| x.id.as_str()),
            Door::Trap(a) => record.appliances.at(a).map(|x| x.id.as_str()),
            Door::Piece(pipe, n) => {
                let pieces = record.pipes.at(pipe).and_then(|p| p.body.access.get());
                pieces.and_then(|map| map.0.get(n)).map(|(key, _)| key.value.as_str())
            }
            Door::Proposed => None,
        };
        id.unwrap_or("")
    }
}

/// One way from a place where rods are put in.
#[derive(Clone, Copy, Debug)]
pub struct Opening {
    /// The place.
    pub door: Door,
    /// The leg that it leads into.
    pub leg: usize,
    /// Which way.
    pub way: Way,
    /// How far along that leg from its upper end; `None` for its lower end.
    pub place: Option<Length>,
    /// What of the rods is used before they come there.
    pub used: Option<Known<Length>>,
    /// How many bends they take from there.
    pub bends: usize,
    /// Whether it is still to come.
    pub planned: bool,
    /// How it is known.
    pub how: How,
}

impl Opening {
    /// Down from a place on a leg.
    pub fn at(door: Door, leg: usize, along: Length, how: How) -> Self {
        let (way, place, used, bends, planned) = (Way::Down, Some(along), None, bends::ON_THE_WAY, false);
        Self { door, leg, way, place, used, bends, planned, how }
    }
}

/// For each access point the legs that arrive there and those that leave it.
pub struct AtAccess {
    /// Legs of which the lower end is there.
    pub arriving: Vec<Vec<usize>>,
    /// Legs of which the upper end is there.
    pub leaving: Vec<Vec<usize>>,
}

/// Finds them for every access point, in the order of the record. What was taken out does not count.
pub fn at_access(network: &Network<'_>) -> AtAccess {
    let of = |end: fn(&Ends) -> End| {
        let mut out = vec![Vec::new(); network.record.access.len()];
        for (i, leg) in network.legs.iter().enumerate() {
            let there = network.record.pipes.at(i).is_some_and(|p| p.body.stage_now() != Stage::Removed);
            if let End::Access(a) = end(&leg.ends)
                && let Some(list) = out.get_mut(a).filter(|_| there)
            {
                list.push(i);
            }
        }
        out
    };
    AtAccess { arriving: of(|e| e.to), leaving: of(|e| e.from) }
}

/// Every way that rods can be put in: access points, access pieces, traps and pans, each in the order of the record.
pub fn all(network: &Network<'_>, at: &AtAccess) -> Vec<Opening> {
    let mut out = points(network, at);
    pieces_on_stacks(network, &mut out);
    pieces_on_pipes(network, &mut out);
    traps(network, &mut out);
    out
}

fn points(network: &Network<'_>, at: &AtAccess) -> Vec<Opening> {
    let mut out = Vec::new();
    for (a, item) in network.record.access.iter().enumerate() {
        let stage = stage_of(&item.body.stage);
        let Some(kind) = item.body.what.get().filter(|_| !item.broken && stage != Stage::Removed) else { continue };
        if *kind == AccessKind::Gully {
            continue;
        }
        let how = network.record.how(&item.body.what);
        let planned = stage == Stage::Planned;
        for leg in at.leaving.get(a).into_iter().flatten() {
            out.push(Opening { planned, ..Opening::at(Door::Point(a), *leg, Length::ZERO, how) });
        }
        for leg in at.arriving.get(a).into_iter().flatten().filter(|_| *kind != AccessKind::RoddingEye) {
            let down = Opening::at(Door::Point(a), *leg, Length::ZERO, how);
            out.push(Opening { planned, way: Way::Up, place: None, ..down });
        }
    }
    out
}

/// From an access piece on a stack rods go down through its foot, if that is easy, and have no bend left then.
fn pieces_on_stacks(network: &Network<'_>, out: &mut Vec<Opening>) {
    for entry in stacks::entries(network) {
        let What::Access(n) = entry.what else { continue };
        let Some(End::Pipe(drain)) = network.legs.get(entry.stack).map(|l| l.ends.to) else { continue };
        let Some(item) = network.record.pipes.at(entry.stack).filter(|p| !p.broken) else { continue };
        let easy = bends::foot_of(network, entry.stack).and_then(bends::easy_foot) == Some(true);
        let head = network.legs.get(drain).is_some_and(|l| l.ends.from == End::Pipe(entry.stack));
        let stage = item.body.stage_now();
        let Some(used) = entry.height.filter(|_| easy && head && stage != Stage::Removed) else { continue };
        let down = Opening::at(Door::Piece(entry.stack, n), drain, Length::ZERO, used.how);
        out.push(Opening { used: Some(used), bends: 0, planned: stage == Stage::Planned, ..down });
    }
}

/// A cap on a pipe that lies serves it both ways.
fn pieces_on_pipes(network: &Network<'_>, out: &mut Vec<Opening>) {
    for (i, item) in network.record.pipes.iter().enumerate() {
        let Some(leg) = network.legs.get(i).filter(|l| !matches!(l.derived.kind, Kind::Stack | Kind::Vent)) else {
            continue;
        };
        for (n, (_, at)) in item.body.access.get().into_iter().flat_map(|map| &map.0).enumerate() {
            let Some(Station::Along { distance, up, from }) = at.get() else { continue };
            let how = network.record.how(at);
            let known = Known { value: distance.value, half: distance.half, how };
            let Some(along) = from_upper_end(network.record, leg, known, *up, from) else { continue };
            let planned = item.body.stage_now() == Stage::Planned;
            let down = Opening { planned, ..Opening::at(Door::Piece(i, n), i, along.value, along.how) };
            out.extend([down, Opening { way: Way::Up, ..down }]);
        }
    }
}

/// A trap of which the record says how it comes out, or a WC's pan.
fn traps(network: &Network<'_>, out: &mut Vec<Opening>) {
    for (i, leg) in network.legs.iter().enumerate() {
        let End::Appliance(a) = leg.ends.from else { continue };
        let Some(item) = network.record.appliances.at(a).filter(|item| !item.broken) else { continue };
        let stage = stage_of(&item.body.stage);
        let pan = kind_of(item) == Some(ApplianceKind::Wc);
        let how = if pan { How::Computed } else { network.record.how(&item.body.trap_out) };
        if (pan || item.body.trap_out.get().is_some()) && stage != Stage::Removed {
            let planned = stage == Stage::Planned;
            out.push(Opening { planned, ..Opening::at(Door::Trap(a), i, Length::ZERO, how) });
        }
    }
}

/// For each leg, how far from its upper end an anti-flooding valve on it stands in the way of rods; beyond any length
/// where the record has it at the lower end.
pub fn valves(network: &Network<'_>) -> Vec<Option<Length>> {
    let mut out = vec![None; network.legs.len()];
    for item in network.record.valves.iter().filter(|item| !item.broken) {
        let leg = item.body.on.get().and_then(|on| network.record.pipes.position(&on.0));
        let (Some(leg), true) = (leg, stage_of(&item.body.stage) != Stage::Removed) else { continue };
        let along = match item.body.at.get() {
            Some(Station::Along { distance, up, from }) => network.legs.get(leg).and_then(|own| {
                let known = Known { value: distance.value, half: distance.half, how: How::Computed };
                from_upper_end(network.record, own, known, *up, from).map(|k| k.value)
            }),
            _ => None,
        };
        if let Some(slot) = out.get_mut(leg) {
            *slot = Some(along.unwrap_or(Length::from_um(i64::MAX / 4)));
        }
    }
    out
}
