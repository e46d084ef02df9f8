//! Reading from the disk: the record, the files beside it, overlays and templates.
//!
//! A record may come from a stranger, so the names in it open nothing but ordinary files inside the record's folder,
//! and no link is followed on the way there.

use crate::base::files::FileError;
use crate::base::files::Files;
use crate::base::files::Reader;
use crate::cli::trouble::Trouble;
use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// The most that is read of an overlay or a template.
const SMALL_FILE: u64 = 4 << 20;

/// The folder in which a record stands.
pub struct DiskFiles {
    folder: PathBuf,
}

impl DiskFiles {
    /// The folder of a record.
    ///
    /// # Errors
    /// When the folder cannot be had.
    pub fn beside(record: &Path) -> Result<Self, Trouble> {
        let folder = record.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        match folder.canonicalize() {
            Ok(folder) => Ok(Self { folder }),
            Err(source) => Err(Trouble::Read { path: folder.to_owned(), source }),
        }
    }

    /// Whether anything stands under a name in the folder, a link or a folder too.
    pub fn is_there(&self, name: &str) -> bool {
        fs::symlink_metadata(self.folder.join(name)).is_ok()
    }

    /// Finds an ordinary file, looking at every step of the way for links.
    fn find(&self, name: &str) -> Result<(PathBuf, Metadata), FileError> {
        let outside = || FileError::Outside(name.to_owned());
        if name.is_empty() || name.contains(['\\', '\0']) {
            return Err(outside());
        }
        let mut path = self.folder.clone();
        let mut found = None;
        for part in Path::new(name).components() {
            let Component::Normal(part) = part else { return Err(outside()) };
            path.push(part);
            let seen = fs::symlink_metadata(&path).map_err(|source| denied(name, source))?;
            if seen.is_symlink() {
                return Err(outside());
            }
            found = Some(seen);
        }
        let real = path.canonicalize().map_err(|source| denied(name, source))?;
        if !real.starts_with(&self.folder) {
            return Err(outside());
        }
        match found {
            Some(seen) if seen.is_file() => Ok((path, seen)),
            _ => Err(FileError::NotAFile(name.to_owned())),
        }
    }
}

impl Files for DiskFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        let (path, seen) = self.find(name)?;
        let file = File::open(path).map_err(|source| denied(name, source))?;
        let opened = file.metadata().map_err(|source| denied(name, source))?;
        // Between looking and opening, something else may have been put in its place.
        if opened.is_file() && same_file(&seen, &opened) {
            Ok(Box::new(file))
        } else {
            Err(FileError::Outside(name.to_owned()))
        }
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        Ok(self.find(name)?.1.len())
    }
}

fn denied(name: &str, source: io::Error) -> FileError {
    match source.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => FileError::Missing(name.to_owned()),
        _ => FileError::Io { name: name.to_owned(), source },
    }
}

/// Whether two looks met the same file.
#[cfg(unix)]
pub fn same_file(a: &Metadata, b: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    a.dev() == b.dev() && a.ino() == b.ino()
}

/// Whether two looks met the same file, as far as this system lets it be told.
#[cfg(not(unix))]
pub fn same_file(a: &Metadata, b: &Metadata) -> bool {
    a.len() == b.len() && a.created().ok() == b.created().ok()
}

/// Reads a record, which the user named and which may stand anywhere.
///
/// # Errors
/// When it cannot be read, or is larger than a record can be.
pub fn record(path: &Path) -> Result<Vec<u8>, Trouble> {
    whole(path, crate::record::node::LARGEST as u64)
}

/// Reads a text that the user named.
///
/// # Errors
/// When it cannot be read, is larger than 4 MiB, or is not UTF-8.
pub fn text(path: &Path) -> Result<String, Trouble> {
    let bytes = whole(path, SMALL_FILE)?;
    let not_text = || Trouble::Told(format!("`{}` is not UTF-8 text", path.display()));
    String::from_utf8(bytes).map_err(|_| not_text())
}

/// Reads every template and style in a folder, by name.
///
/// # Errors
/// When the folder or a file in it cannot be read, or no file in it is a template or style.
pub fn templates(folder: &Path) -> Result<Vec<(String, String)>, Trouble> {
    let unread = |source| Trouble::Read { path: folder.to_owned(), source };
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        let Some(name) = path.file_name().and_then(|n| n.to_str()) else { continue };
        let wanted = name.ends_with(".tera") || name.ends_with(".css");
        if wanted && !name.starts_with('.') && path.is_file() {
            all.push((name.to_owned(), text(&path)?));
        }
    }
    all.sort();
    if all.is_empty() {
        let folder = folder.display();
        return Err(Trouble::Told(format!("`{folder}` holds no template (*.tera) and no style (*.css)")));
    }
    Ok(all)
}

/// A file's bytes, when there are no more than so many.
fn whole(path: &Path, most: u64) -> Result<Vec<u8>, Trouble> {
    let unread = |source| Trouble::Read { path: path.to_owned(), source };
    if path.is_dir() {
        return Err(Trouble::Told(format!("`{}` is a folder; name the file in it", path.display())));
    }
    let mut bytes = Vec::new();
    File::open(path).map_err(unread)?.take(most + 1).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() as u64 > most {
        let most = most >> 20;
        return Err(Trouble::Told(format!("`{}` is larger than the {most} MiB that are read", path.display())));
    }
    Ok(bytes)
}
