//! What is printed as the record has it, or as computed, without a verdict.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::span::Span;
use crate::network::height::Height;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_cell;
use crate::pack::drains::verdict_key;
use crate::pack::ports;
use crate::pack::words;
use crate::record::item::ItemKind;
use crate::record::sections::Items;

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
pub(crate) fn chambers(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let judged = desk.job.record.access.iter().any(|item| desk.worst_of(&CHAMBER_RULES, &item.id).is_some());
    let rows: Vec<Row> = desk
        .job
        .record
        .access
        .iter()
        .zip(&desk.job.computed.depths)
        .enumerate()
        .map(|(position, (item, depth))| {
            let body = &item.body;
            let cover: Option<Height<crate::base::units::Cover>> = network.height(&body.cover, Some(&body.kit));
            let out: Option<Height<crate::base::units::Invert>> = network.height(&body.il_out, Some(&body.kit));
            let stage = body.stage.get().map_or(String::new(), |s| format!(", {}", s.word()));
            let place = body.place_from.get().or_else(|| body.place.get()).map_or("", |t| t.0.as_str());
            let text = |w: Option<&crate::record::words::Words>| w.map_or(String::new(), |w| w.0.clone());
            let depth = depth.map_or("not known".to_owned(), |d| {
                let metres = d.value.metres(3);
                if d.believed() { format!("about\u{a0}{metres}") } else { format!("=\u{202f}{metres}") }
            });
            let across = body.across.get().map_or(String::new(), |a| a.words.clone());
            let class = text(body.class.get());
            let trap = match body.interceptor.get() {
                Some(word) if word.yes() => "intercepting trap ".to_owned(),
                _ => String::new(),
            };
            let state = [trap + &text(body.state.get()), text(body.tool.get())].join(" ").trim().to_owned();
            let found = desk.worst_of(&CHAMBER_RULES, &item.id);
            let mut cells = vec![
                vec![vec![plain(format!("{}{stage}", body.what.get().map_or("", |k| k.word())))], vec![plain(place)]],
                vec![vec![plain(across)], vec![plain(class)]],
                vec![words::level(cover), words::level(out)],
                vec![vec![plain(depth)]],
                vec![vec![plain(state)]],
                vec![desk.see_photo(&item.id)],
            ];
            if judged {
                cells.insert(4, verdict_cell(found));
            }
            Row {
                id: item.id.clone(),
                anchor: Some(words::anchor(&item.id)),
                cells,
                reasons: found
                    .and_then(reason)
                    .into_iter()
                    .chain(also_missed(desk, &CHAMBER_RULES, &item.id, found))
                    .chain(ports::lines(desk, position, item))
                    .chain(crate::pack::access::as_recorded(desk, body))
                    .collect(),
                bar: bar(found.into_iter()),
            }
        })
        .collect();
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
    Part { blocks, note: vec![plain("levels and depths in m")] }
}

/// Everything else in the record, as it is written there.
pub(crate) fn rest(desk: &Desk<'_>) -> Part {
    let record = desk.job.record;
    let mut rows: Vec<Row> = Vec::new();
    section(desk, "people", &record.people, &mut rows);
    section(desk, "kit", &record.kit, &mut rows);
    for item in &record.levels {
        rows.push(row(desk, "levels", &item.id, &[("", item.span)]));
    }
    section(desk, "elements", &record.elements, &mut rows);
    section(desk, "outfalls", &record.outfalls, &mut rows);
    section(desk, "terminals", &record.terminals, &mut rows);
    section(desk, "openings", &record.openings, &mut rows);
    section(desk, "nearby", &record.nearby, &mut rows);
    section(desk, "documents", &record.documents, &mut rows);
    section(desk, "questions", &record.questions, &mut rows);
    let listed = [
        ("visits", record.visits.iter().map(|v| v.span).collect::<Vec<_>>()),
        ("closings", record.closings.iter().map(|v| v.span).collect()),
        ("decisions", record.decisions.iter().map(|v| v.span).collect()),
        ("changes", record.changes.iter().map(|v| v.span).collect()),
    ];
    for (name, spans) in listed {
        for (i, span) in spans.into_iter().enumerate() {
            rows.push(row(desk, name, &(i + 1).to_string(), &[("", span)]));
        }
    }
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 18.0, Align::Left),
        column(&["section"], 24.0, Align::Left),
        column(&["as recorded"], 134.0, Align::Left),
    ];
    let schedule = Schedule { summary: "The rest of the record, as written".to_owned(), columns, rows };
    let note = vec![plain("in the record\u{2019}s own words; not judged")];
    Part { blocks: vec![Block::Schedule(schedule)], note }
}

/// A value without the braces or quotes that hold all of it.
pub(crate) fn bare(text: &str) -> &str {
    let inside = |open: char, close: char| text.strip_prefix(open).and_then(|t| t.strip_suffix(close));
    inside('{', '}').or_else(|| inside('"', '"')).unwrap_or(text)
}

fn section<T: ItemKind>(desk: &Desk<'_>, name: &str, items: &Items<T>, rows: &mut Vec<Row>) {
    for item in items {
        rows.push(row(desk, name, &item.id, &item.body.said()));
    }
}

fn row(desk: &Desk<'_>, section: &str, id: &str, said: &[(&str, Span)]) -> Row {
    let details: Vec<String> = said
        .iter()
        .map(|(key, span)| {
            let text = desk.as_written(*span);
            let text = bare(&text).to_owned();
            if key.is_empty() { text } else { format!("{key}: {text}") }
        })
        .collect();
    let cells = vec![vec![vec![soft(section)]], vec![vec![plain(details.join("; "))]]];
    let anchor = Some(format!("{section}-{}", words::anchor(id)));
    Row { id: id.to_owned(), anchor, cells, reasons: Vec::new(), bar: Bar::None }
}
