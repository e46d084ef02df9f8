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

/// Every access point to drains, then access pieces on stacks, then what opens pipework above ground.
pub(crate) fn schedule(desk: &Desk<'_>) -> Part {
    let mut rows: Vec<Row> =
        desk.job.record.access.iter().enumerate().map(|(position, item)| row(desk, position, item)).collect();
    rows.extend(pieces(desk));
    rows.extend(above_ground(desk));
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
    let cells = vec![
        vec![vec![plain(kind)], vec![plain(serves(desk, position))]],
        vec![vec![plain(rods(desk, Door::Point(position)))]],
        to,
    ];
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
        let bend = if r.bend.is_some() { ", up to a bend" } else { "" };
        format!("{}\u{a0}{way}\u{a0}{far}{bend}", network.id(leg))
    };
    let all = desk.job.computed.reached.iter().enumerate();
    let here = all.flat_map(|(leg, list)| list.iter().filter(|r| r.door == door).map(move |r| part(leg, r)));
    let all: Vec<String> = here.collect();
    if all.is_empty() { NONE.to_owned() } else { all.join(", ") }
}

/// What rods come into from where they come into nothing.
const NONE: &str = "no drain";

/// Above ground: traps and pans that come off, and caps on pipes that lie. Reckoned, not judged.
fn above_ground(desk: &Desk<'_>) -> Vec<Row> {
    let network = &desk.job.network;
    let mut doors: Vec<Door> = Vec::new();
    for part in desk.job.computed.reached.iter().flatten() {
        let lies = match part.door {
            Door::Piece(pipe, _) => network.legs.get(pipe).is_some_and(|l| l.derived.kind != Kind::Stack),
            Door::Trap(_) => true,
            Door::Point(_) | Door::Proposed => false,
        };
        if lies && !doors.contains(&part.door) {
            doors.push(part.door);
        }
    }
    doors.into_iter().map(|door| above_ground_row(desk, door)).collect()
}

fn above_ground_row(desk: &Desk<'_>, door: Door) -> Row {
    let record = desk.job.record;
    let (kind, serves) = match door {
        Door::Trap(a) => {
            let said = record.appliances.at(a).and_then(|item| item.body.trap_out.get());
            (said.map_or("pan that comes off".to_owned(), |w| format!("trap, comes out {}", w.0)), String::new())
        }
        Door::Piece(pipe, _) => ("cap".to_owned(), format!("on {}", desk.job.network.id(pipe))),
        Door::Point(_) | Door::Proposed => (String::new(), String::new()),
    };
    let cells = vec![
        vec![vec![plain(kind)], vec![plain(serves)]],
        vec![vec![plain(rods(desk, door))]],
        vec![vec![soft("not judged")], Line::new()],
    ];
    Row { id: door.id(&desk.job.network).to_owned(), anchor: None, cells, reasons: Vec::new(), bar: Bar::None }
}

/// What is found of the drains that start here, to the next access point.
fn next<'a>(desk: &Desk<'a>, position: usize) -> Vec<&'a Finding> {
    let runs = desk.job.computed.runs.iter().filter(|run| run.from == End::Access(position));
    runs.filter_map(|run| desk.worst_of(&["access-spacing"], desk.job.network.id(run.first))).collect()
}

/// Access pieces on stacks: rods go down from them, through an easy foot into the drain.
fn pieces(desk: &Desk<'_>) -> Vec<Row> {
    let network = &desk.job.network;
    let on = |leg: usize| network.legs.get(leg).filter(|l| l.derived.kind == Kind::Stack).map(|_| network.id(leg));
    let entries = desk.job.computed.entries.iter();
    entries
        .filter_map(|e| {
            let What::Access(n) = e.what else { return None };
            let stack = on(e.stack)?;
            let through = match rods(desk, Door::Piece(e.stack, n)) {
                none if none == NONE => format!("{stack}; its foot lets no rods through, as recorded"),
                some => format!("{stack}, {some}"),
            };
            let height = e.height.map_or("height not known".to_owned(), |h| {
                format!("={}{}\u{a0}m above its foot", '\u{202f}', h.value.metres(3))
            });
            let cells = vec![
                vec![vec![plain("access piece on a stack")], vec![plain(format!("{stack}, {height}"))]],
                vec![vec![plain(through)]],
                vec![vec![soft("not a drain")], Line::new()],
            ];
            Some(Row { id: e.id.clone(), anchor: None, cells, reasons: Vec::new(), bar: Bar::None })
        })
        .collect()
}

/// What else the record says of an access point: "As recorded: opening 430 mm; held down by two captive screws."
pub(crate) fn as_recorded(desk: &Desk<'_>, body: &Access) -> Option<Line> {
    use crate::base::units::Cover;
    use crate::network::height::Height;
    use crate::record::fall::Fall;
    use crate::record::quantity::Measure;
    use crate::record::value::Field;
    use crate::record::words::Words;
    use crate::record::words::YesNo;
    let words = |head: &str, f: &Field<Words>| match f.get() {
        Some(w) => Some(format!("{head} {}", w.0)),
        None => f.is_none().then(|| format!("{head} none")),
    };
    let yes_no = |yes: &str, no: &str, f: &Field<YesNo>| f.get().map(|s| (if s.yes() { yes } else { no }).to_owned());
    let length = |head: &str, f: &Field<Measure>| match f.get() {
        Some(m) => Some(format!("{head} {}", m.words())),
        None => f.is_none().then(|| format!("{head} none")),
    };
    let paving: Option<Height<Cover>> = desk.job.network.height(&body.paving, Some(&body.kit));
    let benching = body.benching.get().map(|b| {
        let slope = b.slope.get().map(|fall| match fall {
            Fall::Gradient { value, .. } => format!("slope {}", value.in_words()),
            Fall::Drop(m) => format!("slope {}", m.words()),
        });
        let parts = [length("height", &b.height), slope, length("edge", &b.edge)];
        format!("benching: {}", parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
    });
    let said = [
        body.build.get().map(|w| format!("built of {}", w.0)),
        body.cover_size.get().map(|a| format!("cover {}", a.words)),
        body.opening.get().map(|a| format!("opening {}", a.words)),
        yes_no("way in narrowed below the cover", "way in not narrowed", &body.restricted),
        body.fixed.get().map(|w| format!("held down by {}", w.0)),
        body.fixed.is_none().then(|| "cover lies loose".to_owned()),
        yes_no("cover comes off", "cover does not come off", &body.removable),
        yes_no("cover lets air out", "cover lets no air out", &body.ventilated),
        yes_no("airtight", "not airtight", &body.airtight),
        yes_no("indoors", "outdoors", &body.indoors),
        words("over it", &body.traffic),
        words("steps:", &body.steps),
        benching.or_else(|| body.benching.is_none().then(|| "no benching".to_owned())),
        length("concrete round it", &body.surround),
        paving.map(|h| format!("paving at {}", crate::base::doc::words(&crate::pack::words::level(Some(h))))),
        yes_no("shared by several properties", "serves one property", &body.shared),
        body.lies.get().map(|place| format!("lies in: {}", place.word())),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    (!said.is_empty()).then(|| vec![plain(format!("As recorded: {}.", said.join("; ")))])
}

/// How a drain enters the channel of its chamber, as recorded: "turns 30 degrees, three-quarter section".
pub(crate) fn into_channel(pipe: &crate::record::pipework::Pipe) -> Option<String> {
    let turn = pipe.turn.get().map(|count| format!("turns {}\u{a0}degrees", count.0));
    let section = pipe.branch_section.get().map(|s| format!("{} section", s.word()));
    let said: Vec<String> = [turn, section].into_iter().flatten().collect();
    (!said.is_empty()).then(|| said.join(", "))
}
