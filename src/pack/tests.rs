//! Tests: readings, what was lost, and for what they still speak.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::text::day;
use crate::compute::tightness::Outcome;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::words;
use crate::record::evidence::Test;
use crate::record::sections::Item;

/// Every test, in the order of the record.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let tests = desk.job.record.tests.iter().zip(&desk.job.computed.tests);
    let rows: Vec<Row> = tests.map(|(item, outcome)| row(desk, item, outcome)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["what", "plugs"], 54.0, Align::Left),
        column(&["date", "kit"], 30.0, Align::Left),
        column(&["readings"], 40.0, Align::Left),
        column(&["lost", "seen by"], 40.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Tests".to_owned(), columns, rows };
    let note = vec![plain("readings as read; losses computed; air tests above ground are judged among the findings")];
    Part { blocks: vec![Block::Schedule(schedule)], note }
}

fn row(desk: &Desk<'_>, item: &Item<Test>, outcome: &Outcome) -> Row {
    let body = &item.body;
    let list = |f: &crate::record::value::Field<crate::record::value::ListOf<crate::record::words::Mention>>| {
        f.get().map_or(String::new(), |l| l.iter().map(|m| m.words()).collect::<Vec<_>>().join(", "))
    };
    let covers: Vec<&str> = outcome.covers.iter().map(|p| desk.job.network.id(*p)).collect();
    let what = format!("{}: {}", kind(outcome), covers.join(" "));
    let what = what.trim_end_matches([':', ' ']).to_owned();
    let date = body.date.get().map_or("date not recorded".to_owned(), |d| crate::base::text::date(*d));
    let kit = body.kit.get().map_or("", |k| k.0.as_str());
    let readings = body.readings.get().map_or(String::new(), |m| {
        let one = |(key, field): &(
            crate::base::span::Spanned<String>,
            crate::record::value::Field<crate::record::quantity::Measure>,
        )| { format!("{} {}", key.value, field.get().map_or("unknown".to_owned(), |m| m.words())) };
        m.0.iter().map(one).collect::<Vec<_>>().join(", ")
    });
    let seen = body.seen_by.get().map_or("not recorded by whom".to_owned(), |s| format!("seen by {}", s.0));
    let cells = vec![
        vec![vec![plain(what)], vec![plain(list(&body.plugs))]],
        vec![vec![plain(date)], vec![plain(kit)]],
        vec![vec![plain(readings)]],
        vec![vec![plain(loss(outcome))], vec![plain(seen)]],
    ];
    Row {
        id: item.id.clone(),
        anchor: Some(words::anchor(&item.id)),
        cells,
        reasons: remarks(desk, item, outcome),
        bar: bar(desk.finding_of("above-ground-air-test", &item.id).into_iter()),
    }
}

fn kind(outcome: &Outcome) -> &'static str {
    outcome.kind.map_or("kind not recorded", |k| k.word())
}

/// "17 mm in 7 min".
pub(crate) fn loss(outcome: &Outcome) -> String {
    match (outcome.lost, outcome.minutes) {
        (Some(lost), Some(minutes)) => format!("=\u{202f}{}\u{a0}mm in {minutes}\u{a0}min", lost.millimetres()),
        _ => String::new(),
    }
}

fn remarks(desk: &Desk<'_>, item: &Item<Test>, outcome: &Outcome) -> Vec<Line> {
    let mut all = Vec::new();
    let mut said = String::new();
    if let Some(by) = outcome.replaced_by.and_then(|t| desk.job.record.tests.at(t)) {
        said.push_str(&format!("Repeated and replaced by {}. ", by.id));
    }
    if let Some(found) = item.body.found.get() {
        said.push_str(&format!("Found: {} ", words::sentence(&found.0)));
    }
    if let Some(at) = item.body.seen_at.get() {
        let from = item.body.put_in.get().map_or("", |r| r.0.as_str());
        said.push_str(&format!("Put in at {from}, seen at {}. ", at.words()));
        let not = item.body.not_at.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect());
        if !not.is_empty() {
            said.push_str(&format!("Not seen at {}. ", not.join(", ")));
        }
    }
    if let Some(seals) = item.body.seals_left.get() {
        let one = |(key, field): &(
            crate::base::span::Spanned<String>,
            crate::record::value::Field<crate::record::quantity::Measure>,
        )| { format!("{} {}", key.value, field.get().map_or("not read".to_owned(), |m| m.words())) };
        said.push_str(&format!("Seals left: {}. ", seals.0.iter().map(one).collect::<Vec<_>>().join(", ")));
    }
    let stale = stale(desk, outcome);
    if !said.is_empty() || !stale.is_empty() {
        let mut line = Line::new();
        if !stale.is_empty() {
            line.push(bold(format!("{stale} ")));
        }
        line.push(plain(said.trim_end().to_owned()));
        all.push(line);
    }
    all
}

/// "Stale: D1 was changed on 26 Feb."
pub(crate) fn stale(desk: &Desk<'_>, outcome: &Outcome) -> String {
    let changed: Vec<String> =
        outcome.stale.iter().map(|(p, d)| format!("{} was changed on {}", desk.job.network.id(*p), day(*d))).collect();
    if changed.is_empty() { String::new() } else { format!("Stale: {}.", changed.join(", ")) }
}
