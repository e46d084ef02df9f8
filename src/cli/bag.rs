//! Bags on the disk: one is written into a folder aside and renamed once it is whole; one is listed without following
//! a link.
//!
//! The folder aside is locked while its writer lives. What a writer that was killed has left is taken away by the next.

use crate::base::files::Sink;
use crate::base::text::harmless;
use crate::cli::screen;
use crate::cli::sink::refuse_links;
use crate::cli::trouble::Trouble;
use crate::keep::manifest;
use crate::keep::{BAGIT, Found, INFO, MANIFEST, Sort, TAG_MANIFEST};
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// How deep folders of a bag may lie in one another, and how many files it may hold, to be listed.
const DEEPEST: usize = 64;
const MOST_FILES: usize = 1_000_000;

/// How the names of folders aside begin, and how many letters and digits follow.
const PREFIX: &str = ".fallmark-bag-";
const RANDOM: usize = 12;

/// A bag that is being written beside the place where it will stand.
pub struct BagSink {
    aside: TempDir,
    place: PathBuf,
    /// Says that the writer lives. Where a folder cannot be locked, leftovers stay.
    _held: Option<File>,
}

impl BagSink {
    /// Makes ready to write a bag at `place`.
    ///
    /// # Errors
    /// When something stands there already, the way there leads through a link, or nothing can be written beside it.
    pub fn open(place: &Path) -> Result<Self, Trouble> {
        let told = |what: &str| Trouble::Told(format!("`{}` {what}", place.display()));
        if place.file_name().is_none() {
            return Err(told("is no name for a new folder"));
        }
        refuse_links(place)?;
        if let Ok(there) = fs::symlink_metadata(place) {
            let empty = there.is_dir() && fs::read_dir(place).is_ok_and(|mut entries| entries.next().is_none());
            if !empty {
                return Err(told("is there already; a bag is never written over, so name a new folder"));
            }
        }
        let unwritten = |source| Trouble::Write { path: place.to_owned(), source };
        let beside = place.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::create_dir_all(beside).map_err(unwritten)?;
        sweep(beside);
        let mut builder = tempfile::Builder::new();
        builder.prefix(PREFIX).rand_bytes(RANDOM);
        #[cfg(unix)]
        let permissions = std::os::unix::fs::PermissionsExt::from_mode(0o777);
        #[cfg(unix)]
        builder.permissions(permissions);
        let aside = builder.tempdir_in(beside).map_err(unwritten)?;
        let _held = locked(aside.path());
        Ok(Self { aside, place: place.to_owned(), _held })
    }
}

impl Sink for BagSink {
    fn put(&mut self, name: &str, write: &mut dyn FnMut(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
        if !manifest::safe(name) {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "its name leads out of the folder"));
        }
        let path = self.aside.path().join(name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        let mut buffer = BufWriter::with_capacity(1 << 16, File::create_new(path)?);
        write(&mut buffer)?;
        buffer.flush()?;
        buffer.get_ref().sync_all()
    }

    fn commit(&mut self) -> io::Result<()> {
        // Not every system renames onto a folder, even an empty one. One that is not empty stays, and the renaming fails.
        let _ = fs::remove_dir(&self.place);
        fs::rename(self.aside.path(), &self.place)?;
        self.aside.disable_cleanup(true);
        if let Some(folder) = self.place.parent().and_then(|beside| File::open(beside).ok()) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

/// A folder under a lock of ours; nothing when another has it, or folders cannot be locked here.
fn locked(folder: &Path) -> Option<File> {
    File::open(folder).ok().filter(|file| file.try_lock().is_ok())
}

/// Takes away the folders aside that nobody holds locked, and says so.
fn sweep(beside: &Path) {
    for entry in fs::read_dir(beside).into_iter().flatten().flatten() {
        let path = entry.path();
        let ours = entry.file_name().to_str().is_some_and(is_aside) && entry.file_type().is_ok_and(|t| t.is_dir());
        if !ours || !holds_a_bag_only(&path) {
            continue;
        }
        let Some(_held) = locked(&path) else { continue };
        if fs::remove_dir_all(&path).is_ok() {
            let path = path.display();
            screen::tell(&harmless(&format!("`{path}` was left by a run that was cut short; it has been taken away")));
        }
    }
}

fn is_aside(name: &str) -> bool {
    let random = name.strip_prefix(PREFIX);
    random.is_some_and(|r| r.len() == RANDOM && r.chars().all(|c| c.is_ascii_alphanumeric()))
}

/// Whether nothing stands in a folder but what a bag begins with.
fn holds_a_bag_only(folder: &Path) -> bool {
    let names = ["data", BAGIT, INFO, MANIFEST, TAG_MANIFEST];
    let own = |entry: &fs::DirEntry| entry.file_name().to_str().is_some_and(|name| names.contains(&name));
    fs::read_dir(folder).is_ok_and(|entries| entries.flatten().all(|entry| own(&entry)))
}

/// Everything in a folder that is no folder itself, sorted by path; links are listed and not followed.
///
/// # Errors
/// When a folder cannot be read, folders lie too deep, or there are too many files.
pub fn list(folder: &Path) -> io::Result<Vec<Found>> {
    let mut found = Vec::new();
    let mut open = vec![(folder.to_owned(), String::new(), 0)];
    while let Some((path, stem, depth)) = open.pop() {
        for entry in fs::read_dir(path)? {
            let entry = entry?;
            let (kind, name) = (entry.file_type()?, format!("{stem}{}", entry.file_name().to_string_lossy()));
            if kind.is_dir() {
                open.push((entry.path(), format!("{name}/"), depth + 1));
            } else {
                let sort = if kind.is_symlink() { Sort::Link } else { Sort::Other };
                found.push(Found { path: name, sort: if kind.is_file() { Sort::File } else { sort } });
            }
        }
        if depth > DEEPEST || found.len() > MOST_FILES {
            return Err(io::Error::other("it holds more files, or folders deeper in one another, than a bag of ours"));
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leftovers_go_and_what_is_in_use_or_anothers_stays() {
        let folder = tempfile::tempdir().unwrap();
        let made = |name: &str, file: &str| {
            let path = folder.path().join(name);
            fs::create_dir_all(path.join(file).parent().unwrap()).unwrap();
            fs::write(path.join(file), "left").unwrap();
            path
        };
        let left = made(".fallmark-bag-abcdefABCDEF", "data/photos/a.jpg");
        let others = [made(".fallmark-bag-mine", "data/a"), made(".fallmark-bag-abcdefABCDEG", "notes.txt")];
        let mut held = BagSink::open(&folder.path().join("bag")).unwrap();
        held.put("data/a", &mut |out| out.write_all(b"a")).unwrap();
        sweep(folder.path());
        assert!(!left.exists());
        assert!(others.iter().all(|path| path.exists()));
        assert!(held.aside.path().join("data/a").exists());
    }
}
