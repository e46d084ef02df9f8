//! Draws the marks of a page with printpdf; decides nothing. All points of the PDF are made here.

use crate::base::doc::Shape;
use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Mark;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::drawing::Point as At;
use crate::base::lettering;
use crate::render::pdf::fonts::font_id;
use crate::render::pdf::pictures::FRAME_HEIGHT;
use crate::render::pdf::piece::Ink;
use crate::render::pdf::piece::Item;
use crate::render::pdf::piece::Owner;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::SHAPE;
use crate::render::pdf::sheet::SHEET_HEIGHT;
use printpdf::Color;
use printpdf::DictItem;
use printpdf::Line;
use printpdf::LineDashPattern;
use printpdf::LineJoinStyle;
use printpdf::LinePoint;
use printpdf::Op;
use printpdf::PaintMode;
use printpdf::PdfFontHandle;
use printpdf::Point;
use printpdf::Polygon;
use printpdf::PolygonRing;
use printpdf::Pt;
use printpdf::Rgb;
use printpdf::TextItem;
use printpdf::TextMatrix;
use printpdf::WindingOrder;
use printpdf::XObjectId;
use printpdf::XObjectTransform;
use std::collections::BTreeMap;

/// How far a circle's handles lie from its points, for a radius of 1.
const HANDLE: f64 = 0.552_284_75;

/// A page being drawn.
pub struct Canvas<'s> {
    /// The operations so far.
    pub ops: Vec<Op>,
    /// Whether a coordinate was not finite or off every sheet.
    pub is_broken: bool,
    /// For each slot, the pages and numbers under which its marks stand.
    slots: &'s mut [Vec<(usize, i64)>],
    page: usize,
    next: i64,
    open: Option<Owner>,
    fill: Option<Colour>,
}

/// The name under which a photo's form is found.
pub fn photo_name(number: usize) -> XObjectId {
    XObjectId(format!("Ph{number}"))
}

impl<'s> Canvas<'s> {
    /// An empty page.
    pub fn new(page: usize, slots: &'s mut [Vec<(usize, i64)>]) -> Self {
        let ops = vec![Op::SetLineJoinStyle { join: LineJoinStyle::Round }];
        Canvas { ops, is_broken: false, slots, page, next: 0, open: None, fill: None }
    }

    /// Draws a mark, under its element.
    pub fn item(&mut self, item: &Item<'_>) {
        self.begin(item.owner);
        let (x, y) = (item.x, item.y);
        match &item.ink {
            Ink::Text { text, face, size, colour } => self.text(text, *face, *size, *colour, [1.0, 0.0, x, y]),
            Ink::Rule { length, thickness, colour } => {
                self.pen(*thickness, *colour, &[]);
                self.stroke(&[(x, y), (x + length, y)], false);
            }
            Ink::Rect { width, height, fill, outline } => self.rect(x, y, *width, *height, *fill, *outline),
            Ink::Shape(shape) => self.shape(*shape, x, y),
            Ink::Drawing { drawing, scale } => self.drawing(drawing, x, y, *scale),
            Ink::Photo { number, height } => self.photo(*number, x, y + height, height / FRAME_HEIGHT),
        }
    }

    /// Ends the page.
    pub fn finish(&mut self) {
        if self.open.take().is_some() {
            self.ops.push(Op::EndMarkedContent);
        }
    }

    fn begin(&mut self, owner: Owner) {
        if self.open == Some(owner) {
            return;
        }
        self.finish();
        self.open = Some(owner);
        let name = |text: &str| DictItem::Name(text.as_bytes().to_vec());
        let (tag, map) = match owner {
            Owner::Slot(slot) => {
                let number = self.next;
                self.next += 1;
                if let Some(marks) = self.slots.get_mut(slot) {
                    marks.push((self.page, number));
                }
                ("Span", vec![("MCID", DictItem::Int(number))])
            }
            Owner::Ornament => ("Artifact", vec![("Type", name("Layout"))]),
            Owner::RunningHead => ("Artifact", vec![("Type", name("Pagination")), ("Subtype", name("Header"))]),
            Owner::Foot => ("Artifact", vec![("Type", name("Pagination")), ("Subtype", name("Footer"))]),
        };
        let map: BTreeMap<String, DictItem> = map.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
        self.ops.push(Op::BeginMarkedContentWithProperties { tag: tag.to_owned(), properties: DictItem::Dict { map } });
    }

    /// A number of the PDF, to a thousandth of a point.
    fn number(&mut self, value: f64) -> f32 {
        if !value.is_finite() || value.abs() > 32_000.0 {
            self.is_broken = true;
            return 0.0;
        }
        let rounded = (value * 1000.0).round() / 1000.0;
        rounded as f32
    }

    fn point(&mut self, x: f64, y: f64) -> Point {
        Point { x: Pt(self.number(x)), y: Pt(self.number(SHEET_HEIGHT - y)) }
    }

    fn points(&mut self, points: &[(f64, f64)]) -> Vec<LinePoint> {
        points.iter().map(|(x, y)| LinePoint { p: self.point(*x, *y), bezier: false }).collect()
    }

    fn colour(colour: Colour) -> Color {
        let [r, g, b] = colour.rgb().map(|c| (f64::from(c) / 255.0 * 1000.0).round() as f32 / 1000.0);
        Color::Rgb(Rgb { r, g, b, icc_profile: None })
    }

    fn fill(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.fill = Some(colour);
            self.ops.push(Op::SetFillColor { col: Self::colour(colour) });
        }
    }

    fn pen(&mut self, thickness: f64, colour: Colour, dashes: &[f32]) {
        let pt = Pt(self.number(thickness));
        self.ops.push(Op::SetOutlineColor { col: Self::colour(colour) });
        self.ops.push(Op::SetOutlineThickness { pt });
        self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, dashes) });
    }

    fn stroke(&mut self, points: &[(f64, f64)], is_closed: bool) {
        let points = self.points(points);
        self.ops.push(Op::DrawLine { line: Line { points, is_closed } });
    }

    fn polygon(&mut self, points: Vec<LinePoint>, mode: PaintMode) {
        let polygon = Polygon { rings: vec![PolygonRing { points }], mode, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn text(&mut self, text: &str, face: Face, size: f64, colour: Colour, [cos, sin, x, y]: [f64; 4]) {
        self.fill(colour);
        let at = self.point(x, y);
        let (cos, sin, size) = (self.number(cos), self.number(sin), Pt(self.number(size)));
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font: PdfFontHandle::External(font_id(face)), size },
            Op::SetTextMatrix { matrix: TextMatrix::Raw([cos, sin, -sin, cos, at.x.0, at.y.0]) },
            Op::ShowText { items: vec![TextItem::Text(text.to_owned())] },
            Op::EndTextSection,
        ]);
    }

    fn rect(&mut self, x: f64, y: f64, w: f64, h: f64, fill: Option<Colour>, outline: Option<(f64, Colour)>) {
        if let Some(colour) = fill {
            self.fill(colour);
            let points = self.points(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)]);
            self.polygon(points, PaintMode::Fill);
        }
        if let Some((thickness, colour)) = outline {
            let d = thickness / 2.0;
            self.pen(thickness, colour, &[]);
            self.stroke(&[(x + d, y + d), (x + w - d, y + d), (x + w - d, y + h - d), (x + d, y + h - d)], true);
        }
    }

    /// The points of an ellipse, from the top to the right, round; `half` gives its left half only.
    fn ellipse(&mut self, (cx, cy): (f64, f64), rx: f64, ry: f64, half: bool) -> Vec<LinePoint> {
        let (hx, hy) = (rx * HANDLE, ry * HANDLE);
        let right = [
            (cx + hx, cy - ry, true),
            (cx + rx, cy - hy, true),
            (cx + rx, cy, false),
            (cx + rx, cy + hy, true),
            (cx + hx, cy + ry, true),
            (cx, cy + ry, false),
        ];
        let left = [
            (cx - hx, cy + ry, true),
            (cx - rx, cy + hy, true),
            (cx - rx, cy, false),
            (cx - rx, cy - hy, true),
            (cx - hx, cy - ry, true),
            (cx, cy - ry, false),
        ];
        let start = if half { (cx, cy + ry, false) } else { (cx, cy - ry, false) };
        let skipped = if half { right.len() } else { 0 };
        let all = std::iter::once(start).chain(right.into_iter().skip(skipped)).chain(left);
        all.map(|(x, y, bezier)| LinePoint { p: self.point(x, y), bezier }).collect()
    }

    /// A verdict's shape, drawn on a square of ten by ten units.
    fn shape(&mut self, shape: Shape, x: f64, y: f64) {
        let unit = SHAPE / 10.0;
        let centre = (x + 5.0 * unit, y + 5.0 * unit);
        self.fill(Colour::Black);
        match shape {
            Shape::Disc => {
                let points = self.ellipse(centre, 4.1 * unit, 4.1 * unit, false);
                self.polygon(points, PaintMode::Fill);
            }
            Shape::HalfDisc => {
                let points = self.ellipse(centre, 4.1 * unit, 4.1 * unit, true);
                self.polygon(points, PaintMode::Fill);
                self.ring(centre, 4.1 * unit, 1.3 * unit);
            }
            Shape::Ring => self.ring(centre, 4.0 * unit, 1.4 * unit),
            Shape::Triangle => {
                let corners = [(5.0, -0.4), (10.4, 9.4), (-0.4, 9.4)].map(|(a, b)| (x + a * unit, y + b * unit));
                let points = self.points(&corners);
                self.polygon(points, PaintMode::Fill);
            }
            Shape::Dash => {
                self.pen(1.6 * unit, Colour::Black, &[]);
                self.stroke(&[(x + 0.8 * unit, centre.1), (x + 9.2 * unit, centre.1)], false);
            }
        }
    }

    fn ring(&mut self, centre: (f64, f64), radius: f64, thickness: f64) {
        self.pen(thickness, Colour::Black, &[]);
        let points = self.ellipse(centre, radius, radius, false);
        self.polygon(points, PaintMode::Stroke);
    }

    fn drawing(&mut self, drawing: &Drawing, x: f64, y: f64, scale: f64) {
        let place = |p: At| (x + p.x * scale, y + p.y * scale);
        for mark in &drawing.marks {
            match mark {
                Mark::Line { points, pen, closed } => {
                    let points: Vec<_> = points.iter().map(|p| place(*p)).collect();
                    self.mark_pen(*pen, scale);
                    self.stroke(&points, *closed);
                }
                Mark::Fill { points, paint } => {
                    self.fill(paint_colour(*paint));
                    let corners: Vec<_> = points.iter().map(|p| place(*p)).collect();
                    let points = self.points(&corners);
                    self.polygon(points, PaintMode::Fill);
                }
                Mark::Ellipse { centre, rx, ry, pen, paint } => {
                    let (centre, rx, ry) = (place(*centre), rx * scale, ry * scale);
                    if let Some(paint) = paint {
                        self.fill(paint_colour(*paint));
                        let points = self.ellipse(centre, rx, ry, false);
                        self.polygon(points, PaintMode::Fill);
                    }
                    if let Some(pen) = pen {
                        self.mark_pen(*pen, scale);
                        let points = self.ellipse(centre, rx, ry, false);
                        self.polygon(points, PaintMode::Stroke);
                    }
                }
                Mark::Text { at, anchor, text, size, face, turned } => {
                    let back = lettering::width(*face, text, size * scale) * share(*anchor);
                    let (x, y) = place(*at);
                    let (matrix, x, y) = if *turned { ([0.0, 1.0], x, y + back) } else { ([1.0, 0.0], x - back, y) };
                    self.text(text, *face, size * scale, Colour::Black, [matrix[0], matrix[1], x, y]);
                }
            }
        }
    }

    fn mark_pen(&mut self, pen: Pen, scale: f64) {
        let dashes: Vec<f32> = pen.dashes().iter().map(|d| self.number(d * scale)).collect();
        self.pen(pen.thickness() * scale, Colour::Black, &dashes);
    }

    /// A photo; its form is made for the frame of the photo pages, and smaller frames scale it.
    fn photo(&mut self, number: usize, x: f64, bottom: f64, scale: f64) {
        let at = self.point(x, bottom);
        let transform = XObjectTransform {
            translate_x: Some(at.x),
            translate_y: Some(at.y),
            no_auto_scale: true,
            scale_x: ((scale - 1.0).abs() > f64::EPSILON).then_some(scale as f32),
            scale_y: ((scale - 1.0).abs() > f64::EPSILON).then_some(scale as f32),
            ..XObjectTransform::default()
        };
        self.ops.push(Op::UseXobject { id: photo_name(number), transform });
    }
}

/// How much of a text lies before its point.
fn share(anchor: Anchor) -> f64 {
    match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => 0.5,
        Anchor::End => 1.0,
    }
}

fn paint_colour(paint: Paint) -> Colour {
    match paint {
        Paint::Black => Colour::Black,
        Paint::Paper => Colour::White,
        Paint::Grey => Colour::Grey,
    }
}
