//! The ground over a drain and the least, greatest and mean cover under it: straight from one levelled place to the next.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Length;
use crate::base::units::round_div;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::legs::Leg;
use crate::network::legs::from_upper_end;
use crate::network::pieces::Point;
use crate::network::pieces::between;

/// The level of the ground at a place along a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// How far from the upper end.
    pub along: Known<Length>,
    /// Its level.
    pub level: Height<Cover>,
}

/// The least or the greatest cover over the crown of a drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// The cover.
    pub cover: Known<Length>,
    /// Where, from the upper end.
    pub at: Length,
    /// Whether the ground is known from end to end; else it is only that of what is.
    pub whole: bool,
}

/// The ground over a leg from its upper end down: the places of its ground line, and the covers of the chambers at its
/// ends where no such place is given there.
pub fn ground(network: &Network<'_>, leg: usize) -> Vec<Ground> {
    let Some(l) = network.legs.get(leg) else { return Vec::new() };
    let mut all = line(network, l);
    let has = |all: &[Ground], at: Length| all.iter().any(|g| g.along.value == at);
    let upper = Known::exact(Length::ZERO, How::Computed);
    if let Some(level) = cover(network, l.ends.from).filter(|_| !has(&all, Length::ZERO)) {
        all.push(Ground { along: upper, level });
    }
    if let (Some(along), Some(level)) = (l.length, cover(network, l.ends.to))
        && !has(&all, along.value)
    {
        all.push(Ground { along, level });
    }
    all.sort_by_key(|g| g.along.value);
    all
}

/// The places of a leg's ground line.
fn line(network: &Network<'_>, l: &Leg) -> Vec<Ground> {
    let Some(pipe) = network.record.pipes.at(l.pipe) else { return Vec::new() };
    let places = pipe.body.ground_line.get().into_iter().flat_map(|line| line.iter());
    places
        .filter_map(|(place, field)| {
            let at = Known { value: place.distance.value, half: place.distance.half, how: network.record.how(field) };
            let along = from_upper_end(network.record, l, at, place.up, &place.from)?;
            Some(Ground { along, level: network.height(field, Some(&pipe.body.kit))? })
        })
        .collect()
}

fn cover(network: &Network<'_>, end: End) -> Option<Height<Cover>> {
    let End::Access(a) = end else { return None };
    let body = &network.record.access.at(a)?.body;
    network.height(&body.cover, Some(&body.kit))
}

/// The least cover over a drain.
pub fn least(network: &Network<'_>, leg: usize) -> Option<Extreme> {
    extremes(network, leg).map(|[least, _]| least)
}

/// The least and the greatest cover over a drain, each with its place.
pub fn extremes(network: &Network<'_>, leg: usize) -> Option<[Extreme; 2]> {
    let Covers { all, whole } = covers(network, leg)?;
    let told = |(cover, at): &(Known<Length>, Length)| Extreme { cover: *cover, at: *at, whole };
    let least = all.iter().min_by_key(|(cover, _)| cover.value).map(told)?;
    // Of equals the first counts in both.
    let greatest = all.iter().rev().max_by_key(|(cover, _)| cover.value).map(told)?;
    Some([least, greatest])
}

/// The mean cover over a drain along its length, and whether the ground is known from end to end.
pub fn mean(network: &Network<'_>, leg: usize) -> Option<(Known<Length>, bool)> {
    let Covers { all, whole } = covers(network, leg)?;
    let (first, last) = (all.first()?, all.last()?);
    let run = (last.1 - first.1).um();
    let twice: i128 = all
        .windows(2)
        .filter_map(|pair| {
            let [a, b] = pair else { return None };
            Some(i128::from((a.0.value + b.0.value).um()) * i128::from((b.1 - a.1).um()))
        })
        .sum();
    let value = if run == 0 { first.0.value } else { Length::from_um(round_div(twice, 2 * i128::from(run))) };
    let half = all.iter().map(|(cover, _)| cover.half).max()?;
    Some((Known { value, half, how: first.0.how }, whole))
}

/// Covers at places along a drain, from its upper end down.
struct Covers {
    all: Vec<(Known<Length>, Length)>,
    whole: bool,
}

/// Covers over a drain: ground less invert less bore and wall, at every place where one of the two lines bends.
/// `None` where the size of the pipe, its inverts or the ground is not known.
fn covers(network: &Network<'_>, leg: usize) -> Option<Covers> {
    let l = network.legs.get(leg)?;
    // Inside diameter and one wall, which is the mean of both diameters.
    let crown = Length::from_um((l.outside?.um().saturating_add(l.bore?.um())) / 2);
    let mut inverts = network.profile(leg);
    let mut ground = ground(network, leg);
    if l.length.is_none() && network.knees(leg) == 0 && line(network, l).is_empty() {
        // Without a length both lines are straight, and the least is at an end however far apart those are.
        let along = Known::exact(Length::from_mm(1000), How::Computed);
        inverts.push(Point { along, invert: network.solved(leg).down });
        ground.extend(cover(network, l.ends.to).map(|level| Ground { along, level }));
    }
    let end = inverts.last()?.along.value;
    let (first, last) = (ground.first()?.along.value, ground.last()?.along.value);
    let mut places: Vec<Known<Length>> =
        ground.iter().map(|g| g.along).chain(inverts.iter().map(|p| p.along)).collect();
    places.retain(|p| p.value >= first && p.value <= last);
    let covers: Vec<(Known<Length>, Length)> = places
        .iter()
        .filter_map(|at| {
            let depth = surface_at(&ground, at.value)?.above(&invert_at(&inverts, *at)?)?;
            Some((Known { value: depth.value - crown, ..depth }, at.value))
        })
        .collect();
    let how = covers.iter().map(|(c, _)| c.how).reduce(How::with)?;
    let whole = first == Length::ZERO && last >= end && covers.len() == places.len();
    let mut all: Vec<_> = covers.into_iter().map(|(cover, at)| (Known { how, ..cover }, at)).collect();
    all.sort_by_key(|(_, at)| *at);
    Some(Covers { all, whole })
}

fn surface_at(ground: &[Ground], at: Length) -> Option<Height<Cover>> {
    if let Some(here) = ground.iter().find(|g| g.along.value == at) {
        return Some(here.level);
    }
    let pair = ground.windows(2).find(|pair| matches!(pair, [_, b] if at < b.along.value))?;
    let [a, b] = pair else { return None };
    a.level.between(&b.level, at - a.along.value, b.along.value - a.along.value)
}

fn invert_at(inverts: &[Point], at: Known<Length>) -> Option<Height<crate::base::units::Invert>> {
    if let Some(here) = inverts.iter().find(|p| p.along.value == at.value) {
        return here.invert;
    }
    let pair = inverts.windows(2).find(|pair| matches!(pair, [_, b] if at.value < b.along.value))?;
    let [a, b] = pair else { return None };
    between(a, b, at)
}
