//! The trade's words that the owner's pages use, in plain ones; a word that is not used is not explained.

use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::doc::words;
use crate::pack::Part;

/// Words and what they mean, in the order of the alphabet.
const WORDS: [(&str, &str); 21] = [
    ("air admittance valve", "a valve on top of a pipe that lets air in and keeps smells back"),
    ("benching", "the sloped floor of a chamber, left and right of its channel"),
    ("boss", "a short socket on the side of a pipe, for a small pipe to enter"),
    ("cesspool", "a closed tank that is emptied by a lorry"),
    ("collar", "a band round a pipe that swells in a fire and closes the hole"),
    ("combined", "takes foul water and rain in one pipe"),
    ("foul", "water from toilets, baths, basins and sinks"),
    ("gully", "a trapped opening in the ground, usually under a grating"),
    ("inspection chamber", "a shaft over the drain, worked in from above"),
    ("junction", "a fitting by which one pipe joins another"),
    ("manhole", "a larger shaft over the drain; entering it is for trained people only"),
    ("public sewer", "the sewerage company\u{2019}s pipe"),
    ("rodding eye", "a capped pipe brought up to the ground, to put rods in"),
    ("seal", "the depth of water in a trap; also what closes a hole round a pipe"),
    ("septic tank", "a tank in which solids settle; its water soaks away in the ground"),
    ("soakaway", "a pit of stones or crates from which rain seeps into the ground"),
    ("stack", "the upright pipe that takes water down to the drain"),
    ("swept", "curved in the direction of the flow"),
    ("trap", "the bend under a fitting that holds water and keeps smells back"),
    ("treatment plant", "a tank with machinery that cleans waste water"),
    ("vent", "a pipe that carries air, not water"),
];

/// Explains the words that stand in these blocks.
pub(super) fn of<'b>(blocks: impl Iterator<Item = &'b Block>) -> Part {
    let mut said = String::new();
    for block in blocks {
        tell(block, &mut said);
    }
    let said = said.to_lowercase();
    let items: Vec<Line> = WORDS
        .iter()
        .filter(|(word, _)| stands_in(&said, word))
        .map(|(word, meaning)| vec![bold(*word), plain(format!(": {meaning}."))])
        .collect();
    if items.is_empty() {
        return Part::default();
    }
    Part { blocks: vec![Block::List(items)], note: Line::new() }
}

/// Whether a word stands in a text, alone or with an `s` at its end.
fn stands_in(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = &text[at + word.len()..];
        let after = after.strip_prefix('s').unwrap_or(after).chars().next();
        !before.is_some_and(char::is_alphanumeric) && !after.is_some_and(char::is_alphanumeric)
    })
}

/// The words of the kinds of block that these pages are made of.
fn tell(block: &Block, said: &mut String) {
    let mut add = |line: &Line| {
        said.push_str(&words(line));
        said.push('\n');
    };
    match block {
        Block::Paragraph(line) | Block::Key(line) => add(line),
        Block::List(items) => items.iter().for_each(add),
        Block::Schedule(table) => {
            for row in &table.rows {
                row.cells.iter().flatten().for_each(&mut add);
                row.reasons.iter().for_each(&mut add);
            }
        }
        Block::Caution(caution) => add(&caution.text),
        Block::Title(_)
        | Block::Heading(_)
        | Block::Facts(_)
        | Block::Side(_)
        | Block::Figure(_)
        | Block::Photos(_)
        | Block::Finding(_)
        | Block::Penetration(_)
        | Block::Opening(_)
        | Block::Step(_)
        | Block::Never(_)
        | Block::NewPage => {}
    }
}
