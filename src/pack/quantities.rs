//! Schedules of quantities: pipe, fittings, brackets, holes with their cutter, seals held against crossings.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::quantities::BracketLine;
use crate::compute::quantities::FittingLine;
use crate::compute::quantities::HoleFor;
use crate::compute::quantities::HoleLine;
use crate::compute::quantities::PipeLine;
use crate::compute::quantities::Quantities;
use crate::compute::quantities::Seals;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::ground;
use crate::pack::words;

/// Every quantity of the new work.
pub(crate) fn schedules(desk: &Desk<'_>) -> Part {
    let all: &Quantities = &desk.job.computed.quantities;
    let mut blocks = Vec::new();
    let mut put = |title: &str, columns: Vec<Column>, rows: Vec<Row>| {
        if !rows.is_empty() {
            let text = vec![plain(title)];
            blocks.push(Block::Heading(Heading { level: 3, text, ..Heading::default() }));
            blocks.push(Block::Schedule(Schedule { summary: format!("Quantities: {title}"), columns, rows }));
        }
    };
    put("Pipe", pipe_columns(), all.pipes.iter().map(|line| pipe_row(desk, line)).collect());
    put("Fittings", fitting_columns(), all.fittings.iter().map(|line| fitting_row(desk, line)).collect());
    put("Brackets", bracket_columns(), all.brackets.iter().map(|line| bracket_row(desk, line)).collect());
    put("Holes", hole_columns(), all.holes.iter().map(|line| hole_row(desk, line)).collect());
    put("Seals, held against the faces of crossings", seal_columns(), seal_rows(desk, &all.seals));
    let volumes = ground::volumes(desk);
    if blocks.is_empty() && volumes.is_empty() {
        return Part::default();
    }
    blocks.push(key());
    blocks.extend(volumes);
    Part { blocks, note: vec![plain("new work, planned or done; counted from the record, no waste added")] }
}

fn key() -> Block {
    Block::Key(vec![plain(
        "Upright pipes from the heights of their ends, straight up. Fittings: those the record tells of; couplings for \
         pipe lengths are not among them. Brackets: one at the upper end and one at every spacing, the maker\u{2019}s own \
         figure governs. Cutter: as recorded, else what the trade uses. A roof has one face to seal, everything else two.",
    )])
}

fn ids(desk: &Desk<'_>, legs: &[usize]) -> Line {
    words::ids(legs.iter().map(|leg| desk.job.network.id(*leg)))
}

/// What is counted with it and what is not: the pipes, then those of which the length is not known.
fn whose(desk: &Desk<'_>, legs: &[usize], missing: &[usize]) -> Vec<Line> {
    let mut lines = Vec::new();
    if !legs.is_empty() {
        lines.push(ids(desk, legs));
    }
    if !missing.is_empty() {
        let mut line = vec![plain("and, of length not known, ")];
        line.extend(ids(desk, missing));
        lines.push(line);
    }
    lines
}

fn row(cells: Vec<Vec<Line>>) -> Row {
    Row { cells, ..Row::default() }
}

fn one(text: impl Into<String>) -> Vec<Line> {
    vec![vec![plain(text)]]
}

fn pipe_columns() -> Vec<Column> {
    vec![
        column(&["size"], 24.0, Align::Left),
        column(&["material", "series"], 46.0, Align::Left),
        column(&["where"], 30.0, Align::Left),
        column(&["length, m"], 24.0, Align::Right),
        column(&["pipes"], 52.0, Align::Left),
    ]
}

fn pipe_row(desk: &Desk<'_>, line: &PipeLine) -> Row {
    let material = line.material.clone().unwrap_or_else(|| "material not recorded".to_owned());
    let series = line.series.unwrap_or("series not known");
    let place = if line.below { "below ground" } else { "above ground" };
    row(vec![
        one(line.size.as_str()),
        vec![vec![plain(material)], vec![plain(series)]],
        one(place),
        one(line.length.map_or("not known".to_owned(), metres)),
        whose(desk, &line.legs, &line.missing),
    ])
}

fn metres(length: Known<Length>) -> String {
    let figure = length.value.metres(2);
    if length.believed() { format!("about\u{a0}{figure}") } else { format!("=\u{202f}{figure}") }
}

fn fitting_columns() -> Vec<Column> {
    vec![
        column(&["fitting"], 44.0, Align::Left),
        column(&["size"], 40.0, Align::Left),
        column(&["number"], 18.0, Align::Right),
        column(&["socket faces, where the record tells"], 38.0, Align::Left),
        column(&["on"], 36.0, Align::Left),
    ]
}

fn fitting_row(desk: &Desk<'_>, line: &FittingLine) -> Row {
    let side = |(leg, side): &(usize, &str)| format!("{}\u{a0}{side}", desk.job.network.id(*leg));
    let sockets: Vec<String> = line.sockets.iter().map(side).collect();
    let sockets = if sockets.is_empty() { "not recorded".to_owned() } else { sockets.join(", ") };
    row(vec![
        one(words::capital(&line.what)),
        one(line.size.as_str()),
        one(line.count.to_string()),
        one(sockets),
        vec![ids(desk, &line.legs)],
    ])
}

fn bracket_columns() -> Vec<Column> {
    vec![
        column(&["size"], 24.0, Align::Left),
        column(&["run"], 46.0, Align::Left),
        column(&["spacing, mm"], 30.0, Align::Right),
        column(&["number"], 24.0, Align::Right),
        column(&["pipes"], 52.0, Align::Left),
    ]
}

fn bracket_row(desk: &Desk<'_>, line: &BracketLine) -> Row {
    let mut spacing = vec![plain(line.support.spacing.millimetres())];
    if line.support.recalled {
        spacing.extend([plain(", "), crate::base::doc::italic("recalled")]);
    }
    row(vec![
        one(line.size.as_str()),
        one(if line.support.upright { "upright" } else { "sloping" }),
        vec![spacing],
        one(format!("=\u{202f}{}", line.count)),
        whose(desk, &line.legs, &line.missing),
    ])
}

fn hole_columns() -> Vec<Column> {
    vec![
        column(&["for"], 68.0, Align::Left),
        column(&["pipe"], 24.0, Align::Left),
        column(&["cutter or opening"], 84.0, Align::Left),
    ]
}

fn hole_row(desk: &Desk<'_>, line: &HoleLine) -> Row {
    let network = &desk.job.network;
    let record = desk.job.record;
    let element = |e: usize| record.elements.at(e).map_or("", |e| e.id.as_str());
    let of = match line.of {
        HoleFor::Penetration(i) => {
            let item = record.penetrations.at(i);
            let pipe = item.and_then(|p| p.body.pipe.get()).map_or("", |r| r.0.as_str());
            let through = item.and_then(|p| p.body.element.get()).map_or("", |r| r.0.as_str());
            vec![words::mention(item.map_or("", |p| p.id.as_str())), vec![plain(format!("{pipe} through {through}"))]]
        }
        HoleFor::Crossing(pipe, e) => one(format!("{} through {}, not described", network.id(pipe), element(e))),
        HoleFor::Boss(leg) => one(format!("entry of {} on its stack", network.id(leg))),
    };
    let cutter = match (line.recorded, &line.opening, &line.usual, line.of) {
        (Some(hole), ..) => format!("{}\u{a0}mm cutter, as recorded", hole.millimetres()),
        (None, Some(opening), ..) => format!("opening of {opening}, as recorded; no cutter"),
        (None, None, Some(usual), _) => format!("{usual}, as the trade has it; not recorded"),
        (None, None, None, HoleFor::Boss(_)) => "as the maker of the boss says".to_owned(),
        (None, None, None, _) => "not recorded".to_owned(),
    };
    row(vec![of, one(line.size.as_str()), one(cutter)])
}

fn seal_columns() -> Vec<Column> {
    vec![
        column(&["seal, as recorded"], 68.0, Align::Left),
        column(&["faces"], 24.0, Align::Right),
        column(&["where"], 84.0, Align::Left),
    ]
}

/// Each kind of seal with its faces, then what the crossings need, and what of that the record does not tell.
fn seal_rows(desk: &Desk<'_>, seals: &Seals) -> Vec<Row> {
    let record = desk.job.record;
    let id = |i: usize| record.penetrations.at(i).map_or("", |p| p.id.as_str());
    let mut rows: Vec<Row> = seals
        .kinds
        .iter()
        .map(|(kind, faces)| {
            let count: usize = faces.iter().map(|(_, face)| if *face == "both faces" { 2 } else { 1 }).sum();
            let places: Vec<String> = faces.iter().map(|(i, face)| format!("{}\u{a0}{face}", id(*i))).collect();
            row(vec![one(words::capital(kind)), one(count.to_string()), one(places.join(", "))])
        })
        .collect();
    let (needed, short) = seals.totals();
    if needed > 0 {
        let element = |e: usize| record.elements.at(e).map_or("", |e| e.id.as_str());
        let open: Vec<String> = seals
            .crossings
            .iter()
            .filter(|(_, _, faces, told)| told < faces)
            .map(|(p, e, faces, told)| {
                format!("{}\u{a0}{}\u{a0}({})", desk.job.network.id(*p), element(*e), faces - told)
            })
            .collect();
        rows.push(row(vec![one("Faces of all crossings"), one(needed.to_string()), one(crossing_count(seals))]));
        let missing = if short > 0 { bold(short.to_string()) } else { plain("0") };
        let places = if open.is_empty() { "none".to_owned() } else { open.join(", ") };
        rows.push(row(vec![one("Faces without a seal in the record"), vec![vec![missing]], one(places)]));
    }
    rows
}

fn crossing_count(seals: &Seals) -> String {
    match seals.crossings.len() {
        1 => "1 crossing".to_owned(),
        n => format!("{n} crossings"),
    }
}
