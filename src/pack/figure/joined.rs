//! Labels of what comes to a run: joins, the other pipes of a chamber, services near it.

use crate::base::units::Length;
use crate::pack::figure::drops;
use crate::pack::figure::label::Label;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::profile::style;
use crate::pack::figure::runs;
use crate::pack::figure::sheet::Sign;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::stations;
use crate::pack::figure::words;
use crate::record::words::Stage;

impl Profile<'_> {
    pub(super) fn join_label(&mut self, point: &PointAt) {
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
        let label = Label::tagged(1, self.net.id(leg), style(true, point.stage), &lines);
        let x = self.x(point);
        let y = point.il_in.or(point.il_out).map_or(self.frame.y_base - 10.0, |l| self.frame.y(l.value.um()));
        let spots: Vec<Spot> = [4.6, 7.0, 10.0, 14.0, -12.0, -15.0, -20.0].iter().map(|dy| (x + 1.8, y + dy)).collect();
        label.lead(self.sheet, &spots, (x, y), &self.area);
    }

    /// The other pipes of a chamber, a step up through it, and the drain that leaves the last one.
    pub(super) fn chamber_labels(&mut self, point: &PointAt) {
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
                    let drop = drops::by_backdrop(self.net, leg) && into;
                    let how = if drop { "in by a backdrop, end on".to_owned() } else { format!("{way}, end on") };
                    let label = Label::tagged(1, &id, style(true, stage), &[how]);
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

    /// Services near a pipe: how far off is known, where along it is not.
    pub(super) fn services(&mut self, i: usize) {
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
    pub(super) fn unplaced_joins(&mut self, i: usize) {
        let Some(piece) = self.section.pieces.get(i) else { return };
        let (from, to) = self.frame.ends(i);
        for leg in self.net.feeding.get(piece.leg).cloned().unwrap_or_default() {
            let head =
                self.net.legs.get(piece.leg).is_some_and(|l| l.ends.from == crate::network::ends::End::Pipe(leg));
            let gone = runs::stage(self.net, leg) == Stage::Removed;
            if head || gone || stations::joins_at(self.net, leg, piece.leg).is_some() {
                continue;
            }
            let words = format!("joins; place along {} not recorded", words::tag(&piece.id));
            let label = Label::tagged(1, self.net.id(leg), style(true, runs::stage(self.net, leg)), &[words]);
            let lowest = self.soffit_y(i, 0.0).unwrap_or(self.frame.y_base - 10.0) - 8.0;
            self.bracketed(&label, from, to, lowest);
        }
    }
}
