//! The job as a network of legs, stations and levels. Never a limit, never a verdict.
//!
//! 1. [`ends`] finds what stands at both ends of each pipe; [`kind`] derives what it is.
//! 2. [`legs`] gives straight pieces with lengths, falls and joins; [`height`] brings named levels to their roots.
//! 3. [`levels`] propagates what is known, keeping misfits; [`pieces`] parts a leg where its gradient changes, [`ties`]
//!    tells which inlets of a chamber are tied to its outlet; [`gaps`] says what is missing.
//! 4. [`crossings`] finds the parts of the building that pipes go through; [`fire`] what they say of fire.

pub mod crossings;
pub mod ends;
pub mod fire;
pub mod gaps;
pub mod height;
pub mod kind;
pub mod legs;
pub mod levels;
pub mod pieces;
pub mod ties;

use crate::base::known::KnownGradient;
use crate::base::units::Length;
use crate::network::crossings::Crossing;
use crate::network::height::Height;
use crate::network::height::NamedLevels;
use crate::network::height::reading_half;
use crate::network::legs::Leg;
use crate::network::levels::Levels;
use crate::network::levels::Solved;
use crate::record::quantity::LevelAt;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::Ref;

/// The job as a network.
pub struct Network<'r> {
    /// The record it is of.
    pub record: &'r Record,
    /// One leg a pipe, in the order of the record.
    pub legs: Vec<Leg>,
    /// The named levels.
    pub named: NamedLevels,
    /// What is known of levels, and where it does not agree.
    pub levels: Levels,
    /// Pipes through parts of the building.
    pub crossings: Vec<Crossing>,
    /// For each leg, the legs that end in it.
    pub feeding: Vec<Vec<usize>>,
    /// For each access point, the first leg that leaves it.
    pub leaving: Vec<Option<usize>>,
}

/// Links a record into a network.
pub fn link(record: &Record) -> Network<'_> {
    let ends = ends::find(record);
    let kinds = kind::derive(record, &ends);
    let legs = legs::build(record, &ends, &kinds);
    let named = NamedLevels::of(record);
    let levels = levels::propagate(record, &legs, &named);
    let mut feeding = vec![Vec::new(); legs.len()];
    for (i, leg) in legs.iter().enumerate() {
        if let ends::End::Pipe(p) = leg.ends.to
            && let Some(list) = feeding.get_mut(p)
        {
            list.push(i);
        }
    }
    let crossings = crossings::find(record, &legs, &feeding);
    let mut leaving = vec![None; record.access.len()];
    for (i, leg) in legs.iter().enumerate() {
        if let ends::End::Access(a) = leg.ends.from
            && let Some(slot) = leaving.get_mut(a)
        {
            slot.get_or_insert(i);
        }
    }
    Network { record, legs, named, levels, crossings, feeding, leaving }
}

impl Network<'_> {
    /// What is known of a leg's levels.
    pub fn solved(&self, leg: usize) -> Solved {
        self.levels.solved.get(leg).copied().unwrap_or_default()
    }

    /// The height of a level as written, with the spread of the item's instrument or the usual one.
    pub fn height<L>(&self, field: &Field<LevelAt>, kit: Option<&Field<Ref>>) -> Option<Height<L>> {
        let at = field.get()?;
        let how = self.record.how(field);
        let half = reading_half(self.record, at, how, self.record.level_spread(kit));
        self.named.height(at, how, half, field.span)
    }

    /// The gradient of a leg: as recorded, else fall over plan length; of one whose gradient changes along the way, that
    /// of its flattest piece, and `None` as long as that of one of them is not known.
    pub fn gradient(&self, leg: usize) -> Option<KnownGradient> {
        let l = self.legs.get(leg)?;
        if !l.knees.is_empty() {
            return self.flattest(leg).filter(|(_, _, whole)| *whole).map(|(_, gradient, _)| gradient);
        }
        if let Some(given) = l.given {
            return Some(given);
        }
        let drop = self.solved(leg).drop?;
        KnownGradient::of(drop, legs::plan_length(l, drop.value)?)
    }

    /// The fall of a leg from end to end.
    pub fn fall(&self, leg: usize) -> Option<crate::base::known::Known<Length>> {
        self.solved(leg).drop
    }

    /// The leg that takes the water of a leg onwards: the pipe it enters, or the one that leaves its chamber.
    pub fn downstream(&self, leg: usize) -> Option<usize> {
        match self.legs.get(leg)?.ends.to {
            ends::End::Pipe(next) => Some(next),
            ends::End::Access(a) => self.leaving.get(a).copied().flatten(),
            ends::End::Appliance(_)
            | ends::End::Outfall(_)
            | ends::End::Temporary
            | ends::End::Unknown
            | ends::End::Absent => None,
        }
    }

    /// The id of a leg's pipe.
    pub fn id(&self, leg: usize) -> &str {
        self.legs.get(leg).and_then(|l| self.record.pipes.at(l.pipe)).map_or("", |p| p.id.as_str())
    }

    /// The id of whatever stands at an end; empty when it is unknown or not said.
    pub fn end_id(&self, end: ends::End) -> &str {
        let record = self.record;
        let found = match end {
            ends::End::Appliance(i) => record.appliances.at(i).map(|x| x.id.as_str()),
            ends::End::Pipe(i) => record.pipes.at(i).map(|x| x.id.as_str()),
            ends::End::Access(i) => record.access.at(i).map(|x| x.id.as_str()),
            ends::End::Outfall(i) => record.outfalls.at(i).map(|x| x.id.as_str()),
            ends::End::Temporary | ends::End::Unknown | ends::End::Absent => None,
        };
        found.unwrap_or("")
    }
}
