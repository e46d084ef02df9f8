//! `fallmark verify`: whether a bag or a pack is as it was written, and whether its findings still follow from it.

use crate::base::files::Files as _;
use crate::base::files::MemoryFiles;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::bag;
use crate::cli::bag_findings;
use crate::cli::bag_findings::Outcome;
use crate::cli::disk;
use crate::cli::disk::DiskFiles;
use crate::cli::job;
use crate::cli::keep::RECORD;
use crate::cli::screen::Screen;
use crate::cli::trouble::Trouble;
use crate::examine_with;
use crate::keep;
use crate::photo_facts;
use crate::record;
use crate::record::Reading;
use crate::record::sections::Record;
use crate::render::pdf;
use crate::render::pdf::OpenFault;
use crate::rulebook;
use crate::rulebook::Rulebook;
use chrono::NaiveDate;
use std::collections::BTreeSet;
use std::io::{Read as _, Write as _};
use std::path::Path;

/// The most that is read of a pack, in bytes.
const LARGEST_PACK: u64 = 1 << 30;

/// Verifies a bag or a pack.
///
/// # Errors
/// When it is neither, or cannot be read.
pub fn run(args: &args::Verify) -> Result<Ended, Trouble> {
    if args.path.is_dir() { bag(&args.path) } else { pack(&args.path) }
}

/// Prints what is wrong and how it ends.
fn told(problems: &[String], notes: &[String], sound: &str) -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    for problem in problems {
        writeln!(out, "{}", harmless(problem))?;
    }
    for note in notes {
        writeln!(out, "{}", harmless(note))?;
    }
    let altered = problems.len();
    let verdict =
        if altered == 0 { sound.to_owned() } else { format!("Altered or incomplete: {altered} things above.") };
    writeln!(out, "{verdict}")?;
    out.flush()?;
    Ok(if altered == 0 { Ended::Clear } else { Ended::Altered })
}

fn bag(folder: &Path) -> Result<Ended, Trouble> {
    let unread = |source| Trouble::Read { path: folder.to_owned(), source };
    let found = bag::list(folder).map_err(unread)?;
    let files = DiskFiles::inside(folder);
    let no_bag = || Trouble::Told(format!("`{}` holds no bag: no manifest is in it", folder.display()));
    let checked = keep::check(&found, &files).ok_or_else(no_bag)?;
    let mut problems = checked.problems;
    let mut notes = Vec::new();
    if problems.is_empty() {
        let listed: Vec<&str> = found.iter().map(|f| f.path.as_str()).collect();
        if !listed.contains(&format!("data/{RECORD}").as_str()) {
            let folder = folder.display();
            return Err(Trouble::Told(format!("`{folder}` is a whole bag, and no job of Fallmark's is in it")));
        }
        problems.extend(packs_in(&listed, &files));
        let software = checked.info.get("Bag-Software-Agent").map_or("", String::as_str);
        match bag_findings::held(folder, &listed, software) {
            Outcome::Same(findings) => notes.push(format!("Reckoned again: the {findings} findings are the same.")),
            Outcome::Differ(all) => problems.extend(all),
            Outcome::NotHeld(why) => notes.push(format!("{why}; the findings are only compared by their digest.")),
        }
        notes.push(format!("Compare with what was written down elsewhere: {}", checked.digest));
    } else {
        notes.push("The findings were not reckoned again, since the bag is not whole.".to_owned());
    }
    let sound = format!("Sound: all {} files are as their manifest says, and none is extra.", checked.files);
    told(&problems, &notes, &sound)
}

/// Packs of a bag that do not hold, or carry another record.
fn packs_in(listed: &[&str], files: &DiskFiles) -> Vec<String> {
    let whole = |name: &str| -> Vec<u8> {
        let mut bytes = Vec::new();
        let read = files.open(name).map(|reader| reader.take(LARGEST_PACK).read_to_end(&mut bytes));
        if matches!(read, Ok(Ok(_))) { bytes } else { Vec::new() }
    };
    let record = whole(&format!("data/{RECORD}"));
    let packs = listed.iter().filter(|p| p.starts_with("data/packs/") && p.ends_with(".pdf"));
    packs
        .filter_map(|path| match pdf::open(&whole(path)) {
            Err(fault) => Some(format!("`{path}`: {fault}")),
            Ok(opened) if opened.record != record => Some(format!("`{path}` carries another record than `{RECORD}`")),
            Ok(_) => None,
        })
        .collect()
}

fn pack(path: &Path) -> Result<Ended, Trouble> {
    let bytes = disk::whole(path, LARGEST_PACK)?;
    let cannot = |why: String| Trouble::Told(format!("`{}`: {why}", path.display()));
    let opened = match pdf::open(&bytes) {
        Ok(opened) => opened,
        Err(OpenFault::Altered) => return told(&[format!("`{}`: {}", path.display(), OpenFault::Altered)], &[], ""),
        Err(fault) => return Err(cannot(fault.to_string())),
    };
    let reading = record::read_bytes(RECORD, &opened.record);
    if let Some(fault) = reading.faults.first() {
        let line = reading.source.line_of(fault.span.start);
        return Err(cannot(format!("the record in it is not readable: line {line}, {}", fault.what)));
    }
    let rulebook = rulebook_in(&opened, &reading)?;
    let mut notes = vec![format!("The record in it has {} bytes and no faults.", opened.record.len())];
    let mut problems = Vec::new();
    match lacks(&opened, &reading.record, &rulebook) {
        Ok((stands, lacking)) => {
            let words = format!("Reckoned again from it without photos: {stands} findings stand in the pack.");
            notes.push(words);
            problems.extend(lacking);
        }
        Err(why) => notes.push(format!("{why}; its findings were not compared.")),
    }
    told(&problems, &notes, "Sound: every byte is as it was written.")
}

/// The rulebook that a pack says it was made with, whole and without overlays; else the one that its record names.
///
/// # Errors
/// As for [`job::rulebook_of`].
fn rulebook_in(pack: &pdf::Opened, reading: &Reading) -> Result<Rulebook, Trouble> {
    for name in rulebook::names() {
        let book = rulebook::load(name)?;
        if names(pack, &book) {
            return Ok(book);
        }
    }
    job::rulebook_of(reading, None)
}

/// Whether a pack says that it was made with a rulebook, in this very state, and without overlays.
fn names(pack: &pdf::Opened, rulebook: &Rulebook) -> bool {
    let digest: String = rulebook.digest().chars().take(8).collect();
    let basis =
        format!("rulebook {}, revision {}, digest {digest}; no local overlay", rulebook.id(), rulebook.revision());
    pack.text.contains(&squeezed(&basis))
}

fn squeezed(words: &str) -> String {
    words.split_whitespace().collect()
}

/// How many findings of the record stand in a pack with their numbers, and those that do not.
///
/// # Errors
/// Why they cannot be compared.
fn lacks(pack: &pdf::Opened, record: &Record, rulebook: &Rulebook) -> Result<(usize, Vec<String>), String> {
    let own = format!("Fallmark {}", env!("CARGO_PKG_VERSION"));
    if !["Inspectionpack", "Archivepack"].iter().any(|kind| pack.text.contains(kind)) {
        return Err("It is no pack that lists findings".to_owned());
    }
    if pack.creator != own || !names(pack, rulebook) {
        let other = if pack.creator == own { "other guidance, or an overlay" } else { &pack.creator };
        return Err(format!("It was made by {other}, and this is {own} with {}", rulebook.id()));
    }
    let (mut stands, mut lacking) = (0, Vec::new());
    for finding in without_photos(record, rulebook) {
        let settle = finding.remedy.as_ref().map_or("", |r| r.text.as_str());
        let said = if finding.measured.is_empty() { settle } else { &finding.measured };
        if pack.text.contains(&squeezed(said)) && pack.text.contains(&squeezed(finding.verdict.word())) {
            stands += 1;
        } else {
            let (rule, item, verdict) = (finding.rule.0, &finding.item, finding.verdict.word());
            lacking.push(format!(
                "the pack does not say what follows from its record: {rule} on {item}, {verdict}: {said}"
            ));
        }
    }
    Ok((stands, lacking))
}

/// The findings that no photo can change: those that come out the same whatever the photos are.
fn without_photos(record: &Record, rulebook: &Rulebook) -> Vec<Finding> {
    let missing = photo_facts(record, &MemoryFiles::default());
    let told = |finding: &Finding| format!("{finding:?}");
    let with = |taken: Option<NaiveDate>| {
        let mut facts = missing.clone();
        for fact in facts.values_mut() {
            fact.fault = None;
            fact.taken = taken.or(fact.taken);
            fact.from_file = taken.is_some();
        }
        examine_with(record, rulebook, facts).findings.iter().map(told).collect::<BTreeSet<String>>()
    };
    let others = [with(None), with(Some(NaiveDate::MIN)), with(Some(NaiveDate::MAX))];
    let mut findings = examine_with(record, rulebook, missing.clone()).findings;
    findings.retain(|f| f.verdict != Verdict::NotApplicable && others.iter().all(|other| other.contains(&told(f))));
    findings
}
