//! Places in a source text.

/// A stretch of bytes of the source. Line and column are worked out when they are asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// Length in bytes.
    pub len: usize,
}

impl Span {
    /// From first byte and length.
    pub const fn new(start: usize, len: usize) -> Self {
        Self { start, len }
    }

    /// The byte after the last.
    pub const fn end(self) -> usize {
        self.start + self.len
    }
}

/// A value with the place where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub span: Span,
}

/// A source text that answers line and column.
#[derive(Clone, Debug, Default)]
pub struct SourceText {
    /// The file's name, as it was given.
    pub name: String,
    /// The text.
    pub text: String,
    starts: Vec<usize>,
}

impl SourceText {
    /// Takes a text and notes where its lines start.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let starts =
            std::iter::once(0).chain(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1));
        Self { name: name.into(), starts: starts.collect(), text }
    }

    /// Line and column of a byte, both from 1; the column counts characters.
    pub fn place(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let line = self.starts.partition_point(|s| *s <= byte).max(1);
        let start = self.starts.get(line - 1).copied().unwrap_or(0);
        let column = self.text.get(start..byte).map_or(byte - start, |s| s.chars().count()) + 1;
        (line, column)
    }

    /// The line of a byte, from 1.
    pub fn line_of(&self, byte: usize) -> usize {
        self.place(byte).0
    }

    /// The text of a line, counted from 1, without its line end; empty when there is no such line.
    pub fn line(&self, number: usize) -> &str {
        let Some(&start) = number.checked_sub(1).and_then(|i| self.starts.get(i)) else { return "" };
        let end = self.starts.get(number).map_or(self.text.len(), |e| e - 1);
        self.text.get(start..end).unwrap_or("").trim_end_matches('\r')
    }

    /// The text at a span; empty when the span does not fit the text.
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.start..span.end()).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let text = SourceText::new("job.yaml", "a: é1\r\nb: 2\n");
        assert_eq!(text.place(5), (1, 5));
        assert_eq!(text.line(1), "a: é1");
        assert_eq!(text.place(text.text.find('2').unwrap()), (2, 4));
        assert_eq!(text.line(9), "");
    }
}
