//! What a picture is: its header, its size, its date, and its pixels when asked for.
//!
//! 1. [`header`] reads the facts in front of the pixels, and stops there.
//! 2. [`picture`] reads the whole file and gives a JPEG that is upright, small enough and carries nothing but pixels.
//!
//! `container` walks JPEG segments and PNG chunks, `told` reads what the camera wrote down, and
//! `pixels` decodes, shrinks, turns and encodes. One picture is in memory at a time, and nothing is decoded
//! before its size has been read from the header and found bearable.

mod container;
mod kind;
mod pixels;
mod told;

use std::io::{BufReader, Read};

use chrono::NaiveDateTime;

use crate::base::files::{FileError, Files};
use crate::photo::container::{Facts, Flaw};
use crate::photo::told::Told;

/// Largest file read, in bytes.
pub const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// Most pixels decoded.
pub const MOST_PIXELS: u64 = 120_000_000;

/// The kinds of picture that are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// JPEG, baseline or progressive, grey, colour or CMYK.
    Jpeg,
    /// PNG of any depth.
    Png,
}

/// What stands in front of the pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// Kind of file, told from its first bytes and never from its name.
    pub format: Format,
    /// Width in pixels as displayed, so after turning upright.
    pub width: u32,
    /// Height in pixels as displayed, so after turning upright.
    pub height: u32,
    /// EXIF orientation, 1 to 8; 1 when none is given or what is given is none.
    pub orientation: u8,
    /// When the photo was taken by the camera's clock: DateTimeOriginal, else DateTimeDigitized. The plain DateTime is
    /// left alone, since editing a photo changes it.
    pub taken: Option<NaiveDateTime>,
    /// The clock's offset from UTC, as `+01:00`, when the camera wrote one.
    pub offset: Option<String>,
    /// Whether the file says where it was taken.
    pub has_position: bool,
    /// Size of the file in bytes.
    pub bytes: u64,
}

/// A picture ready to be placed: upright, and without position or any other metadata.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// A complete JPEG: one component when grey, three otherwise.
    pub jpeg: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Whether it has grey values only.
    pub grey: bool,
}

/// Why a photo could not be used, and what would do.
#[derive(Debug, thiserror::Error)]
pub enum PhotoFault {
    /// The file could not be had.
    #[error(transparent)]
    File(#[from] FileError),
    /// It holds nothing.
    #[error("`{0}` is empty; copy it from the phone or camera again")]
    Empty(String),
    /// It is larger than is read.
    #[error("`{name}` is {mebibytes} MiB, and photos up to 64 MiB are read; save a smaller copy and name that")]
    TooLarge {
        /// The name as the record has it.
        name: String,
        /// Its size in MiB, rounded up.
        mebibytes: u64,
    },
    /// It has more pixels than are decoded.
    #[error(
        "`{name}` is {width} × {height} pixels, and photos up to 120 megapixels are read; save a smaller copy and name that"
    )]
    TooManyPixels {
        /// The name as the record has it.
        name: String,
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// It claims to be nothing wide or nothing high.
    #[error("`{0}` says it is 0 pixels wide or high; copy it from the phone or camera again")]
    NoSize(String),
    /// It is a kind of file that is known and not read.
    #[error("`{name}` is {kind}, and photos are read as JPEG or PNG; {cure}")]
    OtherKind {
        /// The name as the record has it.
        name: String,
        /// The kind, with its article.
        kind: &'static str,
        /// What to do about it.
        cure: &'static str,
    },
    /// It is nothing that is known.
    #[error("`{0}` is neither JPEG nor PNG; save it as JPEG in any image program, or take it out of the record")]
    Unknown(String),
    /// It is a JPEG of a sort that is not read.
    #[error("`{name}` is {sort}, which is not read; save it as an ordinary JPEG in any image program")]
    OtherSort {
        /// The name as the record has it.
        name: String,
        /// The sort, with its article.
        sort: &'static str,
    },
    /// Its end is missing.
    #[error("`{0}` is cut short; copy it from the phone or camera again, or take the photo again")]
    CutShort(String),
    /// Its contents contradict themselves.
    #[error("`{name}` is damaged ({reason}); copy it from the phone or camera again, or take the photo again")]
    Damaged {
        /// The name as the record has it.
        name: String,
        /// What was found.
        reason: String,
    },
}

/// Reads the facts of a photo and none of its pixels.
///
/// Reading stops where the picture data starts, commonly within the first 64 KiB; a missing end goes unnoticed here.
///
/// # Errors
/// When the file cannot be had, is empty or larger than [`MOST_BYTES`], has no pixels or more than [`MOST_PIXELS`], is
/// no JPEG or PNG, or breaks off before its size.
pub fn header(files: &dyn Files, name: &str) -> Result<Header, PhotoFault> {
    let bytes = allowed_size(files, name)?;
    let mut reader = BufReader::new(files.open(name)?.take(MOST_BYTES));
    let (facts, told) = inspect(name, &mut reader)?;
    let (width, height) = if told.orientation < 5 { (facts.width, facts.height) } else { (facts.height, facts.width) };
    Ok(Header {
        format: facts.format,
        width,
        height,
        orientation: told.orientation,
        taken: told.taken,
        offset: told.offset,
        has_position: told.position || facts.position_in_text,
        bytes,
    })
}

/// Reads a photo whole and makes it fit to be placed: upright, its longest side at most `longest_px` pixels (from 1 to
/// 65,535), all metadata gone.
///
/// A JPEG that is upright and small enough keeps its picture data byte for byte; everything else is decoded and encoded
/// anew. Either way the picture has been decoded once, so what comes back can be shown. The same file gives the same
/// bytes on every machine. Needs about ten bytes of memory for each pixel of the original while it works.
///
/// # Errors
/// As for [`header`], and when the picture data is cut short or damaged.
pub fn picture(files: &dyn Files, name: &str, longest_px: u32) -> Result<Picture, PhotoFault> {
    let bytes = whole(files, name)?;
    let (facts, told) = inspect(name, &mut bytes.as_slice())?;
    let longest = longest_px.clamp(1, u32::from(u16::MAX));
    let decoded = match facts.format {
        Format::Png => pixels::from_png(name, bytes)?,
        Format::Jpeg => {
            let bare = container::bare_jpeg(&bytes).map_err(|flaw| fault(name, flaw))?;
            drop(bytes);
            let decoded = pixels::from_jpeg(name, &bare, facts.components == 1)?;
            if told.orientation == 1 && facts.passes && facts.width.max(facts.height) <= longest {
                return Ok(Picture { jpeg: bare, width: facts.width, height: facts.height, grey: decoded.grey });
            }
            decoded
        }
    };
    decoded.shrunk(name, longest)?.upright(told.orientation).encoded(name)
}

/// Size of the file, refused when it is nothing or too much.
fn allowed_size(files: &dyn Files, name: &str) -> Result<u64, PhotoFault> {
    match files.size(name)? {
        0 => Err(PhotoFault::Empty(name.to_owned())),
        bytes if bytes > MOST_BYTES => Err(too_large(name, bytes)),
        bytes => Ok(bytes),
    }
}

/// The file's bytes. The size is held against the limit again, since a file can grow between asking and reading.
fn whole(files: &dyn Files, name: &str) -> Result<Vec<u8>, PhotoFault> {
    allowed_size(files, name)?;
    let mut bytes = Vec::new();
    files
        .open(name)?
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| FileError::Io { name: name.to_owned(), source })?;
    if bytes.len() as u64 > MOST_BYTES { Err(too_large(name, bytes.len() as u64)) } else { Ok(bytes) }
}

/// What the container and the camera say, refused when the size is nothing or too much.
fn inspect(name: &str, reader: &mut dyn std::io::BufRead) -> Result<(Facts, Told), PhotoFault> {
    let facts = container::facts(reader).map_err(|flaw| fault(name, flaw))?;
    let (width, height) = (facts.width, facts.height);
    if width == 0 || height == 0 {
        return Err(PhotoFault::NoSize(name.to_owned()));
    }
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PhotoFault::TooManyPixels { name: name.to_owned(), width, height });
    }
    let told = told::told(facts.exif.as_deref());
    Ok((facts, told))
}

fn too_large(name: &str, bytes: u64) -> PhotoFault {
    PhotoFault::TooLarge { name: name.to_owned(), mebibytes: bytes.div_ceil(1024 * 1024) }
}

/// Names the file in what was found wrong with its bytes.
fn fault(name: &str, flaw: Flaw) -> PhotoFault {
    let name = name.to_owned();
    match flaw {
        Flaw::Io(source) => PhotoFault::File(FileError::Io { name, source }),
        Flaw::Empty => PhotoFault::Empty(name),
        Flaw::CutShort => PhotoFault::CutShort(name),
        Flaw::Damaged(reason) => PhotoFault::Damaged { name, reason: reason.to_owned() },
        Flaw::OtherSort(sort) => PhotoFault::OtherSort { name, sort },
        Flaw::OtherKind(kind, cure) => PhotoFault::OtherKind { name, kind, cure },
        Flaw::Unknown => PhotoFault::Unknown(name),
    }
}
