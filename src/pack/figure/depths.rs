//! Depth dimensions: floor or cover to invert.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::pack::figure::label::Label;
use crate::pack::figure::model::PointAt;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Spot;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;

/// From a point to its depth dimension, the usual place first.
const DEPTH_AT: [f64; 8] = [7.6, 9.2, 6.0, 11.0, -8.0, -6.2, -10.0, 4.6];
/// Where along a dimension its figure stands.
const FIGURE_AT: [f64; 5] = [0.5, 0.38, 0.62, 0.27, 0.75];

impl Profile<'_> {
    /// Floor or cover to invert, right of the point, left at the last.
    pub(super) fn depth(&mut self, point: &PointAt) {
        let (Some(depth), Some(surface)) = (point.depth, point.surface) else { return };
        let Some(il) = point.il_out.or(point.il_in) else { return };
        let (top, bottom) = (self.frame.y(surface.value.um()), self.frame.y(il.value.um()));
        let told = words::about(depth.how, depth.value.metres(3));
        let (x, half) = (self.x(point), self.half(point));
        let last = point.end;
        let w = words::width(&told, false, SIZE);
        let left = self.small;
        for dx in DEPTH_AT {
            let at =
                x + if last || left { -dx } else { dx } + if dx > 0.0 && !last && !left { half - 0.9 } else { 0.0 };
            let line = Rect { x0: at - 0.9, y0: top + 0.6, x1: at + 0.9, y1: bottom - 0.6 };
            if self.sheet.boxes.iter().any(|b| b.meets(&line)) {
                continue;
            }
            for (f, beside) in [0.0, -1.0, 1.0].iter().flat_map(|b| FIGURE_AT.map(|f| (f, *b))) {
                let y = top + (bottom - top) * f;
                let middle = at + beside * (w / 2.0 + 1.0);
                let r = Rect { x0: middle - w / 2.0, y0: y - 1.5, x1: middle + w / 2.0, y1: y + 1.5 };
                if self.sheet.is_free(r.grown(0.3), &self.area) {
                    self.dimension((x, half), at, (top, bottom), (middle, y), &told);
                    return;
                }
            }
        }
    }

    /// The invert at the head of a small section, which no strip tells.
    pub(super) fn invert(&mut self, point: &PointAt) {
        let (Some(il), false) = (point.il_out, point.end) else { return };
        let told = format!("IL {}", self.section.shown(il));
        let label = Label::of(3, &[&told]);
        let (w, _) = label.size();
        let (x, y) = (self.x(point), self.frame.y(il.value.um()));
        let spots = [(x - w - 2.4, y - 3.4), (x - w - 2.4, y - 1.0), (x - w - 2.4, y + 1.0)];
        label.place(self.sheet, &spots, Some((x, y)), &self.area);
    }

    pub(super) fn dimension(&mut self, (x, half): Spot, at: f64, (top, bottom): Spot, (middle, y): Spot, told: &str) {
        let beyond = if at > x { 0.8 } else { -0.8 };
        let from = if at > x { x + half + 0.6 } else { x - half - 0.6 };
        self.sheet.line(Layer::Dimension, Pen::Thin, &[(at, top), (at, bottom)]);
        for end in [top, bottom] {
            self.sheet.faint(Layer::Dimension, Pen::Thin, &[(from, end), (at + beyond, end)]);
            self.sheet.tick((at, end));
        }
        let w = words::width(told, false, SIZE);
        let gap = Rect { x0: middle - w / 2.0 - 0.3, y0: y - 1.7, x1: middle + w / 2.0 + 0.3, y1: y + 1.7 };
        self.sheet.block(Layer::Knock, Paint::Paper, gap);
        self.sheet.text(middle, y + 1.27, Anchor::Middle, told, Face::Regular, SIZE);
        self.depths.push(at);
    }
}
