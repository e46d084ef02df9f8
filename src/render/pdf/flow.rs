//! Puts pieces on pages: what must stay together stays together, and heads are repeated after a break.

use crate::base::doc::Bar;
use crate::render::pdf::piece::Area;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Extent;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Item;
use crate::render::pdf::piece::Margin;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::piece::Repeat;
use crate::render::pdf::sheet::BOTTOM;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::LEFT;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::TOP;
use crate::render::pdf::sheet::WIDTH;
use std::collections::BTreeMap;
use std::collections::VecDeque;
use std::rc::Rc;

/// A page with its marks, in points from the sheet's top left corner.
#[derive(Debug, Default)]
pub struct Page<'a> {
    /// The marks.
    pub items: Vec<Item<'a>>,
    /// The links.
    pub areas: Vec<Area>,
}

/// All pages, and where things stand on them.
#[derive(Debug, Default)]
pub struct Placed<'a> {
    /// The pages.
    pub pages: Vec<Page<'a>>,
    /// Page (from 0) and y of every anchor.
    pub anchors: BTreeMap<String, (usize, f64)>,
    /// The outline, with the page of each entry.
    pub entries: Vec<(usize, Entry)>,
    /// The figures, with the page of each.
    pub extents: Vec<(usize, Extent)>,
}

/// Places pieces in order.
pub fn flow(pieces: Vec<Piece<'_>>) -> Placed<'_> {
    let mut flow =
        Flow { placed: Placed::default(), cautions: 0, y: TOP, fresh: true, bar: None, last: None, beside: None };
    flow.placed.pages.push(Page::default());
    let mut queue: VecDeque<Piece> = pieces.into();
    while !queue.is_empty() {
        flow.group(&mut queue);
    }
    flow.end_bar();
    flow.placed
}

/// Room that must stay free under a piece for the copy of its table's key.
fn foot_height(piece: &Piece<'_>) -> f64 {
    piece.repeat.as_ref().and_then(|r| r.foot.as_ref()).map_or(0.0, |f| f.height)
}

/// So many cautions stand on a page, and no more: who meets ten at once reads none.
const CAUTIONS_ON_A_PAGE: usize = 4;

struct Flow<'a> {
    placed: Placed<'a>,
    /// How many cautions stand on the page.
    cautions: usize,
    y: f64,
    /// Whether nothing stands on the page yet.
    fresh: bool,
    bar: Option<(Margin, f64, f64)>,
    /// What the piece placed last wants before a break: a closing rule, a copy of its key.
    last: Option<Rc<Repeat<'a>>>,
    /// A head repeated beside rows, and where it ends: the next block stands below both.
    beside: Option<(Rc<Repeat<'a>>, f64)>,
}

impl<'a> Flow<'a> {
    /// Places the pieces that stay together with the first one.
    fn group(&mut self, queue: &mut VecDeque<Piece<'a>>) {
        let size = 1 + queue.iter().take_while(|p| p.keep).count();
        let size = size.min(queue.len());
        let begins = queue.front().is_some_and(|p| p.new_page);
        let cautions = queue.iter().take(size).filter(|p| p.caution).count();
        let too_many = cautions > 0 && self.cautions > 0 && self.cautions + cautions > CAUTIONS_ON_A_PAGE;
        if (begins || too_many) && !self.fresh {
            self.new_page();
        }
        let height: f64 = queue.iter().take(size).map(|p| p.height + p.before).sum();
        let first = queue.front().map_or(0.0, |p| p.before);
        let foot = queue.iter().take(size).map(foot_height).fold(0.0, f64::max);
        if self.y + height + foot > BOTTOM + 0.1 && !self.fresh {
            let continued = queue.front().is_some_and(|p| p.repeat.is_some());
            // What is taller than a page anyway need not leave this one empty.
            let fits_a_page = height + foot - first <= BOTTOM - TOP;
            if fits_a_page || self.y > (TOP + BOTTOM) / 2.0 {
                self.close(continued);
                self.new_page();
            }
        }
        for _ in 0..size {
            if let Some(piece) = queue.pop_front() {
                self.one(piece, queue);
            }
        }
    }

    fn one(&mut self, mut piece: Piece<'a>, queue: &mut VecDeque<Piece<'a>>) {
        self.clear_of_head(&piece);
        if self.fresh {
            self.repeat(&piece);
        } else {
            self.y += piece.before;
        }
        let room = BOTTOM - self.y - foot_height(&piece);
        if piece.height > room + 0.1 {
            if !self.fresh && piece.height <= BOTTOM - TOP {
                return self.next_page(piece, queue);
            }
            match piece.split(room) {
                Ok((above, below)) => {
                    queue.push_front(below);
                    piece = above;
                }
                Err(whole) if self.fresh => piece = *whole,
                Err(whole) => return self.next_page(*whole, queue),
            }
        }
        self.put(piece);
    }

    /// Goes below a repeated head that is taller than the rows that were left to it.
    fn clear_of_head(&mut self, piece: &Piece<'a>) {
        let Some((head, end)) = self.beside.as_ref() else { return };
        if !piece.repeat.as_ref().is_some_and(|own| Rc::ptr_eq(own, head)) {
            self.y = self.y.max(*end);
            self.beside = None;
        }
    }

    fn next_page(&mut self, piece: Piece<'a>, queue: &mut VecDeque<Piece<'a>>) {
        self.close(piece.repeat.is_some());
        self.new_page();
        self.one(piece, queue);
    }

    /// Sets the repeated head at the top of a page.
    fn repeat(&mut self, piece: &Piece<'a>) {
        let Some(repeat) = piece.repeat.as_ref() else { return };
        let head = repeat.head.clone();
        self.beside = repeat.beside.then(|| (Rc::clone(repeat), self.y + head.height));
        let height = if repeat.beside { 0.0 } else { head.height };
        self.put(Piece { height, ..head });
        self.fresh = true;
    }

    fn put(&mut self, piece: Piece<'a>) {
        let page = self.placed.pages.len() - 1;
        let y = self.y;
        if piece.hairline && !self.fresh {
            self.draw(LEFT, y, Ink::Rule { length: WIDTH, thickness: 0.35, colour: Colour::Hair });
        }
        self.margin(piece.margin, y, y + piece.height);
        self.last = piece.repeat.clone();
        self.cautions += usize::from(piece.caution);
        let mut on_page = Piece::default();
        let height = piece.height;
        on_page.absorb(piece, LEFT, y);
        for (name, at) in on_page.anchors {
            self.placed.anchors.entry(name).or_insert((page, at));
        }
        self.placed.entries.extend(on_page.entries.into_iter().map(|e| (page, e)));
        self.placed.extents.extend(on_page.extents.into_iter().map(|e| (page, e)));
        if let Some(page) = self.placed.pages.last_mut() {
            page.items.extend(on_page.items);
            page.areas.extend(on_page.areas);
        }
        self.y += height;
        self.fresh = false;
    }

    fn draw(&mut self, x: f64, y: f64, ink: Ink<'a>) {
        if let Some(page) = self.placed.pages.last_mut() {
            page.items.push(Item { x, y, top: y, bottom: y, ink, owner: Owner::Ornament });
        }
    }

    /// Ends the part of a table that stands before a break.
    fn close(&mut self, continued: bool) {
        let Some(last) = self.last.take().filter(|l| l.close && continued) else { return };
        let y = self.y;
        self.draw(LEFT, y, Ink::Rule { length: WIDTH, thickness: 0.75, colour: Colour::Black });
        if let Some(foot) = last.foot.clone() {
            let mut placed = Piece::default();
            placed.absorb(foot, LEFT, y);
            if let Some(page) = self.placed.pages.last_mut() {
                page.items.extend(placed.items);
            }
        }
    }

    fn new_page(&mut self) {
        self.end_bar();
        self.placed.pages.push(Page::default());
        (self.y, self.fresh, self.last, self.beside) = (TOP, true, None, None);
        self.cautions = 0;
    }

    fn margin(&mut self, margin: Option<Margin>, top: f64, bottom: f64) {
        match (margin, &mut self.bar) {
            (Some(new), Some((old, _, end))) if new == *old => *end = bottom,
            _ => {
                self.end_bar();
                self.bar = margin.filter(|m| m.bar != Bar::None).map(|m| (m, top, bottom));
            }
        }
    }

    fn end_bar(&mut self) {
        let Some((margin, top, bottom)) = self.bar.take() else { return };
        let (fill, outline) = match margin.bar {
            Bar::Solid => (Some(Colour::Black), None),
            Bar::Hollow | Bar::None => (None, Some((0.6, Colour::Black))),
        };
        let height = (bottom - top - 1.6).max(2.0);
        self.draw(LEFT - 3.6 * MM, top + 0.8, Ink::Rect { width: 1.1 * MM, height, fill, outline });
    }
}
