//! Backdrops, with their concrete, and access pieces on a drain between its ends.

use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::units::Length;
use crate::network::Network;
use crate::pack::figure::label::Label;
use crate::pack::figure::model::Piece;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::profile::style;
use crate::pack::figure::profile::wall_pen;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::record::quantity::Station;
use crate::record::words::Entry;

/// Whether a drain comes into its chamber by a backdrop.
pub(super) fn by_backdrop(net: &Network<'_>, leg: usize) -> bool {
    let pipe = net.legs.get(leg).and_then(|l| net.record.pipes.at(l.pipe));
    pipe.is_some_and(|p| p.body.entry.get() == Some(&Entry::Backdrop))
}

/// What is recorded of a backdrop, line by line.
fn told(net: &Network<'_>, leg: usize, high: Length) -> Vec<String> {
    let pipe = net.legs.get(leg).and_then(|l| net.record.pipes.at(l.pipe));
    let spec = pipe.and_then(|p| p.body.backdrop.get());
    let concrete = match spec.and_then(|b| b.encased.get()) {
        Some(thick) => format!("{} of concrete", thick.words()),
        None => "concrete not recorded".to_owned(),
    };
    vec![format!("backdrop {}\u{a0}m,", high.metres(3)), concrete]
}

impl Profile<'_> {
    /// The drain of this sheet that arrives at a point.
    fn arriving(&self, point: &PointAt) -> Option<(usize, &Piece)> {
        let i = if point.end { point.piece } else { point.piece.checked_sub(1)? };
        let piece = self.section.pieces.get(i).filter(|_| self.part.pieces.contains(&i))?;
        Some((i, piece))
    }

    /// Whether the run itself comes in at a chamber by a backdrop, on this sheet or the one before.
    pub(super) fn drops_at(&self, point: &PointAt) -> bool {
        let i = if point.end { Some(point.piece) } else { point.piece.checked_sub(1) };
        i.and_then(|i| self.section.pieces.get(i)).is_some_and(|p| by_backdrop(self.net, p.leg))
    }

    /// Where a backdrop stands before its chamber: its left and right side and the heights of both inverts.
    fn upright_at(&self, point: &PointAt) -> Option<(f64, f64, f64, f64)> {
        let (_, piece) = self.arriving(point).filter(|(_, p)| by_backdrop(self.net, p.leg))?;
        let (top, bottom) = (point.il_in?.value, point.il_out?.value);
        let wide = piece.drawn.map_or(0.88, |d| self.frame.wide(d).clamp(0.88, 3.0));
        let right = self.x(point) - self.half(point) - 2.0;
        (top.above(bottom) > Length::ZERO)
            .then(|| (right - wide, right, self.frame.y(top.um()), self.frame.y(bottom.um())))
    }

    /// The upright pipe of a backdrop and the bend under it, in the concrete that is recorded round it.
    pub(super) fn backdrop(&mut self, point: &PointAt) {
        let Some((left, right, top, bottom)) = self.upright_at(point) else { return };
        let Some((_, piece)) = self.arriving(point) else { return };
        let face = self.x(point) - self.half(point);
        let bore = piece.drawn.map_or(0.6, |d| self.frame.tall(d).max(0.6)).min((bottom - top) * 0.6);
        let (leg, pen) = (piece.leg, wall_pen(piece.stage));
        let pipe = self.net.legs.get(leg).and_then(|l| self.net.record.pipes.at(l.pipe));
        let round = pipe.and_then(|p| p.body.backdrop.get()).and_then(|b| b.encased.get()).map(|m| m.value);
        if let Some(thick) = round {
            let wide = self.frame.wide(thick).clamp(0.8, 4.0);
            let deep = self.frame.tall(thick).clamp(0.8, 4.0);
            let band = Rect { x0: left - wide, y0: top + 0.3, x1: face, y1: bottom + deep };
            self.sheet.block(Layer::Grey, Paint::Grey, band);
        }
        self.sheet.block(Layer::Core, Paint::Paper, Rect { x0: left, y0: top - bore / 2.0, x1: right, y1: bottom });
        self.sheet.block(Layer::Core, Paint::Paper, Rect { x0: left, y0: bottom - bore, x1: face, y1: bottom });
        self.sheet.line(Layer::Pipe, pen, &[(left, top), (left, bottom), (face, bottom)]);
        self.sheet.line(Layer::Pipe, pen, &[(right, top), (right, bottom - bore), (face, bottom - bore)]);
        self.sheet.boxes.push(Rect { x0: left, y0: top, x1: face, y1: bottom });
    }

    /// How high a backdrop is and what is round it.
    pub(super) fn backdrop_label(&mut self, point: &PointAt) {
        let Some((left, _, top, bottom)) = self.upright_at(point) else { return };
        let Some((_, piece)) = self.arriving(point) else { return };
        let high = point.il_in.zip(point.il_out).map(|(i, o)| i.value.above(o.value)).unwrap_or_default();
        let lines = told(self.net, piece.leg, high);
        let all: Vec<&str> = lines.iter().map(String::as_str).collect();
        let label = Label::of(2, &all);
        let (w, h) = label.size();
        let middle = (top + bottom) / 2.0;
        let spots: Vec<Spot> =
            [0.0, 2.0, 4.0, 7.0, 10.0].iter().map(|dy| (left - w - 5.0, middle - h / 2.0 + dy)).collect();
        label.lead(self.sheet, &spots, (left, middle), &self.area);
    }

    /// Access pieces between the ends of a drain: a short cap over the soffit, with its tag.
    pub(super) fn caps(&mut self, i: usize) {
        for (id, x, y) in self.caps_of(i) {
            self.sheet.line(Layer::Symbol, Pen::Wall, &[(x, y), (x, y - 2.2)]);
            self.sheet.line(Layer::Symbol, Pen::Cover, &[(x - 1.0, y - 2.2), (x + 1.0, y - 2.2)]);
            let stage = self.section.pieces.get(i).map_or(crate::record::words::Stage::Installed, |p| p.stage);
            let label = Label::tagged(1, &id, style(false, stage), &[]);
            let w = label.size().0;
            let spots: Vec<Spot> = [-7.6, -9.5, -12.0, -15.0].iter().map(|dy| (x - w / 2.0, y + dy)).collect();
            label.lead(self.sheet, &spots, (x, y - 2.3), &self.area);
        }
    }

    /// The access pieces of a drain with their place on its soffit.
    fn caps_of(&self, i: usize) -> Vec<(String, f64, f64)> {
        let Some(piece) = self.section.pieces.get(i) else { return Vec::new() };
        let Some(leg) = self.net.legs.get(piece.leg) else { return Vec::new() };
        let Some(all) = self.net.record.pipes.at(leg.pipe).and_then(|p| p.body.access.get()) else { return Vec::new() };
        let (from, to) = self.frame.ends(i);
        let Some(whole) = piece.length.map(|l| l.value).filter(|l| *l > Length::ZERO) else { return Vec::new() };
        let placed = all.0.iter().filter_map(|(key, at)| {
            let Some(Station::Along { distance, up, from: end }) = at.get() else { return None };
            let named = self.net.end_id(if *up { leg.ends.to } else { leg.ends.from });
            let along = if *up { whole - distance.value } else { distance.value };
            let share = along.m() / whole.m();
            let y = self.soffit_y(i, share)?;
            ((0.0..=1.0).contains(&share) && named == end).then(|| (key.value.clone(), from + (to - from) * share, y))
        });
        placed.map(|(id, x, y)| (words::tag(&id), x, y)).collect()
    }
}
