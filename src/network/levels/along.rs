//! What the inverts read along a pipe, and the ties through a chamber, add to the levels of its ends.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::height::Because;
use crate::network::height::Height;
use crate::network::height::NamedLevels;
use crate::network::height::reading_half;
use crate::network::legs::Knee;
use crate::network::legs::ends_at;
use crate::network::legs::inverts_along;
use crate::network::levels::Fact;
use crate::network::levels::Queue;
use crate::network::levels::Slot;
use crate::network::levels::step;
use crate::network::pieces::Point;
use crate::network::pieces::between;
use crate::record::sections::Record;

/// Reads the inverts along every leg. Those at its very ends are levels of the ends; where the whole pipe has one
/// recorded gradient, every other is a level of its upper end as well, so that one that lies off the line is found.
pub(super) fn written(record: &Record, named: &NamedLevels, queue: &mut Queue<'_>) {
    for i in 0..queue.legs.len() {
        let places: Vec<Knee> = inverts_along(record, queue.legs, i).collect();
        for place in &places {
            let Some(there) = height(record, named, queue, i, place) else { continue };
            if place.along.value == Length::ZERO {
                queue.push(i, Slot::Up, Some(Fact::Height(there)));
            } else if ends_at(queue.legs.get(i), place) {
                queue.push(i, Slot::Down, Some(Fact::Height(there)));
            } else if let Some(up) = at_upper_end(queue, i, place, there) {
                queue.push(i, Slot::Up, Some(Fact::Height(up)));
            }
        }
        let inside = queue.legs.get(i).map_or(Vec::new(), |l| l.knees.clone());
        let points: Vec<Point> = inside
            .iter()
            .map(|knee| Point { along: knee.along, invert: height(record, named, queue, i, knee) })
            .collect();
        if let Some(list) = queue.out.knees.get_mut(i) {
            *list = points;
        }
    }
    // A branch that joins between two such places has its level from them alone.
    for i in (0..queue.legs.len()).filter(|i| queue.legs.get(*i).is_some_and(|l| !l.knees.is_empty())) {
        for branch in queue.joined.get(i).cloned().unwrap_or_default() {
            queue.join(branch);
        }
    }
}

/// The invert as written at one place.
fn height(record: &Record, named: &NamedLevels, queue: &Queue<'_>, leg: usize, place: &Knee) -> Option<Height<Invert>> {
    let pipe = &record.pipes.at(queue.legs.get(leg)?.pipe)?.body;
    let (_, field) = pipe.il_along.get()?.0.get(place.entry)?;
    let (at, how) = (field.get()?, record.how(field));
    let kit = record.level_spread(Some(&pipe.kit));
    named.height(at, how, reading_half(record, at, how, kit), field.span)
}

/// The upper invert by an invert along the pipe and the one gradient that is recorded for all of it.
fn at_upper_end(queue: &Queue<'_>, leg: usize, place: &Knee, there: Height<Invert>) -> Option<Height<Invert>> {
    let given = queue.legs.get(leg)?.given?;
    let rise = given.value.fall_over(place.along.value);
    let low = given.flattest.fall_over(place.along.value);
    let high = given.steepest.fall_over(place.along.value);
    let by_place = given.value.fall_over(place.along.half).abs();
    let half = (high - rise).abs().max((rise - low).abs()) + by_place;
    Some(step(there, rise, half, given.how.with(place.along.how), Because::Along(leg)))
}

impl Queue<'_> {
    /// The invert of a leg at a place along it, where inverts along it are given and no gradient for all of it; `None`
    /// where one of the two around the place is not known.
    pub(super) fn on_pieces(&self, leg: usize, along: Known<Length>) -> Option<Height<Invert>> {
        let knees = self.out.knees.get(leg).filter(|k| !k.is_empty())?;
        let (solved, own) = (self.solved(leg), self.legs.get(leg).filter(|l| l.given.is_none())?);
        let upper = Point { along: Known::exact(Length::ZERO, How::Computed), invert: solved.up };
        let lower = own.length.map(|along| Point { along, invert: solved.down });
        let points: Vec<Point> = std::iter::once(upper).chain(knees.iter().copied()).chain(lower).collect();
        let pair = points.windows(2).find(|pair| matches!(pair, [_, b] if along.value <= b.along.value))?;
        let [a, b] = pair else { return None };
        between(a, b, along)
    }

    /// Ties of a leg through the chamber at one of its ends.
    pub(super) fn through(&mut self, leg: usize, arrived: Slot) {
        if arrived == Slot::Drop {
            return;
        }
        for t in self.tied.get(leg).cloned().unwrap_or_default() {
            self.tie(t);
        }
    }

    fn tie(&mut self, t: usize) {
        let Some(tie) = self.out.ties.get(t).copied() else { return };
        let (into, out) = (self.solved(tie.inlet).down, self.solved(tie.outlet).up);
        let because = Because::Channel(tie.access);
        match (into, out) {
            (None, Some(out)) => {
                let there = step(out, tie.rise.value, tie.rise.half, tie.rise.how, because);
                self.push(tie.inlet, Slot::Down, Some(Fact::Height(there)));
            }
            (Some(into), None) => {
                let there = step(into, -tie.rise.value, tie.rise.half, tie.rise.how, because);
                self.push(tie.outlet, Slot::Up, Some(Fact::Height(there)));
            }
            // Whichever came first has sent its fact to the other, where the two are held against one another.
            (Some(_), Some(_)) | (None, None) => {}
        }
    }

    /// The fall of a leg from its upper end to a place along it.
    pub(super) fn fall_to(&self, leg: usize, along: Known<Length>) -> Option<Known<Length>> {
        if along.value == Length::ZERO {
            return Some(Known::exact(Length::ZERO, How::Computed));
        }
        let own = self.legs.get(leg)?;
        if !own.knees.is_empty() && own.given.is_none() {
            // Its fall is not even, so a share of the whole says nothing of a place along it.
            return None;
        }
        let drop = self.solved(leg).drop?;
        let length = own.length?;
        let share = |l: Length| l.share(along.value, length.value).abs();
        let by_place = drop.value.share(along.half, length.value).abs();
        let value = drop.value.share(along.value, length.value);
        Some(Known { value, half: share(drop.half) + by_place, how: drop.how.with(along.how).with(length.how) })
    }
}
