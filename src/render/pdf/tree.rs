//! The structure of the document: which element each placed mark belongs to.
//!
//! A *slot* is one place in an element's order of reading; while pages are written, each slot learns under which
//! numbers its marks stand.

/// An element's place in the tree.
pub type NodeId = usize;
/// A place for content within an element.
pub type Slot = usize;

/// A child of an element.
#[derive(Clone, Copy, Debug)]
pub enum Kid {
    /// Another element.
    Node(NodeId),
    /// Content.
    Slot(Slot),
}

/// A structure element.
#[derive(Clone, Debug, Default)]
pub struct Node {
    /// Its standard type, such as `P`.
    pub tag: &'static str,
    /// Its children in reading order.
    pub kids: Vec<Kid>,
    /// What is said in its place.
    pub alt: Option<String>,
    /// Of a heading cell: `Row` or `Column`.
    pub scope: Option<&'static str>,
    /// Of a cell: how many columns it takes.
    pub span: Option<usize>,
    /// Of a table: its summary.
    pub summary: Option<String>,
    /// Of a list: how its items are marked.
    pub numbering: Option<&'static str>,
}

/// The whole tree; node 0 is the document.
#[derive(Debug)]
pub struct Tree {
    /// The elements.
    pub nodes: Vec<Node>,
    /// How many slots there are.
    pub slots: usize,
}

impl Tree {
    /// A tree with only its root.
    pub fn new() -> Self {
        Tree { nodes: vec![Node { tag: "Document", ..Node::default() }], slots: 0 }
    }

    /// Adds an element as the last child of `parent`.
    pub fn child(&mut self, parent: NodeId, tag: &'static str) -> NodeId {
        let id = self.nodes.len();
        self.nodes.push(Node { tag, ..Node::default() });
        self.add(parent, Kid::Node(id));
        id
    }

    /// Adds a place for content as the last child of `parent`.
    pub fn slot(&mut self, parent: NodeId) -> Slot {
        let slot = self.slots;
        self.slots += 1;
        self.add(parent, Kid::Slot(slot));
        slot
    }

    /// Changes an element.
    pub fn edit(&mut self, id: NodeId, change: impl FnOnce(&mut Node)) {
        if let Some(node) = self.nodes.get_mut(id) {
            change(node);
        }
    }

    fn add(&mut self, parent: NodeId, kid: Kid) {
        self.edit(parent, |node| node.kids.push(kid));
    }
}
