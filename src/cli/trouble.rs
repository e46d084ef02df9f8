//! Why a command could not be carried out.

use crate::base::text::harmless;
use std::io;
use std::path::PathBuf;

/// Why a command could not be carried out: always exit status 2.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// Said in full.
    #[error("{0}")]
    Told(String),
    /// A file that the user named cannot be read.
    #[error("`{path}` could not be read: {source}", path = path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// What the machine said.
        source: io::Error,
    },
    /// A file cannot be written.
    #[error("`{path}` could not be written: {source}; an earlier file there is as it was", path = path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// What the machine said.
        source: io::Error,
    },
    /// What was to be printed could not be.
    #[error("the output could not be written: {0}")]
    Output(#[from] io::Error),
    /// A rulebook or overlay does not load.
    #[error(transparent)]
    Rulebook(#[from] crate::rulebook::RulebookError),
    /// The pack could not be made.
    #[error(transparent)]
    Render(#[from] crate::render::RenderError),
    /// The record has faults, and they have been told.
    #[error("the record has faults")]
    Faults,
}

impl Trouble {
    /// The message on one line, with nothing in it that a terminal would obey.
    pub fn line(&self) -> String {
        harmless(&self.to_string())
    }
}
