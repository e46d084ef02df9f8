//! Titles, heads, paragraphs, lists, facts, keys and cautions.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Caution;
use crate::base::doc::Fact;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::id;
use crate::base::doc::plain;
use crate::base::doc::soft;
use crate::base::doc::words;
use crate::base::drawing::Face;
use crate::base::lettering;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::Place;
use crate::render::pdf::compose::column;
use crate::render::pdf::compose::in_bold;
use crate::render::pdf::lines::natural_width;
use crate::render::pdf::lines::set;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::CONTENT;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::LABEL;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::NOTE;
use crate::render::pdf::sheet::PART;
use crate::render::pdf::sheet::SECTION;
use crate::render::pdf::sheet::SMALL;
use crate::render::pdf::sheet::TEXT;
use crate::render::pdf::sheet::TITLE;
use crate::render::pdf::sheet::Type;
use crate::render::pdf::sheet::VALUE;
use crate::render::pdf::sheet::WIDTH;
use crate::render::pdf::tree::NodeId;

impl<'a> Composer<'a> {
    /// The pack's title.
    pub fn title(&mut self, line: &'a Line) {
        let tag = self.heading_tag(1);
        let node = self.node(tag);
        let mut piece = Piece { keep: true, ..Piece::default() };
        piece.height = self.write(&mut piece, line, TITLE, column(0.0, 0.0, WIDTH), Of::Node(node));
        piece.entries.push(Entry { level: 1, text: words(line), y: 0.0 });
        self.pieces.push(piece);
    }

    /// A head: of a section with its strong rule, or of a part of one.
    pub fn heading(&mut self, heading: &'a Heading) {
        let tag = self.heading_tag(heading.level);
        let node = self.node(tag);
        let mut piece = if heading.level <= 2 {
            self.section = Some(heading);
            let note = (!heading.note.is_empty()).then(|| self.node("P"));
            self.section_head(heading, Some((node, note)))
        } else {
            self.part_head(heading, node)
        };
        let number = heading.number.as_ref().map(|n| format!("{n} ")).unwrap_or_default();
        let text = format!("{number}{}", words(&heading.text));
        piece.entries.push(Entry { level: heading.level.clamp(2, 3), text, y: 0.0 });
        piece.anchor(heading.anchor.as_deref().unwrap_or_default(), 0.0);
        piece.keep = true;
        self.pieces.push(piece);
    }

    /// A section head; without elements it is the one repeated on a page that continues the section.
    pub fn section_head(&mut self, heading: &Heading, nodes: Option<(NodeId, Option<NodeId>)>) -> Piece<'a> {
        let mut piece = Piece { before: 9.0, ..Piece::default() };
        piece.rule(0.0, 0.75, WIDTH, 1.5, Colour::Ink);
        let mut text = heading.number.iter().map(|n| id(format!("{n}\u{2002}"))).collect::<Line>();
        text.extend(heading.text.iter().cloned());
        let mut note = heading.note.clone();
        if nodes.is_none() {
            note.push(soft(if note.is_empty() { "continued" } else { "  continued" }));
        }
        let owner = nodes.map_or(Of::Ornament(Owner::Ornament), |(n, _)| Of::Node(n));
        let note_owner = nodes.and_then(|(_, n)| n).map_or(Of::Ornament(Owner::Ornament), Of::Node);
        let note_width = natural_width(&note, NOTE, self.pages);
        let beside = natural_width(&text, SECTION, self.pages) + note_width + 4.0 * MM <= WIDTH;
        let mut y = 4.5;
        y += self.write(&mut piece, &text, SECTION, column(0.0, y, WIDTH), owner);
        if beside {
            let place = Place { align: Align::Right, ..column(0.0, 4.5, WIDTH) };
            self.write(&mut piece, &note, NOTE, place, note_owner);
        } else {
            let of = Type { leading: 11.0, ..NOTE };
            y += self.write(&mut piece, &note, of, column(0.0, y, WIDTH), note_owner);
        }
        piece.height = y + 3.0;
        piece
    }

    fn part_head(&mut self, heading: &Heading, node: NodeId) -> Piece<'a> {
        let mut piece = Piece { before: 6.0, ..Piece::default() };
        let mut y = self.write(&mut piece, &heading.text, PART, column(0.0, 0.0, WIDTH), Of::Node(node));
        if !heading.note.is_empty() {
            let note = self.node("P");
            y += self.write(&mut piece, &heading.note, SMALL, column(0.0, y, WIDTH), Of::Node(note));
        }
        piece.height = y + 2.0;
        piece
    }

    /// A paragraph; no line of it stands alone at the top or foot of a page.
    pub fn paragraph(&mut self, line: &'a Line) {
        let node = self.node("P");
        self.running_text(line, TEXT, column(0.0, 0.0, CONTENT), node, 3.0);
    }

    /// The key under a table.
    pub fn key(&mut self, line: &'a Line) {
        let node = self.node("P");
        self.running_text(line, SMALL, column(0.0, 0.0, WIDTH), node, 3.0);
    }

    /// Text that may break between pages, with at least two lines on each side.
    pub fn running_text(&mut self, line: &Line, of: Type, place: Place, node: NodeId, before: f64) {
        let whole = set(line, of, place.width, self.pages);
        let count = whole.lines.len();
        let mut all = Piece::default();
        self.put(&mut all, &whole, of, place, Of::Node(node));
        all.height = count as f64 * of.leading;
        let mut rest = all;
        for i in 0..count {
            let is_last = i + 1 == count;
            let (head, tail) = match if is_last { Err(Box::new(rest)) } else { rest.split(of.leading + 0.5) } {
                Ok((head, tail)) => (head, Some(tail)),
                Err(whole) => (*whole, None),
            };
            let keep = tail.is_some() && (i == 0 || i + 2 == count);
            self.pieces.push(Piece { before: if i == 0 { before } else { 0.0 }, keep, ..head });
            match tail {
                Some(tail) => rest = tail,
                None => break,
            }
        }
    }

    /// A list with a dot before each item.
    pub fn list(&mut self, items: &'a [Line]) {
        let list = self.node("L");
        self.tree.edit(list, |n| n.numbering = Some("Disc"));
        for item in items {
            let entry = self.tree.child(list, "LI");
            let label = self.tree.child(entry, "Lbl");
            let body = self.tree.child(entry, "LBody");
            let mut piece = Piece { before: 2.0, ..Piece::default() };
            self.write_words(&mut piece, "•", TEXT, column(0.0, 0.0, 4.0 * MM), Of::Node(label));
            let place = column(4.0 * MM, 0.0, CONTENT - 4.0 * MM);
            piece.height = self.write(&mut piece, item, TEXT, place, Of::Node(body));
            self.pieces.push(piece);
        }
    }

    /// The facts under the title, three to a row.
    pub fn facts(&mut self, facts: &'a [Fact]) {
        let columns = [(0.0, 64.0), (67.0, 52.0), (122.0, 54.0)];
        let rows = facts.chunks(3).count();
        for (i, row) in facts.chunks(3).enumerate() {
            let mut piece = Piece { before: if i == 0 { 3.0 } else { 1.0 }, keep: true, ..Piece::default() };
            for (fact, (x, width)) in row.iter().zip(columns) {
                let height = self.fact(&mut piece, fact, x * MM, width * MM);
                piece.height = piece.height.max(height);
            }
            if i + 1 == rows {
                piece.height += 6.0;
            }
            self.pieces.push(piece);
        }
    }

    fn fact(&mut self, piece: &mut Piece<'a>, fact: &Fact, x: f64, width: f64) -> f64 {
        let node = self.node("P");
        let label = lettering::width(Face::Regular, &fact.label, LABEL.size) + 1.4 * MM;
        let is_long = label > width * 0.6;
        // The two sizes of type share a base line.
        let drop = VALUE.rise() - LABEL.rise();
        let mut y = 0.0;
        let taken = self.write_words(piece, &fact.label, LABEL, column(x, drop, width), Of::Node(node));
        let indent = if is_long { 0.0 } else { label };
        if is_long {
            y += taken;
        }
        y + self.write(piece, &fact.value, VALUE, column(x + indent, y, width - indent), Of::Node(node)).max(12.5)
    }

    /// A caution in its frame.
    pub fn caution(&mut self, caution: &'a Caution) {
        let part = self.node("Sect");
        let (head, text, leave) = (self.tree.child(part, "P"), self.tree.child(part, "P"), self.tree.child(part, "P"));
        let white = Type { colour: Colour::White, ..TEXT };
        let field = 22.0 * MM;
        let mut words = Piece::default();
        let place = column(2.0 * MM, 3.0, field - 4.0 * MM);
        let mut left = 3.0 + self.write_words(&mut words, "Caution ", in_bold(white), place, Of::Node(head));
        left += self.write_words(&mut words, &caution.ids, white, Place { top: left, ..place }, Of::Node(head));
        let place = column(field + 2.5 * MM, 3.0, WIDTH - field - 5.0 * MM);
        let mut y = 3.0 + self.write(&mut words, &caution.text, TEXT, place, Of::Node(text));
        words.rule(place.x, y + 2.0, place.width, 0.35, Colour::Hair);
        let mut to = vec![bold("Leave to: ")];
        to.extend(caution.leave_to.iter().cloned());
        y += 4.0 + self.write(&mut words, &to, TEXT, Place { top: y + 4.0, ..place }, Of::Node(leave));
        let height = left.max(y) + 3.0;
        // The last of them stays with what it warns of.
        let keep = matches!(self.next, Some(Block::Schedule(_) | Block::Penetration(_)));
        let mut piece = Piece { before: 5.0, height, keep, caution: true, ..Piece::default() };
        let outline = Some((1.0, Colour::Black));
        piece.ornament(0.0, 0.0, height, Ink::Rect { width: WIDTH, height, fill: None, outline });
        piece.ornament(0.0, 0.0, height, Ink::Rect { width: field, height, fill: Some(Colour::Black), outline: None });
        piece.absorb(words, 0.0, 0.0);
        self.pieces.push(piece);
    }

    /// Words for a repeated side head.
    pub fn continued(&self) -> Line {
        vec![plain("continued")]
    }
}
