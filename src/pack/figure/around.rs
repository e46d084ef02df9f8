//! What stands around a section: tags, depths, labels of pipes and joins, walls, services, match lines.
//!
//! Longer than most files: each piece of writing keeps clear of those before it, so they are placed in one pass.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::units::Length;
use crate::network::crossings::Crossing;
use crate::network::height::Height;
use crate::pack::figure::label::Label;
use crate::pack::figure::model;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::profile::style;
use crate::pack::figure::runs;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;
use crate::record::quantity::Across;
use crate::record::quantity::Measure;
use crate::record::value::Scalar;
use crate::record::words::Stage;

/// From a point to its depth dimension, the usual place first.
const DEPTH_AT: [f64; 8] = [7.6, 9.2, 6.0, 11.0, -8.0, -6.2, -10.0, 4.6];
/// Where along a dimension its figure stands.
const FIGURE_AT: [f64; 5] = [0.5, 0.38, 0.62, 0.27, 0.75];

impl Profile<'_> {
    /// Places every label, the ranks that never drop first.
    pub(super) fn labels(&mut self) {
        let ranks = self.part.pieces.clone();
        let walls: Vec<(usize, f64)> = ranks.clone().filter_map(|i| self.wall_band(i).map(|top| (i, top))).collect();
        for point in self.points() {
            self.name(point);
        }
        for point in self.points() {
            self.stub_out(point);
        }
        self.match_lines();
        for i in ranks.clone() {
            let top = walls.iter().find(|(at, _)| *at == i).map(|(_, top)| *top);
            self.walls_crossed(i, top);
        }
        for point in self.points() {
            if self.small {
                self.invert(point);
            }
            self.depth(point);
        }
        for i in ranks.clone() {
            self.pipe_label(i);
        }
        for point in self.points() {
            self.join_label(point);
            self.chamber_labels(point);
        }
        for i in ranks {
            self.services(i);
            self.unplaced_joins(i);
        }
        for point in self.points() {
            self.floor(point);
        }
        self.ground_words();
    }

    /// The floor that a stack's foot is measured from.
    fn floor(&mut self, point: &PointAt) {
        let (PointKind::Foot(_), Some(s)) = (point.kind, point.surface) else { return };
        let (x, y) = (self.x(point), self.frame.y(s.value.um()) - 5.0);
        let words = floor_words(point);
        let lines: Vec<&str> = words.iter().map(String::as_str).collect();
        let label = Label::of(8, &lines);
        let (w, _) = label.size();
        let spots = [(x + 1.6, y), (x + 1.6, y - 2.0), (x + 1.6, y + 6.0), (x + 12.0, y + 6.0), (x + 9.0 - w, y - 6.0)];
        if self.any_free(&label, &spots) {
            label.place(self.sheet, &spots, None, &self.area);
        }
    }

    /// The tag of a point, over its cover or its pipe.
    fn name(&mut self, point: &PointAt) {
        let x = self.x(point);
        let top = match (point.surface, point.kind) {
            (Some(s), PointKind::Foot(_)) => self.frame.y(s.value.um()) - 12.0,
            (Some(s), PointKind::Appliance(_)) => self.frame.y(s.value.um()) - 1.6,
            (Some(s), _) => self.frame.y(s.value.um()) - 0.6,
            (None, _) => point
                .il_out
                .or(point.il_in)
                .map_or(self.frame.y(self.frame.high), |l| self.frame.y(l.value.um()) - 20.0),
        };
        let (rank, lines) = match point.kind {
            PointKind::Foot(_) => (1, vec!["stack, see elevation".to_owned()]),
            PointKind::Chamber(_) => (1, self.state_words(point)),
            PointKind::Appliance(_) => (1, floor_words(point)),
            PointKind::Outfall(o) => {
                let what = self.net.record.outfalls.at(o).and_then(|x| x.body.what.get());
                (1, what.map(|w| vec![w.0.clone()]).unwrap_or_default())
            }
            PointKind::Receiver(_) => return self.receiver_label(point),
            PointKind::Open => return self.open_label(point),
            PointKind::Join(_) => return,
        };
        let label = Label::tagged(rank, &point.id, style(false, point.stage), &lines);
        let (w, h) = label.size();
        let own = Sheet::tag_width(&point.id);
        let lift = h + if point.stage == Stage::Existing { 1.2 } else { 0.7 };
        let mut spots: Vec<Spot> = Vec::new();
        for tier in 0..5 {
            let y = top - lift - 5.2 * f64::from(tier);
            spots.extend([(x - own / 2.0, y), (x - w + 3.0, y), (x - 3.0, y)]);
            if point.end {
                spots.push((168.9 - w, y));
            }
        }
        let bare = Label { lines: Vec::new(), ..label.clone() };
        let hides = matches!(point.kind, PointKind::Foot(_));
        if hides && !self.any_free(&label, &spots) {
            bare.place(self.sheet, &spots, Some((x, top)), &self.area);
        } else {
            label.place(self.sheet, &spots, Some((x, top)), &self.area);
        }
    }

    fn any_free(&self, label: &Label, spots: &[Spot]) -> bool {
        let (w, h) = label.size();
        spots.iter().any(|(x, y)| self.sheet.is_free(Rect::new(*x, *y, w, h), &self.area))
    }

    fn state_words(&self, point: &PointAt) -> Vec<String> {
        let mut words = match point.stage {
            Stage::Existing => vec!["existing".to_owned()],
            Stage::Planned => vec!["planned".to_owned()],
            Stage::Temporary => vec!["temporary".to_owned()],
            Stage::Installed | Stage::Removed => Vec::new(),
        };
        if point.surface.is_none() && self.section.datum == model::Datum::Site {
            words.push("cover level not recorded".to_owned());
        }
        words
    }

    fn receiver_label(&mut self, point: &PointAt) {
        let x = self.x(point);
        let il = point.il_in.map_or("level not recorded".to_owned(), |l| format!("IL {}", self.section.shown(l)));
        let label = Label::tagged(1, &point.id, style(true, point.stage), &["end on".to_owned(), il]);
        let y = point.il_in.map_or(self.frame.y_base - 12.0, |l| self.frame.y(l.value.um()) - 4.0);
        label.place(self.sheet, &[(x + 2.4, y - 1.0), (x + 2.4, y - 5.0)], Some((x, y)), &self.area);
    }

    fn open_label(&mut self, point: &PointAt) {
        let words = if point.end { "where it goes is not known" } else { "where it comes from is not known" };
        let x = self.x(point);
        let y = point.il_out.or(point.il_in).map_or(self.frame.y_base - 12.0, |l| self.frame.y(l.value.um()) - 12.0);
        Label::of(2, &[words]).place(self.sheet, &[(x + 1.0, y), (x + 1.0, y - 5.0)], Some((x, y + 8.0)), &self.area);
    }

    /// Floor or cover to invert, right of the point, left at the last.
    fn depth(&mut self, point: &PointAt) {
        let (Some(depth), Some(surface)) = (point.depth, point.surface) else { return };
        let Some(il) = point.il_out.or(point.il_in) else { return };
        let (top, bottom) = (self.frame.y(surface.value.um()), self.frame.y(il.value.um()));
        let told = words::about(depth.how, depth.value.metres(3));
        let (x, half) = (self.x(point), self.half(point));
        let last = point.end;
        let w = words::width(&told, false, SIZE);
        let left = self.small;
        for dx in DEPTH_AT {
            let at =
                x + if last || left { -dx } else { dx } + if dx > 0.0 && !last && !left { half - 0.9 } else { 0.0 };
            let line = Rect { x0: at - 0.9, y0: top + 0.6, x1: at + 0.9, y1: bottom - 0.6 };
            if self.sheet.boxes.iter().any(|b| b.meets(&line)) {
                continue;
            }
            for (f, beside) in [0.0, -1.0, 1.0].iter().flat_map(|b| FIGURE_AT.map(|f| (f, *b))) {
                let y = top + (bottom - top) * f;
                let middle = at + beside * (w / 2.0 + 1.0);
                let r = Rect { x0: middle - w / 2.0, y0: y - 1.5, x1: middle + w / 2.0, y1: y + 1.5 };
                if self.sheet.is_free(r.grown(0.3), &self.area) {
                    self.dimension((x, half), at, (top, bottom), (middle, y), &told);
                    return;
                }
            }
        }
    }

    /// The invert at the head of a small section, which no strip tells.
    fn invert(&mut self, point: &PointAt) {
        let (Some(il), false) = (point.il_out, point.end) else { return };
        let told = format!("IL {}", self.section.shown(il));
        let label = Label::of(3, &[&told]);
        let (w, _) = label.size();
        let (x, y) = (self.x(point), self.frame.y(il.value.um()));
        let spots = [(x - w - 2.4, y - 3.4), (x - w - 2.4, y - 1.0), (x - w - 2.4, y + 1.0)];
        label.place(self.sheet, &spots, Some((x, y)), &self.area);
    }

    fn dimension(&mut self, (x, half): Spot, at: f64, (top, bottom): Spot, (middle, y): Spot, told: &str) {
        let beyond = if at > x { 0.8 } else { -0.8 };
        let from = if at > x { x + half + 0.6 } else { x - half - 0.6 };
        self.sheet.line(Layer::Dimension, Pen::Thin, &[(at, top), (at, bottom)]);
        for end in [top, bottom] {
            self.sheet.faint(Layer::Dimension, Pen::Thin, &[(from, end), (at + beyond, end)]);
            self.sheet.tick((at, end));
        }
        let w = words::width(told, false, SIZE);
        let gap = Rect { x0: middle - w / 2.0 - 0.3, y0: y - 1.7, x1: middle + w / 2.0 + 0.3, y1: y + 1.7 };
        self.sheet.block(Layer::Knock, Paint::Paper, gap);
        self.sheet.text(middle, y + 1.27, Anchor::Middle, told, Face::Regular, SIZE);
        self.depths.push(at);
    }

    /// A pipe's tag with its gradient and arrow, over the soffit at mid-run, else under the invert with a leader.
    fn pipe_label(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let pipe = self.net.legs.get(piece.leg).map_or(0, |l| l.pipe);
        let line = match &piece.gradient {
            Some(g) => {
                let flat = g.value.fall() == Length::ZERO;
                let each = if flat { String::new() } else { format!(" = {}\u{a0}mm/m", g.value.mm_per_m()) };
                format!("{}{each}", words::gradient(self.net.record, pipe, g))
            }
            None => "fall unknown".to_owned(),
        };
        let short = line.split(" = ").next().unwrap_or("").to_owned();
        let mut lines = vec![if self.small { short.clone() } else { line }];
        if self.small {
            lines.insert(0, piece.length.map_or("length unknown".to_owned(), words::metres));
        }
        match piece.stage {
            Stage::Existing => lines.push("existing".to_owned()),
            Stage::Planned => lines.push("planned".to_owned()),
            Stage::Temporary => lines.push("temporary".to_owned()),
            Stage::Installed | Stage::Removed => {}
        }
        if piece.up.is_none() && piece.down.is_none() {
            lines.push("level not recorded".to_owned());
        }
        let mut label = Label::tagged(1, &piece.id, style(true, piece.stage), &lines);
        label.arrow = true;
        let (from, to) = self.frame.ends(i);
        if self.soffit_y(i, 0.0).is_none() {
            return self.bracketed(&label, from, to, self.frame.y_base - 10.0);
        }
        // Shortened before it is led away from its pipe.
        let mut shorter = label.clone();
        if let Some(first) = shorter.lines.first_mut().filter(|_| !self.small) {
            *first = words::clean(&short);
        }
        for tried in [&label, &shorter] {
            let over = self.over_soffit(i, tried);
            if let Some(spot) = over.into_iter().find(|s| self.any_free(tried, &[*s])) {
                tried.place(self.sheet, &[spot], None, &self.area);
                return;
            }
        }
        let Some(a) = self.soffit_y(i, 0.0) else { return };
        let b = self.soffit_y(i, 1.0).unwrap_or(a);
        let bore = piece.drawn.map_or(0.0, |d| self.frame.tall(d).max(0.6));
        // A small section has its room over the pipe, a whole one under it.
        let (deep, away) = if self.small { (0.0, [-20.0, -16.0, -25.0]) } else { (bore, [9.0, 6.0, 12.0]) };
        let object = (from + (to - from) * 0.4, a + (b - a) * 0.4 + deep);
        let under: Vec<Spot> =
            away.iter().map(|dy| (object.0 - Sheet::tag_width(&piece.id) / 2.0, object.1 + dy)).collect();
        let free = under.iter().any(|s| self.any_free(&label, &[*s]));
        if free { label } else { shorter }.lead(self.sheet, &under, object, &self.area);
    }

    /// Places over a pipe's soffit that a label may stand in, from the middle outwards.
    fn over_soffit(&self, i: usize, label: &Label) -> Vec<Spot> {
        let (w, h) = label.size();
        let (from, to) = self.frame.ends(i);
        let (Some(a), Some(b)) = (self.soffit_y(i, 0.0), self.soffit_y(i, 1.0)) else { return Vec::new() };
        let height = |x: f64| a + (b - a) * ((x - from) / (to - from).max(0.1));
        [0.5, 0.45, 0.55, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7, 0.25, 0.75]
            .into_iter()
            .map(|at| from + (to - from) * at - w / 2.0)
            .filter(|l| *l > from + 1.0 && l + w < to - 1.0)
            .map(|l| (l, height(l).min(height(l + w)) - h - 1.4))
            .collect()
    }

    /// Height on paper of a pipe's soffit at a share of its length.
    fn soffit_y(&self, i: usize, share: f64) -> Option<f64> {
        let piece = self.section.pieces.get(i)?;
        let bore = piece.drawn.map_or(0.0, |d| self.frame.tall(d).max(0.6));
        let (up, down) = (piece.up.or(piece.down)?, piece.down.or(piece.up)?);
        let (a, b) = (self.frame.y(up.value.um()), self.frame.y(down.value.um()));
        Some(a + (b - a) * share - bore)
    }

    fn join_label(&mut self, point: &PointAt) {
        let PointKind::Join(leg) = point.kind else { return };
        let head = point.along == Length::ZERO && !point.end;
        let mut lines = vec![if head { "leads in here".to_owned() } else { "joins, seen end on".to_owned() }];
        match (point.il_in, point.il_out, point.soffit_out) {
            (None, _, _) if !head => lines = vec!["joins; its level not recorded".to_owned()],
            (Some(own), _, Some(soffit)) if own.value.above(soffit.value) > Length::ZERO => {
                let by = own.value.above(soffit.value);
                lines.push(format!("ends {}\u{a0}mm over the soffit", by.millimetres()));
            }
            (Some(own), Some(il), _) if il.value.above(own.value) > Length::ZERO => {
                lines.push(format!("ends {}\u{a0}mm under the invert", il.value.above(own.value).millimetres()));
            }
            _ => {}
        }
        let label = Label::tagged(1, &self.net.id(leg).to_owned(), style(true, point.stage), &lines);
        let x = self.x(point);
        let y = point.il_in.or(point.il_out).map_or(self.frame.y_base - 10.0, |l| self.frame.y(l.value.um()));
        let spots: Vec<Spot> = [4.6, 7.0, 10.0, 14.0].iter().map(|dy| (x + 1.8, y + dy)).collect();
        label.lead(self.sheet, &spots, (x, y), &self.area);
    }

    /// The other pipes of a chamber, a step up through it, and the drain that leaves the last one.
    fn chamber_labels(&mut self, point: &PointAt) {
        let PointKind::Chamber(access) = point.kind else { return };
        let (x, half) = (self.x(point), self.half(point));
        if let (Some(i), Some(o)) = (point.il_in, point.il_out)
            && o.value.above(i.value) > Length::ZERO
        {
            let rise = format!("rises {}\u{a0}mm through", o.value.above(i.value).millimetres());
            let y = self.frame.y(i.value.um());
            let label = Label::of(2, &[&rise, &point.id]);
            label.lead(self.sheet, &[(x + half + 2.4, y + 3.0), (x - 24.0, y + 3.0)], (x, y), &self.area);
        }
        for (leg, level) in self.entries(access) {
            let stage = runs::stage(self.net, leg);
            let into = self.net.legs.get(leg).is_some_and(|l| l.ends.to == crate::network::ends::End::Access(access));
            let way = if into { "in" } else { "out" };
            let id = self.net.id(leg).to_owned();
            match level {
                Some(um) => {
                    let label = Label::tagged(1, &id, style(true, stage), &[format!("{way}, end on")]);
                    let y = self.frame.y(um) - 0.6;
                    label.lead(
                        self.sheet,
                        &[(x + half + 3.0, y + 6.0), (x - half - 30.0, y + 6.0)],
                        (x, y),
                        &self.area,
                    );
                }
                None => {
                    let words = vec![format!("{way} at {},", words::tag(&point.id)), "level not recorded".to_owned()];
                    let mut label = Label::tagged(1, &id, style(true, stage), &words);
                    label.stub = true;
                    self.sheet.signs.insert(Sign::Break);
                    let (w, _) = label.size();
                    let y = self.frame.y_base - 18.0;
                    let spots = [(x - half - w - 2.0, y), (x - half - w - 2.0, y + 6.0), (x + half + 2.0, y)];
                    label.place(self.sheet, &spots, None, &self.area);
                }
            }
        }
    }

    /// The drain that leaves the last chamber: a stub with a break, and what is known of it.
    fn stub_out(&mut self, point: &PointAt) {
        let (true, runs::Tail::Chamber(_, Some(leg))) = (point.end, self.section.tail) else { return };
        let (x, half) = (self.x(point), self.half(point));
        let stage = runs::stage(self.net, leg);
        let drawn = self.net.legs.get(leg).and_then(|l| l.bore.or(l.nominal.map(|n| Length::from_mm(i64::from(n.0)))));
        let bore = drawn.map(|d| self.frame.tall(d));
        let mut object = None;
        if let Some(il) = point.il_out {
            let y = self.frame.y(il.value.um());
            let start = x + half + if point.stage == Stage::Existing { 0.9 } else { 0.0 };
            let end = (start + 4.4).min(168.0);
            self.walls((start, y), (end, y + 0.2), bore, stage);
            let h = bore.unwrap_or(0.0);
            self.sheet.break_strokes((end, y + 0.1 - h / 2.0), h + 2.2);
            object = Some((start + 1.2, y));
        }
        let pipe = self.net.legs.get(leg).map_or(0, |l| l.pipe);
        let fall = self.net.gradient(leg);
        let fall = fall.map_or("fall unknown".to_owned(), |g| words::gradient(self.net.record, pipe, &g));
        let label = Label::tagged(2, self.net.id(leg), style(true, stage), &[fall]);
        let (w, _) = label.size();
        let y = object.map_or(self.frame.y_base - 12.0, |o| o.1 + 3.0);
        let left = (169.0 - w).min(x + 2.0);
        let right = x + half + 3.4;
        let spots =
            [(left, y), (169.0 - w, y), (left, y + 1.0), (left, y + 2.4), (right, y - 12.0), (169.0 - w, y - 12.0)];
        label.place(self.sheet, &spots, object, &self.area);
    }

    /// Words over a bracket that spans a run: the place along it, or the level, is not recorded.
    fn bracketed(&mut self, label: &Label, from: f64, to: f64, lowest: f64) {
        let before = self.depths.iter().copied().filter(|d| *d > from && *d < (from + to) / 2.0);
        let x0 = before.fold(from + 2.4, |a, d| a.max(d + 4.2));
        let after = self.depths.iter().copied().filter(|d| *d < to && *d >= (from + to) / 2.0);
        let x1 = after.fold(to - 2.4, |a, d| a.min(d - 4.2)).max(x0 + 2.0);
        let (w, h) = label.size();
        let mut y = lowest;
        while y > self.area.y0 + h {
            let bracket = Rect { x0, y0: y - 0.2, x1, y1: y + 2.0 };
            if self.sheet.is_free(bracket, &self.area) {
                for x in [x0, (x0 + x1 - w) / 2.0, x1 - w] {
                    let r = Rect::new(x, y - h - 1.0, w, h);
                    if self.sheet.is_free(r, &self.area) {
                        self.sheet.line(Layer::Dimension, Pen::Zone, &[(x0, y + 2.0), (x0, y), (x1, y), (x1, y + 2.0)]);
                        label.place(self.sheet, &[(x, y - h - 1.0)], None, &self.area);
                        return;
                    }
                }
            }
            y -= 1.5;
        }
        label.place(self.sheet, &[], Some(((x0 + x1) / 2.0, lowest)), &self.area);
    }

    /// Services near a pipe: how far off is known, where along it is not.
    fn services(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let (from, to) = self.frame.ends(i);
        for item in &self.net.record.nearby {
            let Some(field) = item.body.from.get().and_then(|f| f.get(&piece.id)) else { continue };
            let what = item.body.what.get().map_or("service", |w| w.0.as_str());
            let far = match field.get() {
                Some(m) => words::about(
                    self.net.record.how(field),
                    format!("{} clear of {}", m.words(), words::tag(&piece.id)),
                ),
                None => format!("near {}, how far not known", words::tag(&piece.id)),
            };
            let lines = [format!("{what}, {far}:"), "place along it and level not recorded".to_owned()];
            let label = Label::tagged(2, &item.id, style(false, Stage::Installed), &lines);
            let lowest = self.soffit_y(i, 0.0).unwrap_or(self.frame.y_base - 10.0) - 8.0;
            self.bracketed(&label, from, to, lowest);
        }
    }

    /// Pipes that join somewhere along a pipe, the place not being recorded.
    fn unplaced_joins(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let (from, to) = self.frame.ends(i);
        for leg in self.net.feeding.get(piece.leg).cloned().unwrap_or_default() {
            let head =
                self.net.legs.get(piece.leg).is_some_and(|l| l.ends.from == crate::network::ends::End::Pipe(leg));
            let gone = runs::stage(self.net, leg) == Stage::Removed;
            if head || gone || model::joins_at(self.net, leg, piece.leg).is_some() {
                continue;
            }
            let words = format!("joins; place along {} not recorded", words::tag(&piece.id));
            let label =
                Label::tagged(1, &self.net.id(leg).to_owned(), style(true, runs::stage(self.net, leg)), &[words]);
            let lowest = self.soffit_y(i, 0.0).unwrap_or(self.frame.y_base - 10.0) - 8.0;
            self.bracketed(&label, from, to, lowest);
        }
    }

    /// Crossings of a pipe with a part of the building; those that only may be go to the notes.
    fn crossings(&self, i: usize) -> Vec<&Crossing> {
        let pipe = self.section.pieces.get(i).and_then(|p| self.net.legs.get(p.leg)).map(|l| l.pipe);
        let certain = |c: &&Crossing| Some(c.pipe) == pipe && (c.certain || c.penetration.is_some());
        self.net.crossings.iter().filter(certain).collect()
    }

    /// The faces of a wall on a pipe that can be placed by its chamber's tie: inner, outer, its element.
    pub(super) fn wall_faces(&self, i: usize) -> Option<(f64, f64, usize)> {
        let (from, to) = self.frame.ends(i);
        let crossing = self.crossings(i).into_iter().next()?;
        let element = self.net.record.elements.at(crossing.element)?;
        let tie = self.tie(i)?;
        let outer = to - self.frame.wide(tie);
        let inner = outer - self.frame.wide(element.body.thickness.get()?.value);
        (inner > from + 6.0 && outer < to - 2.0).then_some((inner, outer, crossing.element))
    }

    /// How far out of the wall the chamber at a pipe's lower end stands, by its tie: `1.9 m out from the door jamb`.
    fn tie(&self, i: usize) -> Option<Length> {
        let leg = self.section.pieces.get(i).and_then(|p| self.net.legs.get(p.leg))?;
        let crate::network::ends::End::Access(a) = leg.ends.to else { return None };
        let place = &self.net.record.access.at(a)?.body.place_from.get()?.0;
        let (distance, _) = place.split_once(" out from ")?;
        Measure::from_words(distance).ok().map(|m| m.value)
    }

    /// Draws the wall that can be placed along a pipe; says where its top is.
    fn wall_band(&mut self, i: usize) -> Option<f64> {
        let (inner, outer, element) = self.wall_faces(i)?;
        let crossing = self.crossings(i).into_iter().find(|c| c.element == element).cloned()?;
        Some(self.wall(i, &crossing, inner, outer))
    }

    fn walls_crossed(&mut self, i: usize, top: Option<f64>) {
        let faces = self.wall_faces(i);
        let crossings: Vec<Crossing> = self.crossings(i).into_iter().cloned().collect();
        for crossing in crossings {
            let record = self.net.record;
            let Some(element) = record.elements.at(crossing.element) else { continue };
            let with = crossing.penetration.and_then(|p| record.penetrations.at(p));
            let pipe = self.section.pieces.get(i).map_or("", |p| p.id.as_str());
            let with = with.map_or(", no penetration recorded".to_owned(), |p| format!(" with {}", words::tag(&p.id)));
            let what = element.body.what.get().map_or("", |t| t.0.as_str());
            let deep = if element.body.footing_underside.is_unknown() { "; underside of footing unknown" } else { "" };
            let style = style(false, Stage::Installed);
            match faces.filter(|f| f.2 == crossing.element).zip(top) {
                Some(((inner, outer, _), top)) => {
                    let by = self.section.pieces.get(i).and_then(|p| self.net.legs.get(p.leg));
                    let by = by.map_or("", |l| self.net.end_id(l.ends.to));
                    let one = format!("{what}{with}: place along {} not", words::tag(pipe));
                    let two = format!("recorded, taken from {}\u{2019}s tie{deep}", words::tag(by));
                    let label = Label::tagged(1, &element.id, style, &[one, two]);
                    let object = ((inner + outer) / 2.0, top + 3.0);
                    let spots: Vec<Spot> = [10.0, 12.0, 8.5, 14.0].iter().map(|d| (outer + 6.0, top - d)).collect();
                    label.lead(self.sheet, &spots, object, &self.area);
                }
                None => {
                    let one = format!("{what}{with}:");
                    let two = format!("place along {} not recorded{deep}", words::tag(pipe));
                    let label = Label::tagged(1, &element.id, style, &[one, two]);
                    let (from, to) = self.frame.ends(i);
                    let lowest = self.soffit_y(i, 0.0).unwrap_or(self.frame.y_base - 10.0) - 8.0;
                    self.bracketed(&label, from, to, lowest);
                }
            }
        }
    }

    /// A wall in section with its opening; says where its top is.
    fn wall(&mut self, i: usize, crossing: &Crossing, inner: f64, outer: f64) -> f64 {
        let record = self.net.record;
        let surfaces = self.points().into_iter().filter_map(|p| p.surface).map(|s| self.frame.y(s.value.um()));
        let top = surfaces.fold(self.frame.y(self.frame.high), f64::min) - 2.4;
        let footing = record.elements.at(crossing.element).and_then(|e| {
            let h: Option<Height<crate::base::units::Spot>> = self.net.height(&e.body.footing_underside, None);
            h.and_then(|h| h.absolute()).filter(|_| self.section.datum == model::Datum::Site)
        });
        let pipe_y = self.soffit_y(i, 0.5).unwrap_or(self.frame.y_base - 16.0);
        let lowest = self.frame.y_base - 2.0;
        let under = footing.map(|f| self.frame.y(f.um())).filter(|y| *y < lowest && *y > top);
        let bore = self.section.pieces.get(i).and_then(|p| p.drawn).map_or(0.0, |d| self.frame.tall(d));
        let bottom = under.unwrap_or((pipe_y + bore + 9.6).min(lowest - 1.0));
        self.sheet.block(Layer::Grey, Paint::Grey, Rect { x0: inner, y0: top, x1: outer, y1: bottom });
        self.sheet.boxes.push(Rect { x0: inner, y0: top, x1: outer, y1: bottom });
        for x in [inner, outer] {
            self.sheet.line(Layer::Structure, Pen::StructureUnsure, &[(x, top), (x, bottom)]);
        }
        self.sheet.signs.insert(Sign::Unsure);
        self.sheet.zigzag(inner, outer, top);
        match under {
            Some(y) => self.sheet.line(Layer::Structure, Pen::Structure, &[(inner, y), (outer, y)]),
            None => self.sheet.zigzag(inner, outer, bottom),
        }
        if let (Some(f), Some(_)) = (footing, under) {
            let told = format!("underside {}", f.metres(3));
            let label = Label::of(3, &[&told]);
            let (w, _) = label.size();
            let spots = [(outer + 2.4, bottom - 2.2), (inner - w - 2.4, bottom - 2.2)];
            label.lead(self.sheet, &spots, ((inner + outer) / 2.0, bottom), &self.area);
        }
        self.opening(i, crossing, inner, outer);
        top
    }

    /// The opening round a pipe, with its lintel; its height is not recorded, so it is drawn central.
    fn opening(&mut self, i: usize, crossing: &Crossing, inner: f64, outer: f64) {
        let Some(item) = crossing.penetration.and_then(|p| self.net.record.penetrations.at(p)) else { return };
        let size = item.body.opening.get().map(|a| a.b.unwrap_or(a.a)).or(item.body.hole.get().map(|h| h.value));
        let (Some(size), Some(piece)) = (size, self.section.pieces.get(i)) else { return };
        let (from, to) = self.frame.ends(i);
        let share = ((inner + outer) / 2.0 - from) / (to - from).max(0.1);
        let Some(soffit) = self.soffit_y(i, share) else { return };
        let axis = soffit + piece.drawn.map_or(0.0, |d| self.frame.tall(d)) / 2.0;
        let half = self.frame.tall(size) / 2.0;
        let hole = Rect { x0: inner, y0: axis - half, x1: outer, y1: axis + half };
        self.sheet.block(Layer::Structure, Paint::Paper, hole);
        self.frame_of(hole);
        self.notes.push(format!("{} drawn central about {}.", words::tag(&item.id), words::tag(&piece.id)));
        self.sheet.signs.insert(Sign::Opening);
        let lintel = item.body.lintel.get().and_then(|w| {
            let from = w.0.find(|c: char| c.is_ascii_digit())?;
            Across::from_words(w.0.get(from..)?).ok().and_then(|a| a.b)
        });
        if let Some(tall) = lintel.map(|l| self.frame.tall(l)) {
            let r = Rect { x0: inner, y0: hole.y0 - tall, x1: outer, y1: hole.y0 };
            self.sheet.block(Layer::Structure, Paint::Paper, r);
            self.frame_of(r);
            self.sheet.faint(Layer::Structure, Pen::Thin, &[(r.x0, r.y0), (r.x1, r.y1)]);
            self.sheet.faint(Layer::Structure, Pen::Thin, &[(r.x0, r.y1), (r.x1, r.y0)]);
        }
    }

    fn frame_of(&mut self, r: Rect) {
        let points = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)];
        self.sheet.faint(Layer::Structure, Pen::Structure, &points);
    }

    /// Lines at which the run is carried on from one sheet to the next.
    fn match_lines(&mut self) {
        let points = self.points();
        let mut at = Vec::new();
        if self.part.number > 1 {
            at.extend(points.first().map(|p| (p, self.part.number - 1)));
        }
        if self.part.number < self.part.of {
            at.extend(points.last().map(|p| (p, self.part.number + 1)));
        }
        for (point, sheet) in at {
            let x = self.x(point);
            self.sheet.faint(Layer::Grey, Pen::Zone, &[(x, self.area.y0), (x, self.frame.y_base)]);
            let words =
                [format!("match line at {},", words::tag(&point.id)), format!("sheet {sheet} of {}", self.part.of)];
            let label = Label::of(2, &[&words[0], &words[1]]);
            let (w, _) = label.size();
            let y = self.area.y0;
            label.place(self.sheet, &[(x + 1.4, y), (x - w - 1.4, y)], Some((x, y)), &self.area);
        }
    }

    /// What the ground is, and that it was levelled at the covers only.
    fn ground_words(&mut self) {
        let points = self.points();
        let chambers: Vec<&&PointAt> =
            points.iter().filter(|p| matches!(p.kind, PointKind::Chamber(_)) && p.surface.is_some()).collect();
        let (Some(first), Some(last)) = (chambers.first(), chambers.last()) else { return };
        if first.place.is_empty() || chambers.len() < 2 {
            return;
        }
        let mut places: Vec<&str> = chambers.iter().map(|c| c.place.as_str()).filter(|p| !p.is_empty()).collect();
        places.dedup();
        let label = Label::of(9, &[&format!("{}, levelled at the covers only", places.join(", "))]);
        let (w, _) = label.size();
        let (a, b) = (self.x(first), self.x(last));
        let top = first.surface.map_or(0.0, |s| self.frame.y(s.value.um()));
        let spots: Vec<Spot> = [0.5, 0.4, 0.6, 0.3, 0.7]
            .iter()
            .flat_map(|at| [5.0, 9.0].map(|up| (a + (b - a) * at - w / 2.0, top - up)))
            .collect();
        if self.any_free(&label, &spots) {
            label.place(self.sheet, &spots, None, &self.area);
        }
    }
}

fn floor_words(point: &PointAt) -> Vec<String> {
    match (&point.surface, point.place.as_str()) {
        (Some(_), "") => vec!["FFL".to_owned()],
        (Some(_), place) => vec![format!("FFL {place}")],
        (None, "") => Vec::new(),
        (None, place) => vec![format!("{place}, floor level not recorded")],
    }
}
