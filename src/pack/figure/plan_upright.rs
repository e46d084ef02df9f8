//! The small plan for a narrow screen: the same spine, words and numbers, the flow downwards.

use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::known::How;
use crate::base::lettering;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::figure::plan::ID;
use crate::pack::figure::plan::Plan;
use crate::pack::figure::plan::WORD;
use crate::pack::figure::plan::Words;
use crate::pack::figure::plan::spine;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::texts::run_width;
use crate::pack::figure::texts::ways;
use crate::pack::figure::words;
use crate::record::facts::stage_of;
use crate::record::words::Stage;

/// Its width: 328 pixels of a telephone.
const WIDTH: f64 = 80.0;
/// Where the spine stands, and side drains right of it.
const SPINE: f64 = 34.0;
const SIDE: f64 = 18.0;
const MORE: f64 = 9.0;
/// The most runs; long sections show the rest.
const MOST: usize = 14;

/// Draws it; `None` without a drain.
pub(super) fn draw(net: &Network<'_>) -> Option<Drawing> {
    let mut plan = spine(net, WIDTH)?;
    let legs = plan.legs.clone();
    let mut y = 6.0;
    let mut place = legs.first().map_or(String::new(), |l| plan.place(*l, false));
    if let Some(first) = legs.first() {
        plan.stop(plan.end(*first, false), y);
        plan.note(&place, (1.0, 4.6));
    }
    let mut bottom = y + 4.0;
    for leg in legs.iter().take(MOST) {
        let to = y + plan.run_height(*leg);
        plan.run(*leg, (y, to), &mut place);
        plan.comes(*leg, (y, to));
        bottom = plan.tail(*leg, to);
        plan.settle((y, bottom));
        y = to;
    }
    let more = legs.len().saturating_sub(MOST);
    if more > 0 {
        plan.put(&[(format!("{more} more drains follow"), Face::Regular, WORD)], &[(2.0, bottom + 4.0)]);
        bottom += 5.0;
        plan.settle((bottom - 5.0, bottom));
    }
    let end = plan.legend(bottom + 4.0);
    let alt = plan.alt();
    let mut drawing = plan.sheet.finish("Plan of the drains, upright".to_owned(), alt, end);
    drawing.width = WIDTH;
    Some(drawing)
}

impl Plan<'_> {
    /// Room for a run: its label, and whatever comes to it.
    fn run_height(&self, leg: usize) -> f64 {
        let sides = MORE * self.sides(leg).len() as f64;
        let wall = if self.walls(leg).is_empty() { 0.0 } else { 5.0 };
        let id = self.net.id(leg);
        let served = |n: &&crate::record::sections::Item<crate::record::evidence::Nearby>| {
            n.body.from.get().is_some_and(|f| f.get(id).is_some())
        };
        let services = 5.0 * self.net.record.nearby.iter().filter(served).count().saturating_sub(1) as f64;
        let entries = match self.end(leg, true) {
            End::Access(a) => 6.0 * self.entries(a).len().saturating_sub(1) as f64,
            _ => 0.0,
        };
        17.0 + sides + wall + services + entries
    }

    /// Sets the texts that wait, between two heights.
    fn settle(&mut self, rows: Spot) {
        for (ways, spots) in std::mem::take(&mut self.texts) {
            let near = ways.iter().any(|words| self.set(words, &spots, None));
            let _ = near || ways.iter().any(|words| self.set(words, &spots, Some(rows)));
        }
    }

    /// A place's name, in italics.
    fn note(&mut self, place: &str, (x, y): Spot) {
        if !place.is_empty() {
            self.put(&[(place.to_owned(), Face::Italic, WORD)], &[(x, y), (x + 40.0, y), (x, y + 4.0)]);
        }
    }

    /// A run of the spine with its wall, boundary and label.
    fn run(&mut self, leg: usize, (a, b): Spot, place: &mut String) {
        self.line(leg, &[(SPINE, a), (SPINE, b)]);
        if self.net.legs.get(leg).is_some_and(|l| l.length.is_none()) {
            self.turned_break(SPINE, b - 5.0);
        }
        let walls = self.walls(leg);
        let cut = a + 7.0;
        if !walls.is_empty() {
            let band = Rect { x0: 1.0, y0: cut, x1: WIDTH - 1.0, y1: cut + 3.0 };
            self.sheet.block(Layer::Grey, Paint::Grey, band);
            self.sheet.boxes.push(band);
            let ids = walls.iter().filter_map(|e| self.net.record.elements.at(*e)).map(|e| words::tag(&e.id));
            let ids: Vec<String> = ids.collect();
            let told = vec![(ids.join(", "), Face::Italic, WORD)];
            let x = WIDTH - 2.0 - run_width(&told);
            self.put(&told, &[(x, cut - 1.4), (x, cut + 6.4)]);
        }
        let next = self.place(leg, true);
        if !next.is_empty() && next != *place {
            let low = if walls.is_empty() {
                if !place.is_empty() {
                    self.sheet.line(Layer::Grey, Pen::StructureUnsure, &[(1.0, cut), (WIDTH - 1.0, cut)]);
                }
                cut + 4.4
            } else {
                cut + 7.4
            };
            self.note(&next, (1.0, low));
            *place = next;
        }
        if self.stage(leg) != Stage::Existing {
            let y = if walls.is_empty() { a + 5.0 } else { cut - 3.0 };
            self.sheet.faint(
                Layer::Symbol,
                Pen::Wall,
                &[(SPINE - 1.4, y - 0.9), (SPINE, y + 0.8), (SPINE + 1.4, y - 0.9)],
            );
        }
        let label = self.label(leg, true);
        let left = SPINE - 3.4 - run_width(&label);
        let low = b - 6.4;
        self.put(&label, &[(left, low), (SPINE + 3.4, low), (left, low - 4.0), (SPINE + 3.4, a + 6.0)]);
    }

    /// Two strokes across an upright run.
    fn turned_break(&mut self, x: f64, y: f64) {
        self.sheet.block(Layer::Symbol, Paint::Paper, Rect { x0: x - 2.4, y0: y - 0.7, x1: x + 2.4, y1: y + 0.7 });
        for by in [-0.7, 0.7] {
            self.sheet.line(Layer::Symbol, Pen::Box, &[(x - 2.4, y + by + 0.5), (x + 2.4, y + by - 0.5)]);
        }
        self.sheet.signs.insert(Sign::Break);
    }

    /// What comes to a run and to the chamber at its lower end.
    fn comes(&mut self, leg: usize, (a, b): Spot) {
        let sides = self.sides(leg);
        let hidden = self.all_sides(leg).len() - sides.len();
        for (k, side) in sides.into_iter().enumerate() {
            self.side_down(side, k, (a, b));
        }
        if hidden > 0 {
            let told = vec![(format!("{hidden} more join"), Face::Regular, WORD)];
            self.put(&told, &[(SPINE + 4.0, b - 1.0), (1.0, b - 9.0)]);
        }
        self.services_down(leg, (a, b));
        self.stop(self.end(leg, true), b);
        let End::Access(access) = self.end(leg, true) else { return };
        for (k, other) in self.entries(access).into_iter().enumerate() {
            self.entry_across(other, k, b);
        }
        self.temporary_across(access, b);
    }

    /// A side drain, coming down at the right and joining at 45 degrees with the flow.
    fn side_down(&mut self, leg: usize, k: usize, (a, b): Spot) {
        let x = SPINE + SIDE + MORE * k as f64;
        let join = b - 3.0 - 5.0 * k as f64;
        let bend = join - (x - SPINE);
        let top = (a + 1.0).min(bend - 3.0).max(a - 3.0);
        let bend = bend.max(top);
        self.line(leg, &[(x, top), (x, bend), (SPINE, join)]);
        let from = self.end(leg, false);
        if from == End::Unknown {
            self.turned_break(x, top);
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(x - 0.9, top - 2.0)]);
        } else {
            self.ring((x, top), 1.8);
            let id = words::tag(self.net.end_id(from));
            self.put(&[(id, Face::Bold, ID)], &[(x + 2.8, top + 1.2), (x - 1.0, top - 2.6)]);
        }
        let pipe = self.net.legs.get(leg).map(|l| l.pipe);
        if self.net.crossings.iter().any(|c| Some(c.pipe) == pipe && c.penetration.is_none()) {
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(x + 2.0, top + 6.0), (x - 4.0, top + 6.0)]);
        }
        let label = self.label(leg, true);
        let beside = (x + SPINE) / 2.0 + 4.6;
        self.put(&label, &[(beside, join - 2.0), (SPINE + 3.4, b - 0.6), (beside, join + 2.0)]);
    }

    /// Services beside a run: dots, with what they are.
    fn services_down(&mut self, leg: usize, (a, b): Spot) {
        let id = self.net.id(leg).to_owned();
        let mut shift = 0.0;
        for item in &self.net.record.nearby {
            let Some(field) = item.body.from.get().and_then(|f| f.get(&id)) else { continue };
            let what = item.body.what.get().map_or("service", |w| w.0.as_str());
            let far = field.get().map_or(String::new(), |m| format!(", {}", m.words()));
            let x = SPINE + 5.0 + shift;
            let (from, to) = (a + 4.0, b - 4.0);
            let mut y = from;
            while y < to {
                self.sheet.ellipse(Layer::Pipe, (x, y), (0.33, 0.33), None, Some(Paint::Black));
                y += 1.4;
            }
            self.sheet.boxes.push(Rect { x0: x - 0.4, y0: from - 0.4, x1: x + 0.4, y1: to });
            let last = what.rsplit(' ').next().unwrap_or(what);
            let tries = [format!("{what}{far}"), format!("{last}{far}"), what.to_owned()];
            let beside = (a + b) / 2.0 + 1.2;
            self.texts.push((ways(&item.id, &tries), vec![(x + 2.0, beside), (x + 2.0, beside + 5.0)]));
            shift += 2.0;
        }
    }

    /// Another drain into a chamber, from the right.
    fn entry_across(&mut self, leg: usize, k: usize, y: f64) {
        let (far, level) = (SPINE + 16.0, y - 6.0 * k as f64);
        let near = if k == 0 { (SPINE + 2.6, y) } else { (SPINE + 1.8, y - 1.8) };
        self.line(leg, &[(far, level), near]);
        let from = self.end(leg, false);
        let mut told: Vec<Words> = self.label(leg, false);
        if matches!(from, End::Unknown | End::Absent) {
            self.sheet.line(Layer::Symbol, Pen::Box, &[(far - 0.7, level + 2.3), (far + 0.8, level - 2.3)]);
            self.sheet.signs.insert(Sign::Break);
            told.push(("?".to_owned(), Face::Bold, ID));
        } else {
            told.push((format!("from {}", words::tag(self.net.end_id(from))), Face::Regular, WORD));
        }
        self.put(&told, &[(far + 2.6, level + 1.2), (SPINE + 5.0, level - 2.6)]);
    }

    /// What is temporary at a chamber: dashed, from the left.
    fn temporary_across(&mut self, access: usize, y: f64) {
        let mut level = y;
        for (id, tries) in self.temporary_at(access) {
            self.sheet.line(Layer::Pipe, Pen::Temporary, &[(2.0, level), (SPINE - 2.6, level)]);
            self.sheet.signs.insert(Sign::Temporary);
            self.texts.push((ways(&id, &tries), vec![(1.0, level - 1.6), (1.0, level + 4.4)]));
            level += 1.6;
        }
    }

    /// A foot, chamber, outfall or open end, with its id.
    fn stop(&mut self, end: End, y: f64) {
        let id = words::tag(self.net.end_id(end));
        let w = lettering::width(Face::Bold, &id, ID);
        let spots = [(SPINE - 3.6 - w, y + 1.2), (SPINE + 3.6, y + 1.2), (SPINE - 3.6 - w, y + 5.4)];
        let bold = |words: String| [(words, Face::Bold, ID)];
        match end {
            End::Pipe(p) if self.net.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack) => {
                self.ring((SPINE, y), 2.1);
                self.sheet.ellipse(Layer::Dimension, (SPINE, y), (0.6, 0.6), None, Some(Paint::Black));
                self.put(&bold(id), &spots);
            }
            End::Access(a) => {
                let item = self.net.record.access.at(a);
                let existing = item.is_some_and(|i| stage_of(&i.body.stage) == Stage::Existing);
                let square = item.and_then(|i| i.body.across.get()).is_some_and(|w| w.b.is_some());
                self.chamber((SPINE, y), existing, square);
                self.put(&bold(id), &spots);
            }
            End::Outfall(_) => {}
            End::Appliance(_) | End::Pipe(_) => {
                self.ring((SPINE, y), 1.8);
                self.put(&bold(id), &spots);
            }
            End::Temporary | End::Unknown | End::Absent => {
                self.turned_break(SPINE, y);
                self.put(&bold("?".to_owned()), &spots);
            }
        }
    }

    /// The outfall's id and what it carries, under the last run; says where the run ends on paper.
    fn tail(&mut self, leg: usize, y: f64) -> f64 {
        let End::Outfall(o) = self.end(leg, true) else { return y + 4.0 };
        let Some(item) = self.net.record.outfalls.at(o) else { return y + 4.0 };
        let mut told = vec![(words::tag(&item.id), Face::Bold, ID)];
        if let Some(carries) = item.body.carries.get() {
            let believed = self.net.record.how(&item.body.carries) == How::Believed;
            let what = if believed { format!("believed {}", carries.0) } else { carries.0.clone() };
            told.push((words::fit(&words::clean(&what), false, WORD, 40.0), Face::Regular, WORD));
        }
        self.put(&told, &[(SPINE - 3.0, y + 5.0), (SPINE + 3.6, y)]);
        y + 6.0
    }
}
