//! Blocks as a tagged PDF that is PDF/A-3a and PDF/UA-1.
//!
//! 1. [`compose`] turns blocks into pieces of fixed size and the structure they belong to, with [`lines`] for text;
//!    [`prose`], [`side`], [`owner`], [`table`] and [`pictures`] hold one family of blocks each.
//! 2. [`flow`] puts the pieces on pages, and [`frame`] the running head and foot round them. Both run again until
//!    the page numbers printed are the ones that came out.
//! 3. [`canvas`] draws the marks, [`fonts`] cuts the faces down, [`structure`] and [`metadata`] write what readers
//!    and archives ask for, and [`stream`] writes the file; [`seal`] lets a changed byte be found.
//! 4. [`open`] goes the other way: from a pack to the record in it.

mod canvas;
mod compose;
mod flow;
mod fonts;
mod frame;
mod lines;
mod metadata;
mod owner;
mod penetration;
mod pictures;
mod piece;
mod prose;
mod reading;
mod seal;
mod sheet;
mod side;
mod stream;
mod structure;
mod table;
mod tree;

pub use reading::{OpenFault, Opened, open};

use crate::render::Document;
use crate::render::Job;
use crate::render::RenderError;
use crate::render::pdf::canvas::Canvas;
use crate::render::pdf::compose::Composer;
use crate::render::pdf::flow::Placed;
use crate::render::pdf::lines::Pages;
use crate::render::pdf::structure::Slots;
use printpdf::DictItem;
use printpdf::ExternalStream;
use printpdf::ExternalXObject;
use printpdf::Mm;
use printpdf::PdfDocument;
use printpdf::PdfPage;
use printpdf::PdfSaveOptions;
use printpdf::XObject;
use std::collections::BTreeMap;
use std::io::Write;

/// How often pages are set until the numbers printed agree with the pages.
const PASSES: usize = 5;

/// Writes a document as PDF.
///
/// # Errors
/// When a photo cannot be had, a coordinate is off every sheet, or the place written to says no.
pub fn write(doc: &Document, job: &Job, out: &mut dyn Write) -> Result<(), RenderError> {
    let pages = page_numbers(doc);
    let (composer, placed) = set_pages(doc, &pages);
    let mut slots: Slots = vec![Vec::new(); composer.tree.slots];
    let drawn = draw(doc, &composer, &placed, &mut slots)?;
    let mut warnings = Vec::new();
    let mut pdf = printpdf::serialize::to_lopdf_doc(&drawn, &PdfSaveOptions::default(), &mut warnings);
    if let Some(warning) = warnings.first() {
        return Err(RenderError::Pdf(format!("{warning:?}")));
    }
    let page_ids: Vec<lopdf::ObjectId> = pdf.get_pages().into_values().collect();
    let forms = photo_forms(&mut pdf, &page_ids, &composer.photos);
    let tree = &composer.tree;
    let roots = structure::Builder { pdf: &mut pdf, pages: page_ids, tree, slots: &slots, placed: &placed }.build()?;
    metadata::dress(&mut pdf, job, &doc.meta, roots)?;
    stream::compress(&mut pdf);
    stream::write(&pdf, &forms, job.photos, out)
}

/// The page of every anchor, once it no longer changes.
fn page_numbers(doc: &Document) -> Pages {
    let mut pages = Pages::new();
    for _ in 0..PASSES {
        let (_, placed) = set_pages(doc, &pages);
        let found: Pages = placed.anchors.iter().map(|(name, (page, _))| (name.clone(), page + 1)).collect();
        if found == pages {
            break;
        }
        pages = found;
    }
    pages
}

fn set_pages<'a>(doc: &'a Document, pages: &'a Pages) -> (Composer<'a>, Placed<'a>) {
    let mut composer = compose::compose(&doc.blocks, pages);
    let pieces = std::mem::take(&mut composer.pieces);
    let mut placed = flow::flow(pieces);
    frame::frame(&mut composer, &mut placed, &doc.meta);
    (composer, placed)
}

fn draw(
    doc: &Document,
    composer: &Composer<'_>,
    placed: &Placed<'_>,
    slots: &mut Slots,
) -> Result<PdfDocument, RenderError> {
    let mut pdf = PdfDocument::new(&doc.meta.title);
    for (face, characters) in fonts::used(placed) {
        let font = printpdf::font::PdfFont::new(fonts::subset(face, &characters)?);
        pdf.resources.fonts.map.insert(fonts::font_id(face), font);
    }
    for number in 0..composer.photos.len() {
        pdf.resources.xobjects.map.insert(canvas::photo_name(number), form_stub());
    }
    for (number, page) in placed.pages.iter().enumerate() {
        let mut canvas = Canvas::new(number, slots);
        page.items.iter().for_each(|item| canvas.item(item));
        canvas.finish();
        if canvas.is_broken {
            return Err(RenderError::Pdf(format!("a mark on page {} has no place on a sheet", number + 1)));
        }
        let ops = std::mem::take(&mut canvas.ops);
        pdf.pages.push(PdfPage::new(Mm(210.0), Mm(297.0), ops));
    }
    Ok(pdf)
}

/// An empty form in a photo's place; it is filled when the file is written.
fn form_stub() -> XObject {
    let name = |text: &str| DictItem::Name(text.as_bytes().to_vec());
    let dict = [("Type", name("XObject")), ("Subtype", name("Form"))];
    let dict: BTreeMap<String, DictItem> = dict.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
    let stream = ExternalStream { dict, content: Vec::new(), compress: false };
    XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None })
}

/// The objects that wait for photos, found through the names that the pages give them.
fn photo_forms<'a>(
    pdf: &mut lopdf::Document,
    pages: &[lopdf::ObjectId],
    photos: &[&'a str],
) -> BTreeMap<lopdf::ObjectId, stream::Waiting<'a>> {
    let mut forms = BTreeMap::new();
    for (number, file) in photos.iter().enumerate() {
        let name = canvas::photo_name(number).0;
        let found = pages.iter().find_map(|page| named_form(pdf, *page, name.as_bytes()));
        if let Some(form) = found {
            let image = pdf.new_object_id();
            let (width, height) = (pictures::FRAME, pictures::FRAME_HEIGHT);
            forms.insert(form, stream::Waiting { file, image, width, height });
        }
    }
    forms
}

fn named_form(pdf: &lopdf::Document, page: lopdf::ObjectId, name: &[u8]) -> Option<lopdf::ObjectId> {
    let resources = pdf.get_dictionary(page).ok()?.get(b"Resources").ok()?;
    let (_, resources) = pdf.dereference(resources).ok()?;
    let (_, named) = pdf.dereference(resources.as_dict().ok()?.get(b"XObject").ok()?).ok()?;
    named.as_dict().ok()?.get(name).ok()?.as_reference().ok()
}
