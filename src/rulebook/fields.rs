//! Reading a map's fields, with every fault saying where, what was read, and what would do.

use crate::base::citation::Seen;
use crate::rulebook::fault::RulebookError;
use crate::rulebook::node::{Node, Value};

/// The fields of one map.
pub(super) struct Fields<'n> {
    document: &'n str,
    line: usize,
    pairs: Vec<(&'n str, &'n Node)>,
}

impl<'n> Fields<'n> {
    /// Takes a map whose keys are all among `known`.
    pub fn of(document: &'n str, node: &'n Node, known: &[&str]) -> Result<Self, RulebookError> {
        let Value::Map(map) = &node.value else {
            let wants = format!("a map with some of: {}", known.join(", "));
            return Err(RulebookError::new(document, node.line, node.shown(), wants));
        };
        let mut pairs = Vec::with_capacity(map.len());
        for (key, value) in map {
            let name = key.text().filter(|name| known.contains(name));
            let name = name.ok_or_else(|| {
                RulebookError::new(document, key.line, key.shown(), format!("one of: {}", known.join(", ")))
            })?;
            pairs.push((name, value));
        }
        Ok(Self { document, line: node.line, pairs })
    }

    /// The line the map starts on.
    pub fn line(&self) -> usize {
        self.line
    }

    /// The document's name, for messages.
    pub fn document(&self) -> &'n str {
        self.document
    }

    /// A field, if it is there.
    pub fn get(&self, name: &str) -> Option<&'n Node> {
        self.pairs.iter().find(|(key, _)| *key == name).map(|(_, node)| *node)
    }

    /// A field that must be there.
    pub fn need(&self, name: &str) -> Result<&'n Node, RulebookError> {
        self.get(name).ok_or_else(|| self.fault(format!("no `{name}`"), format!("a `{name}`")))
    }

    /// A text that must be there and not be empty.
    pub fn text(&self, name: &str) -> Result<&'n str, RulebookError> {
        text_of(self.document, self.need(name)?)
    }

    /// A text that may be left out.
    pub fn maybe_text(&self, name: &str) -> Result<Option<&'n str>, RulebookError> {
        self.get(name).map(|node| text_of(self.document, node)).transpose()
    }

    /// A field read by a function; its refusal becomes an error that says what would do.
    pub fn read<T>(&self, name: &str, wants: &str, read: impl FnOnce(&str) -> Option<T>) -> Result<T, RulebookError> {
        let node = self.need(name)?;
        let text = text_of(self.document, node)?;
        read(text).ok_or_else(|| RulebookError::new(self.document, node.line, format!("`{text}`"), wants))
    }

    /// How something was seen, if said.
    pub fn seen(&self) -> Result<Option<Seen>, RulebookError> {
        let wants = "read, memory, common practice or derived";
        self.get("seen").map(|_| self.read("seen", wants, Seen::from_word)).transpose()
    }

    /// The items of a list that must be there.
    pub fn list(&self, name: &str) -> Result<&'n [Node], RulebookError> {
        let node = self.need(name)?;
        match &node.value {
            Value::Seq(items) => Ok(items),
            Value::Text(_) | Value::Map(_) => Err(RulebookError::new(self.document, node.line, node.shown(), "a list")),
        }
    }

    /// An error at this map.
    pub fn fault(&self, read: impl Into<String>, wants: impl Into<String>) -> RulebookError {
        RulebookError::new(self.document, self.line, read, wants)
    }
}

/// A node's text, which may not be empty.
pub(super) fn text_of<'n>(document: &str, node: &'n Node) -> Result<&'n str, RulebookError> {
    node.text()
        .filter(|text| !text.trim().is_empty())
        .ok_or_else(|| RulebookError::new(document, node.line, format!("`{}`", node.shown()), "a text"))
}

/// One text or a list of texts.
pub(super) fn texts_of<'n>(document: &str, node: &'n Node) -> Result<Vec<(usize, &'n str)>, RulebookError> {
    match &node.value {
        Value::Seq(items) => items.iter().map(|item| Ok((item.line, text_of(document, item)?))).collect(),
        Value::Text(_) | Value::Map(_) => Ok(vec![(node.line, text_of(document, node)?)]),
    }
}
