//! Schedules of new drains: what they lie in and how they are got at; what shows that they are tight, breathe and were
//! seen before they were covered.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::finding::Finding;
use crate::pack::Desk;
use crate::pack::Part;
use crate::pack::drains::bar;
use crate::pack::drains::column;
use crate::pack::drains::drains;
use crate::pack::drains::judged;
use crate::pack::drains::reason;
use crate::pack::drains::verdict_key;
use crate::pack::ground;
use crate::pack::trail;
use crate::record::ground::Bed;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;

/// A column of verdicts: its head, and the rules of which the governing one stands in it.
type Judged = (&'static str, &'static [&'static str]);

/// What a drain lies in and beside. A column of which no rule speaks is left out.
const LAID: [Judged; 3] = [
    ("cover over it", &["cover-over-drain"]),
    ("beside a foundation", &["trench-by-foundation"]),
    ("through a wall", &["drain-through-wall"]),
];

/// How it is bedded, and what its trench is.
const BEDDED: [Judged; 4] = [
    ("bed and surround", &["bed-and-surround"]),
    ("under a building", &["drain-under-building"]),
    ("joints in concrete", &["concrete-movement-joints"]),
    ("room in the trench", &["trench-width"]),
];

/// How it is got at, and how it breathes.
const REACHED: [Judged; 3] = [
    ("to the next access point", &["access-spacing"]),
    ("rods come into it", &["rod-reach"]),
    ("air at the head", &["drain-ventilated-at-its-head", "open-vent-where-drain-surcharges"]),
];

/// What shows that it is as it should be.
const SHOWN: [Judged; 3] = [
    ("joins another", &["junction-with-the-flow"]),
    ("tight", &["drain-tightness"]),
    ("photo before cover", &["photographed-before-cover"]),
];

/// Drains: bed, cover and ground.
pub(crate) fn laid(desk: &Desk<'_>) -> Part {
    let bed_column = (column(&["bed and surround"], 37.0, Align::Left), bed as fn(&Pipe) -> Vec<Line>);
    let mut laid = part(desk, "Drains: bed, cover, ground", Some(bed_column), &LAID, |_, _, _| None);
    let bedded =
        part(desk, "Drains: bed, trench and concrete", None, &BEDDED, |desk, _, item| ground::told(desk, item));
    // The key of the verdicts stands under the last schedule of them.
    if !bedded.blocks.is_empty() {
        laid.blocks.pop();
    }
    laid.blocks.extend(bedded.blocks);
    laid.blocks.extend(ground::foundations(desk));
    laid
}

/// Drains: access and air.
pub(crate) fn reached(desk: &Desk<'_>) -> Part {
    part(desk, "Drains: access and air", None, &REACHED, |_, _, _| None)
}

/// Drains: tightness and photo.
pub(crate) fn shown(desk: &Desk<'_>) -> Part {
    part(desk, "Drains: tightness and photo", None, &SHOWN, trail::of_pipe)
}

type Told = (Column, fn(&Pipe) -> Vec<Line>);

/// What is said of a drain under its row.
type Note = fn(&Desk<'_>, usize, &Item<Pipe>) -> Option<Line>;

fn part(desk: &Desk<'_>, summary: &str, told: Option<Told>, all: &[Judged], note: Note) -> Part {
    let new = |item: &Item<Pipe>| !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    let items: Vec<(usize, &Item<Pipe>)> = drains(desk).filter(|(_, item)| new(item)).collect();
    if items.is_empty() {
        return Part::default();
    }
    let spoken = |(_, rules): &&Judged| items.iter().any(|(_, item)| desk.worst_of(rules, &item.id).is_some());
    let judged: Vec<&Judged> = all.iter().filter(spoken).collect();
    let mut columns = vec![column(&["id"], 12.0, Align::Left)];
    columns.extend(told.iter().map(|(column, _)| column.clone()));
    let left = 176.0 - columns.iter().map(|c| c.mm).sum::<f64>();
    let each = left / judged.len().max(1) as f64;
    columns.extend(judged.iter().map(|(head, _)| column(&[head], each, Align::Left)));
    if judged.is_empty()
        && let Some(last) = columns.last_mut()
    {
        last.mm += left;
    }
    let rows = items.iter().map(|(leg, item)| {
        let mut row = row(desk, item, told.as_ref(), &judged);
        row.reasons.extend(note(desk, *leg, item));
        row
    });
    let rows = rows.collect();
    if columns.len() < 2 {
        return Part::default();
    }
    let schedule = Schedule { summary: summary.to_owned(), columns, rows };
    let note = vec![plain("new drains; existing ones are not judged")];
    Part { blocks: vec![Block::Schedule(schedule), verdict_key()], note }
}

fn row(desk: &Desk<'_>, item: &Item<Pipe>, told: Option<&Told>, columns: &[&Judged]) -> Row {
    let found: Vec<Option<&Finding>> = columns.iter().map(|(_, rules)| desk.worst_of(rules, &item.id)).collect();
    let mut cells: Vec<Vec<Line>> = told.map(|(_, cell)| cell(&item.body)).into_iter().collect();
    // A column stands only where its rule speaks of some drain; of the others it asks nothing.
    let silent = || vec![vec![soft("does not apply")], Line::new()];
    cells.extend(found.iter().map(|f| if f.is_some() { judged(*f) } else { silent() }));
    let reasons = found.iter().flatten().filter_map(|f| reason(f)).collect();
    Row { id: item.id.clone(), anchor: None, cells, reasons, bar: bar(found.iter().flatten().copied()) }
}

fn bed(pipe: &Pipe) -> Vec<Line> {
    match pipe.bed.get() {
        Some(Bed::As(id)) => vec![vec![plain(format!("as {id}"))], Line::new()],
        Some(Bed::Is(spec)) => {
            let part = |name: &str, f: &crate::record::value::Field<crate::record::quantity::Measure>| {
                f.get().map(|m| format!("{} {name}", m.words()))
            };
            let stone = part("stone", &spec.stone).or_else(|| spec.concrete.get().map(|c| c.0.clone()));
            let round: Vec<String> =
                [part("under", &spec.under), part("over", &spec.over)].into_iter().flatten().collect();
            vec![vec![plain(stone.unwrap_or_default())], vec![plain(round.join(", "))]]
        }
        None => vec![vec![plain("not recorded")], Line::new()],
    }
}
