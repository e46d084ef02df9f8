//! Writes PDF objects one after another, and fetches each photo only when its turn comes.
//!
//! lopdf would hold all photos in memory at once. Here the largest thing held is one photo.

use crate::render::Picture;
use crate::render::Pictures;
use crate::render::RenderError;
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
    let mut file = File { out, place: 0, digest: md5::Md5::new(), places: BTreeMap::new() };
    file.write_all(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")?;
    for (id, object) in &pdf.objects {
        match photos.get(id) {
            Some(waiting) => file.photo(*id, waiting, pictures)?,
            None => file.object(*id, |f| value(f, object))?,
        }
    }
    file.end(pdf)
}

struct File<'a> {
    out: &'a mut dyn Write,
    place: u64,
    digest: md5::Md5,
    places: BTreeMap<u32, u64>,
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
        self.places.insert(id.0, self.place);
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

    fn end(mut self, pdf: &Document) -> Result<(), RenderError> {
        let digest = std::mem::replace(&mut self.digest, md5::Md5::new()).finalize().to_vec();
        let start = self.place;
        let size = self.places.keys().next_back().copied().unwrap_or(0) + 1;
        let mut table = format!("xref\n0 {size}\n0000000000 65535 f \n");
        for number in 1..size {
            match self.places.get(&number) {
                Some(place) => table.push_str(&format!("{place:010} 00000 n \n")),
                None => table.push_str("0000000000 65535 f \n"),
            }
        }
        self.write_all(table.as_bytes())?;
        let mut trailer = Dictionary::new();
        for key in ["Root", "Info"] {
            let entry = pdf.trailer.get(key.as_bytes()).map_err(|e| RenderError::Pdf(e.to_string()))?;
            trailer.set(key, entry.clone());
        }
        trailer.set("Size", i64::from(size));
        let id = Object::string_literal(digest);
        trailer.set("ID", Object::Array(vec![id.clone(), id]));
        self.write_all(b"trailer\n")?;
        value(&mut self, &Object::Dictionary(trailer))?;
        write!(self, "\nstartxref\n{start}\n%%EOF\n")?;
        self.flush()?;
        Ok(())
    }
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

/// Compresses all streams. One whose bytes end in a carriage return is also written in hexadecimal: a reader that
/// takes the carriage return and the line feed after it for one end of line would find the length wrong.
pub fn compress(pdf: &mut Document) {
    pdf.compress();
    for object in pdf.objects.values_mut() {
        let Object::Stream(stream) = object else { continue };
        if stream.content.last() != Some(&b'\r') {
            continue;
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
}
