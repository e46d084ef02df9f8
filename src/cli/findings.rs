//! Findings for people: what is open first and in full, what is met folded, what it all means last.

use crate::Examined;
use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Remedy;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::span::SourceText;
use crate::base::text::harmless;
use crate::cli::excerpt;
use crate::cli::screen::Paint;
use crate::readiness;
use crate::readiness::Counts;
use std::collections::BTreeMap;
use std::io::{self, Write};

/// So many items of one group are shown in full, unless everything is asked for.
const SHOWN: usize = 6;

/// So many more are named.
const NAMED: usize = 12;

/// How findings are to be shown.
pub struct View<'a> {
    /// The record's text.
    pub source: &'a SourceText,
    /// The moment for which things are due.
    pub moment: Moment,
    /// The stage as it was asked for.
    pub stage: Option<&'a str>,
    /// Whether what is met is listed too.
    pub all: bool,
    /// Colours or none.
    pub paint: Paint,
}

type Out<'o> = &'o mut dyn Write;

/// Writes the findings of a job.
///
/// # Errors
/// What `out` says.
pub fn write(view: &View<'_>, examined: &Examined<'_>, out: Out<'_>) -> io::Result<()> {
    let (clauses, advice): (Vec<&Finding>, Vec<&Finding>) =
        examined.findings.iter().partition(|f| f.weight == Weight::Clause);
    open(view, &clauses, out)?;
    settled(view, &clauses, out)?;
    if advice.iter().any(|f| view.all || readiness::is_open(f)) {
        writeln!(
            out,
            "{}",
            view.paint.bold("Advice: custom of the trade; no clause asks for it, and it is not counted")
        )?;
        writeln!(out)?;
        open(view, &advice, out)?;
        settled(view, &advice, out)?;
    }
    summary(view, &readiness::counts(&examined.findings, view.moment), out)
}

/// Open findings of one rule and verdict that rest on the same clause.
type Group<'f> = Vec<&'f Finding>;

/// Groups what is open: not met before not shown, due before not yet due, then in the order of the rules.
fn groups<'f>(view: &View<'_>, findings: &[&'f Finding]) -> Vec<Group<'f>> {
    let mut groups: BTreeMap<(Verdict, bool, usize, String), Group<'f>> = BTreeMap::new();
    // Findings come rule by rule.
    for (place, rule) in findings.chunk_by(|a, b| a.rule == b.rule).enumerate() {
        for finding in rule.iter().filter(|f| readiness::is_open(f)) {
            let later = finding.weight == Weight::Clause && !readiness::is_due(finding, view.moment);
            let clause = finding.citation.as_ref().map_or(String::new(), |c| c.short());
            groups.entry((finding.verdict, later, place, clause)).or_default().push(finding);
        }
    }
    groups.into_values().collect()
}

fn open(view: &View<'_>, findings: &[&Finding], out: Out<'_>) -> io::Result<()> {
    for group in groups(view, findings) {
        let shown = if view.all { group.len() } else { SHOWN };
        for finding in group.iter().take(shown) {
            one(view, finding, out)?;
        }
        let rest: Vec<&str> = group.iter().skip(shown).map(|f| f.item.as_str()).collect();
        if !rest.is_empty() {
            let names = rest.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
            let dots = if rest.len() > NAMED { ", \u{2026}" } else { "" };
            writeln!(out, "  and {} more: {}{dots} (--all shows each)", rest.len(), harmless(&names))?;
        }
        if let Some(first) = group.first() {
            basis(view, first, out)?;
        }
        writeln!(out)?;
    }
    Ok(())
}

/// One open finding with its place in the record.
fn one(view: &View<'_>, finding: &Finding, out: Out<'_>) -> io::Result<()> {
    let words = match finding.verdict {
        Verdict::NotMet => view.paint.bad(finding.words()),
        Verdict::NotShown => view.paint.open(finding.words()),
        Verdict::Met | Verdict::NotApplicable => finding.words().to_owned(),
    };
    writeln!(out, "{words}  {}  {}", finding.rule.0, harmless(&sentence(finding)))?;
    let (line, column) = view.source.place(finding.span.start);
    writeln!(out, "    --> {}:{line}:{column}", harmless(&view.source.name))?;
    excerpt::write(view.source, finding.span, out, view.paint)?;
    finding.remedy.as_ref().map_or(Ok(()), |remedy| remedied(finding, remedy, out))
}

/// What would put it right, or settle it, and in which field; words that stand above are not said again.
fn remedied(finding: &Finding, remedy: &Remedy, out: Out<'_>) -> io::Result<()> {
    let mut said: Vec<String> = Vec::new();
    said.extend((!finding.text.contains(&remedy.text)).then(|| remedy.text.clone()));
    said.extend(remedy.change.clone());
    let alone = said.is_empty();
    said.extend(remedy.field.as_ref().map(|f| if alone { format!("write it in {f}") } else { format!("({f})") }));
    let head = if finding.verdict == Verdict::NotMet { "proposed" } else { "to settle it" };
    writeln!(out, "    {head}: {}", harmless(&said.join(" ")))
}

/// Item, what was found, what is asked for, and the text.
fn sentence(finding: &Finding) -> String {
    let mut said = Vec::new();
    if !finding.measured.is_empty() {
        said.push(finding.measured.clone());
    }
    if !finding.limit.is_empty() {
        said.push(format!("asked for: {}", finding.limit));
    }
    let (said, words) = (said.join("; "), text(finding));
    let text = match (said.is_empty(), words.is_empty()) {
        (true, _) => words,
        (false, true) => said,
        (false, false) => format!("{said}. {}", capital(&words)),
    };
    format!("{}: {text}", finding.item)
}

/// The text of a finding; a reading that it begins with stands before it already, and is not said again.
fn text(finding: &Finding) -> String {
    let reading = finding.measured.as_str();
    match finding.text.strip_prefix(reading) {
        Some(rest) if !reading.is_empty() && rest.starts_with(' ') => format!("that{rest}"),
        _ => finding.text.clone(),
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// The clause behind a group, and when it is due if that is not yet.
fn basis(view: &View<'_>, finding: &Finding, out: Out<'_>) -> io::Result<()> {
    let source = finding.citation.as_ref().map_or("no clause".to_owned(), |c| format!("{}, {}", c.short(), c.edition));
    let recalled = if finding.recalled { " (limit recalled, confirm against the document)" } else { "" };
    let line = format!("    source: {source}{recalled}");
    writeln!(out, "{}", view.paint.soft(&harmless(&line)))?;
    if finding.weight == Weight::Clause && !readiness::is_due(finding, view.moment) {
        let when = match finding.due {
            _ if finding.planned => "once it is built".to_owned(),
            Moment::Completion | Moment::Handover => format!("at {}", finding.due.word()),
            moment => moment.word().to_owned(),
        };
        writeln!(out, "    {}", view.paint.soft(&format!("not due yet; due {when}")))?;
    }
    Ok(())
}

/// What is met, replaced or not applicable: folded to counts, or each in a line.
fn settled(view: &View<'_>, findings: &[&Finding], out: Out<'_>) -> io::Result<()> {
    let mut lines: BTreeMap<(Verdict, &str), Vec<&Finding>> = BTreeMap::new();
    let mut replaced = Vec::new();
    for finding in findings {
        match (&finding.replaced_by, finding.verdict) {
            (Some(_), _) => replaced.push(*finding),
            (None, Verdict::Met) => lines.entry((Verdict::Met, finding.words())).or_default().push(finding),
            (None, Verdict::NotApplicable) if view.all => {
                lines.entry((Verdict::NotApplicable, finding.words())).or_default().push(finding);
            }
            (None, Verdict::NotApplicable | Verdict::NotMet | Verdict::NotShown) => {}
        }
    }
    let any = !lines.is_empty() || !replaced.is_empty();
    for ((_, words), met) in &lines {
        fold(view, &format!("{} {words}", met.len()), met, out)?;
    }
    if !replaced.is_empty() {
        fold(view, &format!("{} replaced by a later test", replaced.len()), &replaced, out)?;
    }
    if any { writeln!(out) } else { Ok(()) }
}

fn fold(view: &View<'_>, head: &str, findings: &[&Finding], out: Out<'_>) -> io::Result<()> {
    if view.all {
        writeln!(out, "{}", view.paint.bold(head))?;
        for finding in findings {
            let clause = finding.citation.as_ref().map_or(String::new(), |c| format!("  ({})", c.short()));
            let by = finding.replaced_by.as_ref().map_or(String::new(), |by| format!("; replaced by {by}"));
            let line = format!("{}{by}{clause}", sentence(finding));
            writeln!(out, "  {}  {}", finding.rule.0, harmless(&line))?;
        }
        return Ok(());
    }
    let mut rules: Vec<(&str, usize)> = Vec::new();
    for finding in findings {
        match rules.last_mut() {
            Some((rule, count)) if *rule == finding.rule.0 => *count += 1,
            _ => rules.push((finding.rule.0, 1)),
        }
    }
    let rules: Vec<String> = rules.iter().map(|(rule, count)| format!("{rule} {count}")).collect();
    writeln!(out, "{head} ({})", rules.join(", "))
}

/// Counts, what is due, what the exit status says, and what all this is not.
fn summary(view: &View<'_>, counts: &Counts, out: Out<'_>) -> io::Result<()> {
    let advice = match counts.advice {
        0 => String::new(),
        1 => "; 1 piece of advice".to_owned(),
        n => format!("; {n} pieces of advice"),
    };
    writeln!(
        out,
        "{} not met, {} not shown, {} met, {} met as planned{advice}",
        counts.not_met, counts.not_shown, counts.met, counts.planned
    )?;
    let stage = match view.stage {
        Some(stage) if stage != view.moment.word() => format!("{} ({})", harmless(stage), view.moment.word()),
        Some(stage) => stage.to_owned(),
        None => "the whole job, since the record asks for no stage".to_owned(),
    };
    let due = if counts.due == 0 {
        format!("Due now, {stage}: nothing is open. Exit status 0")
    } else {
        format!("Due now, {stage}: {} open. Exit status 1", counts.due)
    };
    writeln!(out, "{}", view.paint.bold(&due))?;
    writeln!(out, "This is no certificate and no approval; the building-control body decides.")
}
