//! Schedule of chambers and other access to drains: cover, depth, each connection on a line of its own, and what else
//! the record says of them.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::known::Known;
use crate::base::units::Cover;
use crate::base::units::Invert;
use crate::base::units::Length;
use crate::network::height::Height;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::access;
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_cell;
use crate::pack::drains::verdict_key;
use crate::pack::ports;
use crate::pack::trail;
use crate::pack::words;
use crate::record::pipework::Access;
use crate::record::sections::Item;
use crate::record::words::Words;

/// The rules whose governing verdict stands in the row of a chamber.
const CHAMBER_RULES: [&str; 6] = [
    "chamber-size-for-depth",
    "inverts-at-chamber",
    "chamber-cover",
    "chamber-channel-and-benching",
    "shared-access-place",
    "rodding-eye",
];

/// Chambers and other access to drains: depth from cover to the invert that leaves.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let judged = desk.job.record.access.iter().any(|item| desk.worst_of(&CHAMBER_RULES, &item.id).is_some());
    let all = desk.job.record.access.iter().zip(&desk.job.computed.depths).enumerate();
    let rows: Vec<Row> = all.map(|(position, (item, depth))| row(desk, position, item, *depth, judged)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let mut columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["kind", "place"], if judged { 36.0 } else { 54.0 }, Align::Left),
        column(&["across", "class"], if judged { 23.0 } else { 27.0 }, Align::Left),
        column(&["cover level", "invert out"], 24.0, Align::Right),
        column(&["depth, m"], 20.0, Align::Right),
        column(&["state, tool"], 23.0, Align::Left),
        column(&["see"], if judged { 14.0 } else { 16.0 }, Align::Left),
    ];
    let mut blocks = Vec::new();
    if judged {
        columns.insert(5, column(&["verdict", "clause"], 24.0, Align::Left));
        blocks.push(verdict_key());
    }
    let schedule = Schedule { summary: "Chambers and other access".to_owned(), columns, rows };
    blocks.insert(0, Block::Schedule(schedule));
    Part { blocks, note: vec![plain("levels and depths in m; steps above the invert that leaves")] }
}

fn row(desk: &Desk<'_>, position: usize, item: &Item<Access>, depth: Option<Known<Length>>, judged: bool) -> Row {
    let found = desk.worst_of(&CHAMBER_RULES, &item.id);
    let mut cells = cells(desk, position, item, depth);
    if judged {
        cells.insert(4, verdict_cell(found));
    }
    let own: Vec<Line> = found.and_then(reason).into_iter().collect();
    let reasons = own
        .into_iter()
        .chain(also_missed(desk, &CHAMBER_RULES, &item.id, found))
        .chain(ports::lines(desk, position, item))
        .chain(access::as_recorded(desk, &item.body))
        .chain(trail::of_access(desk, position, item))
        .collect();
    Row { id: item.id.clone(), anchor: Some(words::anchor(&item.id)), cells, reasons, bar: bar(found.into_iter()) }
}

fn cells(desk: &Desk<'_>, position: usize, item: &Item<Access>, depth: Option<Known<Length>>) -> Vec<Vec<Line>> {
    let body = &item.body;
    let network = &desk.job.network;
    let cover: Option<Height<Cover>> = network.height(&body.cover, Some(&body.kit));
    let recorded: Option<Height<Invert>> = network.height(&body.il_out, Some(&body.kit));
    let out = recorded.or_else(|| desk.job.computed.chambers.get(position).and_then(|c| c.outgoing));
    let kind = body.what.get().map_or("", |k| k.word());
    let water = ports::water(desk, position).map_or(String::new(), |water| format!(", {water}"));
    let stage = body.stage.get().map_or(String::new(), |s| format!(", {}", s.word()));
    let place = body.place_from.get().or_else(|| body.place.get()).map_or("", |t| t.0.as_str());
    let text = |w: Option<&Words>| w.map_or(String::new(), |w| w.0.clone());
    let depth = depth.map_or("not known".to_owned(), |d| {
        let metres = d.value.metres(3);
        if d.believed() { format!("about\u{a0}{metres}") } else { format!("=\u{202f}{metres}") }
    });
    let across = body.across.get().map_or(String::new(), |a| a.words.clone());
    let trap = body.interceptor.get().filter(|word| word.yes()).map_or("", |_| "intercepting trap ");
    let state = format!("{trap}{} {}", text(body.state.get()), text(body.tool.get()));
    vec![
        vec![vec![plain(format!("{kind}{water}{stage}"))], vec![plain(place)]],
        vec![vec![plain(across)], vec![plain(text(body.class.get()))]],
        vec![words::level(cover), words::level(out)],
        vec![vec![plain(depth)]],
        vec![vec![plain(state.trim().to_owned())]],
        vec![desk.see_photo(&item.id)],
    ]
}
