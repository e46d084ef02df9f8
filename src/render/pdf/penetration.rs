//! A pipe through a part of the building: text at the left, up to two photos at the right; one piece.

use crate::base::doc::Case;
use crate::base::doc::Penetration;
use crate::base::doc::bold;
use crate::base::doc::id;
use crate::base::doc::plain;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::compose::Of;
use crate::render::pdf::compose::column;
use crate::render::pdf::piece::Entry;
use crate::render::pdf::piece::Piece;
use crate::render::pdf::sheet::BODY;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::TEXT;
use crate::render::pdf::tree::NodeId;

/// Width of the text.
const WORDS: f64 = 62.0 * MM;
/// Width of the column with the names of the faces.
const NAMES: f64 = 15.0 * MM;
/// Left edge of the photos.
const PHOTOS: f64 = 66.0 * MM;
/// A photo's frame.
const FRAME: (f64, f64) = (53.5 * MM, 33.0 * MM);
/// Space between two photos.
const BETWEEN: f64 = 3.0 * MM;
/// Space above and below.
const PAD: f64 = 3.0;

impl<'a> Composer<'a> {
    /// A penetration with its photos.
    pub fn penetration(&mut self, penetration: &'a Penetration) {
        let hairline = !self.under_heading;
        let tag = self.heading_tag(3);
        let head = self.node(tag);
        let mut piece = Piece { hairline, ..Piece::default() };
        let words = vec![id(&penetration.id), plain(" "), bold(&penetration.head)];
        let mut y = PAD;
        y += self.write(&mut piece, &words, TEXT, column(0.0, y, WORDS), Of::Node(head));
        for fact in &penetration.facts {
            let node = self.node("P");
            y += self.write(&mut piece, fact, BODY, column(0.0, y, WORDS), Of::Node(node));
        }
        if !penetration.faces.is_empty() {
            let list = self.node("L");
            y += 2.0;
            for face in &penetration.faces {
                y += self.face(&mut piece, face, y, list);
            }
        }
        for reason in &penetration.reasons {
            let node = self.node("P");
            y += 2.0;
            y += self.write(&mut piece, reason, BODY, column(0.0, y, WORDS), Of::Node(node));
        }
        let mut bottom = y;
        for (i, photo) in penetration.photos.iter().take(2).enumerate() {
            let framed = self.framed_photo(photo, 0, FRAME);
            bottom = bottom.max(PAD + framed.height);
            piece.absorb(framed, PHOTOS + i as f64 * (FRAME.0 + BETWEEN), PAD);
        }
        piece.height = bottom + PAD;
        piece.anchor(&penetration.anchor, 0.0);
        let text = format!("{}: {}", penetration.id, penetration.head);
        piece.entries.push(Entry { level: 3, text, y: 0.0 });
        piece.margin = self.margin(penetration.bar);
        self.pieces.push(piece);
    }

    fn face(&mut self, piece: &mut Piece<'a>, face: &'a Case, y: f64, list: NodeId) -> f64 {
        let entry = self.tree.child(list, "LI");
        let body = self.tree.child(entry, "LBody");
        let mut name = face.found.clone();
        // The blank parts the name from the text for who listens.
        name.push(plain(" "));
        let left = self.write(piece, &name, BODY, column(0.0, y, NAMES - 2.0), Of::Node(body));
        let place = column(NAMES, y, WORDS - NAMES);
        left.max(self.write(piece, &face.then, BODY, place, Of::Node(body))) + 1.0
    }
}
