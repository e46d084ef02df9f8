//! Checking a bag: everything that its manifests name is there as it was, and nothing else is.

use crate::base::files::FileError;
use crate::base::files::Files;
use crate::keep::manifest;
use crate::keep::manifest::Digesting;
use crate::keep::manifest::Digests;
use crate::keep::{BAGIT, DECLARATION, INFO, MANIFEST, TAG_MANIFEST};
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::io;
use std::io::Read as _;

/// The most that is read of a file beside `data/`, in bytes.
const MOST: u64 = 64 << 20;

/// What stands at a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// An ordinary file.
    File,
    /// A link, which is never followed.
    Link,
    /// Anything else.
    Other,
}

/// Something found in a bag's folder; folders themselves are not listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its path from the bag's folder, with `/` between steps.
    pub path: String,
    /// What it is.
    pub sort: Sort,
}

/// What a check found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Checked {
    /// What is wrong, one sentence each; nothing when the bag is complete and valid.
    pub problems: Vec<String>,
    /// How many files `data/` holds.
    pub files: usize,
    /// The fields of `bag-info.txt`.
    pub info: BTreeMap<String, String>,
    /// SHA-512 of the tag manifest, in hexadecimal.
    pub digest: String,
}

/// Holds a folder against the manifests in it. `None` when nothing in it claims to be a bag.
///
/// Every file is read once. The tag manifest, which nothing else vouches for, must be what would be written for these
/// very files, to the byte.
pub fn check(found: &[Found], files: &dyn Files) -> Option<Checked> {
    let names = [BAGIT, INFO, MANIFEST, TAG_MANIFEST];
    if !found.iter().any(|f| names.contains(&f.path.as_str())) {
        return None;
    }
    let mut bag = Bag { files, digests: Digests::new(), bytes: 0, out: Checked::default() };
    bag.digest_all(found);
    for name in names.iter().filter(|n| !found.iter().any(|f| f.path == **n)) {
        bag.out.problems.push(format!("`{name}` is missing"));
    }
    bag.tags();
    bag.manifest();
    bag.oxum();
    Some(bag.out)
}

struct Bag<'a> {
    files: &'a dyn Files,
    digests: Digests,
    bytes: u64,
    out: Checked,
}

impl Bag<'_> {
    fn digest_all(&mut self, found: &[Found]) {
        for one in found {
            let problem = match one.sort {
                Sort::Link => Some("is a link, and links are not followed".to_owned()),
                Sort::Other => Some("is no ordinary file".to_owned()),
                Sort::File => self.digest(&one.path).err().map(|why| format!("cannot be read ({why})")),
            };
            self.out.problems.extend(problem.map(|p| format!("`{}` {p}", one.path)));
        }
    }

    fn digest(&mut self, path: &str) -> Result<(), FileError> {
        let mut reader = self.files.open(path)?;
        let mut nowhere = io::sink();
        let mut digesting = Digesting::new(&mut nowhere);
        io::copy(&mut reader, &mut digesting).map_err(|source| FileError::Io { name: path.to_owned(), source })?;
        let (digest, bytes) = digesting.end();
        if path.starts_with("data/") {
            self.bytes += bytes;
            self.out.files += 1;
        }
        self.digests.insert(path.to_owned(), digest);
        Ok(())
    }

    /// A file beside `data/` as text; what is no UTF-8 or too large reads as nothing.
    fn text(&self, name: &str) -> String {
        let mut bytes = Vec::new();
        let read = self.files.open(name).ok().map(|reader| reader.take(MOST).read_to_end(&mut bytes));
        match read {
            Some(Ok(_)) => String::from_utf8(bytes).unwrap_or_default(),
            _ => String::new(),
        }
    }

    /// The declaration, and the tag manifest with what it vouches for.
    fn tags(&mut self) {
        if self.digests.contains_key(BAGIT) && self.text(BAGIT) != DECLARATION {
            self.out.problems.push(format!("`{BAGIT}` is not the declaration of a BagIt 1.0 bag in UTF-8"));
        }
        if let Some(digest) = self.digests.get(TAG_MANIFEST) {
            self.out.digest.clone_from(digest);
            let before = self.out.problems.len();
            let text = self.text(TAG_MANIFEST);
            let beside = |path: &str| !path.starts_with("data/") && path != TAG_MANIFEST;
            self.hold(TAG_MANIFEST, &text, beside);
            let own: Digests =
                self.digests.iter().filter(|(p, _)| beside(p)).map(|(p, d)| (p.clone(), d.clone())).collect();
            if before == self.out.problems.len() && manifest::text(&own) != text {
                self.out.problems.push(format!("`{TAG_MANIFEST}` is altered"));
            }
        }
    }

    fn manifest(&mut self) {
        if self.digests.contains_key(MANIFEST) {
            let text = self.text(MANIFEST);
            self.hold(MANIFEST, &text, |path| path.starts_with("data/"));
        }
    }

    /// Holds the files that a manifest speaks for against its lines.
    fn hold(&mut self, name: &str, text: &str, speaks_for: impl Fn(&str) -> bool) {
        let (lines, broken) = manifest::parse(text);
        let mut problems: Vec<String> =
            broken.iter().map(|number| format!("`{name}`, line {number}: not a digest and a path")).collect();
        let mut listed = BTreeSet::new();
        for (digest, path) in &lines {
            let again = !listed.insert(path.as_str());
            let problem = match self.digests.get(path) {
                _ if !manifest::safe(path) => format!("`{name}` names `{path}`, which leads out of the bag"),
                _ if !speaks_for(path) => format!("`{name}` names `{path}`, which is not its to name"),
                _ if again => format!("`{name}` names `{path}` twice"),
                None => format!("`{path}` is missing, and `{name}` names it"),
                Some(own) if own != digest => format!("`{path}` is altered"),
                Some(_) => continue,
            };
            problems.push(problem);
        }
        let extra = self.digests.keys().filter(|path| speaks_for(path) && !listed.contains(path.as_str()));
        problems.extend(extra.map(|path| format!("`{path}` is extra: no manifest names it")));
        self.out.problems.extend(problems);
    }

    fn oxum(&mut self) {
        for line in self.text(INFO).lines() {
            if let Some((name, words)) = line.split_once(": ") {
                self.out.info.insert(name.to_owned(), words.to_owned());
            }
        }
        let own = format!("{}.{}", self.bytes, self.out.files);
        if let Some(said) = self.out.info.get("Payload-Oxum").filter(|said| **said != own) {
            self.out.problems.push(format!("`{INFO}` counts {said} bytes and files, and there are {own}"));
        }
    }
}
