//! Quantities of the new work: pipe, fittings, brackets, holes and seals, counted from the record.
//!
//! Existing and removed pipes are left out; planned ones count. What the record does not tell is counted apart, never
//! guessed.

use crate::base::known::Known;
use crate::base::series::series;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::compute::spacing::sum;
use crate::compute::supports::Support;
use crate::network::Network;
use crate::network::crossings::Crossing;
use crate::network::kind::Kind;
use crate::record::evidence::Penetration;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;
use crate::record::words::Entry;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Rulebook;
use crate::rulebook::key;
use std::collections::BTreeMap;

/// Everything counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quantities {
    /// Pipe by size, material and place.
    pub pipes: Vec<PipeLine>,
    /// Fittings.
    pub fittings: Vec<FittingLine>,
    /// Brackets by size, run and spacing.
    pub brackets: Vec<BracketLine>,
    /// Holes through the building, and into stacks.
    pub holes: Vec<HoleLine>,
    /// Seals held against the faces of crossings.
    pub seals: Seals,
}

/// Pipe of one size and material.
#[derive(Clone, Debug, PartialEq)]
pub struct PipeLine {
    /// Its size as written.
    pub size: String,
    /// Its material as written; `None` when it is not recorded.
    pub material: Option<String>,
    /// Its series, where one is cited.
    pub series: Option<&'static str>,
    /// Whether it lies below ground.
    pub below: bool,
    /// Metres of it that are known; `None` when none are.
    pub length: Option<Known<Length>>,
    /// The legs of known length.
    pub legs: Vec<usize>,
    /// The legs whose length is not known.
    pub missing: Vec<usize>,
}

/// Fittings of one kind and size.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingLine {
    /// What it is, in the record's words.
    pub what: String,
    /// Its size, or sizes.
    pub size: String,
    /// How many.
    pub count: u32,
    /// On which side of a stack each socket faces, where the record tells: leg and side.
    pub sockets: Vec<(usize, &'static str)>,
    /// The legs it is on.
    pub legs: Vec<usize>,
}

/// Brackets of one size and run.
#[derive(Clone, Debug, PartialEq)]
pub struct BracketLine {
    /// Size of the pipe as written.
    pub size: String,
    /// How they hold it; the count is of all legs.
    pub support: Support,
    /// How many.
    pub count: i64,
    /// The legs of known length.
    pub legs: Vec<usize>,
    /// The legs whose length is not known.
    pub missing: Vec<usize>,
}

/// What a hole is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleFor {
    /// A described crossing, by position of its penetration.
    Penetration(usize),
    /// A crossing that the record does not describe: pipe and element.
    Crossing(usize, usize),
    /// A boss or saddle on a stack, by the leg that enters there.
    Boss(usize),
}

/// A hole.
#[derive(Clone, Debug, PartialEq)]
pub struct HoleLine {
    /// What for.
    pub of: HoleFor,
    /// Size of the pipe as written; empty when that is not known.
    pub size: String,
    /// Its diameter as recorded.
    pub recorded: Option<Length>,
    /// Its opening as recorded, when it is no drilled hole.
    pub opening: Option<String>,
    /// The cutters that the trade uses for such a pipe, where it is not recorded.
    pub usual: Option<String>,
    /// What is left all round the pipe, if it stands in the middle; negative when the hole is too small.
    pub gap: Option<Length>,
}

/// Seals held against the faces of crossings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seals {
    /// By kind, the faces that have it: penetration and face.
    pub kinds: BTreeMap<String, Vec<(usize, &'static str)>>,
    /// For each certain crossing of a new pipe: pipe, element, faces it has, faces of which the record tells a seal.
    pub crossings: Vec<(usize, usize, u32, u32)>,
}

impl Seals {
    /// Faces in all, and those of which the record tells no seal.
    pub fn totals(&self) -> (u32, u32) {
        let needed = self.crossings.iter().map(|c| c.2).sum();
        let short = self.crossings.iter().map(|c| c.2.saturating_sub(c.3)).sum();
        (needed, short)
    }
}

/// Counts everything.
pub fn count(
    network: &Network<'_>,
    rulebook: &Rulebook,
    lengths: &[Option<Known<Length>>],
    supports: &[Option<Support>],
) -> Quantities {
    let new: Vec<(usize, &Pipe)> = (0..network.legs.len()).filter_map(|i| Some((i, new(network, i)?))).collect();
    Quantities {
        pipes: pipes(network, &new, lengths),
        fittings: fittings(network, &new),
        brackets: brackets(&new, supports),
        holes: holes(network, rulebook, &new),
        seals: seals(network),
    }
}

/// The pipe of a leg, when it is new work.
fn new<'n>(network: &Network<'n>, leg: usize) -> Option<&'n Pipe> {
    let body = &network.record.pipes.at(network.legs.get(leg)?.pipe)?.body;
    (!matches!(body.stage_now(), Stage::Existing | Stage::Removed)).then_some(body)
}

fn label(pipe: &Pipe) -> String {
    pipe.size.get().map_or("size not known".to_owned(), |s| s.label.clone())
}

fn nominal(pipe: &Pipe) -> Nominal {
    pipe.size.get().map_or(Nominal(0), |s| s.nominal)
}

fn pipes(network: &Network<'_>, new: &[(usize, &Pipe)], lengths: &[Option<Known<Length>>]) -> Vec<PipeLine> {
    let mut lines: BTreeMap<(bool, Nominal, String, Option<String>), PipeLine> = BTreeMap::new();
    for (leg, pipe) in new {
        let below = network.legs.get(*leg).is_some_and(|l| l.derived.kind == Kind::Drain);
        let material = pipe.material.get().map(|m| m.0.clone());
        let joints = pipe.joints.get().map(|j| j.0.as_str());
        let key = (below, nominal(pipe), label(pipe), material.clone());
        let line = lines.entry(key).or_insert_with(|| PipeLine {
            size: label(pipe),
            series: series(nominal(pipe), material.as_deref(), joints).map(|s| s.name),
            material,
            below,
            length: None,
            legs: Vec::new(),
            missing: Vec::new(),
        });
        match lengths.get(*leg).copied().flatten() {
            Some(length) => {
                line.length = if line.length.is_some() { sum(line.length, Some(length)) } else { Some(length) };
                line.legs.push(*leg);
            }
            None => line.missing.push(*leg),
        }
    }
    lines.into_values().collect()
}

/// Fittings by kind and size, in the order in which the record first tells of them.
struct Fittings {
    lines: Vec<FittingLine>,
    at: BTreeMap<(String, String), usize>,
}

impl Fittings {
    fn add(&mut self, what: &str, size: &str, count: u32, leg: usize, side: Option<&'static str>) {
        let key = (what.to_owned(), size.to_owned());
        let at = *self.at.entry(key).or_insert(self.lines.len());
        if at == self.lines.len() {
            let (what, size) = (what.to_owned(), size.to_owned());
            self.lines.push(FittingLine { what, size, count: 0, sockets: Vec::new(), legs: Vec::new() });
        }
        let Some(line) = self.lines.get_mut(at) else { return };
        line.count = line.count.saturating_add(count);
        line.sockets.extend(side.map(|side| (leg, side)));
        if line.legs.last() != Some(&leg) {
            line.legs.push(leg);
        }
    }
}

fn fittings(network: &Network<'_>, new: &[(usize, &Pipe)]) -> Vec<FittingLine> {
    let mut all = Fittings { lines: Vec::new(), at: BTreeMap::new() };
    for (leg, pipe) in new {
        let size = label(pipe);
        if let Some(entry) = pipe.entry.get().filter(|e| !matches!(e, Entry::Channel | Entry::Ramp)) {
            let into = pipe.to.get().and_then(|r| network.record.pipes.get(&r.0)).map(|p| label(&p.body));
            let sizes = into.map_or(size.clone(), |into| format!("{size} into {into}"));
            all.add(entry.word(), &sizes, 1, *leg, pipe.side.get().map(|s| s.word()));
        }
        for bend in pipe.bends.get().into_iter().flat_map(|l| l.iter()) {
            all.add(&format!("bend, {}", bend.0), &size, 1, *leg, None);
        }
        if let Some(FootOf::Is(foot)) = pipe.foot.get()
            && let Some(bend) = foot.bend.get()
        {
            let (count, what) = counted(&bend.0);
            all.add(&format!("foot bend, {what}"), &size, count, *leg, None);
        }
        if let Some(count) = pipe.how.get().and_then(|w| couplings(&w.0)) {
            all.add("slip coupling", &into_or_own(network, pipe), count, *leg, None);
        }
        for _ in pipe.access.get().into_iter().flat_map(|m| &m.0) {
            all.add("access piece", &size, 1, *leg, None);
        }
        for spare in pipe.spare.get().into_iter().flat_map(|m| &m.0).filter_map(|(_, f)| f.get()) {
            let entry = spare.entry.get().map_or("entry", |e| e.word());
            let of = spare.size.get().map_or(format!("on {size}"), |s| format!("{} into {size}", s.label));
            all.add(&format!("spare {entry}"), &of, 1, *leg, spare.side.get().map(|s| s.word()));
        }
    }
    all.lines
}

/// Slip couplings are of the pipe that was cut.
fn into_or_own(network: &Network<'_>, pipe: &Pipe) -> String {
    let into = pipe.to.get().and_then(|r| network.record.pipes.get(&r.0));
    into.map_or_else(|| label(pipe), |p| label(&p.body))
}

/// `2 x 45` is two of `45`; anything else is one of itself.
fn counted(words: &str) -> (u32, &str) {
    let parts = words.split_once(['x', '×']).map(|(n, what)| (n.trim().parse().ok(), what.trim()));
    match parts {
        Some((Some(count), what)) if (1..=20).contains(&count) => (count, what),
        _ => (1, words),
    }
}

/// How many slip couplings are spoken of: "cut in with 2 slip couplings".
fn couplings(words: &str) -> Option<u32> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let found = words.windows(3).find(|w| matches!(w, [_, "slip", "coupling" | "couplings"]))?;
    found.first()?.parse().ok().filter(|n| (1..=20).contains(n))
}

fn brackets(new: &[(usize, &Pipe)], supports: &[Option<Support>]) -> Vec<BracketLine> {
    let mut lines: BTreeMap<(bool, Nominal, String, Length), BracketLine> = BTreeMap::new();
    for (leg, pipe) in new {
        let Some(support) = supports.get(*leg).copied().flatten() else { continue };
        let key = (support.upright, nominal(pipe), label(pipe), support.spacing);
        let fresh = BracketLine { size: label(pipe), support, count: 0, legs: Vec::new(), missing: Vec::new() };
        let line = lines.entry(key).or_insert(fresh);
        match support.brackets {
            Some(count) => {
                line.count = line.count.saturating_add(count);
                line.legs.push(*leg);
            }
            None => line.missing.push(*leg),
        }
    }
    lines.into_values().collect()
}

fn holes(network: &Network<'_>, rulebook: &Rulebook, new: &[(usize, &Pipe)]) -> Vec<HoleLine> {
    let crossings = new_crossings(network).map(|(c, pipe)| {
        let of = c.penetration.map_or(HoleFor::Crossing(c.pipe, c.element), HoleFor::Penetration);
        let body = c.penetration.and_then(|i| network.record.penetrations.at(i)).map(|p| &p.body);
        let recorded = body.and_then(|p| p.hole.get()).map(|m| m.value);
        let opening = body.and_then(|p| p.opening.get()).map(|a| a.words.clone());
        let open = recorded.is_none() && opening.is_none();
        let usual = pipe.size.get().filter(|_| open).and_then(|s| usual(rulebook, s.nominal));
        let across = recorded.or_else(|| body.and_then(|p| p.opening.get()).map(|a| a.b.map_or(a.a, |b| a.a.min(b))));
        let outside = network.legs.get(c.pipe).and_then(|l| l.outside);
        let gap = across.zip(outside).map(|(hole, pipe)| Length::from_um((hole - pipe).um() / 2));
        HoleLine { of, size: label(pipe), recorded, opening, usual, gap }
    });
    let bosses = new.iter().filter(|(leg, pipe)| {
        let stack = network.downstream(*leg).and_then(|to| network.legs.get(to));
        let drilled = matches!(pipe.entry.get(), Some(Entry::Boss | Entry::Saddle));
        drilled && stack.is_some_and(|l| l.derived.kind == Kind::Stack)
    });
    let bosses = bosses.map(|(leg, pipe)| HoleLine {
        of: HoleFor::Boss(*leg),
        size: label(pipe),
        recorded: None,
        opening: None,
        usual: None,
        gap: None,
    });
    crossings.chain(bosses).collect()
}

fn usual(rulebook: &Rulebook, size: Nominal) -> Option<String> {
    rulebook.ask(key::HOLE_CUTTER, &Facts::new().with(Fact::Size, size)).limit().map(|l| l.words())
}

/// Every certain crossing of a new pipe.
fn new_crossings<'n>(network: &'n Network<'_>) -> impl Iterator<Item = (&'n Crossing, &'n Pipe)> {
    network.crossings.iter().filter(|c| c.certain).filter_map(|c| {
        let body = &network.record.pipes.at(c.pipe)?.body;
        (!matches!(body.stage_now(), Stage::Existing | Stage::Removed)).then_some((c, body))
    })
}

fn seals(network: &Network<'_>) -> Seals {
    let mut out = Seals::default();
    for (c, _) in new_crossings(network) {
        let what = network.record.elements.at(c.element).and_then(|e| e.body.what.get());
        // A roof is made tight from above only; everything else has two faces.
        let faces = if what.is_some_and(|w| w.0.to_lowercase().contains("roof")) { 1 } else { 2 };
        let body = c.penetration.and_then(|i| Some((i, &network.record.penetrations.at(i)?.body)));
        let told = body.map_or(0, |(i, p)| face_seals(&mut out, i, p));
        out.crossings.push((c.pipe, c.element, faces, told.min(faces)));
    }
    out
}

/// Notes the seals of a penetration; returns how many faces have one.
fn face_seals(out: &mut Seals, position: usize, body: &Penetration) -> u32 {
    let mut told = 0;
    for (face, name) in [(&body.below, "below"), (&body.above, "above")] {
        let seal = face.get().and_then(|f| f.seal.get()).map(|w| w.0.trim().to_owned());
        if let Some(seal) = seal {
            out.kinds.entry(seal).or_default().push((position, name));
            told += 1;
        }
    }
    if let Some(words) = body.faces.get() {
        out.kinds.entry(words.0.trim().to_owned()).or_default().push((position, "both faces"));
        told = 2;
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_before_fittings_are_counts() {
        assert_eq!(counted("2 x 45"), (2, "45"));
        assert_eq!(counted("long radius"), (1, "long radius"));
        assert_eq!(counted("999999 x 45"), (1, "999999 x 45"));
        assert_eq!(couplings("cut in with 2 slip couplings"), Some(2));
        assert_eq!(couplings("slip couplings"), None);
    }
}
