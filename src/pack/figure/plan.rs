//! The small plan of the inspector's first page: the spine left to right, not to scale.

use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::lettering;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::figure::model;
use crate::pack::figure::runs;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::record::facts::stage_of;
use crate::record::words::Stage;

/// Its width on paper.
const WIDTH: f64 = 149.0;
/// Size of ids and of words: 10 and 9 points.
const ID: f64 = 3.53;
const WORD: f64 = 3.18;
/// Size of the legend.
const SMALL: f64 = 3.0;
/// Height of a row without further side drains, and what each of those adds.
const ROW: f64 = 35.0;
const MORE: f64 = 8.0;
/// From a row's top to its spine, and from the spine to its first side drain.
const SPINE: f64 = 13.0;
const SIDE: f64 = 14.0;
/// The gap between the two lines of an existing drain.
const TWO: f64 = 0.6;

/// A part of a text with its face and size.
type Words = (String, Face, f64);

/// The spine: drains from a head to an outfall, and what joins each.
struct Plan<'a> {
    net: &'a Network<'a>,
    sheet: Sheet,
    legs: Vec<usize>,
    /// Whether gradients stand beside ids; left out where there is no room.
    full: bool,
}

/// Draws the small plan; `None` without a drain.
pub(super) fn strip(net: &Network<'_>) -> Option<Drawing> {
    let families = runs::families(net);
    let length = |legs: &[usize]| -> i64 {
        legs.iter().filter_map(|l| net.legs.get(*l)?.length).map(|k| k.value.um()).fold(0, i64::saturating_add)
    };
    let new = |legs: &[usize]| legs.iter().any(|l| runs::stage(net, *l) != Stage::Existing);
    let spine = families.iter().rev().max_by_key(|f| (new(&f.main.legs), length(&f.main.legs)))?;
    let mut legs = spine.main.legs.clone();
    while let Some(next) = legs.last().and_then(|l| runs::next(net, *l)).filter(|n| !legs.contains(n)) {
        legs.push(next);
    }
    let mut plan = Plan { net, sheet: Sheet::default(), legs, full: true };
    plan.full = plan.rows().len() == 1;
    let mut top = 0.0;
    for row in plan.rows() {
        top = plan.row(&row, top);
    }
    let end = plan.legend(top + 3.0);
    let alt = plan.alt();
    let mut drawing = plan.sheet.finish("Plan of the drains".to_owned(), alt, end);
    drawing.width = WIDTH;
    Some(drawing)
}

impl Plan<'_> {
    fn stage(&self, leg: usize) -> Stage {
        runs::stage(self.net, leg)
    }

    fn end(&self, leg: usize, lower: bool) -> End {
        let ends = self.net.legs.get(leg).map(|l| l.ends);
        ends.map_or(End::Absent, |e| if lower { e.to } else { e.from })
    }

    /// Drains that join a leg along the way, by place where it is known.
    fn sides(&self, leg: usize) -> Vec<usize> {
        let feeding = self.net.feeding.get(leg).cloned().unwrap_or_default();
        let head = |i: &usize| self.end(leg, false) == End::Pipe(*i);
        let mut sides: Vec<usize> = feeding
            .into_iter()
            .filter(|i| runs::is_drain(self.net, *i) && !head(i) && !self.legs.contains(i))
            .collect();
        sides.sort_by_key(|i| std::cmp::Reverse(model::joins_at(self.net, *i, leg).map_or(i64::MAX, |k| k.value.um())));
        sides
    }

    /// Other drains into a chamber.
    fn entries(&self, access: usize) -> Vec<usize> {
        let into = |i: &usize| self.end(*i, true) == End::Access(access) && !self.legs.contains(i);
        (0..self.net.legs.len()).filter(|i| runs::is_drain(self.net, *i)).filter(into).collect()
    }

    /// Walls that a leg must cross.
    fn walls(&self, leg: usize) -> Vec<usize> {
        let pipe = self.net.legs.get(leg).map(|l| l.pipe);
        self.net.crossings.iter().filter(|c| Some(c.pipe) == pipe && c.certain).map(|c| c.element).collect()
    }

    fn label(&self, leg: usize, full: bool) -> Vec<Words> {
        let mut label = vec![(words::tag(self.net.id(leg)), Face::Bold, ID)];
        let pipe = self.net.legs.get(leg).map_or(0, |l| l.pipe);
        if let (Some(g), true) = (self.net.gradient(leg), full) {
            label.push((words::gradient(self.net.record, pipe, &g), Face::Regular, WORD));
        }
        label
    }

    fn needs(&self, leg: usize) -> f64 {
        let wall = if self.walls(leg).is_empty() { 0.0 } else { 14.0 };
        let sides = 16.0 * self.sides(leg).len() as f64;
        let old = if self.net.legs.get(leg).is_some_and(|l| l.length.is_none()) { 10.0 } else { 0.0 };
        (run_width(&self.label(leg, self.full)) + 8.0 + wall + sides + old).max(16.0)
    }

    fn room(&self) -> f64 {
        WIDTH - 14.0 - 18.0
    }

    /// The spine in rows that fit the width.
    fn rows(&self) -> Vec<Vec<usize>> {
        let mut rows: Vec<Vec<usize>> = vec![Vec::new()];
        let mut used = 0.0;
        for leg in &self.legs {
            let needs = self.needs(*leg);
            if used + needs > self.room() && used > 0.0 {
                rows.push(Vec::new());
                used = 0.0;
            }
            used += needs;
            if let Some(row) = rows.last_mut() {
                row.push(*leg);
            }
        }
        rows
    }

    /// Draws one row; says where it ends.
    fn row(&mut self, legs: &[usize], top: f64) -> f64 {
        let most = legs.iter().map(|l| self.sides(*l).len()).max().unwrap_or(0);
        let bottom = top + ROW + MORE * most.saturating_sub(1) as f64;
        let y = top + SPINE;
        let needs: Vec<f64> = legs.iter().map(|l| self.needs(*l)).collect();
        let stretch = (self.room() / needs.iter().sum::<f64>().max(1.0)).clamp(0.3, 3.0);
        let mut x = 10.0;
        let mut xs = vec![x];
        for n in &needs {
            x += n * stretch;
            xs.push(x);
        }
        let mut place = String::new();
        for (i, leg) in legs.iter().enumerate() {
            let (Some(a), Some(b)) = (xs.get(i).copied(), xs.get(i + 1).copied()) else { continue };
            if i == 0 {
                self.node(self.end(*leg, false), (a, y), *leg);
                place = self.place(*leg, false);
                self.italic(&place, (2.0, bottom - 0.6));
            }
            self.node(self.end(*leg, true), (b, y), *leg);
            self.spine(*leg, (a, b), y, (top, bottom), &mut place);
        }
        for (i, leg) in legs.iter().enumerate() {
            let (Some(a), Some(b)) = (xs.get(i).copied(), xs.get(i + 1).copied()) else { continue };
            self.arrivals(*leg, (a, b), y, (top, bottom));
        }
        bottom
    }

    /// A run of the spine with its label, wall and boundary.
    fn spine(&mut self, leg: usize, (a, b): (f64, f64), y: f64, (top, bottom): Spot, place: &mut String) {
        self.line(leg, &[(a, y), (b, y)]);
        if self.net.legs.get(leg).is_some_and(|l| l.length.is_none()) {
            self.sheet.break_strokes((a + (b - a) * 0.62, y), 4.8);
        }
        let mut left = a + 4.4;
        let mut walls = self.walls(leg);
        if let Some(first) = walls.first().copied() {
            let x = a + (b - a) * 0.44 - 1.7;
            let band = Rect { x0: x, y0: top + 1.0, x1: x + 3.4, y1: bottom - 0.5 };
            self.sheet.block(Layer::Grey, Paint::Grey, band);
            self.sheet.boxes.push(band);
            let points = [(x, band.y0), (x + 3.4, band.y0), (x + 3.4, band.y1), (x, band.y1), (x, band.y0)];
            self.sheet.faint(Layer::Grey, Pen::Fine, &points);
            walls.dedup();
            let ids: Vec<String> =
                walls.iter().filter_map(|e| self.net.record.elements.at(*e)).map(|e| words::tag(&e.id)).collect();
            let _ = first;
            self.put(&[(ids.join(", "), Face::Italic, WORD)], &[(x + 4.6, top + 4.6)], (top, bottom));
            left = x + 5.4;
        }
        let label = self.label(leg, self.full);
        let w = run_width(&label);
        let middle = ((a + b - w) / 2.0).max(left);
        self.put(&label, &[(middle, y - 2.4), (left, y - 2.4), (middle, y + 5.0)], (top, bottom));
        if self.stage(leg) != Stage::Existing && b - a > 12.0 {
            let at = if walls.is_empty() { a + (b - a) * 0.5 } else { a + (b - a) * 0.26 };
            self.chevron((at, y));
        }
        let next = self.place(leg, true);
        if !next.is_empty() && next != *place {
            let x = if walls.is_empty() { a + (b - a) * 0.45 } else { left };
            if walls.is_empty() && !place.is_empty() {
                self.sheet.faint(Layer::Grey, Pen::Limit, &[(x, top + 1.0), (x, bottom - 0.5)]);
            }
            let shown = if walls.is_empty() { x + 3.0 } else { (x + 34.0).min(b) };
            self.italic(&next, (shown, bottom - 0.6));
            *place = next;
        }
    }

    fn italic(&mut self, words: &str, at: Spot) {
        let w = lettering::width(Face::Italic, words, WORD);
        let text = words::clean(words);
        let r = Sheet::text_box(at.0, at.1, Anchor::Start, &text, Face::Italic, WORD);
        let area = Rect { x0: 0.0, y0: 0.0, x1: WIDTH, y1: 400.0 };
        if w < 60.0 && self.sheet.is_free(r, &area) {
            self.sheet.text(at.0, at.1, Anchor::Start, &text, Face::Italic, WORD);
        }
    }

    /// The place at an end of a leg.
    fn place(&self, leg: usize, lower: bool) -> String {
        let record = self.net.record;
        let text = match self.end(leg, lower) {
            End::Appliance(i) => record.appliances.at(i).and_then(|a| a.body.place.get()),
            End::Access(i) => record.access.at(i).and_then(|a| a.body.place.get()),
            End::Outfall(i) => record.outfalls.at(i).and_then(|o| o.body.place.get()),
            End::Pipe(stack) => self.lowest_room(stack),
            End::Temporary | End::Unknown | End::Absent => None,
        };
        text.map_or(String::new(), |t| words::fit(&words::clean(&t.0), false, WORD, 40.0))
    }

    fn lowest_room(&self, stack: usize) -> Option<&crate::record::words::Text> {
        let rooms = self.net.feeding.get(stack)?.iter().filter_map(|leg| match self.end(*leg, false) {
            End::Appliance(a) => self.net.record.appliances.at(a),
            _ => None,
        });
        let level = |a: &crate::record::sections::Item<crate::record::pipework::Appliance>| {
            let h: Option<crate::network::height::Height<crate::base::units::Spot>> =
                self.net.height(&a.body.floor, None);
            h.map_or(i64::MAX, |h| h.level.um())
        };
        rooms.min_by_key(|a| level(a)).and_then(|a| a.body.place.get())
    }

    /// A drain's line: solid, dashed, or two thin ones where it was there before.
    fn line(&mut self, leg: usize, points: &[Spot]) {
        let stage = self.stage(leg);
        let (pen, sign) = match stage {
            Stage::Existing => {
                let shift = |d: f64| -> Vec<Spot> {
                    let upright = points.windows(2).all(|p| matches!(p, [a, b] if (a.0 - b.0).abs() < 0.01));
                    let by = if upright { (d, 0.0) } else { (0.0, d) };
                    points.iter().map(|p| (p.0 + by.0, p.1 + by.1)).collect()
                };
                self.sheet.line(Layer::Pipe, Pen::WallExisting, &shift(-TWO));
                self.sheet.line(Layer::Pipe, Pen::WallExisting, &shift(TWO));
                self.sheet.signs.insert(Sign::Existing);
                return;
            }
            Stage::Planned => (Pen::RunPlanned, Sign::Planned),
            Stage::Temporary => (Pen::Temporary, Sign::Temporary),
            Stage::Installed | Stage::Removed => (Pen::Run, Sign::Laid),
        };
        self.sheet.line(Layer::Pipe, pen, points);
        self.sheet.signs.insert(sign);
    }

    /// The open chevron that shows the flow.
    fn chevron(&mut self, (x, y): Spot) {
        self.sheet.faint(Layer::Symbol, Pen::Wall, &[(x - 0.9, y - 1.4), (x + 0.8, y), (x - 0.9, y + 1.4)]);
    }

    /// A foot, chamber, outfall or end of the spine, with its id.
    fn node(&mut self, end: End, (x, y): Spot, leg: usize) {
        let id = words::tag(self.net.end_id(end));
        let (top, bottom) = (y - SPINE, y - SPINE + ROW);
        let w = lettering::width(Face::Bold, &id, ID);
        let over = [(x - w / 2.0, y - 3.8), (x - w / 2.0, y + 6.6), (x - w - 1.0, y - 3.8), (x + 1.0, y - 3.8)];
        let under = [(x - w / 2.0, y + 6.6), (x - w / 2.0, y - 3.8), (x + 3.0, y + 6.6)];
        let bold = |words: String| [(words, Face::Bold, ID)];
        match end {
            End::Pipe(p) if self.net.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack) => {
                self.ring((x, y), 2.1);
                self.sheet.ellipse(Layer::Dimension, (x, y), (0.6, 0.6), None, Some(Paint::Black));
                self.put(&bold(id), &over, (top, bottom));
            }
            End::Access(a) => {
                let item = self.net.record.access.at(a);
                let existing = item.is_some_and(|i| stage_of(&i.body.stage) == Stage::Existing);
                let square = item.and_then(|i| i.body.across.get()).is_some_and(|w| w.b.is_some());
                self.chamber((x, y), existing, square);
                let spots = if existing { over.as_slice() } else { under.as_slice() };
                self.put(&bold(id), spots, (top, bottom));
            }
            End::Outfall(o) => self.outfall((x, y), o, id),
            End::Appliance(_) | End::Pipe(_) => {
                self.ring((x, y), 1.8);
                self.put(&bold(id), &over, (top, bottom));
            }
            End::Temporary | End::Unknown | End::Absent => {
                self.sheet.break_strokes((x, y), 4.8);
                self.put(&bold("?".to_owned()), &[(x - 1.0, y - 3.8)], (top, bottom));
                let _ = leg;
            }
        }
    }

    fn outfall(&mut self, (x, y): Spot, outfall: usize, id: String) {
        let (top, bottom) = (y - SPINE, y - SPINE + ROW);
        let id = words::fit(&id, true, ID, WIDTH - x - 2.0);
        self.put(&[(id, Face::Bold, ID)], &[(x + 1.4, y + 1.3), (x + 1.4, y - 3.0)], (top, bottom));
        let Some(item) = self.net.record.outfalls.at(outfall) else { return };
        let Some(carries) = item.body.carries.get() else { return };
        let how = self.net.record.how(&item.body.carries);
        let believed = how == crate::base::known::How::Believed;
        let told = if believed { format!("believed {}", carries.0) } else { carries.0.clone() };
        for (i, line) in words::wrap(&words::clean(&told), false, WORD, 20.0).iter().take(3).enumerate() {
            let spot = ((x - 6.0).min(WIDTH - 21.0), y + 7.2 + 4.0 * i as f64);
            self.put(&[(line.clone(), Face::Regular, WORD)], &[spot], (top, bottom));
        }
    }

    fn ring(&mut self, c: Spot, r: f64) {
        self.sheet.ellipse(Layer::Symbol, c, (r, r), Some(Pen::Wall), Some(Paint::Paper));
        self.sheet.boxes.push(Rect::new(c.0 - r, c.1 - r, 2.0 * r, 2.0 * r));
    }

    fn chamber(&mut self, (x, y): Spot, existing: bool, square: bool) {
        if !square {
            let pen = if existing { Pen::WallExisting } else { Pen::Ground };
            self.sheet.ellipse(Layer::Symbol, (x, y), (2.3, 2.3), Some(pen), Some(Paint::Paper));
            self.sheet.boxes.push(Rect::new(x - 2.3, y - 2.3, 4.6, 4.6));
            return;
        }
        let outer = Rect::new(x - 2.5, y - 2.8, 5.0, 5.6);
        self.sheet.block(Layer::Symbol, Paint::Paper, outer);
        self.sheet.outline(Layer::Symbol, if existing { Pen::WallExisting } else { Pen::Wall }, outer);
        self.sheet.outline(Layer::Symbol, Pen::WallExisting, outer.grown(-0.8));
    }

    /// What comes to a run and to the chamber at its lower end: side drains, other drains, services, what is temporary.
    fn arrivals(&mut self, leg: usize, (a, b): (f64, f64), y: f64, rows: Spot) {
        for (k, side) in self.sides(leg).into_iter().enumerate() {
            self.side(side, k, (a, b), y, rows);
        }
        self.services(leg, (a, b), y, rows);
        let End::Access(access) = self.end(leg, true) else { return };
        for (k, other) in self.entries(access).into_iter().enumerate() {
            self.entry(other, k, (b, y), rows);
        }
        self.temporary(access, (b, y), rows);
    }

    /// A side drain, joining at 45 degrees with the flow.
    fn side(&mut self, leg: usize, k: usize, (a, b): (f64, f64), y: f64, rows: Spot) {
        let low = y + SIDE + MORE * k as f64;
        let join = b - 5.0 - 9.0 * k as f64;
        let bend = join - (low - y);
        let id = words::tag(self.net.end_id(self.end(leg, false)));
        let w = lettering::width(Face::Bold, &id, ID);
        let start = (a + 6.0).min(bend - 8.0).max(w + 4.4);
        let bend = bend.max(start);
        self.line(leg, &[(start, low), (bend, low), (join, y)]);
        self.chevron((start + 6.5, low));
        if self.end(leg, false) == End::Unknown {
            self.sheet.break_strokes((start, low), 4.8);
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(start - 4.0, low + 1.2)], rows);
        } else {
            self.ring((start, low), 1.8);
            self.put(&[(id, Face::Bold, ID)], &[(start - 2.6 - w, low + 1.2), (start - w / 2.0, low + 6.0)], rows);
        }
        let pipe = self.net.legs.get(leg).map(|l| l.pipe);
        let open = |c: &&crate::network::crossings::Crossing| Some(c.pipe) == pipe && c.penetration.is_none();
        if self.net.crossings.iter().any(|c| open(&c)) {
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(start + 21.0, low - 1.6), (start + 9.0, low - 1.6)], rows);
        }
        let label = self.label(leg, true);
        self.put(&label, &[(bend + 4.4, low + 0.2), (bend + 4.4, low - 3.0), (start + 9.0, low + 4.6)], rows);
    }

    /// Another drain into a chamber, from below.
    fn entry(&mut self, leg: usize, k: usize, (x, y): Spot, rows: Spot) {
        let low = y + 14.0;
        let foot = x - 13.0 * k as f64;
        let points: Vec<Spot> =
            if k == 0 { vec![(x, low), (x, y + 2.8)] } else { vec![(foot, low), (x - 1.8, y + 1.8)] };
        self.line(leg, &points);
        let from = self.end(leg, false);
        let label = self.label(leg, false);
        let beside = [(foot + 2.6, low + 1.2), (foot - run_width(&label) - 2.6, low + 1.2)];
        self.put(&label, &beside, rows);
        if matches!(from, End::Unknown | End::Absent) {
            self.sheet.line(Layer::Symbol, Pen::Box, &[(foot - 2.3, low - 0.7), (foot + 2.3, low + 0.8)]);
            self.sheet.signs.insert(Sign::Break);
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(foot - 0.9, low + 5.0)], rows);
        } else {
            let id = words::tag(self.net.end_id(from));
            let w = lettering::width(Face::Bold, &id, ID);
            self.put(&[(id, Face::Bold, ID)], &[(foot - w / 2.0, low + 5.0)], rows);
        }
    }

    fn services(&mut self, leg: usize, (a, b): (f64, f64), y: f64, rows: Spot) {
        let id = self.net.id(leg).to_owned();
        for item in &self.net.record.nearby {
            let Some(field) = item.body.from.get().and_then(|f| f.get(&id)) else { continue };
            let what = item.body.what.get().map_or("service", |w| w.0.as_str());
            let far = field.get().map_or(String::new(), |m| format!(", {}", m.words()));
            let from = a + 6.0;
            let to = (b - 6.0).max(from + 4.0).min(from + 30.0);
            let mut x = from;
            while x < to {
                self.sheet.ellipse(Layer::Pipe, (x, y + 5.0), (0.33, 0.33), None, Some(Paint::Black));
                x += 1.4;
            }
            self.sheet.boxes.push(Rect { x0: from - 0.4, y0: y + 4.6, x1: to, y1: y + 5.4 });
            let words =
                [(words::tag(&item.id), Face::Bold, ID), (words::clean(&format!("{what}{far}")), Face::Regular, WORD)];
            self.put(&words, &[(from, y + 9.8), (from, y + 14.0)], rows);
        }
    }

    /// What is temporary at a chamber: dashed, from above.
    fn temporary(&mut self, access: usize, (x, y): Spot, rows: Spot) {
        let Some(chamber) = self.net.record.access.at(access) else { return };
        let names = |what: &str| what.split(|c: char| !c.is_alphanumeric() && c != '-').any(|w| w == chamber.id);
        let mut shift = 0.0;
        for item in &self.net.record.temporary {
            let Some(what) = item.body.what.get().filter(|w| names(&w.0)) else { continue };
            let at = x + shift;
            self.sheet.line(Layer::Pipe, Pen::Temporary, &[(at, rows.0 + 1.2), (at, y - 2.4)]);
            self.sheet.signs.insert(Sign::Temporary);
            let cut = [" led into", " into", " in "].iter().filter_map(|w| what.0.find(w)).min();
            let short = cut.and_then(|c| what.0.get(..c)).unwrap_or(&what.0);
            let told = words::clean(&format!("{short}, temporary"));
            let words = [(words::tag(&item.id), Face::Bold, ID), (told, Face::Regular, WORD)];
            self.put(&words, &[(at + 2.0, rows.0 + 4.6), (at + 2.0, rows.0 + 8.6)], rows);
            shift += 1.6;
        }
    }

    /// Puts words at the first free base-line place, else at the nearest free one in the row, else not at all.
    fn put(&mut self, words: &[Words], spots: &[Spot], (top, bottom): Spot) {
        let Some(first) = spots.first().copied() else { return };
        let area = Rect { x0: 0.0, y0: top + 0.2, x1: WIDTH, y1: bottom };
        let (w, up, down) = (run_width(words), 0.735 * ID, 0.235 * ID);
        let free = |s: &Sheet, (x, y): Spot| s.is_free(Rect { x0: x, y0: y - up, x1: x + w, y1: y + down }, &area);
        let mut found = spots.iter().copied().find(|s| free(&self.sheet, *s));
        if found.is_none() {
            let mut grid: Vec<(i64, Spot)> = Vec::new();
            let mut y = top + 3.2;
            while y < bottom {
                let mut x = 0.0;
                while x + w <= WIDTH {
                    let far = (x - first.0).abs() + 1.5 * (y - first.1).abs();
                    grid.push(((far * 10.0).round() as i64, (x, y)));
                    x += 1.0;
                }
                y += 1.0;
            }
            grid.sort_by_key(|(far, _)| *far);
            found = grid.into_iter().map(|(_, s)| s).find(|s| free(&self.sheet, *s));
        }
        let Some((mut x, y)) = found else { return };
        for (text, face, size) in words {
            self.sheet.text(x, y, Anchor::Start, text, *face, *size);
            x += lettering::width(*face, text, *size) + 1.2;
        }
    }

    /// The signs that stand on the plan; says where it ends.
    fn legend(&mut self, y: f64) -> f64 {
        let mut x = 2.0;
        for sign in self.sheet.signs.clone() {
            let told = match sign {
                Sign::Laid => "new",
                Sign::Planned => "planned",
                Sign::Existing => "existing",
                Sign::Temporary => "temporary",
                Sign::Break => "length or end unknown",
                Sign::Unsure | Sign::EndOn | Sign::Opening => continue,
            };
            let s = &mut self.sheet;
            let level = y - 1.0;
            match sign {
                Sign::Laid => s.faint(Layer::Pipe, Pen::Run, &[(x, level), (x + 9.0, level)]),
                Sign::Planned => s.faint(Layer::Pipe, Pen::RunPlanned, &[(x, level), (x + 9.0, level)]),
                Sign::Temporary => s.faint(Layer::Pipe, Pen::Temporary, &[(x, level), (x + 9.0, level)]),
                Sign::Break => s.break_strokes((x + 5.6, level), 3.4),
                _ => {
                    s.faint(Layer::Pipe, Pen::WallExisting, &[(x, level - TWO), (x + 9.0, level - TWO)]);
                    s.faint(Layer::Pipe, Pen::WallExisting, &[(x, level + TWO), (x + 9.0, level + TWO)]);
                }
            }
            s.text(x + 10.5, y, Anchor::Start, told, Face::Regular, SMALL);
            x += 10.5 + lettering::width(Face::Regular, told, SMALL) + 9.0;
        }
        y + 1.2
    }

    fn alt(&self) -> String {
        let mut said = vec!["Plan of the drains, not to scale:".to_owned()];
        let told = |leg: usize| {
            let id = |e: End| match words::tag(self.net.end_id(e)) {
                id if id.is_empty() => "an unknown end".to_owned(),
                id => id,
            };
            let old = if self.stage(leg) == Stage::Existing { "existing " } else { "" };
            let (from, to) = (id(self.end(leg, false)), id(self.end(leg, true)));
            let label: Vec<String> = self.label(leg, true).into_iter().map(|w| w.0).collect();
            format!("{from} to {to} by {old}{};", label.join(" "))
        };
        for leg in &self.legs {
            said.push(told(*leg));
            said.extend(self.sides(*leg).into_iter().map(told));
            if let End::Access(a) = self.end(*leg, true) {
                said.extend(self.entries(a).into_iter().map(told));
            }
        }
        let mut out = String::new();
        for sentence in said {
            if out.chars().count() + sentence.chars().count() > 880 {
                break;
            }
            out.push_str(&sentence);
            out.push(' ');
        }
        let out = out.trim_end().trim_end_matches(';');
        format!("{}.", words::clean(out))
    }
}

fn run_width(words: &[Words]) -> f64 {
    let text: f64 = words.iter().map(|(t, face, size)| lettering::width(*face, t, *size)).sum();
    text + 1.2 * words.len().saturating_sub(1) as f64
}
