//! Writing to the disk: each file is written aside, brought to the disk, and then renamed into its place.
//!
//! Whatever happens before the renaming, be it a full disk, a fault or a kill, the earlier files stay as they were. Files
//! written aside carry a lock while their writer lives; leftovers of a writer that was killed are taken away by the next.

use crate::base::files::Sink;
use crate::cli::disk::same_file;
use crate::cli::trouble::Trouble;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Component, Path, PathBuf};
use tempfile::NamedTempFile;

const PREFIX: &str = ".fallmark-";
const SUFFIX: &str = ".part";

/// A folder that finished files appear in.
pub struct DiskSink {
    folder: PathBuf,
    record: PathBuf,
    aside: Vec<(NamedTempFile, PathBuf)>,
}

impl DiskSink {
    /// Opens a folder for writing, and makes it when it is not there. The record at `record` is never written over.
    ///
    /// # Errors
    /// When the folder cannot be made, or the way to it leads through a link.
    pub fn open(folder: &Path, record: &Path) -> Result<Self, Trouble> {
        refuse_links(folder)?;
        fs::create_dir_all(folder).map_err(|source| Trouble::Write { path: folder.to_owned(), source })?;
        sweep(folder);
        Ok(Self { folder: folder.to_owned(), record: record.to_owned(), aside: Vec::new() })
    }

    /// Where a file of this name appears.
    pub fn place(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Refuses names that lead elsewhere, and places where something stands that must not be written over.
    fn free(&self, name: &str) -> io::Result<PathBuf> {
        let mut parts = Path::new(name).components();
        let plain = matches!((parts.next(), parts.next()), (Some(Component::Normal(_)), None));
        if !plain || name.contains(['/', '\\']) {
            return Err(refused("its name leads out of the folder"));
        }
        let place = self.place(name);
        let Ok(there) = fs::symlink_metadata(&place) else { return Ok(place) };
        if there.is_symlink() {
            return Err(refused("a link stands there, and links are not written through"));
        }
        if !there.is_file() {
            return Err(refused("something that is no ordinary file stands there"));
        }
        if fs::metadata(&self.record).is_ok_and(|record| same_file(&record, &there)) {
            return Err(refused("the record itself stands there"));
        }
        Ok(place)
    }
}

impl Sink for DiskSink {
    fn put(&mut self, name: &str, write: &mut dyn FnMut(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
        let place = self.free(name)?;
        let mut file = aside(&self.folder)?;
        let mut buffer = BufWriter::with_capacity(1 << 16, file.as_file_mut());
        write(&mut buffer)?;
        buffer.flush()?;
        drop(buffer);
        file.as_file().sync_all()?;
        self.aside.push((file, place));
        Ok(())
    }

    fn commit(&mut self) -> io::Result<()> {
        for (file, place) in self.aside.drain(..) {
            file.persist(place).map_err(|e| e.error)?;
        }
        // The names reach the disk with the folder; where a folder cannot be opened, the system sees to it.
        if let Ok(folder) = File::open(&self.folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

/// A new file in a folder, locked for as long as it is open, with the permissions that any new file there would have.
pub(in crate::cli) fn aside(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX);
    #[cfg(unix)]
    let permissions = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(permissions);
    let file = builder.tempfile_in(folder)?;
    // Without locks on this file system a leftover may be taken for a living one or the other way round: then it stays.
    let _ = file.as_file().try_lock();
    Ok(file)
}

/// Takes away what writers that were killed have left: files of our own naming that nobody holds locked.
pub(in crate::cli) fn sweep(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let ours = name.to_str().is_some_and(|n| n.starts_with(PREFIX) && n.ends_with(SUFFIX));
        if !ours || !entry.file_type().is_ok_and(|t| t.is_file()) {
            continue;
        }
        let unheld = File::options().write(true).open(entry.path()).is_ok_and(|file| file.try_lock().is_ok());
        if unheld {
            // Another run may have been quicker; a leftover that cannot be removed harms nothing.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A folder inside a job that was handed on may be a link to anywhere; so no step of a relative way is one. The steps
/// of an absolute way are the user's own, all but the last.
fn refuse_links(folder: &Path) -> Result<(), Trouble> {
    let mut way = PathBuf::new();
    for part in folder.components() {
        way.push(part);
        let looked_at = folder.is_relative() || way == folder;
        if looked_at && part != Component::ParentDir && fs::symlink_metadata(&way).is_ok_and(|m| m.is_symlink()) {
            let way = way.display();
            return Err(Trouble::Told(format!("`{way}` is a link, and nothing is written through links")));
        }
    }
    Ok(())
}

fn refused(why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidInput, why)
}

/// A job's id as the beginning of file names: letters, digits, `-`, `_` and `.` stay, everything else becomes `-`; at
/// most 60 characters, none of them leading dots or dashes; `job` when nothing is left.
pub fn file_stem(job: &str) -> String {
    let safe = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' };
    let name: String = job.chars().map(safe).collect();
    let name: String = name.trim_start_matches(['.', '-']).chars().take(60).collect();
    if name.is_empty() { "job".to_owned() } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_id_chooses_no_path() {
        assert_eq!(file_stem("TH-2"), "TH-2");
        assert_eq!(file_stem("../../etc/cron d"), "etc-cron-d");
        assert_eq!(file_stem("..\\..\\a:b"), "a-b");
        assert_eq!(file_stem("…"), "job");
        assert_eq!(file_stem(""), "job");
        assert_eq!(file_stem(&"x".repeat(99)).len(), 60);
    }

    #[test]
    fn leftovers_go_and_files_in_use_stay() {
        let folder = tempfile::tempdir().unwrap();
        let left = folder.path().join(".fallmark-abc.part");
        fs::write(&left, "left").unwrap();
        let held = aside(folder.path()).unwrap();
        sweep(folder.path());
        assert!(!left.exists());
        assert!(held.path().exists());
    }
}
