//! A side drain's own small section, below its main run at the same scales.

use crate::base::drawing::Anchor;
use crate::base::drawing::Face;
use crate::base::drawing::Pen;
use crate::base::units::Length;
use crate::network::Network;
use crate::pack::figure::foot;
use crate::pack::figure::layout;
use crate::pack::figure::layout::Frame;
use crate::pack::figure::layout::Scales;
use crate::pack::figure::model::Datum;
use crate::pack::figure::model::Section;
use crate::pack::figure::profile::Profile;
use crate::pack::figure::sheet::HEIGHT;
use crate::pack::figure::sheet::Layer;
use crate::pack::figure::sheet::Rect;
use crate::pack::figure::sheet::Sheet;
use crate::pack::figure::words;

/// Where the drain begins, where its staff stands, and where its room ends.
const LEFT: f64 = 43.0;
const STAFF: f64 = 12.6;
const RIGHT: f64 = 92.6;

/// The sheet with a small section on it.
pub(super) struct Small {
    pub(super) sheet: Sheet,
    pub(super) end: f64,
    pub(super) notes: Vec<String>,
}

/// Draws a side drain under `y` when there is room for it and every label that may not drop; else `None`.
pub(super) fn small(net: &Network<'_>, section: &Section, scales: Scales, sheet: &Sheet, y: f64) -> Option<Small> {
    let parts = layout::parts(section);
    let [part] = parts.as_slice() else { return None };
    if section.datum != Datum::Site {
        return None;
    }
    let (base, high) = layout::extent_over(section, &part.pieces, 20_000);
    let tall = Length::from_um(high.saturating_sub(base)).mm() / scales.up;
    let y_base = y + 13.0 + tall;
    let frame = Frame::over(section, &part.pieces, scales, LEFT, y_base, (base, high));
    if y_base + 2.0 > HEIGHT || frame.right() > LEFT + 24.0 {
        return None;
    }
    let mut sheet = sheet.clone();
    let before = sheet.unplaced.len();
    let piece = section.pieces.first().map_or("", |p| p.id.as_str());
    let (first, last) = section.names();
    let title = format!("Branch {}, {} to {}", words::tag(piece), words::tag(&first), words::tag(&last));
    let title = words::fit(&title, true, words::SUBHEAD, 62.0);
    sheet.text(0.0, y, Anchor::Start, &title, Face::Bold, words::SUBHEAD);
    let beside = words::width(&title, true, words::SUBHEAD) + 3.0;
    sheet.words(beside, y, "same scales");
    foot::staff(&mut sheet, section, &frame, STAFF, frame.y(high) - 2.0);
    sheet.line(Layer::Structure, Pen::Datum, &[(0.0, y_base), (78.0, y_base)]);
    let mut profile = Profile {
        net,
        section,
        part,
        frame: &frame,
        sheet: &mut sheet,
        area: Rect { x0: STAFF + 2.4, y0: y + 1.6, x1: RIGHT, y1: y_base - 0.4 },
        depths: Vec::new(),
        notes: Vec::new(),
        small: true,
    };
    profile.shapes();
    profile.labels();
    let notes = std::mem::take(&mut profile.notes);
    let lost = sheet.unplaced.iter().skip(before).any(|(rank, _)| *rank <= 4);
    (!lost).then_some(Small { sheet, end: y_base, notes })
}
