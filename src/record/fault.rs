//! What is wrong with a record as a text: never with the work it describes.

use crate::base::span::Span;

/// A fault of the record: where, what was read, what would do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where.
    pub span: Span,
    /// The kind of fault, in two or three words.
    pub kind: &'static str,
    /// What was read, and what is wrong with it.
    pub what: String,
    /// What would do.
    pub help: String,
    /// The item it belongs to, when known: `pipes.D1.size`.
    pub path: String,
}

impl Fault {
    /// A fault at a place.
    pub fn at(span: Span, kind: &'static str, what: impl Into<String>) -> Self {
        Self { span, kind, what: what.into(), help: String::new(), path: String::new() }
    }

    /// With what would do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = help.into();
        self
    }
}

/// The nearest of some words to a mistyped one, when it is near enough to be meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A distance takes time in proportion to both lengths, and no word of a record is long.
    if word.len() > 200 {
        return None;
    }
    let lower = word.to_lowercase();
    let length = lower.chars().count();
    let mut best: Option<(usize, &str)> = None;
    for candidate in known {
        let allowed = 1 + candidate.chars().count() / 4;
        if length.abs_diff(candidate.chars().count()) > allowed {
            continue;
        }
        let distance = strsim::damerau_levenshtein(&lower, &candidate.to_lowercase());
        if distance <= allowed && best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, word)| word)
}
