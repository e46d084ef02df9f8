//! What ventilates each drain: an open ventilating pipe at the head of a drain above it.

use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::words::Stage;

/// What ventilates a drain.
#[derive(Clone, Debug, PartialEq)]
pub enum Head {
    /// An open ventilating pipe at the head.
    Vented {
        /// The stack at the head, by its leg.
        stack: usize,
        /// The terminal, by position in the record.
        terminal: usize,
        /// Whether the vent or its terminal is still to come.
        planned: bool,
    },
    /// The way ends in a valve that lets air in but not out.
    Valve {
        /// The stack at the head, by its leg.
        stack: usize,
    },
    /// A stack at the head of which nothing is said to stand, or which ends in something temporary.
    Open {
        /// The stack, by its leg.
        stack: usize,
    },
    /// No stack above it: so far to the ventilated drain it joins, serving so many appliances.
    Branch {
        /// Its length to the ventilated drain; `None` when that is not recorded.
        length: Option<Known<Length>>,
        /// How many appliances it serves.
        appliances: u32,
        /// The ventilated drain, by its leg; `None` when there is none.
        into: Option<usize>,
    },
    /// It starts at something unknown.
    Unknown,
}

/// For each leg, what ventilates it; `None` for legs that are no drains.
pub fn find(network: &Network<'_>) -> Vec<Option<Head>> {
    let mut heads: Vec<Option<Head>> = vec![None; network.legs.len()];
    for (i, leg) in network.legs.iter().enumerate() {
        if leg.derived.kind == Kind::Drain
            && let End::Pipe(s) = leg.ends.from
            && network.legs.get(s).is_some_and(|l| l.derived.kind == Kind::Stack)
        {
            spread(network, i, &top_of(network, s), &mut heads);
        }
    }
    for (i, leg) in network.legs.iter().enumerate() {
        let open = heads.get(i).is_some_and(Option::is_none);
        if open && leg.derived.kind == Kind::Drain {
            let head = branch(network, i, &heads);
            if let Some(slot) = heads.get_mut(i) {
                *slot = Some(head);
            }
        }
    }
    heads
}

/// Carries a head down every drain below it; a better head replaces a lesser one.
fn spread(network: &Network<'_>, first: usize, head: &Head, heads: &mut [Option<Head>]) {
    let mut at = first;
    loop {
        let Some(slot) = heads.get_mut(at) else { return };
        if slot.as_ref().is_some_and(|old| rank(old) <= rank(head)) {
            return;
        }
        *slot = Some(head.clone());
        match network.downstream(at).filter(|n| network.legs.get(*n).is_some_and(|l| l.derived.kind == Kind::Drain)) {
            Some(next) => at = next,
            None => return,
        }
    }
}

fn rank(head: &Head) -> u8 {
    match head {
        Head::Vented { planned: false, .. } => 0,
        Head::Vented { planned: true, .. } => 1,
        Head::Open { .. } => 2,
        Head::Valve { .. } => 3,
        Head::Branch { .. } => 4,
        Head::Unknown => 5,
    }
}

/// What stands on top of a stack, through its ventilating pipe.
fn top_of(network: &Network<'_>, stack: usize) -> Head {
    let record = network.record;
    let pipe = |leg: usize| network.legs.get(leg).and_then(|l| record.pipes.at(l.pipe));
    let mut planned = false;
    let mut at = stack;
    // Each step goes up one pipe, so there are never more steps than pipes.
    for _ in 0..=network.legs.len() {
        let Some(item) = pipe(at) else { break };
        planned |= item.body.stage_now() == Stage::Planned;
        let Some(top) = item.body.top.get() else { break };
        if let Some(terminal) = record.terminals.position(&top.0) {
            let body = record.terminals.at(terminal).map(|t| &t.body);
            planned |= body.is_some_and(|b| b.stage.get() == Some(&Stage::Planned));
            let valve = body.and_then(|b| b.what.get()).is_some_and(|w| w.0.to_lowercase().contains("admittance"));
            return if valve { Head::Valve { stack } } else { Head::Vented { stack, terminal, planned } };
        }
        match record.pipes.position(&top.0) {
            Some(next) => at = next,
            None => break,
        }
    }
    Head::Open { stack }
}

/// A drain without a stack above it: how far to the ventilated drain it joins.
fn branch(network: &Network<'_>, first: usize, heads: &[Option<Head>]) -> Head {
    let mut appliances = 0_u32;
    let mut length = Some(Known::exact(Length::ZERO, How::Computed));
    let mut at = first;
    if matches!(network.legs.get(first).map(|l| l.ends.from), Some(End::Unknown | End::Absent) | None) {
        return Head::Unknown;
    }
    for _ in 0..=network.legs.len() {
        let Some(leg) = network.legs.get(at) else { break };
        let fed = network.feeding.get(at).map_or(0, Vec::len);
        appliances += u32::from(matches!(leg.ends.from, End::Appliance(_))) + u32::try_from(fed).unwrap_or(u32::MAX);
        let part = leg.length;
        length = length.zip(part).map(|(a, b)| Known {
            value: a.value + b.value,
            half: a.half + b.half,
            how: a.how.with(b.how),
        });
        match network.downstream(at) {
            Some(next) if matches!(heads.get(next), Some(Some(Head::Vented { .. } | Head::Open { .. }))) => {
                return Head::Branch { length, appliances, into: Some(next) };
            }
            Some(next) => at = next,
            None => break,
        }
    }
    Head::Branch { length: None, appliances, into: None }
}
