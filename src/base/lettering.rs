//! The faces and the widths of their letters; the only room that opens the font files.
//!
//! Figures and pages are measured with the same whole thousandths of an em that the PDF states, so that what is
//! set flush right is flush.

use crate::base::drawing::Face;
use std::sync::OnceLock;
use ttf_parser::GlyphId;

/// The bytes of a face: Noto Sans 1.04, SIL Open Font Licence.
pub fn bytes(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => notosans::REGULAR_TTF,
        Face::Bold => notosans::BOLD_TTF,
        Face::Italic => notosans::ITALIC_TTF,
    }
}

/// A face with its glyph numbers.
pub fn open(face: Face) -> Option<&'static ttf_parser::Face<'static>> {
    static FACES: [OnceLock<Option<ttf_parser::Face<'static>>>; 3] =
        [OnceLock::new(), OnceLock::new(), OnceLock::new()];
    let slot = match face {
        Face::Regular => &FACES[0],
        Face::Bold => &FACES[1],
        Face::Italic => &FACES[2],
    };
    slot.get_or_init(|| ttf_parser::Face::parse(bytes(face), 0).ok()).as_ref()
}

/// The glyph of a character, or `None` where the face has none.
pub fn glyph(face: Face, c: char) -> Option<GlyphId> {
    open(face)?.glyph_index(c).filter(|g| g.0 != 0)
}

/// Advance of a character in whole thousandths of an em; zero where the face has no glyph.
pub fn advance(face: Face, c: char) -> u32 {
    let Some(f) = open(face) else { return 0 };
    let Some(g) = glyph(face, c) else { return 0 };
    u32::from(f.glyph_hor_advance(g).unwrap_or(0)) * 1000 / u32::from(f.units_per_em().max(1))
}

/// Width of a text at a size, in the unit of the size.
pub fn width(face: Face, text: &str, size: f64) -> f64 {
    let thousandths: u64 = text.chars().map(|c| u64::from(advance(face, c))).sum();
    thousandths as f64 * size / 1000.0
}

/// Whether every one of the three faces can show the character.
pub fn can_show(c: char) -> bool {
    [Face::Regular, Face::Bold, Face::Italic].into_iter().all(|f| glyph(f, c).is_some())
}

/// The outlines of a character as polygons in ems, y upwards from the base line; empty where the face has no glyph.
/// Curves become straight pieces, short enough for lettering of any size on a page.
pub fn outlines(face: Face, c: char) -> Vec<Vec<(f64, f64)>> {
    let (Some(f), Some(g)) = (open(face), glyph(face, c)) else { return Vec::new() };
    let mut pen = Outliner { contours: Vec::new(), at: (0.0, 0.0), scale: 1.0 / f64::from(f.units_per_em().max(1)) };
    f.outline_glyph(g, &mut pen);
    pen.contours
}

/// Into how many straight pieces a curve is cut.
const PIECES: u32 = 6;

struct Outliner {
    contours: Vec<Vec<(f64, f64)>>,
    at: (f64, f64),
    scale: f64,
}

impl Outliner {
    fn point(&self, x: f32, y: f32) -> (f64, f64) {
        (f64::from(x) * self.scale, f64::from(y) * self.scale)
    }

    fn go(&mut self, to: (f64, f64)) {
        if let Some(contour) = self.contours.last_mut() {
            contour.push(to);
        }
        self.at = to;
    }
}

impl ttf_parser::OutlineBuilder for Outliner {
    fn move_to(&mut self, x: f32, y: f32) {
        self.contours.push(Vec::new());
        let to = self.point(x, y);
        self.go(to);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let to = self.point(x, y);
        self.go(to);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (a, b, c) = (self.at, self.point(x1, y1), self.point(x, y));
        for i in 1..=PIECES {
            let t = f64::from(i) / f64::from(PIECES);
            let mix = |a: f64, b: f64, c: f64| (1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c;
            self.go((mix(a.0, b.0, c.0), mix(a.1, b.1, c.1)));
        }
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (a, b, c, d) = (self.at, self.point(x1, y1), self.point(x2, y2), self.point(x, y));
        for i in 1..=PIECES {
            let t = f64::from(i) / f64::from(PIECES);
            let u = 1.0 - t;
            let mix = |a: f64, b: f64, c: f64, d: f64| {
                u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
            };
            self.go((mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1)));
        }
    }

    fn close(&mut self) {}
}
