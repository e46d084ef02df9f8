//! How a section lies on paper: its sheets, scales and datum, and where each pipe and level comes to stand.

use crate::base::units::Length;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::model::Section;
use std::ops::Range;

/// Where a run begins on the paper.
pub(super) const LEFT: f64 = 30.0;
/// Room for the run.
pub(super) const ROOM: f64 = 132.0;
/// Paper for a pipe whose length is not known.
const UNKNOWN: f64 = 24.0;
/// A length without change above this is shortened by a break.
const LONGEST: f64 = 60.0;
/// Scales that are used; those over 500 only where nothing larger holds the run or its heights.
const LADDER: [f64; 18] =
    [5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 125.0, 200.0, 250.0, 500.0, 1e3, 2e3, 5e3, 1e4, 1e5, 1e6, 1e7, 1e8];

/// Both scales of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scales {
    pub(super) across: f64,
    pub(super) up: f64,
}

impl Scales {
    /// How many times too steep heights look.
    pub(super) fn steeper(self) -> f64 {
        self.across / self.up
    }
}

/// One sheet of a section: its pipes, and its number.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) pieces: Range<usize>,
    pub(super) number: usize,
    pub(super) of: usize,
}

/// Length on the ground that a pipe takes up on paper, and paper beside.
fn paper(section: &Section, i: usize) -> (f64, f64) {
    match section.pieces.get(i).and_then(|p| p.length) {
        Some(l) => (l.value.m().clamp(0.05, LONGEST), 0.0),
        None => (0.0, UNKNOWN),
    }
}

/// Whether a pipe is drawn shorter than it is.
pub(super) fn is_shortened(section: &Section, i: usize) -> bool {
    section.pieces.get(i).and_then(|p| p.length).is_some_and(|l| l.value.m() > LONGEST)
}

fn total(section: &Section, pieces: Range<usize>) -> (f64, f64) {
    pieces.map(|i| paper(section, i)).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1))
}

fn fits(section: &Section, pieces: Range<usize>, across: f64) -> bool {
    let (ground, fixed) = total(section, pieces);
    ground * 1000.0 / across + fixed <= ROOM
}

/// Whether pipes go on one sheet: at 1:250 at the smallest, at most five pipes and nine points.
fn holds(section: &Section, pieces: Range<usize>) -> bool {
    let points = points_of(section, &pieces).len();
    fits(section, pieces.clone(), 250.0) && pieces.len() <= 5 && points <= 9
}

/// Whether a pipe joins within 10 mm of a cut, on a sheet at 1:250.
fn joined_near(section: &Section, cut: usize) -> bool {
    section.points.iter().any(|p| {
        let length = section.pieces.get(p.piece).and_then(|x| x.length).map_or(0.0, |l| l.value.m());
        let join = matches!(p.kind, PointKind::Join(_));
        let (from_start, from_end) = (p.along.m(), length - p.along.m());
        join && ((p.piece == cut && from_start < 2.5) || (p.piece + 1 == cut && from_end < 2.5))
    })
}

/// Cuts a run at chambers so that each sheet holds its part, away from joins where it can.
pub(super) fn parts(section: &Section) -> Vec<Part> {
    let count = section.pieces.len();
    let chamber = |i: usize| {
        let node = section.points.iter().find(|p| p.piece == i && !p.end);
        node.is_some_and(|p| matches!(p.kind, PointKind::Chamber(_)))
    };
    let mut cuts = vec![0];
    let mut start = 0;
    while !holds(section, start..count) {
        let after: Vec<usize> = (start + 1..count).filter(|i| chamber(*i)).collect();
        let held = || after.iter().rev().filter(|c| holds(section, start..**c));
        let best = held().find(|c| !joined_near(section, **c)).or_else(|| held().next());
        let Some(cut) = best.or(after.first()) else { break };
        cuts.push(*cut);
        start = *cut;
    }
    cuts.push(count);
    let of = cuts.len() - 1;
    let pairs = cuts.windows(2).enumerate().filter_map(|(n, pair)| match pair {
        [a, b] => Some(Part { pieces: *a..*b, number: n + 1, of }),
        _ => None,
    });
    pairs.collect()
}

/// The points of a sheet: of its pipes, and the chamber at which it is cut.
pub(super) fn points_of<'s>(section: &'s Section, pieces: &Range<usize>) -> Vec<&'s PointAt> {
    let mut points: Vec<&PointAt> = section.points.iter().filter(|p| pieces.contains(&p.piece)).collect();
    points.extend(section.points.iter().find(|p| p.piece == pieces.end && !p.end));
    points
}

/// Lowest and highest of all levels on some pipes of a section, in micrometres.
fn range(section: &Section, pieces: &Range<usize>) -> Option<(i64, i64)> {
    let own = section.pieces.get(pieces.clone()).unwrap_or_default();
    let walls = own.iter().flat_map(|p| {
        let bore = p.drawn.map_or(0, Length::um);
        [p.up, p.down].into_iter().flatten().flat_map(move |l| [l.value.um(), l.value.um().saturating_add(bore)])
    });
    let ground = own.iter().flat_map(|p| &p.ground).map(|(_, level)| level.value.um());
    let points = points_of(section, pieces);
    let nodes = points.iter().flat_map(|p| {
        let il = [p.il_in, p.il_out].into_iter().flatten().map(|l| l.value.um());
        il.chain(p.surface.map(|s| s.value.um()))
    });
    let all: Vec<i64> = walls.chain(ground).chain(nodes).collect();
    Some((*all.iter().min()?, *all.iter().max()?))
}

/// Pipes that share a datum with a sheet: all of the run, unless heights would then have to be drawn too small.
fn sharing(section: &Section, pieces: &Range<usize>) -> Range<usize> {
    let whole = 0..section.pieces.len();
    let deep = range(section, &whole).is_some_and(|(low, high)| high.saturating_sub(low) > 6_000_000);
    if deep { pieces.clone() } else { whole }
}

/// Whether the datum differs from sheet to sheet.
pub(super) fn is_stepped(section: &Section, part: &Part) -> bool {
    part.of > 1 && sharing(section, &part.pieces) == part.pieces
}

/// Whether no level at all can be drawn.
pub(super) fn is_blank(section: &Section) -> bool {
    range(section, &(0..section.pieces.len())).is_none()
}

/// Levels for drawing: the datum, a half metre at or under 0.20 m below the lowest, and the highest.
pub(super) fn extent(section: &Section, pieces: &Range<usize>) -> (i64, i64) {
    extent_over(section, pieces, 200_000)
}

/// As [`extent`], with so much at least between the datum and the lowest level.
pub(super) fn extent_over(section: &Section, pieces: &Range<usize>, margin: i64) -> (i64, i64) {
    let (low, high) = range(section, &sharing(section, pieces)).unwrap_or((0, 600_000));
    let under = low.saturating_sub(margin);
    let base = under.div_euclid(500_000).saturating_mul(500_000);
    // Without levels in the record the line is no datum, so it need not be round.
    let base = if section.datum == crate::pack::figure::model::Datum::Site { base } else { under };
    (base, high.max(low.saturating_add(300_000)))
}

/// The scales: the largest across that holds every sheet; heights five times steeper, ten where the whole fall would
/// draw under 4 mm, two or one where heights would draw over
/// `tallest`, 95 mm as a rule.
pub(super) fn scales(section: &Section, parts: &[Part], tallest: f64) -> Scales {
    let tall = parts.iter().map(|p| extent(section, &p.pieces)).map(|(base, high)| high.saturating_sub(base)).max();
    let height = Length::from_um(tall.unwrap_or(0)).m() * 1000.0;
    let inverts: Vec<i64> =
        section.pieces.iter().flat_map(|p| [p.up, p.down]).flatten().map(|l| l.value.um()).collect();
    let fall = inverts.iter().max().zip(inverts.iter().min()).map_or(0, |(a, b)| a.saturating_sub(*b));
    let fall = Length::from_um(fall).m() * 1000.0;
    for across in LADDER {
        if !parts.iter().all(|p| fits(section, p.pieces.clone(), across)) {
            continue;
        }
        let wanted: [f64; 4] =
            if fall > 0.0 && fall * 5.0 / across < 4.0 { [10.0, 5.0, 2.0, 1.0] } else { [5.0, 2.0, 1.0, 0.5] };
        for (i, steeper) in wanted.into_iter().enumerate() {
            let up = across / steeper;
            let on_ladder = LADDER.iter().any(|l| (l - up).abs() < 1e-9);
            // The first choice may be missing from the ladder at this scale: the next smaller scale has it.
            if !on_ladder && i == 0 && across <= 500.0 {
                break;
            }
            if on_ladder && height / up <= tallest {
                return Scales { across, up };
            }
        }
    }
    Scales { across: 1e8, up: 1e8 }
}

/// Where things come to stand on one sheet.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    pub(super) scales: Scales,
    pub(super) base: i64,
    pub(super) high: i64,
    /// The base line's place.
    pub(super) y_base: f64,
    first: usize,
    xs: Vec<(f64, f64)>,
}

impl Frame {
    /// Lays out the pipes of a sheet from a left end; heights stand over a base line.
    pub(super) fn new(section: &Section, pieces: &Range<usize>, scales: Scales, left: f64, y_base: f64) -> Self {
        Self::over(section, pieces, scales, left, y_base, extent(section, pieces))
    }

    /// As [`Frame::new`], with the datum and the highest level given.
    pub(super) fn over(
        section: &Section,
        pieces: &Range<usize>,
        scales: Scales,
        left: f64,
        y_base: f64,
        (base, high): (i64, i64),
    ) -> Self {
        let mut x = left;
        let xs = pieces
            .clone()
            .map(|i| {
                let (ground, fixed) = paper(section, i);
                let from = x;
                x += ground * 1000.0 / scales.across + fixed;
                (from, x)
            })
            .collect();
        Self { scales, base, high, y_base, first: pieces.start, xs }
    }

    /// Height on paper of a level.
    pub(super) fn y(&self, um: i64) -> f64 {
        self.y_base - self.tall(Length::from_um(um.saturating_sub(self.base)))
    }

    /// A height on paper.
    pub(super) fn tall(&self, length: Length) -> f64 {
        length.mm() / self.scales.up
    }

    /// A length on paper.
    pub(super) fn wide(&self, length: Length) -> f64 {
        length.mm() / self.scales.across
    }

    /// Both ends of a pipe.
    pub(super) fn ends(&self, piece: usize) -> (f64, f64) {
        let last = self.xs.last().copied().unwrap_or((LEFT, LEFT));
        self.xs.get(piece.wrapping_sub(self.first)).copied().unwrap_or((last.1, last.1))
    }

    /// Where a point stands.
    pub(super) fn x(&self, section: &Section, point: &PointAt) -> f64 {
        let (from, to) = self.ends(point.piece);
        if point.end {
            return to;
        }
        let length = section.pieces.get(point.piece).and_then(|p| p.length);
        match length {
            Some(l) if l.value > Length::ZERO => from + (to - from) * (point.along.m() / l.value.m()).clamp(0.0, 1.0),
            Some(_) | None => from,
        }
    }

    /// The right end of the run.
    pub(super) fn right(&self) -> f64 {
        self.xs.last().map_or(LEFT, |x| x.1)
    }
}
