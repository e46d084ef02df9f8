//! What each pipe is, derived from what feeds it and where it leads; a contrary typed kind is kept beside it.
//!
//! It matters: 1 in 60 is fine for a drain and too flat for the branch of a single WC.

use crate::network::ends::End;
use crate::network::ends::Ends;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;
use crate::record::sections::Record;
use crate::record::words::AccessKind;
use crate::record::words::PipeKind;

/// What a pipe is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Carries one appliance to a stack or drain.
    Branch,
    /// Carries more than one.
    CommonBranch,
    /// Stands upright and carries branches to a drain.
    Stack,
    /// Carries air only.
    Vent,
    /// Lies in or under the ground.
    Drain,
}

impl Kind {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Kind::Branch => "branch discharge pipe",
            Kind::CommonBranch => "common branch discharge pipe",
            Kind::Stack => "discharge stack",
            Kind::Vent => "ventilating pipe",
            Kind::Drain => "drain",
        }
    }
}

/// A kind with its reason, and the typed kind when that says otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Derived {
    /// The kind.
    pub kind: Kind,
    /// Why.
    pub reason: String,
    /// What the record says, when it says otherwise.
    pub contrary: Option<PipeKind>,
}

/// Derives the kind of every pipe, in the order of the record.
pub fn derive(record: &Record, ends: &[Ends]) -> Vec<Derived> {
    let mut kinds: Vec<Option<(Kind, String)>> = record.pipes.iter().map(|p| upright(&p.body)).collect();
    // Drains are found by walking down from what is certainly a drain: what enters ground stays in it.
    for (i, pipe) in record.pipes.iter().enumerate() {
        if kinds[i].is_none() {
            kinds[i] = by_ends(record, ends, i, &kinds).or_else(|| typed_drain(&pipe.body));
        }
    }
    let feeds = feeders(ends);
    let kinds: Vec<(Kind, String)> = (0..kinds.len()).map(|i| settle(record, ends, i, &kinds, &feeds)).collect();
    record
        .pipes
        .iter()
        .zip(kinds)
        .map(|(pipe, (kind, reason))| {
            let contrary = pipe.body.kind.get().copied().filter(|typed| !agrees(*typed, kind));
            Derived { kind, reason, contrary }
        })
        .collect()
}

fn upright(pipe: &Pipe) -> Option<(Kind, String)> {
    if let Some(FootOf::On(stack)) = pipe.foot.get() {
        return Some((Kind::Vent, format!("stands on {stack}, carries air only")));
    }
    match pipe.kind.get() {
        Some(PipeKind::Vent) => Some((Kind::Vent, "carries air only".to_owned())),
        Some(PipeKind::Stack | PipeKind::StubStack) => Some((Kind::Stack, "has a foot and a top".to_owned())),
        _ if matches!(pipe.foot.get(), Some(FootOf::Is(_))) => Some((Kind::Stack, "has a foot".to_owned())),
        _ => None,
    }
}

/// A pipe with a stack's foot or a chamber at its upper end, or a chamber or outfall at its lower end, is a drain.
fn by_ends(record: &Record, ends: &[Ends], i: usize, kinds: &[Option<(Kind, String)>]) -> Option<(Kind, String)> {
    let id = |kind: &str, id: &str| format!("{kind} {id}");
    let end = ends.get(i)?;
    match end.from {
        End::Access(a) => return Some((Kind::Drain, id("starts at", &record.access.at(a)?.id))),
        End::Pipe(p) if matches!(kinds.get(p), Some(Some((Kind::Stack, _)))) => {
            return Some((Kind::Drain, id("starts under", &record.pipes.at(p)?.id)));
        }
        End::Pipe(_) | End::Appliance(_) | End::Outfall(_) | End::Temporary | End::Unknown | End::Absent => {}
    }
    match end.to {
        // The waste of an appliance that ends in a gully is a branch: the gully's trap parts it from the drain.
        End::Access(a) if matches!(end.from, End::Appliance(_)) && gully(record, a) => None,
        End::Access(a) => Some((Kind::Drain, id("ends in", &record.access.at(a)?.id))),
        End::Outfall(o) => Some((Kind::Drain, id("ends in", &record.outfalls.at(o)?.id))),
        End::Pipe(_) | End::Appliance(_) | End::Temporary | End::Unknown | End::Absent => None,
    }
}

fn gully(record: &Record, access: usize) -> bool {
    record.access.at(access).is_some_and(|a| a.body.what.get() == Some(&AccessKind::Gully))
}

fn typed_drain(pipe: &Pipe) -> Option<(Kind, String)> {
    let bedded = pipe.bed.get().is_some();
    match pipe.kind.get() {
        Some(PipeKind::Drain) if bedded => Some((Kind::Drain, "lies on a bed".to_owned())),
        _ if bedded => Some((Kind::Drain, "lies on a bed".to_owned())),
        _ => None,
    }
}

/// What is still open: into a drain it is a drain when it is typed so; else it is a branch, common when several feed it.
fn settle(
    record: &Record,
    ends: &[Ends],
    i: usize,
    kinds: &[Option<(Kind, String)>],
    feeds: &[usize],
) -> (Kind, String) {
    if let Some(Some(found)) = kinds.get(i) {
        return found.clone();
    }
    let Some(pipe) = record.pipes.at(i) else { return (Kind::Branch, String::new()) };
    let to = ends.get(i).map(|e| e.to);
    let into_drain = matches!(to, Some(End::Pipe(p)) if matches!(kinds.get(p), Some(Some((Kind::Drain, _)))));
    let typed = pipe.body.kind.get() == Some(&PipeKind::Drain);
    if into_drain && typed {
        return (Kind::Drain, "joins a drain, typed so".to_owned());
    }
    let feeds = feeds.get(i).copied().unwrap_or(0);
    if feeds > 1 {
        return (Kind::CommonBranch, format!("fed by {feeds}"));
    }
    let to = match to {
        Some(End::Pipe(p)) => record.pipes.at(p).map_or("", |p| p.id.as_str()),
        _ => "",
    };
    let from = pipe.body.from.get().map_or("one appliance", |r| r.0.as_str());
    (Kind::Branch, format!("carries {from} alone{}", if to.is_empty() { String::new() } else { format!(" to {to}") }))
}

/// For each pipe, the appliances and branches that come in at its upper end or join along the way.
fn feeders(ends: &[Ends]) -> Vec<usize> {
    let mut feeds: Vec<usize> = ends.iter().map(|e| usize::from(matches!(e.from, End::Appliance(_)))).collect();
    for (j, end) in ends.iter().enumerate() {
        if let End::Pipe(p) = end.to
            && p != j
            && let Some(count) = feeds.get_mut(p)
        {
            *count += 1;
        }
    }
    feeds
}

fn agrees(typed: PipeKind, kind: Kind) -> bool {
    match typed {
        PipeKind::Branch => matches!(kind, Kind::Branch | Kind::CommonBranch),
        PipeKind::Stack | PipeKind::StubStack => kind == Kind::Stack,
        PipeKind::Vent => kind == Kind::Vent,
        PipeKind::Drain => kind == Kind::Drain,
    }
}
