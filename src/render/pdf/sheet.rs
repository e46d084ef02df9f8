//! The sheet and its measures: millimetres of A4, sizes of type, and the inks.

use crate::base::drawing::Face;

/// One millimetre in points.
pub const MM: f64 = 72.0 / 25.4;
/// Height of the sheet in points.
pub const SHEET_HEIGHT: f64 = 297.0 * MM;
/// Left edge of the text block: the side that is punched.
pub const LEFT: f64 = 20.0 * MM;
/// Top of the text block.
pub const TOP: f64 = 22.0 * MM;
/// Bottom of the text block.
pub const BOTTOM: f64 = 279.0 * MM;
/// Width of the text block.
pub const WIDTH: f64 = 176.0 * MM;
/// Width of the column of side heads.
pub const HEAD: f64 = 27.0 * MM;
/// Width of the content beside a side head; also the longest line of a paragraph.
pub const CONTENT: f64 = 149.0 * MM;
/// Width of the column of ids inside the content.
pub const IDS: f64 = 26.0 * MM;
/// Width of the right column inside the content.
pub const RIGHT: f64 = 35.0 * MM;
/// Space between two columns.
pub const GAP: f64 = 2.0 * MM;
/// Height of a verdict's shape.
pub const SHAPE: f64 = 2.7 * MM;
/// Space after a verdict's shape.
pub const SHAPE_GAP: f64 = 1.0 * MM;

/// What a mark is drawn in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    /// Text and rules.
    Black,
    /// The one ink: ids, section numbers, section rules, links.
    Ink,
    /// Helping words.
    Soft,
    /// Hairlines.
    Hair,
    /// Cut building elements.
    Grey,
    /// Paper, and words on black.
    White,
}

impl Colour {
    /// Red, green and blue from 0 to 255.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Colour::Black => [0, 0, 0],
            Colour::Ink => [0x5f, 0x3a, 0x1c],
            Colour::Soft => [0x4a, 0x4a, 0x4a],
            Colour::Hair => [0x8c, 0x8c, 0x8c],
            Colour::Grey => [0xcf, 0xcf, 0xcf],
            Colour::White => [0xff, 0xff, 0xff],
        }
    }
}

/// A size of type with its leading, both in points, and the face and colour of plain words in it.
#[derive(Clone, Copy, Debug)]
pub struct Type {
    /// Size.
    pub size: f64,
    /// From one base line to the next.
    pub leading: f64,
    /// Face of plain words.
    pub face: Face,
    /// Colour of plain words.
    pub colour: Colour,
}

const fn of(size: f64, leading: f64, face: Face, colour: Colour) -> Type {
    Type { size, leading, face, colour }
}

/// The pack's title.
pub const TITLE: Type = of(15.0, 18.0, Face::Bold, Colour::Black);
/// A section head.
pub const SECTION: Type = of(11.0, 15.0, Face::Bold, Colour::Black);
/// A head within a section.
pub const PART: Type = of(9.0, 12.0, Face::Bold, Colour::Black);
/// The note at the right of a section head.
pub const NOTE: Type = of(8.5, 15.0, Face::Regular, Colour::Black);
/// Running text.
pub const TEXT: Type = of(9.0, 12.0, Face::Regular, Colour::Black);
/// A side head.
pub const SIDE_HEAD: Type = of(9.0, 11.5, Face::Bold, Colour::Black);
/// The small note under a side head.
pub const SIDE_NOTE: Type = of(8.0, 10.0, Face::Regular, Colour::Soft);
/// The body of a table or a list of the first page.
pub const BODY: Type = of(8.5, 11.0, Face::Regular, Colour::Black);
/// The head of a table.
pub const TABLE_HEAD: Type = of(8.0, 10.0, Face::Bold, Colour::Black);
/// Keys, running head, foot.
pub const SMALL: Type = of(8.0, 10.5, Face::Regular, Colour::Black);
/// The label of a fact.
pub const LABEL: Type = of(8.0, 12.5, Face::Regular, Colour::Soft);
/// The value of a fact.
pub const VALUE: Type = of(9.0, 12.5, Face::Regular, Colour::Black);

/// The title of the owner's first page.
pub const OWNER_TITLE: Type = of(20.0, 24.0, Face::Bold, Colour::Black);
/// The head of a step there.
pub const OWNER_HEAD: Type = of(12.0, 15.0, Face::Bold, Colour::Black);
/// The text there.
pub const OWNER_TEXT: Type = of(10.0, 13.0, Face::Regular, Colour::Black);
/// The number of a step.
pub const OWNER_NUMBER: Type = of(18.0, 20.0, Face::Bold, Colour::Ink);

impl Type {
    /// From the top of a line to its base line: the face's rise and fall stand in the middle of the leading.
    pub fn rise(self) -> f64 {
        (self.leading - 1.362 * self.size) / 2.0 + 1.069 * self.size
    }
}
