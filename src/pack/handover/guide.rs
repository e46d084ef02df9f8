//! What is where, how to live with it, where to get at it, and what lies behind what.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Figure;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::figure;
use crate::pack::handover::names;
use crate::pack::handover::way;
use crate::pack::words;
use crate::record::pipework::Access;
use crate::record::sections::Item;
use crate::record::words::Stage;

/// The small plan of the whole.
pub(super) fn picture(desk: &Desk<'_>) -> Part {
    let Some(drawing) = figure::plan_strip(&desk.job.network) else { return Part::default() };
    let upright = figure::plan_upright(&desk.job.network);
    let figure = Figure { anchor: "plan".to_owned(), drawing, upright, caption: Line::new() };
    Part { blocks: vec![Block::Figure(figure)], note: vec![plain("not to scale")] }
}

/// Each fitting with the pipes that its water runs through.
pub(super) fn what_is_where(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let rows: Vec<Row> = desk
        .job
        .record
        .appliances
        .iter()
        .enumerate()
        .map(|(a, item)| {
            let path = way::path_of(network, a, &item.id);
            let through: Vec<&str> = path.iter().map(|l| network.id(*l)).collect();
            let last = path.last().and_then(|l| network.legs.get(*l)).map(|l| l.ends.to);
            let ends = last.map_or("", |e| network.end_id(e));
            let mut line = if through.is_empty() { vec![plain("not recorded")] } else { ids_in_order(&through) };
            if !ends.is_empty() {
                line.extend([plain(" to ")]);
                line.extend(words::mention(ends));
            }
            let place = item.body.place.get().map_or("", |p| p.0.as_str());
            let shares = item.body.into.get().map(|r| format!("shares the trap of {}", r.0)).unwrap_or_default();
            row(&item.id, vec![pair(names::appliance(item), &shares), one(place), vec![line]])
        })
        .collect();
    let columns = vec![
        column(&["id"], 16.0, Align::Left),
        column(&["fitting"], 44.0, Align::Left),
        column(&["where"], 30.0, Align::Left),
        column(&["its water runs through, in this order"], 86.0, Align::Left),
    ];
    table("What is where", columns, rows, "fitting by fitting, with the flow")
}

/// How it works, in the order of the water; each sentence only when the record has the thing it speaks of.
pub(super) fn how_it_works(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let of = |kind: Kind| {
        let there = network.legs.iter().enumerate().filter(move |(_, l)| l.derived.kind == kind);
        there.map(|(i, _)| network.id(i)).collect::<Vec<_>>()
    };
    let mut blocks = Vec::new();
    let mut say = |head: &str, ids: Vec<&str>, text: &str| {
        if !ids.is_empty() {
            let mut line = vec![bold(format!("{head} "))];
            line.extend(words::ids(ids));
            line.push(plain(format!(" {text}")));
            blocks.push(Block::Paragraph(line));
        }
    };
    let traps: Vec<&str> =
        desk.job.record.appliances.iter().filter(|a| a.body.into.is_absent()).map(|a| a.id.as_str()).collect();
    say(
        "Each fitting",
        traps,
        "holds a little water in a bend, its trap. That water keeps the smell of the drain out of the room.",
    );
    let mut branches = of(Kind::Branch);
    branches.extend(of(Kind::CommonBranch));
    say("Small pipes", branches, "fall gently from the fittings to an upright pipe or a drain.");
    say("The upright pipe", of(Kind::Stack), "takes the water down to the drain under the ground.");
    say(
        "The air pipe",
        of(Kind::Vent),
        "carries no water. It lets air in behind the water and smells out above the roof; keep its top open.",
    );
    say(
        "The drain",
        of(Kind::Drain),
        "runs under the ground by its own fall, from cover to cover, and leaves the job at its end.",
    );
    let outfalls: Vec<&str> = desk.job.record.outfalls.iter().map(|o| o.id.as_str()).collect();
    let what: Vec<&str> =
        desk.job.record.outfalls.iter().filter_map(|o| o.body.what.get()).map(|t| t.0.as_str()).collect();
    say("Where it ends:", outfalls, &format!("({}).", what.join(", ")));
    Part { blocks, note: vec![plain("from the fitting outwards")] }
}

/// What may go down and what not; the same for every home.
pub(super) fn how_to_use() -> Part {
    let items = [
        "Down the toilet only what the body gives off, and toilet paper. No wipes, not even those that say they may be \
         flushed; no sanitary towels, nappies, cotton buds, cat litter or medicines.",
        "Down the sink no fat, oil, paint, plaster, cement or solvent. Wipe greasy pans with paper first.",
        "Run water into a fitting that nobody uses, once a week to once a month: a trap that dries out lets smells in.",
        "A gurgle, or water that goes away slowly, comes before a blockage. Look at the covers then, not on the night.",
        "No rainwater into these drains unless this pack says that they take it; ask before another fitting is joined on.",
        "Keep covers free: no paving, planting, shed or parked car on them. Keep the boxing so that it can be opened where \
         a plug stands behind it.",
    ];
    let items = items.into_iter().map(|i| vec![plain(i)]).collect();
    Part { blocks: vec![Block::List(items)], note: vec![plain("general advice; water companies say the same")] }
}

/// Every place to get at a pipe: where, with what, and what it serves.
pub(super) fn access(desk: &Desk<'_>) -> Part {
    let network = &desk.job.network;
    let mut rows: Vec<Row> =
        desk.job.record.access.iter().enumerate().map(|(a, item)| cover_row(desk, a, item)).collect();
    for (i, _) in network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Stack) {
        for plug in way::plugs(network, i) {
            let height = plug.above_floor.map_or(String::new(), |m| format!("{} above the floor", m.words()));
            let place = plug.place.unwrap_or_else(|| "place not recorded".to_owned());
            let place = [place, height].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ");
            let mut serves = vec![plain("the upright pipe ")];
            serves.extend(words::mention(network.id(i)));
            let cells = vec![
                pair(&format!("plug on the pipe{}", plug.reach.map_or(String::new(), |r| format!(", {r}"))), &place),
                one("for a drain firm only"),
                vec![serves],
                vec![desk.see_photo(&plug.id)],
            ];
            rows.push(row(&plug.id, cells));
        }
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["what", "where"], 64.0, Align::Left),
        column(&["what opens it"], 36.0, Align::Left),
        column(&["which pipes can be reached"], 46.0, Align::Left),
        column(&["see"], 16.0, Align::Left),
    ];
    table("Where to get at it", columns, rows, "what a cover reaches follows from the record; nobody has tried it")
}

fn cover_row(desk: &Desk<'_>, position: usize, item: &Item<Access>) -> Row {
    let network = &desk.job.network;
    let body = &item.body;
    let stage = match body.stage.get() {
        Some(Stage::Existing) => ", old",
        Some(Stage::Planned) => ", not there yet",
        Some(Stage::Removed) => ", taken out",
        Some(Stage::Temporary) => ", for now",
        Some(Stage::Installed) | None => "",
    };
    let size = body.across.get().map_or(String::new(), |a| format!(", {} across", a.words));
    let what = format!("{}{size}{stage}", body.what.get().map_or("", |k| k.word()));
    let place =
        [body.place.get(), body.place_from.get()].into_iter().flatten().map(|t| t.0.as_str()).collect::<Vec<_>>();
    let place = if place.is_empty() { "place not recorded".to_owned() } else { place.join(", ") };
    let mut serves = Line::new();
    for (i, leg) in network.legs.iter().enumerate() {
        let towards = match (leg.ends.to, leg.ends.from) {
            (End::Access(a), _) if a == position => "up ",
            (_, End::Access(a)) if a == position => "down ",
            _ => continue,
        };
        if !serves.is_empty() {
            serves.push(plain(", "));
        }
        serves.push(plain(towards));
        serves.extend(words::mention(network.id(i)));
        let length = leg.length.map_or("length not recorded".to_owned(), |l| format!("{}\u{a0}m", l.value.metres(1)));
        serves.push(soft(format!(" {length}")));
    }
    let tool = body.tool.get().map_or("not recorded", |t| t.0.as_str());
    let state = body.state.get().map_or(String::new(), |t| t.0.clone());
    row(&item.id, vec![pair(&what, &place), pair(tool, &state), vec![serves], vec![desk.see_photo(&item.id)]])
}

/// What each closing hid, and when.
pub(super) fn hidden(desk: &Desk<'_>) -> Part {
    let items: Vec<Line> = desk
        .job
        .record
        .closings
        .iter()
        .map(|closing| {
            let value = &closing.value;
            let what = value.what.get().map_or("", |t| t.0.as_str());
            let hides: Vec<String> = value.hides.get().into_iter().flat_map(|l| l.iter()).map(|m| m.words()).collect();
            let planned = value.stage.get() == Some(&Stage::Planned);
            let day = value.date.get().map_or(String::new(), |d| crate::base::text::date(*d));
            let when = if planned { format!(", to be closed {day}") } else { format!(", {day}") };
            let mut line = vec![bold(words::capital(what)), plain(format!("{when}: "))];
            for (i, hidden) in hides.iter().enumerate() {
                line.push(plain(if i > 0 { ", " } else { "" }));
                line.extend(words::mention(hidden));
            }
            line
        })
        .collect();
    if items.is_empty() {
        return Part::default();
    }
    Part { blocks: vec![Block::List(items)], note: vec![plain("look here before you drill, cut or dig")] }
}

/// Entries that were left for later.
pub(super) fn spare(desk: &Desk<'_>) -> Part {
    let record = desk.job.record;
    let mut rows = Vec::new();
    for pipe in &record.pipes {
        for (key, spare) in pipe.body.spare.get().into_iter().flat_map(|m| &m.0) {
            let Some(spare) = spare.get() else { continue };
            let mut on = vec![plain("on ")];
            on.extend(words::mention(&pipe.id));
            let at = spare.at.get().map_or("not recorded".to_owned(), |_| desk.as_written(spare.at.span));
            let entry = spare.entry.get().map_or("entry not recorded", |e| e.word());
            let side = spare.side.get().map_or("side not recorded".to_owned(), |s| format!("{} side", s.word()));
            let state = spare.state.get().map_or("not recorded", |s| s.0.as_str());
            rows.push(row(&key.value, vec![vec![on], one(&at), one(&format!("{entry}, {side}")), one(state)]));
        }
    }
    let columns = vec![
        column(&["id"], 14.0, Align::Left),
        column(&["pipe"], 30.0, Align::Left),
        column(&["at"], 48.0, Align::Left),
        column(&["how it enters"], 48.0, Align::Left),
        column(&["state"], 36.0, Align::Left),
    ];
    table("Spare entries", columns, rows, "for whoever joins a fitting on later; ask first")
}

/// A row with an id that hangs.
pub(super) fn row(id: &str, cells: Vec<Vec<Line>>) -> Row {
    Row { id: id.to_owned(), anchor: Some(words::anchor(id)), cells, reasons: Vec::new(), bar: Bar::None }
}

/// A cell of one line.
pub(super) fn one(text: &str) -> Vec<Line> {
    vec![vec![plain(text)]]
}

/// A cell of two lines, the second only when it says something.
pub(super) fn pair(first: &str, second: &str) -> Vec<Line> {
    let mut lines = one(first);
    if !second.is_empty() {
        lines.push(vec![plain(second)]);
    }
    lines
}

/// A table with its note; nothing without rows.
pub(super) fn table(summary: &str, columns: Vec<crate::base::doc::Column>, rows: Vec<Row>, note: &str) -> Part {
    if rows.is_empty() {
        return Part::default();
    }
    let schedule = Schedule { summary: summary.to_owned(), columns, rows };
    Part { blocks: vec![Block::Schedule(schedule)], note: vec![plain(note)] }
}

/// Ids in the order of the water, not of their names.
fn ids_in_order(all: &[&str]) -> Line {
    let mut line = Line::new();
    for id in all {
        if !line.is_empty() {
            line.push(plain(" "));
        }
        line.extend(words::mention(id));
    }
    line
}
