//! What was there before the work: old drains with what the record knows of them, what joins them, and drains out of use.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::judged;
use crate::pack::drains::reason;
use crate::pack::drains::size;
use crate::pack::protection::as_recorded;
use crate::record::item::ItemKind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::Stage;
use crate::record::words::Words;

/// Every drain that was there before or was taken out.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let legs = network.legs.iter().enumerate().filter(|(_, leg)| leg.derived.kind == Kind::Drain);
    let items = legs.filter_map(|(i, leg)| network.record.pipes.at(leg.pipe).map(|item| (i, item)));
    let old = items.filter(|(_, item)| matches!(item.body.stage_now(), Stage::Existing | Stage::Removed));
    let used = |item: &Item<Pipe>| item.body.disused.get().is_some();
    let new_dead = network
        .record
        .pipes
        .iter()
        .enumerate()
        .filter(|(_, item)| used(item) && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed));
    let rows: Vec<Row> = old.chain(new_dead).map(|(leg, item)| row(desk, leg, item)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["size", "state of the work"], 34.0, Align::Left),
        column(&["live", "state"], 44.0, Align::Left),
        column(&["joined by"], 44.0, Align::Left),
        column(&["out of use"], 40.0, Align::Left),
    ];
    let schedule = Schedule { summary: "What was there before".to_owned(), columns, rows };
    Part { blocks: vec![Block::Schedule(schedule)], note: vec![plain("as recorded")] }
}

fn row(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Row {
    let body = &item.body;
    let joined = joined(desk, leg);
    let found = desk.finding_of("old-drain-sealed", &item.id);
    let mut reasons: Vec<Line> = Vec::new();
    if let Some(disused) = body.disused.get() {
        reasons.push(vec![plain(format!("Out of use: {}.", as_recorded(desk, &disused.said())))]);
    }
    reasons.extend(found.and_then(reason));
    let open: Vec<&str> = [("whether it is live", &body.live), ("its state", &body.state)]
        .into_iter()
        .filter(|(_, field)| field.get().is_none())
        .map(|(what, _)| what)
        .collect();
    // What nobody joins is asked only where the record itself looked for it.
    if !open.is_empty() && (!joined.is_empty() || body.live.is_unknown()) && found.is_none() {
        let asks = crate::base::text::list(&open, "and");
        reasons.push(vec![plain(format!("To ask before it is opened or relied on: {asks}."))]);
    }
    let told = |field: &Field<Words>, name: &str| match field.get() {
        Some(words) => vec![plain(format!("{name}: {}", words.0))],
        None if field.is_none() => vec![plain(format!("{name}: none"))],
        None => vec![soft(format!("{name}: not known"))],
    };
    let verdict = match found {
        Some(_) => judged(found),
        None => vec![vec![soft("not recorded as such")], Line::new()],
    };
    let cells = vec![
        vec![size(body), vec![plain(body.stage_now().word())]],
        vec![told(&body.live, "live"), told(&body.state, "state")],
        vec![vec![plain(if joined.is_empty() { "nothing new".to_owned() } else { joined.join("; ") })]],
        verdict,
    ];
    Row { id: item.id.clone(), anchor: None, cells, reasons, bar: bar(found.into_iter()) }
}

/// New pipes that end in an old one, or in the chamber that it leaves, with how they enter.
fn joined(desk: &Desk<'_>, leg: usize) -> Vec<String> {
    let network = &desk.job.network;
    let from = network.legs.get(leg).map(|l| l.ends.from);
    let ours = |item: &Item<Pipe>| !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    let ends_here = |end: End| end == End::Pipe(leg) || (matches!(end, End::Access(_)) && Some(end) == from);
    let legs = network.legs.iter().filter(|l| ends_here(l.ends.to));
    let pipes = legs.filter_map(|l| Some((l.ends.to, network.record.pipes.at(l.pipe).filter(|item| ours(item))?)));
    let told = |(to, item): (End, &Item<Pipe>)| {
        let entry = item.body.entry.get().map(|e| e.word().to_owned());
        let how = item.body.how.get().map(|w| w.0.clone());
        let at = matches!(to, End::Access(_)).then(|| format!("at {}", network.end_id(to)));
        let words: Vec<String> = [at, entry, how].into_iter().flatten().collect();
        if words.is_empty() { item.id.clone() } else { format!("{}: {}", item.id, words.join(", ")) }
    };
    pipes.map(told).collect()
}
