//! Figures and photos.

use crate::base::doc::Figure;
use crate::base::doc::Photo;
use crate::base::doc::id;
use crate::base::doc::plain;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::column;
use crate::render::pdf::lines::set;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Extent;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Item;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::BODY;
use crate::render::pdf::sheet::BOTTOM;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::SMALL;
use crate::render::pdf::sheet::TOP;
use crate::render::pdf::sheet::WIDTH;
use crate::render::pdf::tree::NodeId;

/// Width of a photo's frame, two to a row.
pub const FRAME: f64 = 86.0 * MM;
/// Height of a photo's frame.
pub const FRAME_HEIGHT: f64 = 64.5 * MM;

/// A side of a drawing in millimetres that a page can be made of.
fn side_length(mm: f64) -> f64 {
    if mm.is_finite() { mm.clamp(1.0, 9000.0) } else { 1.0 }
}

impl<'a> Composer<'a> {
    /// A drawing over the text block.
    pub fn figure(&mut self, figure: &'a Figure) {
        let piece = self.figure_piece(figure, WIDTH, 0);
        self.pieces.push(Piece { before: 5.0, ..piece });
    }

    /// A drawing with its caption; at its own size unless that does not fit `width` or a page.
    pub fn figure_piece(&mut self, figure: &'a Figure, width: f64, parent: NodeId) -> Piece<'a> {
        let drawing = &figure.drawing;
        let node = self.tree.child(parent, "Figure");
        let alt = if drawing.alt.is_empty() { drawing.title.clone() } else { drawing.alt.clone() };
        self.tree.edit(node, |n| n.alt = Some(alt));
        let caption = set(&figure.caption, BODY, width, self.pages);
        let (across, down) = (side_length(drawing.width), side_length(drawing.height));
        let room = BOTTOM - TOP - caption.lines.len() as f64 * BODY.leading - 40.0;
        let fit = (width / (across * MM)).min(room.max(MM) / (down * MM)).min(1.0);
        let scale = MM * fit;
        let (wide, high) = (across * scale, down * scale);
        let owner = Owner::Slot(self.tree.slot(node));
        let mut piece = Piece { height: high + 2.0, ..Piece::default() };
        let ink = Ink::Drawing { drawing, scale };
        piece.items.push(Item { x: 0.0, y: 0.0, top: 0.0, bottom: high, ink, owner });
        piece.extents.push(Extent { node, x: 0.0, y: 0.0, width: wide, height: high });
        piece.anchor(&figure.anchor, 0.0);
        if !drawing.title.is_empty() {
            piece.entries.push(Entry { level: 3, text: drawing.title.clone(), y: 0.0 });
        }
        if !caption.lines.is_empty() {
            let node = self.tree.child(node, "Caption");
            let y = piece.height;
            piece.height += self.put(&mut piece, &caption, BODY, column(0.0, y, width), Of::Node(node));
        }
        piece
    }

    /// Photos, two to a row.
    pub fn photos(&mut self, photos: &'a [Photo]) {
        for row in photos.chunks(2) {
            let mut piece = Piece { before: 5.0, ..Piece::default() };
            for (i, photo) in row.iter().enumerate() {
                let cell = self.photo(photo);
                piece.height = piece.height.max(cell.height);
                piece.absorb(cell, i as f64 * (FRAME + 4.0 * MM), 0.0);
            }
            self.pieces.push(piece);
        }
    }

    fn photo(&mut self, photo: &'a Photo) -> Piece<'a> {
        self.framed_photo(photo, 0, (FRAME, FRAME_HEIGHT))
    }

    /// A photo in a frame of a size; it stands in the middle of the frame, in a field whose sides are as 4 to 3.
    pub fn framed_photo(&mut self, photo: &'a Photo, parent: NodeId, (wide, high): (f64, f64)) -> Piece<'a> {
        let node = self.tree.child(parent, "Figure");
        let alt = if photo.alt.is_empty() { photo.missing.clone() } else { photo.alt.clone() };
        self.tree.edit(node, |n| n.alt = Some(alt));
        let mut piece = Piece::default();
        match photo.file.as_deref() {
            Some(file) => {
                let number = self.photo_number(file);
                let owner = Owner::Slot(self.tree.slot(node));
                let ink = Ink::Photo { number, height: high };
                let x = ((wide - high * 4.0 / 3.0) / 2.0).max(0.0);
                piece.items.push(Item { x, y: 0.0, top: 0.0, bottom: high, ink, owner });
            }
            None => self.empty_frame(&mut piece, photo, node, (wide, high)),
        }
        let outline = Some((0.5, Colour::Hair));
        let frame = Ink::Rect { width: wide, height: high, fill: None, outline };
        piece.ornament(0.0, 0.0, high, frame);
        piece.extents.push(Extent { node, x: 0.0, y: 0.0, width: wide, height: high });
        piece.anchor(&photo.anchor, 0.0);
        let mut line = Vec::new();
        if !photo.id.is_empty() {
            line.extend([id(&photo.id), plain(" ")]);
        }
        line.extend(photo.caption.iter().cloned());
        piece.height = high + 2.0;
        if !line.is_empty() {
            let caption = self.tree.child(node, "Caption");
            let place = column(0.0, piece.height, wide);
            piece.height += self.write(&mut piece, &line, BODY, place, Of::Node(caption));
        }
        piece
    }

    fn empty_frame(&mut self, piece: &mut Piece<'a>, photo: &Photo, node: NodeId, (wide, high): (f64, f64)) {
        let words = set(&vec![plain(&photo.missing)], SMALL, wide * 0.7, self.pages);
        let height = words.lines.len() as f64 * SMALL.leading;
        let widest = words.lines.iter().map(|l| l.width).fold(0.0, f64::max);
        let place = column((wide - widest) / 2.0, (high - height) / 2.0, widest);
        self.put(piece, &words, SMALL, place, Of::Node(node));
    }

    fn photo_number(&mut self, file: &'a str) -> usize {
        self.photos.iter().position(|f| *f == file).unwrap_or_else(|| {
            self.photos.push(file);
            self.photos.len() - 1
        })
    }
}
