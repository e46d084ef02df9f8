//! One judgement a file. A rule measures and asks for a limit; the driver makes the verdict.
//!
//! 1. [`driver`] holds a measure against a limit, in one place; [`single_branch`] goes through the branches of one
//!    appliance; [`laid`] has what rules on drains and slopes share, [`point`], [`rods`] and
//!    [`spacing`] those on access; [`rods_proposal`] and [`spacing_proposal`] find what would do.
//! 2. [`registry`] lists the rules in the order of the pack.
//!    [`at_risk`] says what a surcharge would reach, [`spill_over`] how high something stands above the appliances.
//! 3. The families: [`appliance`], [`branch`], [`stack`], [`vent`], [`drain`], [`site`], [`access`], [`test`],
//!    [`fire`], [`evidence`].

pub mod access;
pub mod appliance;
pub mod at_risk;
pub mod branch;
pub mod drain;
pub mod driver;
pub mod evidence;
pub mod fire;
pub mod laid;
pub mod point;
pub mod registry;
pub mod rods;
pub mod rods_proposal;
pub mod single_branch;
pub mod site;
pub mod spacing;
pub mod spacing_proposal;
pub mod spill_over;
pub mod stack;
pub mod test;
pub mod vent;

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::compute::Computed;
use crate::network::Network;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::quantity::Count;
use crate::record::sections::Item;
use crate::record::sections::Record;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::record::words::Water;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// What is known of a photo without looking at it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhotoFact {
    /// The day it was taken.
    pub taken: Option<NaiveDate>,
    /// Where that day comes from: the file, or the record.
    pub from_file: bool,
    /// Why the file cannot be shown, when it cannot.
    pub fault: Option<String>,
}

/// Everything that a rule may look at.
pub struct Ctx<'a> {
    /// What was written.
    pub record: &'a Record,
    /// How it hangs together.
    pub network: &'a Network<'a>,
    /// The numbers that follow.
    pub computed: &'a Computed,
    /// The guidance.
    pub rulebook: &'a Rulebook,
    /// What is known of each photo, by its id.
    pub photos: &'a BTreeMap<String, PhotoFact>,
}

impl<'a> Ctx<'a> {
    /// The drains that the work lays or changes, with their legs; those that cannot be read are left out.
    pub fn new_drains(&self) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
        self.new_legs(Kind::Drain)
    }

    /// The stacks that the work sets up or changes, with their legs; those that cannot be read are left out.
    pub fn new_stacks(&self) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
        self.new_legs(Kind::Stack)
    }

    fn new_legs(&self, kind: Kind) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
        let (record, network) = (self.record, self.network);
        let legs = network.legs.iter().enumerate().filter(move |(_, leg)| leg.derived.kind == kind);
        legs.filter_map(|(i, leg)| record.pipes.at(leg.pipe).map(|item| (i, item)))
            .filter(|(_, item)| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed))
    }

    /// Those of them that the record does not give to rain.
    pub fn foul_drains(&self) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
        self.new_drains().filter(|(_, item)| item.body.carries.get() != Some(&Water::Rain))
    }

    /// Those that it gives to rain.
    pub fn rain_drains(&self) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
        self.new_drains().filter(|(_, item)| item.body.carries.get() == Some(&Water::Rain))
    }

    /// What is known of the building; what is only believed is not known.
    pub fn building(&self) -> Facts {
        let record = self.record;
        let said = |field: &Field<Count>| field.get().filter(|_| record.how(field) != How::Believed).map(|c| c.0);
        let job = &record.job;
        Facts::new().with(Fact::Storeys, said(&job.storeys)).with(Fact::BuildingDwellings, said(&job.dwellings))
    }
}

/// A rule: what it is called, what it asks, when it must be shown, and how it looks.
#[derive(Clone, Copy)]
pub struct Rule {
    /// Its id.
    pub id: RuleId,
    /// What it asks, as a head in the findings.
    pub title: &'static str,
    /// Whether a clause stands behind it.
    pub weight: Weight,
    /// When it must be shown.
    pub due: Moment,
    /// The keys of the rulebook that it asks, itself or by what is computed for it; `explain` tells their values.
    pub keys: &'static [&'static str],
    /// Looks at every item it speaks of.
    pub check: fn(&Ctx<'_>, &Rule) -> Vec<Finding>,
}

/// Holds every rule against the job; findings come in the order of the registry, then of the record.
pub fn check(ctx: &Ctx<'_>) -> Vec<Finding> {
    registry::RULES.iter().flat_map(|rule| (rule.check)(ctx, rule)).collect()
}
