//! The owner's picture: at most three marks on one chain line, with paces between them. Not to scale, and nothing else.
//!
//! It is drawn twice from the same words: level for paper, upright for a telephone.

use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Mark;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::drawing::Point;
use crate::base::drawing::at;
use crate::base::lettering;
use crate::pack::figure::words::clean;

/// Size of the lettering: 10 points.
const SIZE: f64 = 3.53;
/// From one line of a label to the next.
const STEP: f64 = 4.2;
/// Half of a mark's size.
const MARK: f64 = 5.0;
/// Size of a numeral in a mark.
const NUMERAL: f64 = 5.6;
/// Width of the level picture.
const WIDE: f64 = 176.0;
/// Height of the level picture.
const HIGH: f64 = 47.0;
/// Width of the upright picture: 328 pixels of a telephone.
const NARROW: f64 = 80.0;

/// What stands on the picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnersPlan {
    /// The plug on the stack inside the house, when it has a mark.
    pub plug: Option<OwnersMark>,
    /// The covers from the house outwards, at most three; with a plug at most two.
    pub covers: Vec<OwnersMark>,
    /// The place the pipe comes out of, and whether the record knows a wall between it and the first cover.
    pub inside: Option<String>,
    /// Whether a wall stands between the house and the first cover.
    pub has_wall: bool,
    /// The place of the first cover.
    pub outside: Option<String>,
    /// Where the pipe leads, and whether it lies in a place of its own.
    pub beyond: Option<String>,
    /// The thing in the wall that the first cover is measured from, with the paces; only when it is straight out.
    pub from_thing: Option<(String, String)>,
    /// Paces along the drain from each cover to the next; `None` when not recorded.
    pub paces: Vec<Option<String>>,
    /// Whether the pipe after the last cover was there before.
    pub beyond_is_old: bool,
}

/// A mark.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnersMark {
    /// Its numeral.
    pub number: u8,
    /// `cover 1`.
    pub name: String,
    /// Words under the name.
    pub words: Vec<String>,
    /// Whether it is square; else round.
    pub square: bool,
}

/// The picture for paper, 176 mm wide.
pub fn level(plan: &OwnersPlan) -> Drawing {
    let mut sheet = Sheet { marks: Vec::new(), turned: false };
    let y = 30.0;
    let wall = if plan.plug.is_some() { 40.0 } else { 18.0 };
    let first = wall + 30.0;
    let last = 132.0;
    let count = plan.covers.len().max(2);
    let spot = |i: usize| first + (last - first) * i as f64 / (count - 1) as f64;
    let ends: Vec<f64> = (0..plan.covers.len()).map(spot).collect();
    sheet.run(plan, y, (if plan.plug.is_some() { 13.0 } else { 4.0 }, wall), &ends, 172.0);
    if plan.has_wall {
        sheet.wall(wall, (1.0, 45.0), plan.from_thing.as_ref().map(|t| t.0.as_str()));
    }
    if let (Some((_, paces)), Some(x)) = (&plan.from_thing, ends.first()) {
        sheet.dimension((wall + 3.6, *x), 20.5, (14.5, 24.6));
        sheet.text((wall + 3.6 + x) / 2.0, 19.0, Anchor::Middle, paces, Face::Bold);
    }
    for ((pair, paces), i) in ends.windows(2).zip(&plan.paces).zip(0..) {
        let [a, b] = pair else { continue };
        sheet.dimension((*a, *b), 38.6, (35.8, 40.2));
        let told = paces.clone().unwrap_or_else(|| "paces not recorded".to_owned());
        let room = b - a;
        let along = format!("{told}, along the drain");
        let told = if i == 0 && lettering::width(Face::Bold, &along, SIZE) < room { along } else { told };
        sheet.text((a + b) / 2.0, 43.4, Anchor::Middle, &told, Face::Bold);
    }
    for (mark, x) in plan.covers.iter().zip(&ends) {
        sheet.mark(mark, (*x, y));
        sheet.label(mark, *x + if *x < 100.0 && mark.number == 1 { 1.5 } else { -4.0 }, y - 11.0);
    }
    if let Some(plug) = &plan.plug {
        sheet.ring(plug, (13.0, y));
        sheet.label(plug, 2.0, y - 7.2 - STEP * plug.words.len() as f64);
    }
    sheet.place(plan.inside.as_deref(), 2.0, 44.4, Anchor::Start);
    if let Some(x) = ends.first() {
        let left = if plan.has_wall { wall + 5.6 } else { x - 16.0 };
        sheet.place(plan.outside.as_deref(), left, 44.4, Anchor::Start);
    }
    sheet.street(plan, 156.0, (1.0, 45.0), y);
    sheet.place(plan.beyond.as_deref(), 158.5, 44.4, Anchor::Start);
    sheet.finish(plan, (WIDE, HIGH))
}

/// The picture for a narrow screen, the flow downwards.
pub fn upright(plan: &OwnersPlan) -> Drawing {
    let mut sheet = Sheet { marks: Vec::new(), turned: true };
    let x = 33.0;
    let wall = if plan.plug.is_some() { 18.0 } else { 8.0 };
    let first = wall + if plan.from_thing.is_some() { 30.0 } else { 22.0 };
    let ends: Vec<f64> = (0..plan.covers.len()).map(|i| first + 32.0 * i as f64).collect();
    let last = ends.last().copied().unwrap_or(wall);
    let street = last + 15.0;
    sheet.run(plan, x, (if plan.plug.is_some() { 7.0 } else { 2.0 }, wall), &ends, street + 7.0);
    if plan.has_wall {
        sheet.wall(wall, (1.0, 78.0), plan.from_thing.as_ref().map(|t| t.0.as_str()));
    }
    if let (Some((_, paces)), Some(y)) = (&plan.from_thing, ends.first()) {
        sheet.dimension((wall + 3.6, *y), 28.0, (26.4, 30.0));
        sheet.text(26.0, (wall + 3.6 + y) / 2.0 + 4.5, Anchor::End, paces, Face::Bold);
    }
    for (pair, paces) in ends.windows(2).zip(&plan.paces) {
        let [a, b] = pair else { continue };
        sheet.dimension((*a, *b), 41.0, (38.6, 43.0));
        let told = paces.clone().unwrap_or_else(|| "paces not recorded".to_owned());
        sheet.text(43.0, (a + b) / 2.0 + 1.0, Anchor::Start, &told, Face::Bold);
        sheet.text(43.0, (a + b) / 2.0 + 1.0 + STEP, Anchor::Start, "along the drain", Face::Regular);
    }
    for (mark, y) in plan.covers.iter().zip(&ends) {
        sheet.mark(mark, (x, *y));
        sheet.label(mark, 45.0, *y - 2.0);
    }
    if let Some(plug) = &plan.plug {
        sheet.ring(plug, (x, 7.0));
        sheet.label(plug, 43.0, 5.0);
    }
    sheet.place(plan.inside.as_deref(), 1.0, wall - 2.0, Anchor::Start);
    sheet.place(plan.outside.as_deref(), 78.0, wall + 8.0, Anchor::End);
    sheet.street(plan, street, (1.0, 78.0), x);
    sheet.place(plan.beyond.as_deref(), 1.0, street + 4.6, Anchor::Start);
    sheet.finish(plan, (NARROW, street + 8.0))
}

/// Marks in the making. The line runs along the first coordinate of a pair: to the right, or downwards when turned.
struct Sheet {
    marks: Vec<Mark>,
    turned: bool,
}

impl Sheet {
    /// A point so far along the line and so far across it.
    fn spot(&self, along: f64, across: f64) -> Point {
        if self.turned { at(across, along) } else { at(along, across) }
    }

    fn line(&mut self, pen: Pen, points: &[(f64, f64)]) {
        let points = points.iter().map(|p| self.spot(p.0, p.1)).collect();
        self.marks.push(Mark::Line { points, pen, closed: false });
    }

    fn block(&mut self, paint: Paint, (a, b): (f64, f64), (c, d): (f64, f64)) {
        let points: Vec<Point> = [(a, c), (b, c), (b, d), (a, d)].iter().map(|p| self.spot(p.0, p.1)).collect();
        self.marks.push(Mark::Fill { points: points.clone(), paint });
        if paint == Paint::Grey {
            self.marks.push(Mark::Line { points, pen: Pen::Fine, closed: true });
        }
    }

    /// Words; their place is never turned.
    fn text(&mut self, x: f64, y: f64, anchor: Anchor, words: &str, face: Face) {
        let text = clean(words);
        if !text.trim().is_empty() {
            self.marks.push(Mark::Text { at: at(x, y), anchor, text, size: SIZE, face, turned: false });
        }
    }

    fn place(&mut self, words: Option<&str>, x: f64, y: f64, anchor: Anchor) {
        if let Some(words) = words {
            self.text(x, y, anchor, &short(words), Face::Italic);
        }
    }

    fn label(&mut self, mark: &OwnersMark, x: f64, y: f64) {
        self.text(x, y, Anchor::Start, &mark.name, Face::Bold);
        for (i, words) in mark.words.iter().enumerate() {
            self.text(x, y + STEP * (i + 1) as f64, Anchor::Start, words, Face::Regular);
        }
    }

    /// The pipe from the house over the covers to where it leads, with arrows; two thin lines where it was there before.
    fn run(&mut self, plan: &OwnersPlan, across: f64, (from, wall): (f64, f64), covers: &[f64], to: f64) {
        let last = covers.last().copied().unwrap_or(from);
        self.line(Pen::Run, &[(from, across), (last, across)]);
        if plan.beyond_is_old {
            self.line(Pen::WallExisting, &[(last, across - 0.6), (to, across - 0.6)]);
            self.line(Pen::WallExisting, &[(last, across + 0.6), (to, across + 0.6)]);
        } else {
            self.line(Pen::Run, &[(last, across), (to, across)]);
        }
        let through = if plan.has_wall { vec![wall, wall + 3.6] } else { Vec::new() };
        let stops: Vec<f64> = std::iter::once(from).chain(through).chain(covers.iter().copied()).collect();
        for pair in stops.windows(2) {
            // Nothing fits inside the wall, nor where a mark leaves no room.
            if let [a, b] = pair
                && b - a > 11.0
            {
                self.chevron((a + b) / 2.0 + 1.0, across);
            }
        }
        if plan.beyond.is_some() {
            self.chevron(to - 3.0, across);
        }
    }

    fn chevron(&mut self, along: f64, across: f64) {
        let points = [(along - 1.0, across - 1.6), (along + 1.0, across), (along - 1.0, across + 1.6)];
        self.line(Pen::Wall, &points);
    }

    /// The wall, open where a door is when the thing that the first cover is measured from has to do with one.
    fn wall(&mut self, along: f64, (from, to): (f64, f64), thing: Option<&str>) {
        let (near, far) = (along, along + 3.6);
        let Some(thing) = thing else { return self.block(Paint::Grey, (near, far), (from, to)) };
        let has_opening = ["door", "jamb", "gate", "window"].iter().any(|w| thing.contains(w));
        let (open, shut) = if self.turned { (10.0, 19.0) } else { (4.0, 14.0) };
        if has_opening {
            self.block(Paint::Grey, (near, far), (from, open));
            self.block(Paint::Grey, (near, far), (shut, to));
        } else {
            self.block(Paint::Grey, (near, far), (from, to));
        }
        if thing.contains("door") {
            self.line(Pen::Wall, &[(far, open), (far + 7.0, open + 4.6)]);
        }
        // The edge from which the paces count.
        self.line(Pen::Fine, &[(far, shut), (far + 3.6, shut)]);
        let words = short(thing);
        if self.turned {
            let down = if thing.contains("door") { 11.6 } else { 7.0 };
            self.text(1.0, far + down, Anchor::Start, &fitting(&words, 26.4), Face::Regular);
        } else {
            self.text(far + if thing.contains("door") { 9.0 } else { 4.5 }, 9.0, Anchor::Start, &words, Face::Regular);
        }
    }

    /// A dimension between two places on the line, drawn beside it.
    fn dimension(&mut self, (a, b): (f64, f64), across: f64, (from, to): (f64, f64)) {
        for end in [a, b] {
            self.line(Pen::Thin, &[(end, from), (end, to)]);
        }
        self.line(Pen::Box, &[(a, across), (b, across)]);
        for (end, into) in [(a, 1.4), (b, -1.4)] {
            self.line(Pen::Box, &[(end + into, across - 0.8), (end, across), (end + into, across + 0.8)]);
        }
    }

    /// A cover: black, round or square, its numeral in paper.
    fn mark(&mut self, mark: &OwnersMark, (x, y): (f64, f64)) {
        if mark.square {
            let corners = [(-4.8, -4.8), (4.8, -4.8), (4.8, 4.8), (-4.8, 4.8)];
            let points = corners.iter().map(|c| at(x + c.0, y + c.1)).collect();
            self.marks.push(Mark::Fill { points, paint: Paint::Black });
        } else {
            let black = Some(Paint::Black);
            self.marks.push(Mark::Ellipse { centre: at(x, y), rx: MARK, ry: MARK, pen: None, paint: black });
        }
        self.numeral(mark.number, (x, y), Paint::Paper);
    }

    /// A plug: a ring, its numeral black, since it stays shut.
    fn ring(&mut self, mark: &OwnersMark, (x, y): (f64, f64)) {
        let paper = Some(Paint::Paper);
        self.marks.push(Mark::Ellipse { centre: at(x, y), rx: MARK, ry: MARK, pen: Some(Pen::Run), paint: paper });
        self.numeral(mark.number, (x, y), Paint::Black);
    }

    /// A numeral from its outline, so that it can stand in paper on black. None of 1, 2 and 3 has a hole.
    fn numeral(&mut self, number: u8, (x, y): (f64, f64), paint: Paint) {
        let digit = char::from(b'0' + number.min(9));
        let half = f64::from(lettering::advance(Face::Bold, digit)) * NUMERAL / 2000.0;
        for contour in lettering::outlines(Face::Bold, digit) {
            let points = contour.iter().map(|p| at(x - half + p.0 * NUMERAL, y + 2.0 - p.1 * NUMERAL)).collect();
            self.marks.push(Mark::Fill { points, paint });
        }
    }

    /// Where the next place begins, and a break in a pipe of which nothing more is known.
    fn street(&mut self, plan: &OwnersPlan, along: f64, (from, to): (f64, f64), across: f64) {
        if plan.beyond.is_none() {
            return;
        }
        self.line(Pen::StructureUnsure, &[(along, from), (along, to)]);
        if plan.beyond_is_old {
            let c = if self.turned { along - 5.5 } else { along - 10.0 };
            let gap: Vec<Point> = [(c - 1.6, 2.4), (c + 0.2, -2.4), (c + 1.6, -2.4), (c - 0.2, 2.4)]
                .iter()
                .map(|p| self.spot(p.0, across + p.1))
                .collect();
            self.marks.push(Mark::Fill { points: gap, paint: Paint::Paper });
            self.line(Pen::Box, &[(c - 1.6, across + 2.4), (c + 0.2, across - 2.4)]);
            self.line(Pen::Box, &[(c - 0.2, across + 2.4), (c + 1.6, across - 2.4)]);
        }
    }

    fn finish(self, plan: &OwnersPlan, (width, height): (f64, f64)) -> Drawing {
        Drawing { width, height, marks: self.marks, alt: said(plan), title: "Where the covers are".to_owned() }
    }
}

/// Words cut to what a label has room for.
fn short(words: &str) -> String {
    let words = clean(words);
    if words.chars().count() <= 24 {
        return words;
    }
    words.chars().take(23).chain(['\u{2026}']).collect()
}

/// Words cut to a width in millimetres.
fn fitting(words: &str, width: f64) -> String {
    let mut out = words.to_owned();
    while lettering::width(Face::Regular, &out, SIZE) > width && out.chars().count() > 2 {
        out = out.chars().take(out.chars().count() - 2).chain(['\u{2026}']).collect();
    }
    out
}

/// The picture in words.
fn said(plan: &OwnersPlan) -> String {
    let mut out = String::from("Not to scale.");
    for (i, mark) in plan.covers.iter().enumerate() {
        let name = capital(&mark.name);
        match (i, &plan.from_thing) {
            (0, Some((thing, paces))) => {
                out.push_str(&format!(" {name}, open first: {paces} straight out from {thing}."))
            }
            (0, None) => out.push_str(&format!(" {name}, open first: its paces from something fixed are not drawn.")),
            _ => {
                let paces = plan.paces.get(i - 1).cloned().flatten();
                let paces = paces.unwrap_or_else(|| "an unrecorded way".to_owned());
                out.push_str(&format!(" {name}: {paces} further along the drain."));
            }
        }
    }
    if let Some(plug) = &plan.plug {
        out.push_str(&format!(" {}: {}.", capital(&plug.name), plug.words.join(" ")));
    }
    if let Some(beyond) = &plan.beyond {
        out.push_str(&format!(" The drain runs on to the {beyond}."));
    }
    out
}

fn capital(words: &str) -> String {
    crate::pack::words::capital(words)
}
