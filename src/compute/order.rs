//! The order in which the network is walked once, instead of once from every pipe.

use crate::network::Network;

/// Every leg, each after the leg that takes its water; in a ring one of its legs has to come first.
pub fn downstream_first(network: &Network<'_>) -> Vec<usize> {
    let count = network.legs.len();
    let mut seen = vec![false; count];
    let mut order = Vec::with_capacity(count);
    for start in 0..count {
        let mut way = Vec::new();
        let mut at = Some(start);
        while let Some(leg) = at.filter(|l| seen.get(*l) == Some(&false)) {
            if let Some(slot) = seen.get_mut(leg) {
                *slot = true;
            }
            way.push(leg);
            at = network.downstream(leg);
        }
        order.extend(way.into_iter().rev());
    }
    order
}
