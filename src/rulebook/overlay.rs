//! Overlays: single cells that a firm or a body changes, each with who asked, when, and on what evidence.

use crate::base::citation::{Seen, Standing};
use crate::rulebook::book::Rulebook;
use crate::rulebook::entry::{CellId, Entry, Outcome, Row};
use crate::rulebook::fault::RulebookError;
use crate::rulebook::fields::Fields;
use crate::rulebook::node::{self, Node};
use crate::rulebook::overlap;

/// An overlay as it was applied.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlay {
    /// What it calls itself.
    pub name: String,
    /// What it is: a maker's paper, custom, or the body's own guidance.
    pub standing: Standing,
    /// What it changed.
    pub changes: Vec<Change>,
}

/// One changed cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Which cell.
    pub cell: CellId,
    /// What it said before.
    pub was: String,
    /// What it says now.
    pub is: String,
    /// Who asked for it.
    pub asked_by: String,
    /// When, as written: `2026-01-10`.
    pub date: String,
    /// On what evidence.
    pub evidence: String,
    /// Whether it lets anything pass that did not pass before.
    pub looser: bool,
}

impl Rulebook {
    /// Lays an overlay on top; all of it or, when it has a fault, nothing.
    ///
    /// # Errors
    /// A cell that is not there, or whose `was` is not what lies beneath; a change without who, when and evidence.
    pub fn with_overlay(&mut self, yaml_text: &str, name: &str) -> Result<(), RulebookError> {
        let root = node::read(name, yaml_text)?;
        let fields = Fields::of(name, &root, &["overlay", "standing", "changes"])?;
        let standing = match fields.get("standing") {
            Some(_) => {
                let wants = "law, guidance, standard, maker's paper or custom";
                fields.read("standing", wants, Standing::from_word)?
            }
            None => Standing::Custom,
        };
        let mut overlay = Overlay { name: fields.text("overlay")?.to_owned(), standing, changes: Vec::new() };
        let mut entries = self.entries.clone();
        for item in fields.list("changes")? {
            let change = change(name, item, &mut entries, &overlay)?;
            overlay.changes.push(change);
        }
        // A relieving cell that became the stricter one would make a fact left unsaid the easier way.
        entries.iter().try_for_each(|entry| overlap::check_relief(name, entry))?;
        self.entries = entries;
        self.overlays.push(overlay);
        Ok(())
    }

    /// The overlays that lie on top, the lowest first.
    pub fn overlays(&self) -> &[Overlay] {
        &self.overlays
    }

    /// The changes that made a limit looser, with the overlay's name.
    pub fn relaxed(&self) -> Vec<(&str, &Change)> {
        let mut all = Vec::new();
        for overlay in &self.overlays {
            all.extend(overlay.changes.iter().filter(|c| c.looser).map(|change| (overlay.name.as_str(), change)));
        }
        all
    }
}

fn change(name: &str, item: &Node, entries: &mut [Entry], overlay: &Overlay) -> Result<Change, RulebookError> {
    let fields = Fields::of(name, item, &["key", "cell", "was", "is", "asked-by", "date", "evidence"])?;
    let key = fields.text("key")?;
    let known = entries.iter().map(|entry| entry.key.clone()).collect::<Vec<_>>().join(", ");
    let entry = entries.iter_mut().find(|entry| entry.key == key);
    let entry = entry.ok_or_else(|| fields.fault(format!("`{key}`"), format!("one of: {known}")))?;
    let (gives, compare) = (entry.gives, entry.compare);
    let read = |field: &str| fields.read(field, &Outcome::wants(gives), |text| Outcome::read(gives, text));
    let (was, is) = (read("was")?, read("is")?);
    let row = cell(&fields, entry)?;
    if row.outcome != was {
        let wants = format!("`was: {}`, which is what lies beneath", row.outcome.words());
        return Err(fields.fault(format!("`was: {}` for {}", was.words(), row.id), wants));
    }
    let change = Change {
        cell: row.id.clone(),
        was: was.words(),
        is: is.words(),
        asked_by: fields.text("asked-by")?.to_owned(),
        date: fields.read("date", "a date such as 2026-01-31", good_date)?,
        evidence: fields.text("evidence")?.to_owned(),
        looser: was.loosened_by(&is, compare),
    };
    lay(row, is, &change, overlay);
    Ok(change)
}

fn cell<'e>(fields: &Fields<'_>, entry: &'e mut Entry) -> Result<&'e mut Row, RulebookError> {
    let inside = |row: &Row| row.id.0.strip_prefix(&entry.key).unwrap_or_default().trim_matches(['[', ']']).to_owned();
    let places: Vec<String> = entry.rows.iter().map(inside).collect();
    let wanted = fields.maybe_text("cell")?.unwrap_or_default();
    let index = places.iter().position(|place| place == wanted);
    index
        .and_then(|i| entry.rows.get_mut(i))
        .ok_or_else(|| fields.fault(format!("`cell: {wanted}`"), format!("one of: {}", places.join("  ·  "))))
}

/// Puts the new value in place, cited to the overlay and naming what it replaces.
fn lay(row: &mut Row, is: Outcome, change: &Change, overlay: &Overlay) {
    let beneath = row.citation.short();
    row.outcome = is;
    row.relaxed_by = if change.looser { Some(overlay.name.clone()) } else { row.relaxed_by.take() };
    row.citation.document.clone_from(&overlay.name);
    row.citation.edition.clone_from(&change.date);
    row.citation.clause = format!("{}, in place of {beneath}", change.evidence);
    row.citation.standing = overlay.standing;
    row.citation.value_seen = Seen::Read;
    row.citation.clause_seen = Seen::Read;
}

/// A date of the form 2026-01-31; only its form is looked at.
fn good_date(text: &str) -> Option<String> {
    let fine = |(i, c): (usize, char)| if i == 4 || i == 7 { c == '-' } else { c.is_ascii_digit() };
    (text.chars().count() == 10 && text.chars().enumerate().all(fine)).then(|| text.to_owned())
}
