//! Rules about drains.

pub mod drain_gradient;
pub mod drain_size;
pub mod drain_tightness;
pub mod drain_ventilated_at_its_head;

use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rules::Ctx;

/// The drains that the work lays or changes, with their legs; those that cannot be read are left out.
pub(crate) fn new_drains<'a>(ctx: &'a Ctx<'_>) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
    let legs = ctx.network.legs.iter().enumerate().filter(|(_, leg)| leg.derived.kind == Kind::Drain);
    legs.filter_map(|(i, leg)| ctx.record.pipes.at(leg.pipe).map(|item| (i, item)))
        .filter(|(_, item)| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed))
}
