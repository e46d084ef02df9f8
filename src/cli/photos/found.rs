//! The pictures in a folder, in the order in which they were taken.

use crate::base::files::Files as _;
use crate::base::text::natural;
use crate::cli::disk::DiskFiles;
use crate::cli::screen::Progress;
use crate::cli::trouble::Trouble;
use crate::photo;
use chrono::NaiveDateTime;
use sha2::{Digest as _, Sha256};
use std::fs;
use std::io::Read as _;
use std::path::Path;

/// How names of pictures end, those that are refused with a cure among them.
const ENDINGS: [&str; 21] = [
    "jpg", "jpeg", "jpe", "jfif", "png", "heic", "heif", "hif", "avif", "webp", "gif", "tif", "tiff", "bmp", "dng",
    "cr2", "nef", "arw", "mov", "mp4", "m4v",
];

/// SHA-256 of a file's bytes.
pub(super) type Digest = [u8; 32];

/// A picture that can be taken in.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// Its name in the folder.
    pub(super) name: String,
    /// When it was taken, by the camera's clock.
    pub(super) taken: Option<NaiveDateTime>,
    /// Its size in bytes.
    pub(super) bytes: u64,
    pub(super) digest: Digest,
}

/// What a folder holds.
pub(super) struct Folder {
    files: DiskFiles,
    /// Where it stands inside the record's folder, with a `/` at its end unless it is that folder; `None` outside it.
    pub(super) inside: Option<String>,
    /// Pictures, the earliest first; those without a time last, by name.
    pub(super) pictures: Vec<Found>,
    /// Why pictures cannot be taken in.
    pub(super) refused: Vec<String>,
    /// How many other things are there.
    pub(super) others: usize,
}

impl Folder {
    /// The name that a picture has in the record when it is called there as it is here.
    pub(super) fn own_name(&self, picture: &Found) -> String {
        match &self.inside {
            Some(way) => format!("{way}{}", picture.name),
            None => plain_name(&picture.name),
        }
    }

    /// The bytes of a picture, as they were when it was looked at.
    ///
    /// # Errors
    /// When it cannot be read any more, or has changed meanwhile.
    pub(super) fn read(&self, picture: &Found) -> Result<Vec<u8>, Trouble> {
        let bytes = bytes_of(&self.files, &picture.name).map_err(Trouble::Told)?;
        if Sha256::digest(&bytes)[..] != picture.digest {
            return Err(Trouble::Told(format!("`{}` was changed meanwhile; nothing was changed here", picture.name)));
        }
        Ok(bytes)
    }
}

/// Looks through a folder; folders inside it are left alone.
///
/// # Errors
/// When the folder cannot be read.
pub(super) fn look(folder: &Path, record: &Path, progress: &mut Progress) -> Result<Folder, Trouble> {
    let unread = |source| Trouble::Read { path: folder.to_owned(), source };
    let mut names = Vec::new();
    let mut found = Folder {
        files: DiskFiles::beside(&folder.join("picture"))?,
        inside: inside(folder, record),
        pictures: Vec::new(),
        refused: Vec::new(),
        others: 0,
    };
    for entry in fs::read_dir(folder).map_err(unread)? {
        let name = entry.map_err(unread)?.file_name();
        match name.to_str() {
            Some(name) if name.starts_with('.') => {}
            Some(name) if is_picture(name) => names.push(name.to_owned()),
            Some(_) => found.others += 1,
            None if is_picture(&name.to_string_lossy()) => {
                let name = name.to_string_lossy();
                found.refused.push(format!("`{name}` has a name that is not readable as text; rename it"));
            }
            None => found.others += 1,
        }
    }
    names.sort_by(|a, b| natural(a, b).then_with(|| a.cmp(b)));
    for (i, name) in names.iter().enumerate() {
        progress.step(&format!("picture {} of {}", i + 1, names.len()));
        match picture(&found.files, name) {
            Ok(picture) => found.pictures.push(picture),
            Err(why) => found.refused.push(why),
        }
    }
    // The sort keeps the order of names among pictures of one second.
    found.pictures.sort_by_key(|p| (p.taken.is_none(), p.taken));
    Ok(found)
}

fn is_picture(name: &str) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}

fn picture(files: &DiskFiles, name: &str) -> Result<Found, String> {
    let header = photo::header(files, name).map_err(|fault| fault.to_string())?;
    let digest = Sha256::digest(bytes_of(files, name)?).into();
    Ok(Found { name: name.to_owned(), taken: header.taken, bytes: header.bytes, digest })
}

fn bytes_of(files: &DiskFiles, name: &str) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let reader = files.open(name).map_err(|fault| fault.to_string())?;
    let read = reader.take(photo::MOST_BYTES + 1).read_to_end(&mut bytes);
    read.map(|_| bytes).map_err(|fault| format!("`{name}` could not be read: {fault}"))
}

/// The digest of a file beside a record, when it is there and can be read.
pub(super) fn digest_of(files: &DiskFiles, name: &str) -> Option<Digest> {
    bytes_of(files, name).ok().map(|bytes| Sha256::digest(bytes).into())
}

/// Where a folder stands inside the record's.
fn inside(folder: &Path, record: &Path) -> Option<String> {
    let home = record.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let (home, folder) = (home.canonicalize().ok()?, folder.canonicalize().ok()?);
    let way = folder.strip_prefix(home).ok()?;
    let parts: Option<Vec<&str>> = way.iter().map(|part| part.to_str()).collect();
    Some(parts?.iter().map(|part| format!("{part}/")).collect())
}

/// A name that every system can bear: what some refuse in a file's name becomes `-`.
fn plain_name(name: &str) -> String {
    let bad = |c: char| c.is_control() || crate::base::text::turns(c) || "\\/:*?\"<>|".contains(c);
    name.chars().map(|c| if bad(c) { '-' } else { c }).collect()
}
