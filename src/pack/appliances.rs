//! Schedule of traps and seals.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_key;
use crate::pack::words;
use crate::record::facts::kind_of;
use crate::record::pipework::Appliance;
use crate::record::sections::Item;

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
    let found = desk.worst_of(&["trap-seal", "trap-size", "seal-left-after-test"], &item.id);
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
    let reasons = found.and_then(reason).into_iter().collect();
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
