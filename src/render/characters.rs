//! Sees to it, before any page is set, that every character of a document can be shown.
//!
//! A character without a glyph would leave a hole in the page that no search finds. Those with an honest equivalent
//! become it; the others become a question mark and are named in a warning. Control characters and marks that turn
//! the direction of writing are dropped: they could make a page read otherwise than the record.

use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::base::lettering;
use crate::render::Document;
use crate::render::Meta;
use crate::render::walk;
use crate::render::walk::Words;
use std::collections::BTreeSet;

/// Cleans all words of a document, and turns links that lead nowhere into words.
pub fn clean(mut blocks: Vec<Block>, mut meta: Meta) -> Document {
    let mut cleaner = Cleaner { unshown: BTreeSet::new() };
    for block in &mut blocks {
        walk::block(block, &mut |words| cleaner.words(words));
    }
    cleaner.text(&mut meta.title);
    for line in [&mut meta.running_left, &mut meta.running_right, &mut meta.foot_left] {
        cleaner.line(line);
    }
    let mut warnings = cleaner.warnings();
    warnings.extend(settle_links(&mut blocks));
    Document { blocks, meta, warnings }
}

/// A link to an anchor that the document does not have becomes plain words.
fn settle_links(blocks: &mut [Block]) -> Vec<String> {
    let mut anchors = BTreeSet::new();
    for block in blocks.iter_mut() {
        walk::block(block, &mut |words| {
            if let Words::Anchor(name) = words {
                anchors.insert(name.clone());
            }
        });
    }
    let mut lost = BTreeSet::new();
    for block in blocks {
        walk::block(block, &mut |words| {
            if let Words::Line(line) = words {
                line.iter_mut().for_each(|run| settle_link(run, &anchors, &mut lost));
            }
        });
    }
    lost.into_iter()
        .map(|name| format!("nothing in the document is called `{name}`; a link to it became plain words"))
        .collect()
}

fn settle_link(run: &mut Run, anchors: &BTreeSet<String>, lost: &mut BTreeSet<String>) {
    if let Run::Link { text, to: Target::Here(name) } = run
        && !anchors.contains(name)
    {
        lost.insert(name.clone());
        *run = Run::Text { text: std::mem::take(text), style: Style::Plain };
    }
}

struct Cleaner {
    unshown: BTreeSet<char>,
}

/// Whether a character turns the direction of writing, or is never seen at all.
fn is_hidden(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

fn equivalent(c: char) -> Option<char> {
    match c {
        '\n' | '\r' | '\t' => Some(' '),
        '\u{2010}' | '\u{2011}' => Some('-'),
        '\u{2300}' | '\u{2205}' => Some('Ø'),
        '\u{2080}'..='\u{2089}' => char::from_digit(u32::from(c) - 0x2080, 10),
        _ => None,
    }
}

impl Cleaner {
    fn text(&mut self, text: &mut String) {
        let as_it_is = |c: char| (' '..='~').contains(&c);
        if text.chars().all(as_it_is) {
            return;
        }
        let mut out = String::with_capacity(text.len());
        for c in text.chars() {
            match equivalent(c) {
                Some(other) => out.push(other),
                None if c.is_control() || is_hidden(c) => {}
                None if lettering::can_show(c) => out.push(c),
                None => {
                    self.unshown.insert(c);
                    out.push('?');
                }
            }
        }
        *text = out;
    }

    fn line(&mut self, line: &mut Line) {
        for run in line {
            match run {
                Run::Text { text, .. } | Run::Link { text, .. } => self.text(text),
                Run::Shape(_) | Run::Page(_) | Run::WriteIn { .. } => {}
            }
        }
    }

    fn words(&mut self, words: Words) {
        match words {
            Words::Line(line) => self.line(line),
            Words::Text(text) => self.text(text),
            Words::Anchor(_) => {}
        }
    }

    fn warnings(self) -> Vec<String> {
        let say =
            |c: char| format!("the character `{c}` (U+{:04X}) is not in the typeface; a ? stands for it", u32::from(c));
        self.unshown.into_iter().map(say).collect()
    }
}
