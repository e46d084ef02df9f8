//! The owner's first page: a large title, numbered steps, and the box of what must never be done.

use crate::base::doc::Case;
use crate::base::doc::Fact;
use crate::base::doc::Figure;
use crate::base::doc::Line;
use crate::base::doc::Never;
use crate::base::doc::Opening;
use crate::base::doc::Photo;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::doc::words;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::column;
use crate::render::pdf::compose::in_bold;
use crate::render::pdf::lines::natural_width;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::GAP;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::OWNER_HEAD;
use crate::render::pdf::sheet::OWNER_NUMBER;
use crate::render::pdf::sheet::OWNER_TEXT;
use crate::render::pdf::sheet::OWNER_TITLE;
use crate::render::pdf::sheet::Type;
use crate::render::pdf::sheet::WIDTH;
use crate::render::pdf::tree::NodeId;

/// Width of the column of step numbers.
const NUMBERS: f64 = 11.0 * MM;
/// Width of what may be found, left of what to do then.
const FOUND: f64 = 45.0 * MM;
/// A photo beside words, its sides as 4 to 3.
const BESIDE: (f64, f64) = (36.0 * MM, 27.0 * MM);
/// From a line to write on to the next one.
const WRITING: f64 = 17.0;
/// Space between the two columns of labels and lines.
const BETWEEN: f64 = 5.0 * MM;

impl<'a> Composer<'a> {
    /// The owner's title, with the line under it.
    pub fn opening(&mut self, opening: &'a Opening) {
        let tag = self.heading_tag(1);
        let (head, under) = (self.node(tag), self.node("P"));
        let mut piece = Piece { keep: true, ..Piece::default() };
        let mut y = self.write(&mut piece, &opening.title, OWNER_TITLE, column(0.0, 0.0, WIDTH), Of::Node(head));
        y += self.write(&mut piece, &opening.under, OWNER_TEXT, column(0.0, y, WIDTH), Of::Node(under));
        piece.entries.push(Entry { level: 1, text: words(&opening.title), y: 0.0 });
        piece.height = y + 5.0;
        self.pieces.push(piece);
    }

    /// A step; its parts may part at a page's end, its head stays with the first.
    pub fn step(&mut self, step: &'a Step) {
        let tag = self.heading_tag(2);
        let head = self.node(tag);
        let mut first = Piece { keep: true, ..Piece::default() };
        first.rule(0.0, 0.75, WIDTH, 1.5, Colour::Ink);
        // The blank parts the number from the head for who listens.
        let number = format!("{} ", step.number);
        self.write_words(&mut first, &number, OWNER_NUMBER, column(0.0, 4.5, NUMBERS), Of::Node(head));
        let place = column(NUMBERS, 7.5, WIDTH - NUMBERS);
        let taken = self.write_words(&mut first, &step.head, OWNER_HEAD, place, Of::Node(head));
        first.height = 7.5 + taken.max(15.0) + 1.0;
        first.anchor(&step.anchor, 0.0);
        first.entries.push(Entry { level: 2, text: step.head.clone(), y: 0.0 });
        self.pieces.push(first);
        for part in &step.parts {
            self.step_part(part);
        }
        if let Some(last) = self.pieces.last_mut() {
            last.keep = false;
            last.height += 5.0;
        }
    }

    fn step_part(&mut self, part: &'a StepPart) {
        match part {
            StepPart::Text(line) => {
                let node = self.node("P");
                let mut piece = Piece::default();
                let place = column(NUMBERS, 0.0, WIDTH - NUMBERS);
                piece.height = self.write(&mut piece, line, OWNER_TEXT, place, Of::Node(node));
                self.pieces.push(piece);
            }
            StepPart::Cases(cases) => self.cases(cases),
            StepPart::Blanks(facts) => self.blanks(facts),
            StepPart::Picture(picture) => self.picture(picture),
            StepPart::Beside { photo, columns } => self.beside_photo(photo, columns),
        }
    }

    fn cases(&mut self, cases: &'a [Case]) {
        for (i, case) in cases.iter().enumerate() {
            let (found, then) = (self.node("P"), self.node("P"));
            let mut piece = Piece::default();
            if i > 0 {
                piece.rule(NUMBERS, 0.0, WIDTH - NUMBERS, 0.35, Colour::Hair);
            }
            let left =
                self.write(&mut piece, &case.found, OWNER_TEXT, column(NUMBERS, 2.0, FOUND - GAP), Of::Node(found));
            let place = column(NUMBERS + FOUND, 2.0, WIDTH - NUMBERS - FOUND);
            let right = self.write(&mut piece, &case.then, OWNER_TEXT, place, Of::Node(then));
            piece.height = left.max(right) + 4.0;
            self.pieces.push(piece);
        }
    }

    /// Labels with what is known, or with a line as long as the column is wide.
    fn blanks(&mut self, facts: &'a [Fact]) {
        let half = (WIDTH - NUMBERS - BETWEEN) / 2.0;
        for row in facts.chunks(2) {
            let mut piece = Piece::default();
            for (i, fact) in row.iter().enumerate() {
                let x = NUMBERS + i as f64 * (half + BETWEEN);
                let height = self.blank(&mut piece, fact, x, half);
                piece.height = piece.height.max(height);
            }
            self.pieces.push(piece);
        }
    }

    fn blank(&mut self, piece: &mut Piece<'a>, fact: &'a Fact, x: f64, width: f64) -> f64 {
        let node = self.node("P");
        let label = vec![crate::base::doc::plain(format!("{} ", fact.label))];
        let indent = (natural_width(&label, OWNER_TEXT, self.pages) + 2.0 * MM).min(width * 0.55);
        let left = self.write(piece, &label, OWNER_TEXT, column(x, 2.0, indent - GAP / 2.0), Of::Node(node));
        let is_known = !words(&fact.value).is_empty();
        let place = column(x + indent, 2.0, width - indent);
        let right = if is_known {
            self.write(piece, &fact.value, OWNER_TEXT, place, Of::Node(node))
        } else {
            piece.rule(place.x, 2.0 + OWNER_TEXT.rise() + 1.0, place.width, 0.5, Colour::Black);
            13.0
        };
        (2.0 + left.max(right)).max(WRITING)
    }

    fn picture(&mut self, picture: &'a Figure) {
        let mut piece = self.figure_piece(picture, WIDTH, 0);
        piece.height += 3.0;
        self.pieces.push(Piece { before: 2.0, ..piece });
    }

    fn beside_photo(&mut self, photo: &'a Photo, columns: &'a [Vec<Line>; 2]) {
        let mut piece = self.framed_photo(photo, 0, BESIDE);
        let left = BESIDE.0 + 4.0 * MM;
        let width = (WIDTH - left - BETWEEN) / 2.0;
        let mut height = piece.height;
        for (i, lines) in columns.iter().enumerate() {
            let x = left + i as f64 * (width + BETWEEN);
            height = height.max(self.short_paragraphs(&mut piece, lines, (x, 0.0, width), OWNER_TEXT, None));
        }
        piece.height = height;
        self.pieces.push(piece);
    }

    /// Paragraphs one under the other, with an en dash before each where they are items of a list.
    fn short_paragraphs(
        &mut self,
        piece: &mut Piece<'a>,
        lines: &'a [Line],
        (x, top, width): (f64, f64, f64),
        of: Type,
        list: Option<NodeId>,
    ) -> f64 {
        let mut y = top;
        for line in lines {
            let (node, indent) = match list {
                None => (self.node("P"), 0.0),
                Some(list) => {
                    let entry = self.tree.child(list, "LI");
                    let label = self.tree.child(entry, "Lbl");
                    self.write_words(piece, "–", of, column(x, y, 4.0 * MM), Of::Node(label));
                    (self.tree.child(entry, "LBody"), 4.0 * MM)
                }
            };
            y += self.write(piece, line, of, column(x + indent, y, width - indent), Of::Node(node));
        }
        y
    }

    /// The box of what must never be done: one piece, in two columns.
    pub fn never(&mut self, never: &'a Never) {
        let tag = self.heading_tag(2);
        let (head, list) = (self.node(tag), self.node("L"));
        self.tree.edit(list, |n| n.numbering = Some("Disc"));
        let white = Type { colour: Colour::White, ..in_bold(OWNER_TEXT) };
        let mut words = Piece::default();
        let place = column(2.5 * MM, 1.5, WIDTH - 5.0 * MM);
        let field = self.write_words(&mut words, &never.head, white, place, Of::Node(head)) + 3.0;
        let width = (WIDTH - 11.0 * MM) / 2.0;
        let half = never.items.len().div_ceil(2);
        let (left, right) = never.items.split_at(half);
        let mut bottom: f64 = field;
        for (i, lines) in [left, right].into_iter().enumerate() {
            let x = 2.5 * MM + i as f64 * (width + 6.0 * MM);
            bottom =
                bottom.max(self.short_paragraphs(&mut words, lines, (x, field + 2.5, width), OWNER_TEXT, Some(list)));
        }
        let height = bottom + 3.0;
        let mut piece = Piece { before: 5.0, height, ..Piece::default() };
        let outline = Some((1.0, Colour::Black));
        piece.ornament(0.0, 0.0, height, Ink::Rect { width: WIDTH, height, fill: None, outline });
        let black = Ink::Rect { width: WIDTH, height: field, fill: Some(Colour::Black), outline: None };
        piece.ornament(0.0, 0.0, field, black);
        piece.absorb(words, 0.0, 0.0);
        piece.entries.push(Entry { level: 2, text: never.head.clone(), y: 0.0 });
        self.pieces.push(piece);
    }
}
