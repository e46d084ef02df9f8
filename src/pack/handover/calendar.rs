//! What needs doing and how often, for the parts that this record has and no others.
//!
//! Each interval says where it comes from. What no publisher gives is trade custom and says so.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::italic;
use crate::base::doc::plain;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::handover::guide::one;
use crate::pack::words;
use crate::record::facts::kind_of;
use crate::record::words::AccessKind;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;

/// A kind of thing that needs looking after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Asset {
    Chamber,
    RoddingEye,
    Plug,
    Gully,
    Trap,
    ShowerTrap,
    Unused,
    Terminal,
    AirValve,
    Seal,
    Shared,
    SepticTank,
    TreatmentPlant,
    Cesspool,
    Soakaway,
    DrainageField,
    Watercourse,
}

/// How the interval was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Basis {
    /// Read in the source named.
    Read,
    /// From memory: confirm it in the source named.
    Recalled,
    /// Trade custom; nobody publishes it.
    Custom,
}

struct Task {
    asset: Asset,
    task: &'static str,
    every: &'static str,
    by: &'static str,
    source: &'static str,
    basis: Basis,
}

const fn task(
    asset: Asset,
    task: &'static str,
    every: &'static str,
    by: &'static str,
    source: &'static str,
    basis: Basis,
) -> Task {
    Task { asset, task, every, by, source, basis }
}

/// Trade custom without a publisher.
const CUSTOM: &str = "suggested, no published source";

/// Every task, in the order of the page.
const TASKS: [Task; 18] = [
    task(
        Asset::Chamber,
        "lift the cover with its tool, look from above for standing water or rubbish, flush a toilet and watch it pass",
        "12 months",
        "you; never enter",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::RoddingEye,
        "find the cap, see that nothing covers it, grease its seal",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Plug,
        "see that the boxing in front still opens; do not open the plug",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Gully,
        "lift the grating, take out silt and leaves, flush",
        "spring and autumn",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Trap,
        "clean the trap, run water and look below it for drips",
        "6 to 12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::ShowerTrap,
        "take out and clean the cup under the grating",
        "3 to 6 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Unused,
        "run water into fittings that nobody uses, so that their traps stay full",
        "week to month",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Terminal,
        "look up from the ground: cage there, no nest, nothing over the end",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::AirValve,
        "listen for gurgles, see that its cover lets air through; have it replaced when it sticks",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Seal,
        "look that nobody has cut or broken the seal where the pipe goes through; after other work, look again",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::Shared,
        "have a camera put through, or when it blocks twice, or before a sale",
        "5 to 10 years",
        "a drain firm",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::SepticTank,
        "have it emptied",
        "12 months, at least",
        "a licensed carrier",
        "SEPA, Maintaining a private sewage treatment system",
        Basis::Read,
    ),
    task(
        Asset::SepticTank,
        "look into the outlet chamber from above",
        "month",
        "you; never enter",
        "AD H, Appendix H2-A",
        Basis::Recalled,
    ),
    task(
        Asset::TreatmentPlant,
        "have it serviced and emptied as its maker says",
        "6 to 12 months",
        "a service engineer",
        "SEPA, Maintaining a private sewage treatment system",
        Basis::Read,
    ),
    task(
        Asset::Cesspool,
        "look at the level; have it emptied before it is full",
        "month",
        "a licensed carrier",
        "AD H, Appendix H2-A",
        Basis::Recalled,
    ),
    task(
        Asset::Soakaway,
        "watch it after heavy rain: the water should be gone within a day",
        "12 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(
        Asset::DrainageField,
        "look for puddles, a lush strip or a smell; keep cars and trees off",
        "6 months",
        "you",
        CUSTOM,
        Basis::Custom,
    ),
    task(Asset::Watercourse, "clear the end of the pipe and its flap", "6 months", "you", CUSTOM, Basis::Custom),
];

/// The calendar for what this record has.
pub(super) fn table(desk: &Desk<'_>) -> Part {
    let rows: Vec<Row> = TASKS.iter().filter_map(|t| row(desk, t)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["what"], 38.0, Align::Left),
        column(&["do this"], 62.0, Align::Left),
        column(&["every"], 24.0, Align::Left),
        column(&["who"], 22.0, Align::Left),
        column(&["who says so"], 30.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Maintenance calendar".to_owned(), columns, rows };
    let note = vec![plain("count from the day you moved in; a maker\u{2019}s own manual wins")];
    Part { blocks: vec![Block::Schedule(schedule)], note }
}

fn row(desk: &Desk<'_>, task: &Task) -> Option<Row> {
    let (name, ids) = found(desk, task.asset);
    if ids.is_empty() {
        return None;
    }
    let mut what = vec![vec![plain(name)]];
    what.push(words::ids(ids.iter().map(String::as_str)));
    let mut source: Line = vec![plain(task.source)];
    if task.basis == Basis::Recalled {
        source.extend([plain(", "), italic("recalled")]);
    }
    let cells = vec![what, one(task.task), one(task.every), one(task.by), vec![source]];
    Some(Row { cells, ..Row::default() })
}

/// What an asset is called, and which items of the record are one.
fn found(desk: &Desk<'_>, asset: Asset) -> (&'static str, Vec<String>) {
    match asset {
        Asset::Chamber => ("covers", access(desk, |k| !matches!(k, AccessKind::RoddingEye | AccessKind::Gully))),
        Asset::RoddingEye => ("rodding eyes", access(desk, |k| k == AccessKind::RoddingEye)),
        Asset::Gully => ("gullies", access(desk, |k| k == AccessKind::Gully)),
        Asset::Plug => ("plugs on the pipe", plugs(desk)),
        Asset::Trap => ("traps", appliances(desk, |k| !matches!(k, ApplianceKind::Wc | ApplianceKind::Shower))),
        Asset::ShowerTrap => ("shower traps", appliances(desk, |k| k == ApplianceKind::Shower)),
        Asset::Unused => ("any fitting", appliances(desk, |_| true)),
        Asset::Terminal => ("top of the air pipe", terminals(desk, false)),
        Asset::AirValve => ("air valves", terminals(desk, true)),
        Asset::Seal => ("seals round pipes", seals(desk)),
        Asset::Shared => ("shared or old drain", shared(desk)),
        Asset::SepticTank => ("septic tank", outfalls(desk, "septic")),
        Asset::TreatmentPlant => ("treatment plant", outfalls(desk, "treatment")),
        Asset::Cesspool => ("cesspool", outfalls(desk, "cesspool")),
        Asset::Soakaway => ("soakaway", outfalls(desk, "soakaway")),
        Asset::DrainageField => ("drainage field", outfalls(desk, "drainage field")),
        Asset::Watercourse => ("outfall to open water", outfalls(desk, "watercourse")),
    }
}

fn is_there(stage: Option<&Stage>) -> bool {
    !matches!(stage, Some(Stage::Removed | Stage::Planned))
}

fn access(desk: &Desk<'_>, of: impl Fn(AccessKind) -> bool) -> Vec<String> {
    let there = desk.job.record.access.iter().filter(|a| is_there(a.body.stage.get()));
    there.filter(|a| a.body.what.get().copied().is_some_and(&of)).map(|a| a.id.clone()).collect()
}

fn appliances(desk: &Desk<'_>, of: impl Fn(ApplianceKind) -> bool) -> Vec<String> {
    let own = desk.job.record.appliances.iter().filter(|a| a.body.into.is_absent() && is_there(a.body.stage.get()));
    own.filter(|a| kind_of(a).is_some_and(&of)).map(|a| a.id.clone()).collect()
}

fn plugs(desk: &Desk<'_>) -> Vec<String> {
    let pipes = desk.job.record.pipes.iter();
    pipes.filter_map(|p| p.body.access.get()).flat_map(|m| &m.0).map(|(key, _)| key.value.clone()).collect()
}

fn terminals(desk: &Desk<'_>, valve: bool) -> Vec<String> {
    let all = desk.job.record.terminals.iter().filter(|t| t.body.stage.get() != Some(&Stage::Removed));
    let is_valve = |w: &str| w.to_lowercase().contains("admittance");
    all.filter(|t| t.body.what.get().is_some_and(|w| is_valve(&w.0)) == valve).map(|t| t.id.clone()).collect()
}

/// Penetrations of elements that must keep fire back.
fn seals(desk: &Desk<'_>) -> Vec<String> {
    let record = desk.job.record;
    let keeps = |element: &str| record.elements.get(element).is_some_and(|e| e.body.fire.get().is_some());
    let all = record.penetrations.iter().filter(|p| p.body.element.get().is_some_and(|e| keeps(&e.0)));
    all.map(|p| p.id.clone()).collect()
}

fn shared(desk: &Desk<'_>) -> Vec<String> {
    let network = &desk.job.network;
    let drains = network.legs.iter().filter(|l| l.derived.kind == Kind::Drain);
    let pipes = drains.filter_map(|l| network.record.pipes.at(l.pipe));
    let old = |p: &crate::record::pipework::Pipe| p.stage_now() == Stage::Existing;
    pipes.filter(|p| p.body.also_carries.get().is_some() || old(&p.body)).map(|p| p.id.clone()).collect()
}

fn outfalls(desk: &Desk<'_>, word: &str) -> Vec<String> {
    let all = desk.job.record.outfalls.iter();
    all.filter(|o| o.body.what.get().is_some_and(|w| w.0.to_lowercase().contains(word))).map(|o| o.id.clone()).collect()
}
