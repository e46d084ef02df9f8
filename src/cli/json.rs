//! Findings and faults for other programs.

use crate::Examined;
use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::span::SourceText;
use crate::cli::job::Opened;
use crate::cli::job::Ready;
use crate::readiness;
use crate::readiness::cautions::Called;
use crate::readiness::cautions::called;
use crate::record::Reading;
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Report<'a> {
    record: RecordPart<'a>,
    rulebook: RulebookPart<'a>,
    stage: StagePart<'a>,
    findings: Vec<FindingPart<'a>>,
    counts: CountsPart,
    cautions: Vec<CautionPart>,
}

#[derive(Serialize)]
struct RecordPart<'a> {
    file: &'a str,
    id: &'a str,
    title: &'a str,
    digest: String,
}

#[derive(Serialize)]
struct RulebookPart<'a> {
    id: &'a str,
    revision: u32,
    digest: String,
}

#[derive(Serialize)]
struct StagePart<'a> {
    name: Option<&'a str>,
    moment: &'static str,
}

#[derive(Serialize)]
struct FindingPart<'a> {
    rule: &'a str,
    item: &'a str,
    verdict: &'static str,
    weight: &'static str,
    line: usize,
    column: usize,
    measured: Option<&'a str>,
    limit: Option<&'a str>,
    clause: Option<String>,
    seen: Option<&'static str>,
    due: &'static str,
    is_due: bool,
    text: Option<&'a str>,
    remedy: Option<RemedyPart<'a>>,
    inside_spread: bool,
    planned: bool,
    replaced_by: Option<&'a str>,
}

#[derive(Serialize)]
struct RemedyPart<'a> {
    field: Option<&'a str>,
    change: Option<&'a str>,
    text: &'a str,
}

#[derive(Serialize)]
struct CountsPart {
    met: usize,
    met_as_planned: usize,
    not_met: usize,
    not_shown: usize,
    due: usize,
    advice: usize,
}

#[derive(Serialize)]
struct CautionPart {
    id: &'static str,
    items: Vec<String>,
    text: &'static str,
    leave_to: &'static str,
}

#[derive(Serialize)]
struct FaultReport<'a> {
    faults: Vec<FaultPart<'a>>,
    further: usize,
}

#[derive(Serialize)]
struct FaultPart<'a> {
    line: usize,
    column: usize,
    kind: &'static str,
    what: &'a str,
    help: &'a str,
    path: &'a str,
}

/// Writes the findings of a job: what is open, and with `all` everything.
///
/// # Errors
/// What `out` says.
pub fn findings(
    (opened, ready, examined): (&Opened, &Ready, &Examined<'_>),
    all: bool,
    out: &mut dyn Write,
) -> io::Result<()> {
    let open = |f: &&Finding| all || matches!(f.verdict, Verdict::NotMet | Verdict::NotShown);
    let source = &opened.reading.source;
    let job = &examined.record.job;
    let counts = readiness::counts(&examined.findings, ready.moment);
    let report = Report {
        record: RecordPart {
            file: file_name(source),
            id: job.id.get().map_or("", |id| id.0.as_str()),
            title: job.title.get().map_or("", |title| title.0.as_str()),
            digest: opened.digest(),
        },
        rulebook: RulebookPart {
            id: ready.rulebook.id(),
            revision: ready.rulebook.revision(),
            digest: ready.rulebook.digest(),
        },
        stage: StagePart { name: ready.stage.as_deref(), moment: ready.moment.word() },
        findings: examined.findings.iter().filter(open).map(|f| part(f, source, ready.moment)).collect(),
        counts: CountsPart {
            met: counts.met,
            met_as_planned: counts.planned,
            not_met: counts.not_met,
            not_shown: counts.not_shown,
            due: counts.due,
            advice: counts.advice,
        },
        cautions: cautions(examined),
    };
    write(&report, out)
}

/// What the record calls for a caution about, whoever reads it.
fn cautions(examined: &Examined<'_>) -> Vec<CautionPart> {
    let called = called(&examined.network, &examined.computed, &examined.findings);
    let part = |called: Called| CautionPart {
        id: called.caution.id,
        items: called.items,
        text: called.caution.words,
        leave_to: called.caution.leave_to,
    };
    called.into_iter().map(part).collect()
}

fn part<'a>(finding: &'a Finding, source: &SourceText, at: Moment) -> FindingPart<'a> {
    let (line, column) = source.place(finding.span.start);
    let said = |words: &'a str| (!words.is_empty()).then_some(words);
    let seen = finding.citation.as_ref().map(|c| if finding.recalled { "memory" } else { c.value_seen.word() });
    FindingPart {
        rule: finding.rule.0,
        item: &finding.item,
        verdict: finding.verdict.word(),
        weight: if finding.weight == Weight::Clause { "clause" } else { "advice" },
        line,
        column,
        measured: said(&finding.measured),
        limit: said(&finding.limit),
        clause: finding.citation.as_ref().map(|c| c.short()),
        seen,
        due: finding.due.word(),
        is_due: readiness::is_due(finding, at),
        text: said(&finding.text),
        remedy: finding.remedy.as_ref().map(|r| RemedyPart {
            field: r.field.as_deref(),
            change: r.change.as_deref(),
            text: &r.text,
        }),
        inside_spread: finding.inside_spread,
        planned: finding.planned,
        replaced_by: finding.replaced_by.as_deref(),
    }
}

/// Writes the faults of a record.
///
/// # Errors
/// What `out` says.
pub fn faults(reading: &Reading, out: &mut dyn Write) -> io::Result<()> {
    let faults = reading.faults.iter().map(|fault| {
        let (line, column) = reading.source.place(fault.span.start);
        FaultPart { line, column, kind: fault.kind, what: &fault.what, help: &fault.help, path: &fault.path }
    });
    write(&FaultReport { faults: faults.collect(), further: reading.further }, out)
}

fn write(report: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, report)?;
    writeln!(out)
}

/// The name of a record's file without the way to it, which differs from machine to machine.
pub fn file_name(source: &SourceText) -> &str {
    std::path::Path::new(&source.name).file_name().and_then(|n| n.to_str()).unwrap_or("record.yaml")
}
