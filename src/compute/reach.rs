//! How far rods come into each pipe: a walk from every place where they can be put in, with what is left of the rods
//! and of the bends that they will take.
//!
//! Rods go down from an eye, both ways from a fitting, a chamber or a cap, and down from a trap or pan that comes off;
//! the last serves pipework above ground only. An access piece on a stack serves the drain under it through an easy
//! foot. Going down a branch they run into the main and on with the flow; going up the main they pass every branch by.
//! They stop at a backdrop or ramp, a valve, a pump, a gully, a narrower pipe, a plain tee, a stack, and at a bend that they do not take; an
//! access point does not stop them.
//!
//! Bends are counted as the trade does: rods take two bends of up to 45 degrees. An eye has the first at its own foot,
//! so that from any access point one is left for the way; two 45s under a stack take both.

pub mod bends;
pub mod doors;

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::reach::bends::Passage;
use crate::compute::reach::doors::Door;
use crate::compute::reach::doors::Opening;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::stage_of;
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

/// A part of a leg that rods come into from one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// Where they are put in.
    pub door: Door,
    /// Which way the rods go.
    pub way: Way,
    /// Where it begins, from the leg's upper end.
    pub from: Length,
    /// Where it ends; `None` when the length of the leg is not known.
    pub to: Option<Length>,
    /// The bend, by its position in the record, up to which only they come, wherever in the part it lies.
    pub bend: Option<usize>,
    /// Whether an access point on the way is still to come.
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

impl Lean {
    fn of(self, known: Known<Length>) -> Length {
        match self {
            Lean::Short => known.value - known.half,
            Lean::Plain => known.value,
            Lean::Long => known.value + known.half,
        }
    }
}

/// What rods come into.
#[derive(Clone, Debug, Default)]
pub struct Walked {
    /// For each leg, the parts of it.
    pub parts: Vec<Vec<Reached>>,
    /// How many legs were walked on the way, for those who ask how the work grows.
    pub steps: usize,
}

/// For each leg, the parts of it that rods come into that are as long as the rulebook takes them to be, lengths as
/// recorded; nothing where it leaves that open.
pub fn by_rods(network: &Network<'_>, rulebook: &Rulebook) -> Vec<Vec<Reached>> {
    match rulebook.ask(key::ACCESS_ROD_LENGTH_MAXIMUM, &Facts::new()).limit() {
        Some(limit) => find(network, limit.value, Lean::Plain).parts,
        None => vec![Vec::new(); network.legs.len()],
    }
}

/// For each leg, the parts of it that rods of a length come into.
pub fn find(network: &Network<'_>, rods: Length, lean: Lean) -> Walked {
    let at = doors::at_access(network);
    let mut walk = Walk::new(network, lean, &at.arriving, &at.leaving);
    for opening in doors::all(network, &at) {
        walk.from(&opening, rods);
    }
    walk.out
}

/// For each leg, the parts of it that rods would come into from a place that is not there, lengths as recorded: down
/// from so far along a leg, and up from it too if both ways are meant.
pub fn if_opened(network: &Network<'_>, rods: Length, leg: usize, along: Length, both: bool) -> Walked {
    let at = doors::at_access(network);
    let mut walk = Walk::new(network, Lean::Plain, &at.arriving, &at.leaving);
    let opening = Opening::at(Door::Proposed, leg, along, How::Computed);
    walk.from(&opening, rods);
    if both {
        walk.from(&Opening { way: Way::Up, ..opening }, rods);
    }
    walk.out
}

#[derive(Clone, Copy)]
struct Rods {
    door: Door,
    left: Length,
    bends: usize,
    planned: bool,
    how: How,
}

struct Walk<'a, 'r> {
    network: &'a Network<'r>,
    lean: Lean,
    arriving: &'a [Vec<usize>],
    leaving: &'a [Vec<usize>],
    /// For each leg, how far along it an anti-flooding valve stands in the way.
    valves: Vec<Option<Length>>,
    out: Walked,
}

impl<'a, 'r> Walk<'a, 'r> {
    fn new(network: &'a Network<'r>, lean: Lean, arriving: &'a [Vec<usize>], leaving: &'a [Vec<usize>]) -> Self {
        let out = Walked { parts: vec![Vec::new(); network.legs.len()], steps: 0 };
        Self { network, lean, arriving, leaving, valves: doors::valves(network), out }
    }

    fn from(&mut self, opening: &Opening, rods: Length) {
        let used = opening.used.map_or(Length::ZERO, |used| self.lean.of(used));
        let rods = Rods {
            door: opening.door,
            left: rods - used,
            bends: opening.bends,
            planned: opening.planned,
            how: opening.how,
        };
        match opening.way {
            Way::Down => self.down(opening.leg, opening.place.unwrap_or(Length::ZERO), rods),
            Way::Up => self.up(opening.leg, opening.place, rods),
        }
    }

    fn length(&self, leg: usize) -> Option<Length> {
        Some(self.lean.of(self.network.legs.get(leg)?.length?))
    }

    /// Whether rods may come into a leg at all: it lies, and is there. A trap or pan opens no drain.
    fn open(&self, leg: usize, door: Door) -> bool {
        let network = self.network;
        let Some(kind) = network.legs.get(leg).map(|l| l.derived.kind) else { return false };
        let lies = match kind {
            Kind::Drain => !matches!(door, Door::Trap(_)),
            Kind::Branch | Kind::CommonBranch => true,
            Kind::Stack | Kind::Vent => false,
        };
        lies && network.record.pipes.at(leg).is_some_and(|p| !p.broken && p.body.stage_now() != Stage::Removed)
    }

    /// Whether a pump lifts into a leg: rods do not pass it.
    fn pumped(&self, leg: usize) -> bool {
        let id = self.network.id(leg);
        self.network.record.pumps.iter().any(|pump| pump.body.on.get().is_some_and(|on| on.0 == id))
    }

    fn entry(&self, leg: usize) -> Option<Entry> {
        self.network.record.pipes.at(leg).and_then(|p| p.body.entry.get().copied())
    }

    /// Whether a leg ends in a drop that rods do not take: a backdrop, or a ramp, which has two bends.
    fn drops(&self, leg: usize) -> bool {
        matches!(self.entry(leg), Some(Entry::Backdrop | Entry::Ramp))
    }

    /// Whether rods go into the drain over its backdrop, so that it is rodded up from the chamber all the same.
    fn opens_over_drop(&self, leg: usize) -> bool {
        let backdrop = self.network.record.pipes.at(leg).and_then(|p| p.body.backdrop.get());
        self.entry(leg) == Some(Entry::Backdrop) && backdrop.is_some_and(|b| b.rodding.get().is_some())
    }

    fn narrower(&self, leg: usize, than: usize) -> bool {
        let size = |l: usize| self.network.legs.get(l).and_then(|l| l.nominal);
        size(leg).zip(size(than)).is_none_or(|(a, b)| a < b)
    }

    /// Rods on a leg: how its length is known bears on how the rest is.
    fn on(&self, leg: usize, rods: Rods) -> Rods {
        let how = self.network.legs.get(leg).and_then(|l| l.length).map_or(How::Computed, |l| l.how);
        Rods { how: rods.how.with(how), ..rods }
    }

    fn note(&mut self, leg: usize, rods: Rods, way: Way, (from, to): (Length, Option<Length>), bend: Option<usize>) {
        if let Some(list) = self.out.parts.get_mut(leg) {
            list.push(Reached { door: rods.door, way, from, to, bend, planned: rods.planned, how: rods.how });
        }
    }

    /// Down from a place on a leg. A ring ends with the rods, or when every leg has been met.
    fn down(&mut self, first: usize, start: Length, rods: Rods) {
        let (mut leg, mut start, mut rods) = (first, start, rods);
        for _ in 0..=self.network.legs.len() {
            if rods.left <= Length::ZERO || !self.open(leg, rods.door) {
                return;
            }
            self.out.steps += 1;
            rods = self.on(leg, rods);
            let Some(length) = self.length(leg) else { return self.note(leg, rods, Way::Down, (start, None), None) };
            let valve = self.valves.get(leg).copied().flatten().map(|at| at.min(length)).filter(|at| *at >= start);
            let to = valve.unwrap_or(length).min(start + rods.left).max(start);
            let passage = bends::within(self.network, leg, Way::Down, rods.bends);
            self.note(leg, rods, Way::Down, (start, Some(to)), passage.stopped());
            if valve.is_some() {
                return;
            }
            rods.left = rods.left - (length - start);
            let Passage::Through(bends) = passage else { return };
            rods.bends = bends;
            let Some(next) = self.below(leg, &mut rods) else { return };
            (leg, start) = next;
        }
    }

    /// Where rods go on below a leg: the pipe it runs into, or the one way out of its chamber.
    fn below(&self, leg: usize, rods: &mut Rods) -> Option<(usize, Length)> {
        let own = self.network.legs.get(leg)?;
        let (next, at) = match own.ends.to {
            End::Pipe(next) if self.network.legs.get(next)?.ends.from == End::Pipe(leg) => (next, Length::ZERO),
            End::Pipe(next) => {
                let turns = matches!(self.entry(leg), Some(Entry::Swept | Entry::Junction45));
                (next, own.join?.along.filter(|_| turns)?.value)
            }
            End::Access(a) => {
                self.through(a, leg, rods)?;
                match self.leaving.get(a)?.as_slice() {
                    [only] => (*only, Length::ZERO),
                    _ => return None,
                }
            }
            _ => return None,
        };
        let passes = !self.drops(leg) && !self.narrower(next, leg) && !self.pumped(next);
        passes.then_some((next, at))
    }

    /// Up from a place on a leg.
    fn up(&mut self, first: usize, start: Option<Length>, rods: Rods) {
        let (mut leg, mut start, mut rods) = (first, start, rods);
        for _ in 0..=self.network.legs.len() {
            let dropped = start.is_none() && self.drops(leg) && !self.opens_over_drop(leg);
            if rods.left <= Length::ZERO || dropped || !self.open(leg, rods.door) {
                return;
            }
            self.out.steps += 1;
            rods = self.on(leg, rods);
            let Some(length) = start.or_else(|| self.length(leg)) else {
                return self.note(leg, rods, Way::Up, (Length::ZERO, None), None);
            };
            let passage = bends::within(self.network, leg, Way::Up, rods.bends);
            let valve = self.valves.get(leg).copied().flatten().map(|at| match start {
                Some(_) => at,
                None => at.min(length),
            });
            let valve = valve.filter(|at| *at <= length);
            let from = (length - rods.left).max(valve.unwrap_or(Length::ZERO));
            if from < length {
                self.note(leg, rods, Way::Up, (from, Some(length)), passage.stopped());
            }
            if valve.is_some() {
                return;
            }
            rods.left = rods.left - length;
            let Passage::Through(bends) = passage else { return };
            rods.bends = bends;
            let Some(above) = self.above(leg, &mut rods) else { return };
            (leg, start) = (above, None);
        }
    }

    /// Where rods go on above a leg: the pipe it goes on from end to end, or what comes straight into its chamber.
    fn above(&self, leg: usize, rods: &mut Rods) -> Option<usize> {
        let above = match self.network.legs.get(leg)?.ends.from {
            End::Pipe(above) if self.network.legs.get(above)?.ends.to == End::Pipe(leg) => above,
            End::Access(a) => {
                let straight = self.straight(a)?;
                self.through(a, straight, rods)?;
                straight
            }
            _ => return None,
        };
        (!self.narrower(above, leg) && !self.pumped(leg)).then_some(above)
    }

    /// The drain that rods take up through an access point: the only one that comes in, or the one of which the record
    /// says that it runs straight through.
    fn straight(&self, access: usize) -> Option<usize> {
        let arriving = self.arriving.get(access)?;
        if let [only] = arriving.as_slice() {
            return Some(*only);
        }
        let main = self.network.record.access.at(access)?.body.main_run.get()?;
        arriving.iter().copied().find(|leg| self.network.id(*leg) == main.0)
    }

    /// Rods through an access point, with the bends that the drain which comes in has there.
    fn through(&self, access: usize, coming: usize, rods: &mut Rods) -> Option<()> {
        let item = self.network.record.access.at(access).filter(|item| !item.broken)?;
        let stage = stage_of(&item.body.stage);
        let trapped = item.body.interceptor.get().is_some_and(|said| said.yes());
        let stands = stage != Stage::Removed && !trapped;
        item.body.what.get().filter(|kind| **kind != AccessKind::Gully && stands)?;
        rods.bends = bends::at_access(self.network, coming, &item.id, rods.bends)?;
        rods.planned |= stage == Stage::Planned;
        rods.how = rods.how.with(self.network.record.how(&item.body.what));
        Some(())
    }
}

/// What no part covers of a length, piece by piece. What two parts come up to from both sides of a bend is covered
/// wherever the bend lies, if no other bend lies between.
pub fn bare(parts: &[Reached], length: Length) -> Vec<(Length, Length)> {
    let mut spans: Vec<(Length, Length)> = Vec::new();
    for part in parts {
        let Some(to) = part.to else { continue };
        let Some(stop) = part.bend else {
            spans.push((part.from, to));
            continue;
        };
        if part.way == Way::Up {
            continue;
        }
        for other in parts.iter().filter(|o| o.way == Way::Up && o.bend.is_some_and(|bend| bend <= stop)) {
            if let Some(end) = other.to {
                spans.push((part.from.max(other.from), to.min(end)));
            }
        }
    }
    complement(spans, length)
}

fn complement(mut spans: Vec<(Length, Length)>, length: Length) -> Vec<(Length, Length)> {
    spans.sort_unstable();
    let (mut at, mut bare) = (Length::ZERO, Vec::new());
    for (from, to) in spans.into_iter().filter(|(from, to)| from <= to) {
        if from > at {
            bare.push((at, from));
        }
        at = at.max(to);
    }
    if length > at {
        bare.push((at, length));
    }
    bare
}

/// What no part covers of a length, in all.
pub fn left_over(parts: &[Reached], length: Length) -> Length {
    bare(parts, length).into_iter().map(|(from, to)| to - from).sum()
}
