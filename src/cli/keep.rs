//! `fallmark keep`: the job, its originals and everything made from them, in one folder that can be proved whole.

use crate::Examined;
use crate::base::files::FileError;
use crate::base::files::Files;
use crate::base::files::Reader;
use crate::base::files::Sink as _;
use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::args::PackName;
use crate::cli::bag::BagSink;
use crate::cli::build;
use crate::cli::disk;
use crate::cli::job::Opened;
use crate::cli::job::Ready;
use crate::cli::json;
use crate::cli::pictures::DiskPictures;
use crate::cli::report;
use crate::cli::screen;
use crate::cli::screen::Progress;
use crate::cli::screen::Screen;
use crate::cli::sink::file_stem;
use crate::cli::trouble::Trouble;
use crate::examine_with;
use crate::keep;
use crate::keep::About;
use crate::keep::Kept;
use crate::keep::Payload;
use crate::pack::Pack;
use crate::photo;
use crate::record::sections::Record;
use crate::record::words::Text;
use crate::render;
use crate::render::Document;
use crate::render::Output;
use crate::render::RenderError;
use crate::rulebook;
use chrono::NaiveDate;
use std::collections::BTreeSet;
use std::io::{self, Write};

/// The record's name inside a bag.
pub const RECORD: &str = "job.yaml";

/// The packs that a bag holds, each as what it is written.
const PACKS: [(PackName, Output); 3] =
    [(PackName::Inspection, Output::Pdf), (PackName::Inspection, Output::Html), (PackName::Archive, Output::Pdf)];

/// Writes a bag.
///
/// # Errors
/// When the record has faults, something stands in the bag's place, or a file cannot be read or written; no bag is there
/// then.
pub fn run(args: &args::Keep) -> Result<Ended, Trouble> {
    let mut opened = Opened::read(&args.job)?;
    if !opened.reading.faults.is_empty() {
        report::faults(&opened.reading, &mut io::stderr().lock(), screen::colour_on_stderr())?;
        return Err(Trouble::Faults);
    }
    opened.reading.source.name = RECORD.to_owned();
    let ready = opened.ready(&args.job)?;
    let mut sink = BagSink::open(&args.out)?;
    let originals = Originals::of(&opened.reading.record, &ready.files);
    let mut progress = Progress::start();
    let kept = written(args, (&opened, &ready, &originals), &mut sink, &mut progress)?;
    sink.commit().map_err(|source| Trouble::Write { path: args.out.clone(), source })?;
    drop(progress);
    told(args, &kept, &originals)
}

/// The photos and papers that can be had, as a bag holds them: what cannot be had is missing there, whatever the reason.
struct Originals<'a> {
    files: &'a dyn Files,
    photos: BTreeSet<&'a str>,
    papers: BTreeSet<&'a str>,
}

impl<'a> Originals<'a> {
    fn of(record: &'a Record, files: &'a dyn Files) -> Self {
        let there = |what: &str, id: &str, name: Option<&'a Text>| match files.open(&name?.0) {
            Ok(_) => name.map(|name| name.0.as_str()),
            Err(fault) => {
                screen::tell(&harmless(&format!("{what} {id}: {fault}; the bag lacks it")));
                None
            }
        };
        let photos = record.photos.iter().filter_map(|item| there("photo", &item.id, item.body.file.get()));
        let papers = record.documents.iter().filter_map(|item| there("document", &item.id, item.body.file.get()));
        Self { files, photos: photos.collect(), papers: papers.collect() }
    }

    fn holds(&self, name: &str) -> bool {
        self.photos.contains(name) || self.papers.contains(name)
    }

    /// How many hold the position of the camera.
    fn with_position(&self) -> usize {
        self.photos.iter().filter(|name| photo::header(self, name).is_ok_and(|header| header.has_position)).count()
    }
}

impl Files for Originals<'_> {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        let missing = || FileError::Missing(name.to_owned());
        if self.holds(name) { self.files.open(name) } else { Err(missing()) }
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        let missing = || FileError::Missing(name.to_owned());
        if self.holds(name) { self.files.size(name) } else { Err(missing()) }
    }
}

fn written(
    args: &args::Keep,
    (opened, ready, originals): (&Opened, &Ready, &Originals<'_>),
    sink: &mut BagSink,
    progress: &mut Progress,
) -> Result<Kept, Trouble> {
    let record = &opened.reading.record;
    let pictures = DiskPictures::new(originals);
    let photos = build::prepared(record, originals, &pictures, progress);
    let date = build::date(args.date, record, &photos)?;
    let examined = examine_with(record, &ready.rulebook, photos);
    let mut packs: Vec<(String, Pack, Output)> = Vec::new();
    for (name, output) in PACKS {
        let ending = if output == Output::Html { "html" } else { "pdf" };
        let file = format!("{}.{ending}", build::stem(record, name));
        packs.push((file, build::assembled(name, &examined, opened, ready, date)?, output));
    }
    let guidance = guidance(args, ready)?;
    let mut jobs = Vec::new();
    for (file, pack, output) in &packs {
        let job = build::job(pack, opened, &[], &pictures);
        jobs.push((file, render::document(&job)?, job, *output));
    }
    let mut payload = originals_of(originals);
    payload.push(bytes(RECORD.to_owned(), &opened.bytes));
    payload.push(findings(opened, ready, &examined));
    payload.extend(guidance.iter().map(|(name, text)| bytes(format!("rulebook/{name}"), text.as_bytes())));
    payload.extend(jobs.iter().map(|(file, document, job, output)| rendered(file, document, job, *output)));
    progress.step("writing the bag");
    let about = about(record, date);
    keep::write(payload, &about, sink).map_err(|source| Trouble::Write { path: args.out.clone(), source })
}

fn originals_of<'a>(originals: &'a Originals<'_>) -> Vec<Payload<'a>> {
    let mut all: Vec<Payload<'a>> = Vec::new();
    let photos = originals.photos.iter().map(|name| ("photos", name));
    for (folder, name) in photos.chain(originals.papers.iter().map(|name| ("documents", name))) {
        // `a//b` and `a/./b` are the same file as `a/b`.
        let steps: Vec<&str> = name.split('/').filter(|step| !matches!(*step, "" | ".")).collect();
        let path = format!("{folder}/{}", steps.join("/"));
        if all.iter().all(|other| other.path != path) {
            let copy = |out: &mut dyn Write| -> io::Result<()> {
                let mut reader = originals.open(name).map_err(io::Error::other)?;
                io::copy(&mut reader, out).map(drop)
            };
            all.push(Payload { path, write: Box::new(copy) });
        }
    }
    all
}

fn bytes(path: String, bytes: &[u8]) -> Payload<'_> {
    Payload { path, write: Box::new(|out| out.write_all(bytes)) }
}

fn findings<'a>(opened: &'a Opened, ready: &'a Ready, examined: &'a Examined<'_>) -> Payload<'a> {
    let write = |out: &mut dyn Write| json::findings((opened, ready, examined), true, out);
    Payload { path: "findings.json".to_owned(), write: Box::new(write) }
}

fn rendered<'a>(file: &str, document: &'a Document, job: &'a render::Job<'_>, output: Output) -> Payload<'a> {
    let write = move |out: &mut dyn Write| match render::write(document, job, output, out) {
        Err(RenderError::Io(error)) => Err(error),
        other => other.map_err(io::Error::other),
    };
    Payload { path: format!("packs/{file}"), write: Box::new(write) }
}

/// The texts of the rulebook, and the overlays with their order before their names.
fn guidance(args: &args::Keep, ready: &Ready) -> Result<Vec<(String, String)>, Trouble> {
    let texts = rulebook::texts(ready.rulebook.id())?;
    let mut all: Vec<(String, String)> = texts.into_iter().map(|(name, text)| (name, text.to_owned())).collect();
    for (i, path) in args.job.overlay.iter().enumerate() {
        let name = path.file_stem().map_or(String::new(), |n| n.to_string_lossy().into_owned());
        all.push((format!("overlays/{:03}-{}.yaml", i + 1, file_stem(&name)), disk::text(path)?));
    }
    Ok(all)
}

fn about(record: &Record, date: NaiveDate) -> About {
    let title = record.job.title.get().map_or("", |title| title.0.as_str());
    About {
        date,
        software: format!("Fallmark {}", env!("CARGO_PKG_VERSION")),
        identifier: record.job.id.get().map_or(String::new(), |id| id.0.clone()),
        description: format!(
            "{title}: job record, packs, findings, guidance, papers, and the original photos with all that the cameras \
             wrote into them, position included"
        ),
    }
}

fn told(args: &args::Keep, kept: &Kept, originals: &Originals<'_>) -> Result<Ended, Trouble> {
    let mut out = Screen::stdout();
    writeln!(out, "{}", harmless(&args.out.display().to_string()))?;
    writeln!(out, "{} files, {} bytes, all named with their SHA-512 in manifest-sha512.txt", kept.files, kept.bytes)?;
    let (photos, papers, position) = (originals.photos.len(), originals.papers.len(), originals.with_position());
    writeln!(
        out,
        "The originals of {photos} photos are in it with all that the cameras wrote into them: {position} say where they \
         were taken. Packs hold no positions; hand this folder only to those who may know them."
    )?;
    if papers > 0 {
        writeln!(out, "The files that documents name are in it too: {papers}.")?;
    }
    writeln!(out, "Write this down elsewhere; no other bag has it: {}", kept.digest)?;
    out.flush()?;
    Ok(Ended::Clear)
}
