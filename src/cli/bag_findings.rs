//! The findings of a bag, reckoned again from the record and the photos in it.

use crate::cli::args;
use crate::cli::build;
use crate::cli::disk;
use crate::cli::disk::DiskFiles;
use crate::cli::job;
use crate::cli::job::Opened;
use crate::cli::job::Ready;
use crate::cli::json;
use crate::cli::keep::RECORD;
use crate::cli::pictures::DiskPictures;
use crate::cli::screen::Progress;
use crate::cli::trouble::Trouble;
use crate::examine_with;
use crate::readiness;
use crate::rulebook;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// How the findings in a bag stand to those that follow from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// They are the same; so many.
    Same(usize),
    /// They differ, or what they rest on does; one sentence each.
    Differ(Vec<String>),
    /// They were not held against one another, for this reason.
    NotHeld(String),
}

/// Holds `data/findings.json` of a bag against what follows from the rest of it.
///
/// `listed` are the bag's files, `software` what wrote it.
pub fn held(folder: &Path, listed: &[&str], software: &str) -> Outcome {
    match again(folder, listed, software) {
        Ok(outcome) => outcome,
        Err(trouble) => Outcome::Differ(vec![format!("the job in the bag cannot be examined: {}", trouble.line())]),
    }
}

fn again(folder: &Path, listed: &[&str], software: &str) -> Result<Outcome, Trouble> {
    let own = format!("Fallmark {}", env!("CARGO_PKG_VERSION"));
    if software != own {
        return Ok(Outcome::NotHeld(format!("The bag was written by {software}, and this is {own}")));
    }
    let data = folder.join("data");
    let kept_bytes = disk::whole(&data.join("findings.json"), LARGEST_FINDINGS)?;
    let kept: Value = serde_json::from_slice(&kept_bytes)
        .map_err(|fault| Trouble::Told(format!("`findings.json` is not readable: {fault}")))?;
    let overlays: Vec<PathBuf> =
        listed.iter().filter(|p| p.starts_with("data/rulebook/overlays/")).map(|p| folder.join(p)).collect();
    let stage = kept["stage"]["name"].as_str().map(str::to_owned);
    let rulebook = kept["rulebook"]["id"].as_str().filter(|id| rulebook::names().contains(id)).map(str::to_owned);
    let job = args::Job { record: data.join(RECORD), stage, rulebook, overlay: overlays };
    let mut opened = Opened::read(&job)?;
    if let Some(fault) = opened.reading.faults.first() {
        return Ok(Outcome::Differ(vec![format!("the record in the bag has faults: {}", fault.what)]));
    }
    opened.reading.source.name = RECORD.to_owned();
    let ready = ready(&opened, &job, &data)?;
    let mut problems = texts(&data, ready.rulebook.id())?;
    if kept["rulebook"]["digest"].as_str() != Some(&ready.rulebook.digest()) {
        // With the same texts beneath, only an overlay can make the difference.
        return Ok(if problems.is_empty() {
            Outcome::Differ(vec!["the overlays in the bag are not those that the findings rest on".to_owned()])
        } else {
            Outcome::NotHeld("The guidance in this program is not that of the bag".to_owned())
        });
    }
    let mut fresh = Vec::new();
    let pictures = DiskPictures::new(&ready.files);
    let photos = build::prepared(&opened.reading.record, &ready.files, &pictures, &mut Progress::start());
    let examined = examine_with(&opened.reading.record, &ready.rulebook, photos);
    json::findings((&opened, &ready, &examined), true, &mut fresh)?;
    if fresh != kept_bytes {
        problems.extend(differences(&kept, &serde_json::from_slice(&fresh).unwrap_or_default()));
    }
    Ok(if problems.is_empty() { Outcome::Same(examined.findings.len()) } else { Outcome::Differ(problems) })
}

/// The most that is read of findings, in bytes.
const LARGEST_FINDINGS: u64 = 1 << 28;

/// The job as it was when the bag was written: photos come out of `data/photos`.
fn ready(opened: &Opened, job: &args::Job, data: &Path) -> Result<Ready, Trouble> {
    let rulebook = job::with_overlays(job::rulebook_of(&opened.reading, job.rulebook.as_deref())?, &job.overlay)?;
    let moment = readiness::moment(&opened.reading.record, job.stage.as_deref())
        .map_err(|_| Trouble::Told("the record has no such stage as `findings.json` names".to_owned()))?;
    Ok(Ready { rulebook, files: DiskFiles::inside(&data.join("photos")), moment, stage: job.stage.clone() })
}

/// Texts of the rulebook that are not the program's own, though both say that they are.
fn texts(data: &Path, id: &str) -> Result<Vec<String>, Trouble> {
    let mut problems = Vec::new();
    for (name, text) in rulebook::texts(id)? {
        if disk::text(&data.join("rulebook").join(&name))? != text {
            problems.push(format!("`data/rulebook/{name}` is not the text that the findings rest on"));
        }
    }
    Ok(problems)
}

/// Findings that stand on one side only.
fn differences(kept: &Value, fresh: &Value) -> Vec<String> {
    let all = |report: &Value| -> BTreeSet<String> {
        report["findings"].as_array().into_iter().flatten().map(Value::to_string).collect()
    };
    let (before, now) = (all(kept), all(fresh));
    let words = |text: &String, side: &str| {
        let finding: Value = serde_json::from_str(text).unwrap_or_default();
        let said = |key: &str| finding[key].as_str().unwrap_or_default().to_owned();
        let (rule, item, verdict, measured) = (said("rule"), said("item"), said("verdict"), said("measured"));
        format!("{side}: {rule} on {item}, {verdict} {measured}").trim_end().to_owned()
    };
    let mut problems: Vec<String> =
        before.difference(&now).map(|f| words(f, "in `findings.json`, and does not follow")).collect();
    problems.extend(now.difference(&before).map(|f| words(f, "follows, and is not in `findings.json`")));
    if problems.is_empty() {
        problems.push("`findings.json` is not what follows from the record in the bag".to_owned());
    }
    problems
}
