//! Branches of single appliances: the pipes of one size that follow one another, and where appliances drain to.

use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::spacing::sum;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;

/// The pipe of one appliance from its trap to where something else joins it, or its size changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Single {
    /// Its legs, with the flow.
    pub legs: Vec<usize>,
    /// Their length together; `None` when one of them has none recorded.
    pub length: Option<Known<Length>>,
    /// The vent that stands on it, by its leg.
    pub vent: Option<usize>,
}

/// For each leg that starts a branch, the branch; `None` for other legs.
pub fn singles(network: &Network<'_>) -> Vec<Option<Single>> {
    let mut vents = vec![None; network.legs.len()];
    for (v, leg) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Vent) {
        if let End::Pipe(p) = leg.ends.from
            && let Some(slot) = vents.get_mut(p)
        {
            *slot = Some(v);
        }
    }
    (0..network.legs.len()).map(|i| single(network, i, &vents)).collect()
}

fn single(network: &Network<'_>, first: usize, vents: &[Option<usize>]) -> Option<Single> {
    let leg = network.legs.get(first).filter(|l| l.derived.kind == Kind::Branch)?;
    if matches!(leg.ends.from, End::Pipe(p) if goes_on(network, p, first)) {
        return None;
    }
    let mut out = Single { legs: vec![first], length: leg.length, vent: vents.get(first).copied().flatten() };
    let mut at = first;
    while let Some(End::Pipe(next)) = network.legs.get(at).map(|l| l.ends.to) {
        // One pipe feeds each of these, so a leg that comes twice would have to be the first.
        if next == first || !goes_on(network, at, next) {
            break;
        }
        out.length = sum(out.length, network.legs.get(next).and_then(|l| l.length));
        out.vent = out.vent.or(vents.get(next).copied().flatten());
        out.legs.push(next);
        at = next;
    }
    Some(out)
}

/// Whether a branch runs into the next pipe end to end, alone and without a change of size.
fn goes_on(network: &Network<'_>, leg: usize, next: usize) -> bool {
    let (Some(a), Some(b)) = (network.legs.get(leg), network.legs.get(next)) else { return false };
    let alone = network.feeding.get(next).is_some_and(|f| f.as_slice() == [leg]);
    let both = [a, b].iter().all(|l| l.derived.kind == Kind::Branch);
    both && alone && a.ends.to == End::Pipe(next) && b.ends.from == End::Pipe(leg) && a.nominal == b.nominal
}

/// For each appliance, in the order of the record, the legs that start at it.
pub fn outlets(network: &Network<'_>) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new(); network.record.appliances.len()];
    for (i, leg) in network.legs.iter().enumerate() {
        if let End::Appliance(a) = leg.ends.from
            && let Some(list) = all.get_mut(a)
        {
            list.push(i);
        }
    }
    all
}
