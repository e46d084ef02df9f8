//! How bytes come in and go out. Everything below the command line asks these traits and never meets a disk.

use std::io::{Read, Write};

/// A reader that can be handed to another thread.
pub type Reader = Box<dyn Read + Send>;

/// Why a file could not be had.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// There is none.
    #[error("there is no file `{0}` beside the record")]
    Missing(String),
    /// The name leads out of the record's folder, or through a link.
    #[error("`{0}` leads out of the record's folder; photos stand in it or in a folder inside it")]
    Outside(String),
    /// It is not an ordinary file.
    #[error("`{0}` is not an ordinary file")]
    NotAFile(String),
    /// It is larger than is read.
    #[error("`{name}` is larger than {limit} bytes")]
    TooLarge {
        /// The name as the record has it.
        name: String,
        /// The most that is read.
        limit: u64,
    },
    /// The machine said no.
    #[error("`{name}` could not be read: {source}")]
    Io {
        /// The name as the record has it.
        name: String,
        /// What the machine said.
        source: std::io::Error,
    },
}

/// The files beside a record.
pub trait Files: Sync {
    /// Opens a file named relative to the record's folder.
    ///
    /// # Errors
    /// When there is none, or it may not be read; never for its contents.
    fn open(&self, name: &str) -> Result<Reader, FileError>;

    /// Size in bytes of a file named relative to the record's folder.
    ///
    /// # Errors
    /// As for [`Files::open`].
    fn size(&self, name: &str) -> Result<u64, FileError>;
}

/// Where finished files go: each appears whole or not at all.
pub trait Sink {
    /// Calls `write` with a place to write to, and keeps the file aside under `name` once it has returned well.
    ///
    /// # Errors
    /// What `write` or the disk said; nothing of this file is kept then.
    fn put(&mut self, name: &str, write: &mut dyn FnMut(&mut dyn Write) -> std::io::Result<()>) -> std::io::Result<()>;

    /// Lets every file that was kept aside appear, in the order in which they were put.
    ///
    /// # Errors
    /// What the disk said; earlier files of names that have not appeared yet stay as they were.
    fn commit(&mut self) -> std::io::Result<()>;
}

/// Files held in memory, for tests and for the record inside a pack.
#[derive(Debug, Default)]
pub struct MemoryFiles(pub std::collections::BTreeMap<String, Vec<u8>>);

impl Files for MemoryFiles {
    fn open(&self, name: &str) -> Result<Reader, FileError> {
        let bytes = self.0.get(name).ok_or_else(|| FileError::Missing(name.to_owned()))?;
        Ok(Box::new(std::io::Cursor::new(bytes.clone())))
    }

    fn size(&self, name: &str) -> Result<u64, FileError> {
        self.0.get(name).map(|b| b.len() as u64).ok_or_else(|| FileError::Missing(name.to_owned()))
    }
}
