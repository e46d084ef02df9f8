//! `fallmark build`.
//!
//! Everything is written aside first; the earlier pack stays whole until every file of the new one is on the disk.
//!
//! Files are called after the job's id: `TH-2-inspection.pdf`, `.html`, `.md`, `.json`; see [`file_stem`].

use crate::Examined;
use crate::base::files::Files;
use crate::base::files::Sink as _;
use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::args::As;
use crate::cli::args::PackName;
use crate::cli::disk;
use crate::cli::job::Opened;
use crate::cli::job::Ready;
use crate::cli::json;
use crate::cli::pictures::DiskPictures;
use crate::cli::report;
use crate::cli::screen;
use crate::cli::screen::Progress;
use crate::cli::screen::Screen;
use crate::cli::sink::DiskSink;
use crate::cli::sink::file_stem;
use crate::cli::trouble::Trouble;
use crate::examine_with;
use crate::pack;
use crate::pack::Choice;
use crate::pack::Pack;
use crate::photo_facts;
use crate::readiness;
use crate::record::sections::Record;
use crate::render;
use crate::render::Attachment;
use crate::render::Document;
use crate::render::Meta;
use crate::render::Output;
use crate::render::RenderError;
use crate::rulebook;
use crate::rules::PhotoFact;
use chrono::NaiveDate;
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;
use std::io::{self, Read as _, Write};

/// Writes a pack.
///
/// # Errors
/// When the record has faults, a file cannot be read or written, or a template does not work; nothing has changed then.
pub fn run(args: &args::Build) -> Result<Ended, Trouble> {
    let mut opened = Opened::read(&args.job)?;
    if !opened.reading.faults.is_empty() {
        report::faults(&opened.reading, &mut io::stderr().lock(), screen::colour_on_stderr())?;
        return Err(Trouble::Faults);
    }
    // The pack and the JSON name the record's file; the way to it is nobody else's concern.
    opened.reading.source.name = json::file_name(&opened.reading.source).to_owned();
    let ready = opened.ready(&args.job)?;
    let templates = args.templates.as_deref().map(disk::templates).transpose()?.unwrap_or_default();
    let mut progress = Progress::start();
    let pictures = DiskPictures::new(&ready.files);
    let photos = prepared(&opened.reading.record, &ready.files, &pictures, &mut progress);
    let date = date(args.date, &opened.reading.record, &photos)?;
    let examined = examine_with(&opened.reading.record, &ready.rulebook, photos);
    let pack = assembled(args.pack, &examined, &opened, &ready, date)?;
    let job = job(&pack, &opened, &templates, &pictures);
    let document = render::document(&job)?;
    let mut sink = DiskSink::open(&args.out, &args.job.record)?;
    let mut names = Vec::new();
    for output in outputs(args) {
        let name = format!("{}.{}", stem(&opened.reading.record, args.pack), suffix(output));
        progress.step(&format!("writing {name}"));
        put(&mut sink, &name, &mut |out| match kind(output) {
            Some(kind) => render::write(&document, &job, kind, out),
            None => Ok(json::findings((&opened, &ready, &examined), true, out)?),
        })?;
        names.push(name);
    }
    sink.commit().map_err(|source| Trouble::Write { path: args.out.clone(), source })?;
    drop(progress);
    told(&document, &names, &sink)?;
    let due = readiness::counts(&examined.findings, ready.moment).due;
    Ok(if args.strict && due > 0 { Ended::Open } else { Ended::Clear })
}

/// The document's date: as asked for, else the newest in the record, else the day of its newest photo.
///
/// # Errors
/// When there is none of them.
pub fn date(
    asked: Option<NaiveDate>,
    record: &Record,
    photos: &BTreeMap<String, PhotoFact>,
) -> Result<NaiveDate, Trouble> {
    let missing =
        "neither the record nor a photo holds a date that the pack could bear; give one with --date YYYY-MM-DD";
    let of_photos = || photos.values().filter_map(|photo| photo.taken).max();
    asked.or_else(|| record.newest_date()).or_else(of_photos).ok_or_else(|| Trouble::Told(missing.to_owned()))
}

/// What is known of each photo once it has been decoded; one that cannot be shown is told of, and the pack is made
/// without it.
pub fn prepared(
    record: &Record,
    files: &dyn Files,
    pictures: &DiskPictures<'_>,
    progress: &mut Progress,
) -> BTreeMap<String, PhotoFact> {
    let mut facts = photo_facts(record, files);
    let total = record.photos.len();
    for (i, item) in record.photos.iter().enumerate() {
        progress.step(&format!("photo {} of {total}", i + 1));
        let (Some(name), Some(fact)) = (item.body.file.get(), facts.get_mut(&item.id)) else { continue };
        if fact.fault.is_none() {
            fact.fault = pictures.prepare(&name.0).err().map(|fault| fault.to_string());
        }
        if let Some(fault) = &fact.fault {
            screen::tell(&harmless(&format!("photo {}: {fault}", item.id)));
        }
    }
    facts
}

/// Puts a pack together.
///
/// # Errors
/// When the rulebook's texts do not load.
pub fn assembled(
    name: PackName,
    examined: &Examined<'_>,
    opened: &Opened,
    ready: &Ready,
    date: NaiveDate,
) -> Result<Pack, Trouble> {
    let prose = rulebook::prose(ready.rulebook.id())?;
    let choice = Choice {
        date,
        moment: ready.moment,
        record_digest: opened.digest(),
        source: &opened.reading.source,
        prose: &prose,
    };
    Ok(match name {
        PackName::Inspection => pack::inspection(examined, &choice),
        PackName::Handover => pack::handover(examined, &choice),
        PackName::Archive => pack::archive(examined, &choice, &originals(examined.record, &ready.files)),
    })
}

/// Digest and size of every photo and paper that can be had.
fn originals(record: &Record, files: &dyn Files) -> pack::Originals {
    let photos = record.photos.iter().filter_map(|item| item.body.file.get());
    let papers = record.documents.iter().filter_map(|item| item.body.file.get());
    let digest = |name: &str| {
        let mut reader = files.open(name).ok()?;
        let (mut sum, mut buffer, mut bytes) = (Sha256::new(), vec![0; 1 << 16], 0);
        loop {
            match reader.read(&mut buffer).ok()? {
                0 => break,
                read => {
                    sum.update(buffer.get(..read)?);
                    bytes += read as u64;
                }
            }
        }
        let hex: String = sum.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
        Some((name.to_owned(), (hex, bytes)))
    };
    photos.chain(papers).filter_map(|name| digest(&name.0)).collect()
}

/// What the renderer is given for a pack.
pub fn job<'a>(
    pack: &'a Pack,
    opened: &'a Opened,
    templates: &'a [(String, String)],
    photos: &'a DiskPictures<'_>,
) -> render::Job<'a> {
    render::Job {
        context: pack.context.clone(),
        parts: &pack.parts,
        template: pack.template,
        templates,
        meta: Meta {
            title: pack.title.clone(),
            running_left: pack.running_left.clone(),
            running_right: pack.running_right.clone(),
            foot_left: pack.foot_left.clone(),
            lang: "en-GB".to_owned(),
            date: pack.date,
            creator: format!("Fallmark {}", env!("CARGO_PKG_VERSION")),
        },
        record: Attachment {
            name: "job.yaml",
            media_type: "application/yaml",
            bytes: &opened.bytes,
            description: "The job record from which this pack was made",
        },
        photos,
    }
}

/// The outputs that are asked for, each once, in a fixed order.
fn outputs(args: &args::Build) -> Vec<As> {
    let mut all = args.outputs.clone();
    all.sort_unstable();
    all.dedup();
    all
}

/// The file name of a pack, without its ending.
pub fn stem(record: &Record, pack: PackName) -> String {
    let job = record.job.id.get().map_or_else(|| file_stem(""), |id| file_stem(&id.0));
    let pack = match pack {
        PackName::Inspection => "inspection",
        PackName::Handover => "handover",
        PackName::Archive => "archive",
    };
    format!("{job}-{pack}")
}

fn suffix(output: As) -> &'static str {
    match output {
        As::Pdf => "pdf",
        As::Html => "html",
        As::Md => "md",
        As::Json => "json",
    }
}

/// What the renderer writes; the findings for other programs do not go through it.
fn kind(output: As) -> Option<Output> {
    match output {
        As::Pdf => Some(Output::Pdf),
        As::Html => Some(Output::Html),
        As::Md => Some(Output::Markdown),
        As::Json => None,
    }
}

/// Writes one file aside; a fault of the document is told as such, one of the disk with the file's name.
fn put(
    sink: &mut DiskSink,
    name: &str,
    write: &mut dyn FnMut(&mut dyn Write) -> Result<(), RenderError>,
) -> Result<(), Trouble> {
    let mut fault = None;
    let done = sink.put(name, &mut |out| match write(out) {
        Ok(()) => Ok(()),
        Err(RenderError::Io(error)) => Err(error),
        Err(other) => {
            fault = Some(other);
            Err(io::Error::other("the document could not be made"))
        }
    });
    match (fault, done) {
        (Some(fault), _) => Err(Trouble::Render(fault)),
        (None, Err(source)) => Err(Trouble::Write { path: sink.place(name), source }),
        (None, Ok(())) => Ok(()),
    }
}

/// Names what was written on standard output, and what was changed so that it could be shown on standard error.
fn told(document: &Document, names: &[String], sink: &DiskSink) -> Result<(), Trouble> {
    for warning in &document.warnings {
        screen::tell(&harmless(warning));
    }
    let mut out = Screen::stdout();
    for name in names {
        writeln!(out, "{}", harmless(&sink.place(name).display().to_string()))?;
    }
    Ok(out.flush()?)
}
