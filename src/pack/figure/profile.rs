//! The section itself: pipes as soffit and invert, feet, chambers, joins seen end on, surfaces.

use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::units::Length;
use crate::network::Network;
use crate::pack::figure::layout::Frame;
use crate::pack::figure::layout::Part;
use crate::pack::figure::layout::is_shortened;
use crate::pack::figure::layout::points_of;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::model::Section;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::sheet::TagStyle;
use crate::record::words::Stage;

/// A section being drawn on a sheet.
pub(super) struct Profile<'a> {
    pub(super) net: &'a Network<'a>,
    pub(super) section: &'a Section,
    pub(super) part: &'a Part,
    pub(super) frame: &'a Frame,
    pub(super) sheet: &'a mut Sheet,
    /// Where labels may stand.
    pub(super) area: Rect,
    /// Where depth dimensions stand, so that brackets end before them.
    pub(super) depths: Vec<f64>,
    /// What was taken and not measured, for the notes.
    pub(super) notes: Vec<String>,
    /// Whether it is a side drain's small section, which has no strip: its levels and length stand beside it.
    pub(super) small: bool,
}

/// The pen of a pipe's walls.
pub(super) fn wall_pen(stage: Stage) -> Pen {
    match stage {
        Stage::Planned => Pen::WallPlanned,
        Stage::Existing => Pen::WallExisting,
        Stage::Temporary => Pen::Temporary,
        Stage::Installed | Stage::Removed => Pen::Wall,
    }
}

fn sign(stage: Stage) -> Sign {
    match stage {
        Stage::Planned => Sign::Planned,
        Stage::Existing => Sign::Existing,
        Stage::Temporary => Sign::Temporary,
        Stage::Installed | Stage::Removed => Sign::Laid,
    }
}

/// The tag of something at a stage.
pub(super) fn style(pipe: bool, stage: Stage) -> TagStyle {
    TagStyle { pipe, existing: stage == Stage::Existing, planned: stage == Stage::Planned }
}

impl<'a> Profile<'a> {
    /// The points of this sheet.
    pub(super) fn points(&self) -> Vec<&'a PointAt> {
        points_of(self.section, &self.part.pieces)
    }

    /// Half the width of a point's chamber or pipe on paper.
    pub(super) fn half(&self, point: &PointAt) -> f64 {
        match point.kind {
            PointKind::Chamber(a) => {
                let across = self.net.record.access.at(a).and_then(|x| x.body.across.get());
                across.map_or(1.8, |w| (self.frame.wide(w.a) / 2.0).clamp(0.9, 3.4))
            }
            PointKind::Foot(_) | PointKind::Appliance(_) => self.upright(point) / 2.0,
            PointKind::Outfall(_) | PointKind::Join(_) | PointKind::Receiver(_) | PointKind::Knee | PointKind::Open => {
                0.0
            }
        }
    }

    fn upright(&self, point: &PointAt) -> f64 {
        let bore = self.section.pieces.get(point.piece).and_then(|p| p.drawn);
        bore.map_or(0.88, |b| self.frame.wide(b).clamp(0.88, 3.0))
    }

    pub(super) fn x(&self, point: &PointAt) -> f64 {
        self.frame.x(self.section, point)
    }

    /// Draws everything but the labels.
    pub(super) fn shapes(&mut self) {
        self.surfaces();
        for i in self.part.pieces.clone() {
            self.pipe(i);
        }
        for point in self.points() {
            match point.kind {
                PointKind::Foot(_) => self.foot(point, true),
                PointKind::Appliance(_) => self.foot(point, false),
                PointKind::Chamber(a) => self.chamber(point, a),
                PointKind::Join(j) if point.along > Length::ZERO => self.join(point, j),
                PointKind::Receiver(_) => self.receiver(point),
                PointKind::Open | PointKind::Outfall(_) => self.open(point),
                PointKind::Join(_) | PointKind::Knee => {}
            }
        }
    }

    /// The pipe's two walls with a white core; one line where its size is not known; a stub where a level is not.
    fn pipe(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let (from, to) = self.frame.ends(i);
        let (left, right) = self.clear_of_chambers(i, from, to);
        let stub = 6.0_f64.min((to - from) * 0.6);
        let ys = |um: i64| self.frame.y(um);
        let (a, b) = match (piece.up, piece.down) {
            (Some(up), Some(down)) => ((left, ys(up.value.um())), (right, ys(down.value.um()))),
            (Some(up), None) => ((left, ys(up.value.um())), (left + stub, ys(up.value.um()) + 0.3)),
            (None, Some(down)) => ((right - stub, ys(down.value.um()) - 0.3), (right, ys(down.value.um()))),
            (None, None) => return,
        };
        let bore = piece.drawn.map(|d| self.frame.tall(d).max(0.6));
        let bends = self.bends(i, a, b);
        for pair in bends.windows(2) {
            if let [a, b] = pair {
                self.walls(*a, *b, bore, piece.stage);
            }
        }
        let h = bore.unwrap_or(0.0);
        let middle = |at: f64| (a.0 + (b.0 - a.0) * at, a.1 + (b.1 - a.1) * at - h / 2.0);
        match (piece.up, piece.down) {
            (Some(_), None) => self.sheet.break_strokes(middle(1.0), h + 2.4),
            (None, Some(_)) => self.sheet.break_strokes(middle(0.0), h + 2.4),
            _ if piece.length.is_none() || is_shortened(self.section, i) => {
                self.sheet.break_strokes(middle(0.5), h + 2.4);
            }
            _ => {}
        }
        if is_shortened(self.section, i) {
            self.notes.push(format!("{}: shortened by a break, so its slope is drawn too steep.", piece.id));
        }
    }

    /// Where a pipe bends between its ends as drawn; its ends alone where an invert between them is not known.
    fn bends(&self, i: usize, a: Spot, b: Spot) -> Vec<Spot> {
        let Some(piece) = self.section.pieces.get(i) else { return vec![a, b] };
        let (from, to) = self.frame.ends(i);
        let whole = piece.length.map_or(0.0, |l| l.value.m()).max(0.001);
        let knees = piece.knees.iter().filter_map(|(along, level)| {
            let x = from + (to - from) * (along.value.m() / whole);
            level.map(|l| (x, self.frame.y(l.value.um())))
        });
        let both = piece.up.is_some() && piece.down.is_some() && piece.length.is_some();
        let knees: Vec<Spot> = knees.filter(|k| both && k.0 > a.0 && k.0 < b.0).collect();
        std::iter::once(a).chain(knees).chain(std::iter::once(b)).collect()
    }

    /// The ground along this sheet's pipes where it was levelled between the covers.
    fn levelled(&self) -> Vec<Spot> {
        let mut all = Vec::new();
        for i in self.part.pieces.clone() {
            let Some(piece) = self.section.pieces.get(i) else { continue };
            let (from, to) = self.frame.ends(i);
            let whole = piece.length.map_or(0.0, |l| l.value.m()).max(0.001);
            let at = |along: Length| from + (to - from) * (along.m() / whole).clamp(0.0, 1.0);
            all.extend(piece.ground.iter().map(|(along, level)| (at(*along), self.frame.y(level.value.um()))));
        }
        all
    }

    /// The ground as it was levelled along the drains, in one stroke; `None` where it was levelled at the covers only.
    fn ground_line(&mut self) -> Option<(f64, f64)> {
        let line = self.levelled();
        let ends = line.first().zip(line.last()).map(|(a, b)| (a.0, b.0));
        let boxes: Vec<(f64, f64)> = self
            .points()
            .iter()
            .filter(|p| matches!(p.kind, PointKind::Chamber(_)) && p.surface.is_some())
            .map(|p| (self.x(p), self.half(p)))
            .collect();
        // The line ends at the faces of the chambers, whose covers it meets.
        let faced = |(x, y): Spot| {
            let near = boxes.iter().find(|(at, half)| (x - at).abs() <= *half);
            near.map_or(vec![(x, y)], |(at, half)| vec![(at - half, y), (at + half, y)])
        };
        let line: Vec<Spot> = line.into_iter().flat_map(faced).collect();
        let inside = |x: f64| boxes.iter().any(|(at, half)| x > at - half && x < at + half);
        for pair in line.windows(2) {
            if let [a, b] = pair
                && b.0 > a.0
                && !inside((a.0 + b.0) / 2.0)
            {
                self.sheet.line(Layer::Structure, Pen::Ground, &[*a, *b]);
            }
        }
        ends
    }

    /// A pipe's two walls from invert to invert, or one line.
    pub(super) fn walls(&mut self, a: (f64, f64), b: (f64, f64), bore: Option<f64>, stage: Stage) {
        let pen = wall_pen(stage);
        if let Some(h) = bore {
            let (c, d) = ((a.0, a.1 - h), (b.0, b.1 - h));
            self.sheet.fill(Layer::Core, Paint::Paper, &[a, b, d, c]);
            self.sheet.line(Layer::Pipe, pen, &[c, d]);
            // Words inside the bore would stand on the pipe.
            self.sheet.lines.push(((a.0, a.1 - h / 2.0), (b.0, b.1 - h / 2.0)));
        }
        self.sheet.line(Layer::Pipe, pen, &[a, b]);
        self.sheet.signs.insert(sign(stage));
    }

    /// Where a pipe's walls begin and end beside the chambers at its ends.
    fn clear_of_chambers(&self, i: usize, from: f64, to: f64) -> (f64, f64) {
        let half = |p: Option<&PointAt>| match p {
            Some(p) if matches!(p.kind, PointKind::Chamber(_) | PointKind::Foot(_) | PointKind::Appliance(_)) => {
                self.half(p)
            }
            _ => 0.0,
        };
        let start = self.section.points.iter().find(|p| p.piece == i && !p.end);
        let end = self.section.points.iter().find(|p| (p.piece == i && p.end) || (p.piece == i + 1 && !p.end));
        let (l, r) = (from + half(start), to - half(end));
        if l < r { (l, r) } else { (from, to) }
    }

    /// A stack's foot or an appliance's pipe, standing on the upper end of its drain.
    fn foot(&mut self, point: &PointAt, stack: bool) {
        let Some(il) = point.il_out else { return };
        let (x, half) = (self.x(point), self.half(point));
        let bore = self.section.pieces.get(point.piece).and_then(|p| p.drawn).map_or(0.6, |d| self.frame.tall(d));
        let bottom = self.frame.y(il.value.um());
        let floor = point.surface.map(|s| self.frame.y(s.value.um()));
        let top = match (floor, stack) {
            (Some(f), true) => f - 12.0,
            (Some(f), false) => f - 1.5,
            (None, _) => bottom - bore - 14.0,
        };
        let top = top.min(bottom - bore - 3.0);
        let pen = wall_pen(point.stage);
        let core = Rect { x0: x - half, y0: top, x1: x + half, y1: bottom };
        self.sheet.block(Layer::Core, Paint::Paper, core);
        self.sheet.line(Layer::Pipe, pen, &[(x - half, top), (x - half, bottom), (x + half, bottom)]);
        self.sheet.line(Layer::Pipe, pen, &[(x + half, top), (x + half, bottom - bore)]);
        self.sheet.signs.insert(sign(point.stage));
        if stack || floor.is_none() {
            self.upright_break(x, top + 1.0);
        }
    }

    fn upright_break(&mut self, x: f64, y: f64) {
        let core = [(x - 1.5, y - 0.7), (x + 1.5, y + 0.2), (x + 1.5, y + 1.1), (x - 1.5, y + 0.2)];
        self.sheet.fill(Layer::Symbol, Paint::Paper, &core);
        self.sheet.line(Layer::Symbol, Pen::Box, &[(x - 1.5, y - 0.8), (x + 1.5, y + 0.1)]);
        self.sheet.line(Layer::Symbol, Pen::Box, &[(x - 1.5, y + 0.3), (x + 1.5, y + 1.2)]);
        self.sheet.signs.insert(Sign::Break);
    }

    /// The lowest invert of all pipes at a chamber, in micrometres.
    fn lowest(&self, point: &PointAt, access: usize) -> Option<i64> {
        let others = self.entries(access).into_iter().filter_map(|(_, level)| level);
        let own = [point.il_in, point.il_out].into_iter().flatten().map(|l| l.value.um());
        own.chain(others).min()
    }

    /// A chamber from its cover to its lowest invert; broken off where either is not known.
    fn chamber(&mut self, point: &PointAt, access: usize) {
        let (x, half) = (self.x(point), self.half(point));
        let cover = point.surface.map(|s| self.frame.y(s.value.um()));
        let base = self.lowest(point, access).map(|um| self.frame.y(um));
        let top = cover.unwrap_or_else(|| base.map_or(self.frame.y(self.frame.high), |b| b - 14.0));
        let bottom = base.unwrap_or_else(|| cover.map_or(self.frame.y_base - 4.0, |c| c + 14.0));
        let unsure = cover.is_none() && base.is_none();
        let existing = point.stage == Stage::Existing;
        let pen = if unsure { Pen::StructureUnsure } else { wall_pen(point.stage) };
        let open = existing || base.is_none();
        let bottom_face = if open { bottom + 1.4 } else { bottom };
        self.sheet.block(Layer::Core, Paint::Paper, Rect { x0: x - half, y0: top, x1: x + half, y1: bottom_face });
        let sides: &[f64] = if existing { &[0.0, 0.9] } else { &[0.0] };
        for out in sides {
            for side in [x - half - out, x + half + out] {
                self.sheet.line(Layer::Symbol, pen, &[(side, top), (side, bottom_face)]);
            }
        }
        self.sheet.boxes.push(Rect { x0: x - half, y0: top.min(bottom), x1: x + half, y1: top.max(bottom) });
        if open {
            self.sheet.zigzag(x - half - 0.6, x + half + 0.6, bottom_face);
        } else {
            self.sheet.line(Layer::Symbol, pen, &[(x - half, bottom), (x + half, bottom)]);
        }
        match cover {
            Some(y) => self.sheet.line(Layer::Symbol, Pen::Cover, &[(x - half - 1.2, y), (x + half + 1.2, y)]),
            None => self.sheet.zigzag(x - half - 0.6, x + half + 0.6, top),
        }
        self.sheet.signs.insert(if unsure { Sign::Unsure } else { sign(point.stage) });
        if self.drops_at(point) {
            self.backdrop(point);
        } else if let (Some(i), Some(o)) = (point.il_in, point.il_out) {
            let (i, o) = (self.frame.y(i.value.um()), self.frame.y(o.value.um()));
            self.sheet.faint(Layer::Symbol, Pen::Fine, &[(x - half, i), (x, o), (x + half, o)]);
        }
        for (leg, level) in self.entries(access) {
            if let Some(um) = level {
                self.end_on(leg, (x, self.frame.y(um)), half);
            }
        }
    }

    /// Pipes at a chamber that are not of this run, with their invert there.
    pub(super) fn entries(&self, access: usize) -> Vec<(usize, Option<i64>)> {
        self.section.entries(self.net, access)
    }

    /// A pipe seen end on, standing on its invert.
    fn end_on(&mut self, leg: usize, foot: (f64, f64), widest: f64) {
        let drawn = self.net.legs.get(leg).and_then(|l| l.bore.or(l.nominal.map(|n| Length::from_mm(i64::from(n.0)))));
        let rx = drawn.map_or(0.55, |d| (self.frame.wide(d) / 2.0).max(0.55)).min(widest.max(0.55));
        let ry = drawn.map_or(0.55, |d| (self.frame.tall(d) / 2.0).max(0.55));
        self.sheet.ellipse(Layer::Symbol, (foot.0, foot.1 - ry), (rx, ry), Some(Pen::Fine), Some(Paint::Paper));
        self.sheet.boxes.push(Rect { x0: foot.0 - rx, y0: foot.1 - 2.0 * ry, x1: foot.0 + rx, y1: foot.1 });
        self.sheet.signs.insert(Sign::EndOn);
    }

    fn join(&mut self, point: &PointAt, leg: usize) {
        if let Some(il) = point.il_in {
            self.end_on(leg, (self.x(point), self.frame.y(il.value.um())), 2.0);
        }
    }

    /// The drain that the run joins, seen end on at its lower end.
    fn receiver(&mut self, point: &PointAt) {
        let PointKind::Receiver(leg) = point.kind else { return };
        if let Some(il) = point.il_in {
            self.end_on(leg, (self.x(point), self.frame.y(il.value.um())), 2.0);
        }
    }

    /// An end beyond which nothing is drawn.
    fn open(&mut self, point: &PointAt) {
        let bore = self.section.pieces.get(point.piece).and_then(|p| p.drawn).map_or(0.0, |d| self.frame.tall(d));
        if let Some(il) = point.il_out.or(point.il_in) {
            let y = self.frame.y(il.value.um()) - bore / 2.0;
            let inward = if point.end { -0.8 } else { 0.8 };
            self.sheet.break_strokes((self.x(point) + inward, y), bore + 2.4);
        }
    }

    /// Floors at heads of drain, and the ground between covers, levelled at the covers only.
    fn surfaces(&mut self) {
        let line = self.ground_line();
        let drawn = |a: f64, b: f64| line.is_some_and(|(from, to)| from < b - 0.5 && to > a + 0.5);
        let points = self.points();
        let levelled: Vec<&&PointAt> = points.iter().filter(|p| p.surface.is_some()).collect();
        for pair in levelled.windows(2) {
            let [a, b] = pair else { continue };
            let (Some(sa), Some(sb)) = (a.surface, b.surface) else { continue };
            let (ya, yb) = (self.frame.y(sa.value.um()), self.frame.y(sb.value.um()));
            let (xa, xb) = (self.x(a) + self.half(a), self.x(b) - self.half(b));
            if drawn(xa, xb) && matches!(a.kind, PointKind::Chamber(_)) {
                continue;
            }
            if matches!(a.kind, PointKind::Chamber(_)) {
                self.sheet.line(Layer::Structure, Pen::GroundUnsure, &[(xa, ya), (xb, yb)]);
                self.sheet.signs.insert(Sign::Unsure);
                continue;
            }
            let face = self.wall_faces(a.piece).map(|(l, r, _)| (l, r));
            let (inner, outer) = face.unwrap_or((xa + 14.0, xa + 16.0));
            if inner < xb {
                self.sheet.line(Layer::Structure, Pen::Ground, &[(self.x(a) - 3.6, ya), (inner, ya)]);
            }
            if outer < xb - 2.0 && !drawn(outer, xb) {
                self.sheet.line(Layer::Structure, Pen::GroundUnsure, &[(outer, yb), (xb, yb)]);
                self.sheet.signs.insert(Sign::Unsure);
            }
            if face.is_none() && inner < xb {
                self.sheet.zigzag(inner + 0.2, inner + 1.4, ya);
            }
        }
        if let [only] = levelled.as_slice()
            && !matches!(only.kind, PointKind::Chamber(_))
            && let Some(s) = only.surface
        {
            let (x, y) = (self.x(only), self.frame.y(s.value.um()));
            self.sheet.line(Layer::Structure, Pen::Ground, &[(x - 9.0, y), (x + 5.0, y)]);
            self.sheet.zigzag(x + 5.0, x + 8.0, y);
        }
    }
}
