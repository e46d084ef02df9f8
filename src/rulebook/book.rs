//! A rulebook: which document answers which keys, in which revision, under which digest.

use sha2::{Digest, Sha256};

use crate::base::citation::{Citation, Seen, Standing};
use crate::rulebook::data;
use crate::rulebook::entry::{CellId, ClauseList, Compare, Condition, Entry, InsteadOf, Outcome, Row};
use crate::rulebook::fact::Facts;
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::{Fields, texts_of};
use crate::rulebook::key;
use crate::rulebook::node;
use crate::rulebook::overlay::Overlay;
use crate::rulebook::parse::{Document, parse_document};
use crate::rulebook::witness;

/// Guidance that a job is held against.
#[derive(Clone, Debug)]
pub struct Rulebook {
    id: String,
    title: String,
    revision: u32,
    documents: Vec<DocumentInfo>,
    pub(super) entries: Vec<Entry>,
    lists: Vec<ClauseList>,
    pub(super) overlays: Vec<Overlay>,
}

/// One document of a rulebook, for the basis page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocumentInfo {
    /// Short name: `AD H`.
    pub short: String,
    /// Full title.
    pub title: String,
    /// Edition.
    pub edition: String,
    /// What the document is.
    pub standing: Standing,
    /// The keys it answers, by their beginnings.
    pub prefixes: Vec<String>,
    /// How many cells it holds in this rulebook.
    pub values: usize,
    /// How many of them rest on memory.
    pub recalled: usize,
}

/// One cell as it can be listed and tested.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Its name.
    pub id: CellId,
    /// Its key.
    pub key: String,
    /// The id of the provision it carries.
    pub reference: Option<String>,
    /// Which way a value is held against it.
    pub compare: Compare,
    /// What must be so that it answers, each part of it.
    pub conditions: Vec<Condition>,
    /// Whether it relieves another cell, and so answers only when its condition is shown.
    pub eases: bool,
    /// What it says: `75 mm`, `not permitted`.
    pub says: String,
    /// Whether that is a value, and no fixed answer like `not permitted`.
    pub has_value: bool,
    /// Where it stands.
    pub citation: Citation,
    /// The text in which the value was read, when that is not the document itself.
    pub seen_in: Option<String>,
    /// Whether the value or a condition was recalled.
    pub recalled: bool,
    /// What other documents say, and why they do not govern.
    pub instead_of: Vec<InsteadOf>,
    /// The overlay that made it looser, if one did.
    pub relaxed_by: Option<String>,
    /// Facts for which this cell answers, at the edges of each of its ranges too.
    pub witnesses: Vec<Facts>,
}

/// The rulebooks that are built in.
pub fn names() -> &'static [&'static str] {
    data::NAMES
}

/// Loads a built-in rulebook.
///
/// # Errors
/// When no rulebook of this name is built in; the message lists those that are.
pub fn load(id: &str) -> Result<Rulebook, RulebookError> {
    let Some(source) = data::rulebook(id) else {
        let wants = format!("one of: {}", names().join(", "));
        return Err(RulebookError::new("rulebook", 0, format!("`{id}`"), wants));
    };
    let documents = data::DOCUMENTS.iter().map(|(name, limits, _)| (*name, *limits)).collect::<Vec<_>>();
    assemble(source, &documents)
}

/// The texts of a built-in rulebook by file name: its own, then the limits of each document that it takes keys from.
///
/// # Errors
/// As for [`load`].
pub fn texts(id: &str) -> Result<Vec<(String, &'static str)>, RulebookError> {
    let book = load(id)?;
    let own = data::rulebook(book.id()).unwrap_or_default();
    let root = node::read("rulebook", own)?;
    let fields = Fields::of("rulebook", &root, &["rulebook", "title", "revision", "answers"])?;
    let mut all = vec![(format!("{id}.yaml"), own)];
    for item in fields.list("answers")? {
        let named = Fields::of("rulebook", item, &["document", "keys"])?;
        let named = named.text("document")?;
        let used = data::DOCUMENTS.iter().filter(|(name, ..)| *name == named);
        all.extend(used.map(|(name, limits, _)| (format!("{name}.limits.yaml"), *limits)));
    }
    Ok(all)
}

/// Puts a rulebook together from its own text and the texts of its documents, each with the name it goes by.
///
/// # Errors
/// The first fault of any of the texts; a document that is missing; a key of the program that gives another kind.
pub fn assemble(rulebook_yaml: &str, documents: &[(&str, &str)]) -> Result<Rulebook, RulebookError> {
    let root = node::read("rulebook", rulebook_yaml)?;
    let fields = Fields::of("rulebook", &root, &["rulebook", "title", "revision", "answers"])?;
    let mut book = Rulebook {
        id: fields.text("rulebook")?.to_owned(),
        title: fields.text("title")?.to_owned(),
        revision: fields.read("revision", "a whole number", |text| text.parse().ok())?,
        documents: Vec::new(),
        entries: Vec::new(),
        lists: Vec::new(),
        overlays: Vec::new(),
    };
    let mut answers = Vec::new();
    for item in fields.list("answers")? {
        let part = Fields::of("rulebook", item, &["document", "keys"])?;
        let find = |name: &str| documents.iter().find(|(n, _)| *n == name).copied();
        let known = documents.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        let (name, limits) = part.read("document", &format!("one of: {known}"), find)?;
        let keys = texts_of("rulebook", part.need("keys")?)?.into_iter().map(|(_, key)| key.to_owned());
        answers.push((parse_document(&format!("{name}.limits.yaml"), limits)?, keys.collect::<Vec<_>>()));
    }
    for i in 0..answers.len() {
        book.take(&answers, i)?;
    }
    book.whole(&answers)?;
    Ok(book)
}

/// The length of the longest of these beginnings that a key has.
fn fit(key: &str, prefixes: &[String]) -> Option<usize> {
    let starts = |p: &&String| key == p.as_str() || key.strip_prefix(p.as_str()).is_some_and(|r| r.starts_with('.'));
    prefixes.iter().filter(starts).map(String::len).max()
}

impl Rulebook {
    /// Takes from one document the keys it answers: those whose longest fitting beginning is among its own.
    fn take(&mut self, answers: &[(Document, Vec<String>)], i: usize) -> Result<(), RulebookError> {
        let Some((document, prefixes)) = answers.get(i) else { return Ok(()) };
        let governs = |key: &str| {
            let own = fit(key, prefixes);
            own.is_some() && answers.iter().enumerate().all(|(j, (_, p))| j == i || fit(key, p) < own)
        };
        let entries: Vec<Entry> = document.entries.iter().filter(|entry| governs(&entry.key)).cloned().collect();
        for entry in &entries {
            let kind = key::ALL.iter().find(|(path, _)| *path == entry.key).map(|(_, kind)| *kind);
            if let Some(kind) = kind.filter(|kind| *kind != entry.gives) {
                let read = format!("`{}` that gives a {}", entry.key, entry.gives.word());
                return Err(RulebookError::new(&document.name, entry.line, read, format!("a {}", kind.word())));
            }
        }
        self.documents.push(DocumentInfo {
            short: document.short.clone(),
            title: document.title.clone(),
            edition: document.edition.clone(),
            standing: document.standing,
            prefixes: prefixes.clone(),
            values: 0,
            recalled: 0,
        });
        self.lists.extend(document.lists.iter().filter(|list| governs(&list.key)).cloned());
        self.entries.extend(entries);
        Ok(())
    }

    /// Checks that no two documents answer the same beginning, and that each line of a list has its limit.
    fn whole(&self, answers: &[(Document, Vec<String>)]) -> Result<(), RulebookError> {
        let mut claimed: Vec<&String> = answers.iter().flat_map(|(_, prefixes)| prefixes).collect();
        claimed.sort();
        if let Some([twice, _]) = claimed.array_windows().find(|[a, b]| a == b) {
            return Err(RulebookError::new(
                "rulebook",
                0,
                format!("`{twice}` twice"),
                "each beginning given to one document",
            ));
        }
        let orphan = self.lists.iter().flat_map(|list| &list.lines).find(|line| self.entry(&line.key).is_none());
        orphan.map_or(Ok(()), |line| {
            let read = format!("`{}`, whose limit is given to another document", line.key);
            Err(RulebookError::new("rulebook", 0, read, "a list and its lines answered by one document"))
        })
    }

    /// Its name: `england-2015`.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// Its title.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Its revision; a corrected number is a new one.
    pub fn revision(&self) -> u32 {
        self.revision
    }

    /// Its documents, in the order of the rulebook; cells that an overlay changed are no longer counted with them.
    pub fn documents(&self) -> Vec<DocumentInfo> {
        let counted = |info: &DocumentInfo| {
            let own = |row: &&Row| row.citation.document == info.short && row.citation.edition == info.edition;
            let rows = || self.entries.iter().flat_map(|entry| &entry.rows).filter(own);
            let recalled = rows().filter(|row| row.recalled()).count();
            DocumentInfo { values: rows().count(), recalled, ..info.clone() }
        };
        self.documents.iter().map(counted).collect()
    }

    /// The keys of single limits that it answers.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.key.as_str())
    }

    /// The keys of clause lists that it answers.
    pub fn list_keys(&self) -> impl Iterator<Item = &str> {
        self.lists.iter().map(|list| list.key.as_str())
    }

    /// Every cell, in the order of the documents.
    pub fn cells(&self) -> Vec<Cell> {
        let of = |entry: &Entry| entry.rows.iter().map(|row| cell(entry, row)).collect::<Vec<_>>();
        self.entries.iter().flat_map(of).collect()
    }

    /// The SHA-256 of the rulebook as it was understood, overlays included, in hexadecimal: layout, comments and the
    /// unit a value was written in do not change it.
    pub fn digest(&self) -> String {
        use std::fmt::Write as _;
        Sha256::digest(self.canonical()).iter().fold(String::with_capacity(64), |mut hex, byte| {
            // Writing to a string does not fail.
            let _ = write!(hex, "{byte:02x}");
            hex
        })
    }

    fn canonical(&self) -> String {
        let mut lines = vec![joined(&["rulebook", &self.id, &self.title, &self.revision.to_string()])];
        for d in &self.documents {
            let keys = d.prefixes.join(" ");
            lines.push(joined(&["document", &d.short, &d.title, &d.edition, d.standing.word(), &keys]));
        }
        for list in &self.lists {
            lines.extend(list.lines.iter().map(|line| joined(&["line", &list.key, &line.key, &line.text])));
        }
        // By key, so that the order of the files does not matter.
        let mut entries = self.entries.iter().collect::<Vec<_>>();
        entries.sort_by(|a, b| a.key.cmp(&b.key));
        for entry in entries {
            let (gives, compare) = (entry.gives.word(), entry.compare.word());
            lines.push(joined(&[
                "entry",
                &entry.key,
                gives,
                compare,
                &entry.otherwise.canonical(),
                &cited(&entry.citation),
            ]));
            lines.extend(entry.rows.iter().map(canonical_row));
        }
        lines.join("\n")
    }

    pub(super) fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.key == key)
    }

    pub(super) fn list(&self, key: &str) -> Option<&ClauseList> {
        self.lists.iter().find(|list| list.key == key)
    }
}

fn cell(entry: &Entry, row: &Row) -> Cell {
    Cell {
        id: row.id.clone(),
        key: entry.key.clone(),
        reference: row.reference.clone(),
        compare: entry.compare,
        conditions: row.when.told(),
        eases: row.eases,
        says: row.outcome.words(),
        has_value: matches!(row.outcome, Outcome::Is(_) | Outcome::Line { .. }),
        citation: row.citation.clone(),
        seen_in: row.seen_in.clone(),
        recalled: row.recalled(),
        instead_of: row.instead_of.clone(),
        relaxed_by: row.relaxed_by.clone(),
        witnesses: witness::witnesses(entry, row),
    }
}

fn canonical_row(row: &Row) -> String {
    let relaxed = row.relaxed_by.as_deref().unwrap_or("");
    let others = row.instead_of.iter().map(|o| format!("{} {} {} {}", o.place, o.says, o.why, o.seen.word()));
    joined(&[
        "cell",
        &row.id.0,
        &row.when.canonical(),
        &row.outcome.canonical(),
        if row.eases { "eases" } else { "" },
        &cited(&row.citation),
        row.reference.as_deref().unwrap_or(""),
        row.seen_in.as_deref().unwrap_or(""),
        relaxed,
        &others.collect::<Vec<_>>().join("; "),
    ])
}

fn cited(c: &Citation) -> String {
    let seen = |seen: Seen| seen.word();
    let (value, clause) = (seen(c.value_seen), seen(c.clause_seen));
    format!("{} / {} / {} / {} / {value} / {clause}", c.document, c.edition, c.clause, c.standing.word())
}

/// Fields of one canonical line; a separator inside a field cannot pass for one between fields.
fn joined(fields: &[&str]) -> String {
    fields
        .iter()
        .map(|f| f.replace('\\', "\\\\").replace('|', "\\p").replace('\n', "\\n"))
        .collect::<Vec<_>>()
        .join("|")
}
