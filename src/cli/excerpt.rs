//! A line of the record with a place in it underlined.

use crate::base::span::SourceText;
use crate::base::span::Span;
use crate::base::text::harmless;
use crate::cli::screen::Paint;
use std::io::{self, Write};

/// Columns of the record's line that are shown.
pub const WIDTH: usize = 100;

/// Columns shown before the place, when a line is too long to be shown from its start.
const LEAD: usize = 40;

/// Writes the line on which a span starts, and marks under the span; nothing for an empty line.
///
/// # Errors
/// What `out` says.
pub fn write(source: &SourceText, span: Span, out: &mut dyn Write, paint: Paint) -> io::Result<()> {
    let (line, column) = source.place(span.start);
    let text = source.line(line);
    if text.trim().is_empty() {
        return Ok(());
    }
    let inside = source.slice(span).split(['\n', '\r']).next().unwrap_or("").trim_end();
    let view = View::of(text, column - 1, inside.chars().count());
    writeln!(out, "{line:>5} | {}", view.words)?;
    writeln!(out, "      | {}{}", " ".repeat(view.before), paint.bad(&"^".repeat(view.length)))
}

/// The part of a line around a place.
struct View {
    words: String,
    before: usize,
    length: usize,
}

impl View {
    /// Cuts a line to the columns that are shown, counted in characters, with `…` where it was cut.
    fn of(line: &str, column: usize, length: usize) -> Self {
        let all = line.chars().count();
        let from = if all <= WIDTH { 0 } else { column.saturating_sub(LEAD).min(all.saturating_sub(WIDTH)) };
        let (head, tail) = (from > 0, from + WIDTH < all);
        let shown: String = line.chars().skip(from).take(WIDTH).collect();
        let words = format!("{}{}{}", if head { "…" } else { "" }, harmless(&shown), if tail { "…" } else { "" });
        let before = column - from;
        let length = length.clamp(1, WIDTH.saturating_sub(before).max(1));
        Self { words, before: before + usize::from(head), length }
    }
}
