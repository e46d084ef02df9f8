//! Marks to set a sloping pipe out by: how far down it is at each bracket or metre, and how deep under a plane of light
//! and under the covers at its ends. Exact shares of its fall; no verdict.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::base::units::Spot;
use crate::compute::supports::Support;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;
use crate::record::quantity::LevelAt;
use crate::record::value::Field;
use crate::record::words::Stage;

/// Most marks of one pipe; of a longer one only every second, third … bracket or metre is marked.
const MOST_MARKS: i64 = 48;

/// What a new sloping pipe is set out by.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingOut {
    /// The leg.
    pub leg: usize,
    /// Its gradient; `None` when that is not known, and then there are no marks.
    pub gradient: Option<KnownGradient>,
    /// The marks from its upper end down; none when its length or fall is not known.
    pub marks: Vec<Mark>,
    /// How many brackets or metres lie from one mark to the next.
    pub stride: i64,
    /// The named level under which [`Mark::below_plane`] counts, where its inverts were read from one.
    pub plane: Option<String>,
    /// The covers between which [`Mark::below_cover`] counts: of its upper and its lower end.
    pub covers: [Option<usize>; 2],
}

/// A place along a pipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Distance from the upper end: along the barrel of a branch, level for a drain.
    pub at: Length,
    /// How far lower the pipe is there than at its upper end.
    pub down: Length,
    /// Whether a bracket stands there.
    pub bracket: bool,
    /// The leg that joins there.
    pub joins: Option<usize>,
    /// Invert there.
    pub invert: Option<Height<Invert>>,
    /// From the plane down to the invert: what a staff on the invert reads.
    pub below_plane: Option<Known<Length>>,
    /// From the line between the covers, or level from the one there is, down to the invert.
    pub below_cover: Option<Known<Length>>,
}

/// How far a level of a length is to be packed up at the lower end of a gradient, so that its bubble stands in the
/// middle.
pub fn packer(gradient: &KnownGradient, level: Length) -> Length {
    gradient.value.fall_over(level)
}

/// For every new branch and drain, in the order of the record.
pub fn find(network: &Network<'_>, supports: &[Option<Support>]) -> Vec<SettingOut> {
    let sloping = |i: usize| {
        let leg = network.legs.get(i)?;
        let slopes = matches!(leg.derived.kind, Kind::Branch | Kind::CommonBranch | Kind::Drain);
        let stage = pipe(network, i)?.stage_now();
        (slopes && !matches!(stage, Stage::Existing | Stage::Removed)).then_some(i)
    };
    let one = |i: usize| of_leg(network, i, supports.get(i).copied().flatten());
    (0..network.legs.len()).filter_map(sloping).map(one).collect()
}

fn pipe<'n>(network: &Network<'n>, leg: usize) -> Option<&'n Pipe> {
    let position = network.legs.get(leg)?.pipe;
    network.record.pipes.at(position).map(|item| &item.body)
}

fn of_leg(network: &Network<'_>, leg: usize, support: Option<Support>) -> SettingOut {
    let gradient = network.gradient(leg);
    let length = network.legs.get(leg).and_then(|l| l.length).filter(|l| l.value > Length::ZERO);
    let covers = covers(network, leg);
    let plane = plane(network, leg);
    let step = support.map_or(Length::from_mm(1000), |s| s.spacing);
    let (mut marks, mut stride) = (Vec::new(), 1);
    if let (Some(length), Some(drop)) = (length, network.fall(leg)) {
        let places = places(network, leg, length.value, step, support.is_some());
        stride = places.stride;
        let line = Line { network, leg, length: length.value, drop, plane: plane.as_ref().map(|p| p.1), covers };
        marks = places.all.into_iter().map(|place| line.mark(place)).collect();
    }
    SettingOut { leg, gradient, marks, stride, plane: plane.map(|p| p.0), covers: covers.map(|c| c.map(|c| c.0)) }
}

/// Where marks are wanted.
struct Places {
    all: Vec<Place>,
    stride: i64,
}

#[derive(Clone, Copy)]
struct Place {
    at: Length,
    bracket: bool,
    joins: Option<usize>,
}

/// Every step from the upper end, the joins, and the lower end.
fn places(network: &Network<'_>, leg: usize, length: Length, step: Length, bracket: bool) -> Places {
    let (whole, step) = (length.um(), step.um().max(1));
    let count = whole / step + i64::from(whole % step > 0);
    let stride = (count / MOST_MARKS + i64::from(count % MOST_MARKS > 0)).max(1);
    let steps = (0..count).step_by(usize::try_from(stride).unwrap_or(usize::MAX));
    let mut all: Vec<Place> =
        steps.map(|n| Place { at: Length::from_um(n.saturating_mul(step)), bracket, joins: None }).collect();
    let joins = network.feeding.get(leg).into_iter().flatten().filter_map(|from| {
        let at = network.legs.get(*from)?.join?.along?.value;
        (at > Length::ZERO && at < length).then_some(Place { at, bracket: false, joins: Some(*from) })
    });
    all.extend(joins.take(usize::try_from(MOST_MARKS).unwrap_or(0)));
    all.push(Place { at: length, bracket: false, joins: None });
    all.sort_by_key(|p| (p.at, p.joins));
    Places { all, stride }
}

/// A pipe as a straight line, or as several end to end, with what its depth is counted from.
struct Line<'n, 'r> {
    network: &'n Network<'r>,
    leg: usize,
    length: Length,
    drop: Known<Length>,
    plane: Option<Height<Spot>>,
    covers: [Option<(usize, Height<Cover>)>; 2],
}

impl Line<'_, '_> {
    fn mark(&self, place: Place) -> Mark {
        let even = self.drop.value.share(place.at, self.length);
        let (down, invert) = self.on_pieces(place.at).unwrap_or_else(|| (even, self.invert(place.at, even)));
        Mark {
            at: place.at,
            down,
            bracket: place.bracket,
            joins: place.joins,
            invert,
            below_plane: invert.zip(self.plane).and_then(|(i, plane)| plane.above(&i)),
            below_cover: invert.and_then(|i| self.below_cover(place.at, &i)),
        }
    }

    /// Where the gradient changes along the way: how far down a place lies, and its invert.
    fn on_pieces(&self, at: Length) -> Option<(Length, Option<Height<Invert>>)> {
        if self.network.knees(self.leg) == 0 {
            return None;
        }
        let up = self.network.solved(self.leg).up?;
        let there = self.network.invert_at(self.leg, Known::exact(at, How::Computed))?;
        Some((up.level.above(there.level), Some(there)))
    }

    /// The invert at a place: of an end as it is known; between them by the fall from the upper end.
    fn invert(&self, at: Length, down: Length) -> Option<Height<Invert>> {
        let solved = self.network.solved(self.leg);
        match (solved.up, solved.down) {
            (up, _) if at == Length::ZERO => up,
            (_, lower) if at == self.length => lower,
            (Some(up), _) => Some(Height { how: up.how.with(self.drop.how), hops: up.hops + 1, ..up.to(-down) }),
            (None, Some(lower)) => {
                let above = self.drop.value - down;
                Some(Height { how: lower.how.with(self.drop.how), hops: lower.hops + 1, ..lower.to(above) })
            }
            (None, None) => None,
        }
    }

    fn below_cover(&self, at: Length, invert: &Height<Invert>) -> Option<Known<Length>> {
        match self.covers {
            [Some((_, up)), Some((_, lower))] => {
                let (a, b) = (up.above(invert)?, lower.above(invert)?);
                let value = a.value + (b.value - a.value).share(at, self.length);
                Some(Known { value, half: a.half.max(b.half), how: How::Computed.with(a.how).with(b.how) })
            }
            [Some((_, one)), None] | [None, Some((_, one))] => one.above(invert),
            [None, None] => None,
        }
    }
}

/// The covers over a drain's ends, by position of their access point.
fn covers(network: &Network<'_>, leg: usize) -> [Option<(usize, Height<Cover>)>; 2] {
    let Some(l) = network.legs.get(leg).filter(|l| l.derived.kind == Kind::Drain) else { return [None, None] };
    [l.ends.from, l.ends.to].map(|end| {
        let End::Access(a) = end else { return None };
        let body = &network.record.access.at(a)?.body;
        Some((a, network.height(&body.cover, Some(&body.kit))?))
    })
}

/// The named level that a drain's inverts were read from, or those of the first drain below it that has one, and its
/// height.
fn plane(network: &Network<'_>, leg: usize) -> Option<(String, Height<Spot>)> {
    let drain = |i: usize| network.legs.get(i).is_some_and(|l| l.derived.kind == Kind::Drain);
    // A drain leads to few others before it leaves the job; eight steps end a way that runs in a ring.
    let mut way = std::iter::successors(Some(leg), |i| network.downstream(*i)).take(8).take_while(|i| drain(*i));
    let name = way.find_map(|i| read_from(network, i))?;
    let at = LevelAt {
        base: Some(name.clone()),
        offset: Length::ZERO,
        half: Length::ZERO,
        words: name.clone(),
        decimals: 3,
    };
    let span = crate::base::span::Span::default();
    network.named.height(&at, How::Measured, Length::ZERO, span).map(|height| (name, height))
}

/// The named level that stands in a drain's own inverts, or in that of the foot above it.
fn read_from(network: &Network<'_>, leg: usize) -> Option<String> {
    let own = pipe(network, leg)?.il.get().into_iter().flat_map(|il| [&il.up, &il.down]);
    let foot = match network.legs.get(leg)?.ends.from {
        End::Pipe(stack) => pipe(network, stack).and_then(|p| match p.foot.get() {
            Some(FootOf::Is(foot)) => Some(&foot.il),
            _ => None,
        }),
        _ => None,
    };
    own.chain(foot).find_map(|field: &Field<LevelAt>| field.get().and_then(|at| at.base.clone()))
}
