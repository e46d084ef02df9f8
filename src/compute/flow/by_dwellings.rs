//! The flow of whole dwellings by their number alone, as the guidance's table has it.

use crate::base::known::How;
use crate::compute::flow::DesignFlow;
use crate::network::Network;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// Fills in how many dwellings drain through a leg, and what they make where some of them are told by number alone.
///
/// Of the dwellings whose appliances the record draws there are no more than WCs, and no more than the building holds;
/// where it does not say how many it holds, each WC counts as a dwelling, which is the safe side. Beyond the last entry
/// of the table there is no flow by it.
pub(super) fn fill(flow: &mut DesignFlow, network: &Network<'_>, rulebook: &Rulebook) {
    let building = &network.record.job.dwellings;
    let holds = building.get().filter(|_| network.record.how(building) != How::Believed).map(|count| count.0);
    let drawn = flow.wcs.saturating_sub(flow.dwellings);
    flow.served = flow.dwellings.saturating_add(holds.map_or(drawn, |holds| drawn.min(holds)));
    if flow.dwellings == 0 {
        return;
    }
    let answer = rulebook.ask(key::DRAIN_PEAK_FLOW, &Facts::new().with(Fact::Dwellings, flow.served));
    if let Some(limit) = answer.limit() {
        flow.by_dwellings = Some(limit.value);
        flow.recalled |= limit.recalled;
    }
}
