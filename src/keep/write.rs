//! Writing a bag: every source once, digested on its way, then what describes them.

use crate::base::files::Sink;
use crate::base::text::harmless;
use crate::keep::manifest;
use crate::keep::manifest::Digesting;
use crate::keep::manifest::Digests;
use crate::keep::{BAGIT, DECLARATION, INFO, MANIFEST, TAG_MANIFEST};
use chrono::NaiveDate;
use std::io::{self, Write};

/// Writes the bytes of a file.
pub type Source<'a> = dyn FnMut(&mut dyn Write) -> io::Result<()> + 'a;

/// A file of the bag.
pub struct Payload<'a> {
    /// Its path below `data/`, with `/` between steps.
    pub path: String,
    /// Writes its bytes.
    pub write: Box<Source<'a>>,
}

/// What `bag-info.txt` says.
#[derive(Clone, Debug)]
pub struct About {
    /// The document's date.
    pub date: NaiveDate,
    /// The program and its version.
    pub software: String,
    /// The job's id.
    pub identifier: String,
    /// What is inside, in words.
    pub description: String,
}

/// A bag that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// How many files `data/` holds.
    pub files: usize,
    /// How many bytes they have.
    pub bytes: u64,
    /// SHA-512 of the tag manifest, in hexadecimal: whoever has it written down elsewhere can tell this bag from any
    /// other.
    pub digest: String,
}

/// Puts a bag into a sink; the sink lets it appear.
///
/// The same sources and words give the same bytes, whatever the order of the sources.
///
/// # Errors
/// A path that leads out of the bag or is there twice, and what a source or the sink said.
pub fn write(mut payload: Vec<Payload<'_>>, about: &About, sink: &mut dyn Sink) -> io::Result<Kept> {
    payload.sort_by(|a, b| a.path.cmp(&b.path));
    let (mut digests, mut total) = (Digests::new(), 0);
    for file in &mut payload {
        let path = format!("data/{}", file.path);
        if !manifest::safe(&path) || digests.contains_key(&path) {
            let why = format!("`{path}` leads out of the bag or is there twice");
            return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
        }
        let (digest, bytes) = put(sink, &path, &mut *file.write)?;
        digests.insert(path, digest);
        total += bytes;
    }
    let tags = [
        (BAGIT, DECLARATION.to_owned()),
        (INFO, info(about, total, digests.len())),
        (MANIFEST, manifest::text(&digests)),
    ];
    let mut tag_digests = Digests::new();
    for (name, text) in tags {
        let (digest, _) = put(sink, name, &mut |out| out.write_all(text.as_bytes()))?;
        tag_digests.insert(name.to_owned(), digest);
    }
    let text = manifest::text(&tag_digests);
    let (digest, _) = put(sink, TAG_MANIFEST, &mut |out| out.write_all(text.as_bytes()))?;
    Ok(Kept { files: digests.len(), bytes: total, digest })
}

fn put(
    sink: &mut dyn Sink,
    name: &str,
    write: &mut dyn FnMut(&mut dyn Write) -> io::Result<()>,
) -> io::Result<(String, u64)> {
    let mut told = (String::new(), 0);
    sink.put(name, &mut |out| {
        let mut digesting = Digesting::new(out);
        write(&mut digesting)?;
        told = digesting.end();
        Ok(())
    })?;
    Ok(told)
}

fn info(about: &About, bytes: u64, files: usize) -> String {
    let lines = [
        ("Bag-Software-Agent", about.software.clone()),
        ("Bagging-Date", about.date.format("%Y-%m-%d").to_string()),
        ("Payload-Oxum", format!("{bytes}.{files}")),
        ("External-Identifier", about.identifier.clone()),
        ("External-Description", about.description.clone()),
    ];
    let line = |(name, words): (&str, String)| {
        // A line end inside a value would begin another one.
        let words = harmless(&words).split_whitespace().collect::<Vec<_>>().join(" ");
        format!("{name}: {words}\n")
    };
    lines.into_iter().filter(|(_, words)| !words.trim().is_empty()).map(line).collect()
}
