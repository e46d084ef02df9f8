//! What leads nowhere that the record shows: it may come down any drain.

use crate::compute::flow::DesignFlow;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::Rulebook;
use crate::rulebook::key;

/// New pipes and appliances that lead nowhere, and the most that they bring.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Adrift {
    /// Pipes that carry something and of which the lower end is not said or not known.
    pub legs: Vec<usize>,
    /// Appliances without a pipe, by position in the record.
    pub appliances: Vec<usize>,
    /// Their flows, simply added: no less than they make together.
    pub flow: Flow,
}

/// Finds them; `outlets` has for each appliance the legs that start at it.
pub fn find(network: &Network<'_>, rulebook: &Rulebook, flows: &[DesignFlow], outlets: &[Vec<usize>]) -> Adrift {
    let old = |stage: Stage| matches!(stage, Stage::Existing | Stage::Removed);
    let mut all = Adrift::default();
    for ((i, leg), flow) in network.legs.iter().enumerate().zip(flows) {
        let new = network.record.pipes.at(leg.pipe).is_some_and(|p| !old(p.body.stage_now()));
        let open = leg.derived.kind != Kind::Vent && matches!(leg.ends.to, End::Unknown | End::Absent);
        if new && open && flow.appliances > 0 {
            all.legs.push(i);
            all.flow = plus(all.flow, flow.total.ml_s());
        }
    }
    for ((i, item), legs) in network.record.appliances.iter().enumerate().zip(outlets) {
        if legs.is_empty() && !old(stage_of(&item.body.stage)) && item.body.into.get().is_none() {
            all.appliances.push(i);
            all.flow = plus(all.flow, units(rulebook, kind_of(item)));
        }
    }
    all
}

/// The discharge units of a kind in thousandths, which are millilitres a second; of one that the table lacks, a WC's.
fn units(rulebook: &Rulebook, kind: Option<ApplianceKind>) -> i64 {
    let ask = |kind: ApplianceKind| rulebook.ask(key::FLOW_UNITS, &Facts::new().with(Fact::Appliance, kind.word()));
    let own = kind.map(ask);
    let own = own.as_ref().and_then(|answer| answer.limit());
    let wc = ask(ApplianceKind::Wc);
    own.or(wc.limit()).map_or(0, |limit| limit.value.thousandths())
}

fn plus(flow: Flow, ml_s: i64) -> Flow {
    Flow::from_ml_s(flow.ml_s().saturating_add(ml_s))
}
