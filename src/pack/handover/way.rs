//! The way of the water out of the house: which covers stand on it, in order, and how far they lie apart.
//!
//! A dry cover lies below the blockage and a full one above it; so the covers are told from the house outwards.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::Access;
use crate::record::quantity::Measure;
use crate::record::sections::Item;
use crate::record::value::Scalar;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use std::collections::BTreeSet;

/// One pace, as it is told to the owner.
const PACE: Length = Length::from_mm(750);

/// The main way of the water, from the house to where it leaves the job.
#[derive(Debug, Default)]
pub(crate) struct Way {
    /// Its legs, in the direction of flow.
    pub(crate) legs: Vec<usize>,
    /// The covers that one may look into, by position in the record.
    pub(crate) covers: Vec<usize>,
    /// Length along the drain to each cover, from the house or from the cover before; `None` when not recorded.
    pub(crate) reaches: Vec<Option<Known<Length>>>,
    /// The legs after the last cover.
    pub(crate) beyond: Vec<usize>,
    /// Drains that join before the first cover, at a place past which rods run.
    pub(crate) passed: Vec<usize>,
}

/// Finds the way that carries the most appliances; of equals the first in the record.
pub(crate) fn find(network: &Network<'_>) -> Way {
    let served = served(network);
    let starts = (0..network.legs.len()).filter(|i| starts_a_drain(network, *i));
    let best = starts.max_by_key(|i| (served.get(*i).map_or(0, Vec::len), std::cmp::Reverse(*i)));
    best.map_or_else(Way::default, |start| follow(network, start))
}

/// For each leg the appliances whose water runs through it, by position in the record.
pub(crate) fn served(network: &Network<'_>) -> Vec<Vec<usize>> {
    let mut served = vec![Vec::new(); network.legs.len()];
    for (a, appliance) in network.record.appliances.iter().enumerate() {
        for leg in path_of(network, a, &appliance.id) {
            if let Some(list) = served.get_mut(leg) {
                list.push(a);
            }
        }
    }
    served
}

/// The legs from an appliance, or from the one whose trap it shares, to where the water leaves the job.
pub(crate) fn path_of(network: &Network<'_>, appliance: usize, id: &str) -> Vec<usize> {
    let record = network.record;
    let from = |a: usize| network.legs.iter().position(|l| l.ends.from == End::Appliance(a));
    let shares = || {
        let into = record.appliances.get(id)?.body.into.get()?;
        from(record.appliances.position(&into.0)?)
    };
    from(appliance).or_else(shares).map_or_else(Vec::new, |first| downwards(network, first))
}

fn downwards(network: &Network<'_>, first: usize) -> Vec<usize> {
    let mut seen = BTreeSet::new();
    let mut path = Vec::new();
    let mut at = Some(first);
    while let Some(leg) = at.filter(|leg| seen.insert(*leg)) {
        path.push(leg);
        at = network.downstream(leg);
    }
    path
}

/// Whether a leg is a drain that begins at a stack or an appliance and stands in the work as it is now.
fn starts_a_drain(network: &Network<'_>, leg: usize) -> bool {
    let Some(l) = network.legs.get(leg) else { return false };
    let from_stack = match l.ends.from {
        End::Pipe(p) => network.legs.get(p).is_some_and(|s| s.derived.kind == Kind::Stack),
        End::Appliance(_) => true,
        End::Access(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => false,
    };
    from_stack && l.derived.kind == Kind::Drain && stage(network, leg) != Stage::Removed
}

pub(crate) fn stage(network: &Network<'_>, leg: usize) -> Stage {
    let pipe = network.legs.get(leg).and_then(|l| network.record.pipes.at(l.pipe));
    pipe.map_or(Stage::Installed, |p| p.body.stage_now())
}

fn follow(network: &Network<'_>, start: usize) -> Way {
    let mut way = Way { legs: downwards(network, start), ..Way::default() };
    let mut reach = Some(Known::exact(Length::ZERO, How::Computed));
    let mut entered: Option<usize> = None;
    for leg in way.legs.clone() {
        way.beyond.push(leg);
        reach = reach.zip(travelled(network, entered, leg)).map(|(a, b)| Known {
            value: a.value + b.value,
            half: a.half + b.half,
            how: a.how.with(b.how),
        });
        if way.covers.is_empty() {
            way.passed.extend(joining(network, leg, &way.legs));
        }
        entered = Some(leg);
        let Some(End::Access(a)) = network.legs.get(leg).map(|l| l.ends.to) else { continue };
        if network.record.access.at(a).is_some_and(|item| shows_water(&item.body)) {
            way.covers.push(a);
            way.reaches.push(reach);
            way.beyond.clear();
            reach = Some(Known::exact(Length::ZERO, How::Computed));
        }
    }
    way
}

/// The length that the water runs in a leg: all of it, or what lies below the join by which it came in.
fn travelled(network: &Network<'_>, from: Option<usize>, leg: usize) -> Option<Known<Length>> {
    let whole = network.legs.get(leg)?.length?;
    let join = from.and_then(|f| network.legs.get(f)).and_then(|f| f.join).filter(|j| j.receiver == leg);
    let Some(join) = join else { return Some(whole) };
    let along = join.along?;
    let value = whole.value - along.value;
    Some(Known { value, half: whole.half + along.half, how: whole.how.with(along.how) })
}

/// Drains that join a leg from the side.
fn joining(network: &Network<'_>, leg: usize, way: &[usize]) -> Vec<usize> {
    let feeding = network.feeding.get(leg).map_or(&[][..], Vec::as_slice);
    let is_drain = |i: &usize| network.legs.get(*i).is_some_and(|l| l.derived.kind == Kind::Drain);
    feeding.iter().copied().filter(|i| is_drain(i) && !way.contains(i)).collect()
}

/// Whether one can lift it from above and see whether water stands in it. In a gully water always stands, and behind
/// the cap of a rodding eye it cannot be seen before it comes out.
fn shows_water(access: &Access) -> bool {
    let is_there = !matches!(access.stage.get(), Some(Stage::Planned | Stage::Removed));
    let kind = access.what.get();
    is_there && !matches!(kind, None | Some(AccessKind::Gully | AccessKind::RoddingEye))
}

/// A plug on a stack, the lowest of them in the order of the record.
#[derive(Debug)]
pub(crate) struct Plug {
    /// Its id.
    pub(crate) id: String,
    /// The place it stands in.
    pub(crate) place: Option<String>,
    /// Its height above the floor.
    pub(crate) above_floor: Option<Measure>,
    /// How it is got at: `boxed`.
    pub(crate) reach: Option<String>,
}

/// The first plug on the stack from which the way starts.
pub(crate) fn plug(network: &Network<'_>, way: &Way) -> Option<Plug> {
    let End::Pipe(stack) = network.legs.get(*way.legs.first()?)?.ends.from else { return None };
    plugs(network, stack).into_iter().next()
}

/// Every plug on a stack.
pub(crate) fn plugs(network: &Network<'_>, stack: usize) -> Vec<Plug> {
    let record = network.record;
    let Some(item) = network.legs.get(stack).and_then(|l| record.pipes.at(l.pipe)) else { return Vec::new() };
    let reach = item.body.reach.get().map(|w| w.0.clone());
    let all = item.body.access.get().into_iter().flat_map(|m| &m.0);
    all.map(|(key, at)| {
        let level = match at.get() {
            Some(crate::record::quantity::Station::Level(level)) => Some(level),
            _ => None,
        };
        // A level counts from a floor when an appliance is said to stand on that floor.
        let floor = level.and_then(|l| {
            let stands = |a: &&Item<crate::record::pipework::Appliance>| {
                a.body.floor.get().is_some_and(|f| f.base == l.base && f.offset == Length::ZERO)
            };
            record.appliances.iter().find(stands)
        });
        let above = level.filter(|l| floor.is_some() && l.offset > Length::ZERO);
        Plug {
            id: key.value.clone(),
            place: floor.and_then(|a| a.body.place.get()).map(|p| p.0.clone()),
            above_floor: above.map(|l| Measure { value: l.offset, half: l.half, decimals: Some(1) }),
            reach: reach.clone(),
        }
    })
    .collect()
}

/// Where a cover lies: so far from something fixed.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fixed {
    /// How far.
    pub(crate) distance: Length,
    /// As the record writes it: `1.9 m`.
    pub(crate) written: String,
    /// `out from`, `in from`.
    pub(crate) direction: String,
    /// `yard-door jamb`.
    pub(crate) thing: String,
    /// Whether the record only believes it.
    pub(crate) believed: bool,
}

/// Reads `1.9 m out from yard-door jamb`; `None` when it does not begin with a length.
pub(crate) fn fixed(words: &str) -> Option<Fixed> {
    let (believed, words) = words.strip_prefix("about ").map_or((false, words), |rest| (true, rest));
    let mut parts = words.split_whitespace();
    let (number, unit) = (parts.next()?, parts.next()?);
    let measure = Measure::from_words(&format!("{number} {unit}")).ok()?;
    let rest: Vec<&str> = parts.collect();
    let cut = rest.iter().position(|w| *w == "from")?;
    let (direction, thing) = rest.split_at(cut + 1);
    let thing = thing.join(" ");
    if thing.is_empty() {
        return None;
    }
    let distance = measure.value;
    Some(Fixed { distance, written: measure.words(), direction: direction.join(" "), thing, believed })
}

/// A length in paces of 0.75 m: halves below five, whole ones above. `2½ paces`.
pub fn paces(length: Length) -> String {
    let whole = |n: i64, d: i64| crate::base::units::round_div(i128::from(n), i128::from(d));
    let halves = whole(length.um() * 2, PACE.um());
    let count = match halves {
        ..1 => return "less than half a pace".to_owned(),
        1 => "½".to_owned(),
        n @ 2..10 if n % 2 == 1 => format!("{}½", n / 2),
        n @ 2..10 => (n / 2).to_string(),
        _ => whole(length.um(), PACE.um()).to_string(),
    };
    let word = if halves > 2 { "paces" } else { "pace" };
    format!("{count}\u{a0}{word}")
}

/// A length in whole metres, at least one, as rods are counted: `5 m`.
pub fn rods(length: Length) -> String {
    let metres = crate::base::units::round_div(i128::from(length.um()), 1_000_000).max(1);
    format!("{metres}\u{a0}m")
}
