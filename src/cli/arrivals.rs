//! New files beside a record, and a record in place of its earlier text: nothing else is ever written over.
//!
//! Each file is written aside, brought to the disk and then named, so that it is there whole or not at all.

use crate::cli::sink::aside;
use crate::cli::sink::sweep;
use crate::cli::trouble::Trouble;
use std::fs;
use std::io;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Writes a file under a name that nothing stands under.
///
/// # Errors
/// When something does, or the disk says no; nothing is left behind then.
pub fn put_new(folder: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, Trouble> {
    let path = folder.join(name);
    let failed = |source| Trouble::Write { path: path.clone(), source };
    let file = written(folder, bytes).map_err(failed)?;
    name_new(file, &path).map_err(failed)?;
    Ok(path)
}

/// Puts a new text in the place of a record's, when that still is what was read. The earlier text stays until the new
/// one is whole on the disk, so no copy of it is kept.
///
/// # Errors
/// When the record has changed meanwhile, or the disk says no; the record is as it was then.
pub fn replace(record: &Path, was: &[u8], now: &[u8]) -> Result<(), Trouble> {
    let failed = |source| Trouble::Write { path: record.to_owned(), source };
    // A link to a record stays one: what it leads to is replaced.
    let place = record.canonicalize().map_err(failed)?;
    let folder = place.parent().unwrap_or(Path::new("."));
    sweep(folder);
    let file = written(folder, now).map_err(failed)?;
    let permissions = fs::metadata(&place).map_err(failed)?.permissions();
    if permissions.readonly() {
        return Err(failed(io::Error::new(io::ErrorKind::PermissionDenied, "it is marked as not to be changed")));
    }
    file.as_file().set_permissions(permissions).map_err(failed)?;
    if fs::read(&place).map_err(failed)? != was {
        let record = record.display();
        return Err(Trouble::Told(format!("`{record}` was changed by somebody else meanwhile; it is left as it is")));
    }
    file.persist(&place).map_err(|error| failed(error.error))?;
    Ok(())
}

fn written(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut file = aside(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// Gives a file its name, which must be free. Some sticks and shares cannot do both in one step: there it is looked
/// first and named then.
fn name_new(file: NamedTempFile, path: &Path) -> io::Result<()> {
    let taken = || io::Error::new(io::ErrorKind::AlreadyExists, "something stands there already");
    match file.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(_) if fs::symlink_metadata(path).is_ok() => Err(taken()),
        Err(error) => error.file.persist(path).map(|_| ()).map_err(|error| error.error),
    }
}
