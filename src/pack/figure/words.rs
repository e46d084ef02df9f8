//! Texts of a sheet: cleaned, cut, wrapped, and numbers with `about` before what is believed.

use crate::base::drawing::Face;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::known::KnownGradient;
use crate::base::lettering;
use crate::base::text;
use crate::base::units::Length;
use crate::record::quantity::Fall;
use crate::record::sections::Record;

/// Size of labels, numbers, strip and notes: capitals 2.5 mm.
pub(super) const SIZE: f64 = 3.52;
/// Size of a sub-heading: capitals 3 mm.
pub(super) const SUBHEAD: f64 = 4.25;
/// Size of a title: capitals 3.5 mm.
pub(super) const TITLE: f64 = 5.0;
/// From one line of a label to the next.
pub(super) const STEP: f64 = 4.5;
/// What stands for a character that the faces do not have.
const MISSING: char = '?';

/// A text that every face can show: without marks that turn the reading, with `?` for a missing glyph.
pub(super) fn clean(words: &str) -> String {
    words
        .chars()
        .filter(|c| !text::turns(*c))
        .map(|c| if c.is_whitespace() && c != '\u{a0}' { ' ' } else { c })
        .map(|c| if lettering::can_show(c) { c } else { MISSING })
        .collect()
}

/// An id as its tag shows it: cut at 24 characters, with three dots.
pub(super) fn tag(id: &str) -> String {
    let whole = clean(id);
    if whole.chars().count() <= 24 {
        return whole;
    }
    whole.chars().take(23).chain(['\u{2026}']).collect()
}

/// Whether a tag shows less than the id.
pub(super) fn is_cut(id: &str) -> bool {
    clean(id).chars().count() > 24
}

/// `about` before what is believed.
pub(super) fn about(how: How, words: String) -> String {
    if how == How::Believed { format!("about\u{a0}{words}") } else { words }
}

/// A length in metres with two decimals, `about` where it is believed.
pub(super) fn metres(length: Known<Length>) -> String {
    about(length.how, format!("{}\u{a0}m", length.value.metres(2)))
}

/// A length in whole millimetres, `about` where it is believed.
pub(super) fn millimetres(length: Known<Length>) -> String {
    about(length.how, format!("{}\u{a0}mm", length.value.millimetres()))
}

/// `1 in 59.9`, with as many decimals as were typed where it was typed so.
pub(super) fn gradient(record: &Record, pipe: usize, known: &KnownGradient) -> String {
    let typed = record.pipes.at(pipe).and_then(|p| p.body.fall.get());
    let words = match typed {
        Some(Fall::Gradient { one_in: true, decimals, .. }) => known.value.in_words_with(*decimals),
        Some(Fall::Gradient { one_in: false, .. } | Fall::Drop(_)) | None => known.value.in_words(),
    };
    about(known.how, words)
}

/// The gradients of a pipe's pieces with the flow: `1 in 50.0, then 1 in 100`. The record gives no digits for these.
pub(super) fn gradients(pieces: &[Option<KnownGradient>]) -> String {
    let one = |g: &Option<KnownGradient>| match g {
        Some(known) => about(known.how, known.value.in_words()),
        None => "unknown".to_owned(),
    };
    pieces.iter().map(one).collect::<Vec<_>>().join(", then ")
}

/// Width of words at a size.
pub(super) fn width(words: &str, bold: bool, size: f64) -> f64 {
    lettering::width(if bold { Face::Bold } else { Face::Regular }, words, size)
}

/// Words cut with three dots to fit a width.
pub(super) fn fit(words: &str, bold: bool, size: f64, room: f64) -> String {
    if width(words, bold, size) <= room {
        return words.to_owned();
    }
    let mut kept: Vec<char> = words.chars().collect();
    while let Some(_last) = kept.pop() {
        let tried: String = kept.iter().collect::<String>().trim_end().to_owned() + "\u{2026}";
        if width(&tried, bold, size) <= room {
            return tried;
        }
    }
    String::new()
}

/// Words broken into lines of at most a width; a word that is wider is broken between letters.
pub(super) fn wrap(words: &str, bold: bool, size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split(' ').filter(|w| !w.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, bold, size) <= room {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            let mut more = line.clone();
            more.push(c);
            if width(&more, bold, size) > room && !line.is_empty() {
                lines.push(std::mem::replace(&mut line, c.to_string()));
            } else {
                line = more;
            }
        }
    }
    lines.push(line);
    lines
}
