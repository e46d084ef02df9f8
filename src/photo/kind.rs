//! Tells kinds of file from their first bytes; a file's name says nothing that can be relied on.

use crate::photo::Format;
use crate::photo::container::Flaw;

/// How many first bytes are looked at.
pub(super) const LOOKED_AT: usize = 12;

const PHONE: &str = "share or export it from the phone as JPEG (its camera settings can keep JPEG, often called \
                     `most compatible`), or save it as JPEG in any image program";
const CONVERT: &str = "save it as JPEG in any image program";
const STILL: &str = "take a still from it, save that as JPEG and name it instead";
const SCAN: &str = "save the page that matters as JPEG, or photograph it";

/// The kind a file's first bytes show, or why it is not read.
pub(super) fn kind(first: &[u8]) -> Result<Format, Flaw> {
    match first {
        [] => Err(Flaw::Empty),
        [0xFF, 0xD8, 0xFF, ..] => Ok(Format::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(Format::Png),
        [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] => Err(boxed(brand)),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => {
            Err(Flaw::OtherKind("a WebP picture", CONVERT))
        }
        [b'G', b'I', b'F', b'8', ..] => Err(Flaw::OtherKind("a GIF picture", CONVERT)),
        [b'I', b'I', b'*', 0, ..] | [b'M', b'M', 0, b'*', ..] => {
            Err(Flaw::OtherKind("a TIFF or raw camera picture", CONVERT))
        }
        [b'B', b'M', ..] => Err(Flaw::OtherKind("a BMP picture", CONVERT)),
        [b'%', b'P', b'D', b'F', ..] => Err(Flaw::OtherKind("a PDF", SCAN)),
        _ => Err(start_of_one(first)),
    }
}

/// Which of the box-structured kinds a brand names: phones keep HEIC pictures and films in the same sort of file.
fn boxed(brand: &[u8]) -> Flaw {
    match brand {
        b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" => Flaw::OtherKind("a HEIC picture", PHONE),
        b"mif1" | b"mif2" | b"msf1" => Flaw::OtherKind("a HEIF picture", PHONE),
        b"avif" | b"avis" => Flaw::OtherKind("an AVIF picture", PHONE),
        _ => Flaw::OtherKind("a film or another file that is no still picture", STILL),
    }
}

/// A file shorter than its own signature is cut short when what there is of it fits.
fn start_of_one(first: &[u8]) -> Flaw {
    let signatures: [&[u8]; 2] = [&[0xFF, 0xD8, 0xFF], b"\x89PNG\r\n\x1a\n"];
    if signatures.iter().any(|s| s.starts_with(first)) { Flaw::CutShort } else { Flaw::Unknown }
}
