//! Schedules: rows of two lines by design, ids hanging at the left, reasons under the row they explain.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Row;
use crate::base::doc::Schedule;
use crate::base::doc::id;
use crate::base::drawing::Face;
use crate::base::lettering;
use crate::render::column_width;
use crate::render::fills_every_column;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::Place;
use crate::render::pdf::compose::column;
use crate::render::pdf::lines::natural_width;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::piece::Repeat;
use crate::render::pdf::sheet::BODY;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::GAP;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::SMALL;
use crate::render::pdf::sheet::TABLE_HEAD;
use crate::render::pdf::sheet::WIDTH;
use crate::render::pdf::tree::NodeId;
use std::rc::Rc;

/// Space above and below each row.
const PAD: f64 = 1.6;
/// Width of the id column when an id does not fit its own.
const WIDE_IDS: f64 = 18.0 * MM;

/// Where a column's text stands.
#[derive(Clone, Copy, Debug)]
struct Band {
    x: f64,
    width: f64,
    align: Align,
}

impl<'a> Composer<'a> {
    /// A table of the schedule kind.
    pub fn schedule(&mut self, schedule: &'a Schedule) {
        if schedule.columns.is_empty() {
            return;
        }
        let bands = bands(schedule, self);
        let table = self.node("Table");
        self.tree.edit(table, |n| n.summary = Some(schedule.summary.clone()).filter(|s| !s.is_empty()));
        let head = self.tree.child(table, "THead");
        let body = self.tree.child(table, "TBody");
        let mut top = self.table_head(schedule, &bands, Some(head));
        top.keep = true;
        let repeat = self.repeated_head(schedule, &bands);
        // The key itself follows the last row, which therefore asks for no copy of it.
        let last = Rc::new(Repeat { foot: None, ..repeat.clone() });
        let repeat = Rc::new(repeat);
        self.pieces.push(top);
        let count = schedule.rows.len();
        if count == 0 {
            // A table is one only with a body; an empty row says that there is nothing in it.
            let row = self.tree.child(body, "TR");
            bands.iter().for_each(|_| {
                self.tree.child(row, "TD");
            });
        }
        for (i, row) in schedule.rows.iter().enumerate() {
            let mut piece = self.table_row(row, &bands, body);
            piece.hairline = i > 0;
            // The head keeps two rows, and the last row is not left alone.
            piece.keep = i + 1 < count && (i == 0 || i + 2 == count);
            if i + 1 == count {
                piece.rule(0.0, piece.height, WIDTH, 0.75, Colour::Black);
            }
            piece.margin = self.margin(row.bar);
            piece.repeat = Some(Rc::clone(if i + 1 == count { &last } else { &repeat }));
            self.pieces.push(piece);
        }
    }

    fn repeated_head(&mut self, schedule: &'a Schedule, bands: &[Band]) -> Repeat<'a> {
        let mut whole = Piece::default();
        if let Some(section) = self.section {
            let head = self.section_head(section, None);
            whole.height = head.height;
            whole.absorb(head, 0.0, 0.0);
        }
        let head = self.table_head(schedule, bands, None);
        let y = whole.height;
        whole.height += head.height;
        whole.absorb(head, 0.0, y);
        Repeat { head: whole, close: true, beside: false, foot: self.repeated_key() }
    }

    /// A copy of the key that follows the table, for the pages before its last.
    fn repeated_key(&mut self) -> Option<Piece<'a>> {
        let Some(Block::Key(line)) = self.next else { return None };
        let mut piece = Piece::default();
        let place = column(0.0, 3.0, WIDTH);
        piece.height = 3.0 + self.write(&mut piece, line, SMALL, place, Of::Ornament(Owner::Ornament));
        // A key that would fill the page is no key.
        (piece.height < 100.0).then_some(piece)
    }

    fn table_head(&mut self, schedule: &'a Schedule, bands: &[Band], head: Option<NodeId>) -> Piece<'a> {
        let row = head.map(|h| self.tree.child(h, "TR"));
        let mut cells = Vec::new();
        for (column_of, band) in schedule.columns.iter().zip(bands) {
            let owner = match row {
                None => Of::Ornament(Owner::Ornament),
                Some(row) => {
                    let cell = self.tree.child(row, "TH");
                    self.tree.edit(cell, |n| n.scope = Some("Column"));
                    Of::Node(cell)
                }
            };
            let mut piece = Piece::default();
            let mut y = 0.0;
            for (i, words) in column_of.head.iter().enumerate() {
                // A blank at the end of the first line keeps its words apart from those below.
                let words = if i + 1 < column_of.head.len() { format!("{words} ") } else { words.clone() };
                y += self.write_words(&mut piece, &words, TABLE_HEAD, band.place(y), owner);
            }
            piece.height = y;
            cells.push(piece);
        }
        let height = cells.iter().map(|c| c.height).fold(10.0, f64::max);
        let mut piece = Piece { height: height + PAD + 2.0, ..Piece::default() };
        for cell in cells {
            let y = PAD + height - cell.height;
            piece.absorb(cell, 0.0, y);
        }
        piece.rule(0.0, piece.height, WIDTH, 0.75, Colour::Black);
        piece
    }

    fn table_row(&mut self, row: &'a Row, bands: &[Band], body: NodeId) -> Piece<'a> {
        let line = self.tree.child(body, "TR");
        let mut piece = Piece::default();
        let mut top = PAD;
        let has_ids = !fills_every_column(row, bands.len());
        if has_ids {
            top += self.row_id(&mut piece, row, bands, line);
        }
        let mut height: f64 = 11.0;
        let skipped = usize::from(has_ids);
        for (i, (cell, band)) in row.cells.iter().zip(bands.iter().skip(skipped)).enumerate() {
            let node = self.tree.child(line, if i + skipped == 0 { "TH" } else { "TD" });
            if i + skipped == 0 {
                self.tree.edit(node, |n| n.scope = Some("Row"));
            }
            height = height.max(self.cell(&mut piece, cell, *band, top, node));
        }
        let reasons = self.reasons(&mut piece, row, bands, body, top + height);
        piece.height = top + height + reasons + PAD;
        piece.anchor(row.anchor.as_deref().unwrap_or_default(), 0.0);
        piece
    }

    /// The id at the left edge; returns the height of its own line, when it needs one.
    fn row_id(&mut self, piece: &mut Piece<'a>, row: &'a Row, bands: &[Band], line: NodeId) -> f64 {
        let cell = self.tree.child(line, if row.id.is_empty() { "TD" } else { "TH" });
        let Some(band) = bands.first().filter(|_| !row.id.is_empty()) else { return 0.0 };
        self.tree.edit(cell, |n| n.scope = Some("Row"));
        let fits = lettering::width(Face::Bold, &row.id, BODY.size) <= band.width;
        let width = if fits { band.width } else { WIDTH };
        let height = self.write(piece, &vec![id(&row.id)], BODY, column(band.x, PAD, width), Of::Node(cell));
        if fits { 0.0 } else { height }
    }

    fn cell(&mut self, piece: &mut Piece<'a>, cell: &[Line], band: Band, top: f64, node: NodeId) -> f64 {
        let mut y = 0.0;
        for (i, line) in cell.iter().enumerate() {
            let mut line = line.clone();
            if i + 1 < cell.len() && !line.is_empty() {
                line.push(crate::base::doc::plain(" "));
            }
            let height = self.write(piece, &line, BODY, band.place(top + y), Of::Node(node));
            // An empty first line still holds its place, so that pairs stay level with their neighbours.
            y += if i + 1 < cell.len() { height.max(BODY.leading) } else { height };
        }
        y
    }

    fn reasons(&mut self, piece: &mut Piece<'a>, row: &'a Row, bands: &[Band], body: NodeId, top: f64) -> f64 {
        let x = bands.get(1).map_or(0.0, |b| if b.align == Align::Left { b.x } else { 12.0 * MM });
        let mut y = 0.0;
        for reason in &row.reasons {
            let line = self.tree.child(body, "TR");
            let cell = self.tree.child(line, "TD");
            self.tree.edit(cell, |n| n.span = Some(bands.len()).filter(|s| *s > 1));
            y += self.write(piece, reason, BODY, column(x, top + y + 0.8, WIDTH - x), Of::Node(cell)) + 0.8;
        }
        y + if row.reasons.is_empty() { 0.0 } else { 0.8 }
    }
}

impl Band {
    fn place(self, top: f64) -> Place {
        Place { x: self.x, top, width: self.width, align: self.align }
    }
}

/// Widths in points that sum to the text block, with the id column wide enough where that can be had.
fn widths(schedule: &Schedule, composer: &Composer<'_>) -> Vec<f64> {
    let mut widths: Vec<f64> = schedule.columns.iter().map(|c| column_width(c) * MM).collect();
    // An id that would not even fit the wide column stands on a line of its own, so it does not count here.
    let ids = schedule.rows.iter().map(|r| lettering::width(Face::Bold, &r.id, BODY.size));
    let longest = ids.filter(|w| *w + GAP <= WIDE_IDS).fold(0.0, f64::max);
    if let Some(first) = widths.first().copied()
        && longest + GAP > first
        && first < WIDE_IDS
        && let Some(widest) = widest_text(schedule, composer, &widths)
    {
        widths[widest] -= WIDE_IDS - first;
        widths[0] = WIDE_IDS;
    }
    let sum: f64 = widths.iter().sum();
    widths.iter().map(|w| w * WIDTH / sum.max(1.0)).collect()
}

/// The text column with the most room to spare.
fn widest_text(schedule: &Schedule, composer: &Composer<'_>, widths: &[f64]) -> Option<usize> {
    let spare = |i: usize| {
        let cells = schedule.rows.iter().filter_map(|r| r.cells.get(i - 1)).flatten();
        widths[i] - cells.map(|line| natural_width(line, BODY, composer.pages)).fold(0.0, f64::max)
    };
    let text = (1..widths.len()).filter(|i| schedule.columns[*i].align == Align::Left && widths[*i] > 20.0 * MM);
    text.max_by(|a, b| spare(*a).total_cmp(&spare(*b)))
}

fn bands(schedule: &Schedule, composer: &Composer<'_>) -> Vec<Band> {
    let widths = widths(schedule, composer);
    let mut x = 0.0;
    let mut bands = Vec::new();
    for (i, (column, width)) in schedule.columns.iter().zip(&widths).enumerate() {
        let gap = match schedule.columns.get(i + 1).map(|next| next.align) {
            None => 0.0,
            Some(Align::Left) if column.align == Align::Right => 4.5 * MM,
            Some(_) => GAP,
        };
        bands.push(Band { x, width: (width - gap).max(4.0 * MM), align: column.align });
        x += width;
    }
    bands
}
