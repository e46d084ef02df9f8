//! The job as written.
//!
//! 1. [`node`] turns YAML into a tree with places, and [`syntax`] says why it cannot; [`value`], [`quantity`], [`fall`], [`gauge`] and [`words`] read scalars,
//!    [`along`] values at places along a pipe.
//! 2. [`item`] holds the one table per kind; [`about`], [`pipework`], [`protection`], [`chamber`] and [`evidence`] are those tables.
//! 3. [`sections`] is the record; [`links`] holds ids against one another; [`facts`] answers plain questions of an item.
//! 4. [`schema`] and [`guide`] describe the format from the same tables; [`start`] writes a first record from them.
//! 5. [`edit`] adds items to a record's text.
//!
//! It says whether a thing can be read, never whether it is allowed.

pub mod about;
pub mod along;
pub mod chamber;
pub mod edit;
pub mod evidence;
pub mod facts;
pub mod fall;
pub mod fault;
pub mod gauge;
pub mod ground;
pub mod guide;
pub mod item;
pub mod links;
pub mod node;
pub mod pipework;
pub mod protection;
pub mod quantity;
pub mod schema;
pub mod sections;
pub mod start;
pub mod syntax;
pub mod value;
pub mod words;

use crate::base::span::SourceText;
use fault::Fault;
use sections::Record;

/// What reading gives: the record as far as it could be read, and every fault.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The text.
    pub source: SourceText,
    /// The record.
    pub record: Record,
    /// The faults, in the order of the text; at most [`value::MOST_FAULTS`] of them.
    pub faults: Vec<Fault>,
    /// How many further faults there are, which were not kept.
    pub further: usize,
    /// Whether the text was YAML at all; if not, the one fault says why.
    pub whole: bool,
}

/// Reads a record. It cannot fail: what is wrong comes back as faults.
pub fn read(name: &str, text: &str) -> Reading {
    let source = SourceText::new(name, text);
    let mut cx = value::Cx::new(&source);
    let root = match node::parse(&source) {
        Ok(root) => root,
        Err(fault) => {
            return Reading { record: Record::default(), faults: vec![*fault], further: 0, whole: false, source };
        }
    };
    let record = sections::read(&root, &mut cx);
    links::check(&record, &mut cx);
    let further = cx.found - cx.faults.len();
    let mut faults = cx.faults;
    faults.sort_by(|a, b| a.span.start.cmp(&b.span.start).then_with(|| a.kind.cmp(b.kind)));
    Reading { record, faults, further, whole: true, source }
}

/// Reads a record from bytes that may not be text.
pub fn read_bytes(name: &str, bytes: &[u8]) -> Reading {
    match std::str::from_utf8(bytes) {
        Ok(text) => read(name, text),
        Err(error) => {
            let good = error.valid_up_to();
            let text = String::from_utf8_lossy(bytes).into_owned();
            let what = format!("byte {} is not UTF-8 text", good + 1);
            let fault = Fault::at(crate::base::span::Span::new(good, 1), "not readable as text", what)
                .help("save the file as UTF-8; most editors have it under \u{201c}save as\u{201d}");
            Reading {
                source: SourceText::new(name, text),
                record: Record::default(),
                faults: vec![fault],
                further: 0,
                whole: false,
            }
        }
    }
}
