//! A piece: marks that stay together on one page, and what flows with them.

use crate::base::doc::Bar;
use crate::base::doc::Shape;
use crate::base::doc::Target;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::tree::NodeId;
use crate::render::pdf::tree::Slot;
use std::rc::Rc;

/// Whose a mark is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// Content of an element.
    Slot(Slot),
    /// An ornament, or a repeated head.
    Ornament,
    /// The running head.
    RunningHead,
    /// The foot.
    Foot,
}

/// One mark; x and y are those of its piece, and later of its page, in points with y downwards.
#[derive(Clone, Debug)]
pub struct Item<'a> {
    /// Its left edge.
    pub x: f64,
    /// The base line of words; the top edge of all else.
    pub y: f64,
    /// Its top edge.
    pub top: f64,
    /// Its bottom edge.
    pub bottom: f64,
    /// What it is.
    pub ink: Ink<'a>,
    /// Whose it is.
    pub owner: Owner,
}

/// What a mark is.
#[derive(Clone, Debug)]
pub enum Ink<'a> {
    /// Words.
    Text {
        /// The words.
        text: String,
        /// Their face.
        face: Face,
        /// Their size in points.
        size: f64,
        /// Their colour.
        colour: Colour,
    },
    /// A level rule; y is its middle.
    Rule {
        /// Its length.
        length: f64,
        /// Its thickness.
        thickness: f64,
        /// Its colour.
        colour: Colour,
    },
    /// A rectangle.
    Rect {
        /// Its width.
        width: f64,
        /// Its height.
        height: f64,
        /// Its fill.
        fill: Option<Colour>,
        /// Thickness and colour of its outline, which lies inside it.
        outline: Option<(f64, Colour)>,
    },
    /// A verdict's shape.
    Shape(Shape),
    /// A figure.
    Drawing {
        /// Its marks.
        drawing: &'a Drawing,
        /// Points for a millimetre of it.
        scale: f64,
    },
    /// A photo, letterboxed into its frame when it is written.
    Photo {
        /// Its number among the photos of the document.
        number: usize,
        /// Height of the frame.
        height: f64,
    },
}

/// An area that leads somewhere.
#[derive(Clone, Debug)]
pub struct Area {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Its Link element.
    pub node: NodeId,
    /// Where it leads.
    pub to: Target,
    /// Its words.
    pub words: String,
}

/// A line of the outline.
#[derive(Clone, Debug)]
pub struct Entry {
    /// 1 for the title, 2 for heads, 3 for what stands under them.
    pub level: u8,
    /// Its words.
    pub text: String,
    /// Where its head stands.
    pub y: f64,
}

/// Where a figure stands, for its BBox.
#[derive(Clone, Copy, Debug)]
pub struct Extent {
    /// The Figure element.
    pub node: NodeId,
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// A bar in the margin, and which bars join to one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Margin {
    /// What it says.
    pub bar: Bar,
    /// Bars of one group on one page are drawn as one.
    pub group: usize,
}

/// What is repeated at the top of a page that begins in the middle of something.
#[derive(Clone, Debug)]
pub struct Repeat<'a> {
    /// The head, all of it ornament.
    pub head: Piece<'a>,
    /// Whether a rule closes the part before a break.
    pub close: bool,
    /// Whether the head stands beside what follows instead of above it.
    pub beside: bool,
    /// The key under a table, which each of its pages gets.
    pub foot: Option<Piece<'a>>,
}

/// Marks that stay together.
#[derive(Clone, Debug, Default)]
pub struct Piece<'a> {
    /// Its height.
    pub height: f64,
    /// Space above it, dropped at the top of a page.
    pub before: f64,
    /// Whether it stays with the next piece.
    pub keep: bool,
    /// Whether it begins a page.
    pub new_page: bool,
    /// Whether it is a caution, of which a page takes few.
    pub caution: bool,
    /// Its marks.
    pub items: Vec<Item<'a>>,
    /// Its links.
    pub areas: Vec<Area>,
    /// Its anchors and where they stand.
    pub anchors: Vec<(String, f64)>,
    /// Its lines of the outline.
    pub entries: Vec<Entry>,
    /// Its figures.
    pub extents: Vec<Extent>,
    /// The bar beside it.
    pub margin: Option<Margin>,
    /// A hairline above it unless it is the first on its page or under a repeated head.
    pub hairline: bool,
    /// What is repeated when it is the first on its page.
    pub repeat: Option<Rc<Repeat<'a>>>,
}

impl<'a> Piece<'a> {
    /// Adds a mark that no screen reader speaks of.
    pub fn ornament(&mut self, x: f64, y: f64, height: f64, ink: Ink<'a>) {
        self.items.push(Item { x, y, top: y, bottom: y + height, ink, owner: Owner::Ornament });
    }

    /// Adds a level rule.
    pub fn rule(&mut self, x: f64, y: f64, length: f64, thickness: f64, colour: Colour) {
        self.ornament(x, y, 0.0, Ink::Rule { length, thickness, colour });
    }

    /// Adds an anchor, unless it is empty.
    pub fn anchor(&mut self, name: &str, y: f64) {
        if !name.is_empty() {
            self.anchors.push((name.to_owned(), y));
        }
    }

    /// Takes all marks of another piece, moved.
    pub fn absorb(&mut self, other: Piece<'a>, x: f64, y: f64) {
        let moved = |mut item: Item<'a>| {
            item.shift(x, y);
            item
        };
        self.items.extend(other.items.into_iter().map(moved));
        self.areas.extend(other.areas.into_iter().map(|a| Area { x: a.x + x, y: a.y + y, ..a }));
        self.anchors.extend(other.anchors.into_iter().map(|(name, at)| (name, at + y)));
        self.entries.extend(other.entries.into_iter().map(|e| Entry { y: e.y + y, ..e }));
        self.extents.extend(other.extents.into_iter().map(|e| Extent { x: e.x + x, y: e.y + y, ..e }));
    }

    /// Cuts the piece so that its first part is no higher than `room`. Lines, shapes and pictures go whole to one part
    /// or the other; only frames and fields are cut through.
    ///
    /// # Errors
    /// The piece as it was, when nothing of it fits or nothing would be left.
    pub fn split(self, room: f64) -> Result<(Piece<'a>, Piece<'a>), Box<Piece<'a>>> {
        let is_frame = |item: &Item| matches!(item.ink, Ink::Rect { .. });
        let (fit, rest): (Vec<&Item>, Vec<&Item>) =
            self.items.iter().filter(|i| !is_frame(i)).partition(|i| i.bottom <= room);
        let at = fit.iter().map(|i| i.bottom).fold(0.0, f64::max);
        let from = rest.iter().map(|i| i.top).fold(f64::INFINITY, f64::min);
        if at < 1.0 || !from.is_finite() {
            return Err(Box::new(self));
        }
        let mut above = Piece { height: at, before: self.before, hairline: self.hairline, ..self.remainder() };
        let mut below = Piece { height: self.height - from, ..self.remainder() };
        for item in self.items {
            let (first, second) = item.cut(at, room, from);
            above.items.extend(first);
            below.items.extend(second);
        }
        (above.areas, below.areas) = self.areas.into_iter().partition(|a| a.y + a.height <= room + 0.01);
        (above.extents, below.extents) = self.extents.into_iter().partition(|e| e.y + e.height <= room + 0.01);
        below.areas.iter_mut().for_each(|a| a.y -= from);
        below.extents.iter_mut().for_each(|e| e.y -= from);
        (above.anchors, above.entries) = (self.anchors, self.entries);
        Ok((above, below))
    }

    /// An empty part of this piece.
    fn remainder(&self) -> Piece<'a> {
        Piece { margin: self.margin, repeat: self.repeat.clone(), keep: false, ..Piece::default() }
    }
}

impl Item<'_> {
    /// The parts of the mark above and below a cut; what lies below moves up by `from`.
    fn cut(mut self, at: f64, room: f64, from: f64) -> (Option<Self>, Option<Self>) {
        let (top, bottom) = (self.top, self.bottom);
        if let Ink::Rect { width, fill, outline, .. } = self.ink
            && bottom > at
            && bottom - top > 1.0
        {
            let part = |y: f64, end: f64, like: &Self| {
                let ink = Ink::Rect { width, height: end - y, fill, outline };
                (end - y > 1.0).then(|| Item { y, top: y, bottom: end, ink, ..like.clone() })
            };
            return (part(top, at, &self), part((top - from).max(0.0), bottom - from, &self));
        }
        if bottom <= room {
            return (Some(self), None);
        }
        self.shift(0.0, -from);
        (None, Some(self))
    }

    /// Moves the mark.
    pub fn shift(&mut self, x: f64, y: f64) {
        self.x += x;
        self.y += y;
        self.top += y;
        self.bottom += y;
    }
}
