//! Schedule of access: what each point serves, how far rods come from it, and how far it is to the next.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::finding::Finding;
use crate::base::known::How;
use crate::compute::reach::Reached;
use crate::compute::reach::Way;
use crate::compute::reach::doors::Door;
use crate::compute::stacks::What;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::judged;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_key;
use crate::record::pipework::Access;
use crate::record::sections::Item;

/// Every access point to drains, then the access pieces on stacks.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let mut rows: Vec<Row> =
        desk.job.record.access.iter().enumerate().map(|(position, item)| row(desk, position, item)).collect();
    rows.extend(pieces(desk));
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["kind", "serves"], 56.0, Align::Left),
        column(&["rods come from here into, m"], 52.0, Align::Left),
        column(&["to the next access point", "found; most"], 56.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Access".to_owned(), columns, rows };
    let note = vec![plain("reach by hand rods, reckoned from the record; the verdict on each drain stands in its row")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

fn row(desk: &Desk<'_>, position: usize, item: &Item<Access>) -> Row {
    let stage = item.body.stage.get().map_or(String::new(), |s| format!(", {}", s.word()));
    let kind = format!("{}{stage}", item.body.what.get().map_or("kind not said", |k| k.word()));
    let found = next(desk, position);
    let reasons: Vec<Line> = found.iter().filter_map(|f| reason(f)).collect();
    let worst = found.iter().min_by_key(|f| (f.verdict, !f.inside_spread)).copied();
    let to = match worst {
        None => vec![vec![soft("no new drain leaves it")], Line::new()],
        Some(f) => judged(Some(f)),
    };
    let cells =
        vec![vec![vec![plain(kind)], vec![plain(serves(desk, position))]], vec![vec![plain(rods(desk, Door::Point(position)))]], to];
    Row { id: item.id.clone(), anchor: None, cells, reasons, bar: bar(found.into_iter()) }
}

/// "in D1, out D2".
fn serves(desk: &Desk<'_>, position: usize) -> String {
    let network = &desk.job.network;
    let here = End::Access(position);
    let at = |which: fn(&crate::network::ends::Ends) -> End| {
        let legs = network.legs.iter().enumerate().filter(|(_, l)| which(&l.ends) == here);
        legs.map(|(i, _)| network.id(i).to_owned()).collect::<Vec<_>>().join(" ")
    };
    let (into, out) = (at(|e| e.to), at(|e| e.from));
    let part = |word: &str, ids: String| if ids.is_empty() { String::new() } else { format!("{word} {ids}") };
    let parts: Vec<String> = [part("in", into), part("out", out)].into_iter().filter(|p| !p.is_empty()).collect();
    if parts.is_empty() { "no pipe in the record".to_owned() } else { parts.join(", ") }
}

/// "D1 up 4.85, D2 down 11.60".
fn rods(desk: &Desk<'_>, door: Door) -> String {
    let network = &desk.job.network;
    let part = |leg: usize, r: &Reached| {
        let way = if r.way == Way::Down { "down" } else { "up" };
        let far = r.length().map_or("unknown".to_owned(), |l| l.metres(2));
        let far = if r.how == How::Believed { format!("about\u{a0}{far}") } else { far };
        format!("{}\u{a0}{way}\u{a0}{far}", network.id(leg))
    };
    let all = desk.job.computed.reached.iter().enumerate();
    let here = all.flat_map(|(leg, list)| list.iter().filter(|r| r.door == door).map(move |r| part(leg, r)));
    let all: Vec<String> = here.collect();
    if all.is_empty() { "no drain".to_owned() } else { all.join(", ") }
}

/// What is found of the drains that start here, to the next access point.
fn next<'a>(desk: &Desk<'a>, position: usize) -> Vec<&'a Finding> {
    let runs = desk.job.computed.runs.iter().filter(|run| run.from == End::Access(position));
    runs.filter_map(|run| desk.worst_of(&["access-spacing"], desk.job.network.id(run.first))).collect()
}

/// Access pieces on stacks: rods go down from them; how far is not reckoned.
fn pieces(desk: &Desk<'_>) -> Vec<Row> {
    let network = &desk.job.network;
    let on = |leg: usize| network.legs.get(leg).filter(|l| l.derived.kind == Kind::Stack).map(|_| network.id(leg));
    let entries = desk.job.computed.entries.iter().filter(|e| matches!(e.what, What::Access(_)));
    entries
        .filter_map(|e| {
            let stack = on(e.stack)?;
            let height = e.height.map_or("height not known".to_owned(), |h| {
                format!("={}{}\u{a0}m above its foot", '\u{202f}', h.value.metres(3))
            });
            let cells = vec![
                vec![vec![plain("access piece on a stack")], vec![plain(format!("{stack}, {height}"))]],
                vec![vec![plain(format!("{stack}; not reckoned further"))]],
                vec![vec![soft("not a drain")], Line::new()],
            ];
            Some(Row { id: e.id.clone(), anchor: None, cells, reasons: Vec::new(), bar: Bar::None })
        })
        .collect()
}
