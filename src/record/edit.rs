//! Adds items to the text of a record. Nothing that stands there is moved or changed: no comment, no line end.
//!
//! New lines are put in where the section ends, in the indentation and style of its last item. The outcome is read
//! again before it is given back, so that what this room does not understand is refused and never spoilt.

use crate::base::span::SourceText;
use crate::base::span::Spanned;
use crate::record::Reading;
use crate::record::node;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::read;
use crate::record::sections::Record;
use std::collections::BTreeSet;

/// An item to be added.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewItem {
    /// Its id, which nothing in the record has yet.
    pub id: String,
    /// Its keys with their values, as YAML; [`scalar`] makes one of any text.
    pub fields: Vec<(&'static str, String)>,
}

/// Why a record was left as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAdded {
    /// It is not a record at all, so there is no place to be found in it.
    #[error("the record cannot be read as YAML")]
    NotReadable,
    /// The section is written in a way in which nothing can be added without changing what stands there.
    #[error("the section is written in a way that is not added to")]
    OtherForm,
}

type Entries = [(Spanned<String>, Node)];

/// A text to be put in before the byte at a place.
type Insertion = (usize, String);

/// The record's text with items added at the end of a section of ids, which is made when it is not there.
///
/// # Errors
/// When the text is no YAML, or the outcome would change or spoil anything that stands there.
pub fn append(reading: &Reading, section: &str, items: &[NewItem]) -> Result<String, NotAdded> {
    let text = &reading.source.text;
    let root = node::parse(&reading.source).map_err(|_| NotAdded::NotReadable)?;
    let Body::Map(top) = &root.body else { return Err(NotAdded::OtherForm) };
    let insertions = match top.iter().rev().find(|(key, _)| key.value == section) {
        None => new_section(text, &root, top, section, items),
        Some((key, node)) => match &node.body {
            Body::Map(list) if in_braces(text, node) => {
                let rendered: Vec<String> = items.iter().map(|item| on_one_line(item, 0)).collect();
                Some(into_braces(text, node, list, &rendered))
            }
            Body::Map(list) => below_the_last(text, list, items),
            Body::Scalar(nothing) if nothing.is_empty() && node.span.len == 0 => {
                let at = key.span.end();
                let indent = indent_of(text, key.span.start).map(|indent| format!("{indent}  "));
                indent.map(|indent| vec![lines_after(text, at, &flow_lines(&indent, items, 0))])
            }
            Body::Scalar(_) | Body::List(_) => None,
        },
    };
    let new = put_in(text, insertions.ok_or(NotAdded::OtherForm)?);
    let whole = read(&reading.source.name, &new);
    let sound = whole.whole && whole.faults.len() + whole.further <= reading.faults.len() + reading.further;
    if sound && holds(&new, &root, section, items) { Ok(new) } else { Err(NotAdded::OtherForm) }
}

/// So many ids that go on from the photos of a record: `PH13` after `PH12`, `F07` after `F06`; `PH1` when there is none.
pub fn next_photo_ids(record: &Record, count: usize) -> Vec<String> {
    let split = |id: &str| {
        let stem = id.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
        // Longer numbers are no counting; they could not be counted on either.
        let digits = id.get(stem.len()..).filter(|digits| digits.len() <= 15)?;
        digits.parse::<u64>().ok().map(|number| (stem, number, digits.len()))
    };
    let numbered: Vec<_> = record.photos.iter().filter_map(|item| split(&item.id)).collect();
    let (stem, width) = numbered.last().map_or(("PH".to_owned(), 1), |(stem, _, width)| (stem.clone(), *width));
    let last = numbered.iter().filter(|(other, _, _)| *other == stem).map(|(_, number, _)| *number).max().unwrap_or(0);
    // Only a number that was written with noughts before it has a width to keep.
    let padded = numbered.iter().any(|(other, number, wide)| *other == stem && number.to_string().len() < *wide);
    let width = if padded { width } else { 1 };
    let taken = every_id(record);
    let ids = (1u64..).map(|step| format!("{stem}{:0width$}", last.saturating_add(step)));
    ids.filter(|id| !taken.contains(id)).take(count).collect()
}

fn every_id(record: &Record) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    record.each_id(|id, _, _| {
        all.insert(id.to_owned());
    });
    for pipe in &record.pipes {
        let access = pipe.body.access.get().into_iter().flat_map(|map| map.0.iter().map(|(key, _)| key));
        let spare = pipe.body.spare.get().into_iter().flat_map(|map| map.0.iter().map(|(key, _)| key));
        all.extend(access.chain(spare).map(|key| key.value.clone()));
    }
    all
}

/// A text as one YAML value: bare where that is safe, else in quotes.
pub fn scalar(text: &str) -> String {
    let safe = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '/');
    let word = ["unknown", "none", "null"].contains(&text);
    if !word && text.starts_with(char::is_alphanumeric) && text.chars().all(safe) {
        return text.to_owned();
    }
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn in_braces(text: &str, node: &Node) -> bool {
    text.get(node.span.start..).is_some_and(|rest| rest.starts_with('{'))
}

/// An item in braces; its brace starts no earlier than so many characters after its id does.
fn on_one_line(item: &NewItem, column: usize) -> String {
    let fields: Vec<String> = item.fields.iter().map(|(key, value)| format!("{key}: {value}")).collect();
    let id = format!("{}: ", scalar(&item.id));
    format!("{id:<column$}{{{}}}", fields.join(", "))
}

fn flow_lines(indent: &str, items: &[NewItem], column: usize) -> Vec<String> {
    items.iter().map(|item| format!("{indent}{}", on_one_line(item, column))).collect()
}

/// Items with each key on a line of its own.
fn block_lines(indent: &str, inner: &str, items: &[NewItem]) -> Vec<String> {
    let lines = |item: &NewItem| {
        let head = format!("{indent}{}:", scalar(&item.id));
        let fields = item.fields.iter().map(|(key, value)| format!("{inner}{key}: {value}"));
        std::iter::once(head).chain(fields.collect::<Vec<_>>())
    };
    items.iter().flat_map(lines).collect()
}

/// The blanks in front of something, when nothing else stands before it on its line.
fn indent_of(text: &str, at: usize) -> Option<String> {
    let before = text.get(..at)?;
    let line = before.rsplit(['\n', '\r']).next().unwrap_or("").trim_start_matches('\u{feff}');
    line.chars().all(|c| c == ' ').then(|| line.to_owned())
}

/// Where the line of a byte ends, and where the next one starts.
fn line_end(text: &str, at: usize) -> (usize, usize) {
    let rest = text.get(at..).unwrap_or("");
    let end = at + rest.find(['\n', '\r']).unwrap_or(rest.len());
    let tail = text.get(end..).unwrap_or("");
    let wide = if tail.starts_with("\r\n") { 2 } else { usize::from(!tail.is_empty()) };
    (end, end + wide)
}

/// The line end that a text has at a place; where it has none there, the one of its first line.
fn break_at(text: &str, end: usize, next: usize) -> &str {
    let own = text.get(end..next).filter(|b| !b.is_empty());
    own.unwrap_or_else(|| {
        let (end, next) = line_end(text, 0);
        text.get(end..next).filter(|b| !b.is_empty()).unwrap_or("\n")
    })
}

/// Whole lines after the line of a byte; a text without a last line end stays without one.
fn lines_after(text: &str, at: usize, lines: &[String]) -> Insertion {
    let (end, next) = line_end(text, at);
    let line_break = break_at(text, end, next);
    if end == next {
        return (end, lines.iter().map(|line| format!("{line_break}{line}")).collect());
    }
    (next, lines.iter().map(|line| format!("{line}{line_break}")).collect())
}

fn below_the_last(text: &str, list: &Entries, items: &[NewItem]) -> Option<Vec<Insertion>> {
    let (key, value) = list.last()?;
    let indent = indent_of(text, key.span.start)?;
    let lines = match &value.body {
        Body::Map(fields) if !in_braces(text, value) => {
            let inner = fields.first().and_then(|(field, _)| indent_of(text, field.span.start));
            block_lines(&indent, &inner.unwrap_or_else(|| format!("{indent}  ")), items)
        }
        _ => {
            let between = text.get(key.span.start..value.span.start).unwrap_or("");
            let column = if between.contains(['\n', '\r']) { 0 } else { between.chars().count() };
            flow_lines(&indent, items, column)
        }
    };
    let reaches = value.span.end().max(key.span.end());
    // Words over several lines reach to the start of the line after them.
    let last = text.get(..reaches)?.trim_end().len();
    Some(vec![lines_after(text, last, &lines)])
}

/// A map in braces: on one line it grows on that line, else by lines of its own.
fn into_braces(text: &str, map: &Node, list: &Entries, rendered: &[String]) -> Vec<Insertion> {
    let Some((key, value)) = list.last() else { return vec![(map.span.start + 1, rendered.join(", "))] };
    let last = value.span.end().max(key.span.end());
    let comma = comma_after(text, last);
    let at = comma.map_or(last, |comma| comma + 1);
    let (end, next) = line_end(text, at);
    let indent = indent_of(text, key.span.start);
    let between = indent.as_ref().map_or(", ".to_owned(), |i| format!(",{}{i}", break_at(text, end, next)));
    if indent.is_none() || end >= map.span.end().saturating_sub(1) {
        let lead = if comma.is_some() { between.get(1..).unwrap_or(" ") } else { between.as_str() };
        return vec![(at, format!("{lead}{}", rendered.join(&between)))];
    }
    let indent = indent.unwrap_or_default();
    let count = rendered.len();
    let line = |(i, item): (usize, &String)| {
        let comma = if i + 1 < count || comma.is_some() { "," } else { "" };
        format!("{indent}{item}{comma}")
    };
    let lines: Vec<String> = rendered.iter().enumerate().map(line).collect();
    let own_comma = comma.is_none().then(|| (at, ",".to_owned()));
    own_comma.into_iter().chain([lines_after(text, at, &lines)]).collect()
}

/// The comma after a place, with nothing but blanks and comments before it.
fn comma_after(text: &str, at: usize) -> Option<usize> {
    let mut comment = false;
    for (i, c) in text.get(at..)?.char_indices() {
        match c {
            '\n' | '\r' => comment = false,
            _ if comment => {}
            '#' => comment = true,
            ',' => return Some(at + i),
            c if c.is_whitespace() => {}
            _ => return None,
        }
    }
    None
}

/// A section at the end of the record.
fn new_section(text: &str, root: &Node, top: &Entries, section: &str, items: &[NewItem]) -> Option<Vec<Insertion>> {
    if in_braces(text, root) {
        let all: Vec<String> = items.iter().map(|item| on_one_line(item, 0)).collect();
        return Some(into_braces(text, root, top, &[format!("{section}: {{{}}}", all.join(", "))]));
    }
    let indent = indent_of(text, top.first()?.0.span.start)?;
    let mut lines = vec![format!("{indent}{section}:")];
    lines.extend(flow_lines(&format!("{indent}  "), items, 0));
    let (end, next) = line_end(text, 0);
    let line_break = break_at(text, end, next);
    let at = mark_of_the_end(text, root.span.end());
    let before = text.get(..at).unwrap_or(text);
    let all = if before.ends_with(['\n', '\r']) {
        lines.iter().map(|line| format!("{line}{line_break}")).collect()
    } else {
        lines.iter().map(|line| format!("{line_break}{line}")).collect()
    };
    Some(vec![(at, all)])
}

/// Where the line `...` stands that ends a YAML text, after a place; the text's own end when there is none.
fn mark_of_the_end(text: &str, from: usize) -> usize {
    let mut at = from;
    loop {
        let (end, next) = line_end(text, at);
        if next == end {
            return text.len();
        }
        let (stop, _) = line_end(text, next);
        if text.get(next..stop).is_some_and(|line| line.trim_end() == "...") {
            return next;
        }
        at = next;
    }
}

fn put_in(text: &str, insertions: Vec<Insertion>) -> String {
    let mut new = String::with_capacity(text.len() + 64);
    let mut from = 0;
    for (at, words) in insertions {
        new.push_str(text.get(from..at).unwrap_or(""));
        new.push_str(&words);
        from = at;
    }
    new.push_str(text.get(from..).unwrap_or(""));
    new
}

/// Whether a new text says what the old one said, and the items at the end of the section beside it.
fn holds(new: &str, old: &Node, section: &str, items: &[NewItem]) -> bool {
    let Ok(root) = node::parse(&SourceText::new("", new)) else { return false };
    let (Body::Map(now), Body::Map(before)) = (&root.body, &old.body) else { return false };
    let at = before.iter().rposition(|(key, _)| key.value == section).unwrap_or(before.len());
    let grown = |(key, node): &(Spanned<String>, Node)| {
        let earlier: &Entries = match before.get(at).map(|(_, node)| &node.body) {
            Some(Body::Map(list)) => list,
            _ => &[],
        };
        let Body::Map(list) = &node.body else { return false };
        let (head, tail) = list.split_at(earlier.len().min(list.len()));
        let added = tail.iter().map(|(key, _)| &key.value).eq(items.iter().map(|item| &item.id));
        key.value == section && same_entries(head, earlier) && added
    };
    now.len() == before.len().max(at + 1)
        && now.iter().enumerate().all(|(i, entry)| match before.get(i) {
            _ if i == at => grown(entry),
            Some(other) => entry.0.value == other.0.value && same(&entry.1, &other.1),
            None => false,
        })
}

fn same_entries(a: &Entries, b: &Entries) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.0.value == b.0.value && same(&a.1, &b.1))
}

/// Whether two nodes say the same, wherever they stand.
fn same(a: &Node, b: &Node) -> bool {
    match (&a.body, &b.body) {
        (Body::Scalar(a), Body::Scalar(b)) => a.trim_end() == b.trim_end(),
        (Body::List(a), Body::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Body::Map(a), Body::Map(b)) => same_entries(a, b),
        _ => false,
    }
}
