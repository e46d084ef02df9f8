//! The faces of a PDF, cut down to the letters it shows.

use crate::base::drawing::Face;
use crate::base::drawing::Mark;
use crate::base::lettering;
use crate::render::RenderError;
use crate::render::pdf::flow::Placed;
use crate::render::pdf::piece::Ink;
use md5::Digest;
use printpdf::FontId;
use printpdf::FontMetrics;
use printpdf::ParsedFont;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// The characters that are shown, by face.
pub type Used = BTreeMap<Face, BTreeSet<char>>;

/// The name of a face in the PDF; fixed, so that the same document gives the same bytes.
pub fn font_id(face: Face) -> FontId {
    FontId(format!("F{}", face_name(face)))
}

fn face_name(face: Face) -> &'static str {
    match face {
        Face::Regular => "Regular",
        Face::Bold => "Bold",
        Face::Italic => "Italic",
    }
}

/// Gathers the characters of all pages.
pub fn used(placed: &Placed<'_>) -> Used {
    let mut used = Used::new();
    let mut add = |face: Face, text: &str| used.entry(face).or_default().extend(text.chars());
    for item in placed.pages.iter().flat_map(|p| &p.items) {
        match &item.ink {
            Ink::Text { text, face, .. } => add(*face, text),
            Ink::Drawing { drawing, .. } => {
                for mark in &drawing.marks {
                    if let Mark::Text { text, face, .. } = mark {
                        add(*face, text);
                    }
                }
            }
            Ink::Rule { .. } | Ink::Rect { .. } | Ink::Shape(_) | Ink::Photo { .. } => {}
        }
    }
    used
}

/// A face with only these characters.
///
/// # Errors
/// When the face cannot be read or cut down.
pub fn subset(face: Face, characters: &BTreeSet<char>) -> Result<ParsedFont, RenderError> {
    let fault = |what: &str| RenderError::Pdf(format!("Noto Sans {} {what}", face_name(face)));
    let font = lettering::open(face).ok_or_else(|| fault("cannot be read"))?;
    let glyphs: BTreeMap<char, u16> =
        characters.iter().filter_map(|c| lettering::glyph(face, *c).map(|g| (*c, g.0))).collect();
    let sorted: BTreeSet<u16> = glyphs.values().copied().collect();
    let mut remapper = subsetter::GlyphRemapper::new();
    let numbers: BTreeMap<u16, u16> = sorted.iter().map(|g| (*g, remapper.remap(*g))).collect();
    let bytes = subsetter::subset(lettering::bytes(face), 0, &remapper).map_err(|e| fault(&e.to_string()))?;
    let width = |g: u16| font.glyph_hor_advance(ttf_parser::GlyphId(g)).unwrap_or(0);
    let widths = numbers.iter().map(|(old, new)| (*new, width(*old))).collect();
    let cmap = glyphs.iter().map(|(c, g)| (u32::from(*c), numbers.get(g).copied().unwrap_or(0))).collect();
    let name = format!("{}+NotoSans-{}", tag(&bytes), face_name(face));
    let metrics = FontMetrics { ascent: font.ascender(), descent: font.descender() };
    let mut parsed = ParsedFont::with_glyph_data(bytes, 0, Some(name), cmap, widths, font.units_per_em(), metrics);
    let bounds = font.global_bounding_box();
    let stub = &mut parsed.pdf_font_metrics;
    (stub.x_min, stub.y_min, stub.x_max, stub.y_max) = (bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max);
    stub.us_weight_class = font.weight().to_number();
    if face == Face::Italic {
        // The slope of the face's own caret: 12 degrees.
        (stub.caret_slope_rise, stub.caret_slope_run) = (1000, 213);
    }
    Ok(parsed)
}

/// Six letters that follow from the bytes of a subset.
fn tag(bytes: &[u8]) -> String {
    md5::Md5::digest(bytes).iter().take(6).map(|b| char::from(b'A' + b % 26)).collect()
}
