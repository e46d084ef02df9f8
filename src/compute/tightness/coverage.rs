//! Which part of each pipe a test speaks for: the whole of it, or what lies between its plugs.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::ends::Ends;
use crate::network::legs::from_upper_end;
use crate::record::quantity::Station;
use crate::record::words::AccessKind;
use crate::record::words::Mention;

/// A part of a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// All of it.
    Whole,
    /// From so far below its upper end to so far below it; `None` is its lower end.
    Between(Length, Option<Length>),
    /// The record names no plug; or one stands on it, and the record does not tell where or on which side of it the test
    /// was.
    Unclear,
}

/// A pipe with the part that a test speaks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Covered {
    /// The pipe, by position in the record.
    pub pipe: usize,
    /// The part.
    pub reach: Reach,
}

/// What is left of a pipe that no test speaks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bare {
    /// Nothing.
    Nothing,
    /// So much.
    Of(Length),
    /// Something; the record does not tell how much.
    Unmeasured,
}

/// The parts of the pipes that a test names, between its plugs.
pub fn parts(network: &Network<'_>, covers: &[usize], plugs: &[&Mention]) -> Vec<Covered> {
    covers.iter().map(|pipe| Covered { pipe: *pipe, reach: reach(network, *pipe, covers, plugs) }).collect()
}

fn reach(network: &Network<'_>, pipe: usize, covers: &[usize], plugs: &[&Mention]) -> Reach {
    if plugs.is_empty() {
        return Reach::Unclear;
    }
    let id = network.id(pipe);
    let on = plugs.iter().filter(|p| p.id == id).filter_map(|p| p.station());
    let Some(mut places) = on.map(|s| along(network, pipe, &s)).collect::<Option<Vec<Length>>>() else {
        return Reach::Unclear;
    };
    places.sort_unstable();
    match places.as_slice() {
        [] => Reach::Whole,
        [place] => match sides(network, pipe, *place, covers, plugs) {
            (true, false) => Reach::Between(Length::ZERO, Some(*place)),
            (false, true) => Reach::Between(*place, None),
            (true, true) | (false, false) => Reach::Unclear,
        },
        [first, .., last] => Reach::Between(*first, Some(*last)),
    }
}

/// The first chamber with an open channel that joins two of the pipes under test and in which no plug stands.
pub fn open_channel(network: &Network<'_>, covers: &[usize], plugs: &[&Mention]) -> Option<usize> {
    let meets = |end: fn(&Ends) -> End, at: usize| {
        let ends = covers.iter().filter_map(|pipe| network.legs.get(*pipe)).map(|leg| end(&leg.ends));
        ends.filter(|end| *end == End::Access(at)).count()
    };
    let open = |at: usize| {
        let item = network.record.access.at(at)?;
        let channel = matches!(item.body.what.get(), Some(AccessKind::InspectionChamber | AccessKind::Manhole));
        (channel && plugs.iter().all(|plug| plug.id != item.id)).then_some(at)
    };
    let chambers = 0..network.record.access.len();
    chambers.filter(|at| meets(|e| e.to, *at) > 0 && meets(|e| e.from, *at) > 0).find_map(open)
}

fn along(network: &Network<'_>, pipe: usize, station: &Station) -> Option<Length> {
    let Station::Along { distance, up, from } = station else { return None };
    let at = Known { value: distance.value, half: distance.half, how: How::Stated };
    from_upper_end(network.record, network.legs.get(pipe)?, at, *up, from).map(|k| k.value)
}

/// Whether the test goes on above a plug, and below it: another plug or another pipe under test tells.
fn sides(network: &Network<'_>, pipe: usize, place: Length, covers: &[usize], plugs: &[&Mention]) -> (bool, bool) {
    let Some(leg) = network.legs.get(pipe) else { return (false, false) };
    let plug_at = |end: End| {
        let id = network.end_id(end);
        !id.is_empty() && plugs.iter().any(|p| p.id == id && p.station().is_none())
    };
    let (mut above, mut below) = (plug_at(leg.ends.from), plug_at(leg.ends.to));
    below |= network.downstream(pipe).is_some_and(|next| covers.contains(&next));
    for other in covers.iter().filter(|c| network.downstream(**c) == Some(pipe)) {
        let Some(feeder) = network.legs.get(*other) else { continue };
        let joins = feeder.join.as_ref().and_then(|j| j.along).map(|a| a.value);
        match joins {
            Some(at) if at >= place => below = true,
            Some(_) => above = true,
            None => above |= feeder.ends.to == leg.ends.from,
        }
    }
    (above, below)
}

/// What several parts together leave of a pipe of a length.
pub fn bare(length: Option<Length>, reaches: &[Reach]) -> Bare {
    if reaches.contains(&Reach::Whole) {
        return Bare::Nothing;
    }
    let mut spans: Vec<(Length, Option<Length>)> = reaches
        .iter()
        .filter_map(|r| match r {
            Reach::Between(from, to) => Some((*from, *to)),
            Reach::Whole | Reach::Unclear => None,
        })
        .collect();
    spans.sort_unstable_by_key(|(from, _)| *from);
    let (mut reached, mut gaps) = (Length::ZERO, Length::ZERO);
    for (from, to) in spans {
        gaps = gaps + (from - reached).max(Length::ZERO);
        let Some(to) = to else { return if gaps == Length::ZERO { Bare::Nothing } else { Bare::Of(gaps) } };
        reached = reached.max(to);
    }
    let Some(length) = length else { return Bare::Unmeasured };
    match gaps + (length - reached).max(Length::ZERO) {
        Length::ZERO => Bare::Nothing,
        left => Bare::Of(left),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn m(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    #[test]
    fn parts_add_up_and_what_is_between_them_is_left() {
        let length = Some(m(10_000));
        assert_eq!(bare(length, &[]), Bare::Of(m(10_000)));
        assert_eq!(bare(length, &[Reach::Unclear, Reach::Whole]), Bare::Nothing);
        let (upper, lower) = (Reach::Between(m(0), Some(m(4_000))), Reach::Between(m(5_500), None));
        assert_eq!(bare(length, &[upper]), Bare::Of(m(6_000)));
        assert_eq!(bare(length, &[lower, upper]), Bare::Of(m(1_500)));
        assert_eq!(bare(length, &[lower, upper, Reach::Between(m(3_900), Some(m(5_500)))]), Bare::Nothing);
        assert_eq!((bare(None, &[upper]), bare(None, &[lower, upper])), (Bare::Unmeasured, Bare::Of(m(1_500))));
    }
}
