//! A long section before it is drawn: its points and pipes with their levels, from the network alone.
//!
//! Longer than most files: points and pipes are found in one walk that hands each its levels.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::base::units::Level;
use crate::base::units::Soffit;
use crate::base::units::Spot;
use crate::compute::cover;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::height::Root;
use crate::network::kind::Kind;
use crate::pack::figure::floors;
use crate::pack::figure::runs;
use crate::pack::figure::runs::Run;
use crate::pack::figure::runs::Tail;
use crate::pack::figure::stations;
use crate::pack::figure::words;
use crate::record::facts::stage_of;
use crate::record::words::Stage;

/// What the heights on a section are counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Datum {
    /// The site's datum.
    Site,
    /// A named level that nothing ties to the datum.
    Floating(Root),
    /// Nothing: falls alone, from the first point.
    Bare,
}

/// What a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PointKind {
    /// The foot of a stack, by its leg.
    Foot(usize),
    /// An appliance at the head of a drain.
    Appliance(usize),
    /// A chamber.
    Chamber(usize),
    /// An outfall.
    Outfall(usize),
    /// A pipe that joins along the way.
    Join(usize),
    /// The drain that the run itself joins.
    Receiver(usize),
    /// A place at which the gradient of a pipe changes.
    Knee,
    /// An end that is not known.
    Open,
}

/// A point of a section.
#[derive(Clone, Debug)]
pub(super) struct PointAt {
    pub(super) kind: PointKind,
    pub(super) id: String,
    pub(super) stage: Stage,
    /// The pipe it lies on, by position in [`Section::pieces`], and how far along it.
    pub(super) piece: usize,
    pub(super) along: Length,
    /// From the start of the run; `None` after a pipe of unknown length.
    pub(super) chainage: Option<Known<Length>>,
    pub(super) surface: Option<Known<Level<Spot>>>,
    pub(super) place: String,
    pub(super) il_in: Option<Known<Level<Invert>>>,
    pub(super) il_out: Option<Known<Level<Invert>>>,
    pub(super) soffit_in: Option<Known<Level<Soffit>>>,
    pub(super) soffit_out: Option<Known<Level<Soffit>>>,
    pub(super) depth: Option<Known<Length>>,
    /// Whether a pipe arrives, and whether one leaves.
    pub(super) arrives: bool,
    pub(super) leaves: bool,
    /// Whether it is the end of the run.
    pub(super) end: bool,
}

/// A pipe of a section.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub(super) leg: usize,
    pub(super) id: String,
    pub(super) stage: Stage,
    pub(super) length: Option<Known<Length>>,
    pub(super) drop: Option<Known<Length>>,
    pub(super) gradient: Option<KnownGradient>,
    pub(super) up: Option<Known<Level<Invert>>>,
    pub(super) down: Option<Known<Level<Invert>>>,
    /// Where its gradient changes along the way, with the invert there.
    pub(super) knees: Vec<Knee>,
    /// The gradient of each piece between those.
    pub(super) gradients: Vec<Option<KnownGradient>>,
    /// Places over it at which the ground was levelled.
    pub(super) ground: Vec<(Length, Known<Level<Cover>>)>,
    /// The bore where its series is cited, for soffits.
    pub(super) bore: Option<Length>,
    /// The bore as drawn: cited, else the nominal size.
    pub(super) drawn: Option<Length>,
}

/// A place along a pipe at which its gradient changes, with the invert there.
pub(super) type Knee = (Known<Length>, Option<Known<Level<Invert>>>);

/// A section before it is drawn.
#[derive(Clone, Debug)]
pub(super) struct Section {
    pub(super) pieces: Vec<Piece>,
    pub(super) points: Vec<PointAt>,
    pub(super) datum: Datum,
    /// The level that heights without a site datum are counted from.
    pub(super) zero: i64,
    pub(super) tail: Tail,
}

/// Which heights a section's datum lets stand.
pub(super) fn on<L>(datum: Datum, h: Option<Height<L>>) -> Option<Known<Level<L>>> {
    let h = h?;
    let held = match datum {
        Datum::Site => h.root == Root::SITE,
        Datum::Floating(root) => h.root == root,
        Datum::Bare => false,
    };
    held.then_some(Known { value: h.level, half: h.half, how: h.how })
}

/// The site's datum when any pipe has a level above it, else the first root there is, else none.
fn datum(net: &Network<'_>, legs: &[usize]) -> Datum {
    let roots: Vec<Root> =
        legs.iter().flat_map(|l| net.profile(*l)).filter_map(|point| point.invert.map(|h| h.root)).collect();
    let ends = legs.iter().map(|l| net.solved(*l)).flat_map(|s| [s.up, s.down]).flatten().map(|h| h.root);
    let roots: Vec<Root> = ends.chain(roots).collect();
    match roots.first() {
        Some(_) if roots.contains(&Root::SITE) => Datum::Site,
        Some(first) => Datum::Floating(*first),
        None => Datum::Bare,
    }
}

fn pieces(net: &Network<'_>, legs: &[usize], datum: Datum) -> Vec<Piece> {
    let mut below = Level::<Invert>::from_um(0);
    let mut bare = datum == Datum::Bare;
    legs.iter()
        .filter_map(|i| {
            let leg = net.legs.get(*i)?;
            let solved = net.solved(*i);
            let (mut up, mut down) = (on(datum, solved.up), on(datum, solved.down));
            if let (true, Some(drop)) = (bare, solved.drop) {
                up = Some(Known { value: below, half: Length::ZERO, how: How::Computed });
                below = below - drop.value;
                down = Some(Known { value: below, ..drop.map(|_| below) });
            } else {
                // After a pipe whose fall is not known nothing further can be counted from the first.
                bare = false;
            }
            let nominal = leg.nominal.map(|n| Length::from_mm(i64::from(n.0)));
            Some(Piece {
                leg: *i,
                id: net.id(*i).to_owned(),
                stage: runs::stage(net, *i),
                length: leg.length,
                drop: solved.drop,
                gradient: net.gradient(*i),
                up,
                down,
                knees: knees(net, *i, datum),
                gradients: net.pieces(*i).into_iter().map(|p| p.gradient).collect(),
                ground: ground(net, *i, datum),
                bore: leg.bore,
                drawn: leg.bore.or(nominal),
            })
        })
        .collect()
}

fn knees(net: &Network<'_>, leg: usize, datum: Datum) -> Vec<Knee> {
    net.levels.knees.get(leg).into_iter().flatten().map(|k| (k.along, on(datum, k.invert))).collect()
}

/// The places of a pipe's ground line; the covers at its ends are points of the section.
fn ground(net: &Network<'_>, leg: usize, datum: Datum) -> Vec<(Length, Known<Level<Cover>>)> {
    let pipe = net.legs.get(leg).and_then(|l| net.record.pipes.at(l.pipe));
    if pipe.is_none_or(|p| p.body.ground_line.get().is_none()) {
        return Vec::new();
    }
    let all = cover::ground(net, leg).into_iter();
    all.filter_map(|g| on(datum, Some(g.level)).map(|level| (g.along.value, level))).collect()
}

impl Section {
    /// Gathers what a section of a run shows.
    pub(super) fn of(net: &Network<'_>, run: &Run) -> Self {
        let datum = datum(net, &run.legs);
        let pieces = pieces(net, &run.legs, datum);
        let mut section = Self { pieces, points: Vec::new(), datum, zero: 0, tail: run.tail };
        section.gather(net);
        let first = section.points.iter().find_map(|p| p.il_out.or(p.il_in));
        section.zero = first.map_or(0, |l| l.value.um());
        section
    }

    fn gather(&mut self, net: &Network<'_>) {
        let mut chainage = Some(Known::exact(Length::ZERO, How::Computed));
        for i in 0..self.pieces.len() {
            let node = self.node(net, i, Length::ZERO, chainage);
            self.points.push(node);
            self.joins(net, i, chainage);
            let length = self.pieces.get(i).and_then(|p| p.length);
            chainage = chainage.zip(length).map(|(a, b)| Known {
                value: a.value + b.value,
                half: a.half + b.half,
                how: a.how.with(b.how),
            });
        }
        if let Some(last) = self.pieces.len().checked_sub(1) {
            let end = self.end(net, last, chainage);
            self.points.push(end);
        }
    }

    fn blank(kind: PointKind, id: &str, piece: usize, chainage: Option<Known<Length>>) -> PointAt {
        PointAt {
            kind,
            id: id.to_owned(),
            stage: Stage::Installed,
            piece,
            along: Length::ZERO,
            chainage,
            surface: None,
            place: String::new(),
            il_in: None,
            il_out: None,
            soffit_in: None,
            soffit_out: None,
            depth: None,
            arrives: false,
            leaves: false,
            end: false,
        }
    }

    /// The point at the upper end of a pipe.
    fn node(&self, net: &Network<'_>, i: usize, along: Length, chainage: Option<Known<Length>>) -> PointAt {
        let Some(leg) = self.pieces.get(i).and_then(|p| net.legs.get(p.leg)) else {
            return Self::blank(PointKind::Open, "", i, chainage);
        };
        let kind = match leg.ends.from {
            End::Pipe(s) if net.legs.get(s).is_some_and(|l| l.derived.kind == Kind::Stack) => PointKind::Foot(s),
            End::Pipe(p) => PointKind::Join(p),
            End::Appliance(a) => PointKind::Appliance(a),
            End::Access(a) => PointKind::Chamber(a),
            End::Outfall(o) => PointKind::Outfall(o),
            End::Temporary | End::Unknown | End::Absent => PointKind::Open,
        };
        let mut point = Self::blank(kind, net.end_id(leg.ends.from), i, chainage);
        point.along = along;
        point.leaves = true;
        point.arrives = i > 0;
        self.level(net, &mut point, i.checked_sub(1), Some(i));
        point
    }

    /// The point at the lower end of the last pipe.
    fn end(&self, net: &Network<'_>, i: usize, chainage: Option<Known<Length>>) -> PointAt {
        let length = self.pieces.get(i).and_then(|p| p.length).map_or(Length::ZERO, |l| l.value);
        let (kind, id) = match self.tail {
            Tail::Chamber(a, _) => (PointKind::Chamber(a), net.end_id(End::Access(a))),
            Tail::Outfall(o) => (PointKind::Outfall(o), net.end_id(End::Outfall(o))),
            Tail::Joins(p) => (PointKind::Receiver(p), net.id(p)),
            Tail::Open => (PointKind::Open, ""),
        };
        let mut point = Self::blank(kind, id, i, chainage);
        point.along = length;
        point.arrives = true;
        point.end = true;
        self.level(net, &mut point, Some(i), None);
        if let Tail::Chamber(a, out) = self.tail {
            point.leaves = out.is_some();
            let solved = out.and_then(|o| on(self.datum, net.solved(o).up));
            let written = net.record.access.at(a).and_then(|x| net.height(&x.body.il_out, Some(&x.body.kit)));
            point.il_out = on(self.datum, written).or(solved);
            let bore = out.and_then(|o| net.legs.get(o)).and_then(|l| l.bore);
            point.soffit_out = soffit(point.il_out, bore);
        }
        self.deepen(&mut point);
        point
    }

    fn level(&self, net: &Network<'_>, point: &mut PointAt, before: Option<usize>, after: Option<usize>) {
        let before = before.and_then(|i| self.pieces.get(i));
        let after = after.and_then(|i| self.pieces.get(i));
        point.il_in = before.and_then(|p| p.down);
        point.il_out = after.and_then(|p| p.up);
        point.soffit_in = soffit(point.il_in, before.and_then(|p| p.bore));
        point.soffit_out = soffit(point.il_out, after.and_then(|p| p.bore));
        match point.kind {
            PointKind::Foot(s) => {
                (point.surface, point.place) = floors::floor_of_stack(net, s, self.datum);
                point.stage = runs::stage(net, s);
            }
            PointKind::Appliance(a) => {
                (point.surface, point.place) = floors::floor(net, a, self.datum);
                point.stage = net.record.appliances.at(a).map_or(Stage::Installed, |x| stage_of(&x.body.stage));
            }
            PointKind::Chamber(a) => {
                let Some(item) = net.record.access.at(a) else { return };
                point.surface = on(self.datum, net.height(&item.body.cover, Some(&item.body.kit)));
                point.place = item.body.place.get().map_or("", |t| t.0.as_str()).to_owned();
                point.stage = stage_of(&item.body.stage);
            }
            PointKind::Receiver(p) => point.stage = runs::stage(net, p),
            PointKind::Outfall(_) => point.stage = Stage::Existing,
            PointKind::Join(_) | PointKind::Knee | PointKind::Open => {}
        }
        self.deepen(point);
    }

    fn deepen(&self, point: &mut PointAt) {
        point.depth = point.surface.zip(point.il_out.or(point.il_in)).map(|(surface, il)| Known {
            value: surface.value.above(il.value),
            half: surface.half + il.half,
            how: surface.how.with(il.how),
        });
    }

    /// The pipes that join a pipe at a known place and the changes of its gradient, by their places.
    fn joins(&mut self, net: &Network<'_>, i: usize, chainage: Option<Known<Length>>) {
        let Some(piece) = self.pieces.get(i) else { return };
        let mut found: Vec<PointAt> = Vec::new();
        for j in net.feeding.get(piece.leg).cloned().unwrap_or_default() {
            let Some(along) = stations::joins_at(net, j, piece.leg) else { continue };
            let mut point = Self::blank(PointKind::Join(j), net.id(j), i, None);
            point.along = along.value;
            point.stage = runs::stage(net, j);
            point.chainage = chainage.map(|c| Known {
                value: c.value + along.value,
                half: c.half + along.half,
                how: c.how.with(along.how),
            });
            (point.arrives, point.leaves) = (true, true);
            point.il_in = on(self.datum, net.solved(j).down);
            point.soffit_in = soffit(point.il_in, net.legs.get(j).and_then(|l| l.bore));
            point.il_out = stations::at_station(piece, along.value);
            point.soffit_out = soffit(point.il_out, piece.bore);
            found.push(point);
        }
        for (along, level) in &piece.knees {
            let mut point = Self::blank(PointKind::Knee, "", i, None);
            point.along = along.value;
            point.stage = piece.stage;
            point.chainage = chainage.map(|c| Known { value: c.value + along.value, half: c.half + along.half, ..c });
            (point.arrives, point.leaves) = (true, true);
            (point.il_in, point.il_out) = (*level, *level);
            point.soffit_in = soffit(*level, piece.bore);
            point.soffit_out = point.soffit_in;
            found.push(point);
        }
        found.sort_by_key(|p| p.along);
        self.points.extend(found);
    }

    /// Pipes at a chamber that are not of this run, with their invert there where this datum knows it.
    pub(super) fn entries(&self, net: &Network<'_>, access: usize) -> Vec<(usize, Option<i64>)> {
        let stub = match self.tail {
            Tail::Chamber(a, out) if a == access => out,
            Tail::Chamber(..) | Tail::Outfall(_) | Tail::Joins(_) | Tail::Open => None,
        };
        let other = |i: &usize| {
            !self.pieces.iter().any(|p| p.leg == *i) && Some(*i) != stub && runs::stage(net, *i) != Stage::Removed
        };
        (0..net.legs.len())
            .filter(other)
            .filter_map(|i| {
                let ends = net.legs.get(i)?.ends;
                let solved = net.solved(i);
                let level = |h| on(self.datum, h).map(|l: Known<Level<Invert>>| l.value.um());
                match (ends.to == End::Access(access), ends.from == End::Access(access)) {
                    (true, _) => Some((i, level(solved.down))),
                    (false, true) => Some((i, level(solved.up))),
                    (false, false) => None,
                }
            })
            .collect()
    }

    /// A level as the sheet writes it: above the datum, else over the first point, which is `start`.
    pub(super) fn shown<L>(&self, level: Known<Level<L>>) -> String {
        let told = match self.datum {
            Datum::Site => level.value.metres(3),
            Datum::Floating(_) | Datum::Bare => {
                let over = Length::from_um(level.value.um().saturating_sub(self.zero));
                if over == Length::ZERO {
                    return "start".to_owned();
                }
                let sign = if over > Length::ZERO { "+" } else { "" };
                format!("{sign}{}", over.metres(3))
            }
        };
        words::about(level.how, told)
    }

    /// Ids at both ends: of the first point and of the last.
    pub(super) fn names(&self) -> (String, String) {
        let name = |p: Option<&PointAt>| match p {
            Some(p) if p.kind == PointKind::Open => "unknown end".to_owned(),
            Some(p) if matches!(p.kind, PointKind::Foot(_)) => format!("{} foot", p.id),
            Some(p) => p.id.clone(),
            None => String::new(),
        };
        (name(self.points.first()), name(self.points.last()))
    }
}

/// The soffit over an invert.
fn soffit(il: Option<Known<Level<Invert>>>, bore: Option<Length>) -> Option<Known<Level<Soffit>>> {
    il.zip(bore).map(|(il, bore)| Known { value: il.value.to(bore), half: il.half, how: il.how })
}
