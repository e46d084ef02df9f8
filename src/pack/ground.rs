//! Schedules of the ground: bed, trench and concrete of each drain; trenches beside foundations; volumes.

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
use crate::compute::foundations::Beside;
use crate::compute::trenches::Trench;
use crate::compute::trenches::Volumes;
use crate::compute::trenches::bulking;
use crate::pack::Desk;
use crate::pack::drains::column;
use crate::pack::recorded::bare;
use crate::pack::words;
use crate::record::ground::Bed;
use crate::record::item::ItemKind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;

/// What a drain's item says of the ground that stands in no column.
const TOLD: [&str; 9] =
    ["standard", "outside", "trench-width", "protection", "designed", "settlement", "laid", "tape", "greatest-cover"];

/// What its bed says that stands in no column.
const OF_BED: [&str; 9] =
    ["class", "sides", "selected-fill", "fill", "sockets", "concrete", "concrete-to", "joints", "note"];

/// What a branch's item says that stands in no column.
const OF_BRANCH: [&str; 7] = ["standard", "entry", "meets", "how", "bends", "short-of-space", "designed"];

/// What a branch's record says of its way and its junctions, in its own words.
pub(crate) fn of_branch(desk: &Desk<'_>, item: &Item<Pipe>) -> Option<Line> {
    let said = item.body.said();
    let own = said.iter().filter(|(key, _)| OF_BRANCH.contains(key));
    let all: Vec<String> =
        own.map(|(key, span)| format!("{} {}", key.replace('-', " "), bare(&desk.as_written(*span)))).collect();
    (!all.is_empty()).then(|| vec![plain(format!("As recorded: {}.", all.join("; ")))])
}

/// Everything that a drain's record says of bed, trench and protection, in its own words.
pub(crate) fn told(desk: &Desk<'_>, item: &Item<Pipe>) -> Option<Line> {
    let written = |(key, span): &(&str, crate::base::span::Span)| {
        let text = desk.as_written(*span);
        format!("{} {}", key.replace('-', " "), bare(&text))
    };
    let own = item.body.said();
    let own = own.iter().filter(|(key, _)| TOLD.contains(key)).map(written);
    let bed = match item.body.bed.get() {
        Some(Bed::Is(spec)) => spec.said(),
        Some(Bed::As(_)) | None => Vec::new(),
    };
    let bed = bed.iter().filter(|(key, _)| OF_BED.contains(key)).map(written);
    let all: Vec<String> = bed.chain(own).collect();
    (!all.is_empty()).then(|| vec![plain(format!("As recorded: {}.", all.join("; ")))])
}

fn head(title: &str) -> Block {
    Block::Heading(Heading { level: 3, text: vec![plain(title)], ..Heading::default() })
}

fn metres(length: Option<Known<Length>>, decimals: u32) -> Line {
    let Some(length) = length else { return vec![plain("not known")] };
    let figure = length.value.metres(decimals);
    vec![plain(if length.believed() { format!("about\u{a0}{figure}") } else { format!("=\u{202f}{figure}") })]
}

/// Trenches beside foundations: how far up each is to be concreted; nothing when no drain is near one.
pub(crate) fn foundations(desk: &Desk<'_>) -> Vec<Block> {
    let all = &desk.job.computed.beside;
    if all.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        column(&["drain"], 14.0, Align::Left),
        column(&["foundation of"], 24.0, Align::Left),
        column(&["clear of it, m"], 20.0, Align::Right),
        column(&["its underside"], 24.0, Align::Right),
        column(&["trench bottom"], 24.0, Align::Right),
        column(&["firm up to"], 24.0, Align::Right),
        column(&["concreted to", "as recorded"], 24.0, Align::Right),
        column(&["concrete", "m deep"], 22.0, Align::Right),
    ];
    let rows = all.iter().map(|beside| foundation_row(desk, beside)).collect();
    let schedule = Schedule { summary: "Trenches beside foundations".to_owned(), columns, rows };
    let key = "The trench bottom is the lowest invert less the wall of the pipe and its bed. Firm up to: the underside \
               of the foundation when the trench is up to 1 m clear of it, 1 m included; farther off lower by the \
               distance less 150 mm. Concrete: from the trench bottom up to there; 0.00 where the ground itself \
               reaches it.";
    vec![head("Trenches beside foundations"), Block::Schedule(schedule), Block::Key(vec![plain(key)])]
}

fn foundation_row(desk: &Desk<'_>, beside: &Beside) -> Row {
    let away = if beside.through { vec![plain("through it")] } else { metres(beside.away, 2) };
    let recorded = if beside.recorded.is_some() { words::level(beside.recorded) } else { vec![plain("nothing")] };
    let cells = vec![
        vec![words::mention(&beside.element)],
        vec![away],
        vec![words::level(beside.footing)],
        vec![words::level(beside.bottom)],
        vec![words::level(beside.required)],
        vec![recorded],
        vec![metres(beside.concrete, 2)],
    ];
    Row { id: desk.job.network.id(beside.leg).to_owned(), cells, ..Row::default() }
}

/// Volumes of the trenches of new drains, each and in all.
pub(crate) fn volumes(desk: &Desk<'_>) -> Vec<Block> {
    let all = &desk.job.computed.trenches;
    if all.is_empty() {
        return Vec::new();
    }
    let mut rows: Vec<Row> = all.iter().map(|trench| volume_row(desk, trench)).collect();
    let known = all.iter().filter_map(|trench| trench.volumes);
    let total = known.clone().fold(Volumes::default(), |sum, one| sum + one);
    let count = known.count();
    if count > 0 {
        let what = if count == all.len() { "in all".to_owned() } else { format!("in all, of {count} drains") };
        let mut cells = vec![vec![vec![bold(what)]], vec![Line::new()], vec![Line::new()], vec![Line::new()]];
        let about = all.iter().any(|t| t.volumes.is_some() && t.depth.is_some_and(|depth| depth.believed()));
        cells.extend(cubic(Some(total), about));
        rows.push(Row { cells, ..Row::default() });
    }
    let schedule = Schedule { summary: "Quantities: Trenches".to_owned(), columns: volume_columns(), rows };
    let key = volume_key(desk);
    vec![head("Trenches, in m³"), Block::Schedule(schedule), Block::Key(vec![plain(key)])]
}

fn volume_columns() -> Vec<Column> {
    let figure = |name: &str| column(&[name], 19.0, Align::Right);
    let mut columns = vec![
        column(&["drain"], 14.0, Align::Left),
        column(&["length, m"], 22.0, Align::Right),
        column(&["width, m", "by BS EN 1610"], 26.0, Align::Right),
        column(&["mean depth, m"], 19.0, Align::Right),
    ];
    columns.extend(["dug", "bed", "surround", "backfill", "led away"].map(figure));
    columns
}

fn volume_row(desk: &Desk<'_>, trench: &Trench) -> Row {
    let width = trench.width.map_or("not known".to_owned(), |w| {
        if trench.usual { format!("=\u{202f}{}", w.metres(2)) } else { w.metres(2) }
    });
    let standard = trench.standard.map_or(String::new(), |w| format!("at least\u{a0}{}", w.metres(2)));
    let mut cells = vec![
        vec![metres(trench.length, 2)],
        vec![vec![plain(width)], vec![plain(standard)]],
        vec![metres(trench.depth, 2)],
    ];
    cells.extend(cubic(trench.volumes, trench.depth.is_some_and(|depth| depth.believed())));
    let wants = || vec![plain(format!("Settled by: {}.", crate::base::text::list(&trench.wants, "and")))];
    let reasons = if trench.volumes.is_none() { vec![wants()] } else { Vec::new() };
    Row { id: desk.job.network.id(trench.leg).to_owned(), cells, reasons, ..Row::default() }
}

/// The volumes, with `about` before those that hang on a depth that is only believed.
fn cubic(volumes: Option<Volumes>, about: bool) -> Vec<Vec<Line>> {
    let before = if about { "about\u{a0}" } else { "" };
    let figure = |v: f64| vec![vec![plain(format!("{before}{v:.2}"))]];
    match volumes {
        Some(v) => [v.dug, v.bed, v.surround, v.backfill, v.spoil].map(figure).to_vec(),
        None => vec![vec![vec![plain("not known")]]; 5],
    }
}

fn volume_key(desk: &Desk<'_>) -> String {
    let share = bulking(desk.job.rulebook) * 100.0;
    format!(
        "Straight-sided, from centre to centre, what chambers take not counted. Width as recorded; = the pipe and 150 mm \
         at each side, the usual width, under it the least by BS EN 1610. Mean depth: of the two ends, else of least and \
         greatest cover. Dug: length by width by depth. Bed: under the pipe. Surround: stone beside and over it, less the \
         pipe. Backfill: dug ground put back. Led away: the rest, {share:.0}\u{a0}% more in bulk once it is loose \
         (common practice, no source)."
    )
}
