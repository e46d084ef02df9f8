//! Schedules of appliances: where they discharge and how much; their traps and seals.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_cell;
use crate::pack::drains::verdict_key;
use crate::pack::words;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;

/// The rules of an appliance's own trap, and those of the branch that it starts.
const TRAP_RULES: [&str; 5] =
    ["trap-seal", "trap-size", "trap-at-every-appliance", "trap-removable", "seal-left-after-test"];
const BRANCH_RULES: [&str; 6] = [
    "basin-branch-slope",
    "branch-slope",
    "branch-length",
    "branch-not-smaller-than-trap",
    "opposed-entries",
    "lowest-connection-above-foot",
];

/// Every appliance with its branch, its discharge units and where it enters.
pub(crate) fn branches(desk: &Desk<'_>) -> Part {
    let rows: Vec<Row> =
        desk.job.record.appliances.iter().enumerate().map(|(i, item)| branch_row(desk, i, item)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["appliance", "room"], 34.0, Align::Left),
        column(&["trap or outlet", "units, l/s"], 26.0, Align::Left),
        column(&["pipe", "size, length"], 30.0, Align::Left),
        column(&["enters", "how"], 36.0, Align::Left),
        column(&["verdict", "clause"], 36.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Appliances".to_owned(), columns, rows };
    let note = vec![plain("units: discharge units of BS EN 12056-2; verdict: the governing one of trap and branch")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

fn branch_row(desk: &Desk<'_>, position: usize, item: &Item<Appliance>) -> Row {
    let network = &desk.job.network;
    let leg = desk.job.computed.outlets.get(position).and_then(|legs| legs.first()).copied();
    let pipe = leg.and_then(|leg| desk.job.record.pipes.get(network.id(leg)));
    let own = desk.worst_of(&TRAP_RULES, &item.id);
    let of_branch = pipe.and_then(|p| desk.worst_of(&BRANCH_RULES, &p.id));
    let found = own.into_iter().chain(of_branch).min_by_key(|f| (f.verdict, !f.inside_spread));
    let shared = item.body.into.get().map(|r| r.0.clone());
    let units = desk.job.computed.units.get(position).copied().flatten();
    let units = units.map_or("units not known".to_owned(), |(u, _)| crate::pack::flows::units(u));
    let trap = match &shared {
        Some(by) => format!("{by}\u{2019}s trap"),
        None => item
            .body
            .trap
            .get()
            .or_else(|| item.body.outlet.get())
            .map_or("not recorded".to_owned(), |s| s.label.clone()),
    };
    let branch = match (pipe, &shared) {
        (Some(p), _) => vec![vec![plain(p.id.clone())], vec![plain(branch_size(&p.body))]],
        (None, Some(by)) => vec![vec![plain(format!("by {by}"))], Line::new()],
        (None, None) => vec![vec![plain("not recorded")], Line::new()],
    };
    let verdict = match (found, &shared) {
        (None, Some(_)) => vec![vec![soft("no trap of its own")], Line::new()],
        _ => verdict_cell(found),
    };
    let what = kind_of(item).map_or("not said", |k| k.word()).replace("wc", "WC");
    let place = item.body.place.get().map_or("", |p| p.0.as_str());
    let cells = vec![
        vec![vec![plain(what)], vec![plain(place)]],
        vec![vec![plain(trap)], vec![plain(units)]],
        branch,
        pipe.map_or(vec![Line::new()], |p| enters(&p.body)),
        verdict,
    ];
    Row { id: item.id.clone(), anchor: None, cells, reasons: Vec::new(), bar: bar(found.into_iter()) }
}

fn branch_size(pipe: &Pipe) -> String {
    let size = pipe.size.get().map_or("size not known", |s| s.label.as_str());
    let length = pipe.length.get().map_or("length not known".to_owned(), |m| m.words());
    format!("{size}, {length}")
}

/// What it enters, over how and on which side.
fn enters(pipe: &Pipe) -> Vec<Line> {
    let to = pipe.to.get().map_or("not recorded".to_owned(), |r| r.0.clone());
    let entry = pipe.entry.get().map_or("entry not recorded".to_owned(), |e| e.word().to_owned());
    let side = pipe.side.get().map_or(String::new(), |s| format!(", {}", s.word()));
    vec![vec![plain(to)], vec![plain(format!("{entry}{side}"))]]
}

/// Every appliance, in the order of the record.
pub(crate) fn traps(desk: &Desk<'_>) -> Part {
    let rows: Vec<Row> = desk.job.record.appliances.iter().map(|item| row(desk, item)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["appliance", "room"], 38.0, Align::Left),
        column(&["trap or outlet", "seal"], 30.0, Align::Left),
        column(&["needed"], 22.0, Align::Right),
        column(&["left after test"], 26.0, Align::Right),
        column(&["verdict", "clause"], 46.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Traps and seals".to_owned(), columns, rows };
    let note = vec![plain(
        "needed: the depth of seal; the verdict is the governing one on its depth, its size and what a test left of it",
    )];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

fn row(desk: &Desk<'_>, item: &Item<Appliance>) -> Row {
    let found = desk.worst_of(&TRAP_RULES, &item.id);
    let needed = desk.finding_of("trap-seal", &item.id);
    let body = &item.body;
    let what = kind_of(item).map_or("not said", |k| k.word()).replace("wc", "WC");
    let place = body.place.get().map_or("", |p| p.0.as_str());
    let size = body.trap.get().or_else(|| body.outlet.get()).map_or(String::new(), |s| s.label.clone());
    let shared = body.into.get().map(|r| format!("shares {}\u{2019}s trap", r.0));
    let seal = body.seal.get().map(|m| m.words());
    let verdict = match (found, &shared) {
        (Some(f), _) => vec![words::verdict(f), words::clause(f)],
        (None, Some(_)) => vec![vec![soft("no trap of its own")], Line::new()],
        (None, None) => vec![vec![soft("not checked")], Line::new()],
    };
    let cells = vec![
        vec![vec![plain(what)], vec![plain(place)]],
        vec![vec![plain(shared.unwrap_or(size))], vec![plain(seal.unwrap_or_default())]],
        vec![vec![plain(needed.map_or("", |f| f.limit.as_str()))]],
        vec![vec![plain(left(desk, &item.id))]],
        verdict,
    ];
    let mut reasons: Vec<Line> = found.and_then(reason).into_iter().collect();
    reasons.extend(also_missed(desk, &TRAP_RULES, &item.id, found));
    Row { id: item.id.clone(), anchor: Some(words::anchor(&item.id)), cells, reasons, bar: bar(found.into_iter()) }
}

/// The seal left after the newest test that read it.
fn left(desk: &Desk<'_>, appliance: &str) -> String {
    let read = desk.job.record.tests.iter().filter_map(|t| {
        let field = t.body.seals_left.get()?.get(appliance)?;
        let words = field.get().map_or("not read".to_owned(), |m| m.words());
        Some((t.body.date.get().copied(), format!("{words}, {}", t.id)))
    });
    read.max().map(|(_, words)| words).unwrap_or_default()
}
