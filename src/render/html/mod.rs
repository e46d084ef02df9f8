//! Blocks as one HTML file that needs no other: no script, no address outside, its own typeface.
//!
//! Same words, numbers and order as the PDF. Photos are fetched one at a time, as they are written.

mod penetration;
mod picture;
mod step;
mod table;
pub mod text;

use crate::base::doc::Block;
use crate::base::doc::Caution;
use crate::base::doc::Fact;
use crate::base::doc::FindingBlock;
use crate::base::doc::Heading;
use crate::base::doc::Shape;
use crate::base::doc::Side;
use crate::base::doc::words;
use crate::base::drawing::Face;
use crate::render::Document;
use crate::render::Job;
use crate::render::RenderError;
use crate::render::html::text::bar;
use crate::render::html::text::base64;
use crate::render::html::text::escape;
use crate::render::html::text::line;
use crate::render::html::text::paragraph;
use crate::render::html::text::part;
use crate::render::html::text::shape;
use crate::render::markdown::anchor_name;
use crate::render::template;
use crate::render::walk;
use crate::render::webfont;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::Write;

/// Stands in the page template where the body is put; no escaped text can hold it.
const BODY: &str = "<!--body-->";
/// The anchor of the skip link.
const MAIN: &str = "the-text";

/// Writes a document as HTML.
///
/// # Errors
/// When the page template is wrong, a photo cannot be had, or the place written to says no.
pub fn write(doc: &Document, job: &Job, out: &mut dyn Write) -> Result<(), RenderError> {
    let page = page(doc, job)?;
    let (head, tail) = page.split_once(BODY).unwrap_or((&page, ""));
    out.write_all(head.as_bytes())?;
    let mut writer = Writer { job, out, text: String::new(), used: BTreeSet::new(), figures: 0, level: 0 };
    writer.used.insert(MAIN.to_owned());
    writer.body(doc)?;
    out.write_all(tail.as_bytes())?;
    Ok(())
}

fn page(doc: &Document, job: &Job) -> Result<String, RenderError> {
    let css = template::text_of("pack.css", job.templates).unwrap_or_default();
    let escaped = |words: &str| escape(words);
    let context = serde_json::json!({
        "lang": escaped(if doc.meta.lang.is_empty() { "en-GB" } else { &doc.meta.lang }),
        "title": escaped(&doc.meta.title),
        "creator": escaped(&doc.meta.creator),
        "fonts": fonts(doc)?,
        "css": css,
        "body": BODY,
    });
    template::fill("page.html.tera", job.templates, &context)
}

fn fonts(doc: &Document) -> Result<String, RenderError> {
    let mut characters: BTreeSet<char> = (' '..='~').collect();
    for block in &mut doc.blocks.clone() {
        walk::block(block, &mut |part| match part {
            walk::Words::Line(line) => characters.extend(words(line).chars()),
            walk::Words::Text(text) => characters.extend(text.chars()),
            walk::Words::Anchor(_) => {}
        });
    }
    for line in [&doc.meta.running_left, &doc.meta.running_right, &doc.meta.foot_left] {
        characters.extend(words(line).chars());
    }
    let mut css = String::new();
    for (face, weight, style) in
        [(Face::Regular, 400, "normal"), (Face::Bold, 700, "normal"), (Face::Italic, 400, "italic")]
    {
        let data = base64(&webfont::subset(face, &characters)?);
        let _ = writeln!(
            css,
            "@font-face {{ font-family: \"Pack Sans\"; font-weight: {weight}; font-style: {style}; \
             src: url(data:font/ttf;base64,{data}) format(\"truetype\"); }}"
        );
    }
    Ok(css)
}

struct Writer<'a> {
    job: &'a Job<'a>,
    out: &'a mut dyn Write,
    /// What is to be written next.
    text: String,
    /// The ids given so far: each may stand once.
    used: BTreeSet<String>,
    figures: usize,
    level: u8,
}

impl Writer<'_> {
    fn body(&mut self, doc: &Document) -> Result<(), RenderError> {
        let _ = writeln!(self.text, "<a class=\"skip\" href=\"#{MAIN}\">Skip to the text</a>\n<header>");
        let (left, right) = (line(&doc.meta.running_left), line(&doc.meta.running_right));
        let _ = writeln!(self.text, "<div class=\"running\"><span>{left}</span> <span>{right}</span></div>");
        let opening = doc.blocks.iter().take_while(|b| is_opening(b)).count();
        let (opening, rest) = doc.blocks.split_at(opening);
        for block in opening {
            self.block(block)?;
        }
        // On the owner's page nothing stands between the title and the first step but one folded line.
        let folded = opening.iter().any(|b| matches!(b, Block::Opening(_)));
        self.contents(rest, folded);
        let _ = writeln!(self.text, "</header>\n<main id=\"{MAIN}\">");
        for block in rest {
            self.block(block)?;
            self.send()?;
        }
        let _ = writeln!(self.text, "</main>\n<footer>{}</footer>", line(&doc.meta.foot_left));
        self.send()
    }

    fn send(&mut self) -> Result<(), RenderError> {
        self.out.write_all(self.text.as_bytes())?;
        self.text.clear();
        Ok(())
    }

    /// Links to the parts of the first page, and folded away below them to the sections.
    fn contents(&mut self, blocks: &[Block], fold: bool) {
        let mut seen = BTreeSet::new();
        let mut entries = String::new();
        let mut sections = String::new();
        for block in blocks {
            let (anchor, name) = match block {
                // On a line of links the first words of a head do.
                Block::Side(side) => (side.anchor.clone(), escape(side.head.split(',').next().unwrap_or(&side.head))),
                Block::Heading(h) if h.level == 2 => (h.anchor.clone().unwrap_or_default(), escape(&words(&h.text))),
                _ => continue,
            };
            if !anchor.is_empty() && seen.insert(anchor.clone()) {
                let list = if matches!(block, Block::Side(_)) { &mut entries } else { &mut sections };
                let _ = write!(list, "<li><a href=\"#{}\">{name}</a></li>", anchor_name(&anchor));
            }
        }
        let folded = match (entries.is_empty(), sections.is_empty()) {
            (true, true) => return,
            (true, false) if fold => {
                format!("<details><summary>The rest of this pack</summary><ul>{sections}</ul></details>")
            }
            (true, false) => format!("<ul>{sections}</ul>"),
            (false, true) => format!("<ul>{entries}</ul>"),
            (false, false) => {
                format!("<ul>{entries}</ul>\n<details><summary>All sections</summary><ul>{sections}</ul></details>")
            }
        };
        let _ = writeln!(self.text, "<nav aria-label=\"On this page\">{folded}</nav>");
    }

    fn block(&mut self, block: &Block) -> Result<(), RenderError> {
        match block {
            Block::Title(title) => {
                let tag = self.heading_tag(1);
                let _ = writeln!(self.text, "<{tag}>{}</{tag}>", line(title));
            }
            Block::Heading(h) => self.heading(h),
            Block::Paragraph(words) => {
                let _ = writeln!(self.text, "<p>{}</p>", line(words));
            }
            Block::List(items) => {
                let items: String = items.iter().map(|i| format!("<li>{}</li>", line(i))).collect();
                let _ = writeln!(self.text, "<ul class=\"dots\">{items}</ul>");
            }
            Block::Facts(facts) => self.facts(facts),
            Block::Side(s) => self.side(s),
            Block::Schedule(s) => self.schedule(s),
            Block::Key(words) => {
                let _ = writeln!(self.text, "<p class=\"key\">{}</p>", line(words));
            }
            Block::Figure(f) => self.figure(f),
            Block::Photos(photos) => self.photos(photos)?,
            Block::Finding(f) => self.finding(f),
            Block::Penetration(p) => self.penetration(p)?,
            Block::Caution(c) => self.caution(c),
            Block::Opening(o) => {
                let tag = self.heading_tag(1);
                let under = paragraph("under", &o.under);
                let _ = writeln!(self.text, "<{tag} class=\"opening\">{}</{tag}>{under}", line(&o.title));
            }
            Block::Step(s) => self.step(s)?,
            Block::Never(n) => self.never(n),
            Block::NewPage => {}
        }
        Ok(())
    }

    /// The tag of a heading: never more than one level below the one before it.
    fn heading_tag(&mut self, wanted: u8) -> &'static str {
        self.level = wanted.min(self.level + 1);
        ["h1", "h2", "h3"][usize::from(self.level.clamp(1, 3)) - 1]
    }

    /// An id attribute; none when the name is empty or already given.
    fn id(&mut self, anchor: &str) -> String {
        let name = anchor_name(anchor);
        if name.is_empty() || !self.used.insert(name.clone()) {
            return String::new();
        }
        format!(" id=\"{name}\"")
    }

    fn heading(&mut self, h: &Heading) {
        let tag = self.heading_tag(h.level);
        let id = self.id(h.anchor.as_deref().unwrap_or_default());
        let class = if h.level <= 2 { "section" } else { "part" };
        let number = h.number.as_ref().filter(|_| h.level <= 2);
        let number = number.map(|n| format!("<span class=\"number\">{}</span>", escape(n))).unwrap_or_default();
        let note = paragraph("note", &h.note);
        let _ = writeln!(self.text, "<div class=\"{class}\"><{tag}{id}>{number}{}</{tag}>{note}</div>", line(&h.text));
    }

    fn facts(&mut self, facts: &[Fact]) {
        let fact = |f: &Fact| format!("<div><dt>{}</dt> <dd>{}</dd></div>", escape(&f.label), line(&f.value));
        let facts: String = facts.iter().map(fact).collect();
        let _ = writeln!(self.text, "<dl class=\"facts\">{facts}</dl>");
    }

    fn side(&mut self, side: &Side) {
        let tag = self.heading_tag(2);
        let id = self.id(&side.anchor);
        let strong = if side.strong { " strong" } else { "" };
        let note = if side.note.is_empty() { String::new() } else { format!(" <small>{}</small>", escape(&side.note)) };
        let bar = bar(side.bar);
        let _ = writeln!(
            self.text,
            "<div class=\"side{strong}{bar}\"><{tag}{id}>{}{note}</{tag}><div>",
            escape(&side.head)
        );
        if !side.rows.is_empty() {
            self.text.push_str("<ul class=\"rows\">\n");
            for row in &side.rows {
                let id = self.id(row.anchor.as_deref().unwrap_or_default());
                let text = if row.right.is_empty() { "text wide" } else { "text" };
                let parts = [part("ids", &row.ids), part(text, &row.text), part("right", &row.right)].concat();
                let _ = writeln!(self.text, "<li{id}>{parts}</li>");
            }
            self.text.push_str("</ul>");
        }
        if let Some(figure) = &side.figure {
            self.figure(figure);
        }
        self.text.push_str("</div></div>\n");
    }

    fn finding(&mut self, f: &FindingBlock) {
        let tag = self.heading_tag(3);
        let id = self.id(&f.anchor);
        let bar = bar(f.bar);
        let word = if f.shape == Shape::Triangle { "word not-met" } else { "word" };
        let (shape, said, title) = (shape(f.shape), escape(&f.word), escape(&f.title));
        let _ = write!(
            self.text,
            "<div class=\"finding{bar}\"{id}><{tag}><span class=\"{word}\">{shape}{said}</span> <span>{title}</span></{tag}>"
        );
        self.text.push_str(&paragraph("clause", &f.clause));
        if !f.note.is_empty() {
            let _ = write!(self.text, "<p class=\"note\">{}</p>", escape(&f.note));
        }
        if !f.items.is_empty() {
            self.text.push_str("<ul class=\"rows\">\n");
            for item in &f.items {
                let source = format!("<div class=\"soft\">{}</div> ", escape(&item.line));
                let cells =
                    [&item.ids, &item.measured, &item.limit].map(|l| format!("<div>{}</div> ", line(l))).concat();
                let _ = writeln!(self.text, "<li>{cells}{source}<div>{}</div></li>", line(&item.see));
            }
            self.text.push_str("</ul>");
        }
        let _ = writeln!(self.text, "{}</div>", paragraph("closing", &f.closing));
    }

    fn caution(&mut self, c: &Caution) {
        let _ = writeln!(
            self.text,
            "<div class=\"caution\" role=\"note\"><div class=\"field\"><b>Caution</b> {}</div><div class=\"words\">\
             <p>{}</p><p class=\"leave\"><b>Leave to:</b> {}</p></div></div>",
            escape(&c.ids),
            line(&c.text),
            line(&c.leave_to)
        );
    }
}

/// Whether a block stands above the text, in the page's header.
fn is_opening(block: &Block) -> bool {
    matches!(block, Block::Title(_) | Block::Facts(_) | Block::Opening(_))
}
