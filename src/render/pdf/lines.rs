//! Breaks rich text into lines: ragged right, never hyphenated, and no word ever leaves its column.

use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::base::drawing::Face;
use crate::base::lettering;
use crate::render::pdf::sheet::Colour;
use crate::render::pdf::sheet::MM;
use crate::render::pdf::sheet::SHAPE;
use crate::render::pdf::sheet::SHAPE_GAP;
use crate::render::pdf::sheet::Type;
use std::collections::BTreeMap;

/// On which page, from 1, each anchor stands, as far as is known.
pub type Pages = BTreeMap<String, usize>;

/// Text broken into lines.
#[derive(Clone, Debug, Default)]
pub struct Set {
    /// The lines.
    pub lines: Vec<SetLine>,
    /// The links in it, by number.
    pub links: Vec<SetLink>,
}

/// A link of a [`Set`].
#[derive(Clone, Debug)]
pub struct SetLink {
    /// Its words.
    pub words: String,
    /// Where it leads.
    pub to: Target,
}

/// One line.
#[derive(Clone, Debug, Default)]
pub struct SetLine {
    /// Its width without the blank at its end.
    pub width: f64,
    /// Its parts from left to right.
    pub parts: Vec<Part>,
}

/// Part of a line.
#[derive(Clone, Debug)]
pub struct Part {
    /// From the left end of the line.
    pub x: f64,
    /// Its width.
    pub width: f64,
    /// What it is.
    pub what: What,
}

/// What a part of a line is.
#[derive(Clone, Debug)]
pub enum What {
    /// Words.
    Text {
        /// The words.
        text: String,
        /// How they look.
        look: Look,
    },
    /// A verdict's shape.
    Shape(Shape),
    /// A line to write on.
    Blank,
}

/// How words look, and which link they belong to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Their face.
    pub face: Face,
    /// Their colour.
    pub colour: Colour,
    /// The number of their link.
    pub link: Option<usize>,
}

#[derive(Clone, Debug)]
enum Atom {
    Text(String, Look),
    Shape(Shape),
    Blank(f64),
}

#[derive(Clone, Debug, Default)]
struct Word {
    atoms: Vec<Atom>,
    /// The look of the blanks that follow, and how many there are.
    blank: Option<(Look, usize)>,
}

/// Sets a line of rich text in a column.
pub fn set(line: &Line, of: Type, column: f64, pages: &Pages) -> Set {
    let mut splitter = Splitter { of, pages, words: Vec::new(), current: Word::default(), links: Vec::new() };
    for run in line {
        splitter.run(run);
    }
    splitter.finish();
    let words: Vec<Word> = splitter.words.into_iter().flat_map(|w| shorten(w, of, column)).collect();
    let lines = fill(&words, of, column).into_iter().map(|(from, to)| emit(&words[from..to], to == words.len(), of));
    Set { lines: lines.collect(), links: splitter.links }
}

/// Width of a line that is not broken.
pub fn natural_width(line: &Line, of: Type, pages: &Pages) -> f64 {
    set(line, of, f64::INFINITY, pages).lines.iter().map(|l| l.width).fold(0.0, f64::max)
}

struct Splitter<'a> {
    of: Type,
    pages: &'a Pages,
    words: Vec<Word>,
    current: Word,
    links: Vec<SetLink>,
}

impl Splitter<'_> {
    fn run(&mut self, run: &Run) {
        match run {
            Run::Text { text, style } => self.text(text, look(*style, self.of)),
            Run::Link { text, to } => {
                let link = Some(self.links.len());
                self.links.push(SetLink { words: text.clone(), to: to.clone() });
                self.text(text, Look { face: self.of.face, colour: Colour::Ink, link });
            }
            Run::Shape(shape) => self.current.atoms.push(Atom::Shape(*shape)),
            Run::Page(anchor) => self.page(anchor),
            Run::WriteIn { mm } => self.current.atoms.push(Atom::Blank(f64::from(*mm) * MM)),
        }
    }

    fn text(&mut self, text: &str, look: Look) {
        for token in text.split_inclusive(' ') {
            let body = token.trim_end_matches(' ');
            if !body.is_empty() {
                self.current.atoms.push(Atom::Text(body.to_owned(), look));
            }
            // A shape alone is no word: its word must not slip to the next line.
            let is_word = self.current.atoms.iter().any(|a| !matches!(a, Atom::Shape(_)));
            if token.ends_with(' ') && is_word {
                self.current.blank = Some((look, 1));
                self.words.push(std::mem::take(&mut self.current));
            } else if body.is_empty() && self.current.atoms.is_empty() {
                self.another_blank();
            }
        }
    }

    /// More than one blank is meant: it parts what a comma does not.
    fn another_blank(&mut self) {
        if let Some((_, count)) = self.words.last_mut().and_then(|w| w.blank.as_mut()) {
            *count += 1;
        }
    }

    /// The page is tied to what stands before it, so that `p 8` never begins a line alone.
    fn page(&mut self, anchor: &str) {
        let Some(page) = self.pages.get(anchor) else { return };
        let tie = if self.current.atoms.is_empty() { "" } else { "\u{a0}" };
        let look = look(Style::Plain, self.of);
        self.current.atoms.push(Atom::Text(format!("{tie}p\u{a0}{page}"), look));
    }

    fn finish(&mut self) {
        if !self.current.atoms.is_empty() {
            self.words.push(std::mem::take(&mut self.current));
        }
        if let Some(last) = self.words.last_mut() {
            last.blank = None;
        }
    }
}

fn look(style: Style, of: Type) -> Look {
    let (face, colour) = match style {
        Style::Plain => (of.face, of.colour),
        Style::Bold => (Face::Bold, of.colour),
        Style::Italic => (Face::Italic, of.colour),
        Style::Soft => (of.face, Colour::Soft),
        Style::Id => (Face::Bold, Colour::Ink),
    };
    Look { face, colour, link: None }
}

fn atom_width(atom: &Atom, of: Type) -> f64 {
    match atom {
        Atom::Text(text, look) => lettering::width(look.face, text, of.size),
        Atom::Shape(_) => SHAPE + SHAPE_GAP,
        Atom::Blank(width) => *width,
    }
}

fn word_width(word: &Word, of: Type) -> f64 {
    word.atoms.iter().map(|a| atom_width(a, of)).sum()
}

fn blank_width(word: &Word, of: Type) -> f64 {
    word.blank.map_or(0.0, |(look, count)| lettering::width(look.face, " ", of.size) * count as f64)
}

/// Cuts a word that is wider than its column into pieces that are not.
fn shorten(word: Word, of: Type, column: f64) -> Vec<Word> {
    if word_width(&word, of) <= column {
        return vec![word];
    }
    let blank = word.blank;
    let mut pieces = vec![Word::default()];
    let mut room = column;
    for atom in word.atoms {
        for part in cut(atom, of, column, room) {
            let width = atom_width(&part, of);
            if width > room {
                pieces.push(Word::default());
                room = column;
            }
            room -= width;
            if let Some(piece) = pieces.last_mut() {
                piece.atoms.push(part);
            }
        }
    }
    pieces.retain(|p| !p.atoms.is_empty());
    if let Some(last) = pieces.last_mut() {
        last.blank = blank;
    }
    pieces
}

/// Cuts an atom so that its first part fits `room` and the others a whole column, after a mark where there is one.
fn cut(atom: Atom, of: Type, column: f64, room: f64) -> Vec<Atom> {
    let Atom::Text(text, look) = atom else {
        return vec![if let Atom::Blank(width) = atom { Atom::Blank(width.min(column)) } else { atom }];
    };
    let mut parts = Vec::new();
    let mut rest = text.as_str();
    let mut room = if room < 3.0 * of.size { column } else { room };
    while !rest.is_empty() {
        let (head, tail) = rest.split_at(fitting(rest, look.face, of.size, room));
        parts.push(Atom::Text(head.to_owned(), look));
        rest = tail;
        room = column;
    }
    parts
}

/// How many bytes of a word fit; at least one character's.
fn fitting(text: &str, face: Face, size: f64, room: f64) -> usize {
    let mut width = 0.0;
    let mut good = 0;
    let mut after_mark = 0;
    for (at, c) in text.char_indices() {
        width += f64::from(lettering::advance(face, c)) * size / 1000.0;
        if width > room && at > 0 {
            return if after_mark * 2 > at { after_mark } else { good.max(1) };
        }
        good = at + c.len_utf8();
        if "-/_.,:;+".contains(c) {
            after_mark = good;
        }
    }
    text.len()
}

/// Which words stand in which line.
fn fill(words: &[Word], of: Type, column: f64) -> Vec<(usize, usize)> {
    let mut lines = Vec::new();
    let mut from = 0;
    let mut width = 0.0;
    for (i, word) in words.iter().enumerate() {
        let own = word_width(word, of);
        if i > from && width + own > column + 0.01 {
            lines.push((from, i));
            (from, width) = (i, 0.0);
        }
        width += own + blank_width(word, of);
    }
    if from < words.len() {
        lines.push((from, words.len()));
    }
    no_short_last_line(words, of, column, &mut lines);
    lines
}

/// A last line of one word shorter than 6 characters gets the word before it as company.
fn no_short_last_line(words: &[Word], of: Type, column: f64, lines: &mut [(usize, usize)]) {
    let [.., before, last] = lines else { return };
    let letters = |w: &Word| -> usize {
        w.atoms.iter().map(|a| if let Atom::Text(t, _) = a { t.chars().count() } else { 9 }).sum()
    };
    let is_short = last.1 - last.0 == 1 && words.get(last.0).is_some_and(|w| letters(w) < 6);
    let Some(moved) = before.1.checked_sub(1).filter(|m| is_short && *m > before.0) else { return };
    let width: f64 = words[moved..last.1].iter().map(|w| word_width(w, of) + blank_width(w, of)).sum();
    if width <= column {
        before.1 = moved;
        last.0 = moved;
    }
}

fn emit(words: &[Word], is_last: bool, of: Type) -> SetLine {
    let mut line = SetLine::default();
    let mut x = 0.0;
    for (i, word) in words.iter().enumerate() {
        for atom in &word.atoms {
            let width = atom_width(atom, of);
            place(&mut line, atom, x, width);
            x += width;
        }
        if i + 1 == words.len() {
            line.width = x;
        }
        if let Some((look, count)) = word.blank
            && !(is_last && i + 1 == words.len())
        {
            let width = blank_width(word, of);
            place(&mut line, &Atom::Text(" ".repeat(count), look), x, width);
            x += width;
        }
    }
    line
}

/// Adds an atom; words that look alike become one part, so that they are found as one.
fn place(line: &mut SetLine, atom: &Atom, x: f64, width: f64) {
    let what = match atom {
        Atom::Shape(shape) => What::Shape(*shape),
        Atom::Blank(_) => What::Blank,
        Atom::Text(text, look) => {
            if let Some(Part { what: What::Text { text: before, look: same }, width: whole, .. }) =
                line.parts.last_mut()
                && same == look
            {
                before.push_str(text);
                *whole += width;
                return;
            }
            What::Text { text: text.clone(), look: *look }
        }
    };
    line.parts.push(Part { x, width, what });
}
