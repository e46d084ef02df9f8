//! A job as the command line names it: its record, its guidance, its stage.

use crate::base::finding::Moment;
use crate::base::text::harmless;
use crate::cli::args;
use crate::cli::disk;
use crate::cli::disk::DiskFiles;
use crate::cli::trouble::Trouble;
use crate::readiness;
use crate::record;
use crate::record::Reading;
use crate::record::sections::Record;
use crate::rulebook;
use crate::rulebook::Rulebook;
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use std::path::PathBuf;

/// A record that was read, and the bytes it was read from.
pub struct Opened {
    /// The record, or its faults.
    pub reading: Reading,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A job ready to be examined.
pub struct Ready {
    /// The guidance, with its overlays.
    pub rulebook: Rulebook,
    /// The files beside the record.
    pub files: DiskFiles,
    /// The moment for which things are due.
    pub moment: Moment,
    /// The stage as it was asked for; `None` when neither the user nor the record asks for one.
    pub stage: Option<String>,
}

impl Opened {
    /// Reads a record.
    ///
    /// # Errors
    /// When its file cannot be read.
    pub fn read(job: &args::Job) -> Result<Self, Trouble> {
        let bytes = disk::record(&job.record)?;
        let reading = record::read_bytes(&job.record.display().to_string(), &bytes);
        Ok(Self { reading, bytes })
    }

    /// Finds the guidance, the folder and the stage.
    ///
    /// # Errors
    /// When the rulebook is not known, an overlay does not fit it, or there is no such stage.
    pub fn ready(&self, job: &args::Job) -> Result<Ready, Trouble> {
        let record = &self.reading.record;
        let rulebook = with_overlays(rulebook_of(&self.reading, job.rulebook.as_deref())?, &job.overlay)?;
        let moment = readiness::moment(record, job.stage.as_deref()).map_err(|would_do| {
            let asked = job.stage.clone().or_else(|| stage_of(record)).unwrap_or_default();
            Trouble::Told(format!("there is no stage `{asked}`; what would do: {}", would_do.join("; ")))
        })?;
        let stage = job.stage.clone().or_else(|| stage_of(record));
        Ok(Ready { rulebook, files: DiskFiles::beside(&job.record)?, moment, stage })
    }

    /// SHA-256 of the record's bytes, in hexadecimal.
    pub fn digest(&self) -> String {
        Sha256::digest(&self.bytes).iter().fold(String::with_capacity(64), |mut hex, byte| {
            // Writing to a string does not fail.
            let _ = write!(hex, "{byte:02x}");
            hex
        })
    }
}

fn stage_of(record: &Record) -> Option<String> {
    record.job.stage.get().map(|stage| stage.0.clone())
}

/// The rulebook that is asked for, else the one that the record names; the first one that is built in when it names
/// none.
///
/// # Errors
/// When the one that is asked for, or that the record names, is not built in.
pub fn rulebook_of(reading: &Reading, asked: Option<&str>) -> Result<Rulebook, Trouble> {
    if let Some(name) = asked {
        return Ok(rulebook::load(name)?);
    }
    let Some(name) = reading.record.rulebook.get() else {
        return Ok(rulebook::load(rulebook::names().first().copied().unwrap_or_default())?);
    };
    if !rulebook::names().contains(&name.0.as_str()) {
        let (line, column) = reading.source.place(reading.record.rulebook.span.start);
        let known = rulebook::names().join(", ");
        let (file, name) = (&reading.source.name, harmless(&name.0));
        return Err(Trouble::Told(format!("{file}:{line}:{column}: there is no rulebook `{name}`; one of: {known}")));
    }
    Ok(rulebook::load(&name.0)?)
}

/// Lays overlays on a rulebook, the last one on top.
///
/// # Errors
/// When one cannot be read or does not fit.
pub fn with_overlays(mut rulebook: Rulebook, overlays: &[PathBuf]) -> Result<Rulebook, Trouble> {
    for path in overlays {
        rulebook.with_overlay(&disk::text(path)?, &path.display().to_string())?;
    }
    Ok(rulebook)
}
