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
    /// A number is given, no verdict: which, and where it prints.
    Computed(String),
    /// Printed as the record has it: what, and where.
    Recorded(String),
    /// Not this program's matter, for this reason.
    Outside(String),
    /// The program cannot do it.
    NotYet,
}

/// How many clauses of one part of a document stand in each state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// The document and its part: `AD H, H1 section 2`.
    pub part: String,
    /// By state, in the order of [`STATES`].
    pub counts: [usize; 5],
}

/// The states of a clause, in the order of a [`Tally`].
pub const STATES: [&str; 5] = ["checked", "computed", "recorded", "outside", "not yet"];

impl State {
    /// The word on the basis page.
    pub fn word(&self) -> &'static str {
        match self {
            State::Checked(_) => "checked",
            State::Computed(_) => "computed",
            State::Recorded(_) => "recorded",
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

    /// How far each part of each document is dealt with, in the order of the ledger.
    pub fn tallies(&self) -> Vec<Tally> {
        let mut all: Vec<Tally> = Vec::new();
        for entry in &self.ledger {
            let part = format!("{}, {}", entry.document, entry.part);
            if all.last().is_none_or(|last| last.part != part) {
                all.push(Tally { part, counts: [0; 5] });
            }
            let slot = STATES.iter().position(|word| *word == entry.state.word());
            if let Some(count) = all.last_mut().zip(slot).and_then(|(tally, slot)| tally.counts.get_mut(slot)) {
                *count += 1;
            }
        }
        all
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
    let known = ["clause", "title", "checked", "computed", "recorded", "outside", "is", "refs"];
    let fields = Fields::of(document.document(), item, &known)?;
    let text = |name: &str| fields.maybe_text(name).map(|text| text.map(str::to_owned));
    let states = [
        text("checked")?.map(State::Checked),
        text("computed")?.map(State::Computed),
        text("recorded")?.map(State::Recorded),
        text("outside")?.map(State::Outside),
        fields.maybe_text("is")?.filter(|word| *word == State::NotYet.word()).map(|_| State::NotYet),
    ];
    let mut states = states.into_iter().flatten();
    let (Some(state), None) = (states.next(), states.next()) else {
        let wants = "one of: checked: <rule>, computed: or recorded: <what, and where it prints>, outside: <reason>, \
                     is: not yet";
        return Err(fields.fault("a clause without its state", wants));
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
