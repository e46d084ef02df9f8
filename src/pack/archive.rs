//! The archive pack: the inspection pack, and after it everything it rests on, unrounded, for whoever asks in ten years.

use crate::Examined;
use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::text::date;
use crate::base::units::Gradient;
use crate::network::ends::End;
use crate::network::height::Because;
use crate::network::height::Height;
use crate::pack;
use crate::pack::Choice;
use crate::pack::Desk;
use crate::pack::Pack;
use crate::pack::drains::column;
use crate::pack::words;
use crate::rulebook::Cell;
use crate::rulebook::State;
use std::collections::BTreeMap;

/// SHA-256 in hexadecimal and size in bytes of each file that can be had, by its name in the record.
pub type Originals = BTreeMap<String, (String, u64)>;

/// The archive pack.
pub fn archive(job: &Examined<'_>, choice: &Choice<'_>, originals: &Originals) -> Pack {
    let mut pack = pack::inspection(job, choice);
    let desk = Desk::new(job, choice);
    let sections = [
        ("every-finding", every_finding(&desk)),
        ("reckoned", reckoned(&desk)),
        ("evidence", evidence(&desk, originals)),
        ("cells", cells(&desk)),
        ("clauses", clauses(&desk)),
    ];
    for (name, block) in sections {
        pack.parts.blocks.insert(name.to_owned(), vec![block]);
    }
    pack.parts.blocks.insert("misfits".to_owned(), vec![Block::List(open_ends(&desk))]);
    let digest = vec![plain(format!("SHA-256 of the record: {}", choice.record_digest))];
    pack.parts.notes.insert("evidence".to_owned(), digest);
    let whole = vec![plain(format!("digest {}", job.rulebook.digest()))];
    pack.parts.notes.insert("cells".to_owned(), whole);
    pack.template = "archive.md.tera";
    let id = job.record.job.id.get().map_or("", |id| id.0.as_str());
    pack.running_left = vec![bold(id), plain("  Archive pack")];
    pack
}

fn table(summary: &str, columns: &[(&str, f64)], rows: Vec<Vec<String>>) -> Block {
    let columns: Vec<Column> = columns.iter().map(|(head, mm)| column(&[head], *mm, Align::Left)).collect();
    let cell = |text: String| vec![vec![plain(text)]];
    let rows = rows.into_iter().map(|cells| Row { cells: cells.into_iter().map(cell).collect(), ..Row::default() });
    Block::Schedule(Schedule { summary: summary.to_owned(), columns, rows: rows.collect() })
}

fn every_finding(desk: &Desk<'_>) -> Block {
    let rows = desk.job.findings.iter().map(|f| {
        let line = desk.choice.source.line_of(f.span.start);
        let clause = f.citation.as_ref().map_or("no clause".to_owned(), |c| c.short());
        let recalled = if f.recalled { ", recalled" } else { "" };
        vec![
            f.item.clone(),
            f.rule.0.replace('-', " "),
            f.words().to_owned() + &f.replaced_by.as_ref().map_or(String::new(), |by| format!(", replaced by {by}")),
            f.measured.clone(),
            f.limit.clone(),
            format!("{clause}{recalled}"),
            line.to_string(),
        ]
    });
    let columns = [
        ("item", 17.0),
        ("rule", 34.0),
        ("verdict", 21.0),
        ("found", 36.0),
        ("limit", 24.0),
        ("clause", 34.0),
        ("line", 10.0),
    ];
    table("Every finding", &columns, rows.collect())
}

/// Inverts and falls to the micrometre, and how each was come by.
fn reckoned(desk: &Desk<'_>) -> Block {
    let network = &desk.job.network;
    let rows = (0..network.legs.len()).map(|leg| {
        let solved = network.solved(leg);
        let drop = solved.drop.map_or("unknown".to_owned(), |d| format!("{} {}", d.value.metres(6), d.how.word()));
        let gradient = network.gradient(leg).map_or("unknown".to_owned(), |g| fall_over_run(g.value));
        vec![network.id(leg).to_owned(), level(desk, solved.up), level(desk, solved.down), drop, gradient]
    });
    let columns = [
        ("pipe", 16.0),
        ("invert up, m", 46.0),
        ("invert down, m", 46.0),
        ("drop, m", 28.0),
        ("fall over run, m, or as given", 40.0),
    ];
    table("Levels and how they were reckoned", &columns, rows.collect())
}

/// A gradient without rounding: as it was given when it was given as one, else its fall over its run.
fn fall_over_run(gradient: Gradient) -> String {
    let (fall, run) = (gradient.fall().um(), gradient.run().um());
    // A recorded gradient is a pair of small numbers, not lengths of the pipe.
    if run < 10_000 && fall > 0 {
        if run % fall == 0 {
            return format!("1 in {}", run / fall);
        }
        if fall * 1_000 % run == 0 {
            return format!("{} mm/m", fall * 1_000 / run);
        }
    }
    format!("{} over {}", gradient.fall().metres(6), gradient.run().metres(6))
}

fn level<L: Copy>(desk: &Desk<'_>, height: Option<Height<L>>) -> String {
    let Some(height) = height else { return "unknown".to_owned() };
    let level = height.absolute().map_or("no datum".to_owned(), |l| l.metres(6));
    let half = height.half.millimetres();
    format!("{level} ± {half} mm, {}; {}", height.how.word(), because(desk, height.because))
}

fn because(desk: &Desk<'_>, because: Because) -> String {
    let network = &desk.job.network;
    match because {
        Because::Written(span) => format!("record line {}", desk.choice.source.line_of(span.start)),
        Because::Fall(leg) => format!("from the fall of {}", network.id(leg)),
        Because::Join(own, into) => format!("from the join of {} with {}", network.id(own), network.id(into)),
        Because::Foot(stack) => format!("from the foot of {}", network.id(stack)),
        Because::Along(leg) => format!("from the inverts along {}", network.id(leg)),
        Because::Channel(access) => format!("by way of {}", network.end_id(End::Access(access))),
    }
}

fn evidence(desk: &Desk<'_>, originals: &Originals) -> Block {
    let file = |name: Option<&str>| -> [String; 3] {
        let Some(name) = name else { return ["no file".to_owned(), String::new(), String::new()] };
        let (digest, bytes) = originals.get(name).map_or(("not there".to_owned(), String::new()), |(digest, bytes)| {
            // A space every sixteen digits, so that a line can break there.
            let parts: Vec<&str> = [0, 16, 32, 48].iter().filter_map(|at| digest.get(*at..at + 16)).collect();
            (parts.join(" "), bytes.to_string())
        });
        [name.to_owned(), digest, bytes]
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for item in &desk.job.record.photos {
        let fact = desk.job.photos.get(&item.id).cloned().unwrap_or_default();
        let from = if fact.from_file { "from the file" } else { "from the record" };
        let day = fact.taken.map_or("not known".to_owned(), |day| format!("{}, {from}", date(day)));
        let shows: Vec<String> = item.body.shows.get().map_or(Vec::new(), |l| l.iter().map(|m| m.words()).collect());
        let [name, digest, bytes] = file(item.body.file.get().map(|t| t.0.as_str()));
        rows.push(vec![item.id.clone(), name, digest, bytes, day, shows.join(", ")]);
    }
    for item in &desk.job.record.documents {
        let what = item.body.what.get().map_or(String::new(), |w| w.0.clone());
        let [name, digest, bytes] = file(item.body.file.get().map(|t| t.0.as_str()));
        rows.push(vec![item.id.clone(), name, digest, bytes, String::new(), what]);
    }
    let columns =
        [("id", 13.0), ("file", 27.0), ("SHA-256", 62.0), ("bytes", 14.0), ("day", 27.0), ("shows, says", 33.0)];
    table("Photos and papers, as they were", &columns, rows)
}

/// Cells whose place in the guidance a finding names.
fn cells(desk: &Desk<'_>) -> Block {
    let decided =
        |cell: &Cell| desk.job.findings.iter().any(|f| f.citation.as_ref().is_some_and(|c| *c == cell.citation));
    let cells: Vec<Cell> = desk.job.rulebook.cells().into_iter().filter(decided).collect();
    let others: Vec<Vec<Line>> = cells.iter().map(elsewhere).collect();
    let rows = cells.into_iter().map(|cell| {
        let seen = if cell.recalled { "memory" } else { cell.citation.value_seen.word() };
        vec![
            words::cell(&cell.id.0),
            cell.says,
            format!("{}, {}", cell.citation.short(), cell.citation.edition),
            seen.to_owned(),
        ]
    });
    let columns = [("value", 74.0), ("says", 34.0), ("clause, edition", 46.0), ("seen", 22.0)];
    let mut block = table("Values of the guidance that findings rest on", &columns, rows.collect());
    if let Block::Schedule(schedule) = &mut block {
        for (row, reasons) in schedule.rows.iter_mut().zip(others) {
            row.reasons = reasons;
        }
    }
    block
}

/// What other texts say in place of a cell, and why that is not taken.
fn elsewhere(cell: &Cell) -> Vec<Line> {
    cell.instead_of.iter().map(|other| vec![plain(format!("Elsewhere: {}", other.words()))]).collect()
}

fn clauses(desk: &Desk<'_>) -> Block {
    let rows = desk.choice.prose.ledger().iter().map(|entry| {
        let state = match &entry.state {
            State::Checked(rule) => format!("checked: {}", rule.replace('-', " ")),
            State::Computed(what) | State::Recorded(what) | State::Outside(what) => {
                format!("{}: {what}", entry.state.word())
            }
            State::NotYet => entry.state.word().to_owned(),
        };
        vec![format!("{} {}", entry.document, entry.clause), entry.title.clone(), state]
    });
    let columns = [("clause", 42.0), ("about", 72.0), ("what is done", 62.0)];
    table("Every clause", &columns, rows.collect())
}

/// What does not agree, and what is missing.
fn open_ends(desk: &Desk<'_>) -> Vec<Line> {
    let network = &desk.job.network;
    let misfits = network.levels.misfits.iter().map(|m| {
        let ways = [m.first, m.second].map(|b| b.map_or("a recorded fall".to_owned(), |b| because(desk, b)));
        let (id, by, half) = (network.id(m.leg), m.by.metres(6), m.half.metres(6));
        format!("{id}: {} and {} differ by {by} m, where {half} m would be inside the readings.", ways[0], ways[1])
    });
    let gaps = desk.gaps.iter().map(|gap| words::sentence(&format!("not known for want of {}", gap.needs)));
    let mut lines: Vec<Line> = misfits.chain(gaps).map(|text| vec![plain(text)]).collect();
    if lines.is_empty() {
        lines.push(vec![plain("All ways of reckoning agree, and no level is missing.")]);
    }
    lines
}
