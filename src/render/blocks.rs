//! Markdown into blocks: the only room that knows pulldown-cmark.
//!
//! A fence ```` ```block NAME ```` is replaced by the pack's blocks of that name. Raw HTML is printed as the text it
//! is, and links lead only to http, https, mailto, tel, or an anchor of the document.

use crate::base::doc::Align;
use crate::base::doc::Block;
use crate::base::doc::Column;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Parts;
use crate::base::doc::Row;
use crate::base::doc::Run;
use crate::base::doc::Schedule;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::base::doc::words;
use crate::render::RenderError;
use pulldown_cmark::Alignment;
use pulldown_cmark::CodeBlockKind;
use pulldown_cmark::Event;
use pulldown_cmark::Options;
use pulldown_cmark::Parser;
use pulldown_cmark::Tag;
use pulldown_cmark::TagEnd;

/// How deep Markdown may nest; more than any page needs, and far below what a stack bears.
const DEEPEST: usize = 32;

/// Reads the Markdown that `template` made.
///
/// # Errors
/// When it nests deeper than 32, or names a block or note that the pack does not have.
pub fn read(markdown: &str, template: &str, parts: &Parts) -> Result<Vec<Block>, RenderError> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_HEADING_ATTRIBUTES;
    let mut reader = Reader::new(parts, template, markdown);
    for (event, range) in Parser::new_ext(markdown, options).into_offset_iter() {
        reader.event(event, range.start)?;
    }
    reader.end_line();
    let mut blocks = reader.blocks;
    number_sections(&mut blocks);
    Ok(blocks)
}

/// Sections count from 2, since the first page is section 1; or on from the steps of a first page that has some.
fn number_sections(blocks: &mut [Block]) {
    let steps = blocks.iter().filter(|b| matches!(b, Block::Step(_))).count();
    let mut next = 2.max(steps + 1);
    for block in blocks {
        if let Block::Heading(heading) = block
            && heading.level == 2
            && heading.number.is_none()
        {
            heading.number = Some(next.to_string());
            next += 1;
        }
    }
}

struct Reader<'a> {
    parts: &'a Parts,
    template: &'a str,
    markdown: &'a str,
    blocks: Vec<Block>,
    line: Line,
    bold: usize,
    italic: usize,
    link: Option<Target>,
    items: Vec<Line>,
    lists: usize,
    heading: Option<Heading>,
    fence: Option<String>,
    table: Option<Table>,
    depth: usize,
}

#[derive(Default)]
struct Table {
    align: Vec<Align>,
    head: Vec<Line>,
    rows: Vec<Vec<Line>>,
    cells: Vec<Line>,
}

impl<'a> Reader<'a> {
    fn new(parts: &'a Parts, template: &'a str, markdown: &'a str) -> Self {
        Reader {
            parts,
            template,
            markdown,
            blocks: Vec::new(),
            line: Line::new(),
            bold: 0,
            italic: 0,
            link: None,
            items: Vec::new(),
            lists: 0,
            heading: None,
            fence: None,
            table: None,
            depth: 0,
        }
    }

    fn fault(&self, at: usize, what: String) -> RenderError {
        let before = self.markdown.as_bytes().iter().take(at).filter(|b| **b == b'\n').count();
        RenderError::Markdown { template: self.template.to_owned(), line: before + 1, what }
    }

    fn event(&mut self, event: Event, at: usize) -> Result<(), RenderError> {
        match event {
            Event::Start(tag) => self.start(tag, at),
            Event::End(tag) => {
                self.depth = self.depth.saturating_sub(1);
                self.end(tag);
                Ok(())
            }
            Event::Text(text) => self.text(&text, at),
            Event::Code(text)
            | Event::Html(text)
            | Event::InlineHtml(text)
            | Event::InlineMath(text)
            | Event::DisplayMath(text)
            | Event::FootnoteReference(text) => self.text(text.trim_end_matches('\n'), at),
            Event::SoftBreak | Event::HardBreak => self.text(" ", at),
            Event::Rule | Event::TaskListMarker(_) => Ok(()),
        }
    }

    fn start(&mut self, tag: Tag, at: usize) -> Result<(), RenderError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(self.fault(at, format!("lists and quotes are nested deeper than {DEEPEST}")));
        }
        match tag {
            Tag::Heading { level, id, attrs, .. } => {
                let note = attrs.iter().find(|(key, _)| key.as_ref() == "note").and_then(|(_, v)| v.clone());
                self.begin_heading(level as u8, id.map(|i| i.to_string()), note.as_deref(), at)?;
            }
            Tag::Strong => self.bold += 1,
            Tag::Emphasis => self.italic += 1,
            Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. } => self.link = target(&dest_url),
            Tag::List(_) => {
                self.end_item();
                self.lists += 1;
            }
            Tag::CodeBlock(kind) => self.begin_fence(kind, at)?,
            Tag::Table(columns) => {
                let align = columns.iter().map(|a| if *a == Alignment::Right { Align::Right } else { Align::Left });
                self.table = Some(Table { align: align.collect(), ..Table::default() });
            }
            Tag::Paragraph
            | Tag::BlockQuote(_)
            | Tag::HtmlBlock
            | Tag::Item
            | Tag::FootnoteDefinition(_)
            | Tag::DefinitionList
            | Tag::DefinitionListTitle
            | Tag::DefinitionListDefinition
            | Tag::TableHead
            | Tag::TableRow
            | Tag::TableCell
            | Tag::Strikethrough
            | Tag::Superscript
            | Tag::Subscript
            | Tag::MetadataBlock(_) => {}
        }
        Ok(())
    }

    fn begin_heading(
        &mut self,
        level: u8,
        anchor: Option<String>,
        note: Option<&str>,
        at: usize,
    ) -> Result<(), RenderError> {
        let note = match note {
            None => Line::new(),
            Some(name) => match self.parts.notes.get(name) {
                Some(line) => line.clone(),
                None => return Err(self.fault(at, format!("the pack has no note `{name}`"))),
            },
        };
        self.heading = Some(Heading { level, number: None, text: Line::new(), note, anchor });
        Ok(())
    }

    fn begin_fence(&mut self, kind: CodeBlockKind, at: usize) -> Result<(), RenderError> {
        let info = match &kind {
            CodeBlockKind::Fenced(info) => info.trim(),
            CodeBlockKind::Indented => "",
        };
        self.fence = Some(String::new());
        if info == "new page" {
            self.blocks.push(Block::NewPage);
            return Ok(());
        }
        let Some(name) = info.strip_prefix("block ").map(str::trim) else { return Ok(()) };
        match self.parts.blocks.get(name) {
            Some(blocks) => self.blocks.extend(blocks.iter().cloned()),
            None => return Err(self.fault(at, format!("the pack has no block `{name}`"))),
        }
        Ok(())
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Paragraph | TagEnd::HtmlBlock if self.lists == 0 => self.end_line(),
            TagEnd::Heading(_) => self.end_heading(),
            TagEnd::Strong => self.bold = self.bold.saturating_sub(1),
            TagEnd::Emphasis => self.italic = self.italic.saturating_sub(1),
            TagEnd::Link | TagEnd::Image => self.link = None,
            TagEnd::Item => self.end_item(),
            TagEnd::List(_) => self.end_list(),
            TagEnd::CodeBlock => self.end_fence(),
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.line);
                self.table.iter_mut().for_each(|t| t.cells.push(cell.clone()));
            }
            TagEnd::TableHead => self.table.iter_mut().for_each(|t| t.head = std::mem::take(&mut t.cells)),
            TagEnd::TableRow => self.table.iter_mut().for_each(|t| t.rows.push(std::mem::take(&mut t.cells))),
            TagEnd::Table => self.end_table(),
            TagEnd::Paragraph
            | TagEnd::HtmlBlock
            | TagEnd::BlockQuote(_)
            | TagEnd::FootnoteDefinition
            | TagEnd::DefinitionList
            | TagEnd::DefinitionListTitle
            | TagEnd::DefinitionListDefinition
            | TagEnd::Strikethrough
            | TagEnd::Superscript
            | TagEnd::Subscript
            | TagEnd::MetadataBlock(_) => {}
        }
    }

    fn text(&mut self, text: &str, _at: usize) -> Result<(), RenderError> {
        if let Some(fence) = &mut self.fence {
            fence.push_str(text);
            return Ok(());
        }
        let style = match (self.bold > 0, self.italic > 0) {
            (true, _) => Style::Bold,
            (false, true) => Style::Italic,
            (false, false) => Style::Plain,
        };
        match (&self.link, self.line.last_mut()) {
            (Some(to), _) => self.line.push(Run::Link { text: text.to_owned(), to: to.clone() }),
            (None, Some(Run::Text { text: before, style: same })) if *same == style => before.push_str(text),
            (None, _) => self.line.push(Run::Text { text: text.to_owned(), style }),
        }
        Ok(())
    }

    fn end_line(&mut self) {
        let line = std::mem::take(&mut self.line);
        if !words(&line).trim().is_empty() {
            self.blocks.push(Block::Paragraph(line));
        }
    }

    fn end_heading(&mut self) {
        let text = std::mem::take(&mut self.line);
        let Some(heading) = self.heading.take() else { return };
        self.blocks.push(match heading.level {
            1 => Block::Title(text),
            2 => Block::Heading(Heading { text, ..heading }),
            _ => Block::Heading(Heading { text, level: 3, ..heading }),
        });
    }

    fn end_item(&mut self) {
        let line = std::mem::take(&mut self.line);
        if !words(&line).trim().is_empty() {
            if self.lists == 0 {
                self.blocks.push(Block::Paragraph(line));
            } else {
                self.items.push(line);
            }
        }
    }

    fn end_list(&mut self) {
        self.end_item();
        self.lists = self.lists.saturating_sub(1);
        if self.lists == 0 && !self.items.is_empty() {
            self.blocks.push(Block::List(std::mem::take(&mut self.items)));
        }
    }

    fn end_fence(&mut self) {
        let Some(text) = self.fence.take() else { return };
        for line in text.lines().filter(|l| !l.trim().is_empty()) {
            self.blocks.push(Block::Paragraph(vec![crate::base::doc::plain(line)]));
        }
    }

    fn end_table(&mut self) {
        let Some(table) = self.table.take() else { return };
        let each = 176.0 / table.head.len().max(1) as f64;
        let columns = table.head.iter().zip(&table.align);
        let columns = columns.map(|(head, align)| Column { head: vec![words(head)], mm: each, align: *align });
        // The first column holds words, not ids, so it is a cell like the others.
        let rows = table
            .rows
            .iter()
            .map(|cells| Row { cells: cells.iter().map(|c| vec![c.clone()]).collect(), ..Row::default() });
        let summary = table.head.iter().map(words).collect::<Vec<_>>().join(", ");
        self.blocks.push(Block::Schedule(Schedule { summary, columns: columns.collect(), rows: rows.collect() }));
    }
}

/// Where an address leads, or `None` when it is not of a kind that a pack may carry.
fn target(address: &str) -> Option<Target> {
    if let Some(anchor) = address.strip_prefix('#') {
        return Some(Target::Here(anchor.to_owned()));
    }
    let scheme = address.split_once(':').map(|(s, _)| s.to_ascii_lowercase())?;
    ["http", "https", "mailto", "tel"].contains(&scheme.as_str()).then(|| Target::Outside(address.to_owned()))
}
