//! `fallmark photos`: takes new pictures into a record and its folder.
//!
//! 1. [`found`] looks through the folder. 2. [`sorting`] says of each picture what becomes of it. 3. The record's new
//!    text is made, then the pictures are copied, and at last the record is put in place of the old one. When that
//!    fails the copies are taken away again. 4. [`hints`] says what each picture could show by its day.

mod found;
mod hints;
mod sorting;

use crate::base::text::date;
use crate::base::text::harmless;
use crate::cli::Ended;
use crate::cli::args;
use crate::cli::arrivals;
use crate::cli::disk;
use crate::cli::disk::DiskFiles;
use crate::cli::photos::found::Folder;
use crate::cli::photos::found::Found;
use crate::cli::photos::sorting::Fate;
use crate::cli::photos::sorting::Sorted;
use crate::cli::report;
use crate::cli::screen;
use crate::cli::screen::Progress;
use crate::cli::screen::Screen;
use crate::cli::trouble::Trouble;
use crate::record;
use crate::record::Reading;
use crate::record::edit;
use crate::record::edit::NewItem;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Takes pictures in, or says what would be taken in.
///
/// # Errors
/// When the record or the folder cannot be read or written, or the record is not one that can be added to.
pub fn run(args: &args::Photos) -> Result<Ended, Trouble> {
    let bytes = disk::record(&args.record)?;
    let reading = record::read_bytes(&args.record.display().to_string(), &bytes);
    if !reading.whole {
        report::faults(&reading, &mut io::stderr().lock(), screen::colour_on_stderr())?;
        return Err(Trouble::Faults);
    }
    let mut progress = Progress::start();
    let home = DiskFiles::beside(&args.record)?;
    let folder = found::look(&args.folder, &args.record, &mut progress)?;
    let sorted = sorting::sort(&reading.record, &home, &folder, &mut progress);
    let added = sorted.added();
    let ids = edit::next_photo_ids(&reading.record, added.len());
    let items: Vec<NewItem> = ids.iter().zip(&added).map(|(id, (_, name))| item(id, name)).collect();
    let text = new_text(&reading, &items, &args.record)?;
    if !args.dry_run {
        carry_out(args, &folder, &sorted, (&bytes, text.as_deref()), &mut progress)?;
    }
    drop(progress);
    let mut out = Screen::stdout();
    tell(&mut out, args, &folder, &sorted, &ids)?;
    let days = ids.iter().zip(&added).filter_map(|(id, (picture, _))| Some((id.as_str(), picture.taken?.date())));
    for hint in hints::of(&reading.record, &days.collect::<Vec<_>>()) {
        writeln!(out, "  {}", harmless(&hint))?;
    }
    close(&mut out, args, &reading, ids.len())?;
    out.flush()?;
    Ok(if folder.refused.is_empty() { Ended::Clear } else { Ended::Open })
}

fn item(id: &str, name: &str) -> NewItem {
    // Looked for and not known yet: what it shows is for the person to say who was there.
    NewItem { id: id.to_owned(), fields: vec![("file", edit::scalar(name)), ("shows", "unknown".to_owned())] }
}

/// The record's new text; `None` when nothing is to be entered.
fn new_text(reading: &Reading, items: &[NewItem], record: &Path) -> Result<Option<String>, Trouble> {
    if items.is_empty() {
        return Ok(None);
    }
    edit::append(reading, "photos", items).map(Some).map_err(|why| {
        let record = record.display();
        Trouble::Told(format!(
            "`{record}`: {why}, so nothing was changed; write `photos:` as a map with one photo a line, such as `  PH1: {{file: IMG_1.jpg, shows: [D1]}}`, and try again"
        ))
    })
}

/// Copies the pictures and puts the record in place; when anything fails, what was copied is taken away again.
fn carry_out(
    args: &args::Photos,
    folder: &Folder,
    sorted: &Sorted,
    (was, now): (&[u8], Option<&str>),
    progress: &mut Progress,
) -> Result<(), Trouble> {
    let home = args.record.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut copied: Vec<PathBuf> = Vec::new();
    let mut all = || {
        for (picture, name) in sorted.copied() {
            progress.step(&format!("copying {name}"));
            copied.push(arrivals::put_new(home, name, &folder.read(picture)?)?);
        }
        now.map_or(Ok(()), |now| arrivals::replace(&args.record, was, now.as_bytes()))
    };
    let done = all();
    if done.is_err() {
        for path in copied {
            // What cannot be taken away is a picture too many, and the next run finds it.
            let _ = fs::remove_file(path);
        }
    }
    done
}

/// What became of each picture, a line each.
fn tell(
    out: &mut Screen,
    args: &args::Photos,
    folder: &Folder,
    sorted: &Sorted,
    ids: &[String],
) -> Result<(), Trouble> {
    let mut ids = ids.iter();
    let mut already = 0usize;
    for (picture, fate) in &sorted.all {
        let name = &picture.name;
        let line = match fate {
            Fate::Already => {
                already += 1;
                continue;
            }
            Fate::Twin(of) => format!("{name} is the same picture as {of}; left out"),
            Fate::Awaited { id, .. } => format!("{id}  {name}, which the record named and was not there"),
            Fate::Entered { name: new, .. } => {
                let id = ids.next().map_or("", String::as_str);
                let renamed = if folder.own_name(picture) == *new { String::new() } else { format!(" (was {name})") };
                format!("{id}  {new}  {}{renamed}", taken(picture))
            }
        };
        writeln!(out, "{}", harmless(&line))?;
    }
    if already > 0 {
        writeln!(out, "{} in the record already", counted(already, "picture"))?;
    }
    for fault in &folder.refused {
        writeln!(out, "not taken in: {}", harmless(fault))?;
    }
    if folder.others > 0 {
        let path = args.folder.display().to_string();
        writeln!(out, "{} in {} left alone: no pictures", counted(folder.others, "file or folder"), harmless(&path))?;
    }
    Ok(())
}

fn taken(picture: &Found) -> String {
    picture.taken.map_or_else(
        || "no date in the file: add `date:`".to_owned(),
        |taken| format!("{} {}", date(taken.date()), taken.format("%H:%M")),
    )
}

fn counted(n: usize, what: &str) -> String {
    let plural = match what {
        "file or folder" if n > 1 => "files or folders".to_owned(),
        _ if n == 1 => what.to_owned(),
        _ => format!("{what}s"),
    };
    format!("{n} {plural}")
}

fn close(out: &mut Screen, args: &args::Photos, reading: &Reading, new: usize) -> Result<(), Trouble> {
    let record = harmless(&args.record.display().to_string());
    if new == 0 {
        writeln!(out, "Nothing to enter: the record is as it was.")?;
    } else if args.dry_run {
        writeln!(out, "{} would be entered in {record}. Nothing was changed.", counted(new, "photo"))?;
    } else {
        writeln!(
            out,
            "{} entered in {record}, each with `shows: unknown`: put in what it shows.",
            counted(new, "photo")
        )?;
    }
    let faults = reading.faults.len() + reading.further;
    if faults > 0 {
        writeln!(out, "The record has {} besides: `fallmark check` tells them.", counted(faults, "fault"))?;
    }
    Ok(())
}
