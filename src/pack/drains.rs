//! Schedule of drains: levels and falls; and what schedules share: columns, verdicts, reasons, bars, keys.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::known::KnownGradient;
use crate::base::units::Gradient;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::along;
use crate::pack::words;
use crate::record::pipework::Pipe;
use crate::record::quantity::Station;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rules::registry;

/// A column of a schedule.
pub(crate) fn column(head: &[&str], mm: f64, align: Align) -> Column {
    Column { head: head.iter().map(|h| (*h).to_owned()).collect(), mm, align }
}

/// Drains: levels and falls.
pub(crate) fn levels(desk: &Desk<'_>) -> Part {
    let rows: Vec<Row> = drains(desk).map(|(leg, item)| level_row(desk, leg, item)).collect();
    if rows.is_empty() {
        return Part::default();
    }
    let columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["from", "to"], 26.0, Align::Left),
        column(&["size", "length"], 25.0, Align::Left),
        column(&["invert up", "invert down"], 22.0, Align::Right),
        column(&["fall"], 28.0, Align::Right),
        column(&["limit"], 16.0, Align::Left),
        column(&["verdict", "clause"], 33.0, Align::Left),
        column(&["see"], 14.0, Align::Left),
    ];
    let schedule = Schedule { summary: "Drains: levels and falls".to_owned(), columns, rows };
    Part { blocks: vec![Block::Schedule(schedule), key()], note: vec![plain(datum(desk))] }
}

fn key() -> Block {
    Block::Key(vec![
        plain("Plain figure: as recorded. "),
        bold("="),
        plain(" computed. "),
        bold("about"),
        plain(": believed, or computed from a belief."),
    ])
}

/// "levels in m above TBM 100.000, ±2 mm (laser-A, RT)".
fn datum(desk: &Desk<'_>) -> String {
    let record = desk.job.record;
    let absolute = record.levels.iter().find(|l| l.body.mark.is.get().is_some_and(|at| at.base.is_none()));
    let above = match absolute {
        Some(l) => {
            let at = l.body.mark.is.get().map_or(String::new(), |at| at.offset.metres(at.decimals));
            format!("levels in m, {} = {at}", l.id)
        }
        None => "no datum in the record; falls need none".to_owned(),
    };
    let usual = &record.usual;
    let kit = usual.kit.get().map(|k| k.0.clone());
    let spread = record.level_spread(None).map(|s| format!("±{}\u{a0}mm", s.millimetres()));
    let by = usual.by.get().map(|b| b.0.clone());
    let with: Vec<String> = [spread, kit, by].into_iter().flatten().collect();
    if with.is_empty() { above } else { format!("{above}; {}", with.join(", ")) }
}

/// Every drain, in the order of the record.
pub(crate) fn drains<'a>(desk: &'a Desk<'a>) -> impl Iterator<Item = (usize, &'a Item<Pipe>)> {
    let record = desk.job.record;
    desk.job
        .network
        .legs
        .iter()
        .enumerate()
        .filter(|(_, leg)| leg.derived.kind == Kind::Drain)
        .filter_map(|(i, leg)| record.pipes.at(leg.pipe).map(|item| (i, item)))
}

/// The rules whose governing verdict stands in the row of a drain's levels.
const LEVEL_RULES: [&str; 4] = ["drain-gradient", "levels-agree", "drain-size", "ground-floor-discharge"];

fn level_row(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Row {
    let network = &desk.job.network;
    let solved = network.solved(leg);
    let gradient = network.gradient(leg);
    let [first, second] = words::fall(gradient, &item.body.fall);
    let derived = network.legs.get(leg).map(|l| &l.derived);
    let stage = item.body.stage_now();
    let what = match stage {
        Stage::Existing => "existing, not judged".to_owned(),
        Stage::Planned => "drain, planned".to_owned(),
        Stage::Temporary => "drain, temporary".to_owned(),
        Stage::Removed => "removed".to_owned(),
        Stage::Installed => "drain".to_owned(),
    };
    let kind = derived.map_or("", |d| d.reason.as_str());
    let judged = desk.finding_of("drain-gradient", &item.id);
    let agrees = desk.finding_of("levels-agree", &item.id);
    let worst = desk.worst_of(&LEVEL_RULES, &item.id).or(judged);
    let cells = vec![
        ends(desk, leg, item),
        vec![size(&item.body), words::measure(&item.body.length)],
        vec![words::level(solved.up), words::level(solved.down)],
        vec![first, second],
        vec![vec![plain(judged.map_or(String::new(), |f| f.limit.clone()))], Line::new()],
        worst.map_or_else(|| vec![vec![plain(what)], vec![soft(kind)]], |f| vec![words::verdict(f), words::clause(f)]),
        vec![desk.see_photo(&item.id)],
    ];
    let mut reasons = remarks(desk, leg, item, gradient);
    reasons.extend([judged, agrees].into_iter().flatten().filter_map(reason));
    reasons.extend(also_missed(
        desk,
        &["drain-size", "no-narrower-downstream", "inverts-at-chamber", "drop-into-chamber"],
        &item.id,
        None,
    ));
    let bar = bar(judged.into_iter().chain(worst));
    Row { id: item.id.clone(), anchor: Some(words::anchor(&item.id)), cells, reasons, bar }
}

/// A verdict over its clause; *not checked* where there is none.
pub(crate) fn verdict_cell(finding: Option<&Finding>) -> Vec<Line> {
    match finding {
        // Advice has no clause that would help a reader here; the findings name its source.
        Some(f) if f.weight == Weight::Advice => vec![words::verdict(f), vec![soft("good practice")]],
        Some(f) => vec![words::verdict(f), words::clause(f)],
        None => vec![vec![soft("not checked")], Line::new()],
    }
}

/// From above to; a join says its place.
pub(crate) fn ends(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>) -> Vec<Line> {
    let network = &desk.job.network;
    let Some(l) = network.legs.get(leg) else { return vec![Line::new(), Line::new()] };
    let end = |end: End, field: &crate::record::value::Field<crate::record::words::Ref>| match end {
        End::Pipe(p) if network.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack) => {
            format!("{} foot", network.end_id(end))
        }
        End::Unknown => "unknown".to_owned(),
        End::Absent => field.get().map_or("not recorded".to_owned(), |r| r.0.clone()),
        _ => network.end_id(end).to_owned(),
    };
    let mut to = end(l.ends.to, &item.body.to);
    if let Some(Station::Along { distance, up, .. }) = item.body.at.get() {
        to = format!("{to} ({} {})", distance.words(), if *up { "up" } else { "down" });
    }
    vec![vec![plain(end(l.ends.from, &item.body.from))], vec![plain(to)]]
}

/// Size and material.
pub(crate) fn size(pipe: &Pipe) -> Line {
    let size = pipe.size.get().map_or("unknown".to_owned(), |s| words::known(&s.label, pipe.size.how));
    let material = pipe.material.get().map_or(String::new(), |m| format!(" {}", m.0));
    vec![plain(format!("{size}{material}"))]
}

fn remarks(desk: &Desk<'_>, leg: usize, item: &Item<Pipe>, gradient: Option<KnownGradient>) -> Vec<Line> {
    let network = &desk.job.network;
    let mut all: Vec<Line> = Vec::new();
    if let Some(derived) = network.legs.get(leg).map(|l| &l.derived)
        && let Some(typed) = derived.contrary
    {
        all.push(vec![
            bold(format!("The record calls it a {}, ", typed.word())),
            plain(format!("but it is a {}, since {}.", derived.kind.words(), derived.reason)),
        ]);
    }
    if let Some(spread) = gradient.and_then(|g| spread(&g)) {
        all.push(vec![plain(spread)]);
    }
    // Of a drain that comes into a chamber it stands in the row of that.
    if !network.legs.get(leg).is_some_and(|l| matches!(l.ends.to, End::Access(_))) {
        let words = crate::pack::access::into_channel(&item.body);
        all.extend(words.map(|words| vec![plain(format!("In the channel of its chamber: {words}."))]));
    }
    if let Some(join) = network.legs.get(leg).and_then(|l| l.join)
        && item.body.at.get().is_some()
    {
        let by = if join.by_default { ", as is usual for such an entry" } else { "" };
        all.push(vec![plain(format!(
            "Joins {} at {}, {} meeting {}{by}.",
            network.id(join.receiver),
            join_level(desk, leg),
            join.meets.word(),
            join.meets.word()
        ))]);
    }
    all.extend(along::remarks(desk, leg, item));
    for misfit in network.levels.misfits.iter().filter(|m| m.leg == leg) {
        let (by, half) = (misfit.by.abs().millimetres(), misfit.half.millimetres());
        all.push(vec![
            bold(format!("Two ways of reckoning differ by {by}\u{a0}mm")),
            plain(format!("; the readings allow {half}\u{a0}mm. One of the levels, lengths or falls is not so.")),
        ]);
    }
    if item.body.stage_now() != Stage::Existing
        && let Some(gap) = desk.gaps.iter().find(|g| g.legs.contains(&leg))
    {
        all.push(vec![plain(format!("Levels settled by: {}.", gap.needs))]);
    }
    all
}

fn join_level(desk: &Desk<'_>, leg: usize) -> String {
    let down = desk.job.network.solved(leg).down;
    down.map_or("a level not known".to_owned(), |h| crate::base::doc::words(&words::level(Some(h))))
}

/// "±4 mm puts the fall between 1 in 78 and 1 in 82", where the readings open it by a whole unit of n.
fn spread(g: &KnownGradient) -> Option<String> {
    let n = |g: Gradient| g.n(0);
    let (steep, flat) = (n(g.steepest)?, n(g.flattest)?);
    let told = g.how != How::Believed && steep != flat;
    let words = format!("The readings put the fall between 1 in {steep} and 1 in {flat}.");
    told.then(|| words.replace("1 in ", "1\u{a0}in\u{a0}"))
}

/// A verdict over what was found, in two lines.
pub(crate) fn judged(finding: Option<&Finding>) -> Vec<Line> {
    match finding {
        None => vec![vec![soft("not checked")], Line::new()],
        Some(f) => {
            let limit = if f.limit.is_empty() { String::new() } else { format!("; {}", f.limit) };
            let found = if f.measured.is_empty() { String::new() } else { format!("{}{limit}", f.measured) };
            vec![words::verdict(f), vec![plain(found)]]
        }
    }
}

/// The line under a row for a finding that is open or turns inside its spread.
pub(crate) fn reason(finding: &Finding) -> Option<Line> {
    let settle = finding.remedy.as_ref().map(|r| r.text.clone()).unwrap_or_default();
    match finding.verdict {
        Verdict::NotMet => {
            let mut line = vec![bold(words::sentence(&finding.text))];
            if !settle.is_empty() {
                line.push(plain(format!(" Proposed: {settle}.")));
            }
            Some(line)
        }
        Verdict::NotShown if finding.text.ends_with(&settle) => Some(vec![plain(format!("Settled by: {settle}."))]),
        Verdict::NotShown => Some(vec![plain(format!("{} Settled by: {settle}.", words::sentence(&finding.text)))]),
        Verdict::Met if finding.inside_spread => {
            Some(vec![plain("The verdict turns inside the spread of the reading.")])
        }
        Verdict::Met | Verdict::NotApplicable => None,
    }
}

/// A line for each further rule of a row that is not met: the row's verdict is one, what it misses may be more.
pub(crate) fn also_missed(desk: &Desk<'_>, rules: &[&str], item: &str, governing: Option<&Finding>) -> Vec<Line> {
    let found = rules.iter().filter_map(|rule| desk.finding_of(rule, item));
    let more = found.filter(|f| f.verdict == Verdict::NotMet && governing.is_none_or(|g| g.rule != f.rule));
    let line = |f: &Finding| {
        let title = registry::rule(f.rule.0).map_or("", |rule| rule.title);
        let number = format!("Also not met. {title}: {}; limit {}. ", f.measured, f.limit);
        vec![bold(number), plain(words::sentence(&f.text))]
    };
    more.map(line).collect()
}

/// The margin bar of a row: solid for not met, hollow for anything not shown.
pub(crate) fn bar<'f>(findings: impl Iterator<Item = &'f Finding>) -> Bar {
    let worst = findings.filter(|f| f.replaced_by.is_none()).map(|f| f.verdict).min();
    match worst {
        Some(Verdict::NotMet) => Bar::Solid,
        Some(Verdict::NotShown) => Bar::Hollow,
        _ => Bar::None,
    }
}

/// The key of the verdicts' shapes.
pub(crate) fn verdict_key() -> Block {
    use crate::base::doc::Run;
    use crate::base::doc::Shape;
    Block::Key(vec![
        Run::Shape(Shape::Disc),
        plain(" met   "),
        Run::Shape(Shape::HalfDisc),
        plain(" met, but the verdict turns inside the reading\u{2019}s spread   "),
        Run::Shape(Shape::Ring),
        plain(" not shown   "),
        Run::Shape(Shape::Triangle),
        plain(" "),
        bold("not met"),
        plain("   Not checked: there is no rule for it yet; the basis page says so clause by clause."),
    ])
}
