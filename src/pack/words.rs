//! How numbers, verdicts, dates and links are said in every document.

use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Target;
use crate::base::doc::bold;
use crate::base::doc::id;
use crate::base::doc::italic;
use crate::base::doc::plain;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::known::KnownGradient;
use crate::network::height::Because;
use crate::network::height::Height;
use crate::record::quantity::Fall;
use crate::record::quantity::Measure;
use crate::record::value::Field;

/// A thin space that does not break.
const THIN: &str = "\u{202f}";

/// The anchor of an item: its id with everything but letters and digits written out.
pub(crate) fn anchor(item: &str) -> String {
    let mut out = String::from("item-");
    for c in item.chars() {
        if c.is_ascii_alphanumeric() { out.push(c) } else { out.push_str(&format!("_{:x}", u32::from(c))) }
    }
    out
}

/// The shape that stands before a verdict's words.
pub(crate) fn shape(finding: &Finding) -> Shape {
    match finding.verdict {
        Verdict::Met if finding.inside_spread => Shape::HalfDisc,
        Verdict::Met => Shape::Disc,
        Verdict::NotMet => Shape::Triangle,
        Verdict::NotShown => Shape::Ring,
        Verdict::NotApplicable => Shape::Dash,
    }
}

/// Shape and words of a verdict; *not met* is bold.
pub(crate) fn verdict(finding: &Finding) -> Line {
    let words = finding.words();
    let said = if finding.verdict == Verdict::NotMet { bold(words) } else { plain(words) };
    vec![Run::Shape(shape(finding)), plain(" "), said]
}

/// The clause a finding rests on, with *recalled* when its limit was not re-read.
pub(crate) fn clause(finding: &Finding) -> Line {
    let Some(citation) = &finding.citation else { return Line::new() };
    let mut line = vec![plain(citation.short().replacen("AD H ", "AD\u{a0}H\u{a0}", 1))];
    if finding.recalled {
        line.push(plain(", "));
        line.push(italic("recalled"));
    }
    line
}

/// A level in metres: as read; `=` before a computed one, `about` before a believed one.
pub(crate) fn level<L: Copy>(height: Option<Height<L>>) -> Line {
    let Some(height) = height else { return vec![plain("unknown")] };
    let Some(level) = height.absolute() else { return vec![plain("no datum")] };
    let metres = level.metres(3);
    let written = matches!(height.because, Because::Written(_));
    vec![plain(match (height.how, written) {
        (How::Believed, _) => format!("about\u{a0}{metres}"),
        (_, true) => metres,
        (_, false) => format!("={THIN}{metres}"),
    })]
}

/// A fall both ways, the recorded form first; unknown when there is none.
pub(crate) fn fall(gradient: Option<KnownGradient>, recorded: &Field<Fall>) -> [Line; 2] {
    let Some(g) = gradient else {
        let word = if recorded.is_unknown() { "unknown" } else { "not recorded" };
        return [vec![plain(word)], Line::new()];
    };
    let one_in = match recorded.get() {
        Some(Fall::Gradient { one_in: true, decimals, .. }) => g.value.in_words_with(*decimals),
        _ => g.value.in_words(),
    };
    let per_metre = format!("{}\u{a0}mm/m", g.value.mm_per_m());
    let metric_first = matches!(recorded.get(), Some(Fall::Gradient { one_in: false, .. }));
    let (first, second) = if metric_first { (per_metre, one_in) } else { (one_in, per_metre) };
    let (first, second) = if g.how == How::Believed {
        (format!("about\u{a0}{first}"), format!("about\u{a0}{second}"))
    } else {
        (first, format!("={THIN}{second}"))
    };
    [vec![plain(first)], vec![plain(second)]]
}

/// A recorded length with the word that says how it is known, when that is not the usual one.
pub(crate) fn measure(field: &Field<Measure>) -> Line {
    match field.get() {
        Some(m) => vec![plain(known(&m.words(), field.how))],
        None if field.is_unknown() => vec![plain("unknown")],
        None => vec![plain("not recorded")],
    }
}

/// A value with `about` before it or the word of its knowledge after it.
pub(crate) fn known(words: &str, how: Option<How>) -> String {
    match how {
        Some(How::Believed) => format!("about\u{a0}{words}"),
        Some(How::FromDrawing) => format!("{words} drawing"),
        Some(how @ (How::Stated | How::Maker)) => format!("{words} {}", how.word()),
        Some(How::Measured | How::Computed) | None => words.to_owned(),
    }
}

/// A link to an item's row, with its page.
pub(crate) fn see(text: &str, anchor: &str) -> Line {
    vec![
        Run::Link { text: text.to_owned(), to: Target::Here(anchor.to_owned()) },
        plain(" "),
        Run::Page(anchor.to_owned()),
    ]
}

/// Several ids with single spaces, in natural order.
pub(crate) fn ids<'a>(all: impl IntoIterator<Item = &'a str>) -> Line {
    let mut all: Vec<&str> = all.into_iter().collect();
    all.sort_by(|a, b| crate::base::text::natural(a, b));
    all.dedup();
    let mut line = Line::new();
    for one in all {
        if !line.is_empty() {
            line.push(plain(" "));
        }
        line.extend(mention(one));
    }
    line
}

/// An id in ink, and the part meant in plain words after it: **P1** above.
pub(crate) fn mention(words: &str) -> Line {
    match words.split_once(' ') {
        Some((item, part)) => vec![id(item), plain(format!("\u{a0}{}", part.replace(' ', "\u{a0}")))],
        None => vec![id(words)],
    }
}

/// With a capital at its start.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

/// With a full stop at its end, unless it already has one or asks.
pub(crate) fn sentence(text: &str) -> String {
    let text = capital(text.trim());
    if text.is_empty() || text.ends_with(['.', '?', '!']) { text } else { format!("{text}.") }
}

/// `trap.seal.minimum[appliance=basin|bidet]` with words and blanks where a line may break.
pub(crate) fn cell(id: &str) -> String {
    match id.split_once('[') {
        Some((key, facts)) => format!("{key} [{}", facts.replace('=', " ").replace('|', " or ")),
        None => id.to_owned(),
    }
}
