//! What stands around a section: tags, depths, labels of pipes, match lines, words for floor and ground.

use crate::base::drawing::Pen;
use crate::base::units::Length;
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
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::stations;
use crate::pack::figure::words;
use crate::record::words::Stage;

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
        for i in ranks.clone() {
            self.caps(i);
        }
        for point in self.points() {
            self.backdrop_label(point);
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
            (None, kind) => {
                let up = if matches!(kind, PointKind::Chamber(_)) { 15.2 } else { 20.0 };
                let il = point.il_out.or(point.il_in).map(|l| self.frame.y(l.value.um()) - up);
                il.unwrap_or_else(|| self.frame.y(self.frame.high) - 1.2)
            }
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
            PointKind::Join(_) | PointKind::Knee => return,
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

    pub(super) fn any_free(&self, label: &Label, spots: &[Spot]) -> bool {
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
        let label = Label::of(2, &[words]);
        let Some(il) = point.il_out.or(point.il_in) else {
            let y = self.frame.y_base - 5.6;
            label.place(self.sheet, &[(x + 1.0, y)], None, &self.area);
            return;
        };
        let y = self.frame.y(il.value.um()) - 12.0;
        label.place(self.sheet, &[(x + 1.0, y), (x + 1.0, y - 5.0)], Some((x, y + 8.0)), &self.area);
    }

    /// A pipe's tag with its gradient and arrow, over the soffit at mid-run, else under the invert with a leader.
    fn pipe_label(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let pipe = self.net.legs.get(piece.leg).map_or(0, |l| l.pipe);
        let line = match &piece.gradient {
            _ if piece.gradients.len() > 1 => words::gradients(&piece.gradients),
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
        // A pipe that is not put at a height has a stub and a break beside its tag.
        label.stub = piece.up.is_none() && piece.down.is_none();
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
    pub(super) fn soffit_y(&self, i: usize, share: f64) -> Option<f64> {
        let piece = self.section.pieces.get(i)?;
        let bore = piece.drawn.map_or(0.0, |d| self.frame.tall(d).max(0.6));
        let (up, down) = (piece.up.or(piece.down)?, piece.down.or(piece.up)?);
        let along = piece.length.map(|l| Length::from_um((l.value.um() as f64 * share) as i64));
        if let Some(there) = along.filter(|_| !piece.knees.is_empty()).and_then(|at| stations::at_station(piece, at)) {
            return Some(self.frame.y(there.value.um()) - bore);
        }
        let (a, b) = (self.frame.y(up.value.um()), self.frame.y(down.value.um()));
        Some(a + (b - a) * share - bore)
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
    pub(super) fn bracketed(&mut self, label: &Label, from: f64, to: f64, lowest: f64) {
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
        let along = self.section.pieces.iter().any(|p| !p.ground.is_empty());
        let levelled = if along { "levelled along the drain" } else { "levelled at the covers only" };
        let label = Label::of(9, &[&format!("{}, {levelled}", places.join(", "))]);
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
