//! A sheet in the making: marks by layer, and what is taken up so that labels can keep clear of it.

use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Mark;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::drawing::at;
use crate::pack::figure::words;
use crate::pack::figure::words::SIZE;
use std::collections::BTreeSet;

/// Width of a sheet: A4 less 20 mm at each side.
pub(super) const WIDTH: f64 = 170.0;
/// The greatest height of a sheet.
pub(super) const HEIGHT: f64 = 250.0;
/// Height of a tag.
pub(super) const TAG: f64 = 4.3;

/// A place in millimetres.
pub(super) type Spot = (f64, f64);

/// A rectangle in millimetres: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rect {
    pub(super) x0: f64,
    pub(super) y0: f64,
    pub(super) x1: f64,
    pub(super) y1: f64,
}

impl Rect {
    pub(super) fn new(x0: f64, y0: f64, w: f64, h: f64) -> Self {
        Self { x0, y0, x1: x0 + w, y1: y0 + h }
    }

    pub(super) fn grown(self, by: f64) -> Self {
        Self { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    pub(super) fn inside(&self, other: &Self) -> bool {
        self.x0 >= other.x0 && self.x1 <= other.x1 && self.y0 >= other.y0 && self.y1 <= other.y1
    }

    /// Whether a straight piece touches it (the slab method).
    pub(super) fn cut_by(&self, a: Spot, b: Spot) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in [(a.0, b.0, self.x0, self.x1), (a.1, b.1, self.y0, self.y1)] {
            let run = end - start;
            if run.abs() < 1e-9 {
                if start <= low || start >= high {
                    return false;
                }
                continue;
            }
            let (one, two) = ((low - start) / run, (high - start) / run);
            from = from.max(one.min(two));
            to = to.min(one.max(two));
        }
        from < to
    }
}

/// What is drawn first lies lowest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Layer {
    Grey,
    Structure,
    Core,
    Pipe,
    Symbol,
    Dimension,
    Knock,
    Text,
}

/// A sign that a key explains, in the order in which a key lists them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sign {
    Laid,
    Planned,
    Existing,
    Temporary,
    Break,
    Unsure,
    EndOn,
    Opening,
}

/// How an id's tag is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TagStyle {
    /// Round ends for a pipe, square for all else.
    pub(super) pipe: bool,
    /// A second outline: it was there before.
    pub(super) existing: bool,
    /// A broken outline: planned.
    pub(super) planned: bool,
}

/// A sheet in the making.
#[derive(Clone, Debug, Default)]
pub(super) struct Sheet {
    marks: Vec<(u8, Mark)>,
    /// What text and tags take up.
    pub(super) boxes: Vec<Rect>,
    /// Lines that labels keep clear of.
    pub(super) lines: Vec<(Spot, Spot)>,
    /// Leaders, which never cross one another.
    pub(super) leaders: Vec<(Spot, Spot)>,
    /// Signs that stand on it.
    pub(super) signs: BTreeSet<Sign>,
    /// Labels that found no place, with their rank.
    pub(super) unplaced: Vec<(u8, String)>,
    /// Ids that their tags show cut.
    pub(super) cut: BTreeSet<String>,
}

impl Sheet {
    fn add(&mut self, layer: Layer, mark: Mark) {
        self.marks.push((layer as u8, mark));
    }

    /// A line that labels may cross.
    pub(super) fn faint(&mut self, layer: Layer, pen: Pen, points: &[Spot]) {
        let points = points.iter().map(|p| at(p.0, p.1)).collect();
        self.add(layer, Mark::Line { points, pen, closed: false });
    }

    /// A line that labels keep clear of.
    pub(super) fn line(&mut self, layer: Layer, pen: Pen, points: &[Spot]) {
        for pair in points.windows(2) {
            if let [a, b] = pair {
                self.lines.push((*a, *b));
            }
        }
        self.faint(layer, pen, points);
    }

    /// A closed outline that labels keep clear of.
    pub(super) fn outline(&mut self, layer: Layer, pen: Pen, r: Rect) {
        let corners = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)];
        let points = corners.iter().map(|p| at(p.0, p.1)).collect();
        self.add(layer, Mark::Line { points, pen, closed: true });
        self.boxes.push(r);
    }

    /// A filled polygon.
    pub(super) fn fill(&mut self, layer: Layer, paint: Paint, points: &[Spot]) {
        let points = points.iter().map(|p| at(p.0, p.1)).collect();
        self.add(layer, Mark::Fill { points, paint });
    }

    /// A filled rectangle.
    pub(super) fn block(&mut self, layer: Layer, paint: Paint, r: Rect) {
        self.fill(layer, paint, &[(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)]);
    }

    /// An ellipse.
    pub(super) fn ellipse(&mut self, layer: Layer, c: Spot, r: Spot, pen: Option<Pen>, paint: Option<Paint>) {
        let mark = Mark::Ellipse { centre: at(c.0, c.1), rx: r.0, ry: r.1, pen, paint };
        self.add(layer, mark);
    }

    /// The box that words take up with their base line at a place.
    pub(super) fn text_box(x: f64, y: f64, anchor: Anchor, words: &str, face: Face, size: f64) -> Rect {
        let w = crate::base::lettering::width(face, words, size);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - w / 2.0,
            Anchor::End => x - w,
        };
        let deep = words.contains(|c: char| "gjpqy,;()Q".contains(c));
        let under = if deep { 0.235 } else { 0.06 };
        Rect { x0: left, y0: y - 0.735 * size, x1: left + w, y1: y + under * size }
    }

    /// Words, taking up their box.
    pub(super) fn text(&mut self, x: f64, y: f64, anchor: Anchor, words: &str, face: Face, size: f64) {
        self.text_free(x, y, anchor, words, face, size);
        self.boxes.push(Self::text_box(x, y, anchor, words, face, size));
    }

    /// Words that stand inside a box which is already taken up.
    fn text_free(&mut self, x: f64, y: f64, anchor: Anchor, words: &str, face: Face, size: f64) {
        if words.is_empty() {
            return;
        }
        let mark = Mark::Text { at: at(x, y), anchor, text: words.to_owned(), size, face, turned: false };
        self.add(Layer::Text, mark);
    }

    /// Words turned a quarter to the left, reading upwards from a place.
    pub(super) fn turned(&mut self, x: f64, y: f64, words: &str, face: Face) {
        if words.is_empty() {
            return;
        }
        let mark =
            Mark::Text { at: at(x, y), anchor: Anchor::Start, text: words.to_owned(), size: SIZE, face, turned: true };
        self.add(Layer::Text, mark);
    }

    /// Plain words of a label, from their left end.
    pub(super) fn words(&mut self, x: f64, y: f64, words: &str) {
        self.text(x, y, Anchor::Start, words, Face::Regular, SIZE);
    }

    /// Width of an id's tag.
    pub(super) fn tag_width(id: &str) -> f64 {
        words::width(&words::tag(id), true, SIZE) + 2.2
    }

    /// An id in its tag, from the tag's left top corner; takes up its box.
    pub(super) fn tag(&mut self, x: f64, y: f64, id: &str, style: TagStyle) {
        let shown = words::tag(id);
        if words::is_cut(id) {
            self.cut.insert(id.to_owned());
        }
        let r = Rect::new(x, y, Self::tag_width(id), TAG);
        let around = if style.existing { r.grown(0.75) } else { r };
        self.boxes.push(around);
        self.block(Layer::Knock, Paint::Paper, around);
        if style.existing {
            self.tag_outline(around, style.pipe, Pen::Thin);
            self.signs.insert(Sign::Existing);
        }
        self.tag_outline(r, style.pipe, if style.planned { Pen::Zone } else { Pen::Box });
        if style.planned {
            self.signs.insert(Sign::Planned);
        }
        self.text_free(x + Self::tag_width(id) / 2.0, y + 3.08, Anchor::Middle, &shown, Face::Bold, SIZE);
    }

    fn tag_outline(&mut self, r: Rect, round: bool, pen: Pen) {
        let points = if round { rounded(r) } else { vec![(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)] };
        let points = points.iter().map(|p| at(p.0, p.1)).collect();
        self.add(Layer::Knock, Mark::Line { points, pen, closed: true });
    }

    /// Two oblique strokes across a run at a place, over a white gap; `h` is their height.
    pub(super) fn break_strokes(&mut self, c: Spot, h: f64) {
        let (x, y) = c;
        let half = h / 2.0;
        self.fill(
            Layer::Symbol,
            Paint::Paper,
            &[(x - 0.9, y + half), (x, y - half), (x + 0.9, y - half), (x, y + half)],
        );
        self.line(Layer::Symbol, Pen::Box, &[(x - 1.0, y + half), (x - 0.1, y - half)]);
        self.line(Layer::Symbol, Pen::Box, &[(x + 0.1, y + half), (x + 1.0, y - half)]);
        self.signs.insert(Sign::Break);
    }

    /// The break of a face: a thin line with one zigzag, standing 1 mm beyond it at both ends.
    pub(super) fn zigzag(&mut self, x0: f64, x1: f64, y: f64) {
        let m = (x0 + x1) / 2.0;
        let points =
            [(x0 - 1.0, y), (m - 1.0, y), (m - 0.45, y - 0.8), (m + 0.45, y + 0.8), (m + 1.0, y), (x1 + 1.0, y)];
        self.line(Layer::Symbol, Pen::Box, &points);
    }

    /// The flow arrow, pointing right.
    pub(super) fn arrow(&mut self, c: Spot) {
        let (x, y) = c;
        self.fill(Layer::Symbol, Paint::Black, &[(x + 1.4, y), (x - 1.4, y + 0.95), (x - 0.9, y), (x - 1.4, y - 0.95)]);
        self.boxes.push(Rect::new(x - 1.4, y - 0.95, 2.8, 1.9));
    }

    /// A tick of a dimension.
    pub(super) fn tick(&mut self, c: Spot) {
        self.faint(Layer::Dimension, Pen::Box, &[(c.0 - 0.7, c.1 + 0.7), (c.0 + 0.7, c.1 - 0.7)]);
    }

    /// The end of a leader.
    pub(super) fn dot(&mut self, c: Spot) {
        self.ellipse(Layer::Symbol, c, (0.45, 0.45), None, Some(Paint::Black));
    }

    /// Whether a box is clear of all that is taken up.
    pub(super) fn is_free(&self, r: Rect, area: &Rect) -> bool {
        let grown = r.grown(0.25);
        r.inside(area)
            && !self.boxes.iter().any(|b| b.meets(&grown))
            && !self.lines.iter().chain(&self.leaders).any(|(a, b)| grown.grown(0.2).cut_by(*a, *b))
    }

    /// The drawing: marks in the order of their layers.
    pub(super) fn finish(mut self, title: String, alt: String, height: f64) -> Drawing {
        self.marks.sort_by_key(|(layer, _)| *layer);
        let marks = self.marks.into_iter().map(|(_, mark)| mark).collect();
        Drawing { width: WIDTH, height: (height * 100.0).round() / 100.0, marks, alt, title }
    }
}

/// A rectangle with round ends, as a polygon.
fn rounded(r: Rect) -> Vec<Spot> {
    let radius = (r.y1 - r.y0) / 2.0;
    let middle = (r.y0 + r.y1) / 2.0;
    let mut points = Vec::new();
    for (cx, start) in [(r.x1 - radius, -90.0_f64), (r.x0 + radius, 90.0)] {
        for i in 0..=12 {
            let angle = (start + 15.0 * f64::from(i)).to_radians();
            points.push((cx + radius * libm::cos(angle), middle + radius * libm::sin(angle)));
        }
    }
    points
}
