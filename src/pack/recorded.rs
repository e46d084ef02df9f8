//! The rest of the record, printed as it is written there.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::span::Span;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::words;
use crate::record::item::ItemKind;
use crate::record::sections::Items;

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
