//! Turns blocks into pieces and structure; what is common to all families of blocks.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::drawing::Face;
use crate::render::pdf::lines::Pages;
use crate::render::pdf::lines::Part;
use crate::render::pdf::lines::Set;
use crate::render::pdf::lines::SetLine;
use crate::render::pdf::lines::What;
use crate::render::pdf::lines::set;
use crate::render::pdf::piece::Area;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Item;
use crate::render::pdf::piece::Margin;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::BOTTOM;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::SHAPE;
use crate::render::pdf::sheet::TOP;
use crate::render::pdf::sheet::Type;
use crate::render::pdf::tree::NodeId;
use crate::render::pdf::tree::Slot;
use crate::render::pdf::tree::Tree;
use std::collections::BTreeMap;

/// Whom set text belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// An element.
    Node(NodeId),
    /// Nobody: a repeated head, a running head.
    Ornament(Owner),
}

/// Where set text goes.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Left edge of the column.
    pub x: f64,
    /// Top of the first line.
    pub top: f64,
    /// Width of the column.
    pub width: f64,
    /// Which edge the lines keep.
    pub align: Align,
}

/// A column whose lines keep its left edge.
pub fn column(x: f64, top: f64, width: f64) -> Place {
    Place { x, top, width, align: Align::Left }
}

/// Builds pieces and structure.
pub struct Composer<'a> {
    /// The structure.
    pub tree: Tree,
    /// What is known of pages.
    pub pages: &'a Pages,
    /// The photos, each once, in order of their first use.
    pub photos: Vec<&'a str>,
    /// The pieces.
    pub pieces: Vec<Piece<'a>>,
    /// The section that what follows stands in.
    pub section: Option<&'a Heading>,
    /// Whether a section head stands directly above.
    pub under_heading: bool,
    /// The block after the one being composed.
    pub next: Option<&'a Block>,
    /// The first piece of a block at which a second page may begin.
    pub may_begin_page: Option<usize>,
    groups: usize,
    level: u8,
}

/// Composes all blocks.
pub fn compose<'a>(blocks: &'a [Block], pages: &'a Pages) -> Composer<'a> {
    let mut composer = Composer {
        tree: Tree::new(),
        pages,
        photos: Vec::new(),
        pieces: Vec::new(),
        section: None,
        under_heading: false,
        next: None,
        may_begin_page: None,
        groups: 0,
        level: 0,
    };
    let mut new_page = false;
    for (i, block) in blocks.iter().enumerate() {
        composer.next = blocks.get(i + 1);
        let from = composer.pieces.len();
        composer.block(block);
        let is_heading = matches!(block, Block::Heading(_));
        composer.under_heading = is_heading;
        if let Some(first) = composer.pieces.get_mut(from) {
            first.new_page |= new_page;
            new_page = false;
        }
        if matches!(block, Block::Key(_)) && from > 0 {
            composer.pieces[from - 1].keep = true;
        }
        new_page |= matches!(block, Block::NewPage);
    }
    composer.break_well();
    composer
}

impl<'a> Composer<'a> {
    /// Where what stands before the first new page fills more than one, breaks it where that reads best.
    fn break_well(&mut self) {
        let end = self.pieces.iter().position(|p| p.new_page).unwrap_or(self.pieces.len());
        let Some(at) = self.may_begin_page.filter(|at| *at < end) else { return };
        let height = |pieces: &[Piece<'_>]| pieces.iter().map(|p| p.height + p.before).sum::<f64>();
        let (above, below) = self.pieces.split_at(at);
        let room = BOTTOM - TOP;
        let rest = height(below.get(..end - at).unwrap_or_default());
        // A break that would leave either page too full, helps nobody.
        let helps = height(above) + rest > room && height(above) <= room && rest <= room;
        if let Some(first) = self.pieces.get_mut(at).filter(|_| helps) {
            first.new_page = true;
        }
    }

    fn block(&mut self, block: &'a Block) {
        match block {
            Block::Title(line) => self.title(line),
            Block::Heading(heading) => self.heading(heading),
            Block::Paragraph(line) => self.paragraph(line),
            Block::List(items) => self.list(items),
            Block::Facts(facts) => self.facts(facts),
            Block::Side(side) => self.side(side),
            Block::Schedule(schedule) => self.schedule(schedule),
            Block::Key(line) => self.key(line),
            Block::Figure(figure) => self.figure(figure),
            Block::Photos(photos) => self.photos(photos),
            Block::Finding(finding) => self.finding(finding),
            Block::Penetration(penetration) => self.penetration(penetration),
            Block::Caution(caution) => self.caution(caution),
            Block::Opening(opening) => self.opening(opening),
            Block::Step(step) => self.step(step),
            Block::Never(never) => self.never(never),
            Block::NewPage => {}
        }
    }

    /// The tag of a heading: never more than one level below the one before it.
    pub fn heading_tag(&mut self, wanted: u8) -> &'static str {
        self.level = wanted.min(self.level + 1);
        ["H1", "H2", "H3"][usize::from(self.level.clamp(1, 3)) - 1]
    }

    /// A child of the document.
    pub fn node(&mut self, tag: &'static str) -> NodeId {
        self.tree.child(0, tag)
    }

    /// A bar for one row or block.
    pub fn margin(&mut self, bar: Bar) -> Option<Margin> {
        self.groups += 1;
        (bar != Bar::None).then_some(Margin { bar, group: self.groups })
    }

    /// Sets a line in a column of a piece; returns the height taken.
    pub fn write(&mut self, piece: &mut Piece<'a>, line: &Line, of: Type, place: Place, owner: Of) -> f64 {
        let set = set(line, of, place.width, self.pages);
        self.put(piece, &set, of, place, owner)
    }

    /// Sets plain words in a column of a piece; returns the height taken.
    pub fn write_words(&mut self, piece: &mut Piece<'a>, words: &str, of: Type, place: Place, owner: Of) -> f64 {
        if words.is_empty() {
            return 0.0;
        }
        self.write(piece, &vec![crate::base::doc::plain(words)], of, place, owner)
    }

    /// Puts broken text into a piece; returns the height taken.
    pub fn put(&mut self, piece: &mut Piece<'a>, set: &Set, of: Type, place: Place, owner: Of) -> f64 {
        let mut hand = Hand { links: BTreeMap::new(), slot: None };
        for (i, line) in set.lines.iter().enumerate() {
            let top = place.top + i as f64 * of.leading;
            self.put_line(piece, set, line, of, Place { top, ..place }, owner, &mut hand);
        }
        set.lines.len() as f64 * of.leading
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "one line needs all that its text needs, and the state between lines"
    )]
    fn put_line(
        &mut self,
        piece: &mut Piece<'a>,
        set: &Set,
        line: &SetLine,
        of: Type,
        place: Place,
        owner: Of,
        hand: &mut Hand,
    ) {
        let x = match place.align {
            Align::Left => place.x,
            Align::Right => place.x + place.width - line.width,
        };
        let base = place.top + of.rise();
        for part in &line.parts {
            let at = x + part.x;
            match &part.what {
                What::Text { text, look } => {
                    let mine = self.owner(owner, look.link, hand);
                    let ink = Ink::Text { text: text.clone(), face: look.face, size: of.size, colour: look.colour };
                    let bottom = place.top + of.leading;
                    piece.items.push(Item { x: at, y: base, top: place.top, bottom, ink, owner: mine });
                    if let Some(number) = look.link {
                        self.underline(piece, set, number, part, (at, base, place.top, of), hand);
                    }
                }
                What::Shape(shape) => piece.ornament(at, base + 0.35 * MM - SHAPE, SHAPE, Ink::Shape(*shape)),
                What::Blank => piece.rule(at, base + 1.0, part.width, 0.5, Colour::Black),
            }
        }
    }

    /// The owner of words: a link's own element, or a slot of the element that goes on after the last link.
    fn owner(&mut self, owner: Of, link: Option<usize>, hand: &mut Hand) -> Owner {
        let node = match owner {
            Of::Ornament(as_it_is) => return as_it_is,
            Of::Node(node) => node,
        };
        let Some(number) = link else {
            let slot = hand.slot.unwrap_or_else(|| self.tree.slot(node));
            hand.slot = Some(slot);
            return Owner::Slot(slot);
        };
        hand.slot = None;
        let tree = &mut self.tree;
        let (_, slot) = *hand.links.entry(number).or_insert_with(|| {
            let child = tree.child(node, "Link");
            (child, tree.slot(child))
        });
        Owner::Slot(slot)
    }

    fn underline(
        &mut self,
        piece: &mut Piece<'a>,
        set: &Set,
        number: usize,
        part: &Part,
        (x, base, top, of): (f64, f64, f64, Type),
        hand: &Hand,
    ) {
        piece.rule(x, base + 1.4, part.width, 0.4, Colour::Ink);
        let (Some((node, _)), Some(link)) = (hand.links.get(&number), set.links.get(number)) else { return };
        let (to, words) = (link.to.clone(), link.words.clone());
        piece.areas.push(Area { x, y: top, width: part.width, height: of.leading, node: *node, to, words });
    }
}

/// What is remembered from one line of a text to its next.
struct Hand {
    links: BTreeMap<usize, (NodeId, Slot)>,
    slot: Option<Slot>,
}

/// Words in bold with the colour of the type.
pub fn in_bold(of: Type) -> Type {
    Type { face: Face::Bold, ..of }
}
