//! What bends do to rods: which they take, and which stop them.

use crate::compute::reach::Way;
use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;

/// How many bends of up to 45 degrees rods take after the one that an eye has at its own foot.
pub const ON_THE_WAY: usize = 1;

/// What comes of the bends on a leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passage {
    /// Rods pass, with so many bends left.
    Through(usize),
    /// Rods come up to this bend only.
    StopAt(usize),
}

impl Passage {
    /// The bend at which rods stop, when they do.
    pub fn stopped(self) -> Option<usize> {
        match self {
            Passage::Through(_) => None,
            Passage::StopAt(bend) => Some(bend),
        }
    }
}

/// How many bends that rods take some words stand for; `None` for what they do not take, or cannot be told.
///
/// Up to 45 degrees: the trade's rule for rods, no published source.
pub fn eased(words: &str) -> Option<usize> {
    let lower = words.to_lowercase().replace('×', "x");
    if lower.contains("knuckle") {
        return None;
    }
    let spaced = lower.replace('x', " x ");
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let number = |t: &str| t.trim_end_matches(['°', '.']).parse::<f64>().ok();
    let (times, degrees) = match tokens.iter().position(|t| *t == "x") {
        Some(at) => {
            let before = at.checked_sub(1).and_then(|i| tokens.get(i)).and_then(|t| t.parse::<usize>().ok());
            (before?, tokens.get(at + 1).and_then(|t| number(t))?)
        }
        None => (1, tokens.iter().find_map(|t| number(t))?),
    };
    (degrees <= 45.0).then_some(times)
}

/// Whether some words tell if rods take a bend: they give its degrees, or call it a knuckle.
pub fn told(words: &str) -> bool {
    words.contains(|c: char| c.is_ascii_digit()) || words.to_lowercase().contains("knuckle")
}

/// Whether rods go through the bend at a stack's foot, from an access piece over it: two bends of 45 degrees, or one of
/// long radius. It takes all the bends that they have. `None` when the words do not tell.
pub fn easy_foot(words: &str) -> Option<bool> {
    let lower = words.to_lowercase();
    if lower.contains("knuckle") {
        return Some(false);
    }
    if lower.contains("long") {
        return Some(true);
    }
    match eased(&lower) {
        Some(2) => Some(true),
        _ => told(&lower).then_some(false),
    }
}

/// The bend under the stack at a drain's head, as recorded.
pub fn foot_of<'a>(network: &Network<'a>, stack: usize) -> Option<&'a str> {
    let Some(FootOf::Is(foot)) = network.record.pipes.at(stack)?.body.foot.get() else { return None };
    foot.bend.get().map(|words| words.0.as_str())
}

/// The bends of a leg, each with the id at which it lies; `None` for a place that the record does not give.
fn listed(pipe: &Pipe) -> Vec<(&str, Option<&str>)> {
    let at = pipe.bends_at.get().map_or(Vec::new(), |list| list.0.iter().map(|r| r.value.0.as_str()).collect());
    let bends = pipe.bends.get().map_or(Vec::new(), |list| list.0.iter().map(|w| w.value.0.as_str()).collect());
    bends.into_iter().enumerate().map(|(i, words)| (words, at.get(i).copied())).collect()
}

/// The bends between the ends of a drain, met in the order of a way. Above ground what is on a branch lies between.
pub fn within(network: &Network<'_>, leg: usize, way: Way, left: usize) -> Passage {
    let (Some(own), Some(item)) = (network.legs.get(leg), network.record.pipes.at(leg)) else {
        return Passage::Through(left);
    };
    let at_end = |id: &str| {
        let ends = [own.ends.from, own.ends.to].into_iter();
        ends.filter(|e| matches!(e, End::Access(_) | End::Pipe(_))).any(|e| network.end_id(e) == id)
    };
    let all = listed(&item.body);
    let mut bends: Vec<(usize, &str)> = all
        .iter()
        .enumerate()
        .filter(|(_, (_, at))| !at.is_some_and(at_end))
        .map(|(i, (words, _))| (i, *words))
        .collect();
    if way == Way::Up {
        bends.reverse();
    }
    let mut left = left;
    for (i, words) in bends {
        match eased(words).and_then(|times| left.checked_sub(times)) {
            Some(rest) => left = rest,
            // A branch above ground is rodded with a flexible cane, which takes its bends.
            None if own.derived.kind != Kind::Drain => {}
            None => return Passage::StopAt(i),
        }
    }
    Passage::Through(left)
}

/// The bends that a drain has in the chamber at its lower end; what is left after them, `None` when rods do not pass.
pub fn at_access(network: &Network<'_>, leg: usize, id: &str, left: usize) -> Option<usize> {
    let item = network.record.pipes.at(leg)?;
    let here = listed(&item.body).into_iter().filter(|(_, at)| *at == Some(id));
    here.map(|(words, _)| eased(words)).try_fold(left, |left, times| left.checked_sub(times?))
}
