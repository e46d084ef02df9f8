//! One document's limits: text in, entries out, or the first fault with its line.

use crate::base::citation::{Citation, Seen, Standing};
use crate::rulebook::condition::When;
use crate::rulebook::conditions::condition;
use crate::rulebook::curve;
use crate::rulebook::entry::{CellId, ClauseLine, ClauseList, Compare, Entry, InsteadOf, Outcome, Row};
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::{Fields, text_of};
use crate::rulebook::node::{self, Node};
use crate::rulebook::overlap;
use crate::rulebook::quantity::Kind;
use crate::rulebook::table;

/// A document whose values are cited.
#[derive(Clone, Debug)]
pub struct Document {
    pub(super) name: String,
    pub(super) short: String,
    pub(super) title: String,
    pub(super) edition: String,
    pub(super) standing: Standing,
    pub(super) entries: Vec<Entry>,
    pub(super) lists: Vec<ClauseList>,
}

/// What an entry's cells inherit.
pub(super) struct Head {
    pub key: String,
    pub gives: Kind,
    pub compare: Compare,
    pub citation: Citation,
    pub seen: Option<Seen>,
    pub reference: Option<String>,
    pub seen_in: Option<String>,
}

/// Reads the limits of a document; `name` is how messages call the text.
///
/// # Errors
/// The first fault: its line, what was read there, and what would do.
pub fn parse_document(name: &str, limits_yaml: &str) -> Result<Document, RulebookError> {
    let root = node::read(name, limits_yaml)?;
    let fields = Fields::of(name, &root, &["document", "title", "edition", "standing", "entries"])?;
    let standing = fields.read("standing", "law, guidance, standard, maker's paper or custom", Standing::from_word)?;
    let mut document = Document {
        name: name.to_owned(),
        short: fields.text("document")?.to_owned(),
        title: fields.text("title")?.to_owned(),
        edition: fields.text("edition")?.to_owned(),
        standing,
        entries: Vec::new(),
        lists: Vec::new(),
    };
    for item in fields.list("entries")? {
        add_entry(&mut document, item)?;
    }
    Ok(document)
}

const ENTRY: [&str; 14] = [
    "key",
    "ref",
    "gives",
    "compare",
    "clause",
    "seen",
    "in",
    "is",
    "when",
    "otherwise",
    "table",
    "curve",
    "instead-of",
    "lines",
];

fn add_entry(document: &mut Document, item: &Node) -> Result<(), RulebookError> {
    let name = document.name.clone();
    let fields = Fields::of(&name, item, &ENTRY)?;
    let key = fields.read("key", "a key such as trap.seal.minimum", good_key)?;
    if fields.get("lines").is_none() {
        return push(document, entry(document, &fields, key)?);
    }
    let mut lines = Vec::new();
    for line in fields.list("lines")? {
        let mut known = ENTRY.to_vec();
        known.extend(["name", "text"]);
        let part = Fields::of(&name, line, &known)?;
        let short = part.read("name", "one word", good_key)?;
        let line_key = format!("{key}.{short}");
        let text = part.text("text")?.to_owned();
        push(document, entry(document, &part, line_key.clone())?)?;
        lines.push(ClauseLine { name: short, text, key: line_key });
    }
    document.lists.push(ClauseList { key, lines });
    Ok(())
}

fn good_key(text: &str) -> Option<String> {
    let fine = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-');
    (!text.is_empty() && text.chars().all(fine)).then(|| text.to_owned())
}

fn push(document: &mut Document, entry: Entry) -> Result<(), RulebookError> {
    if let Some(first) = document.entries.iter().find(|e| e.key == entry.key) {
        let read = format!("`{}` a second time (first on line {})", entry.key, first.line);
        return Err(RulebookError::new(&document.name, entry.line, read, "each key once in a document"));
    }
    document.entries.push(entry);
    Ok(())
}

fn entry(document: &Document, fields: &Fields<'_>, key: String) -> Result<Entry, RulebookError> {
    let gives = fields.read("gives", &Kind::all_words(), Kind::from_word)?;
    let compare = fields.read("compare", "at-least, at-most, within or one-of", Compare::from_word)?;
    if !compare.suits(gives) {
        let read = format!("`{}` for a {}", compare.word(), gives.word());
        return Err(fields.fault(read, "within for a window, one-of for words and yes-no, at-least or at-most else"));
    }
    let head = Head {
        key: key.clone(),
        gives,
        compare,
        citation: citation(document, fields)?,
        seen: fields.seen()?,
        reference: fields.maybe_text("ref")?.map(str::to_owned),
        seen_in: fields.maybe_text("in")?.map(str::to_owned),
    };
    let (rows, otherwise) = shape(fields, &head)?;
    let citation = Citation { value_seen: head.seen.unwrap_or(head.citation.value_seen), ..head.citation };
    let entry = Entry { key, gives, compare, citation, rows, otherwise, line: fields.line() };
    overlap::settle(&document.name, entry)
}

fn shape(fields: &Fields<'_>, head: &Head) -> Result<(Vec<Row>, Outcome), RulebookError> {
    match (fields.get("is"), fields.get("table"), fields.get("curve")) {
        (Some(_), None, None) => {
            let row = row(fields, head, Vec::new(), String::new())?;
            let bare = fields.get("when").is_none();
            let otherwise = if bare { Outcome::Silent } else { otherwise(fields, "otherwise", head)? };
            Ok((vec![row], otherwise))
        }
        (None, Some(node), None) => table::rows(fields.document(), node, head),
        (None, None, Some(node)) => curve::rows(fields.document(), node, head),
        _ => Err(fields.fault("none, or more than one, of `is`, `table`, `curve`", "exactly one of them")),
    }
}

/// What holds where no cell does: silent or not permitted.
pub(super) fn otherwise(fields: &Fields<'_>, name: &str, head: &Head) -> Result<Outcome, RulebookError> {
    let fixed =
        |text: &str| Outcome::read(head.gives, text).filter(|o| matches!(o, Outcome::Silent | Outcome::NotPermitted));
    let outcome = fields.read(name, "silent or not permitted", fixed)?;
    if outcome == Outcome::NotPermitted && head.seen.is_none() {
        return Err(fields.fault("`not permitted` without how it was seen", "a `seen` beside the entry's clause"));
    }
    Ok(outcome)
}

/// Reads one cell; `selects` are the tests its place in a table or curve puts on the facts.
pub(super) fn row(fields: &Fields<'_>, head: &Head, selects: Vec<When>, place: String) -> Result<Row, RulebookError> {
    let outcome = fields.read("is", &Outcome::wants(head.gives), |text| Outcome::read(head.gives, text))?;
    row_with(fields, head, outcome, selects, place)
}

/// One cell whose value was read already.
pub(super) fn row_with(
    fields: &Fields<'_>,
    head: &Head,
    outcome: Outcome,
    mut selects: Vec<When>,
    mut place: String,
) -> Result<Row, RulebookError> {
    if let Some(node) = fields.get("when") {
        let when = condition(fields.document(), node)?;
        place = format!("{place}{}when {}", if place.is_empty() { "" } else { "; " }, when.named());
        selects.push(when);
    }
    let eases = fields.maybe_text("eases")?.map(|text| text == "yes").unwrap_or_default();
    let text = |name: &str| fields.maybe_text(name).map(|text| text.map(str::to_owned));
    Ok(Row {
        id: cell_id(&head.key, &place),
        reference: text("ref")?.or_else(|| head.reference.clone()),
        when: When::All(selects),
        outcome,
        citation: row_citation(fields, head)?,
        eases,
        relaxed_by: None,
        instead_of: instead_of(fields)?,
        seen_in: text("in")?.or_else(|| head.seen_in.clone()),
        line: fields.line(),
    })
}

/// The name of a cell.
pub(super) fn cell_id(key: &str, place: &str) -> CellId {
    CellId(if place.is_empty() { key.to_owned() } else { format!("{key}[{place}]") })
}

/// The citation of a cell: its own `clause` and `seen`, or those of its entry.
fn row_citation(fields: &Fields<'_>, head: &Head) -> Result<Citation, RulebookError> {
    let mut citation = head.citation.clone();
    if let Some(node) = fields.get("clause") {
        (citation.clause, citation.clause_seen) = clause(fields.document(), node)?;
    }
    citation.value_seen = fields.seen()?.or(head.seen).ok_or_else(|| {
        fields.fault("a value without how it was seen", "`seen: read`, memory, common practice or derived")
    })?;
    Ok(citation)
}

fn citation(document: &Document, fields: &Fields<'_>) -> Result<Citation, RulebookError> {
    let wants = "`clause: {at: …, seen: …}`: a value without a citation does not load";
    let node = fields.get("clause").ok_or_else(|| fields.fault("a value without a clause", wants))?;
    let (clause, clause_seen) = clause(fields.document(), node)?;
    Ok(Citation {
        document: document.short.clone(),
        edition: document.edition.clone(),
        clause,
        standing: document.standing,
        value_seen: clause_seen,
        clause_seen,
    })
}

fn clause(document: &str, node: &Node) -> Result<(String, Seen), RulebookError> {
    let fields = Fields::of(document, node, &["at", "seen"])?;
    let seen =
        fields.seen()?.ok_or_else(|| fields.fault("a clause without how it was seen", "a `seen` beside `at`"))?;
    Ok((fields.text("at")?.to_owned(), seen))
}

fn instead_of(fields: &Fields<'_>) -> Result<Vec<InsteadOf>, RulebookError> {
    if fields.get("instead-of").is_none() {
        return Ok(Vec::new());
    }
    fields.list("instead-of")?.iter().map(|item| other_value(fields.document(), item)).collect()
}

fn other_value(document: &str, item: &Node) -> Result<InsteadOf, RulebookError> {
    let fields = Fields::of(document, item, &["place", "says", "why", "seen"])?;
    let seen = fields.seen()?.ok_or_else(|| fields.fault("no `seen`", "how the other value was seen"))?;
    let text = |name: &str| text_of(document, fields.need(name)?).map(str::to_owned);
    Ok(InsteadOf { place: text("place")?, says: text("says")?, why: text("why")?, seen })
}
