//! What the answers rest on: documents, the ledger of clauses, what was taken as given.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::words;
use crate::rulebook::STATES;

/// "england-2015: AD H, 2015 edition".
pub(crate) fn rulebook_words(desk: &Desk<'_>) -> String {
    let book = desk.job.rulebook;
    let documents = book.documents();
    let main = documents.first().map_or(String::new(), |d| format!(": {}, {}", d.short, d.edition));
    format!("{}{main}", book.id())
}

/// Documents, then the ledger, then overlays and assumptions.
pub(crate) fn blocks(desk: &Desk<'_>) -> Part {
    let book = desk.job.rulebook;
    let digest: String = book.digest().chars().take(8).collect();
    let overlays = match book.overlays().len() {
        0 => "no local overlay".to_owned(),
        1 => format!("1 local overlay, {} values relaxed by it", book.relaxed().len()),
        n => format!("{n} local overlays, {} values relaxed by them", book.relaxed().len()),
    };
    let note =
        vec![plain(format!("rulebook {}, revision {}, digest {digest}; {overlays}", book.id(), book.revision()))];
    let mut blocks = vec![documents(desk), key()];
    if !book.overlays().is_empty() {
        blocks.push(head("Local overlays", "the last one on top"));
        blocks.push(overlaid(desk));
    }
    blocks.push(head(
        "What was looked at, and what was not",
        "every clause of the documents named above is in one column",
    ));
    blocks.push(ledger(desk));
    blocks.push(ledger_key());
    blocks.push(head("Taken as given", ""));
    blocks.push(Block::List(given(desk)));
    Part { blocks, note }
}

fn head(text: &str, note: &str) -> Block {
    let note = if note.is_empty() { Line::new() } else { vec![plain(note)] };
    Block::Heading(Heading { level: 3, text: vec![plain(text)], note, ..Heading::default() })
}

fn cell(text: impl Into<String>) -> Vec<Line> {
    vec![vec![plain(text.into())]]
}

fn documents(desk: &Desk<'_>) -> Block {
    let rows = desk
        .job
        .rulebook
        .documents()
        .iter()
        .map(|d| Row {
            cells: vec![
                cell(d.prefixes.join(", ")),
                cell(format!("{}, {} ({})", d.short, d.edition, d.title)),
                cell(d.standing.word()),
                cell(d.values.to_string()),
                cell(d.recalled.to_string()),
            ],
            ..Row::default()
        })
        .collect();
    let columns = vec![
        column(&["part"], 40.0, Align::Left),
        column(&["document, edition"], 78.0, Align::Left),
        column(&["it is"], 26.0, Align::Left),
        column(&["values"], 15.0, Align::Right),
        column(&["recalled"], 17.0, Align::Right),
    ];
    Block::Schedule(Schedule { summary: "Documents the answers rest on".to_owned(), columns, rows })
}

fn key() -> Block {
    Block::Key(vec![
        bold("Law"),
        plain(" must be kept. "),
        bold("Guidance"),
        plain(" is one way of keeping it; another way may do as well. "),
        bold("Custom"),
        plain(" is what the trade does. "),
        bold("Recalled"),
        plain(": the value was not read in the document for this rulebook; confirm it there first."),
    ])
}

fn overlaid(desk: &Desk<'_>) -> Block {
    let lines = desk.job.rulebook.overlays().iter().flat_map(|overlay| {
        overlay.changes.iter().map(|c| {
            let relaxed = if c.looser { "; this relaxes it" } else { "" };
            let (cell, standing) = (words::cell(&c.cell.0), overlay.standing.word());
            vec![
                bold(overlay.name.clone()),
                plain(format!(
                    ", {standing}: {cell}: {} in place of {}, asked by {} on {}, {}{relaxed}",
                    c.is, c.was, c.asked_by, c.date, c.evidence
                )),
            ]
        })
    });
    Block::List(lines.collect())
}

fn ledger(desk: &Desk<'_>) -> Block {
    let tallies = desk.choice.prose.tallies().into_iter();
    let rows = tallies.map(|tally| {
        let all = tally.counts.iter().sum::<usize>();
        let mut cells = vec![cell(tally.part), cell(all.to_string())];
        cells.extend(tally.counts.iter().map(|n| cell(n.to_string())));
        Row { cells, bar: Bar::None, ..Row::default() }
    });
    let rows = rows.collect();
    let mut columns = vec![column(&["document"], 62.0, Align::Left)];
    columns.push(column(&["clauses"], 19.0, Align::Right));
    columns.extend(STATES.map(|state| column(&[state], 19.0, Align::Right)));
    Block::Schedule(Schedule { summary: "Ledger of clauses".to_owned(), columns, rows })
}

fn ledger_key() -> Block {
    Block::Key(vec![
        bold("Checked"),
        plain(": held against the record. "),
        bold("Computed"),
        plain(": a number is given, no verdict. "),
        bold("Recorded"),
        plain(": printed as the record has it. "),
        bold("Outside"),
        plain(": not this program\u{2019}s matter. "),
        bold("Not yet"),
        plain(": this program cannot do it. Nobody should take a clause in the last two columns as looked at."),
    ])
}

fn given(desk: &Desk<'_>) -> Vec<Line> {
    let record = desk.job.record;
    let mut all: Vec<Line> = Vec::new();
    for item in &record.kit {
        if let Some(spread) = item.body.spread.get() {
            let over = spread.over.map_or(String::new(), |o| format!(" in {}\u{a0}m", o.metres(0)));
            let checked = item
                .body
                .checked
                .get()
                .map_or("not said when checked".to_owned(), |d| format!("checked {}", crate::base::text::date(*d)));
            all.push(vec![plain(format!(
                "{}: ±{}\u{a0}mm{over} at each reading, {checked}.",
                item.id,
                spread.value.millimetres()
            ))]);
        }
    }
    for leg in desk.job.network.legs.iter() {
        if let Some(join) = leg.join.filter(|j| j.by_default && j.along.is_some_and(|a| a.value.um() > 0)) {
            let (own, into) = (desk.job.network.id(leg.pipe), desk.job.network.id(join.receiver));
            all.push(vec![plain(format!(
                "{own} into {into}: {} meets {}, taken as usual for such an entry.",
                join.meets.word(),
                join.meets.word()
            ))]);
        }
    }
    let mut series: Vec<String> = Vec::new();
    for leg in &desk.job.network.legs {
        if let (Some(size), Some(bore), Some(outside)) = (leg.nominal, leg.bore, leg.outside) {
            let words = format!(
                "Pipe of nominal {}: {}\u{a0}mm outside, {}\u{a0}mm bore.",
                size.words(),
                crate::base::units::fixed(i128::from(outside.um()), 1000, 1),
                crate::base::units::fixed(i128::from(bore.um()), 1000, 1)
            );
            if !series.contains(&words) {
                series.push(words);
            }
        }
    }
    all.extend(series.into_iter().map(|w| vec![plain(w)]));
    all.push(vec![plain("Lengths of drains are centre to centre in plan; lengths of branches lie along the barrel.")]);
    all.extend(desk.choice.prose.what_it_is_not().iter().map(|s| vec![plain(s.clone())]));
    all
}
