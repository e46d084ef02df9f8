//! Heights on stacks: from the invert at the tail of the foot bend to the centre line of what enters.

use crate::base::known::Known;
use crate::base::units::CentreLine;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::height::Height;
use crate::network::kind::Kind;
use crate::record::quantity::Station;
use crate::record::value::Field;

/// What sits on a stack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A branch, by its leg.
    Branch(usize),
    /// A spare entry, by its position among the stack's.
    Spare(usize),
    /// An access piece, by its position among the stack's.
    Access(usize),
    /// The start of its vent, by the vent's leg.
    Vent(usize),
}

/// Something on a stack with its height.
#[derive(Clone, Debug, PartialEq)]
pub struct StackEntry {
    /// The stack, by its leg.
    pub stack: usize,
    /// What it is.
    pub what: What,
    /// Its id.
    pub id: String,
    /// Its centre line above the invert at the tail of the foot bend; `None` when either level is not known.
    pub height: Option<Known<Length>>,
}

/// Everything on every stack, in the order of the record.
pub fn entries(network: &Network<'_>) -> Vec<StackEntry> {
    let mut all = Vec::new();
    for (s, stack) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Stack) {
        for &i in network.feeding.get(s).into_iter().flatten() {
            let Some(item) = network.legs.get(i).and_then(|l| network.record.pipes.at(l.pipe)) else { continue };
            let height = height_of(network, s, &item.body.at);
            all.push(StackEntry { stack: s, what: What::Branch(i), id: item.id.clone(), height });
        }
        let Some(item) = network.record.pipes.at(stack.pipe) else { continue };
        for (n, (key, spare)) in item.body.spare.get().into_iter().flat_map(|m| &m.0).enumerate() {
            let height = spare.get().and_then(|spare| height_of(network, s, &spare.at));
            all.push(StackEntry { stack: s, what: What::Spare(n), id: key.value.clone(), height });
        }
        for (n, (key, at)) in item.body.access.get().into_iter().flat_map(|m| &m.0).enumerate() {
            let height = height_of(network, s, at);
            all.push(StackEntry { stack: s, what: What::Access(n), id: key.value.clone(), height });
        }
    }
    for (v, vent) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Vent) {
        let (End::Pipe(s), Some(item)) = (vent.ends.from, network.record.pipes.at(vent.pipe)) else { continue };
        let height = height_of(network, s, &item.body.at);
        all.push(StackEntry { stack: s, what: What::Vent(v), id: item.id.clone(), height });
    }
    all
}

fn height_of(network: &Network<'_>, stack: usize, at: &Field<Station>) -> Option<Known<Length>> {
    match at.get()? {
        Station::AboveFoot(m) => Some(Known { value: m.value, half: m.half, how: network.record.how(at) }),
        Station::Level(level) => {
            let foot = network.solved(stack).down?;
            let how = network.record.how(at);
            let half = crate::network::height::reading_half(network.record, level, how, None);
            let centre: Height<CentreLine> = network.named.height(level, how, half, at.span)?;
            centre.above(&foot)
        }
        Station::Along { .. } => None,
    }
}

/// How much higher one place on a stack lies than another. Two levels need no foot; `None` when either is not known.
pub fn between(network: &Network<'_>, upper: &StackEntry, lower: &StackEntry) -> Option<Known<Length>> {
    match (centre(network, upper), centre(network, lower)) {
        (Some(a), Some(b)) => a.above(&b),
        // A height above the foot on either side brings in the level of the foot on the other.
        _ => {
            let (a, b) = (upper.height?, lower.height?);
            Some(Known { value: a.value - b.value, half: a.half + b.half, how: a.how.with(b.how) })
        }
    }
}

/// The level of a branch's centre line, where the record gives one.
fn centre(network: &Network<'_>, entry: &StackEntry) -> Option<Height<CentreLine>> {
    let What::Branch(leg) = entry.what else { return None };
    let item = network.record.pipes.at(network.legs.get(leg)?.pipe)?;
    let Station::Level(level) = item.body.at.get()? else { return None };
    let how = network.record.how(&item.body.at);
    let half = crate::network::height::reading_half(network.record, level, how, None);
    network.named.height(level, how, half, item.body.at.span)
}
