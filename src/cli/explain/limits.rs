//! What each built-in rulebook says to the keys that a rule asks: values, where they stand, what other texts say.

use crate::base::citation::Seen;
use crate::base::text::list;
use crate::cli::explain::indented;
use crate::cli::explain::wrapped;
use crate::cli::screen::Paint;
use crate::cli::trouble::Trouble;
use crate::rulebook;
use crate::rulebook::Cell;
use crate::rulebook::Compare;
use crate::rulebook::Condition;
use crate::rulebook::Kind;
use crate::rulebook::key;
use crate::rules::Rule;
use std::io::Write;

/// What rulebooks say to one key: those that say the same, with its paragraphs.
type Said = (Vec<&'static str>, Vec<String>);

/// Prints the limits of a rule.
///
/// # Errors
/// When a built-in rulebook does not load, or the output cannot be written.
pub(super) fn tell(rule: &Rule, paint: Paint, out: &mut dyn Write) -> Result<(), Trouble> {
    let mut books = Vec::new();
    for name in rulebook::names() {
        books.push((*name, rulebook::load(name)?.cells()));
    }
    writeln!(out)?;
    writeln!(out, "{}", paint.bold("Limits, and what other texts say"))?;
    for path in rule.keys {
        let what = key::about(path).unwrap_or_default();
        wrapped(&format!("{what} ({path})"), out)?;
        let said = by_book(&books, path);
        let all = said.first().is_some_and(|(names, _)| names.len() == books.len());
        for (names, paragraphs) in said {
            if !all {
                indented(&format!("By {}:", list(&names, "and")), 4, 4, out)?;
            }
            for paragraph in paragraphs {
                indented(&paragraph, 4, 6, out)?;
            }
        }
    }
    Ok(())
}

/// What the rulebooks say to a key; those that are silent are left out.
fn by_book(books: &[(&'static str, Vec<Cell>)], path: &str) -> Vec<Said> {
    let mut all: Vec<Said> = Vec::new();
    for (name, cells) in books {
        let own: Vec<&Cell> = cells.iter().filter(|cell| cell.key == path).collect();
        if own.is_empty() {
            continue;
        }
        let paragraphs = paragraphs(&own);
        match all.iter_mut().find(|(_, said)| *said == paragraphs) {
            Some((names, _)) => names.push(name),
            None => all.push((vec![name], paragraphs)),
        }
    }
    all
}

/// The values of a key, those from one place together, each followed by the conditions under which it holds; then what
/// other texts say in place of them.
fn paragraphs(cells: &[&Cell]) -> Vec<String> {
    let mut places: Vec<(String, Vec<&Cell>)> = Vec::new();
    for cell in cells {
        let place = place(cell);
        match places.iter_mut().find(|(first, _)| *first == place) {
            Some((_, more)) => more.push(cell),
            None => places.push((place, vec![cell])),
        }
    }
    let mut all = Vec::new();
    for (place, cells) in places {
        if let [cell] = cells.as_slice() {
            let when = conditions(cell);
            let when = if when.is_empty() { when } else { format!(" for {when}") };
            all.push(format!("{}{when}: {place}.", limit(cell)));
        } else {
            let by = list(&facts(&cells), "and");
            all.push(if by.is_empty() { format!("{place}:") } else { format!("{place}, by {by}:") });
            all.extend(values(&cells).into_iter().map(|line| format!("  {line}")));
        }
    }
    all.extend(elsewhere(cells));
    all
}

/// A line for each value: `at least 75 mm: basin; bidet`.
fn values(cells: &[&Cell]) -> Vec<String> {
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for cell in cells {
        let value = limit(cell);
        match all.iter_mut().find(|(first, _)| *first == value) {
            Some((_, when)) => when.push(when_or_else(cell)),
            None => all.push((value, vec![when_or_else(cell)])),
        }
    }
    all.into_iter().map(|(value, when)| format!("{value}: {}", when.join("; "))).collect()
}

fn limit(cell: &Cell) -> String {
    let way = match cell.compare {
        Compare::AtLeast if cell.has_value => "at least ",
        Compare::AtMost if cell.has_value => "at most ",
        _ => "",
    };
    format!("{way}{}", cell.says).replace('\u{a0}', " ")
}

/// "AD H Table 1, 2015 edition, recalled".
fn place(cell: &Cell) -> String {
    let seen = match (cell.recalled, &cell.seen_in) {
        (true, _) => "recalled".to_owned(),
        (false, Some(text)) => format!("{} in {text}", cell.citation.value_seen.word()),
        (false, None) => cell.citation.value_seen.word().to_owned(),
    };
    let place = if cell.citation.clause_seen == Seen::Memory && !cell.recalled { ", its place recalled" } else { "" };
    format!("{}, {}, {seen}{place}", cell.citation.short(), cell.citation.edition)
}

/// The facts by which the cells differ, in the order of the first.
fn facts(cells: &[&Cell]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for fact in cells.iter().flat_map(|cell| &cell.conditions).filter_map(|c| c.fact) {
        let word = fact.word().replace('-', " ");
        if !all.contains(&word) {
            all.push(word);
        }
    }
    all
}

/// The conditions of one cell of several; one without any stands where no other does.
fn when_or_else(cell: &Cell) -> String {
    let when = conditions(cell);
    if when.is_empty() { "in every other case".to_owned() } else { when }
}

/// The conditions of a cell, each once.
fn conditions(cell: &Cell) -> String {
    let mut all: Vec<String> = Vec::new();
    for one in cell.conditions.iter().map(condition) {
        if !all.contains(&one) {
            all.push(one);
        }
    }
    let eases = if cell.eases { ", once that is shown" } else { "" };
    format!("{}{eases}", all.join(", "))
}

/// A label or a size speaks for itself; everything else is named.
fn condition(one: &Condition) -> String {
    match one.fact.filter(|fact| !matches!(fact.kind(), Kind::Label | Kind::Size)) {
        Some(fact) => format!("{} {}", fact.word().replace('-', " "), one.words),
        None => one.words.clone(),
    }
}

/// What other texts say in place of cells, those together in place of which one says the same.
fn elsewhere(cells: &[&Cell]) -> Vec<String> {
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for (other, cell) in cells.iter().flat_map(|cell| cell.instead_of.iter().map(move |other| (other.words(), cell))) {
        match all.iter_mut().find(|(first, _)| *first == other) {
            Some((_, when)) => when.push(conditions(cell)),
            None => all.push((other, vec![conditions(cell)])),
        }
    }
    let one = |(other, when): (String, Vec<String>)| match when.as_slice() {
        [one] if cells.len() > 1 && !one.is_empty() => format!("Elsewhere for {one}: {other}"),
        [] | [_] => format!("Elsewhere: {other}"),
        several => format!("Elsewhere for {} of these: {other}", several.len()),
    };
    all.into_iter().map(one).collect()
}
