//! Pieces of a leg: where its gradient changes along the way, each piece has a gradient of its own.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::height::Because;
use crate::network::height::Height;
use crate::network::legs::Leg;
use crate::network::legs::plan_length;

/// A place along a leg, from its upper end, with its invert there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// How far from the upper end.
    pub along: Known<Length>,
    /// The invert there; `None` when it is not known.
    pub invert: Option<Height<Invert>>,
}

/// A stretch of a leg between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Where it begins, from the upper end.
    pub from: Known<Length>,
    /// Where it ends; `None` when the leg's length is not known.
    pub to: Option<Known<Length>>,
    /// Its gradient; `None` when an invert or the length is not known.
    pub gradient: Option<KnownGradient>,
}

impl Piece {
    /// `0 to 3.20 m`, `from 3.20 m on`: distances from the upper end.
    pub fn words(&self) -> String {
        let metres = |l: Length| if l == Length::ZERO { "0".to_owned() } else { l.metres(2) };
        match self.to {
            Some(to) => format!("{} to {}\u{a0}m", metres(self.from.value), to.value.metres(2)),
            None => format!("from {}\u{a0}m on", metres(self.from.value)),
        }
    }
}

/// The invert at a place between two others, the fall between them shared by distance; where the place may be off, so
/// much of the fall is its spread as well. `None` when the two have no datum in common.
pub fn between(a: &Point, b: &Point, along: Known<Length>) -> Option<Height<Invert>> {
    let (upper, lower) = (a.invert?, b.invert?);
    let (part, whole) = (along.value - a.along.value, b.along.value - a.along.value);
    let there = upper.between(&lower, part, whole)?;
    let fall = upper.level.above(lower.level);
    let by_place = if part == Length::ZERO || part == whole { Length::ZERO } else { along.half };
    Some(Height { half: there.half + fall.share(by_place, whole).abs(), ..there })
}

/// The gradient between two places; `None` where an invert is not known, or they have no datum in common.
fn gradient(a: &Point, b: &Point) -> Option<KnownGradient> {
    let fall = a.invert?.above(&b.invert?)?;
    let value = b.along.value - a.along.value;
    // Places counted from one end by one tape: the spread of both is that of the wider.
    let run = Known { value, half: a.along.half.max(b.along.half), how: a.along.how.with(b.along.how) };
    KnownGradient::of(fall, run)
}

impl Network<'_> {
    /// The places of a leg at which its invert is asked for: its upper end, its changes, and its lower end where its
    /// length is known.
    pub fn profile(&self, leg: usize) -> Vec<Point> {
        let solved = self.solved(leg);
        let mut all = vec![Point { along: Known::exact(Length::ZERO, How::Computed), invert: solved.up }];
        all.extend(self.levels.knees.get(leg).into_iter().flatten());
        let flat = |l: &Leg| match solved.drop {
            Some(drop) => plan_length(l, drop.value),
            None => l.length,
        };
        if let Some(along) = self.legs.get(leg).and_then(flat) {
            all.push(Point { along, invert: solved.down });
        }
        all
    }

    /// The lowest and the highest invert of a leg, of its ends and of wherever its gradient changes; `None` unless all
    /// of them are known and share a datum.
    pub fn extremes(&self, leg: usize) -> Option<(Height<Invert>, Height<Invert>)> {
        let solved = self.solved(leg);
        let (mut low, mut high) = (solved.down?, solved.up?);
        if low.above(&high)?.value > Length::ZERO {
            (low, high) = (high, low);
        }
        for invert in self.profile(leg).into_iter().map(|point| point.invert) {
            let invert = invert?;
            low = if low.above(&invert)?.value > Length::ZERO { invert } else { low };
            high = if invert.above(&high)?.value > Length::ZERO { invert } else { high };
        }
        Some((low, high))
    }

    /// The pieces of a leg, with the flow; a leg without changes is one piece.
    pub fn pieces(&self, leg: usize) -> Vec<Piece> {
        let points = self.profile(leg);
        let one = points.len() <= 2 && self.knees(leg) == 0;
        let mut all: Vec<Piece> = points
            .windows(2)
            .filter_map(|pair| match pair {
                [a, b] => Some(Piece { from: a.along, to: Some(b.along), gradient: gradient(a, b) }),
                _ => None,
            })
            .collect();
        if one {
            let from = Known::exact(Length::ZERO, How::Computed);
            let to = self.legs.get(leg).and_then(|l| l.length);
            return vec![Piece { from, to, gradient: self.gradient(leg) }];
        }
        if let Some(last) = points.last().filter(|_| self.legs.get(leg).is_some_and(|l| l.length.is_none())) {
            all.push(Piece { from: last.along, to: None, gradient: None });
        }
        all
    }

    /// How many changes of gradient the record gives along a leg.
    pub fn knees(&self, leg: usize) -> usize {
        self.legs.get(leg).map_or(0, |l| l.knees.len())
    }

    /// The flattest piece of a leg whose gradient is known, and whether those of all its pieces are.
    pub fn flattest(&self, leg: usize) -> Option<(Piece, KnownGradient, bool)> {
        let pieces = self.pieces(leg);
        let whole = pieces.iter().all(|p| p.gradient.is_some());
        let known = pieces.into_iter().filter_map(|p| p.gradient.map(|g| (p, g)));
        known.min_by_key(|(_, g)| g.value).map(|(piece, g)| (piece, g, whole))
    }

    /// The invert of a leg at a place along it; `None` where one of the inverts around it is not known.
    pub fn invert_at(&self, leg: usize, along: Known<Length>) -> Option<Height<Invert>> {
        let points = self.profile(leg);
        let pair = points.windows(2).find(|pair| matches!(pair, [_, b] if along.value <= b.along.value))?;
        let [a, b] = pair else { return None };
        let there = between(a, b, along)?;
        let end = |p: &Point| (p.along.value == along.value).then_some(p.invert).flatten();
        // A place at which the invert is known keeps the reason for which it is.
        Some(end(a).or_else(|| end(b)).unwrap_or(Height { because: Because::Along(leg), ..there }))
    }
}
