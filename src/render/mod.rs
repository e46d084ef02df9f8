//! How it looks: templates, Markdown, blocks, HTML, PDF and SVG.
//!
//! In: a [`Job`], with blocks and facts from the pack. Out: bytes.
//! 1. [`template`] turns a template and the facts into Markdown.
//! 2. [`blocks`] reads that Markdown into blocks, and puts the pack's own blocks where it names them.
//! 3. [`characters`] sees to it that every character can be shown.
//! 4. [`markdown`], [`html`] and [`pdf`] each write the same blocks; [`svg`] draws figures for HTML.
//!
//! Never: a verdict, a number of its own, a file or a clock.

pub mod blocks;
pub mod characters;
pub mod html;
pub mod markdown;
pub mod pdf;
pub mod svg;
pub mod template;
mod walk;
mod webfont;

use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Line;
use crate::base::doc::Parts;
use crate::base::doc::Row;
use std::io::Write;

/// Everything a renderer may know of one document.
pub struct Job<'a> {
    /// What templates see; every number in it is already text.
    pub context: serde_json::Value,
    /// The blocks and notes that templates place by name.
    pub parts: &'a Parts,
    /// The template to begin with, such as `inspection.md.tera`.
    pub template: &'a str,
    /// Templates as name and text; a name that [`template::BUILT_IN`] has too replaces the built-in one.
    pub templates: &'a [(String, String)],
    /// What stands around the text.
    pub meta: Meta,
    /// The record itself, which the PDF carries.
    pub record: Attachment<'a>,
    /// Where photos come from.
    pub photos: &'a dyn Pictures,
}

/// What stands around the text of a document.
#[derive(Clone, Debug, Default)]
pub struct Meta {
    /// The document's title, for the window and the file's properties.
    pub title: String,
    /// Left in the running head.
    pub running_left: Line,
    /// Right in the running head.
    pub running_right: Line,
    /// Left in the foot; the page number stands at its right.
    pub foot_left: Line,
    /// The language, as `en-GB`.
    pub lang: String,
    /// The document's date, which also is its time stamp.
    pub date: chrono::NaiveDate,
    /// The program and its version.
    pub creator: String,
}

/// A file that travels inside the PDF.
pub struct Attachment<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its media type, such as `application/yaml`.
    pub media_type: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
    /// What it is, in words.
    pub description: &'a str,
}

/// A photo, upright, without position data, and small enough to send.
pub struct Picture {
    /// A baseline or progressive JPEG.
    pub jpeg: Vec<u8>,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
    /// Whether it has one channel instead of three.
    pub grey: bool,
}

/// Where photos come from; asked only while a document is written, one photo at a time.
pub trait Pictures {
    /// The photo that the record names `file`.
    ///
    /// # Errors
    /// Why it cannot be shown, in words for the user.
    fn picture(&self, file: &str) -> Result<Picture, String>;
}

/// What a document can be written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Output {
    /// One Markdown file.
    Markdown,
    /// One HTML file that needs no other.
    Html,
    /// A tagged PDF: PDF/A-3a and PDF/UA-1.
    Pdf,
}

/// A document whose every character can be shown.
#[derive(Clone, Debug, Default)]
pub struct Document {
    /// The blocks, in order.
    pub blocks: Vec<Block>,
    /// The names of the words around the text, cleaned as the blocks are.
    pub meta: Meta,
    /// What was changed so that it could be shown; each is one sentence.
    pub warnings: Vec<String>,
}

/// Why a document could not be made.
#[derive(Debug, thiserror::Error)]
pub enum RenderError {
    /// A template does not parse or run; the text names file, line and column.
    #[error("{0}")]
    Template(String),
    /// The Markdown that a template made cannot be laid out.
    #[error("template `{template}`, line {line} of what it wrote: {what}")]
    Markdown {
        /// The template.
        template: String,
        /// The line of its result, from 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// A table whose row does not have a cell for every column.
    #[error("table `{table}`: row `{row}` has {cells} cells for {columns} columns")]
    Cells {
        /// The table's summary.
        table: String,
        /// The row's id.
        row: String,
        /// Cells, with the id.
        cells: usize,
        /// Columns, with the id's.
        columns: usize,
    },
    /// A photo cannot be shown.
    #[error("photo `{file}` cannot be put into the document: {why}")]
    Photo {
        /// Its name in the record.
        file: String,
        /// Why.
        why: String,
    },
    /// A part of the PDF could not be made.
    #[error("the PDF could not be made: {0}")]
    Pdf(String),
    /// The place written to said no.
    #[error("the document could not be written: {0}")]
    Io(#[from] std::io::Error),
}

/// Makes the blocks of a document from its template.
///
/// # Errors
/// When a template is wrong, names a block or note that is not there, or a table lacks cells.
pub fn document(job: &Job) -> Result<Document, RenderError> {
    let markdown = template::fill(job.template, job.templates, &job.context)?;
    let blocks = blocks::read(&markdown, job.template, job.parts)?;
    check_tables(&blocks)?;
    Ok(characters::clean(blocks, job.meta.clone()))
}

fn check_tables(blocks: &[Block]) -> Result<(), RenderError> {
    for block in blocks {
        let Block::Schedule(table) = block else { continue };
        for row in &table.rows {
            let (cells, columns) = (row.cells.len() + 1, table.columns.len());
            if cells != columns && !fills_every_column(row, columns) {
                let (table, row) = (table.summary.clone(), row.id.clone());
                return Err(RenderError::Cells { table, row, cells, columns });
            }
        }
    }
    Ok(())
}

/// The width of a column in millimetres, brought to one that a page can have.
pub fn column_width(column: &Column) -> f64 {
    if column.mm.is_nan() { 20.0 } else { column.mm.clamp(1.0, 176.0) }
}

/// Whether a row has no id and a cell for every column, the first too: rows of a table whose items have no ids, such
/// as documents.
pub fn fills_every_column(row: &Row, columns: usize) -> bool {
    row.id.is_empty() && columns > 0 && row.cells.len() == columns
}

/// Writes a document.
///
/// # Errors
/// When a photo cannot be had, or the place written to says no.
pub fn write(doc: &Document, job: &Job, output: Output, out: &mut dyn Write) -> Result<(), RenderError> {
    match output {
        Output::Markdown => markdown::write(doc, out),
        Output::Html => html::write(doc, job, out),
        Output::Pdf => pdf::write(doc, job, out),
    }
}
