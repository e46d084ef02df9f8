//! What ventilates each drain: an open ventilating pipe at its head, or a ventilated drain not far below.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::order::downstream_first;
use crate::compute::spacing::sum;
use crate::compute::terminals::End as Top;
use crate::compute::terminals::what_ends;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::PipeKind;
use crate::record::words::Stage;
use std::collections::BTreeSet;

/// What stands at the head of a drain, or at the best of the heads above it; the better first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Air {
    /// An open ventilating pipe.
    Vent {
        /// The stack, by its leg.
        stack: usize,
        /// The terminal, by position in the record.
        terminal: usize,
        /// Whether the vent or its terminal is still to come.
        planned: bool,
        /// How it is known.
        how: How,
    },
    /// A stack of which the record does not say what stands on top, or only something temporary.
    Open {
        /// The stack, by its leg.
        stack: usize,
    },
    /// A drain that starts at something unknown.
    Unknown {
        /// That drain, by its leg.
        drain: usize,
    },
    /// A stack that ends in a valve, a plug or nothing that lets air out.
    Shut {
        /// The stack, by its leg.
        stack: usize,
        /// The terminal that shuts it, by position in the record; `None` where nothing stands on top.
        terminal: Option<usize>,
        /// Whether that is still to come.
        planned: bool,
        /// How it is known.
        how: How,
    },
    /// No stack at all.
    None,
}

impl Air {
    fn rank(self) -> u8 {
        match self {
            Air::Vent { how, planned, .. } => u8::from(planned) + 2 * u8::from(how == How::Believed),
            Air::Open { .. } => 4,
            Air::Unknown { .. } => 5,
            Air::Shut { .. } => 6,
            Air::None => 7,
        }
    }

    /// The better of two.
    #[must_use]
    pub fn better(self, other: Air) -> Air {
        if other.rank() < self.rank() { other } else { self }
    }
}

/// The way from the head of a drain to where the air comes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToAir {
    /// Its length; `None` when a part of it is not recorded.
    pub length: Option<Known<Length>>,
    /// The leg of which the length, or the place of its join, is missing.
    pub missing: Option<usize>,
    /// How many appliances drain that way.
    pub appliances: u32,
    /// The ventilated drain that it comes to, or that comes to it.
    pub drain: usize,
    /// The vent on that drain.
    pub air: Air,
}

/// What ventilates a drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// What stands at its head.
    pub air: Air,
    /// The best that a drain brings in along the way.
    pub along: Air,
    /// The way to the nearest ventilated drain below, for one without a vent at its head.
    pub below: Option<ToAir>,
}

/// For each leg, what ventilates it; `None` for legs that are no drains.
pub fn find(network: &Network<'_>) -> Vec<Option<Head>> {
    let order = downstream_first(network);
    let found = gather(network, &order);
    let ways = ways(network, &order, &found);
    let drain = |i: usize| network.legs.get(i).is_some_and(|l| l.derived.kind == Kind::Drain);
    let along = |i: usize| found.along.get(i).map_or(Air::None, |a| a.0);
    (0..network.legs.len())
        .map(|i| {
            let head = || Head { air: found.at_head(i), along: along(i), below: ways.get(i).copied().flatten() };
            drain(i).then(head)
        })
        .collect()
}

/// For each leg, what stands on top of it; `None` for legs that are no stacks.
pub fn tops(network: &Network<'_>) -> Vec<Option<Air>> {
    let tops = Tops::of(network);
    (0..network.legs.len()).map(|leg| tops.is_stack(leg).then(|| tops.air(leg))).collect()
}

/// What comes down to each leg.
struct Found {
    /// The best air at its upper end.
    head: Vec<Air>,
    /// The best air that a drain brings in along the way, and that drain.
    along: Vec<(Air, Option<usize>)>,
    /// How many appliances drain through it.
    appliances: Vec<u32>,
}

impl Found {
    fn at_head(&self, leg: usize) -> Air {
        self.head.get(leg).copied().unwrap_or(Air::None)
    }

    fn offer(&mut self, leg: usize, air: Air) {
        if let Some(slot) = self.head.get_mut(leg) {
            *slot = slot.better(air);
        }
    }

    fn offer_along(&mut self, leg: usize, air: Air, by: usize) {
        if let Some(slot) = self.along.get_mut(leg).filter(|slot| air.rank() < slot.0.rank()) {
            *slot = (air, Some(by));
        }
    }

    fn carries(&mut self, leg: usize, more: u32) {
        if let Some(slot) = self.appliances.get_mut(leg) {
            *slot = slot.saturating_add(more);
        }
    }
}

/// One walk with the flow: every leg hands on the air above it and the appliances it carries.
fn gather(network: &Network<'_>, order: &[usize]) -> Found {
    let count = network.legs.len();
    let mut found =
        Found { head: vec![Air::None; count], along: vec![(Air::None, None); count], appliances: vec![0; count] };
    let tops = Tops::of(network);
    for (i, leg) in network.legs.iter().enumerate() {
        match leg.ends.from {
            End::Unknown | End::Absent => found.offer(i, Air::Unknown { drain: i }),
            End::Pipe(s) if tops.is_stack(s) => found.offer(i, tops.air(s)),
            End::Appliance(_) if !removed(network, i) => found.carries(i, 1),
            _ => {}
        }
    }
    for i in order.iter().rev().copied() {
        let Some(leg) = network.legs.get(i).filter(|_| !removed(network, i)) else { continue };
        let Some(next) = network.downstream(i).filter(|n| *n != i) else { continue };
        found.carries(next, found.appliances.get(i).copied().unwrap_or(0));
        match leg.derived.kind {
            Kind::Stack => found.offer(next, tops.air(i)),
            Kind::Drain => {
                let along = found.along.get(i).map_or(Air::None, |a| a.0);
                let air = found.at_head(i).better(along);
                // A drain that joins another on its way does not ventilate what lies above the join.
                let end_to_end = network.legs.get(next).is_some_and(|n| n.ends.from == End::Pipe(i));
                if leg.ends.to == End::Pipe(next) && !end_to_end {
                    found.offer_along(next, air, i);
                } else {
                    found.offer(next, air);
                }
            }
            Kind::Branch | Kind::CommonBranch | Kind::Vent => {}
        }
    }
    found
}

fn removed(network: &Network<'_>, leg: usize) -> bool {
    network.record.pipes.at(leg).is_some_and(|p| p.body.stage_now() == Stage::Removed)
}

/// For each drain without a vent at its head, the way from there to a ventilated drain.
fn ways(network: &Network<'_>, order: &[usize], found: &Found) -> Vec<Option<ToAir>> {
    let mut ways: Vec<Option<ToAir>> = vec![None; network.legs.len()];
    for i in order.iter().copied() {
        let Some(leg) = network.legs.get(i).filter(|l| l.derived.kind == Kind::Drain) else { continue };
        let way = by_side(network, i, found).or_else(|| {
            let next = network.downstream(i)?;
            network.legs.get(next).filter(|n| n.derived.kind == Kind::Drain)?;
            let appliances = found.appliances.get(i).copied().unwrap_or(0);
            if let air @ Air::Vent { .. } = found.at_head(next) {
                let missing = leg.length.is_none().then_some(i);
                return Some(ToAir { length: leg.length, missing, appliances, drain: next, air });
            }
            let below = ways.get(next).copied().flatten()?;
            Some(further(network, i, next, below))
        });
        if let Some(slot) = ways.get_mut(i) {
            *slot = way;
        }
    }
    ways
}

/// A ventilated drain that joins leg `i` on its way: so far down does the air come.
fn by_side(network: &Network<'_>, i: usize, found: &Found) -> Option<ToAir> {
    let (air @ Air::Vent { .. }, Some(by)) = *found.along.get(i)? else { return None };
    let length = network.legs.get(by)?.join.and_then(|j| j.along);
    let missing = length.is_none().then_some(by);
    // Only what drains in above the join uses the part without a vent; how much that is the record does not order.
    Some(ToAir { length, missing, appliances: 1, drain: by, air })
}

/// The way of leg `i` through the next one, which has no vent at its head either.
fn further(network: &Network<'_>, i: usize, next: usize, below: ToAir) -> ToAir {
    let leg = network.legs.get(i);
    let own = leg.and_then(|l| l.length);
    let skipped = match leg.map(|l| l.ends.to) {
        Some(End::Pipe(p)) if p == next => leg.and_then(|l| l.join).and_then(|j| j.along),
        _ => Some(Known::exact(Length::ZERO, How::Computed)),
    };
    let rest = skipped.zip(below.length).map(|(s, b)| Known {
        value: (b.value - s.value).max(Length::ZERO),
        half: b.half + s.half,
        how: b.how.with(s.how),
    });
    let missing = if own.is_none() || skipped.is_none() { Some(i) } else { below.missing };
    ToAir { length: sum(own, rest), missing, ..below }
}

/// What stands on top of each stack.
struct Tops<'a, 'r> {
    network: &'a Network<'r>,
    /// For each leg, the vent that the record puts on it by the vent's own foot.
    vents: Vec<Option<usize>>,
}

impl<'a, 'r> Tops<'a, 'r> {
    fn of(network: &'a Network<'r>) -> Self {
        let mut vents = vec![None; network.legs.len()];
        for (v, leg) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Vent) {
            if let End::Pipe(s) = leg.ends.from
                && let Some(slot) = vents.get_mut(s)
            {
                slot.get_or_insert(v);
            }
        }
        Self { network, vents }
    }

    fn is_stack(&self, leg: usize) -> bool {
        self.network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Stack)
    }

    /// Goes up from a stack through its ventilating pipe to whatever ends it.
    fn air(&self, stack: usize) -> Air {
        let record = self.network.record;
        let (mut planned, mut how) = (false, How::Stated);
        let mut seen = BTreeSet::new();
        let mut at = stack;
        while seen.insert(at) {
            let Some(item) = record.pipes.at(at).filter(|p| p.body.stage_now() != Stage::Removed) else { break };
            planned |= item.body.stage_now() == Stage::Planned;
            how = worse(how, record.how(&item.body.top));
            let top = item.body.top.get();
            if let Some(terminal) = top.and_then(|t| record.terminals.position(&t.0)) {
                let Some(end) = record.terminals.at(terminal) else { break };
                planned |= end.body.stage.get() == Some(&Stage::Planned);
                how = worse(how, record.how(&end.body.what));
                return match what_ends(&end.body) {
                    Top::Vent => Air::Vent { stack, terminal, planned, how },
                    Top::Shut => Air::Shut { stack, terminal: Some(terminal), planned, how },
                    Top::Unsaid => Air::Open { stack },
                };
            }
            let above = top.and_then(|t| record.pipes.position(&t.0));
            let stands = if item.body.top.is_absent() { self.vents.get(at).copied().flatten() } else { None };
            match above.or(stands) {
                Some(next) => at = next,
                None if ends_shut(item) => return Air::Shut { stack, terminal: None, planned, how },
                None => break,
            }
        }
        Air::Open { stack }
    }
}

/// A stub stack has no vent by its name; a stack may also be said to have nothing on top.
fn ends_shut(item: &Item<Pipe>) -> bool {
    item.body.top.is_none() || (item.body.top.is_absent() && item.body.kind.get() == Some(&PipeKind::StubStack))
}

fn worse(a: How, b: How) -> How {
    if b == How::Believed { b } else { a }
}
