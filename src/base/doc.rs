//! A document before any page, colour or font: what the pack says and in which order.
//!
//! The pack builds these blocks, templates place them by name, and each back end (HTML, Markdown, PDF) draws every
//! one. Text inside is plain text from the record or from us: it is never parsed again. Longer than most files: one model,
//! which every back end reads as a whole.

use crate::base::drawing::Drawing;
use std::collections::BTreeMap;

/// A run of rich text; a cell, a sentence, a head.
pub type Line = Vec<Run>;

/// One piece of a [`Line`].
#[derive(Clone, Debug, PartialEq)]
pub enum Run {
    /// Words in one style.
    Text {
        /// The words, as they are to be read.
        text: String,
        /// How they look.
        style: Style,
    },
    /// The drawn shape of a verdict; an ornament, since the word follows.
    Shape(Shape),
    /// Words that lead somewhere.
    Link {
        /// The words.
        text: String,
        /// Where they lead.
        to: Target,
    },
    /// The page on which an anchor stands, as `p 8`; nothing where there are no pages.
    Page(String),
    /// A line to write on; on a screen "not in the record".
    WriteIn {
        /// Its length in millimetres.
        mm: u16,
    },
}

/// How a [`Run::Text`] looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Body text.
    Plain,
    /// Heads, *not met*, and a number or date that decides something.
    Bold,
    /// Only for *recalled*.
    Italic,
    /// Grey helping words.
    Soft,
    /// An id: bold, in the one ink.
    Id,
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Target {
    /// An anchor of this document.
    Here(String),
    /// An outside address; only http, https, mailto and tel are ever built.
    Outside(String),
}

/// The shapes that stand before the words of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Filled disc: met.
    Disc,
    /// Ring with its left half filled: met, inside the spread.
    HalfDisc,
    /// Ring: not shown.
    Ring,
    /// Filled triangle, point up: not met.
    Triangle,
    /// Short bar: not applicable, or existing and not judged.
    Dash,
}

/// The bar in the margin beside a row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bar {
    /// None: met, or replaced.
    #[default]
    None,
    /// Solid: not met.
    Solid,
    /// Hollow: something is not shown.
    Hollow,
}

/// One block of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The pack's title; once, first.
    Title(Line),
    /// A section head.
    Heading(Heading),
    /// A paragraph.
    Paragraph(Line),
    /// A list with a dot before each item.
    List(Vec<Line>),
    /// The facts under the title, three to a row.
    Facts(Vec<Fact>),
    /// A block with its head in the left column.
    Side(Side),
    /// A table of the schedule kind.
    Schedule(Schedule),
    /// The key under a table: small text over the full width.
    Key(Line),
    /// A drawing.
    Figure(Figure),
    /// Photos, two to a row.
    Photos(Vec<Photo>),
    /// A finding with its items.
    Finding(FindingBlock),
    /// A pipe through a part of the building, with its photos beside it.
    Penetration(Penetration),
    /// A caution in its frame.
    Caution(Caution),
    /// The owner's title, in large type, with a line under it.
    Opening(Opening),
    /// A numbered step of the owner's first page, in larger type.
    Step(Step),
    /// What must never be done, in a frame with a black field on top.
    Never(Never),
    /// What follows starts on a new page.
    NewPage,
}

/// A section head.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heading {
    /// 2 for a section, 3 for a part of one.
    pub level: u8,
    /// The section's number, printed in ink.
    pub number: Option<String>,
    /// The words.
    pub text: Line,
    /// What all rows below share: units, datum, spread.
    pub note: Line,
    /// Its anchor.
    pub anchor: Option<String>,
}

/// A label and its value under the title.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// The label.
    pub label: String,
    /// The value; a [`Run::WriteIn`] when it is not in the record.
    pub value: Line,
}

/// A block whose head stands in the left column.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// The head, in bold.
    pub head: String,
    /// A small note under the head.
    pub note: String,
    /// Its anchor.
    pub anchor: String,
    /// Whether the rule above is the strong one (first and last block).
    pub strong: bool,
    /// The rows; a block that would be empty says so in one row.
    pub rows: Vec<SideRow>,
    /// A figure instead of, or below, the rows.
    pub figure: Option<Figure>,
    /// The bar beside the whole block.
    pub bar: Bar,
    /// Whether a second page begins here when the blocks up to the next page do not fit on one.
    pub may_begin_page: bool,
}

/// A row of a [`Side`] block.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SideRow {
    /// Shape and ids; empty lets the text start at the id column.
    pub ids: Line,
    /// What is so.
    pub text: Line,
    /// When, or the clause; empty lets the text run on.
    pub right: Line,
    /// Lines to write on, set at the right half of the text.
    pub write_lines: u8,
    /// Its anchor.
    pub anchor: Option<String>,
}

/// A table of the schedule kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Schedule {
    /// Said to a screen reader in place of a caption.
    pub summary: String,
    /// The columns; the first is the id's.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A column of a [`Schedule`].
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// One or two lines of head.
    pub head: Vec<String>,
    /// Width in millimetres; all columns of a schedule sum to 176.
    pub mm: f64,
    /// Which edge the cells keep.
    pub align: Align,
}

/// Which edge a column keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// The left edge.
    Left,
    /// The right edge: numbers.
    Right,
}

/// A row of a [`Schedule`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// The id that hangs at the left edge; empty for a row of notes.
    pub id: String,
    /// Its anchor, as a rule `item-ID`.
    pub anchor: Option<String>,
    /// One cell a column after the first; each has one or two lines.
    pub cells: Vec<Vec<Line>>,
    /// Full-width lines under the row.
    pub reasons: Vec<Line>,
    /// The bar beside the row.
    pub bar: Bar,
}

/// A drawing with its words, in one shape or two. Both shapes hold the same words and numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its anchor.
    pub anchor: String,
    /// The marks for paper and wide screens.
    pub drawing: Drawing,
    /// The marks for a narrow screen; `None` lets the drawing scroll there.
    pub upright: Option<Drawing>,
    /// A caption, when the drawing does not carry its own title.
    pub caption: Line,
}

/// A photo, or an empty frame where one is wanted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Photo {
    /// Its id; empty for a missing photo.
    pub id: String,
    /// Its anchor.
    pub anchor: String,
    /// Path as the record names it; `None` draws the empty frame.
    pub file: Option<String>,
    /// Words of the empty frame: "no photo of …".
    pub missing: String,
    /// What it shows, direction, date and where the date comes from.
    pub caption: Line,
    /// What a screen reader says in its place.
    pub alt: String,
}

/// A pipe through a part of the building: what is so, face by face, and up to two photos beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Penetration {
    /// Its id.
    pub id: String,
    /// Its anchor.
    pub anchor: String,
    /// The pipe and what it goes through.
    pub head: String,
    /// What is recorded of pipe, hole and element.
    pub facts: Vec<Line>,
    /// Each face, and what is between them: its name and what is so.
    pub faces: Vec<Case>,
    /// What needs saying under them.
    pub reasons: Vec<Line>,
    /// At most two photos.
    pub photos: Vec<Photo>,
    /// The bar beside it.
    pub bar: Bar,
}

/// A finding: a rule, a limit, and the items it speaks of.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingBlock {
    /// The verdict's shape.
    pub shape: Shape,
    /// The verdict's word, for the side head.
    pub word: String,
    /// A small note under the word ("replaced by T3").
    pub note: String,
    /// What the rule asks.
    pub title: String,
    /// The clause, right of the title.
    pub clause: Line,
    /// The items, the worst first.
    pub items: Vec<FindingItem>,
    /// What is proposed, or what would settle it.
    pub closing: Line,
    /// The bar beside it.
    pub bar: Bar,
    /// Its anchor.
    pub anchor: String,
}

/// One item of a [`FindingBlock`].
#[derive(Clone, Debug, PartialEq)]
pub struct FindingItem {
    /// Ids.
    pub ids: Line,
    /// What was found.
    pub measured: Line,
    /// What is asked.
    pub limit: Line,
    /// "record line 83".
    pub line: String,
    /// A link to the item's row.
    pub see: Line,
}

/// A caution.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// The ids that call for it.
    pub ids: String,
    /// What can hurt.
    pub text: Line,
    /// Who it is left to.
    pub leave_to: Line,
}

/// The title of the owner's first page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Opening {
    /// The title.
    pub title: Line,
    /// Whom it concerns, in a line.
    pub under: Line,
}

/// A step of the owner's first page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Step {
    /// Its number, set large in ink.
    pub number: String,
    /// What to do.
    pub head: String,
    /// Its anchor.
    pub anchor: String,
    /// What it holds, in order.
    pub parts: Vec<StepPart>,
}

/// A part of a [`Step`].
#[derive(Clone, Debug, PartialEq)]
pub enum StepPart {
    /// A paragraph.
    Text(Line),
    /// What is found at the left, what to do at the right.
    Cases(Vec<Case>),
    /// Labels with a value or a line to write on, two to a row.
    Blanks(Vec<Fact>),
    /// A picture over the whole width.
    Picture(Figure),
    /// A photo with short paragraphs beside it, in two columns.
    Beside {
        /// The photo, or the empty frame where one is wanted.
        photo: Photo,
        /// The left column, then the right one.
        columns: [Vec<Line>; 2],
    },
}

/// What may be found, and what to do then.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Case {
    /// What is found.
    pub found: Line,
    /// What that means, and what to do.
    pub then: Line,
}

/// The owner's box of what must never be done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Never {
    /// The word on the black field.
    pub head: String,
    /// One thing each.
    pub items: Vec<Line>,
}

/// What a pack hands to the renderer: facts for the templates, and the blocks they place by name.
#[derive(Clone, Debug, Default)]
pub struct Parts {
    /// Blocks by name; a fence ```` ```block NAME ```` in a template places them.
    pub blocks: BTreeMap<String, Vec<Block>>,
    /// Notes by name; a heading with `note=NAME` carries it at its right.
    pub notes: BTreeMap<String, Line>,
}

/// Words in the plain style.
pub fn plain(text: impl Into<String>) -> Run {
    Run::Text { text: text.into(), style: Style::Plain }
}

/// Words in bold.
pub fn bold(text: impl Into<String>) -> Run {
    Run::Text { text: text.into(), style: Style::Bold }
}

/// Words in italic: *recalled* only.
pub fn italic(text: impl Into<String>) -> Run {
    Run::Text { text: text.into(), style: Style::Italic }
}

/// Grey helping words.
pub fn soft(text: impl Into<String>) -> Run {
    Run::Text { text: text.into(), style: Style::Soft }
}

/// An id in ink.
pub fn id(text: impl Into<String>) -> Run {
    Run::Text { text: text.into(), style: Style::Id }
}

/// The words of a line, without style, shapes or pages.
pub fn words(line: &Line) -> String {
    let mut out = String::new();
    for run in line {
        match run {
            Run::Text { text, .. } | Run::Link { text, .. } => out.push_str(text),
            Run::Shape(_) | Run::Page(_) | Run::WriteIn { .. } => {}
        }
    }
    out
}
