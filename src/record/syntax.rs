//! Why a text is no YAML, said in the words of somebody who writes a record.
//!
//! The YAML reader notices a lost brace where the next thing makes no sense, often an item later or at the end of the
//! file. Here the brackets and quotes are followed line by line, and the item that opened one is named.

use crate::base::span::Span;
use crate::record::fault::Fault;

/// Makes the fault for a text that the YAML reader gave up on at a byte, with its words.
pub fn explain(text: &str, start: usize, said: &str) -> Fault {
    let lost = if is_too_deep(said) { None } else { Walk::over(text).filter(|lost| lost.span.start <= start) };
    if let Some(lost) = lost {
        return lost;
    }
    let rest = text.get(start..).unwrap_or("");
    let line_end = rest.find(['\n', '\r']).unwrap_or(rest.len()).max(1);
    let (what, help) = plain_words(said);
    Fault::at(Span::new(start, line_end), KIND, what).help(help)
}

const KIND: &str = "not readable as YAML";

fn is_too_deep(said: &str) -> bool {
    ["depth", "recursion", "nesting"].iter().any(|word| said.contains(word))
}

/// Words of the YAML reader, what they mean to a writer of records, and what would do.
const MEANINGS: [(&str, &str, &str); 16] = [
    ("alias", "an alias (*) is not read", "write the value out at each place; put a text that starts with * in quotes"),
    (
        "anchor",
        "an anchor (&) or alias (*) is not read",
        "write the value out at each place; put a text that starts with & or * in quotes",
    ),
    ("depth", "maps or lists stand too deep inside one another", "a record needs no more than six levels"),
    ("recursion", "maps or lists stand too deep inside one another", "a record needs no more than six levels"),
    ("nesting", "maps or lists stand too deep inside one another", "a record needs no more than six levels"),
    ("budget", "there are more values here than any record holds", "look for a run of commas or brackets"),
    ("tabs disallowed", "a tab stands where only spaces may", "indent with spaces"),
    ("tab", "a tab stands where only spaces may", "indent with spaces"),
    ("multiple YAML documents", "a second document starts here", "one file holds one record: take `---` out"),
    ("unexpected character", "a control character stands here", "delete it and write the words anew"),
    (
        "did not find expected key",
        "this line is indented like nothing above it",
        "give it the indent of its neighbours",
    ),
    (
        "mapping values are not allowed",
        "a `: ` stands where no key can be",
        "put a text with `: ` in quotes; or mend the indent of this line, or a lost `:` or space after it above",
    ),
    (
        "block collection",
        "an entry of a list stands where no list is",
        "put each `- ` under its key, indented like its neighbours",
    ),
    (
        "',' or '}'",
        "a comma or a closing brace is missing before this",
        "put it in; a text with `: `, a comma or a brace in it wants quotes",
    ),
    (
        "',' or ']'",
        "a comma or a closing bracket is missing before this",
        "put it in; a text with `: `, a comma or a bracket in it wants quotes",
    ),
    (
        "illegal placement of ':'",
        "a `: ` stands where no key can be",
        "put a text with `: ` in quotes, or close the bracket that is open above",
    ),
];

fn plain_words(said: &str) -> (String, &'static str) {
    if let Some((_, what, help)) = MEANINGS.iter().find(|(word, _, _)| said.contains(word)) {
        return ((*what).to_owned(), help);
    }
    let said = said.split(", set ").next().unwrap_or(said);
    let said = said.split(" at line ").next().unwrap_or(said);
    (
        format!("this is not YAML: {said}"),
        "look for a lost brace, bracket or quote on this line or the one above; a text with `: ` or `#` in it wants quotes",
    )
}

/// A bracket that is open: which, where, and how far its line is indented.
#[derive(Clone, Copy)]
struct Open {
    bracket: char,
    at: usize,
    indent: usize,
}

impl Open {
    fn closer(self) -> char {
        if self.bracket == '{' { '}' } else { ']' }
    }
}

/// Where the walk is in the text.
struct Walk<'a> {
    text: &'a str,
    open: Vec<Open>,
    /// The quote that is open.
    quote: Option<Open>,
    /// Whether a value may start at the next character.
    fresh: bool,
    /// Whether the last thing on this line was a closed bracket.
    closed: bool,
    /// The indent under which the lines of a block text stand.
    block: Option<usize>,
}

impl<'a> Walk<'a> {
    /// Follows brackets and quotes, and gives the first that is lost.
    fn over(text: &'a str) -> Option<Fault> {
        let mut walk = Walk { text, open: Vec::new(), quote: None, fresh: true, closed: false, block: None };
        let mut start = 0;
        let mut last = 0;
        for line in text.split_inclusive('\n') {
            let words = line.trim_start_matches(' ');
            let indent = line.len() - words.len();
            if !words.trim().is_empty() {
                if let Some(fault) = walk.line(start, indent, line.trim_end(), last) {
                    return Some(fault);
                }
                last = start;
            }
            start += line.len();
        }
        walk.never_closed(last)
    }

    fn line(&mut self, start: usize, indent: usize, line: &str, last: usize) -> Option<Fault> {
        if let Some(block) = self.block {
            if indent > block {
                return None;
            }
            self.block = None;
        }
        let words = line.get(indent..).unwrap_or("");
        let outer = self.open.first().or(self.quote.as_ref()).map(|o| o.indent);
        if outer.is_some_and(|outer| indent <= outer) && starts_an_entry(words) {
            return self.never_closed(last);
        }
        self.fresh = true;
        self.closed = false;
        self.letters(start, indent, line)
    }

    fn letters(&mut self, start: usize, indent: usize, line: &str) -> Option<Fault> {
        let mut letters = line.char_indices().skip(indent).peekable();
        while let Some((i, c)) = letters.next() {
            let next = letters.peek().map(|(_, c)| *c);
            if let Some(quote) = self.quote {
                match c {
                    '\\' if quote.bracket == '"' => drop(letters.next()),
                    '\'' if quote.bracket == '\'' && next == Some('\'') => drop(letters.next()),
                    c if c == quote.bracket => self.quote = None,
                    _ => {}
                }
                continue;
            }
            if c == '#' && (i == indent || line.get(..i).is_some_and(|l| l.ends_with([' ', '\t']))) {
                return None;
            }
            if let Some(fault) = self.letter(c, next, Open { bracket: c, at: start + i, indent }) {
                return Some(fault);
            }
        }
        None
    }

    /// One character outside quotes and comments.
    fn letter(&mut self, c: char, next: Option<char>, here: Open) -> Option<Fault> {
        let inside = !self.open.is_empty();
        let ends = next.is_none_or(char::is_whitespace);
        match c {
            '"' | '\'' if self.fresh => self.quote = Some(here),
            '{' | '[' if inside || self.fresh => {
                self.open.push(here);
                self.fresh = true;
                return None;
            }
            '}' | ']' if inside || self.closed => return self.close(c, here),
            '|' | '>' if self.fresh && !inside => self.block = Some(here.indent),
            _ => {}
        }
        let starts = (c == ':' && ends) || (c == '-' && ends && self.fresh) || (inside && c == ',');
        self.fresh = starts || (self.fresh && c.is_whitespace());
        self.closed = self.closed && c.is_whitespace();
        None
    }

    fn close(&mut self, c: char, here: Open) -> Option<Fault> {
        self.fresh = false;
        match self.open.last().copied() {
            None => {
                let what = format!("this `{c}` closes nothing");
                return Some(
                    Fault::at(Span::new(here.at, 1), KIND, what).help("take it out, or put the opening one in"),
                );
            }
            Some(open) if open.closer() != c => {
                let what = format!("this `{}` is never closed: a `{c}` comes first", open.bracket);
                let help = format!("put `{}` before the `{c}`", open.closer());
                return Some(Fault::at(Span::new(open.at, 1), KIND, what).help(help));
            }
            Some(_) => drop(self.open.pop()),
        }
        self.closed = self.open.is_empty();
        None
    }

    /// The fault when brackets or a quote are open and cannot be closed any more; `last` is in the line before.
    fn never_closed(&self, last: usize) -> Option<Fault> {
        let line = self.text.get(..last).unwrap_or("").matches('\n').count() + 1;
        if let Some(quote) = self.quote {
            let what = format!("this {} is never closed", quote.bracket);
            let help = "close it on the same line; inside \"…\" a further \" is written \\\"";
            return Some(Fault::at(Span::new(quote.at, 1), KIND, what).help(help));
        }
        let first = self.open.first()?;
        let what = format!("this `{}` is never closed", first.bracket);
        let closers: String = self.open.iter().rev().map(|o| o.closer()).collect();
        Some(Fault::at(Span::new(first.at, 1), KIND, what).help(format!("put `{closers}` at the end of line {line}")))
    }
}

/// Whether a line starts with a key: words up to a `:` with nothing after it on the line, or a space.
fn starts_an_entry(line: &str) -> bool {
    if line.starts_with("- ") {
        return true;
    }
    let Some(colon) = line.find(':') else { return false };
    let (key, rest) = line.split_at(colon);
    !key.is_empty() && !key.contains(['{', '[', ',', '}', ']']) && (rest.len() == 1 || rest.starts_with(": "))
}
