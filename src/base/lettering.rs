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
