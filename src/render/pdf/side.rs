//! Blocks with their head in the left column: first pages and findings.

use crate::base::doc::Align;
use crate::base::doc::FindingBlock;
use crate::base::doc::FindingItem;
use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Side;
use crate::base::doc::SideRow;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::Place;
use crate::render::pdf::compose::column;
use crate::render::pdf::lines::natural_width;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::piece::Repeat;
use crate::render::pdf::sheet::BODY;
use crate::render::pdf::sheet::CONTENT;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::GAP;
use crate::render::pdf::sheet::HEAD;
use crate::render::pdf::sheet::IDS;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::RIGHT;
use crate::render::pdf::sheet::SIDE_HEAD;
use crate::render::pdf::sheet::SIDE_NOTE;
use crate::render::pdf::sheet::TEXT;
use crate::render::pdf::sheet::Type;
use crate::render::pdf::sheet::WIDTH;
use crate::render::pdf::tree::NodeId;
use std::rc::Rc;

/// Space above the first and below the last row of a side block.
const ABOVE: f64 = 2.7;
const BELOW: f64 = 3.3;
/// Space above and below each row of a list.
const ROW: f64 = 0.6;
/// Width of the text beside lines to write on.
const BESIDE_LINES: f64 = 54.0 * MM;

impl<'a> Composer<'a> {
    /// A block with its head in the left column.
    pub fn side(&mut self, side: &'a Side) {
        if side.may_begin_page {
            self.may_begin_page = Some(self.pieces.len());
        }
        let tag = self.heading_tag(2);
        let head = self.node(tag);
        let mut left = Piece::default();
        let mut height = self.write_words(&mut left, &side.head, SIDE_HEAD, head_column(0.0), Of::Node(head));
        if !side.note.is_empty() {
            let note = self.node("P");
            height += self.write_words(&mut left, &side.note, SIDE_NOTE, head_column(height), Of::Node(note));
        }
        left.height = height;
        left.entries.push(Entry { level: 2, text: side.head.clone(), y: 0.0 });
        left.anchor(&side.anchor, 0.0);
        let mut rows = self.side_rows(&side.rows);
        if let Some(figure) = &side.figure {
            let parent = self.node("Sect");
            let mut piece = self.figure_piece(figure, CONTENT, parent);
            piece.items.iter_mut().for_each(|i| i.shift(HEAD, 0.0));
            piece.extents.iter_mut().for_each(|e| e.x += HEAD);
            rows.push(piece);
        }
        let (thickness, colour) = if side.strong { (1.5, Colour::Ink) } else { (0.5, Colour::Hair) };
        let mut pieces = beside(left, rows);
        if let Some(first) = pieces.first_mut() {
            lower(first, ABOVE + thickness / 2.0);
            first.rule(0.0, thickness / 2.0, WIDTH, thickness, colour);
        }
        let margin = self.margin(side.bar);
        let repeat = self.repeated(&side.head);
        self.finish(pieces, repeat, margin, BELOW);
    }

    /// Ends a side block: its bar, its repeated head, the space below it.
    fn finish(
        &mut self,
        mut pieces: Vec<Piece<'a>>,
        repeat: Rc<Repeat<'a>>,
        margin: Option<crate::render::pdf::piece::Margin>,
        below: f64,
    ) {
        if let Some(last) = pieces.last_mut() {
            last.height += below;
        }
        for (i, mut piece) in pieces.into_iter().enumerate() {
            piece.margin = margin;
            piece.repeat = (i > 0).then(|| Rc::clone(&repeat));
            self.pieces.push(piece);
        }
    }

    fn repeated(&mut self, head: &str) -> Rc<Repeat<'a>> {
        let mut piece = Piece::default();
        let owner = Of::Ornament(Owner::Ornament);
        let y = self.write_words(&mut piece, head, SIDE_HEAD, head_column(0.0), owner);
        let words = self.continued();
        piece.height = y + self.write(&mut piece, &words, SIDE_NOTE, head_column(y), owner);
        Rc::new(Repeat { head: piece, close: false, beside: true, foot: None })
    }

    fn side_rows(&mut self, rows: &'a [SideRow]) -> Vec<Piece<'a>> {
        if rows.is_empty() {
            return Vec::new();
        }
        let is_list = rows.iter().any(|r| !r.ids.is_empty());
        let list = if is_list { self.node("L") } else { 0 };
        rows.iter().map(|row| self.side_row(row, is_list.then_some(list))).collect()
    }

    fn side_row(&mut self, row: &'a SideRow, list: Option<NodeId>) -> Piece<'a> {
        let entry = list.map(|l| self.tree.child(l, "LI"));
        let of = if row.ids.is_empty() && row.right.is_empty() { TEXT } else { BODY };
        let mut piece = Piece::default();
        let mut x = HEAD;
        let mut ids = 0.0;
        let body = match entry {
            Some(entry) => self.tree.child(entry, "LBody"),
            None => self.node("P"),
        };
        if !row.ids.is_empty() {
            ids = self.write(&mut piece, &row.ids, BODY, column(x, ROW, IDS - GAP), Of::Node(body));
            x += IDS;
        }
        let text = self.side_text(&mut piece, row, of, x, body);
        piece.height = ids.max(text).max(11.0) + 2.0 * ROW;
        piece.anchor(row.anchor.as_deref().unwrap_or_default(), 0.0);
        piece
    }

    /// The text of a row with what stands at its right: when, the clause, or lines to write on.
    fn side_text(&mut self, piece: &mut Piece<'a>, row: &'a SideRow, of: Type, x: f64, body: NodeId) -> f64 {
        let owner = Of::Node(body);
        let right = WIDTH - RIGHT;
        if row.write_lines > 0 {
            let width = (WIDTH - x).min(BESIDE_LINES);
            let mut text = self.write(piece, &row.text, of, column(x, ROW, width), owner);
            text += self.write(piece, &row.right, SIDE_NOTE, column(x, ROW + text, width), owner);
            let from = x + width + 2.0 * MM;
            for i in 0..row.write_lines {
                piece.rule(from, ROW + 12.0 + 20.0 * f64::from(i), WIDTH - from, 0.5, Colour::Hair);
            }
            return text.max(16.0 + 20.0 * f64::from(row.write_lines - 1));
        }
        let width = if row.right.is_empty() { WIDTH - x } else { right - x - GAP };
        let text = self.write(piece, &row.text, of, column(x, ROW, width), owner);
        text.max(self.write(piece, &row.right, BODY, column(right, ROW, RIGHT), owner))
    }

    /// A finding with its items.
    pub fn finding(&mut self, finding: &'a FindingBlock) {
        let under_heading = self.under_heading;
        let tag = self.heading_tag(3);
        let head = self.node(tag);
        let mut left = Piece::default();
        let word = if finding.shape == Shape::Triangle { bold(&finding.word) } else { plain(&finding.word) };
        // The blank parts the word from the title for who listens.
        let line = vec![Run::Shape(finding.shape), word, plain(" ")];
        let regular = Type { face: crate::base::drawing::Face::Regular, leading: 12.0, ..SIDE_HEAD };
        left.height = self.write(&mut left, &line, regular, head_column(0.0), Of::Node(head));
        left.anchor(&finding.anchor, 0.0);
        left.entries.push(Entry { level: 3, text: format!("{}: {}", finding.word, finding.title), y: 0.0 });
        let mut rows = self.finding_rows(finding, head, &mut left);
        keep_finding(&mut rows);
        let mut pieces = beside(left, rows);
        if let Some(first) = pieces.first_mut() {
            lower(first, ABOVE);
            first.hairline = !under_heading;
        }
        let margin = self.margin(finding.bar);
        let repeat = self.repeated(&finding.word);
        self.finish(pieces, repeat, margin, BELOW);
    }

    fn finding_rows(&mut self, finding: &'a FindingBlock, head: NodeId, left: &mut Piece<'a>) -> Vec<Piece<'a>> {
        let mut top = Piece::default();
        let clause = natural_width(&finding.clause, BODY, self.pages).min(CONTENT * 0.45);
        let width = CONTENT - if clause > 0.0 { clause + GAP } else { 0.0 };
        let title = vec![bold(&finding.title)];
        let mut height = self.write(&mut top, &title, TEXT, column(HEAD, 0.0, width), Of::Node(head));
        if !finding.note.is_empty() {
            let note = self.node("P");
            let y = left.height;
            left.height += self.write_words(left, &finding.note, SIDE_NOTE, head_column(y), Of::Node(note));
        }
        if !finding.clause.is_empty() {
            let node = self.node("P");
            // Half a point lower, so that the two sizes of type share a base line.
            let place =
                Place { align: Align::Right, ..column(WIDTH - clause - 0.1, TEXT.rise() - BODY.rise(), clause + 0.1) };
            height = height.max(self.write(&mut top, &finding.clause, BODY, place, Of::Node(node)));
        }
        top.height = height;
        let mut rows = vec![top];
        if !finding.items.is_empty() {
            let list = self.node("L");
            rows.extend(finding.items.iter().map(|item| self.finding_item(item, list)));
        }
        if !finding.closing.is_empty() {
            let node = self.node("P");
            let mut last = Piece::default();
            last.height =
                ROW + self.write(&mut last, &finding.closing, BODY, column(HEAD, ROW, CONTENT), Of::Node(node));
            rows.push(last);
        }
        rows
    }

    fn finding_item(&mut self, item: &'a FindingItem, list: NodeId) -> Piece<'a> {
        let entry = self.tree.child(list, "LI");
        let body = self.tree.child(entry, "LBody");
        let source = vec![crate::base::doc::soft(&item.line)];
        let cells: [(&Line, f64, f64, Align); 5] = [
            (&item.ids, 0.0, 14.0, Align::Left),
            (&item.measured, 14.0, 47.0, Align::Left),
            (&item.limit, 61.0, 47.0, Align::Left),
            (&source, 108.0, 27.0, Align::Left),
            (&item.see, 133.0, 16.0, Align::Right),
        ];
        let mut piece = Piece::default();
        for (line, x, width, align) in cells {
            let gap = if align == Align::Left { GAP } else { 0.0 };
            let place = Place { align, ..column(HEAD + x * MM, ROW, width * MM - gap) };
            let height = self.write(&mut piece, line, BODY, place, Of::Node(body)) + 2.0 * ROW;
            piece.height = piece.height.max(height);
        }
        piece
    }
}

fn head_column(top: f64) -> Place {
    column(0.0, top, HEAD - 2.5 * MM)
}

/// Moves all of a piece down.
fn lower(piece: &mut Piece<'_>, by: f64) {
    let whole = std::mem::take(piece);
    let (height, keep) = (whole.height + by, whole.keep);
    piece.absorb(whole, 0.0, by);
    (piece.height, piece.keep) = (height, keep);
}

/// A finding of up to four items is one piece; a longer one breaks with two items at least on each side.
fn keep_finding(rows: &mut [Piece<'_>]) {
    let count = rows.len();
    for (i, row) in rows.iter_mut().enumerate() {
        row.keep = i + 1 < count && (count <= 6 || i < 2 || i + 4 > count);
    }
}

/// Joins a head column with the first rows beside it, so that no break cuts the head.
fn beside<'a>(left: Piece<'a>, rows: Vec<Piece<'a>>) -> Vec<Piece<'a>> {
    let wanted = left.height;
    let mut first = left;
    first.height = 0.0;
    let mut out: Vec<Piece<'a>> = Vec::new();
    let mut is_open = true;
    for row in rows {
        if is_open && (out.is_empty() && first.height < wanted.max(1.0)) {
            let (y, height, keep) = (first.height, row.height, row.keep);
            first.absorb(row, 0.0, y);
            first.height = y + height;
            first.keep = keep;
        } else {
            is_open = false;
            out.push(row);
        }
    }
    first.height = first.height.max(wanted);
    out.insert(0, first);
    out
}
