//! Levels by propagation: each fact comes off a queue, strongest evidence first; the first holds its slot, a second
//! that differs is kept as a misfit. Complete on forests in O(n log n); the network never judges. [`along`] holds what
//! inverts along a pipe and ties through a chamber add.

mod along;

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::height::Because;
use crate::network::height::Height;
use crate::network::height::NamedLevels;
use crate::network::height::reading_half;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::network::pieces::Point;
use crate::network::ties;
use crate::network::ties::Tie;
use crate::record::pipework::FootOf;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Station;
use crate::record::sections::Record;
use crate::record::value::Field;
use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::collections::BinaryHeap;

/// What is known of the levels of a leg.
#[derive(Clone, Copy, Debug, Default)]
pub struct Solved {
    /// Invert of the upper end.
    pub up: Option<Height<Invert>>,
    /// Invert of the lower end; of a stack, at the tail of its foot bend.
    pub down: Option<Height<Invert>>,
    /// Fall from end to end.
    pub drop: Option<Known<Length>>,
}

/// Two ways of reckoning that do not give the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Misfit {
    /// The leg, by position.
    pub leg: usize,
    /// Which value of it.
    pub slot: Slot,
    /// How far the second lies above the first.
    pub by: Length,
    /// The sum of what both may be off.
    pub half: Length,
    /// Why the first is so, where it is a height.
    pub first: Option<Because>,
    /// Why the second is so, where it is a height.
    pub second: Option<Because>,
    /// How the weaker of the two is known.
    pub how: How,
}

/// Two ways of reckoning that give the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Agreement {
    /// The leg, by position.
    pub leg: usize,
    /// Which value of it.
    pub slot: Slot,
    /// How the weaker of the two is known.
    pub how: How,
}

/// A value of a leg that can be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slot {
    /// Invert of the upper end.
    Up,
    /// Invert of the lower end.
    Down,
    /// The fall between them.
    Drop,
}

#[derive(Clone, Copy, Debug)]
enum Fact {
    Height(Height<Invert>),
    Drop(Known<Length>, u32),
}

impl Fact {
    fn how(&self) -> How {
        match self {
            Fact::Height(h) => h.how,
            Fact::Drop(d, _) => d.how,
        }
    }
    fn hops(&self) -> u32 {
        match self {
            Fact::Height(h) => h.hops,
            Fact::Drop(_, hops) => *hops,
        }
    }
}

/// What propagation gives.
#[derive(Clone, Debug, Default)]
pub struct Levels {
    /// What is known, a leg each.
    pub solved: Vec<Solved>,
    /// For each leg, the places along it at which its invert is given, with the flow.
    pub knees: Vec<Vec<Point>>,
    /// The inlets of chambers that are tied to the outlet.
    pub ties: Vec<Tie>,
    /// Where two ways of reckoning differ.
    pub misfits: Vec<Misfit>,
    /// Where two ways of reckoning that do not rest on one another give the same.
    pub agreements: Vec<Agreement>,
    /// How many facts were taken off the queue: growth is tested by counting.
    pub steps: usize,
}

/// A fact in the queue: how it is known, steps of reckoning, leg, slot, and its position in the list of facts.
type Queued = Reverse<(How, u32, usize, Slot, usize)>;

struct Queue<'a> {
    legs: &'a [Leg],
    joined: Vec<Vec<usize>>,
    /// For each leg, the ties that it has a part in, by position in [`Levels::ties`].
    tied: Vec<Vec<usize>>,
    heap: BinaryHeap<Queued>,
    facts: Vec<Fact>,
    out: Levels,
    drop_hops: Vec<u32>,
}

/// Propagates every written level and fall through the legs.
pub fn propagate(record: &Record, legs: &[Leg], named: &NamedLevels) -> Levels {
    let mut joined = vec![Vec::new(); legs.len()];
    for (i, leg) in legs.iter().enumerate() {
        if let Some(list) = leg.join.and_then(|join| joined.get_mut(join.receiver)) {
            list.push(i);
        }
    }
    let ties = ties::find(record, legs);
    let mut tied = vec![Vec::new(); legs.len()];
    for (t, tie) in ties.iter().enumerate() {
        for leg in [tie.inlet, tie.outlet] {
            if let Some(list) = tied.get_mut(leg) {
                list.push(t);
            }
        }
    }
    let knees = vec![Vec::new(); legs.len()];
    let out = Levels { solved: vec![Solved::default(); legs.len()], knees, ties, ..Levels::default() };
    let drop_hops = vec![0; legs.len()];
    let mut queue = Queue { legs, joined, tied, heap: BinaryHeap::new(), facts: Vec::new(), out, drop_hops };
    written(record, named, &mut queue);
    along::written(record, named, &mut queue);
    while let Some(Reverse((_, _, leg, slot, fact))) = queue.heap.pop() {
        queue.out.steps += 1;
        if let Some(fact) = queue.facts.get(fact).copied() {
            queue.settle(leg, slot, fact);
        }
    }
    let mut out = queue.out;
    let mut seen = BTreeSet::new();
    out.misfits.retain(|m| seen.insert((m.leg, m.slot, m.by)));
    out
}

fn written(record: &Record, named: &NamedLevels, queue: &mut Queue<'_>) {
    for i in 0..queue.legs.len() {
        let Some(leg) = queue.legs.get(i) else { continue };
        let Some(item) = record.pipes.at(leg.pipe) else { continue };
        let pipe = &item.body;
        let kit = record.level_spread(Some(&pipe.kit));
        let height = |field: &Field<LevelAt>| -> Option<Height<Invert>> {
            let (at, how) = (field.get()?, record.how(field));
            named.height(at, how, reading_half(record, at, how, kit), field.span)
        };
        if let Some(il) = pipe.il.get() {
            queue.push(i, Slot::Up, height(&il.up).map(Fact::Height));
            queue.push(i, Slot::Down, height(&il.down).map(Fact::Height));
        }
        if let Some(FootOf::Is(foot)) = pipe.foot.get() {
            queue.push(i, Slot::Down, height(&foot.il).map(Fact::Height));
        }
        queue.push(i, Slot::Drop, leg.drop.map(|d| Fact::Drop(d, 0)));
        if let Some(entry) = stack_entry(record, named, leg, kit) {
            queue.push(i, Slot::Down, Some(Fact::Height(entry)));
        }
    }
    chambers(record, named, queue);
}

/// The invert of a branch's lower end, from the level of its centre line on a stack.
fn stack_entry(record: &Record, named: &NamedLevels, leg: &Leg, kit: Option<Length>) -> Option<Height<Invert>> {
    leg.join.filter(|j| j.along.is_none())?;
    let field = &record.pipes.at(leg.pipe)?.body.at;
    let Some(Station::Level(at)) = field.get() else { return None };
    let how = record.how(field);
    let centre: Height<crate::base::units::CentreLine> =
        named.height(at, how, reading_half(record, at, how, kit), field.span)?;
    let below = Length::from_um(leg.bore?.um() / 2);
    Some(centre.to(-below))
}

/// The pipe that leaves a chamber starts at the chamber's recorded outgoing invert.
fn chambers(record: &Record, named: &NamedLevels, queue: &mut Queue<'_>) {
    let mut leaving: Vec<Vec<usize>> = vec![Vec::new(); record.access.len()];
    for (i, leg) in queue.legs.iter().enumerate() {
        if let End::Access(a) = leg.ends.from
            && let Some(list) = leaving.get_mut(a)
        {
            list.push(i);
        }
    }
    for (item, legs) in record.access.iter().zip(leaving) {
        let [only] = legs.as_slice() else { continue };
        let field = &item.body.il_out;
        let Some(at) = field.get() else { continue };
        let how = record.how(field);
        let kit = record.level_spread(Some(&item.body.kit));
        let height = named.height(at, how, reading_half(record, at, how, kit), field.span);
        queue.push(*only, Slot::Up, height.map(Fact::Height));
    }
}

impl Queue<'_> {
    fn push(&mut self, leg: usize, slot: Slot, fact: Option<Fact>) {
        let Some(fact) = fact else { return };
        self.heap.push(Reverse((fact.how(), fact.hops(), leg, slot, self.facts.len())));
        self.facts.push(fact);
    }

    fn solved(&self, leg: usize) -> Solved {
        self.out.solved.get(leg).copied().unwrap_or_default()
    }

    fn settle(&mut self, leg: usize, slot: Slot, fact: Fact) {
        let before = self.solved(leg);
        let Some(solved) = self.out.solved.get_mut(leg) else { return };
        match (slot, fact) {
            (Slot::Up, Fact::Height(new)) => match before.up {
                Some(old) => return self.compare(leg, slot, old, new),
                None => solved.up = Some(new),
            },
            (Slot::Down, Fact::Height(new)) => match before.down {
                Some(old) => return self.compare(leg, slot, old, new),
                None => solved.down = Some(new),
            },
            (Slot::Drop, Fact::Drop(new, hops)) => match before.drop {
                Some(old) => return self.compare_drops(leg, old, new, hops),
                None => {
                    solved.drop = Some(new);
                    if let Some(h) = self.drop_hops.get_mut(leg) {
                        *h = hops;
                    }
                }
            },
            (Slot::Up | Slot::Down, Fact::Drop(..)) | (Slot::Drop, Fact::Height(_)) => return,
        }
        self.along(leg);
        self.joins(leg, slot);
        self.through(leg, slot);
    }

    fn compare(&mut self, leg: usize, slot: Slot, old: Height<Invert>, new: Height<Invert>) {
        let Some(by) = new.above(&old) else { return };
        // Two steps of reckoning may each round by a micrometre; less than that is no difference.
        if by.value.abs().um() > 2 {
            let (first, second) = (Some(old.because), Some(new.because));
            let (by, half, how) = (by.value, by.half, by.how);
            self.out.misfits.push(Misfit { leg, slot, by, half, first, second, how });
        } else if old.because != new.because {
            self.out.agreements.push(Agreement { leg, slot, how: by.how });
        }
    }

    fn compare_drops(&mut self, leg: usize, old: Known<Length>, new: Known<Length>, hops: u32) {
        let (by, how) = (new.value - old.value, old.how.with(new.how));
        if by.abs().um() > 2 {
            let half = old.half + new.half;
            self.out.misfits.push(Misfit { leg, slot: Slot::Drop, by, half, first: None, second: None, how });
        } else if hops == 0 || self.drop_hops.get(leg) == Some(&0) {
            // Two falls that were both reckoned from the two inverts are one way, taken twice.
            self.out.agreements.push(Agreement { leg, slot: Slot::Drop, how });
        }
    }

    /// Along one leg: two of upper invert, lower invert and fall give the third.
    fn along(&mut self, leg: usize) {
        if self.legs.get(leg).is_none_or(|l| l.derived.kind == Kind::Stack) {
            return;
        }
        let s = self.solved(leg);
        match (s.up, s.down, s.drop) {
            (Some(up), Some(down), None) => {
                let hops = up.hops.max(down.hops) + 1;
                self.push(leg, Slot::Drop, up.above(&down).map(|d| Fact::Drop(d, hops)));
            }
            (Some(up), None, Some(drop)) => {
                let lower = step(up, -drop.value, drop.half, drop.how, Because::Fall(leg));
                self.push(leg, Slot::Down, Some(Fact::Height(lower)));
            }
            (None, Some(down), Some(drop)) => {
                let upper = step(down, drop.value, drop.half, drop.how, Because::Fall(leg));
                self.push(leg, Slot::Up, Some(Fact::Height(upper)));
            }
            // All three, the last one reckoned elsewhere: hold them against one another.
            (Some(up), Some(down), Some(drop)) => {
                let reckoned_here = |b: Because| b == Because::Fall(leg);
                let own = reckoned_here(up.because) || reckoned_here(down.because);
                if let (false, Some(d)) = (own, up.above(&down)) {
                    self.compare_drops(leg, drop, d, u32::MAX);
                }
            }
            _ => {}
        }
    }

    fn joins(&mut self, leg: usize, arrived: Slot) {
        if arrived == Slot::Down {
            self.join(leg);
        }
        let branches = self.joined.get(leg).cloned().unwrap_or_default();
        for branch in branches {
            self.join(branch);
        }
    }

    /// A join ties the branch's lower end to the receiver's invert at its station.
    fn join(&mut self, branch: usize) {
        let Some(join) = self.legs.get(branch).and_then(|l| l.join) else { return };
        let (own, into) = (self.solved(branch), self.solved(join.receiver));
        let because = Because::Join(branch, join.receiver);
        let Some(along) = join.along else { return self.join_stack(branch, join.receiver) };
        if let Some(there) = self.on_pieces(join.receiver, along) {
            let there = step(there, join.offset, Length::ZERO, there.how, because);
            match own.down {
                None => self.push(branch, Slot::Down, Some(Fact::Height(there))),
                Some(down) if down.because != because => self.compare(branch, Slot::Down, down, there),
                Some(_) => {}
            }
            return;
        }
        let fall = self.fall_to(join.receiver, along);
        match (own.down, into.up, fall) {
            (None, Some(up), Some(fall)) => {
                let there = step(up, join.offset - fall.value, fall.half, fall.how, because);
                self.push(branch, Slot::Down, Some(Fact::Height(there)));
            }
            (Some(down), None, Some(fall)) => {
                let upper = step(down, fall.value - join.offset, fall.half, fall.how, because);
                self.push(join.receiver, Slot::Up, Some(Fact::Height(upper)));
            }
            (Some(down), Some(up), Some(fall)) => {
                let there = step(up, join.offset - fall.value, fall.half, fall.how, because);
                if down.because != because && up.because != because {
                    self.compare(branch, Slot::Down, down, there);
                }
            }
            _ => {}
        }
    }

    /// On a stack a height above the foot ties the branch to the foot's invert.
    fn join_stack(&mut self, branch: usize, stack: usize) {
        let foot = self.solved(stack).down;
        let own = self.solved(branch).down;
        let Some(leg) = self.legs.get(branch) else { return };
        let Some(height) = leg.above_foot else { return };
        let Some(below) = leg.bore.map(|b| Length::from_um(b.um() / 2)) else { return };
        if let (Some(foot), None) = (foot, own) {
            let because = Because::Foot(stack);
            let there = step(foot, height.value - below, height.half, height.how, because);
            self.push(branch, Slot::Down, Some(Fact::Height(there)));
        }
    }
}

fn step(from: Height<Invert>, by: Length, half: Length, how: How, because: Because) -> Height<Invert> {
    Height {
        level: from.level + by,
        half: from.half + half,
        how: from.how.with(how),
        because,
        hops: from.hops + 1,
        ..from
    }
}
