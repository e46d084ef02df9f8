//! The strip under a section: a column a point, a cell a pipe; columns move apart where values would meet.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Pen;
use crate::base::known::How;
use crate::base::known::KnownGradient;
use crate::base::units::Length;
use crate::network::Network;
use crate::pack::figure::layout::Frame;
use crate::pack::figure::layout::LEFT;
use crate::pack::figure::layout::Part;
use crate::pack::figure::model::Piece;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::model::PointKind;
use crate::pack::figure::model::Section;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::sheet::WIDTH;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;
use crate::pack::figure::words::STEP;
use crate::record::ground::Bed;
use crate::record::words::Stage;

/// Height of a row with one line.
const ROW: f64 = 5.2;
/// The least width of a pipe's cell.
const CELL: f64 = 20.0;
/// Where the columns end.
const RIGHT: f64 = 169.4;
/// What stands where nothing can.
const NOTHING: &str = "\u{2013}";

/// Which side of its ordinate a point's values stand on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Right,
    Left,
}

/// Columns of a strip.
struct Columns {
    /// Where each ordinate comes down into the strip.
    xs: Vec<f64>,
    sides: Vec<Side>,
    /// Values are turned, since they do not fit side by side.
    turned: bool,
}

/// Draws the strip under a section's base line; says where it ends.
pub(super) fn draw(net: &Network<'_>, section: &Section, part: &Part, frame: &Frame, sheet: &mut Sheet) -> f64 {
    let points = crate::pack::figure::layout::points_of(section, &part.pieces);
    let values: Vec<Vec<String>> = points.iter().map(|p| values(section, p)).collect();
    let true_xs: Vec<f64> = points.iter().map(|p| frame.x(section, p)).collect();
    let nodes: Vec<bool> = points.iter().enumerate().map(|(i, p)| is_node(p, i, points.len())).collect();
    let rows: Vec<Vec<f64>> = values.iter().map(|v| row_widths(v)).collect();
    let columns = columns(&true_xs, &rows, &nodes);
    let top = knees(sheet, frame.y_base, &true_xs, &columns.xs);
    let below = point_rows(sheet, top, &values, &columns);
    let ends: Vec<f64> = columns.xs.iter().zip(&nodes).filter(|(_, n)| **n).map(|(x, _)| *x).collect();
    pipe_rows(net, section, part, sheet, below, &ends)
}

fn is_node(point: &PointAt, i: usize, count: usize) -> bool {
    i == 0 || i + 1 == count || point.along == Length::ZERO
}

/// Widths of a column's values, row by row.
fn row_widths(values: &[String]) -> Vec<f64> {
    values.iter().enumerate().map(|(row, v)| words::width(v, row == 0, SIZE)).collect()
}

fn widest(rows: &[f64]) -> f64 {
    rows.iter().copied().fold(0.0, f64::max)
}

/// Names of the rows of points.
const POINT_ROWS: [&str; 8] =
    ["Point", "Chainage, m", "Floor, cover", "IL in", "IL out", "Soffit in", "Soffit out", "Depth, m"];

/// A point's values, its name first.
fn values(section: &Section, p: &PointAt) -> Vec<String> {
    let join = matches!(p.kind, PointKind::Join(_)) && p.along > Length::ZERO;
    let tag = words::tag(&p.id);
    let name = match (p.kind, p.stage) {
        (PointKind::Join(_), _) if join => format!("{tag} joins"),
        (PointKind::Open, _) => "end".to_owned(),
        (PointKind::Knee, _) => "fall changes".to_owned(),
        (_, Stage::Existing) => format!("{tag} (existing)"),
        (_, Stage::Planned) => format!("{tag} (planned)"),
        (_, Stage::Temporary) => format!("{tag} (temporary)"),
        (_, Stage::Installed | Stage::Removed) => tag,
    };
    let unless = |there: bool, told: Option<String>| match (there, told) {
        (_, Some(told)) => told,
        (true, None) => "unknown".to_owned(),
        (false, None) => NOTHING.to_owned(),
    };
    let has_surface = matches!(p.kind, PointKind::Foot(_) | PointKind::Appliance(_) | PointKind::Chamber(_));
    let chainage = p.chainage.map(|c| words::about(c.how, c.value.metres(2)));
    vec![
        name,
        unless(true, chainage),
        unless(has_surface, p.surface.map(|s| section.shown(s))),
        unless(p.arrives, p.il_in.map(|l| section.shown(l))),
        unless(p.leaves, p.il_out.map(|l| section.shown(l))),
        unless(p.arrives, p.soffit_in.map(|l| section.shown(l))),
        unless(p.leaves, p.soffit_out.map(|l| section.shown(l))),
        unless(has_surface, p.depth.map(|d| words::about(d.how, d.value.metres(3)))),
    ]
}

/// Chooses sides so that values fit where their ordinates are; else moves the columns apart; else turns them.
fn columns(xs: &[f64], rows: &[Vec<f64>], nodes: &[bool]) -> Columns {
    let widths: Vec<f64> = rows.iter().map(|r| widest(r)).collect();
    let cells = cells_fit(xs, nodes);
    if let (Some(sides), true) = (sides(xs, rows), cells) {
        return Columns { xs: xs.to_vec(), sides, turned: false };
    }
    let right = vec![Side::Right; xs.len()];
    if let Some(moved) = spread(xs, &widths, nodes) {
        return Columns { xs: moved, sides: right, turned: false };
    }
    let narrow = vec![3.2; xs.len()];
    let moved = spread(xs, &narrow, nodes).unwrap_or_else(|| even(xs.len()));
    Columns { xs: moved, sides: right, turned: true }
}

fn even(count: usize) -> Vec<f64> {
    (0..count).map(|i| LEFT + (RIGHT - 4.0 - LEFT) * i as f64 / count.max(1) as f64).collect()
}

fn cells_fit(xs: &[f64], nodes: &[bool]) -> bool {
    let ends: Vec<f64> = xs.iter().zip(nodes).filter(|(_, n)| **n).map(|(x, _)| *x).collect();
    ends.windows(2).all(|pair| matches!(pair, [a, b] if b - a >= CELL))
}

/// Right of each ordinate, left at the last; left too where the right has no room. No value crosses an ordinate or
/// meets another in its row.
fn sides(xs: &[f64], rows: &[Vec<f64>]) -> Option<Vec<Side>> {
    let mut taken = vec![LEFT - 4.0; POINT_ROWS.len()];
    let mut sides = Vec::new();
    for (i, (x, widths)) in xs.iter().zip(rows).enumerate() {
        let last = i + 1 == xs.len();
        let next = xs.get(i + 1).copied().unwrap_or(RIGHT + 1.0);
        let before = i.checked_sub(1).and_then(|b| xs.get(b)).copied().unwrap_or(LEFT);
        let left_free = i > 0
            && widths.iter().zip(&taken).all(|(w, t)| x - 1.0 - w >= t + 1.2)
            && x - 1.0 - widest(widths) > before;
        let right_free = x + 1.0 + widest(widths) <= next - 1.0;
        let side = match (last && left_free, right_free, left_free) {
            (true, _, _) | (false, false, true) => Side::Left,
            (false, true, _) => Side::Right,
            (false, false, false) => return None,
        };
        for (t, w) in taken.iter_mut().zip(widths) {
            *t = if side == Side::Right { x + 1.0 + w } else { *x };
        }
        sides.push(side);
    }
    Some(sides)
}

/// Columns moved apart by as little as may be, order kept, values at their right; `None` when there is no room.
fn spread(xs: &[f64], widths: &[f64], nodes: &[bool]) -> Option<Vec<f64>> {
    let mut moved: Vec<f64> = Vec::new();
    let mut need: Vec<f64> = widths.iter().map(|w| w + 2.2).collect();
    widen_cells(&mut need, nodes);
    for (i, x) in xs.iter().enumerate() {
        let least = match (i.checked_sub(1).and_then(|p| moved.get(p)), i.checked_sub(1).and_then(|p| need.get(p))) {
            (Some(before), Some(step)) => before + step,
            _ => LEFT,
        };
        moved.push(x.max(least));
    }
    let mut limit = RIGHT + 1.0;
    for i in (0..moved.len()).rev() {
        let step = need.get(i).copied().unwrap_or(0.0);
        let m = moved.get_mut(i)?;
        *m = m.min(limit - step);
        limit = *m;
    }
    (limit >= LEFT - 0.01).then_some(moved)
}

/// Widens the steps between two nodes so that the pipe's cell between them has its least width.
fn widen_cells(need: &mut [f64], nodes: &[bool]) {
    let at: Vec<usize> = nodes.iter().enumerate().filter(|(_, n)| **n).map(|(i, _)| i).collect();
    for pair in at.windows(2) {
        let [a, b] = pair else { continue };
        let Some(steps) = need.get_mut(*a..*b) else { continue };
        let have: f64 = steps.iter().sum();
        let more = ((CELL - have) / steps.len().max(1) as f64).max(0.0);
        for s in steps {
            *s += more;
        }
    }
}

/// Ordinates from the base line down to their columns; says where the strip begins.
fn knees(sheet: &mut Sheet, y: f64, from: &[f64], to: &[f64]) -> f64 {
    let widest = from.iter().zip(to).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    if widest < 0.05 {
        return y;
    }
    let drop = widest.clamp(3.0, 9.0);
    for (a, b) in from.iter().zip(to) {
        sheet.faint(Layer::Dimension, Pen::Thin, &[(*a, y), (*b, y + drop)]);
    }
    sheet.faint(Layer::Structure, Pen::Structure, &[(0.0, y + drop), (WIDTH, y + drop)]);
    y + drop
}

fn point_rows(sheet: &mut Sheet, top: f64, values: &[Vec<String>], columns: &Columns) -> f64 {
    let mut y = top;
    for (row, name) in POINT_ROWS.into_iter().enumerate() {
        let face = if row == 0 { Face::Bold } else { Face::Regular };
        let cells = || values.iter().map(|v| v.get(row).map_or("", String::as_str));
        let tall = if columns.turned {
            cells().map(|c| words::width(c, row == 0, SIZE)).fold(ROW - 1.6, f64::max) + 1.6
        } else {
            ROW
        };
        sheet.text(0.0, y + tall - 1.3, Anchor::Start, name, face, SIZE);
        for ((cell, x), side) in cells().zip(&columns.xs).zip(&columns.sides) {
            match side {
                _ if columns.turned => {
                    sheet.turned(x + 3.2, y + tall - 0.8, cell, face);
                    sheet.boxes.push(Rect { x0: x + 0.4, y0: y + 0.4, x1: x + 3.6, y1: y + tall - 0.4 });
                }
                Side::Right => sheet.text(x + 1.0, y + tall - 1.3, Anchor::Start, cell, face, SIZE),
                Side::Left => sheet.text(x - 1.0, y + tall - 1.3, Anchor::End, cell, face, SIZE),
            }
        }
        y += tall;
        sheet.faint(Layer::Dimension, Pen::Thin, &[(0.0, y), (WIDTH, y)]);
    }
    for x in &columns.xs {
        sheet.faint(Layer::Dimension, Pen::Thin, &[(*x, top), (*x, y)]);
    }
    y
}

/// Rows of pipes: each cell between the columns of its pipe's ends, in as many lines as it needs.
fn pipe_rows(net: &Network<'_>, section: &Section, part: &Part, sheet: &mut Sheet, top: f64, ends: &[f64]) -> f64 {
    let pieces: Vec<&Piece> = section.pieces.get(part.pieces.clone()).unwrap_or_default().iter().collect();
    let rooms: Vec<(f64, f64)> = ends
        .windows(2)
        .filter_map(|p| if let [a, b] = p { Some(((a + b) / 2.0, b - a - 2.0)) } else { None })
        .collect();
    let names = ["Pipe", "Length, fall", "Gradient", "mm per m", "Stone, mm", "Levels by"];
    let told: Vec<[String; 6]> = pieces.iter().map(|p| pipe_values(net, p)).collect();
    let mut y = top;
    for (row, name) in names.into_iter().enumerate() {
        let bold = row == 0;
        let face = if bold { Face::Bold } else { Face::Regular };
        let cells: Vec<Vec<String>> = told
            .iter()
            .zip(&rooms)
            .map(|(t, (_, room))| wrapped(t.get(row).map_or("", String::as_str), bold, *room))
            .collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        sheet.text(0.0, y + 3.9, Anchor::Start, name, face, SIZE);
        for (cell, (middle, _)) in cells.iter().zip(&rooms) {
            for (i, line) in cell.iter().enumerate() {
                sheet.text(*middle, y + 3.9 + STEP * i as f64, Anchor::Middle, line, face, SIZE);
            }
        }
        y += ROW + STEP * (lines - 1) as f64;
        sheet.faint(Layer::Dimension, Pen::Thin, &[(0.0, y), (WIDTH, y)]);
    }
    for x in ends {
        sheet.faint(Layer::Dimension, Pen::Structure, &[(*x, top), (*x, y)]);
    }
    sheet.faint(Layer::Structure, Pen::Structure, &[(0.0, y), (WIDTH, y)]);
    y
}

/// Lines of a cell; what stands after a colon that does not fit on the one line is left out, as it is said elsewhere.
fn wrapped(told: &str, bold: bool, room: f64) -> Vec<String> {
    let fits = words::width(told, bold, SIZE) <= room;
    let kept = if fits || bold { told } else { told.split(": ").next().unwrap_or(told) };
    words::wrap(kept, bold, SIZE, room)
}

/// Size and material of a pipe as one says them: `110 PVC-U`.
pub(super) fn size_words(net: &Network<'_>, leg: usize) -> String {
    let Some(item) = net.legs.get(leg).and_then(|l| net.record.pipes.at(l.pipe)) else { return String::new() };
    let size = item
        .body
        .size
        .get()
        .map_or("size unknown".to_owned(), |s| s.label.strip_suffix("\u{a0}mm").unwrap_or(&s.label).to_owned());
    let material = item.body.material.get().map_or(String::new(), |m| format!("\u{a0}{}", m.0));
    words::clean(&format!("{size}{material}"))
}

fn pipe_values(net: &Network<'_>, piece: &Piece) -> [String; 6] {
    let pipe = net.legs.get(piece.leg).map_or(0, |l| l.pipe);
    let length = piece.length.map_or("length unknown".to_owned(), words::metres);
    let fall = piece.drop.map_or("fall unknown".to_owned(), words::millimetres);
    let unknown = || "unknown".to_owned();
    let one = |g: &KnownGradient| match g.value.fall() {
        Length::ZERO => "level".to_owned(),
        _ => words::about(g.how, g.value.mm_per_m()),
    };
    let several = piece.gradients.len() > 1;
    let (gradient, each) = if several {
        let each: Vec<String> = piece.gradients.iter().map(|g| g.as_ref().map_or_else(unknown, one)).collect();
        (words::gradients(&piece.gradients), each.join(", then "))
    } else {
        let gradient = piece.gradient.as_ref().map_or_else(unknown, |g| words::gradient(net.record, pipe, g));
        (gradient, piece.gradient.as_ref().map_or_else(unknown, one))
    };
    [
        format!("{}: {}", words::tag(&piece.id), size_words(net, piece.leg)),
        format!("{length}, {fall}"),
        gradient,
        each,
        bed_words(net, pipe, piece.stage),
        levels_by(net, pipe, piece),
    ]
}

fn bed_words(net: &Network<'_>, pipe: usize, stage: Stage) -> String {
    let Some(item) = net.record.pipes.at(pipe) else { return String::new() };
    match item.body.bed.get() {
        Some(Bed::As(id)) => format!("as {}", words::tag(id)),
        Some(Bed::Is(spec)) => {
            let stone = spec.stone.get().map(|s| s.value.millimetres());
            let depth = |m: Option<&crate::record::quantity::Measure>, word: &str| {
                m.map(|m| format!("{}\u{a0}{word}", m.value.millimetres()))
            };
            let (mut under, mut over) = (depth(spec.under.get(), "under"), depth(spec.over.get(), "over"));
            let same = spec.under.get().zip(spec.over.get()).is_some_and(|(u, o)| u.value == o.value);
            if let (true, Some(u)) = (same, &under) {
                under = Some(format!("{u},\u{a0}over"));
                over = None;
            }
            let concrete = spec.concrete.get().map(|c| format!("concrete {}", c.0));
            let all: Vec<String> = [stone, under, over, concrete].into_iter().flatten().collect();
            words::clean(&all.join("; "))
        }
        None if stage == Stage::Existing => "unknown".to_owned(),
        None => "not recorded".to_owned(),
    }
}

/// By what and by whom the levels were taken, how far one reading may be off, and the gradients that leaves open.
fn levels_by(net: &Network<'_>, pipe: usize, piece: &Piece) -> String {
    let Some(item) = net.record.pipes.at(pipe) else { return String::new() };
    let read = item.body.il.get().map(|il| net.record.how(&il.up));
    let Some(how) = read else {
        return match (piece.up, piece.down, piece.drop) {
            (Some(a), Some(b), _) if a.how == How::Believed || b.how == How::Believed => {
                "reckoned, believed".to_owned()
            }
            (Some(_), Some(_), _) => "reckoned".to_owned(),
            (_, _, Some(d)) => format!("no level; fall {}", d.how.word()),
            _ => "none".to_owned(),
        };
    };
    if how != How::Measured {
        return how.word().to_owned();
    }
    let kit = item.body.kit.get().or_else(|| net.record.usual.kit.get()).map(|r| words::tag(&r.0));
    let by = item.body.by.get().or_else(|| net.record.usual.by.get()).map(|r| words::tag(&r.0));
    let spread = net.record.level_spread(Some(&item.body.kit)).map(|s| format!("\u{b1}\u{a0}{}\u{a0}mm", mm(s)));
    let who: Vec<String> = [kit, by, spread].into_iter().flatten().collect();
    let who = if who.is_empty() { "measured".to_owned() } else { who.join(", ") };
    match &piece.gradient {
        Some(g) if g.steepest.in_words_with(0) != g.flattest.in_words_with(0) && g.flattest.fall() > Length::ZERO => {
            format!("{who}: {}\u{a0}to\u{a0}{}", g.steepest.in_words_with(0), g.flattest.in_words_with(0))
        }
        Some(_) | None => who,
    }
}

/// Millimetres without a needless decimal.
fn mm(length: Length) -> String {
    if length.um() % 1000 == 0 {
        length.millimetres()
    } else {
        crate::base::units::fixed(i128::from(length.um()), 1000, 1)
    }
}
