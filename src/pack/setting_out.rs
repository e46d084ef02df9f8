//! Setting out: what somebody on site marks and packs, with a spirit level for branches and a laser or a line for drains.

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
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::units::Length;
use crate::compute::setting_out::Mark;
use crate::compute::setting_out::SettingOut;
use crate::compute::setting_out::packer;
use crate::network::kind::Kind;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::column;
use crate::pack::drains::ends;
use crate::pack::drains::size;
use crate::pack::words;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;

/// Lengths of the levels that packers are told for.
const LEVELS: [Length; 2] = [Length::from_mm(600), Length::from_mm(1200)];
/// Most marks of a branch on one row.
const MARKS_A_ROW: usize = 7;

/// Branches: fall a metre, packer under a level, and the marks at the brackets.
pub(crate) fn branches(desk: &Desk<'_>) -> Part {
    let all: Vec<_> = of_kind(desk, |kind| matches!(kind, Kind::Branch | Kind::CommonBranch)).collect();
    if all.is_empty() {
        return Part::default();
    }
    let marks = all.iter().map(|(one, _)| one.marks.len()).max().unwrap_or(0).min(MARKS_A_ROW);
    let mut columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["size", "length"], 27.0, Align::Left),
        column(&["fall,", "mm/m"], 18.0, Align::Right),
        column(&["packer, mm", "600, 1200 level"], 24.0, Align::Right),
        column(&["brackets,", "every mm"], 18.0, Align::Right),
    ];
    let each = 77.0 / marks.max(1) as f64;
    columns.extend((1..=marks).map(|n| Column { head: mark_head(n), mm: each, align: Align::Right }));
    let rows = all.iter().flat_map(|(one, item)| branch_rows(desk, one, item, marks)).collect();
    let schedule = Schedule { summary: "Setting out of branches".to_owned(), columns, rows };
    let note = vec![plain("marks in mm: along the barrel from the upper end, over how far down from it")];
    Part { blocks: vec![Block::Schedule(schedule), branch_key(desk)], note }
}

fn mark_head(n: usize) -> Vec<String> {
    vec!["mark".to_owned(), format!("{n}, mm")]
}

fn branch_key(desk: &Desk<'_>) -> Block {
    let recalled = desk.job.computed.supports.iter().flatten().any(|s| s.recalled);
    let mut line = vec![plain(
        "The same line of the pipe at every mark, such as the underside of its barrel. A level is packed up by the \
             packer at its lower end. Brackets stand at every mark but the last, the lower end, which the entry holds. \
             Spacing by size and series, after BS 5572 and makers\u{2019} tables; the maker\u{2019}s own figure governs",
    )];
    if recalled {
        line.push(plain("; some of it "));
        line.push(crate::base::doc::italic("recalled"));
    }
    line.push(plain("."));
    Block::Key(line)
}

fn of_kind<'a>(
    desk: &'a Desk<'_>,
    wanted: impl Fn(Kind) -> bool + 'a,
) -> impl Iterator<Item = (&'a SettingOut, &'a Item<Pipe>)> {
    desk.job.computed.setting_out.iter().filter_map(move |one| {
        let leg = desk.job.network.legs.get(one.leg).filter(|l| wanted(l.derived.kind))?;
        desk.job.record.pipes.at(leg.pipe).map(|item| (one, item))
    })
}

/// The row of a branch; its marks run on in rows of their own where one does not hold them.
fn branch_rows(desk: &Desk<'_>, one: &SettingOut, item: &Item<Pipe>, columns: usize) -> Vec<Row> {
    let mut chunks = one.marks.chunks(columns.max(1));
    let first = chunks.next().unwrap_or(&[]);
    let mut cells = vec![vec![size(&item.body), words::measure(&item.body.length)]];
    cells.extend([vec![per_metre(one)], packers(one), brackets(desk, one)]);
    cells.extend(mark_cells(first, columns));
    let reasons = reasons(desk, one, item);
    let mut rows = vec![Row { id: item.id.clone(), anchor: None, cells, reasons, bar: Bar::None }];
    rows.extend(chunks.map(|chunk| {
        let mut cells = vec![vec![vec![soft("marks, continued")]]];
        cells.extend([vec![Line::new()], vec![Line::new()], vec![Line::new()]]);
        cells.extend(mark_cells(chunk, columns));
        Row { cells, ..Row::default() }
    }));
    rows
}

fn mark_cells(marks: &[Mark], columns: usize) -> Vec<Vec<Line>> {
    let cell = |mark: &Mark| vec![vec![plain(mark.at.millimetres())], vec![plain(mark.down.millimetres())]];
    let filled = marks.iter().map(cell);
    filled.chain(std::iter::repeat(vec![Line::new()])).take(columns).collect()
}

fn per_metre(one: &SettingOut) -> Line {
    let Some(g) = one.gradient else { return vec![plain("not known")] };
    let value = g.value.mm_per_m();
    vec![plain(if g.how == How::Believed { format!("about\u{a0}{value}") } else { value })]
}

fn packers(one: &SettingOut) -> Vec<Line> {
    let Some(g) = one.gradient else { return vec![Line::new()] };
    LEVELS.map(|level| vec![plain(format!("=\u{202f}{}", packer(&g, level).millimetres()))]).to_vec()
}

fn brackets(desk: &Desk<'_>, one: &SettingOut) -> Vec<Line> {
    let Some(support) = desk.job.computed.supports.get(one.leg).copied().flatten() else {
        return vec![vec![plain("by its maker")]];
    };
    let count = support.brackets.map_or("not known".to_owned(), |n| format!("=\u{202f}{n}"));
    vec![vec![plain(count)], vec![plain(support.spacing.millimetres())]]
}

/// What is to be known of the numbers above, and what lacks where there are none.
fn reasons(desk: &Desk<'_>, one: &SettingOut, item: &Item<Pipe>) -> Vec<Line> {
    let mut all = Vec::new();
    if one.marks.is_empty() {
        let mut lacks = Vec::new();
        if item.body.length.get().is_none() {
            lacks.push(format!("pipes.{}.length", item.id));
        }
        if desk.job.network.fall(one.leg).is_none() {
            lacks.push(format!("pipes.{}.fall", item.id));
        }
        if !lacks.is_empty() {
            all.push(vec![plain(format!("No marks. Settled by: {}.", lacks.join(" and ")))]);
        }
    } else if desk.job.network.fall(one.leg).is_some_and(|d| d.believed()) {
        all.push(vec![bold("The fall is believed"), plain(", and so is every mark made from it.")]);
    }
    if one.stride > 1 {
        all.push(vec![plain(format!("Marked at every {}th only: it is long.", one.stride))]);
    }
    all
}

/// Drains: a row for every metre, with the invert, and its depth under the laser and under the covers.
pub(crate) fn drains(desk: &Desk<'_>) -> Part {
    let all: Vec<_> = of_kind(desk, |kind| kind == Kind::Drain).collect();
    if all.is_empty() {
        return Part::default();
    }
    let planes: Vec<&str> = all.iter().filter_map(|(one, _)| one.plane.as_deref()).collect();
    let has_cover = all.iter().any(|(one, _)| one.marks.iter().any(|m| m.below_cover.is_some()));
    let has_invert =
        all.iter().any(|(one, _)| one.marks.iter().any(|m| m.invert.is_some_and(|i| i.absolute().is_some())));
    let shown = Shown { invert: has_invert, plane: !planes.is_empty(), cover: has_cover };
    let rows = all.iter().flat_map(|(one, item)| drain_rows(desk, one, item, shown)).collect();
    let schedule =
        Schedule { summary: "Setting out of drains".to_owned(), columns: drain_columns(&planes, shown), rows };
    Part {
        blocks: vec![Block::Schedule(schedule), drain_key(shown)],
        note: vec![plain("all figures computed; to the invert")],
    }
}

/// Which of the columns that hang on levels have anything in them.
#[derive(Clone, Copy)]
struct Shown {
    invert: bool,
    plane: bool,
    cover: bool,
}

fn drain_columns(planes: &[&str], shown: Shown) -> Vec<Column> {
    let same = planes.first().copied().filter(|first| planes.iter().all(|p| p == first));
    let below = same.map_or("below the plane, m".to_owned(), |name| format!("below {name}, m"));
    let mut columns = vec![
        column(&["id"], 12.0, Align::Left),
        column(&["size, length", "place"], 38.0, Align::Left),
        column(&["from upper", "end, m"], 22.0, Align::Right),
        column(&["down, mm"], 20.0, Align::Right),
    ];
    let levels = [
        (shown.invert, vec!["invert, m".to_owned()]),
        (shown.plane, vec![below]),
        (shown.cover, vec!["below the".to_owned(), "covers, m".to_owned()]),
    ];
    let kept: Vec<Vec<String>> = levels.into_iter().filter(|(is_shown, _)| *is_shown).map(|(_, head)| head).collect();
    let each = 84.0 / kept.len().max(1) as f64;
    columns.extend(kept.iter().map(|head| Column { head: head.clone(), mm: each, align: Align::Right }));
    if kept.is_empty()
        && let Some(last) = columns.last_mut()
    {
        last.mm += 84.0;
    }
    columns
}

fn drain_key(shown: Shown) -> Block {
    let mut text = String::from("Down: from the invert at the upper end. ");
    if shown.plane {
        text.push_str(
            "Below the plane of light: what a staff on the invert reads, the instrument set up as on that day. ",
        );
    }
    if shown.cover {
        text.push_str(
            "Below the covers: from a line between the covers at both ends, or level from the one cover there is. ",
        );
    }
    Block::Key(vec![plain(text.trim_end().to_owned())])
}

fn drain_rows(desk: &Desk<'_>, one: &SettingOut, item: &Item<Pipe>, shown: Shown) -> Vec<Row> {
    let mut head = size(&item.body);
    head.push(plain(", "));
    head.extend(words::measure(&item.body.length));
    let reasons = reasons(desk, one, item);
    let count = one.marks.len();
    let names = ends(desk, one.leg, item);
    let mut rows: Vec<Row> = Vec::new();
    for (i, mark) in one.marks.iter().enumerate() {
        let name = match (i, mark.joins) {
            (_, Some(leg)) => vec![plain(format!("{} joins", desk.job.network.id(leg)))],
            (0, None) => names.first().cloned().unwrap_or_default(),
            (i, None) if i + 1 == count => names.get(1).cloned().unwrap_or_default(),
            _ => Line::new(),
        };
        let place = if i == 0 { vec![head.clone(), name] } else { vec![name] };
        // Its first line is the pipe's own; the numbers of its upper end stand beside the second.
        let lead = usize::from(i == 0);
        let mut cells = vec![place];
        cells.extend(numbers(mark, shown).into_iter().map(|n| [vec![Line::new(); lead], vec![n]].concat()));
        let id = if i == 0 { item.id.clone() } else { String::new() };
        rows.push(Row { id, cells, ..Row::default() });
    }
    if rows.is_empty() {
        let blanks = 2 + [shown.invert, shown.plane, shown.cover].iter().filter(|s| **s).count();
        let mut cells = vec![vec![head]];
        cells.extend(vec![vec![Line::new()]; blanks]);
        rows.push(Row { id: item.id.clone(), cells, ..Row::default() });
    }
    if let Some(last) = rows.last_mut() {
        last.reasons = reasons;
    }
    rows
}

fn numbers(mark: &Mark, shown: Shown) -> Vec<Line> {
    let depth = |d: Option<Known<Length>>| d.map_or("not known".to_owned(), |d| about(d.how, d.value.metres(3)));
    let mut all = vec![vec![plain(mark.at.metres(2))], vec![plain(mark.down.millimetres())]];
    if shown.invert {
        let level = mark.invert.and_then(|i| i.absolute().map(|l| about(i.how, l.metres(3))));
        all.push(vec![plain(level.unwrap_or_else(|| "not known".to_owned()))]);
    }
    if shown.plane {
        all.push(vec![plain(depth(mark.below_plane))]);
    }
    if shown.cover {
        all.push(vec![plain(mark.below_cover.map_or("no cover".to_owned(), |d| about(d.how, d.value.metres(3))))]);
    }
    all
}

fn about(how: How, figure: String) -> String {
    if how == How::Believed { format!("about\u{a0}{figure}") } else { figure }
}
