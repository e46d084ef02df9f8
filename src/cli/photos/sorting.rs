//! What becomes of each picture: it is in the record already, is another's twin, or is entered, under a free name.

use crate::base::files::Files as _;
use crate::cli::disk::DiskFiles;
use crate::cli::photos::found::Digest;
use crate::cli::photos::found::Folder;
use crate::cli::photos::found::Found;
use crate::cli::photos::found::digest_of;
use crate::cli::screen::Progress;
use crate::record::sections::Record;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What becomes of a picture.
#[derive(Clone, Debug)]
pub(super) enum Fate {
    /// The record has this very file.
    Already,
    /// Its bytes are those of something that the record has, or of another picture here.
    Twin(String),
    /// The record names it, and only the file was missing.
    Awaited {
        /// The id.
        id: String,
        /// The name in the record's folder.
        name: String,
    },
    /// It is entered.
    Entered {
        /// The name in the record.
        name: String,
        /// Whether it has to be copied; not when it stands there already.
        copy: bool,
    },
}

/// Every picture with what becomes of it.
pub(super) struct Sorted<'f> {
    /// In the order in which they were taken.
    pub(super) all: Vec<(&'f Found, Fate)>,
}

impl Sorted<'_> {
    /// Pictures to be entered, with their names in the record.
    pub(super) fn added(&self) -> Vec<(&Found, &str)> {
        self.named(|fate| match fate {
            Fate::Entered { name, .. } => Some(name),
            _ => None,
        })
    }

    /// Pictures to be copied, with their new names.
    pub(super) fn copied(&self) -> Vec<(&Found, &str)> {
        self.named(|fate| match fate {
            Fate::Entered { name, copy: true } | Fate::Awaited { name, .. } => Some(name),
            _ => None,
        })
    }

    fn named(&self, name: fn(&Fate) -> Option<&String>) -> Vec<(&Found, &str)> {
        let all = self.all.iter();
        all.filter_map(|(picture, fate)| name(fate).map(|name| (*picture, name.as_str()))).collect()
    }
}

/// What the record and its folder have so far.
struct Known<'r> {
    home: &'r DiskFiles,
    /// Ids by the name of their file.
    by_name: BTreeMap<&'r str, &'r str>,
    /// Whose picture it is, by its bytes.
    by_digest: BTreeMap<Digest, String>,
    /// Names given in this run, in small letters, since some disks do not tell them apart.
    given: BTreeSet<String>,
}

/// Sorts the pictures of a folder against a record and the files beside it.
pub(super) fn sort<'f>(record: &Record, home: &DiskFiles, folder: &'f Folder, progress: &mut Progress) -> Sorted<'f> {
    let mut known = Known::of(record, home, folder, progress);
    let fate = |picture: &'f Found| (picture, known.fate(folder, picture));
    Sorted { all: folder.pictures.iter().map(fate).collect() }
}

impl<'r> Known<'r> {
    /// Only files of a size that a picture here has are read: no other can be the same.
    fn of(record: &'r Record, home: &'r DiskFiles, folder: &Folder, progress: &mut Progress) -> Self {
        let sizes: BTreeSet<u64> = folder.pictures.iter().map(|p| p.bytes).collect();
        let mut known = Self { home, by_name: BTreeMap::new(), by_digest: BTreeMap::new(), given: BTreeSet::new() };
        for item in &record.photos {
            let Some(file) = item.body.file.get() else { continue };
            known.by_name.entry(&file.0).or_insert(&item.id);
            if home.size(&file.0).is_ok_and(|size| sizes.contains(&size)) {
                progress.step(&format!("comparing with {}", item.id));
                if let Some(digest) = digest_of(home, &file.0) {
                    known.by_digest.entry(digest).or_insert_with(|| item.id.clone());
                }
            }
        }
        known
    }

    fn fate(&mut self, folder: &Folder, picture: &Found) -> Fate {
        let own = folder.own_name(picture);
        let named = self.by_name.get(own.as_str()).map(|id| (*id).to_owned());
        if folder.inside.is_some() && named.is_some() {
            return Fate::Already;
        }
        if let Some(of) = self.by_digest.get(&picture.digest) {
            let same = named.as_ref() == Some(of);
            return if same { Fate::Already } else { Fate::Twin(of.clone()) };
        }
        self.by_digest.insert(picture.digest, picture.name.clone());
        if let Some(id) = named.filter(|_| !self.home.is_there(&own)) {
            self.given.insert(own.to_lowercase());
            return Fate::Awaited { id, name: own };
        }
        let (name, copy) = if folder.inside.is_some() { (own, false) } else { self.free_name(&own, picture) };
        self.given.insert(name.to_lowercase());
        Fate::Entered { name, copy }
    }

    /// The first of `a.jpg`, `a-2.jpg`, `a-3.jpg` … that is free or holds these very bytes; whether to copy there.
    fn free_name(&self, own: &str, picture: &Found) -> (String, bool) {
        let (stem, ending) = own.rsplit_once('.').unwrap_or((own, ""));
        let mut name = own.to_owned();
        let mut number = 1u64;
        loop {
            let free = !self.given.contains(&name.to_lowercase()) && !self.by_name.contains_key(name.as_str());
            if free && !self.home.is_there(&name) {
                return (name, true);
            }
            if free
                && self.home.size(&name).is_ok_and(|size| size == picture.bytes)
                && digest_of(self.home, &name) == Some(picture.digest)
            {
                return (name, false);
            }
            number += 1;
            name = format!("{stem}-{number}.{ending}");
        }
    }
}
