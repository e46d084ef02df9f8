//! What comes to the spine of the small plan: side drains, other drains, services, what is temporary.

use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::lettering;
use crate::network::ends::End;
use crate::pack::figure::plan::ENTRY;
use crate::pack::figure::plan::ID;
use crate::pack::figure::plan::MORE;
use crate::pack::figure::plan::Plan;
use crate::pack::figure::plan::SIDE;
use crate::pack::figure::plan::WORD;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::texts::run_width;
use crate::pack::figure::texts::ways;
use crate::pack::figure::words;
use crate::record::evidence::Temporary;
use crate::record::sections::Item;

impl Plan<'_> {
    /// What comes to a run and to the chamber at its lower end: side drains, other drains, services, what is temporary.
    pub(super) fn arrivals(&mut self, leg: usize, (a, b): (f64, f64), y: f64, rows: Spot) {
        for (k, side) in self.sides(leg).into_iter().enumerate() {
            self.side(side, k, (a, b), y);
        }
        let hidden = self.all_sides(leg).len() - self.sides(leg).len();
        if hidden > 0 {
            let told = format!("and {hidden} more join, see the long section");
            self.put(&[(told, Face::Regular, WORD)], &[(a + 6.0, rows.1 - 5.0), (b + 4.0, y + 8.0)]);
        }
        self.services(leg, (a, b), y);
        let End::Access(access) = self.end(leg, true) else { return };
        for (k, other) in self.entries(access).into_iter().enumerate() {
            self.entry(other, k, (b, y));
        }
        self.temporary(access, (b, y), rows);
    }

    /// A side drain, joining at 45 degrees with the flow.
    pub(super) fn side(&mut self, leg: usize, k: usize, (a, b): (f64, f64), y: f64) {
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
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(start - 4.0, low + 1.2)]);
        } else {
            self.ring((start, low), 1.8);
            self.put(&[(id, Face::Bold, ID)], &[(start - 2.6 - w, low + 1.2), (start - w / 2.0, low + 6.0)]);
        }
        let pipe = self.net.legs.get(leg).map(|l| l.pipe);
        let open = |c: &&crate::network::crossings::Crossing| Some(c.pipe) == pipe && c.penetration.is_none();
        if self.net.crossings.iter().any(|c| open(&c)) {
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(start + 21.0, low - 1.6), (start + 9.0, low - 1.6)]);
        }
        let label = self.label(leg, true);
        self.put(&label, &[(bend + 4.4, low + 0.2), (bend + 4.4, low - 3.0), (start + 9.0, low + 4.6)]);
    }

    /// Another drain into a chamber, from below.
    pub(super) fn entry(&mut self, leg: usize, k: usize, (x, y): Spot) {
        let low = y + 14.0;
        let foot = x - ENTRY * k as f64;
        let points: Vec<Spot> =
            if k == 0 { vec![(x, low), (x, y + 2.8)] } else { vec![(foot, low), (x - 1.8, y + 1.8)] };
        self.line(leg, &points);
        let from = self.end(leg, false);
        let label = self.label(leg, false);
        let beside = [(foot + 2.6, low + 1.2), (foot - run_width(&label) - 2.6, low + 1.2)];
        self.put(&label, &beside);
        if matches!(from, End::Unknown | End::Absent) {
            self.sheet.line(Layer::Symbol, Pen::Box, &[(foot - 2.3, low - 0.7), (foot + 2.3, low + 0.8)]);
            self.sheet.signs.insert(Sign::Break);
            self.put(&[("?".to_owned(), Face::Bold, ID)], &[(foot - 0.9, low + 5.0)]);
        } else {
            let id = words::tag(self.net.end_id(from));
            let w = lettering::width(Face::Bold, &id, ID);
            self.put(&[(id, Face::Bold, ID)], &[(foot - w / 2.0, low + 5.0)]);
        }
    }

    pub(super) fn services(&mut self, leg: usize, (a, b): (f64, f64), y: f64) {
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
            let last = what.rsplit(' ').next().unwrap_or(what);
            let tries = [format!("{what}{far}"), format!("{last}{far}"), what.to_owned()];
            let spots = vec![(from, y + 9.8), (from - 3.0, y + 9.8), (from, y + 14.0)];
            self.texts.push((ways(&item.id, &tries), spots));
        }
    }

    /// What is temporary at a chamber: dashed, from above.
    pub(super) fn temporary(&mut self, access: usize, (x, y): Spot, rows: Spot) {
        let mut at = x;
        for (id, tries) in self.temporary_at(access) {
            self.sheet.line(Layer::Pipe, Pen::Temporary, &[(at, rows.0 + 1.2), (at, y - 2.4)]);
            self.sheet.signs.insert(Sign::Temporary);
            let spots = vec![(at + 2.0, rows.0 + 4.6), (at + 2.0, rows.0 + 8.6)];
            self.texts.push((ways(&id, &tries), spots));
            at += 1.6;
        }
    }

    /// Ids and words, ever shorter, of what is temporary at a chamber.
    pub(super) fn temporary_at(&self, access: usize) -> Vec<(String, Vec<String>)> {
        let Some(chamber) = self.net.record.access.at(access) else { return Vec::new() };
        let names = |what: &str| what.split(|c: char| !c.is_alphanumeric() && c != '-').any(|w| w == chamber.id);
        let told = |item: &Item<Temporary>| {
            let what = item.body.what.get().filter(|w| names(&w.0))?;
            let cut = [" led into", " into", " in "].iter().filter_map(|w| what.0.find(w)).min();
            let short = cut.and_then(|c| what.0.get(..c)).unwrap_or(&what.0);
            let first = words::clean(short.split(' ').next().unwrap_or(""));
            let whole = words::clean(&format!("{short}, temporary"));
            Some((item.id.clone(), vec![whole, format!("{first}, temporary"), "temporary".to_owned()]))
        };
        self.net.record.temporary.iter().filter_map(told).collect()
    }
}
