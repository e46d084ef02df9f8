//! The small plan of the inspector's first page: the spine left to right, not to scale.

use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::lettering;
use crate::network::Network;
use crate::network::ends::End;
use crate::pack::figure::runs;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::stations;
use crate::pack::figure::texts::run_width;
use crate::pack::figure::words;
use crate::record::words::Stage;

/// Its width on paper.
pub(super) const WIDTH: f64 = 149.0;
/// Size of ids and of words: 10 and 9 points.
pub(super) const ID: f64 = 3.53;
pub(super) const WORD: f64 = 3.18;
/// Size of the legend.
pub(super) const SMALL: f64 = 3.0;
/// Height of a row without further side drains, and what each of those adds.
const ROW: f64 = 35.0;
pub(super) const MORE: f64 = 8.0;
/// The most rows, and the most side drains of a run; long sections show the rest.
const MOST_ROWS: usize = 3;
const MOST_SIDES: usize = 5;
/// Height of a row that nothing comes to from below.
const SHORT: f64 = 28.5;
/// From a row's top to its spine, and from the spine to its first side drain.
const SPINE: f64 = 13.0;
pub(super) const SIDE: f64 = 14.0;
/// From one drain into a chamber to the next.
pub(super) const ENTRY: f64 = 13.0;
/// The gap between the two lines of an existing drain.
pub(super) const TWO: f64 = 0.6;

/// A part of a text with its face and size.
pub(super) type Words = (String, Face, f64);

/// The spine: drains from a head to an outfall, and what joins each.
pub(super) struct Plan<'a> {
    pub(super) net: &'a Network<'a>,
    pub(super) sheet: Sheet,
    pub(super) legs: Vec<usize>,
    /// Its width on paper.
    pub(super) wide: f64,
    /// Whether gradients stand beside ids; left out where there is no room.
    full: bool,
    /// Texts of a row with their places, set once all its lines are drawn.
    pub(super) texts: Vec<(Vec<Vec<Words>>, Vec<Spot>)>,
}

/// An empty plan of the spine: the longest run with new work, and on to its outfall; `None` without a drain.
pub(super) fn spine<'a>(net: &'a Network<'a>, wide: f64) -> Option<Plan<'a>> {
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
    Some(Plan { net, sheet: Sheet::default(), legs, wide, full: true, texts: Vec::new() })
}

/// Draws the small plan; `None` without a drain.
pub(super) fn strip(net: &Network<'_>) -> Option<Drawing> {
    let mut plan = spine(net, WIDTH)?;
    plan.full = plan.rows().len() == 1;
    let mut top = 0.0;
    let rows = plan.rows();
    for row in rows.iter().take(MOST_ROWS) {
        top = plan.row(row, top);
    }
    let more: usize = rows.iter().skip(MOST_ROWS).map(Vec::len).sum();
    if more > 0 {
        let told = format!("{more} more drains follow: see the long sections");
        plan.sheet.text(2.0, top + 3.0, Anchor::Start, &told, Face::Regular, WORD);
        top += 5.0;
    }
    let end = plan.legend(top + 3.0);
    let alt = plan.alt();
    let mut drawing = plan.sheet.finish("Plan of the drains".to_owned(), alt, end);
    drawing.width = WIDTH;
    Some(drawing)
}

impl Plan<'_> {
    pub(super) fn stage(&self, leg: usize) -> Stage {
        runs::stage(self.net, leg)
    }

    pub(super) fn end(&self, leg: usize, lower: bool) -> End {
        let ends = self.net.legs.get(leg).map(|l| l.ends);
        ends.map_or(End::Absent, |e| if lower { e.to } else { e.from })
    }

    /// Drains that join a leg along the way, by place where it is known.
    pub(super) fn sides(&self, leg: usize) -> Vec<usize> {
        let mut sides = self.all_sides(leg);
        sides.truncate(MOST_SIDES);
        sides
    }

    /// As [`Plan::sides`], without leaving any out.
    pub(super) fn all_sides(&self, leg: usize) -> Vec<usize> {
        let feeding = self.net.feeding.get(leg).cloned().unwrap_or_default();
        let head = |i: &usize| self.end(leg, false) == End::Pipe(*i);
        let mut sides: Vec<usize> = feeding
            .into_iter()
            .filter(|i| runs::is_drain(self.net, *i) && !head(i) && !self.legs.contains(i))
            .collect();
        sides.sort_by_key(|i| {
            std::cmp::Reverse(stations::joins_at(self.net, *i, leg).map_or(i64::MAX, |k| k.value.um()))
        });
        sides
    }

    /// Other drains into a chamber.
    pub(super) fn entries(&self, access: usize) -> Vec<usize> {
        let into = |i: &usize| self.end(*i, true) == End::Access(access) && !self.legs.contains(i);
        (0..self.net.legs.len()).filter(|i| runs::is_drain(self.net, *i)).filter(into).collect()
    }

    /// Walls that a leg must cross.
    pub(super) fn walls(&self, leg: usize) -> Vec<usize> {
        let pipe = self.net.legs.get(leg).map(|l| l.pipe);
        self.net.crossings.iter().filter(|c| Some(c.pipe) == pipe && c.certain).map(|c| c.element).collect()
    }

    pub(super) fn label(&self, leg: usize, full: bool) -> Vec<Words> {
        let mut label = vec![(words::tag(self.net.id(leg)), Face::Bold, ID)];
        let pipe = self.net.legs.get(leg).map_or(0, |l| l.pipe);
        // An existing drain is judged nowhere, so its fall is left to the long section.
        let told = full && self.stage(leg) != Stage::Existing;
        if let (Some(g), true) = (self.net.gradient(leg), told) {
            label.push((words::gradient(self.net.record, pipe, &g), Face::Regular, WORD));
        }
        label
    }

    fn needs(&self, leg: usize) -> f64 {
        let wall = if self.walls(leg).is_empty() { 0.0 } else { 14.0 };
        let sides = 16.0 * self.sides(leg).len() as f64;
        let old = if self.net.legs.get(leg).is_some_and(|l| l.length.is_none()) { 10.0 } else { 0.0 };
        // The first drain into its lower chamber stands under that, each further one that much before it.
        let more = match self.end(leg, true) {
            End::Access(a) => self.entries(a).len(),
            _ => 0,
        };
        let id = self.net.id(leg);
        let near = |item: &crate::record::sections::Item<crate::record::evidence::Nearby>| {
            item.body.from.get().is_some_and(|from| from.get(id).is_some())
        };
        let service = if self.net.record.nearby.iter().any(near) { 24.0 } else { 0.0 };
        let before = if more > 1 { ENTRY * (more - 1) as f64 + 14.0 } else { 0.0 };
        (run_width(&self.label(leg, self.full)) + 7.0 + wall + sides + old).max(before).max(service).max(16.0)
    }

    /// Room for the spine: between the first node and the words at its end.
    fn room(&self) -> f64 {
        let last = self.legs.last().map_or("", |l| self.net.end_id(self.end(*l, true)));
        WIDTH - 10.0 - (lettering::width(Face::Bold, &words::tag(last), ID) + 3.6).clamp(8.0, 50.0)
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
        let busy = legs.iter().any(|l| {
            let into = match self.end(*l, true) {
                End::Access(a) => !self.entries(a).is_empty(),
                _ => false,
            };
            into || !self.sides(*l).is_empty()
        });
        let bottom = top + if busy { ROW } else { SHORT } + MORE * most.saturating_sub(1) as f64;
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
                self.node(self.end(*leg, false), (a, y));
                place = self.place(*leg, false);
                self.italic(&place, (2.0, bottom - 0.6));
            }
            self.node(self.end(*leg, true), (b, y));
            self.spine(*leg, (a, b), y, (top, bottom), &mut place);
        }
        for (i, leg) in legs.iter().enumerate() {
            let (Some(a), Some(b)) = (xs.get(i).copied(), xs.get(i + 1).copied()) else { continue };
            self.arrivals(*leg, (a, b), y, (top, bottom));
        }
        for (ways, spots) in std::mem::take(&mut self.texts) {
            // The id alone stands rather than nothing.
            let near = ways.iter().any(|words| self.set(words, &spots, None));
            let _ = near || ways.iter().any(|words| self.set(words, &spots, Some((top, bottom))));
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
        if !walls.is_empty() {
            let x = a + (b - a) * 0.44 - 1.7;
            let band = Rect { x0: x, y0: top + 1.0, x1: x + 3.4, y1: bottom - 0.5 };
            self.sheet.block(Layer::Grey, Paint::Grey, band);
            self.sheet.boxes.push(band);
            let points = [(x, band.y0), (x + 3.4, band.y0), (x + 3.4, band.y1), (x, band.y1), (x, band.y0)];
            self.sheet.faint(Layer::Grey, Pen::Fine, &points);
            walls.dedup();
            let ids: Vec<String> =
                walls.iter().filter_map(|e| self.net.record.elements.at(*e)).map(|e| words::tag(&e.id)).collect();
            self.put(&[(ids.join(", "), Face::Italic, WORD)], &[(x + 4.6, top + 4.6)]);
            left = x + 5.4;
        }
        let next = self.place(leg, true);
        let changes = !next.is_empty() && next != *place;
        let bound = (changes && walls.is_empty() && !place.is_empty()).then_some(a + (b - a) * 0.45);
        if let Some(x) = bound {
            self.sheet.line(Layer::Grey, Pen::StructureUnsure, &[(x, top + 1.0), (x, bottom - 0.5)]);
            self.sheet.boxes.push(Rect { x0: x - 0.4, y0: top + 1.0, x1: x + 0.4, y1: bottom - 0.5 });
        }
        let label = self.label(leg, self.full);
        let w = run_width(&label);
        let middle = ((a + b - w) / 2.0).max(left);
        let past = bound.map_or(left, |x| x + 1.2);
        let short = bound.map_or(left, |x| x - 1.2 - w);
        let above = y - 2.4;
        self.put(&label, &[(middle, above), (left, above), (short, above), (past, above), (middle, y + 5.0)]);
        if self.stage(leg) != Stage::Existing && b - a > 12.0 {
            let at = if walls.is_empty() { a + (b - a) * 0.5 } else { a + (b - a) * 0.26 };
            self.chevron((at, y));
        }
        if changes {
            let shown = match bound {
                Some(x) => x + 3.0,
                None if walls.is_empty() => a + (b - a) * 0.45 + 3.0,
                None => (left + 34.0).min(b),
            };
            self.italic(&next, (shown, bottom - 0.6));
            *place = next;
        }
    }

    fn italic(&mut self, words: &str, at: Spot) {
        if !words.is_empty() {
            self.put(&[(words.to_owned(), Face::Italic, WORD)], &[at, (at.0 + 6.0, at.1), (at.0 + 14.0, at.1)]);
        }
    }

    /// The place at an end of a leg.
    pub(super) fn place(&self, leg: usize, lower: bool) -> String {
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
    pub(super) fn line(&mut self, leg: usize, points: &[Spot]) {
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
    pub(super) fn chevron(&mut self, (x, y): Spot) {
        self.sheet.faint(Layer::Symbol, Pen::Wall, &[(x - 0.9, y - 1.4), (x + 0.8, y), (x - 0.9, y + 1.4)]);
    }
}
