//! Walks JPEG segments and PNG chunks: the facts before the pixels, and a JPEG bare of everything but its pixels.

use std::io::{BufRead, Read};

use crate::photo::Format;
use crate::photo::kind;

/// Largest PNG chunk of text or camera facts that is looked into, in bytes. JPEG's segments cannot exceed it.
const LOOKED_INTO: u32 = 64 * 1024;

/// What is wrong with a file's bytes.
#[derive(Debug)]
pub(super) enum Flaw {
    /// The machine said no while reading.
    Io(std::io::Error),
    /// There are none.
    Empty,
    /// They end too early.
    CutShort,
    /// They contradict themselves.
    Damaged(&'static str),
    /// A JPEG of a sort that is not read.
    OtherSort(&'static str),
    /// A kind of file that is known and not read, and what to do about it.
    OtherKind(&'static str, &'static str),
    /// Nothing that is known.
    Unknown,
}

impl From<std::io::Error> for Flaw {
    fn from(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::UnexpectedEof { Self::CutShort } else { Self::Io(error) }
    }
}

/// What stands before the pixels, with width and height as stored.
#[derive(Debug)]
pub(super) struct Facts {
    pub(super) format: Format,
    pub(super) width: u32,
    pub(super) height: u32,
    /// Number of colour components of a JPEG; 0 for a PNG.
    pub(super) components: u8,
    /// Whether the picture data may be handed on as it is: a baseline or progressive JPEG, grey or YCbCr.
    pub(super) passes: bool,
    /// The camera's TIFF block, without the marker before it.
    pub(super) exif: Option<Vec<u8>>,
    /// Whether some other text in the file names a position.
    pub(super) position_in_text: bool,
}

impl Facts {
    fn of(format: Format) -> Self {
        Self { format, width: 0, height: 0, components: 0, passes: false, exif: None, position_in_text: false }
    }
}

/// Reads up to the picture data of a JPEG or PNG.
pub(super) fn facts(reader: &mut dyn BufRead) -> Result<Facts, Flaw> {
    let mut first = Vec::with_capacity(kind::LOOKED_AT);
    reader.take(kind::LOOKED_AT as u64).read_to_end(&mut first)?;
    let format = kind::kind(&first)?;
    let mut rest = first.as_slice().chain(reader);
    match format {
        Format::Jpeg => jpeg_facts(&mut rest),
        Format::Png => png_facts(&mut rest),
    }
}

// ---- JPEG ----

const START: u8 = 0xD8;
const END: u8 = 0xD9;
const SCAN: u8 = 0xDA;

/// Length of a JFIF segment that holds no thumbnail. One that does is left out whole: it adds nothing a decoder needs.
const JFIF_BODY: usize = 14;

/// Length of an Adobe segment up to and with its colour transform.
const ADOBE_BODY: usize = 12;

/// A marker with its body, which is empty for markers that have none.
struct Segment {
    marker: u8,
    body: Vec<u8>,
}

impl Segment {
    /// Reads the next marker and its body.
    fn read(reader: &mut dyn BufRead) -> Result<Self, Flaw> {
        if byte(reader)? != 0xFF {
            return Err(Flaw::Damaged("a stray byte where a segment should start"));
        }
        let marker = after_fill(reader)?;
        Self::read_body(reader, marker)
    }

    /// Reads the body of a marker that has been read already.
    fn read_body(reader: &mut dyn BufRead, marker: u8) -> Result<Self, Flaw> {
        if matches!(marker, 0x01 | 0xD0..=END) {
            return Ok(Self { marker, body: Vec::new() });
        }
        let length = u16::from_be_bytes([byte(reader)?, byte(reader)?]);
        let length = length.checked_sub(2).ok_or(Flaw::Damaged("a segment shorter than its own length"))?;
        let mut body = vec![0; usize::from(length)];
        reader.read_exact(&mut body)?;
        Ok(Self { marker, body })
    }

    /// Whether it opens a frame, and so gives the size.
    fn is_frame(&self) -> bool {
        matches!(self.marker, 0xC0..=0xCF) && !matches!(self.marker, 0xC4 | 0xC8 | 0xCC)
    }

    /// Whether a decoder needs it. Of the application segments only the two that say how colours are meant count.
    fn is_needed(&self) -> bool {
        match self.marker {
            0xC0..=0xCF | 0xD0..=0xD8 | 0xDA..=0xDD => true,
            0xE0 => self.body.len() == JFIF_BODY && self.body.starts_with(b"JFIF\0"),
            0xEE => self.body.len() >= ADOBE_BODY && self.body.starts_with(b"Adobe"),
            _ => false,
        }
    }

    /// Cuts a colour segment to what says how colours are meant, so that nothing travels along behind it.
    fn trim(&mut self) {
        if self.marker == 0xEE {
            self.body.truncate(ADOBE_BODY);
        }
    }

    fn write(&self, out: &mut Vec<u8>) {
        out.extend([0xFF, self.marker]);
        if !matches!(self.marker, 0x01 | 0xD0..=END) {
            // A body came with a two-byte length, so its own length plus two fits one.
            let length = u16::try_from(self.body.len() + 2).unwrap_or(u16::MAX);
            out.extend(length.to_be_bytes());
            out.extend(&self.body);
        }
    }
}

fn byte(reader: &mut dyn BufRead) -> Result<u8, Flaw> {
    let mut one = [0];
    reader.read_exact(&mut one)?;
    Ok(one[0])
}

/// The first byte that is no filler; any number of `FF` may stand before a marker.
fn after_fill(reader: &mut dyn BufRead) -> Result<u8, Flaw> {
    loop {
        match byte(reader)? {
            0xFF => {}
            0 => return Err(Flaw::Damaged("a stray byte where a segment should start")),
            marker => return Ok(marker),
        }
    }
}

fn jpeg_facts(reader: &mut dyn BufRead) -> Result<Facts, Flaw> {
    let mut facts = Facts::of(Format::Jpeg);
    loop {
        let segment = Segment::read(reader)?;
        match segment.marker {
            SCAN | END => return Err(Flaw::Damaged("no size before the picture")),
            0xE1 => note_application(&mut facts, segment.body),
            _ if segment.is_frame() => return frame(facts, &segment),
            _ => {}
        }
    }
}

/// Keeps the first block of camera facts, and looks for a position in any other text.
fn note_application(facts: &mut Facts, body: Vec<u8>) {
    match body.strip_prefix(b"Exif\0") {
        Some([_, tiff @ ..]) if facts.exif.is_none() => facts.exif = Some(tiff.to_vec()),
        _ => facts.position_in_text |= names_position(&body),
    }
}

fn names_position(text: &[u8]) -> bool {
    [b"GPSLatitude".as_slice(), b"GPSLongitude"].iter().any(|w| text.windows(w.len()).any(|t| t == *w))
}

/// Fills in what the frame's opening says: precision, height, width, and three bytes for each component.
fn frame(mut facts: Facts, segment: &Segment) -> Result<Facts, Flaw> {
    let [precision, h1, h0, w1, w0, components, rest @ ..] = segment.body.as_slice() else {
        return Err(Flaw::Damaged("a size that breaks off"));
    };
    if rest.len() != 3 * usize::from(*components) {
        return Err(Flaw::Damaged("a size that breaks off"));
    }
    readable(segment.marker, *precision, *components)?;
    facts.height = u32::from(u16::from_be_bytes([*h1, *h0]));
    facts.width = u32::from(u16::from_be_bytes([*w1, *w0]));
    facts.components = *components;
    let names: Vec<u8> = rest.chunks_exact(3).map(|c| c[0]).collect();
    // Components named R, G, B hold just that, and not every reader of the finished document heeds it.
    facts.passes = matches!(segment.marker, 0xC0 | 0xC2) && matches!(components, 1 | 3) && names != *b"RGB";
    Ok(facts)
}

fn readable(marker: u8, precision: u8, components: u8) -> Result<(), Flaw> {
    match (marker, precision, components) {
        (0xC0..=0xC2, 8, 1 | 3 | 4) => Ok(()),
        (0xC0..=0xC2, 8, _) => Err(Flaw::OtherSort("a JPEG with an uncommon number of colours")),
        (0xC0..=0xC2, _, _) => Err(Flaw::OtherSort("a JPEG of more than 8 bits a colour")),
        (0xC3 | 0xC7 | 0xCB | 0xCF, _, _) => Err(Flaw::OtherSort("a lossless JPEG")),
        (0xC9 | 0xCA, _, _) => Err(Flaw::OtherSort("an arithmetic-coded JPEG")),
        _ => Err(Flaw::OtherSort("a hierarchical JPEG")),
    }
}

/// The JPEG from its start to its first end, with every segment left out that no decoder needs.
///
/// What stands after the end (a second picture, a film) goes as well. A file without an end is cut short.
pub(super) fn bare_jpeg(bytes: &[u8]) -> Result<Vec<u8>, Flaw> {
    let mut reader = bytes;
    let mut out = Vec::with_capacity(bytes.len());
    let mut segment = Segment::read(&mut reader)?;
    loop {
        if segment.is_needed() {
            segment.trim();
            segment.write(&mut out);
        }
        segment = match segment.marker {
            END => break,
            SCAN => {
                let marker = copy_scan(&mut reader, &mut out)?;
                Segment::read_body(&mut reader, marker)?
            }
            _ => Segment::read(&mut reader)?,
        };
    }
    out.extend([0xFF, END]);
    if out.starts_with(&[0xFF, START]) { Ok(out) } else { Err(Flaw::Damaged("no start of picture")) }
}

/// Copies coded picture data and gives the marker that ends it. Inside the data `FF` is followed by 0 or by a restart
/// marker.
fn copy_scan(reader: &mut &[u8], out: &mut Vec<u8>) -> Result<u8, Flaw> {
    loop {
        reader.read_until(0xFF, out)?;
        if out.last() != Some(&0xFF) {
            return Err(Flaw::CutShort);
        }
        match byte(reader)? {
            inside @ (0 | 0xD0..=0xD7) => out.push(inside),
            marker => {
                out.pop();
                return if marker == 0xFF { after_fill(reader) } else { Ok(marker) };
            }
        }
    }
}

// ---- PNG ----

fn png_facts(reader: &mut dyn BufRead) -> Result<Facts, Flaw> {
    let mut facts = Facts::of(Format::Png);
    reader.read_exact(&mut [0; 8])?;
    let (length, name) = chunk_head(reader)?;
    if name != *b"IHDR" || length != 13 {
        return Err(Flaw::Damaged("no size before the picture"));
    }
    let header = chunk_body(reader, length)?;
    if let [w3, w2, w1, w0, h3, h2, h1, h0, ..] = *header {
        facts.width = u32::from_be_bytes([w3, w2, w1, w0]);
        facts.height = u32::from_be_bytes([h3, h2, h1, h0]);
    }
    while note_chunk(reader, &mut facts)? {}
    Ok(facts)
}

/// Notes one chunk; false once the picture data starts.
fn note_chunk(reader: &mut dyn BufRead, facts: &mut Facts) -> Result<bool, Flaw> {
    let (length, name) = chunk_head(reader)?;
    match &name {
        b"IDAT" => return Ok(false),
        b"IEND" => return Err(Flaw::Damaged("no picture in it")),
        b"eXIf" if length <= LOOKED_INTO => facts.exif = Some(chunk_body(reader, length)?),
        b"iTXt" | b"tEXt" if length <= LOOKED_INTO => {
            facts.position_in_text |= names_position(&chunk_body(reader, length)?);
        }
        _ => skip(reader, u64::from(length) + 4)?,
    }
    Ok(true)
}

fn chunk_head(reader: &mut dyn BufRead) -> Result<(u32, [u8; 4]), Flaw> {
    let (mut length, mut name) = ([0; 4], [0; 4]);
    reader.read_exact(&mut length)?;
    reader.read_exact(&mut name)?;
    Ok((u32::from_be_bytes(length), name))
}

/// A chunk's body; the checksum after it is left to the decoder.
fn chunk_body(reader: &mut dyn BufRead, length: u32) -> Result<Vec<u8>, Flaw> {
    let mut body = vec![0; length.min(LOOKED_INTO) as usize];
    reader.read_exact(&mut body)?;
    skip(reader, 4)?;
    Ok(body)
}

fn skip(reader: &mut dyn BufRead, count: u64) -> Result<(), Flaw> {
    let skipped = std::io::copy(&mut reader.take(count), &mut std::io::sink())?;
    if skipped == count { Ok(()) } else { Err(Flaw::CutShort) }
}
