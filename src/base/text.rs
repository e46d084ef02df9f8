//! Order of ids, dates in words, and texts made harmless.

use chrono::{Datelike, NaiveDate};
use std::cmp::Ordering;

/// Natural order: `D2` before `D10`.
pub fn natural(a: &str, b: &str) -> Ordering {
    let (mut a, mut b) = (pieces(a), pieces(b));
    loop {
        match (a.next(), b.next()) {
            (None, None) => return Ordering::Equal,
            (None, Some(_)) => return Ordering::Less,
            (Some(_), None) => return Ordering::Greater,
            (Some(x), Some(y)) => {
                let order = piece_order(x, y);
                if order != Ordering::Equal {
                    return order;
                }
            }
        }
    }
}

fn piece_order(x: &str, y: &str) -> Ordering {
    let digits = |s: &str| s.starts_with(|c: char| c.is_ascii_digit());
    if digits(x) && digits(y) {
        let (p, q) = (x.trim_start_matches('0'), y.trim_start_matches('0'));
        return p.len().cmp(&q.len()).then_with(|| p.cmp(q)).then_with(|| x.len().cmp(&y.len()));
    }
    x.cmp(y)
}

fn pieces(s: &str) -> impl Iterator<Item = &str> {
    let mut rest = s;
    std::iter::from_fn(move || {
        let first = rest.chars().next()?;
        let digit = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digit).unwrap_or(rest.len());
        let (piece, tail) = rest.split_at(end);
        rest = tail;
        Some(piece)
    })
}

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

fn month(date: NaiveDate) -> &'static str {
    MONTHS.get(date.month0() as usize).copied().unwrap_or("")
}

/// `12 Mar 2026`, kept together by non-breaking spaces.
pub fn date(d: NaiveDate) -> String {
    format!("{}\u{a0}{}\u{a0}{}", d.day(), month(d), d.year())
}

/// `12 Mar`.
pub fn day(d: NaiveDate) -> String {
    format!("{}\u{a0}{}", d.day(), month(d))
}

/// `6 to 14 May`, `26 Feb to 3 Mar`.
pub fn days(from: NaiveDate, to: NaiveDate) -> String {
    if (from.year(), from.month()) == (to.year(), to.month()) && from != to {
        return format!("{} to\u{a0}{}", from.day(), day(to));
    }
    format!("{} to {}", day(from), day(to))
}

/// `Mon 23 Mar`: a date to act on has its weekday.
pub fn weekday(d: NaiveDate) -> String {
    let name = DAYS.get(d.weekday().num_days_from_monday() as usize).copied().unwrap_or("");
    format!("{name}\u{a0}{}", day(d))
}

/// A text from outside made safe for a terminal: control characters (escape sequences among them) and marks that turn
/// the direction of reading become a visible `�`; a line end or tab becomes a space.
pub fn harmless(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            c if c.is_control() || turns(c) => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// Whether a character turns the direction of reading or is invisible, so that a text could seem other than it is.
pub fn turns(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// Words as a list: `a`, `a and b`, `a, b and c`.
pub fn list<S: AsRef<str>>(words: &[S], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., tail] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", head.join(", "), tail.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_sort_naturally() {
        let mut ids = vec!["D10", "D2", "B1", "1.10", "1.9", "D02"];
        ids.sort_by(|a, b| natural(a, b));
        assert_eq!(ids, ["1.9", "1.10", "B1", "D2", "D02", "D10"]);
    }

    #[test]
    fn escapes_do_not_reach_a_terminal() {
        assert_eq!(harmless("a\u{1b}[31mb\u{202e}c\nd"), "a\u{fffd}[31mb\u{fffd}c d");
    }

    #[test]
    fn a_date_to_act_on_has_its_weekday() {
        let d = NaiveDate::from_ymd_opt(2026, 3, 23).unwrap();
        assert_eq!(weekday(d), "Mon\u{a0}23\u{a0}Mar");
        assert_eq!(date(d), "23\u{a0}Mar\u{a0}2026");
    }
}
