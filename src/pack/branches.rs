//! Schedule of branch discharge pipes.

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
use crate::pack::drains::also_missed;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::size;
use crate::pack::drains::verdict_key;
use crate::pack::ground;
use crate::pack::recorded::bare;
use crate::pack::words;
use crate::record::item::ItemKind;
use crate::record::pipework::Pipe;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::words::Stage;

/// The rules whose governing verdict stands in the row of a branch; coupons advise and stand among the findings.
const RULES: [&str; 9] = [
    "basin-branch-slope",
    "branch-slope",
    "branch-length",
    "branch-not-smaller-than-trap",
    "common-branch",
    "branch-bends-and-junctions",
    "ground-floor-discharge",
    "opposed-entries",
    "lowest-connection-above-foot",
];

/// Every branch, in the order of the record.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let legs = desk.job.network.legs.iter().enumerate();
    let branches = legs.filter(|(_, leg)| matches!(leg.derived.kind, Kind::Branch | Kind::CommonBranch));
    let rows: Vec<Row> =
        branches.filter_map(|(i, leg)| desk.job.record.pipes.at(leg.pipe).map(|item| row(desk, i, item))).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["from, to", "at"], 38.0, Align::Left),
        column(&["size", "trap, seal"], 28.0, Align::Left),
        column(&["length"], 20.0, Align::Right),
        column(&["fall"], 29.0, Align::Right),
        column(&["verdict", "clause"], 33.0, Align::Left),
        column(&["see"], 16.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Branch discharge pipes".to_owned(), columns, rows };
    let note = vec![plain("heights are of centre lines, from the finished floor named")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

fn row(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Row {
    let network = &desk.job.network;
    let found = desk.worst_of(&RULES, &item.id);
    let [first, second] = words::fall(network.gradient(leg), &item.body.fall);
    let verdict = match found {
        Some(f) => vec![words::verdict(f), words::clause(f)],
        None => vec![vec![soft("not checked")], Line::new()],
    };
    let mut reasons: Vec<Line> = Vec::new();
    if let Some(f) = found {
        if !f.measured.is_empty() {
            reasons.push(vec![plain(format!("{}; limit {}.", words::capital(&f.measured), f.limit))]);
        }
        reasons.extend(reason(f));
        reasons.extend(also_missed(desk, &RULES, &item.id, Some(f)));
    }
    reasons.extend(ground::of_branch(desk, item));
    reasons.extend(vents(desk, leg));
    let planned = if item.body.stage_now() == Stage::Planned { ", planned" } else { "" };
    let to = desk.job.network.legs.get(leg).map_or("", |l| desk.job.network.end_id(l.ends.to));
    let from = format!("{} to {to}{planned}", from(desk, leg));
    let cells = vec![
        vec![vec![plain(from)], vec![plain(at(&item.body))]],
        vec![size(&item.body), vec![plain(trap(desk, leg))]],
        vec![words::measure(&item.body.length)],
        vec![first, second],
        verdict,
        vec![desk.see_photo(&item.id)],
    ];
    Row { id: item.id.clone(), anchor: Some(words::anchor(&item.id)), cells, reasons, bar: bar(found.into_iter()) }
}

/// The appliance, and those that share its trap.
fn from(desk: &Desk<'_>, leg: usize) -> String {
    let network = &desk.job.network;
    let Some(end) = network.legs.get(leg).map(|l| l.ends.from) else { return String::new() };
    let id = network.end_id(end);
    let sharing: Vec<&str> = desk
        .job
        .record
        .appliances
        .iter()
        .filter(|a| a.body.into.get().is_some_and(|r| r.0 == id))
        .map(|a| a.id.as_str())
        .collect();
    if sharing.is_empty() { id.to_owned() } else { format!("{id}, with {}", sharing.join(" ")) }
}

fn at(pipe: &Pipe) -> String {
    let place = match pipe.at.get() {
        Some(Station::Level(at)) => at.words.clone(),
        Some(Station::AboveFoot(m)) => format!("{} above foot", m.words()),
        Some(Station::Along { distance, up, from }) => {
            format!("{} {} from {from}", distance.words(), if *up { "up" } else { "down" })
        }
        None => "place not recorded".to_owned(),
    };
    let side = pipe.side.get().map_or(String::new(), |s| format!(", {}", s.word()));
    format!("{place}{side}")
        .replace(" + ", "\u{a0}+\u{a0}")
        .replace(" \u{2212} ", "\u{a0}\u{2212}\u{a0}")
        .replace(" mm", "\u{a0}mm")
        .replace(" m,", "\u{a0}m,")
}

fn trap(desk: &Desk<'_>, leg: usize) -> String {
    let Some(End::Appliance(a)) = desk.job.network.legs.get(leg).map(|l| l.ends.from) else { return String::new() };
    let Some(item) = desk.job.record.appliances.at(a) else { return String::new() };
    let trap = item.body.trap.get().map(|t| format!("trap {}", t.nominal.0));
    let seal = item.body.seal.get().map(|s| format!("seal {}", s.value.millimetres()));
    [trap, seal].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The ventilating pipes that stand on a branch, in the words of the record.
fn vents(desk: &Desk<'_>, leg: usize) -> Vec<Line> {
    let legs = desk.job.network.legs.iter().filter(|l| l.derived.kind == Kind::Vent && l.ends.from == End::Pipe(leg));
    let items = legs.filter_map(|l| desk.job.record.pipes.at(l.pipe));
    items
        .map(|item| {
            let said: Vec<String> =
                item.body.said().iter().map(|(key, span)| format!("{key} {}", bare(&desk.as_written(*span)))).collect();
            vec![plain(format!("Ventilated by {}: {}.", item.id, said.join(", ")))]
        })
        .collect()
}
