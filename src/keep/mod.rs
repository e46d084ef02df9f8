//! A job in one folder that can be proved whole: a bag after RFC 8493 (BagIt 1.0), with SHA-512 manifests.
//!
//! 1. [`write()`] takes named sources and puts them, with their manifests, into a sink. 2. [`check()`] names whatever is
//!    missing, added or altered in a folder that claims to be such a bag. 3. [`manifest`] is the form of a manifest.
//!
//! Never: a record, a verdict, a disk or a clock.

mod check;
pub mod manifest;
mod write;

pub use check::{Checked, Found, Sort, check};
pub use write::{About, Kept, Payload, Source, write};

/// What `bagit.txt` says.
pub(crate) const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

/// Names of the four files beside `data/`.
pub(crate) const BAGIT: &str = "bagit.txt";
pub(crate) const INFO: &str = "bag-info.txt";
pub(crate) const MANIFEST: &str = "manifest-sha512.txt";
pub(crate) const TAG_MANIFEST: &str = "tagmanifest-sha512.txt";
