//! Walls that a run goes through: drawn where a tie places them, else a bracket with words.

use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::units::Length;
use crate::network::crossings::Crossing;
use crate::network::height::Height;
use crate::pack::figure::label::Label;
use crate::pack::figure::model;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::profile::style;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::record::quantity::Across;
use crate::record::quantity::Measure;
use crate::record::value::Scalar;
use crate::record::words::Stage;

impl Profile<'_> {
    /// Crossings of a pipe with a part of the building; those that only may be go to the notes.
    pub(super) fn crossings(&self, i: usize) -> Vec<&Crossing> {
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
    pub(super) fn tie(&self, i: usize) -> Option<Length> {
        let leg = self.section.pieces.get(i).and_then(|p| self.net.legs.get(p.leg))?;
        let crate::network::ends::End::Access(a) = leg.ends.to else { return None };
        let place = &self.net.record.access.at(a)?.body.place_from.get()?.0;
        let (distance, _) = place.split_once(" out from ")?;
        Measure::from_words(distance).ok().map(|m| m.value)
    }

    /// Draws the wall that can be placed along a pipe; says where its top is.
    pub(super) fn wall_band(&mut self, i: usize) -> Option<f64> {
        let (inner, outer, element) = self.wall_faces(i)?;
        let crossing = self.crossings(i).into_iter().find(|c| c.element == element).cloned()?;
        Some(self.wall(i, &crossing, inner, outer))
    }

    pub(super) fn walls_crossed(&mut self, i: usize, top: Option<f64>) {
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
    pub(super) fn wall(&mut self, i: usize, crossing: &Crossing, inner: f64, outer: f64) -> f64 {
        let record = self.net.record;
        let surfaces = self.points().into_iter().filter_map(|p| p.surface).map(|s| self.frame.y(s.value.um()));
        let footing = record.elements.at(crossing.element).and_then(|e| {
            let h: Option<Height<crate::base::units::Spot>> = self.net.height(&e.body.footing_underside, None);
            h.and_then(|h| h.absolute()).filter(|_| self.section.datum == model::Datum::Site)
        });
        let pipe_y = self.soffit_y(i, 0.5).unwrap_or(self.frame.y_base - 16.0);
        let top = surfaces.fold(pipe_y - 16.0, f64::min) - 2.4;
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
    pub(super) fn opening(&mut self, i: usize, crossing: &Crossing, inner: f64, outer: f64) {
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

    pub(super) fn frame_of(&mut self, r: Rect) {
        let points = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)];
        self.sheet.faint(Layer::Structure, Pen::Structure, &points);
    }
}
