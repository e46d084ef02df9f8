//! A figure without a back end: marks in paper millimetres, with roles instead of colours.
//!
//! Origin top left, x to the right, y down. SVG and PDF draw the same marks, so they cannot disagree.

/// A point on the sheet in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// A point, rounded to 0.01 mm. A value that is not finite, or off any sheet, is brought to the nearest end of ±9,000 mm.
pub fn at(x: f64, y: f64) -> Point {
    Point { x: tidy(x), y: tidy(y) }
}

fn tidy(v: f64) -> f64 {
    if v.is_nan() {
        return 0.0;
    }
    let rounded = (v.clamp(-9000.0, 9000.0) * 100.0).round() / 100.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// What a line is for; its thickness and dashes follow from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pen {
    /// Box round a verdict that must not be missed: 1.4.
    Heavy,
    /// Chamber cover in section: 1.0.
    Cover,
    /// Installed run on a schematic, one line: 0.8.
    Run,
    /// Planned run on a schematic: 0.7, long dashes.
    RunPlanned,
    /// Existing run on a schematic: 0.35.
    RunExisting,
    /// Levelled surface, head rule, trench outline: 0.7.
    Ground,
    /// Surface between two known levels: 0.5, long dashes.
    GroundUnsure,
    /// Soffit and invert, chamber outline: 0.5.
    Wall,
    /// Planned part: 0.5, dashes.
    WallPlanned,
    /// Existing pipe or chamber: 0.3.
    WallExisting,
    /// Temporary pipe: 0.5, chain.
    Temporary,
    /// Limit of a rule: 0.7, dashes.
    Limit,
    /// Datum line, chart base: 0.5.
    Datum,
    /// Wall or floor face, heavier rule of a strip: 0.35.
    Structure,
    /// Face whose place or size is not recorded: 0.35, dashes.
    StructureUnsure,
    /// Id tag, break strokes, dimension ticks: 0.35.
    Box,
    /// Small symbols: 0.25.
    Fine,
    /// Edge of a zone, planned tag, bracket of an unplaced item: 0.25, dashes.
    Zone,
    /// Dimension, leader, strip rule, hatch: 0.18.
    Thin,
    /// Carried from the object to a table: 0.18, dashes.
    Projection,
    /// Axis: 0.18, chain.
    Centre,
}

impl Pen {
    /// Every pen, in the order of the sheet's table.
    pub const ALL: [Pen; 21] = [
        Pen::Heavy,
        Pen::Cover,
        Pen::Run,
        Pen::RunPlanned,
        Pen::RunExisting,
        Pen::Ground,
        Pen::GroundUnsure,
        Pen::Wall,
        Pen::WallPlanned,
        Pen::WallExisting,
        Pen::Temporary,
        Pen::Limit,
        Pen::Datum,
        Pen::Structure,
        Pen::StructureUnsure,
        Pen::Box,
        Pen::Fine,
        Pen::Zone,
        Pen::Thin,
        Pen::Projection,
        Pen::Centre,
    ];

    /// Thickness in millimetres.
    pub fn thickness(self) -> f64 {
        match self {
            Pen::Heavy => 1.4,
            Pen::Cover => 1.0,
            Pen::Run => 0.8,
            Pen::RunPlanned | Pen::Ground | Pen::Limit => 0.7,
            Pen::GroundUnsure | Pen::Wall | Pen::WallPlanned | Pen::Temporary | Pen::Datum => 0.5,
            Pen::RunExisting | Pen::Structure | Pen::StructureUnsure | Pen::Box => 0.35,
            Pen::WallExisting => 0.3,
            Pen::Fine | Pen::Zone => 0.25,
            Pen::Thin | Pen::Projection | Pen::Centre => 0.18,
        }
    }

    /// Dashes, on and off in millimetres; empty for a solid line.
    pub fn dashes(self) -> &'static [f64] {
        match self {
            Pen::RunPlanned => &[3.2, 1.6],
            Pen::GroundUnsure => &[5.0, 1.6],
            Pen::WallPlanned => &[3.0, 1.4],
            Pen::Temporary => &[4.0, 1.2, 0.5, 1.2],
            Pen::Limit => &[2.4, 1.2],
            Pen::StructureUnsure => &[1.8, 1.1],
            Pen::Zone => &[1.2, 0.9],
            Pen::Projection => &[1.2, 1.0],
            Pen::Centre => &[6.0, 1.2, 1.0, 1.2],
            Pen::Heavy
            | Pen::Cover
            | Pen::Run
            | Pen::RunExisting
            | Pen::Ground
            | Pen::Wall
            | Pen::WallExisting
            | Pen::Datum
            | Pen::Structure
            | Pen::Box
            | Pen::Fine
            | Pen::Thin => &[],
        }
    }
}

/// What fills a shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paint {
    /// Black.
    Black,
    /// Paper: a knock-out behind text or a pipe's core.
    Paper,
    /// The one grey, for cut building elements only.
    Grey,
}

/// Where a text's point lies on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// At its left end.
    Start,
    /// At its middle.
    Middle,
    /// At its right end.
    End,
}

/// The faces that carry text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Noto Sans Regular.
    Regular,
    /// Noto Sans Bold.
    Bold,
    /// Noto Sans Italic.
    Italic,
}

/// One mark of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Straight pieces through the points; closed ones return to the first.
    Line {
        /// Two points or more.
        points: Vec<Point>,
        /// What the line is for.
        pen: Pen,
        /// Whether the last point joins the first.
        closed: bool,
    },
    /// A filled polygon without outline.
    Fill {
        /// Three points or more.
        points: Vec<Point>,
        /// What fills it.
        paint: Paint,
    },
    /// An ellipse; filled, outlined or both.
    Ellipse {
        /// Its centre.
        centre: Point,
        /// Half its width.
        rx: f64,
        /// Half its height.
        ry: f64,
        /// Its outline.
        pen: Option<Pen>,
        /// Its fill.
        paint: Option<Paint>,
    },
    /// A level line of text; the point lies on its base line.
    Text {
        /// Where.
        at: Point,
        /// Which end of the text that is.
        anchor: Anchor,
        /// The words.
        text: String,
        /// Size in millimetres (3.52 mm is 10 pt).
        size: f64,
        /// The face.
        face: Face,
        /// Turned a quarter to the left, to read from below upwards.
        turned: bool,
    },
}

/// A whole figure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// The marks, in the order in which they are drawn.
    pub marks: Vec<Mark>,
    /// The figure in words, from the same numbers; under 900 characters.
    pub alt: String,
    /// Its title, for the outline and the screen reader.
    pub title: String,
}
