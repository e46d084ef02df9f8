//! Writes PDF objects one after another, and fetches each photo only when its turn comes.
//!
//! lopdf would hold all photos in memory at once. Here the largest thing held is one photo. Objects that are no streams
//! (the structure tree above all) go into compressed object streams, and the table of places is a stream too.

use crate::render::Picture;
use crate::render::Pictures;
use crate::render::RenderError;
use crate::render::pdf::seal;
use lopdf::Dictionary;
use lopdf::Document;
use lopdf::Object;
use lopdf::ObjectId;
use lopdf::dictionary;
use md5::Digest;
use std::collections::BTreeMap;
use std::io;
use std::io::Write;

/// A photo that waits for its turn.
pub struct Waiting<'a> {
    /// Its name in the record.
    pub file: &'a str,
    /// The object of its image.
    pub image: ObjectId,
    /// Width of its frame in points.
    pub width: f64,
    /// Height of its frame in points.
    pub height: f64,
}

/// Writes a document; a form in `photos` is written with its photo.
///
/// # Errors
/// When a photo cannot be had, or the place written to says no.
pub fn write(
    pdf: &Document,
    photos: &BTreeMap<ObjectId, Waiting<'_>>,
    pictures: &dyn Pictures,
    out: &mut dyn Write,
) -> Result<(), RenderError> {
    let next = pdf.objects.keys().next_back().map_or(1, |id| id.0 + 1);
    let mut file = File { out, place: 0, digest: md5::Md5::new(), places: BTreeMap::new(), next };
    file.write_all(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")?;
    let mut packed: Vec<(u32, &Object)> = Vec::new();
    for (id, object) in &pdf.objects {
        match (photos.get(id), object) {
            (Some(waiting), _) => file.photo(*id, waiting, pictures)?,
            (None, Object::Stream(_)) => file.object(*id, |f| value(f, object))?,
            (None, _) => packed.push((id.0, object)),
        }
    }
    for pack in packed.chunks(PACK) {
        file.pack(pack)?;
    }
    file.end(pdf)
}

/// How many objects share one object stream: enough to compress well, few enough to be read quickly.
const PACK: usize = 200;

/// Where an object is.
#[derive(Clone, Copy)]
enum Place {
    /// At a byte of the file.
    At(u64),
    /// In an object stream, at a position.
    In(u32, u32),
}

struct File<'a> {
    out: &'a mut dyn Write,
    place: u64,
    digest: md5::Md5,
    places: BTreeMap<u32, Place>,
    next: u32,
}

impl Write for File<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write_all(bytes)?;
        self.place += bytes.len() as u64;
        self.digest.update(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

impl File<'_> {
    fn object(&mut self, id: ObjectId, body: impl FnOnce(&mut Self) -> io::Result<()>) -> io::Result<()> {
        self.places.insert(id.0, Place::At(self.place));
        writeln!(self, "{} {} obj", id.0, id.1)?;
        body(self)?;
        self.write_all(b"\nendobj\n")
    }

    fn stream(&mut self, id: ObjectId, dictionary: Dictionary, content: &[u8]) -> io::Result<()> {
        self.object(id, |file| {
            value(file, &Object::Dictionary(dictionary))?;
            file.write_all(b"\nstream\n")?;
            file.write_all(content)?;
            file.write_all(b"\nendstream")
        })
    }

    /// Writes a photo's form, which sets the image into the middle of its frame, and then the image.
    fn photo(&mut self, id: ObjectId, waiting: &Waiting<'_>, pictures: &dyn Pictures) -> Result<(), RenderError> {
        let fault = |why: String| RenderError::Photo { file: waiting.file.to_owned(), why };
        let picture = pictures.picture(waiting.file).map_err(fault)?;
        if picture.width == 0 || picture.height == 0 || !picture.jpeg.ends_with(&[0xff, 0xd9]) {
            return Err(fault("it is not a whole JPEG".to_owned()));
        }
        let (form, content) = form(&picture, waiting);
        self.stream(id, form, content.as_bytes())?;
        self.stream(waiting.image, image(&picture), &picture.jpeg)?;
        Ok(())
    }

    /// Writes several objects as one compressed stream.
    fn pack(&mut self, objects: &[(u32, &Object)]) -> io::Result<()> {
        let id = self.fresh();
        let (mut heads, mut bodies) = (String::new(), Vec::new());
        for (position, (number, object)) in (0_u32..).zip(objects) {
            heads.push_str(&format!("{number} {} ", bodies.len()));
            value(&mut bodies, object)?;
            bodies.push(b'\n');
            self.places.insert(*number, Place::In(id, position));
        }
        let first = heads.len();
        let content = [heads.as_bytes(), &bodies].concat();
        let dictionary = dictionary! {
            "Type" => "ObjStm",
            "N" => objects.len() as i64,
            "First" => first as i64,
        };
        let stream = compressed(dictionary, content);
        self.object((id, 0), |f| value(f, &Object::Stream(stream)))
    }

    fn fresh(&mut self) -> u32 {
        let id = self.next;
        self.next += 1;
        id
    }

    /// The table of places, which also is the trailer.
    fn end(mut self, pdf: &Document) -> Result<(), RenderError> {
        let head = self.digest.clone();
        let digest = head.clone().finalize().to_vec();
        let start = self.place;
        let own = self.fresh();
        self.places.insert(own, Place::At(start));
        let mut table = Vec::new();
        for number in 0..=own {
            let (kind, a, b) = match self.places.get(&number) {
                Some(Place::At(place)) => (1_u8, *place, 0),
                Some(Place::In(stream, position)) => (2, u64::from(*stream), *position),
                None => (0, 0, if number == 0 { 65535 } else { 0 }),
            };
            table.push(kind);
            table.extend_from_slice(&a.to_be_bytes());
            table.extend_from_slice(&b.to_be_bytes());
        }
        let (first, second) = (Object::string_literal(digest), Object::string_literal(vec![0; 16]));
        let mut dictionary = dictionary! {
            "Type" => "XRef",
            "Size" => i64::from(own) + 1,
            "W" => Object::Array(vec![1.into(), 8.into(), 4.into()]),
            "ID" => Object::Array(vec![first, second]),
        };
        for key in ["Root", "Info"] {
            let entry = pdf.trailer.get(key.as_bytes()).map_err(|e| RenderError::Pdf(e.to_string()))?;
            dictionary.set(key, entry.clone());
        }
        let mut end = format!("{own} 0 obj\n").into_bytes();
        value(&mut end, &Object::Stream(compressed(dictionary, table)))?;
        write!(end, "\nendobj\nstartxref\n{start}\n%%EOF\n")?;
        let end = seal::seal(head, end).ok_or_else(|| RenderError::Pdf("its /ID has no place".to_owned()))?;
        self.write_all(&end)?;
        self.flush()?;
        Ok(())
    }
}

/// A stream of our own, compressed, in a form that no reader can mistake the length of.
fn compressed(dictionary: Dictionary, content: Vec<u8>) -> lopdf::Stream {
    let mut stream = lopdf::Stream::new(dictionary, content);
    // Compression can only fail to make it smaller; the stream then stays as it is.
    let _ = stream.compress();
    guard_end(&mut stream);
    stream
}

fn image(picture: &Picture) -> Dictionary {
    dictionary! {
        "Type" => "XObject",
        "Subtype" => "Image",
        "Width" => i64::from(picture.width),
        "Height" => i64::from(picture.height),
        "ColorSpace" => if picture.grey { "DeviceGray" } else { "DeviceRGB" },
        "BitsPerComponent" => 8,
        "Filter" => "DCTDecode",
        "Length" => picture.jpeg.len() as i64,
    }
}

fn form(picture: &Picture, waiting: &Waiting<'_>) -> (Dictionary, String) {
    let (wide, high) = (f64::from(picture.width), f64::from(picture.height));
    let scale = (waiting.width / wide).min(waiting.height / high);
    let (w, h) = (wide * scale, high * scale);
    let (x, y) = ((waiting.width - w) / 2.0, (waiting.height - h) / 2.0);
    let content = format!("q {w:.3} 0 0 {h:.3} {x:.3} {y:.3} cm /Im Do Q");
    let corners = vec![0.into(), 0.into(), Object::Real(waiting.width as f32), Object::Real(waiting.height as f32)];
    let form = dictionary! {
        "Type" => "XObject",
        "Subtype" => "Form",
        "BBox" => Object::Array(corners),
        "Resources" => dictionary! { "XObject" => dictionary! { "Im" => Object::Reference(waiting.image) } },
        "Length" => content.len() as i64,
    };
    (form, content)
}

/// Writes one object in the form it has inside another.
fn value(out: &mut dyn Write, object: &Object) -> io::Result<()> {
    match object {
        Object::Null => out.write_all(b"null"),
        Object::Boolean(b) => write!(out, "{b}"),
        Object::Integer(i) => write!(out, "{i}"),
        Object::Real(r) if r.is_finite() => write!(out, "{r}"),
        Object::Real(_) => Err(io::Error::other("a number of the PDF is not finite")),
        Object::Name(name) => write_name(out, name),
        Object::String(bytes, _) => {
            let digits: String = bytes.iter().map(|b| format!("{b:02X}")).collect();
            write!(out, "<{digits}>")
        }
        Object::Array(items) => {
            out.write_all(b"[")?;
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    out.write_all(b" ")?;
                }
                value(out, item)?;
            }
            out.write_all(b"]")
        }
        Object::Dictionary(dictionary) => write_dictionary(out, dictionary),
        Object::Stream(stream) => {
            write_dictionary(out, &stream.dict)?;
            out.write_all(b"\nstream\n")?;
            out.write_all(&stream.content)?;
            out.write_all(b"\nendstream")
        }
        Object::Reference((number, generation)) => write!(out, "{number} {generation} R"),
    }
}

fn write_dictionary(out: &mut dyn Write, dictionary: &Dictionary) -> io::Result<()> {
    out.write_all(b"<<")?;
    for (key, entry) in dictionary.iter() {
        write_name(out, key)?;
        out.write_all(b" ")?;
        value(out, entry)?;
        out.write_all(b"\n")?;
    }
    out.write_all(b">>")
}

fn write_name(out: &mut dyn Write, name: &[u8]) -> io::Result<()> {
    out.write_all(b"/")?;
    for byte in name {
        if byte.is_ascii_alphanumeric() || b"-_.+:*".contains(byte) {
            out.write_all(&[*byte])?;
        } else {
            write!(out, "#{byte:02X}")?;
        }
    }
    Ok(())
}

/// Compresses all streams. One whose bytes would end in a carriage return stays as it is, or is hexadecimal: a reader
/// that takes the carriage return and the line feed after it for one end of line would find the length wrong.
pub fn compress(pdf: &mut Document) {
    pdf.compress();
    for object in pdf.objects.values_mut() {
        if let Object::Stream(stream) = object {
            guard_end(stream);
        }
    }
}

fn guard_end(stream: &mut lopdf::Stream) {
    if stream.content.last() != Some(&b'\r') {
        return;
    }
    // Uncompressed, its end is another byte nearly always, and everybody can read it.
    if matches!(stream.dict.get(b"Filter"), Ok(Object::Name(name)) if name == b"FlateDecode")
        && let Ok(plain) = stream.decompressed_content()
        && plain.last() != Some(&b'\r')
    {
        stream.dict.remove(b"Filter");
        stream.set_content(plain);
        return;
    }
    let digits: String = stream.content.iter().map(|b| format!("{b:02X}")).collect();
    let mut filters = vec![Object::from("ASCIIHexDecode")];
    match stream.dict.get(b"Filter") {
        Ok(Object::Array(before)) => filters.extend(before.iter().cloned()),
        Ok(one) => filters.push(one.clone()),
        Err(_) => {}
    }
    stream.dict.set("Filter", Object::Array(filters));
    stream.set_content(format!("{digits}>").into_bytes());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_that_would_end_in_a_carriage_return_stays_readable() {
        let content = |i: usize| format!("{i} {}", "0 0 m ".repeat(40)).into_bytes();
        let packed = |i: usize| {
            let mut stream = lopdf::Stream::new(Dictionary::new(), content(i));
            stream.compress().unwrap();
            stream
        };
        let i = (0..10_000).find(|i| packed(*i).content.last() == Some(&b'\r')).unwrap();
        let stream = compressed(Dictionary::new(), content(i));
        assert!(stream.dict.get(b"Filter").is_err());
        assert_eq!(stream.content, content(i));
        let other = (0..10).find(|i| packed(*i).content.last() != Some(&b'\r')).unwrap();
        assert_eq!(compressed(Dictionary::new(), content(other)).decompressed_content().unwrap(), content(other));
    }
}
