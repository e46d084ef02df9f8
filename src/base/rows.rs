//! A table in a text that is built in: a line a row, its cells parted by `|`; lines that begin with `#` say why.

/// The rows of a table, each with its cells without the blanks round them.
pub fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    lines.map(|line| line.split('|').map(str::trim).collect())
}
