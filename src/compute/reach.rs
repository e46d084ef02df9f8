//! How far rods come into each drain: a walk from every access point, pipe by pipe, with what is left of the rods.
//!
//! Rods go down from an eye, and both ways from a fitting or chamber. Going down a branch they run into the main and on
//! with the flow; going up the main they pass every branch by. They stop where the bend at a stack's foot, a backdrop, a
//! gully or a narrower pipe stands in the way, and at the next access point, from where others go on.

use crate::base::known::How;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::ends::Ends;
use crate::network::kind::Kind;
use crate::record::words::AccessKind;
use crate::record::words::Entry;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// Which way rods go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// With the flow.
    Down,
    /// Against it.
    Up,
}

/// A part of a leg that rods come into from one access point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// The access point, by position in the record.
    pub access: usize,
    /// Which way the rods go.
    pub way: Way,
    /// Where it begins, from the leg's upper end.
    pub from: Length,
    /// Where it ends; `None` when the length of the leg is not known.
    pub to: Option<Length>,
    /// Whether the access point is still to come.
    pub planned: bool,
    /// How the way there is known.
    pub how: How,
}

impl Reached {
    /// How much of the leg it is; `None` when the length of that is not known.
    pub fn length(&self) -> Option<Length> {
        self.to.map(|to| to - self.from)
    }
}

/// How lengths are taken within their spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lean {
    /// Each as short as it may be.
    Short,
    /// As recorded.
    Plain,
    /// Each as long as it may be.
    Long,
}

/// For each leg, the parts of it that rods come into that are as long as the rulebook takes them to be, lengths as
/// recorded; nothing where it leaves that open.
pub fn by_rods(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Vec<Reached>> {
    match rulebook.ask(key::ACCESS_ROD_LENGTH_MAXIMUM, &Facts::new()).limit() {
        Some(limit) => find(network, limit.value, Lean::Plain),
        None => vec![Vec::new(); network.legs.len()],
    }
}

/// For each leg, the parts of it that rods of a length come into.
pub fn find(network: &Network<'_>, rods: Length, lean: Lean) -> Vec<Vec<Reached>> {
    let mut walk = Walk { network, lean, out: vec![Vec::new(); network.legs.len()] };
    let (leaving, arriving) = (at_access(network, |ends| ends.from), at_access(network, |ends| ends.to));
    for (a, item) in network.record.access.iter().enumerate() {
        let stage = item.body.stage.get().copied().unwrap_or(Stage::Installed);
        let Some(kind) = item.body.what.get().filter(|_| !item.broken && stage != Stage::Removed) else { continue };
        if *kind == AccessKind::Gully {
            continue;
        }
        let planned = stage == Stage::Planned;
        let start = Rods { access: a, left: rods, planned, how: network.record.how(&item.body.what) };
        for leg in leaving.get(a).into_iter().flatten() {
            walk.down(*leg, Length::ZERO, start);
        }
        if *kind != AccessKind::RoddingEye {
            for leg in arriving.get(a).into_iter().flatten() {
                walk.up(*leg, start);
            }
        }
    }
    walk.out
}

/// For each access point, the legs of which one end is there.
fn at_access(network: &Network<'_>, end: impl Fn(&Ends) -> End) -> Vec<Vec<usize>> {
    let mut out = vec![Vec::new(); network.record.access.len()];
    for (i, leg) in network.legs.iter().enumerate() {
        if let End::Access(a) = end(&leg.ends)
            && let Some(list) = out.get_mut(a)
        {
            list.push(i);
        }
    }
    out
}

#[derive(Clone, Copy)]
struct Rods {
    access: usize,
    left: Length,
    planned: bool,
    how: How,
}

struct Walk<'a, 'r> {
    network: &'a Network<'r>,
    lean: Lean,
    out: Vec<Vec<Reached>>,
}

impl Walk<'_, '_> {
    fn length(&self, leg: usize) -> Option<Length> {
        let known = self.network.legs.get(leg)?.length?;
        Some(match self.lean {
            Lean::Short => known.value - known.half,
            Lean::Plain => known.value,
            Lean::Long => known.value + known.half,
        })
    }

    /// Whether rods may come into a leg at all: it is a drain that is there.
    fn open(&self, leg: usize) -> bool {
        let network = self.network;
        let drain = network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Drain);
        drain && network.record.pipes.at(leg).is_some_and(|p| !p.broken && p.body.stage_now() != Stage::Removed)
    }

    fn backdrop(&self, leg: usize) -> bool {
        self.network.record.pipes.at(leg).is_some_and(|p| p.body.entry.get() == Some(&Entry::Backdrop))
    }

    fn narrower(&self, leg: usize, than: usize) -> bool {
        let size = |l: usize| self.network.legs.get(l).and_then(|l| l.nominal);
        size(leg).zip(size(than)).is_none_or(|(a, b)| a < b)
    }

    fn known(&self, leg: usize, rods: Rods) -> Rods {
        let how = self.network.legs.get(leg).and_then(|l| l.length).map_or(How::Computed, |l| l.how);
        Rods { how: rods.how.with(how), ..rods }
    }

    fn note(&mut self, leg: usize, rods: Rods, way: Way, from: Length, to: Option<Length>) {
        if let Some(list) = self.out.get_mut(leg) {
            list.push(Reached { access: rods.access, way, from, to, planned: rods.planned, how: rods.how });
        }
    }

    /// Down from a place on a leg; each leg on the way is met once, for rods that run out end the walk and so does a
    /// leg without a length.
    fn down(&mut self, first: usize, start: Length, rods: Rods) {
        let (mut leg, mut start, mut rods) = (first, start, rods);
        for _ in 0..=self.network.legs.len() {
            if !self.open(leg) {
                return;
            }
            rods = self.known(leg, rods);
            let Some(length) = self.length(leg) else { return self.note(leg, rods, Way::Down, start, None) };
            let to = length.min(start + rods.left);
            self.note(leg, rods, Way::Down, start, Some(to));
            rods.left = rods.left - (length - start);
            let Some(End::Pipe(next)) = self.network.legs.get(leg).map(|l| l.ends.to) else { return };
            if rods.left <= Length::ZERO || self.backdrop(leg) || self.narrower(next, leg) {
                return;
            }
            let end_to_end = self.network.legs.get(next).is_some_and(|n| n.ends.from == End::Pipe(leg));
            let along = self.network.legs.get(leg).and_then(|l| l.join).and_then(|j| j.along).map(|k| k.value);
            let Some(along) = (if end_to_end { Some(Length::ZERO) } else { along }) else { return };
            (leg, start) = (next, along);
        }
    }

    /// Up from the lower end of a leg.
    fn up(&mut self, first: usize, rods: Rods) {
        let (mut leg, mut rods) = (first, rods);
        if self.backdrop(leg) {
            return;
        }
        for _ in 0..=self.network.legs.len() {
            if !self.open(leg) {
                return;
            }
            rods = self.known(leg, rods);
            let Some(length) = self.length(leg) else { return self.note(leg, rods, Way::Up, Length::ZERO, None) };
            self.note(leg, rods, Way::Up, (length - rods.left).max(Length::ZERO), Some(length));
            rods.left = rods.left - length;
            let Some(End::Pipe(above)) = self.network.legs.get(leg).map(|l| l.ends.from) else { return };
            let straight = self.network.legs.get(above).is_some_and(|l| l.ends.to == End::Pipe(leg));
            if rods.left <= Length::ZERO || !straight || self.backdrop(above) || self.narrower(above, leg) {
                return;
            }
            leg = above;
        }
    }
}

/// What no part covers of a length, in all.
pub fn left_over(parts: &[Reached], length: Length) -> Length {
    let mut spans: Vec<(Length, Length)> = parts.iter().filter_map(|p| p.to.map(|to| (p.from, to))).collect();
    spans.sort_unstable();
    let (mut at, mut bare) = (Length::ZERO, Length::ZERO);
    for (from, to) in spans {
        if from > at {
            bare = bare + (from - at);
        }
        at = at.max(to);
    }
    if length > at { bare + (length - at) } else { bare }
}
