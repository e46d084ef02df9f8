//! From a pack back to the record that it carries. Nothing is parsed before the file's own digest holds.

use crate::render::pdf::seal;
use lopdf::Dictionary;
use lopdf::Document;
use lopdf::LoadOptions;
use lopdf::Object;
use lopdf::decode_text_string;

/// The most that a stream inside a pack may hold once it is unpacked, in bytes.
const MOST: usize = 64 << 20;

/// What a pack says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// The record it carries.
    pub record: Vec<u8>,
    /// The program that wrote it, with its version.
    pub creator: String,
    /// The text of all pages, without white space; words stand in the order in which they were set.
    pub text: String,
}

/// Why a pack cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenFault {
    /// It is no PDF.
    #[error("it is no PDF")]
    NotPdf,
    /// Its digest does not hold.
    #[error("its digest does not hold: it was altered since it was written, or another program wrote it")]
    Altered,
    /// Its digest holds, and still it is no pack.
    #[error("it is not built as a pack is: {0}")]
    Inside(String),
}

/// Opens a pack.
///
/// # Errors
/// When the bytes are no PDF, any byte was changed since it was written, or there is no record in it.
pub fn open(bytes: &[u8]) -> Result<Opened, OpenFault> {
    if !bytes.starts_with(b"%PDF-") {
        return Err(OpenFault::NotPdf);
    }
    if !seal::holds(bytes) {
        return Err(OpenFault::Altered);
    }
    let options = LoadOptions { max_decompressed_size: Some(MOST), ..LoadOptions::default() };
    let inside = |e: lopdf::Error| OpenFault::Inside(e.to_string());
    let pdf = Document::load_mem_with_options(bytes, options).map_err(inside)?;
    let record = record(&pdf).map_err(inside)?;
    let numbers: Vec<u32> = pdf.get_pages().into_keys().collect();
    let text = pdf.extract_text_with_limit(&numbers, MOST).map_err(inside)?;
    let text = text.split_whitespace().collect();
    Ok(Opened { record, creator: creator(&pdf).unwrap_or_default(), text })
}

/// The first associated file of the document.
fn record(pdf: &Document) -> lopdf::Result<Vec<u8>> {
    let (_, files) = pdf.dereference(pdf.catalog()?.get(b"AF")?)?;
    let first = files.as_array()?.first().ok_or_else(|| lopdf::Error::DictKey("AF".to_owned()))?;
    let (_, spec) = pdf.dereference(first)?;
    let (_, files) = pdf.dereference(spec.as_dict()?.get(b"EF")?)?;
    let (_, file) = pdf.dereference(files.as_dict()?.get(b"F")?)?;
    let stream = file.as_stream()?;
    // A small record may be kept as it is.
    if stream.dict.has(b"Filter") { stream.decompressed_content_with_limit(MOST) } else { Ok(stream.content.clone()) }
}

fn creator(pdf: &Document) -> Option<String> {
    let (_, info) = pdf.dereference(pdf.trailer.get(b"Info").ok()?).ok()?;
    let info: &Dictionary = info.as_dict().ok()?;
    info.get(b"Creator").ok().and_then(|c: &Object| decode_text_string(c).ok())
}
