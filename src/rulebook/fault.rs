//! What is wrong with a rulebook's text.

/// A rulebook, document or overlay that does not load: where, what was read there, and what would do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{document}{place}: read {read}; what would do: {wants}", place = at(*line))]
pub struct RulebookError {
    /// The text at fault: `ad-h-2015.limits.yaml`.
    pub document: String,
    /// Its line, from 1; 0 when no line can be named.
    pub line: usize,
    /// What was read.
    pub read: String,
    /// What would do.
    pub wants: String,
}

fn at(line: usize) -> String {
    if line == 0 { String::new() } else { format!(", line {line}") }
}

/// So much of what was read is repeated in a message.
const LONGEST: usize = 160;

impl RulebookError {
    pub(super) fn new(document: &str, line: usize, read: impl Into<String>, wants: impl Into<String>) -> Self {
        let read: String = read.into().chars().map(|c| if c.is_control() { ' ' } else { c }).take(LONGEST).collect();
        Self { document: document.to_owned(), line, read, wants: wants.into() }
    }
}
