//! What is missing: for each set of legs that hang together without a level, the smallest thing that would settle them.

use crate::network::Network;
use crate::network::kind::Kind;

/// Legs that would be settled together, and by what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The legs, by position.
    pub legs: Vec<usize>,
    /// What would settle them, in words.
    pub needs: String,
}

/// Finds every set of sloping legs whose levels are not known.
pub fn find(network: &Network<'_>) -> Vec<Gap> {
    let count = network.legs.len();
    let mut group: Vec<usize> = (0..count).collect();
    for (i, leg) in network.legs.iter().enumerate() {
        if let Some(join) = leg.join.filter(|_| open(network, i) && open(network, leg.join.map_or(i, |j| j.receiver))) {
            let (a, b) = (root(&group, i), root(&group, join.receiver));
            if let Some(slot) = group.get_mut(a.max(b)) {
                *slot = a.min(b);
            }
        }
    }
    // What is tied through a chamber waits for the same level.
    for tie in network.levels.ties.iter().filter(|t| open(network, t.inlet) && open(network, t.outlet)) {
        let (a, b) = (root(&group, tie.inlet), root(&group, tie.outlet));
        if let Some(slot) = group.get_mut(a.max(b)) {
            *slot = a.min(b);
        }
    }
    let mut gaps: Vec<Gap> = Vec::new();
    let mut place = vec![None; count];
    for i in (0..count).filter(|i| open(network, *i)) {
        let head = root(&group, i);
        let at = match place.get(head).copied().flatten() {
            Some(at) => at,
            None => {
                gaps.push(Gap { legs: Vec::new(), needs: String::new() });
                if let Some(slot) = place.get_mut(head) {
                    *slot = Some(gaps.len() - 1);
                }
                gaps.len() - 1
            }
        };
        if let Some(gap) = gaps.get_mut(at) {
            gap.legs.push(i);
        }
    }
    for gap in &mut gaps {
        gap.needs = needs(network, &gap.legs);
    }
    gaps
}

fn open(network: &Network<'_>, leg: usize) -> bool {
    let sloping = network.legs.get(leg).is_some_and(|l| !matches!(l.derived.kind, Kind::Stack | Kind::Vent));
    let s = network.solved(leg);
    sloping && (s.up.is_none() || s.down.is_none())
}

fn root(group: &[usize], mut i: usize) -> usize {
    // Links only ever lead to smaller positions, so this ends.
    while let Some(next) = group.get(i).copied().filter(|n| *n != i) {
        i = next;
    }
    i
}

fn needs(network: &Network<'_>, legs: &[usize]) -> String {
    let (bent, even): (Vec<usize>, Vec<usize>) =
        legs.iter().filter(|l| network.fall(**l).is_none()).partition(|l| network.knees(**l) > 0);
    let ids = |legs: &[usize]| -> String {
        let all: Vec<&str> = legs.iter().map(|l| network.id(*l)).collect();
        crate::base::text::list(&all, "and")
    };
    // Where the gradient changes along the way, one level more gives neither end.
    let ends: Vec<String> = bent.iter().map(|leg| end(network, *leg)).collect();
    if even.is_empty() && !bent.is_empty() {
        return crate::base::text::list(&ends.iter().map(String::as_str).collect::<Vec<_>>(), "and");
    }
    if even.is_empty() {
        let any = if legs.len() == 1 { "one level on" } else { "any one level on" };
        return format!("{any} {}", ids(legs));
    }
    let level = format!("a fall or a second level on {}, and one level on {}", ids(&even), ids(legs));
    std::iter::once(level).chain(ends).collect::<Vec<_>>().join(", and ")
}

/// The ends of a leg whose invert is not known.
fn end(network: &Network<'_>, leg: usize) -> String {
    let solved = network.solved(leg);
    let which = match (solved.up, solved.down) {
        (None, Some(_)) => "the upper invert",
        (Some(_), None) => "the lower invert",
        _ => "both end inverts",
    };
    format!("{which} of {}", network.id(leg))
}
