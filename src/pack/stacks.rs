//! Schedule of stacks: what enters, how high above the foot, on which side.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::finding::Finding;
use crate::base::span::Span;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::reason;
use crate::pack::drains::size;
use crate::pack::drains::verdict_cell;
use crate::pack::drains::verdict_key;
use crate::pack::words;
use crate::record::pipework::FootOf;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;

/// The rules whose governing verdict stands in the row of a stack or ventilating pipe, and of what enters it.
const PIPE_RULES: [&str; 10] = [
    "stack-size",
    "stack-capacity",
    "foot-bend",
    "stack-ventilated",
    "ventilating-pipe-size",
    "branch-vent",
    "ground-floor-discharge",
    "open-ends",
    "vent-terminal-clear-of-openings",
    "air-admittance-valve",
];
const ENTRY_RULES: [&str; 4] =
    ["opposed-entries", "lowest-connection-above-foot", "stack-access-above-spill-over", "coupon-out"];

/// Whether a ventilating pipe stands on a stack, under which it is listed.
fn on_stack(desk: &Desk<'_>, from: End) -> bool {
    let End::Pipe(p) = from else { return false };
    desk.job.network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack)
}

/// Every stack and ventilating pipe with what sits on it, the highest first.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let mut rows: Vec<Row> = Vec::new();
    for (leg, l) in desk.job.network.legs.iter().enumerate() {
        match l.derived.kind {
            Kind::Stack => {
                rows.extend(vents(desk, leg).into_iter().map(|vent| pipe_row(desk, vent)));
                rows.push(pipe_row(desk, leg));
                rows.extend(entries(desk, leg).into_iter().map(|e| entry_row(desk, e)));
            }
            Kind::Vent if !on_stack(desk, l.ends.from) => rows.push(pipe_row(desk, leg)),
            Kind::Vent | Kind::Branch | Kind::CommonBranch | Kind::Drain => {}
        }
    }
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["what", "size"], 44.0, Align::Left),
        column(&["place"], 33.0, Align::Left),
        column(&["above the", "foot, m"], 17.0, Align::Right),
        column(&["side"], 20.0, Align::Left),
        column(&["verdict", "clause"], 34.0, Align::Left),
        column(&["see"], 14.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Stacks and what enters them".to_owned(), columns, rows };
    let note = vec![plain("centre lines above the invert at the tail of the foot bend")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

/// The ventilating pipes that stand on a stack.
fn vents(desk: &Desk<'_>, stack: usize) -> Vec<usize> {
    let legs = desk.job.network.legs.iter().enumerate();
    legs.filter(|(_, l)| l.derived.kind == Kind::Vent && l.ends.from == End::Pipe(stack)).map(|(i, _)| i).collect()
}

fn entries<'a>(desk: &'a Desk<'_>, stack: usize) -> Vec<&'a StackEntry> {
    let mut all: Vec<&StackEntry> = desk.job.computed.entries.iter().filter(|e| e.stack == stack).collect();
    all.sort_by_key(|e| std::cmp::Reverse(e.height.map(|h| h.value)));
    all.retain(|e| !matches!(e.what, What::Vent(_)));
    all
}

fn pipe_row(desk: &Desk<'_>, leg: usize) -> Row {
    let network = &desk.job.network;
    let id = network.id(leg).to_owned();
    let Some(item) = desk.job.record.pipes.get(&id) else { return Row::default() };
    let kind = network.legs.get(leg).map_or("", |l| l.derived.kind.words());
    let stage = item.body.stage.get().map_or(String::new(), |s| format!(", {}", s.word()));
    let top = item.body.top.get().map_or("top not recorded".to_owned(), |t| format!("top: {}", t.0));
    let foot = words::level(network.solved(leg).down);
    let is_stack = network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Stack);
    let foot = if is_stack { [vec![plain("foot invert ")], foot].concat() } else { Line::new() };
    let height = desk.job.computed.entries.iter().find(|e| e.what == What::Vent(leg)).map(|e| e.height);
    let found = of_pipe(desk, item);
    let cells = vec![
        vec![vec![plain(format!("{kind}{stage}"))], size(&item.body)],
        vec![vec![plain(top)], foot],
        vec![height.map_or(Line::new(), metres)],
        vec![Line::new()],
        verdict_cell(found),
        vec![desk.see_photo(&id)],
    ];
    let mut reasons: Vec<Line> = Vec::new();
    if let Some(flow) = desk.job.computed.flows.get(leg).filter(|_| is_stack) {
        let wcs = if flow.wcs == 1 { "1 WC".to_owned() } else { format!("{} WCs", flow.wcs) };
        let units = crate::pack::flows::units(flow.units);
        let peak = crate::pack::flows::peak(flow);
        let words = format!("Carries {peak}\u{a0}l/s at its peak, from units of {units}\u{a0}l/s and {wcs}; computed.");
        reasons.push(vec![plain(words)]);
    }
    reasons.extend(foot_bend(desk, &item.body));
    reasons.extend(found.and_then(reason));
    Row { anchor: Some(words::anchor(&id)), id, cells, reasons, bar: bar(found.into_iter()) }
}

/// The bend at the foot, as recorded.
fn foot_bend(desk: &Desk<'_>, stack: &Pipe) -> Option<Line> {
    let FootOf::Is(foot) = stack.foot.get()? else { return None };
    let said = |name: &str, span: Span| format!("{name} {}", desk.as_written(span));
    let bend = (!foot.bend.is_absent()).then(|| said("bend", foot.bend.span));
    let radius = (!foot.radius.is_absent()).then(|| said("radius", foot.radius.span));
    let all: Vec<String> = bend.into_iter().chain(radius).collect();
    (!all.is_empty()).then(|| vec![plain(format!("Foot as recorded: {}.", all.join(", ")))])
}

/// The governing verdict on a stack or ventilating pipe, or on the terminal at its top.
fn of_pipe<'a>(desk: &Desk<'a>, item: &Item<Pipe>) -> Option<&'a Finding> {
    let own = desk.worst_of(&PIPE_RULES, &item.id);
    let top = item.body.top.get().and_then(|t| desk.worst_of(&PIPE_RULES, &t.0));
    own.into_iter().chain(top).min_by_key(|f| (f.verdict, !f.inside_spread))
}

fn entry_row(desk: &Desk<'_>, entry: &StackEntry) -> Row {
    let record = desk.job.record;
    let stack = record.pipes.get(desk.job.network.id(entry.stack)).map(|p| &p.body);
    let (what, place, side) = match entry.what {
        What::Branch(leg) => {
            let item = record.pipes.get(desk.job.network.id(leg));
            let from = item.and_then(|i| i.body.from.get()).map_or("", |r| r.0.as_str());
            let how = item.and_then(|i| i.body.entry.get()).map_or("entry not recorded", |e| e.word());
            let place = item.map_or(String::new(), |i| desk.as_written(i.body.at.span));
            let side = item.and_then(|i| i.body.side.get()).map_or("not recorded", |s| s.word());
            (format!("branch from {from}, {how}"), place, side.to_owned())
        }
        What::Spare(n) => {
            let spare = stack.and_then(|s| s.spare.get()).and_then(|m| m.0.get(n)).and_then(|(_, f)| f.get());
            let state = spare.and_then(|s| s.state.get()).map_or("", |s| s.0.as_str());
            let place = spare.map_or(String::new(), |s| desk.as_written(s.at.span));
            let side = spare.and_then(|s| s.side.get()).map_or("not recorded", |s| s.word());
            (format!("spare entry, {state}"), place, side.to_owned())
        }
        What::Access(n) => {
            let at = stack.and_then(|s| s.access.get()).and_then(|m| m.0.get(n)).map(|(_, f)| f.span);
            ("access piece".to_owned(), at.map_or(String::new(), |s| desk.as_written(s)), String::new())
        }
        What::Vent(_) => ("ventilating pipe".to_owned(), String::new(), String::new()),
    };
    let own_row = matches!(entry.what, What::Spare(_) | What::Access(_));
    let found = desk.worst_of(&ENTRY_RULES, &entry.id);
    let judged = matches!(entry.what, What::Branch(_)) || found.is_some();
    let cells = vec![
        vec![vec![plain(what)]],
        vec![vec![plain(place.replace(" - ", " \u{2212} "))]],
        vec![metres(entry.height)],
        vec![vec![plain(side)]],
        if judged { verdict_cell(found) } else { vec![Line::new()] },
        vec![Line::new()],
    ];
    Row {
        id: entry.id.clone(),
        anchor: own_row.then(|| words::anchor(&entry.id)),
        cells,
        reasons: found.and_then(reason).into_iter().collect(),
        bar: bar(found.into_iter()),
    }
}

fn metres(height: Option<crate::base::known::Known<crate::base::units::Length>>) -> Line {
    vec![plain(height.map_or("not known".to_owned(), |h| {
        let metres = h.value.metres(3);
        if h.believed() { format!("about\u{a0}{metres}") } else { format!("=\u{202f}{metres}") }
    }))]
}
