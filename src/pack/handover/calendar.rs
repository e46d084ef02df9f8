//! What needs doing and how often, for the parts that this record has and no others.
//!
//! The intervals stand with their sources in `calendar.txt`. What no publisher gives is trade custom and says so.

use crate::base::citation::Seen;
use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::italic;
use crate::base::doc::plain;
use crate::base::rows::rows;
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

/// The tasks with their intervals and sources.
const TASKS: &str = include_str!("calendar.txt");

struct Task {
    part: &'static str,
    task: &'static str,
    every: &'static str,
    by: &'static str,
    source: &'static str,
    seen: Seen,
}

/// Every task, in the order of the page; a line that is none is passed over, and a test counts that none is.
fn tasks() -> impl Iterator<Item = Task> {
    rows(TASKS).filter_map(|cells| {
        let [part, task, every, by, source, seen] = cells.as_slice() else { return None };
        Some(Task { part, task, every, by, source, seen: Seen::from_word(seen)? })
    })
}

/// The calendar for what this record has.
pub(super) fn table(desk: &Desk<'_>) -> Part {
    let rows: Vec<Row> = tasks().filter_map(|t| row(desk, &t)).collect();
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
    let (_, name, find) = PARTS.iter().find(|(word, ..)| *word == task.part)?;
    let ids = find(desk);
    if ids.is_empty() {
        return None;
    }
    let mut what = vec![vec![plain(*name)]];
    what.push(words::ids(ids.iter().map(String::as_str)));
    let mut source: Line = vec![plain(task.source)];
    if task.seen == Seen::Memory {
        source.extend([plain(", "), italic("recalled")]);
    }
    let cells = vec![what, one(task.task), one(task.every), one(task.by), vec![source]];
    Some(Row { cells, ..Row::default() })
}

/// Finds the items of a record that are a part.
type Find = fn(&Desk<'_>) -> Vec<String>;

/// The parts: the word in the table, what it is called on the page, and the items that are one.
const PARTS: [(&str, &str, Find); 19] = [
    ("chamber", "covers", |desk| access(desk, |k| !matches!(k, AccessKind::RoddingEye | AccessKind::Gully))),
    ("rodding eye", "rodding eyes", |desk| access(desk, |k| k == AccessKind::RoddingEye)),
    ("gully", "gullies", |desk| access(desk, |k| k == AccessKind::Gully)),
    ("plug", "plugs on the pipe", |desk| plugs(desk)),
    ("trap", "traps", |desk| appliances(desk, |k| !matches!(k, ApplianceKind::Wc | ApplianceKind::Shower))),
    ("shower trap", "shower traps", |desk| appliances(desk, |k| k == ApplianceKind::Shower)),
    ("unused", "any fitting", |desk| appliances(desk, |_| true)),
    ("terminal", "top of the air pipe", |desk| terminals(desk, false)),
    ("air valve", "air valves", |desk| terminals(desk, true)),
    ("flood valve", "anti-flooding valve", |desk| valves(desk)),
    ("pump", "pump", |desk| pumps(desk)),
    ("seal", "seals round pipes", |desk| seals(desk)),
    ("shared", "shared or old drain", |desk| shared(desk)),
    ("septic tank", "septic tank", |desk| outfalls(desk, "septic")),
    ("treatment plant", "treatment plant", |desk| outfalls(desk, "treatment")),
    ("cesspool", "cesspool", |desk| outfalls(desk, "cesspool")),
    ("soakaway", "soakaway", |desk| outfalls(desk, "soakaway")),
    ("drainage field", "drainage field", |desk| outfalls(desk, "drainage field")),
    ("watercourse", "outfall to open water", |desk| outfalls(desk, "watercourse")),
];

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

fn valves(desk: &Desk<'_>) -> Vec<String> {
    let there = desk.job.record.valves.iter().filter(|v| is_there(v.body.stage.get()));
    there.map(|v| v.id.clone()).collect()
}

fn pumps(desk: &Desk<'_>) -> Vec<String> {
    let there = desk.job.record.pumps.iter().filter(|p| is_there(p.body.stage.get()));
    there.map(|p| p.id.clone()).collect()
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_a_task_for_a_part_that_there_is() {
        assert_eq!(tasks().count(), rows(TASKS).count());
        for task in tasks() {
            assert!(PARTS.iter().any(|(word, ..)| *word == task.part), "{}", task.part);
            assert!(!task.task.is_empty() && !task.every.is_empty() && !task.by.is_empty());
            assert_eq!(task.seen == Seen::CommonPractice, task.source.contains("no published source"), "{}", task.task);
        }
    }
}
