//! The nodes of the small plan: feet, chambers, outfalls and open ends.

use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::lettering;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::pack::figure::plan::ID;
use crate::pack::figure::plan::Plan;
use crate::pack::figure::plan::WIDTH;
use crate::pack::figure::plan::WORD;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::record::facts::stage_of;
use crate::record::words::Stage;

impl Plan<'_> {
    /// A foot, chamber, outfall or end of the spine, with its id.
    pub(super) fn node(&mut self, end: End, (x, y): Spot) {
        let id = words::tag(self.net.end_id(end));
        let w = lettering::width(Face::Bold, &id, ID);
        let over = [(x - w / 2.0, y - 4.4), (x - w / 2.0, y + 6.6), (x - w - 1.0, y - 4.4), (x + 1.0, y - 4.4)];
        let under = [(x - w / 2.0, y + 6.6), (x - w / 2.0, y - 4.4), (x + 3.0, y + 6.6)];
        let bold = |words: String| [(words, Face::Bold, ID)];
        match end {
            End::Pipe(p) if self.net.legs.get(p).is_some_and(|l| l.derived.kind == Kind::Stack) => {
                self.ring((x, y), 2.1);
                self.sheet.ellipse(Layer::Dimension, (x, y), (0.6, 0.6), None, Some(Paint::Black));
                self.put(&bold(id), &over);
            }
            End::Access(a) => {
                let item = self.net.record.access.at(a);
                let existing = item.is_some_and(|i| stage_of(&i.body.stage) == Stage::Existing);
                let square = item.and_then(|i| i.body.across.get()).is_some_and(|w| w.b.is_some());
                self.chamber((x, y), existing, square);
                let spots = if existing { over.as_slice() } else { under.as_slice() };
                self.put(&bold(id), spots);
            }
            End::Outfall(o) => self.outfall((x, y), o, id),
            End::Appliance(_) | End::Pipe(_) => {
                self.ring((x, y), 1.8);
                self.put(&bold(id), &over);
            }
            End::Temporary | End::Unknown | End::Absent => {
                self.sheet.break_strokes((x, y), 4.8);
                self.put(&bold("?".to_owned()), &[(x - 1.0, y - 4.4)]);
            }
        }
    }

    fn outfall(&mut self, (x, y): Spot, outfall: usize, id: String) {
        let id = words::fit(&id, true, ID, WIDTH - x - 2.0);
        self.put(&[(id, Face::Bold, ID)], &[(x + 1.4, y + 1.3), (x + 1.4, y - 3.0)]);
        let Some(item) = self.net.record.outfalls.at(outfall) else { return };
        let Some(carries) = item.body.carries.get() else { return };
        let how = self.net.record.how(&item.body.carries);
        let believed = how == crate::base::known::How::Believed;
        let told = if believed { format!("believed {}", carries.0) } else { carries.0.clone() };
        for (i, line) in words::wrap(&words::clean(&told), false, WORD, 20.0).iter().take(3).enumerate() {
            let low = y + 7.2 + 4.0 * i as f64;
            let wide = lettering::width(Face::Regular, line, WORD);
            let spots = [((x - 6.0).min(WIDTH - 21.0), low), ((x - 1.0).min(WIDTH - wide), low), (x + 1.4, low)];
            self.put(&[(line.clone(), Face::Regular, WORD)], &spots);
        }
    }

    pub(super) fn ring(&mut self, c: Spot, r: f64) {
        self.sheet.ellipse(Layer::Symbol, c, (r, r), Some(Pen::Wall), Some(Paint::Paper));
        self.sheet.boxes.push(Rect::new(c.0 - r, c.1 - r, 2.0 * r, 2.0 * r));
    }

    pub(super) fn chamber(&mut self, (x, y): Spot, existing: bool, square: bool) {
        if !square {
            let pen = if existing { Pen::WallExisting } else { Pen::Ground };
            self.sheet.ellipse(Layer::Symbol, (x, y), (2.3, 2.3), Some(pen), Some(Paint::Paper));
            self.sheet.boxes.push(Rect::new(x - 2.3, y - 2.3, 4.6, 4.6));
            return;
        }
        let outer = Rect::new(x - 2.5, y - 2.8, 5.0, 5.6);
        self.sheet.block(Layer::Symbol, Paint::Paper, outer);
        self.sheet.outline(Layer::Symbol, if existing { Pen::WallExisting } else { Pen::Wall }, outer);
        self.sheet.outline(Layer::Symbol, Pen::WallExisting, outer.grown(-0.8));
    }
}
