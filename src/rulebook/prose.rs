//! What a document is about, in own words, and the ledger of its clauses. Loaded only when somebody asks.

use crate::base::citation::Standing;
use crate::rulebook::data;
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::{Fields, text_of, texts_of};
use crate::rulebook::node::{self, Node, Value};

/// The heads of a rule's explanation, in order.
pub const HEADS: [&str; 5] = ["What it checks", "Why", "Source", "How the value is found", "When it does not apply"];

/// The texts of a rulebook's documents.
#[derive(Clone, Debug, Default)]
pub struct Prose {
    explanations: Vec<Explanation>,
    ledger: Vec<LedgerEntry>,
    not: Vec<String>,
}

/// What a rule or a word of the trade means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Explanation {
    /// The rule's id or the word.
    pub name: String,
    /// Other forms of the word: `IL` for invert level.
    pub also: Vec<String>,
    /// Heads with their texts; a word has one text under an empty head.
    pub parts: Vec<(String, String)>,
}

/// What the program does about one clause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LedgerEntry {
    /// Short name of the document.
    pub document: String,
    /// Its edition.
    pub edition: String,
    /// What the document is.
    pub standing: Standing,
    /// The part of the document: `H1 section 2`.
    pub part: String,
    /// The clause.
    pub clause: String,
    /// What it is about, in own words.
    pub title: String,
    /// What is done about it.
    pub state: State,
    /// The ids of the provisions it covers.
    pub references: Vec<String>,
}

/// What is done about a clause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    /// Held against the record, by the rule of this id.
    Checked(String),
    /// A number is given, no verdict.
    Computed,
    /// Printed as the record has it.
    Recorded,
    /// Not this program's matter, for this reason.
    Outside(String),
    /// The program cannot do it.
    NotYet,
}

impl State {
    /// The word on the basis page.
    pub fn word(&self) -> &'static str {
        match self {
            State::Checked(_) => "checked",
            State::Computed => "computed",
            State::Recorded => "recorded",
            State::Outside(_) => "outside",
            State::NotYet => "not yet",
        }
    }
}

/// Loads the texts of a built-in rulebook's documents.
///
/// # Errors
/// When no rulebook of this name is built in.
pub fn prose(id: &str) -> Result<Prose, RulebookError> {
    if data::rulebook(id).is_none() {
        let wants = format!("one of: {}", data::NAMES.join(", "));
        return Err(RulebookError::new("rulebook", 0, format!("`{id}`"), wants));
    }
    let mut prose = Prose::default();
    for (name, _, text) in data::DOCUMENTS {
        prose.read(&format!("{name}.prose.yaml"), text)?;
    }
    Ok(prose)
}

impl Prose {
    /// Explains a rule by its id or a word of the trade, whatever the case; a plural in s is taken for its singular.
    pub fn explain(&self, word_or_rule: &str) -> Option<&Explanation> {
        let wanted = word_or_rule.trim().to_lowercase();
        let is = |e: &&Explanation, wanted: &str| {
            std::iter::once(&e.name).chain(&e.also).any(|name| name.to_lowercase() == wanted)
        };
        let singular = wanted.strip_suffix('s').unwrap_or(&wanted);
        let mut all = self.explanations.iter();
        all.clone().find(|e| is(e, &wanted)).or_else(|| all.find(|e| is(e, singular)))
    }

    /// Everything that can be explained, rules first, in the order of the documents.
    pub fn explanations(&self) -> &[Explanation] {
        &self.explanations
    }

    /// What is done about each clause, in the order of the documents.
    pub fn ledger(&self) -> &[LedgerEntry] {
        &self.ledger
    }

    /// What the program is not, a sentence each.
    pub fn what_it_is_not(&self) -> &[String] {
        &self.not
    }

    /// Adds the texts of one document.
    fn read(&mut self, name: &str, text: &str) -> Result<(), RulebookError> {
        let root = node::read(name, text)?;
        let known = ["document", "edition", "standing", "not", "rules", "words", "ledger"];
        let fields = Fields::of(name, &root, &known)?;
        for (rule, node) in pairs(&fields, "rules")? {
            let part = Fields::of(name, node, &HEADS)?;
            let parts = HEADS.iter().map(|head| Ok(((*head).to_owned(), tidy(part.text(head)?))));
            let parts = parts.collect::<Result<Vec<_>, RulebookError>>()?;
            self.explanations.push(Explanation { name: rule, also: Vec::new(), parts });
        }
        for (words, node) in pairs(&fields, "words")? {
            let mut names = words.split(',').map(|word| word.trim().to_owned());
            let name_of = names.next().unwrap_or_default();
            let parts = vec![(String::new(), tidy(text_of(name, node)?))];
            self.explanations.push(Explanation { name: name_of, also: names.collect(), parts });
        }
        if let Some(node) = fields.get("not") {
            self.not.extend(texts_of(name, node)?.into_iter().map(|(_, text)| tidy(text)));
        }
        for (part, node) in pairs(&fields, "ledger")? {
            let Value::Seq(items) = &node.value else {
                return Err(RulebookError::new(name, node.line, node.shown(), "a list of clauses"));
            };
            for item in items {
                self.ledger.push(ledger_entry(&fields, &part, item)?);
            }
        }
        Ok(())
    }
}

/// The pairs of a map; none when it is left out.
fn pairs<'n>(fields: &Fields<'n>, name: &str) -> Result<Vec<(String, &'n Node)>, RulebookError> {
    let Some(node) = fields.get(name) else { return Ok(Vec::new()) };
    match &node.value {
        Value::Map(map) => map.iter().map(|(k, v)| Ok((text_of(fields.document(), k)?.to_owned(), v))).collect(),
        Value::Text(_) | Value::Seq(_) => Err(RulebookError::new(fields.document(), node.line, node.shown(), "a map")),
    }
}

fn ledger_entry(document: &Fields<'_>, part: &str, item: &Node) -> Result<LedgerEntry, RulebookError> {
    let known = ["clause", "title", "checked", "outside", "is", "refs"];
    let fields = Fields::of(document.document(), item, &known)?;
    let text = |name: &str| fields.maybe_text(name).map(|text| text.map(str::to_owned));
    let state = match (text("checked")?, text("outside")?, fields.maybe_text("is")?) {
        (Some(rule), None, None) => State::Checked(rule),
        (None, Some(reason), None) => State::Outside(reason),
        (None, None, Some("computed")) => State::Computed,
        (None, None, Some("recorded")) => State::Recorded,
        (None, None, Some("not yet")) => State::NotYet,
        _ => {
            let wants = "one of: checked: <rule>, outside: <reason>, is: computed, recorded or not yet";
            return Err(fields.fault("a clause without its state", wants));
        }
    };
    let refs = match fields.get("refs") {
        Some(node) => texts_of(fields.document(), node)?.into_iter().map(|(_, text)| text.to_owned()).collect(),
        None => Vec::new(),
    };
    let standing =
        document.read("standing", "law, guidance, standard, maker's paper or custom", Standing::from_word)?;
    Ok(LedgerEntry {
        document: document.text("document")?.to_owned(),
        edition: document.text("edition")?.to_owned(),
        standing,
        part: part.to_owned(),
        clause: fields.text("clause")?.to_owned(),
        title: fields.text("title")?.to_owned(),
        state,
        references: refs,
    })
}

/// One line of text out of a folded block.
fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
