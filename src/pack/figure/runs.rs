//! Runs: drains in series, from a foot of stack or a head of drain with the flow to where they end.

use crate::network::Network;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::words::Stage;

/// Where a run ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tail {
    /// In a chamber, with the drain that leaves it where that is drawn as a stub.
    Chamber(usize, Option<usize>),
    /// In an outfall.
    Outfall(usize),
    /// Along another drain.
    Joins(usize),
    /// It is not said, or not known.
    Open,
}

/// Drains in series.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) legs: Vec<usize>,
    pub(super) tail: Tail,
}

/// A main run with the runs that join one of its drains.
#[derive(Clone, Debug)]
pub(super) struct Family {
    pub(super) main: Run,
    pub(super) sides: Vec<Run>,
}

/// Where a leg's pipe stands in the work.
pub(super) fn stage(net: &Network<'_>, leg: usize) -> Stage {
    net.legs.get(leg).and_then(|l| net.record.pipes.at(l.pipe)).map_or(Stage::Installed, |p| p.body.stage_now())
}

/// Whether a leg is a drain that is still there.
pub(super) fn is_drain(net: &Network<'_>, leg: usize) -> bool {
    net.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Drain) && stage(net, leg) != Stage::Removed
}

/// Nothing is known of it but that it is there.
fn is_blank(net: &Network<'_>, leg: usize) -> bool {
    let solved = net.solved(leg);
    let length = net.legs.get(leg).and_then(|l| l.length);
    stage(net, leg) == Stage::Existing
        && length.is_none()
        && (solved.up.is_none() || solved.down.is_none())
        && solved.drop.is_none()
}

/// The drain after a leg, in series.
pub(super) fn next(net: &Network<'_>, leg: usize) -> Option<usize> {
    match net.legs.get(leg)?.ends.to {
        End::Access(a) => {
            let leaves =
                |i: &usize| net.legs.get(*i).is_some_and(|l| l.ends.from == End::Access(a)) && is_drain(net, *i);
            let mut out = (0..net.legs.len()).filter(|i| *i != leg).filter(leaves);
            let first = out.next()?;
            // New work before old where a chamber has two ways out.
            let newer = std::iter::once(first).chain(out).find(|i| stage(net, *i) != Stage::Existing);
            Some(newer.unwrap_or(first))
        }
        End::Pipe(p) if p != leg && is_drain(net, p) && net.legs.get(p)?.ends.from == End::Pipe(leg) => Some(p),
        End::Pipe(_) | End::Appliance(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => None,
    }
}

/// Follows the flow from a leg to the end of its run; legs taken by an earlier run are not taken again.
fn follow(net: &Network<'_>, head: usize, taken: &[bool]) -> Run {
    let mut legs = vec![head];
    let mut last = head;
    loop {
        let Some(l) = net.legs.get(last) else { return Run { legs, tail: Tail::Open } };
        let after = next(net, last);
        let old = after.is_some_and(|n| stage(net, n) == Stage::Existing && stage(net, last) != Stage::Existing);
        let used = after.is_some_and(|n| legs.contains(&n) || taken.get(n).copied().unwrap_or(true));
        if let (Some(n), false, false) = (after, used, old || after.is_some_and(|n| is_blank(net, n))) {
            legs.push(n);
            last = n;
            continue;
        }
        let tail = match l.ends.to {
            End::Access(a) => Tail::Chamber(a, after),
            End::Outfall(o) => Tail::Outfall(o),
            End::Pipe(p) if p != last => Tail::Joins(p),
            End::Pipe(_) | End::Appliance(_) | End::Temporary | End::Unknown | End::Absent => Tail::Open,
        };
        return Run { legs, tail };
    }
}

fn length(net: &Network<'_>, legs: &[usize]) -> i64 {
    legs.iter().filter_map(|l| net.legs.get(*l)?.length).map(|k| k.value.um()).fold(0, i64::saturating_add)
}

/// Heads of drain: drains that no other leads into in series, the longest way first; then one of each ring.
fn heads(net: &Network<'_>) -> Vec<usize> {
    let drains: Vec<usize> = (0..net.legs.len()).filter(|i| is_drain(net, *i)).collect();
    let mut fed = vec![false; net.legs.len()];
    for i in &drains {
        if let Some(n) = next(net, *i)
            && let Some(f) = fed.get_mut(n)
        {
            *f = true;
        }
    }
    let none = vec![false; net.legs.len()];
    let mut heads: Vec<(bool, i64, usize)> = drains
        .iter()
        .filter(|i| !fed.get(**i).copied().unwrap_or(false))
        .map(|i| (is_blank(net, *i), -length(net, &follow(net, *i, &none).legs), *i))
        .collect();
    heads.sort_unstable();
    heads.into_iter().map(|(_, _, i)| i).chain(drains).collect()
}

/// Every main run with its side runs, in the order of the record.
pub(super) fn families(net: &Network<'_>) -> Vec<Family> {
    let mut taken = vec![false; net.legs.len()];
    let mut runs: Vec<Run> = Vec::new();
    for head in heads(net) {
        if taken.get(head).copied().unwrap_or(true) {
            continue;
        }
        let run = follow(net, head, &taken);
        for leg in &run.legs {
            if let Some(t) = taken.get_mut(*leg) {
                *t = true;
            }
        }
        runs.push(run);
    }
    shared(net, runs)
}

/// Side runs go to the run whose drain they join; a blank pipe into a chamber of another run is drawn there alone.
fn shared(net: &Network<'_>, runs: Vec<Run>) -> Vec<Family> {
    let shown = |access: usize, by: &Run| {
        runs.iter().any(|r| {
            r != by
                && r.legs.iter().any(|l| {
                    let ends = net.legs.get(*l).map(|l| l.ends);
                    ends.is_some_and(|e| e.to == End::Access(access) || e.from == End::Access(access))
                })
                && !r.legs.iter().all(|l| is_blank(net, *l))
        })
    };
    let starts = |run: &Run| run.legs.first().and_then(|l| net.legs.get(*l)).map(|l| l.ends.from);
    // An old drain that only goes on from, or blankly comes into, a chamber that another section shows is told there.
    let lone = |run: &&Run| {
        let blank = run.legs.iter().all(|l| is_blank(net, *l));
        let old = run.legs.iter().all(|l| stage(net, *l) == Stage::Existing);
        let into = matches!(run.tail, Tail::Chamber(a, _) if blank && shown(a, run));
        let out = matches!(starts(run), Some(End::Access(a)) if old && shown(a, run));
        !into && !out
    };
    let kept: Vec<Run> = runs.iter().filter(lone).cloned().collect();
    let is_side = |run: &Run| match run.tail {
        Tail::Joins(p) => kept.iter().any(|m| !matches!(m.tail, Tail::Joins(_)) && m.legs.contains(&p)),
        Tail::Chamber(..) | Tail::Outfall(_) | Tail::Open => false,
    };
    let mut families: Vec<Family> = kept
        .iter()
        .filter(|r| !is_side(r))
        .map(|main| {
            let joins = |r: &&Run| is_side(r) && matches!(r.tail, Tail::Joins(p) if main.legs.contains(&p));
            Family { main: main.clone(), sides: kept.iter().filter(joins).cloned().collect() }
        })
        .collect();
    families.sort_by_key(|f| f.main.legs.first().copied());
    families
}
