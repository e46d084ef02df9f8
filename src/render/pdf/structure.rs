//! The structure tree, links and outline as PDF objects.

use crate::base::doc::Target;
use crate::render::RenderError;
use crate::render::markdown::percent;
use crate::render::pdf::flow::Placed;
use crate::render::pdf::metadata::text_string;
use crate::render::pdf::piece::Area;
use crate::render::pdf::sheet::SHEET_HEIGHT;
use crate::render::pdf::tree::Kid;
use crate::render::pdf::tree::NodeId;
use crate::render::pdf::tree::Tree;
use lopdf::Dictionary;
use lopdf::Document;
use lopdf::Object;
use lopdf::ObjectId;
use lopdf::dictionary;
use std::collections::BTreeMap;

/// The pages and numbers under which the marks of each slot stand.
pub type Slots = Vec<Vec<(usize, i64)>>;

/// The annotations of each Link element, with page and key in the parent tree.
type Links = BTreeMap<NodeId, Vec<(ObjectId, usize, usize)>>;

/// Writes structure, links and outline into a document whose pages are there.
pub struct Builder<'a> {
    /// The document.
    pub pdf: &'a mut Document,
    /// Its pages in order.
    pub pages: Vec<ObjectId>,
    /// The structure.
    pub tree: &'a Tree,
    /// Where each slot stands.
    pub slots: &'a Slots,
    /// What stands where.
    pub placed: &'a Placed<'a>,
}

/// A number to a hundredth, as PDF has it.
fn real(value: f64) -> Object {
    Object::Real(((value * 100.0).round() / 100.0) as f32)
}

impl Builder<'_> {
    /// Writes all; returns the structure tree's root and the outline's, if there is one.
    ///
    /// # Errors
    /// When a page of the document is not what it should be.
    pub fn build(&mut self) -> Result<(ObjectId, Option<ObjectId>), RenderError> {
        let ids: Vec<ObjectId> = self.tree.nodes.iter().map(|_| self.pdf.new_object_id()).collect();
        let links = self.links(&ids)?;
        let root = self.pdf.new_object_id();
        let filled = self.filled(&links);
        self.element(0, root, &ids, &links, &filled);
        let parents = self.parent_tree(&ids, &links);
        let next = self.pages.len() + links.values().map(Vec::len).sum::<usize>();
        let tree = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => Object::Reference(ids[0]),
            "ParentTree" => Object::Reference(parents),
            "ParentTreeNextKey" => next as i64,
        };
        self.pdf.set_object(root, tree);
        Ok((root, self.outline()))
    }

    /// Whether an element, or one below it, has anything to say; cells count even when they are empty.
    fn filled(&self, links: &Links) -> Vec<bool> {
        let mut filled = vec![false; self.tree.nodes.len()];
        // Children always come after their parents.
        for (id, node) in self.tree.nodes.iter().enumerate().rev() {
            let has_kid = node.kids.iter().any(|kid| match kid {
                Kid::Node(child) => filled.get(*child).copied().unwrap_or(false),
                Kid::Slot(slot) => self.slots.get(*slot).is_some_and(|marks| !marks.is_empty()),
            });
            filled[id] = has_kid || links.contains_key(&id) || matches!(node.tag, "TD" | "TH" | "TR" | "LBody");
        }
        filled
    }

    fn element(&mut self, id: NodeId, parent: ObjectId, ids: &[ObjectId], links: &Links, filled: &[bool]) {
        let tree = self.tree;
        let node = &tree.nodes[id];
        let mut page = None;
        let mut kids = Vec::new();
        for kid in &node.kids {
            match kid {
                Kid::Node(child) if filled[*child] => {
                    self.element(*child, ids[id], ids, links, filled);
                    kids.push(Object::Reference(ids[*child]));
                }
                Kid::Node(_) => {}
                Kid::Slot(slot) => {
                    for (on, number) in self.slots.get(*slot).into_iter().flatten() {
                        kids.push(self.content(*on, *number, &mut page));
                    }
                }
            }
        }
        for (annotation, on, _) in links.get(&id).into_iter().flatten() {
            let reference = dictionary! {
                "Type" => "OBJR",
                "Obj" => Object::Reference(*annotation),
                "Pg" => Object::Reference(self.pages[*on]),
            };
            kids.push(Object::Dictionary(reference));
        }
        let mut element = dictionary! {
            "Type" => "StructElem",
            "S" => node.tag,
            "P" => Object::Reference(parent),
            "K" => Object::Array(kids),
        };
        if let Some(page) = page {
            element.set("Pg", Object::Reference(self.pages[page]));
        }
        if let Some(alt) = &node.alt {
            element.set("Alt", text_string(alt));
        }
        if let Some(attributes) = self.attributes(id) {
            element.set("A", attributes);
        }
        self.pdf.set_object(ids[id], element);
    }

    fn content(&self, on: usize, number: i64, page: &mut Option<usize>) -> Object {
        if *page.get_or_insert(on) == on {
            return Object::Integer(number);
        }
        Object::Dictionary(dictionary! {
            "Type" => "MCR",
            "Pg" => Object::Reference(self.pages[on]),
            "MCID" => number,
        })
    }

    fn attributes(&self, id: NodeId) -> Option<Object> {
        let node = &self.tree.nodes[id];
        let mut table = Dictionary::new();
        if let Some(scope) = node.scope {
            table.set("Scope", scope);
        }
        if let Some(span) = node.span {
            table.set("ColSpan", span as i64);
        }
        if let Some(summary) = &node.summary {
            table.set("Summary", text_string(summary));
        }
        if !table.is_empty() {
            table.set("O", "Table");
            return Some(Object::Dictionary(table));
        }
        if let Some(numbering) = node.numbering {
            return Some(Object::Dictionary(dictionary! { "O" => "List", "ListNumbering" => numbering }));
        }
        let (_, extent) = self.placed.extents.iter().find(|(_, e)| e.node == id)?;
        let (left, top) = (extent.x, SHEET_HEIGHT - extent.y);
        let corners = [left, top - extent.height, left + extent.width, top].map(real);
        Some(Object::Dictionary(dictionary! {
            "O" => "Layout",
            "Placement" => "Block",
            "BBox" => Object::Array(corners.to_vec()),
        }))
    }

    /// Makes the links of all pages: by their element, each with its page and its key in the parent tree.
    fn links(&mut self, ids: &[ObjectId]) -> Result<Links, RenderError> {
        let mut links = Links::new();
        let mut key = self.pages.len();
        let placed = self.placed;
        for (number, page) in placed.pages.iter().enumerate() {
            let mut annotations = Vec::new();
            for area in &page.areas {
                if ids.get(area.node).is_none() {
                    continue;
                }
                let annotation = self.annotation(area, number, key);
                let id = self.pdf.add_object(annotation);
                annotations.push(Object::Reference(id));
                links.entry(area.node).or_default().push((id, number, key));
                key += 1;
            }
            self.dress_page(number, annotations)?;
        }
        Ok(links)
    }

    fn dress_page(&mut self, number: usize, annotations: Vec<Object>) -> Result<(), RenderError> {
        let id = self.pages[number];
        let page = self.pdf.get_dictionary_mut(id).map_err(|e| RenderError::Pdf(e.to_string()))?;
        page.set("StructParents", number as i64);
        page.set("Tabs", "S");
        page.remove(b"Annots");
        if !annotations.is_empty() {
            page.set("Annots", Object::Array(annotations));
        }
        Ok(())
    }

    fn annotation(&self, area: &Area, page: usize, key: usize) -> Dictionary {
        let top = SHEET_HEIGHT - area.y;
        let corners = [area.x, top - area.height, area.x + area.width, top].map(real);
        let mut annotation = dictionary! {
            "Type" => "Annot",
            "Subtype" => "Link",
            "Rect" => Object::Array(corners.to_vec()),
            "Border" => Object::Array(vec![0.into(), 0.into(), 0.into()]),
            "F" => 4,
            "P" => Object::Reference(self.pages[page]),
            "StructParent" => key as i64,
        };
        let (contents, action) = match &area.to {
            Target::Here(anchor) => {
                let (page, y) = self.placed.anchors.get(anchor).copied().unwrap_or((page, area.y));
                let place = dictionary! { "S" => "GoTo", "D" => self.destination(page, y) };
                (format!("{}, page {}", area.words, page + 1), place)
            }
            Target::Outside(address) => {
                let address = percent(address);
                let uri = Object::string_literal(address.as_bytes().to_vec());
                (format!("{}, {address}", area.words), dictionary! { "S" => "URI", "URI" => uri })
            }
        };
        annotation.set("Contents", text_string(&contents));
        annotation.set("A", Object::Dictionary(action));
        annotation
    }

    fn destination(&self, page: usize, y: f64) -> Object {
        let page = Object::Reference(self.pages[page.min(self.pages.len() - 1)]);
        Object::Array(vec![page, "XYZ".into(), Object::Null, real(SHEET_HEIGHT - y + 4.0), Object::Null])
    }

    fn parent_tree(&mut self, ids: &[ObjectId], links: &Links) -> ObjectId {
        let mut pages: Vec<BTreeMap<i64, ObjectId>> = vec![BTreeMap::new(); self.pages.len()];
        for (id, node) in self.tree.nodes.iter().enumerate() {
            for kid in &node.kids {
                let Kid::Slot(slot) = kid else { continue };
                for (page, number) in self.slots.get(*slot).into_iter().flatten() {
                    pages[*page].insert(*number, ids[id]);
                }
            }
        }
        let mut numbers = Vec::new();
        for (number, page) in pages.into_iter().enumerate() {
            let parents = page.into_values().map(Object::Reference).collect();
            numbers.extend([Object::Integer(number as i64), Object::Array(parents)]);
        }
        let mut keys: Vec<(usize, ObjectId)> = Vec::new();
        for (node, annotations) in links {
            keys.extend(annotations.iter().map(|(_, _, key)| (*key, ids[*node])));
        }
        keys.sort_unstable();
        for (key, element) in keys {
            numbers.extend([Object::Integer(key as i64), Object::Reference(element)]);
        }
        self.pdf.add_object(dictionary! { "Nums" => Object::Array(numbers) })
    }

    /// The outline; its entries stand in the order of the pages, each under the nearest one of a higher level.
    fn outline(&mut self) -> Option<ObjectId> {
        let placed = self.placed;
        if placed.entries.is_empty() {
            return None;
        }
        let root = self.pdf.new_object_id();
        let ids: Vec<ObjectId> = placed.entries.iter().map(|_| self.pdf.new_object_id()).collect();
        // The title does not hold the rest: a reader wants to see the sections at once.
        let level = |i: usize| placed.entries[i].1.level.max(2);
        let mut parents: Vec<Option<usize>> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        for i in 0..ids.len() {
            while open.last().is_some_and(|last| level(*last) >= level(i)) {
                open.pop();
            }
            parents.push(open.last().copied());
            open.push(i);
        }
        let mut kids: Kids = BTreeMap::new();
        for (i, parent) in parents.iter().enumerate() {
            kids.entry(*parent).or_default().push(i);
        }
        for (parent, children) in &kids {
            for (place, i) in children.iter().enumerate() {
                let (page, entry) = &placed.entries[*i];
                let mut item = dictionary! {
                    "Title" => text_string(&entry.text),
                    "Parent" => Object::Reference(parent.map_or(root, |p| ids[p])),
                    "Dest" => self.destination(*page, entry.y),
                };
                let neighbours = [("Prev", place.checked_sub(1)), ("Next", place.checked_add(1))];
                for (key, neighbour) in neighbours {
                    if let Some(j) = neighbour.and_then(|n| children.get(n)) {
                        item.set(key, Object::Reference(ids[*j]));
                    }
                }
                // Closed: a negative count.
                hold(&mut item, kids.get(&Some(*i)), &ids, -1);
                self.pdf.set_object(ids[*i], item);
            }
        }
        let mut dictionary = dictionary! { "Type" => "Outlines" };
        hold(&mut dictionary, kids.get(&None), &ids, 1);
        self.pdf.set_object(root, dictionary);
        Some(root)
    }
}

/// The entries of the outline under each entry, and under none.
type Kids = BTreeMap<Option<usize>, Vec<usize>>;

/// Says which entries an entry holds.
fn hold(holder: &mut Dictionary, kids: Option<&Vec<usize>>, ids: &[ObjectId], sign: i64) {
    let Some(kids) = kids else { return };
    if let (Some(first), Some(last)) = (kids.first(), kids.last()) {
        holder.set("First", Object::Reference(ids[*first]));
        holder.set("Last", Object::Reference(ids[*last]));
        holder.set("Count", sign * kids.len() as i64);
    }
}
