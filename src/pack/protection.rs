//! What protects the house: how the site lies to the sewer, valves, pumps, rats.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::span::Span;
use crate::compute::guards::Met;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::judged;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_key;
use crate::pack::recorded::bare;
use crate::pack::words;
use crate::record::item::ItemKind;

/// The site as recorded, then each valve and each pump, with its verdict.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let record = desk.job.record;
    let mut rows: Vec<Row> = Vec::new();
    let site = record.site.said();
    let of_site = ["surcharge-protection", "rodent-measures"];
    if !site.is_empty() || of_site.iter().any(|rule| desk.finding_of(rule, "site").is_some()) {
        rows.push(row(desk, ("site", "the site"), (&site, None), &of_site));
    }
    let guards = &desk.job.computed.guards;
    for (position, item) in record.valves.iter().enumerate() {
        let behind = behind(desk, guards.iter().map(|g| g.valve), position);
        rows.push(row(
            desk,
            (&item.id, "anti-flooding valve"),
            (&item.body.said(), Some(behind)),
            &["anti-flooding-valve"],
        ));
    }
    for (position, item) in record.pumps.iter().enumerate() {
        let mut more = behind(desk, guards.iter().map(|g| g.pump), position);
        if let Some(inflow) = desk.job.computed.inflows.get(position).copied().flatten() {
            more.push(plain("; inflow "));
            more.push(bold("=\u{202f}"));
            more.push(plain(inflow.words()));
        }
        rows.push(row(desk, (&item.id, "pump"), (&item.body.said(), Some(more)), &["pumped-drain"]));
    }
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["what"], 26.0, Align::Left),
        column(&["as recorded", "what the network adds"], 72.0, Align::Left),
        column(&["verdict", "found; limit"], 50.0, Align::Left),
        column(&["see"], 14.0, Align::Left),
    ];
    let schedule = Schedule { summary: "What protects the house".to_owned(), columns, rows };
    let note = vec![plain("against water from the sewer, and rats")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

/// A row: what the record says, and under it what follows from the network.
fn row(
    desk: &Desk<'_>,
    (id, what): (&str, &str),
    (said, more): (&[(&'static str, Span)], Option<Line>),
    rules: &[&str],
) -> Row {
    let found = desk.worst_of(rules, id);
    let mut recorded = vec![vec![plain(as_recorded(desk, said))]];
    recorded.extend(more);
    let verdict = if found.is_some() { judged(found) } else { vec![vec![soft("nothing asked")], Line::new()] };
    let mut reasons: Vec<Line> = found.and_then(reason).into_iter().collect();
    reasons.extend(also_missed(desk, rules, id, found));
    Row {
        id: id.to_owned(),
        anchor: Some(words::anchor(id)),
        cells: vec![vec![vec![plain(what)]], recorded, verdict, vec![desk.see_photo(id)]],
        reasons,
        bar: bar(found.into_iter()),
    }
}

/// Each field that is said, by its key and in the record's own words.
pub(crate) fn as_recorded(desk: &Desk<'_>, said: &[(&'static str, Span)]) -> String {
    let each = said.iter().map(|(key, span)| format!("{key}: {}", bare(&desk.as_written(*span))));
    each.collect::<Vec<_>>().join("; ")
}

/// "WC1 and WB1 drain through it"; what may do so apart.
fn behind(desk: &Desk<'_>, guards: impl Iterator<Item = Option<Met>>, position: usize) -> Line {
    let (mut sure, mut perhaps) = (Vec::new(), Vec::new());
    for (item, met) in desk.job.record.appliances.iter().zip(guards) {
        match met.filter(|m| m.guard == position) {
            Some(met) if met.sure => sure.push(item.id.as_str()),
            Some(_) => perhaps.push(item.id.as_str()),
            None => {}
        }
    }
    let mut words = match sure.as_slice() {
        [] => "no appliance surely drains through it".to_owned(),
        [one] => format!("{one} drains through it"),
        all => format!("{} drain through it", crate::base::text::list(all, "and")),
    };
    if !perhaps.is_empty() {
        words.push_str(&format!("; perhaps {}", crate::base::text::list(&perhaps, "and")));
    }
    vec![bold("=\u{202f}"), plain(words)]
}
