//! Blocks as one HTML file that needs no other: no script, no address outside, its own typeface.
//!
//! Same words, numbers and order as the PDF. Photos are fetched one at a time, as they are written.
//! Longer than most files: one short function a kind of block, side by side so that none is forgotten.

use crate::base::doc::Align;
use crate::base::doc::Bar;
use crate::base::doc::Block;
use crate::base::doc::Case;
use crate::base::doc::Caution;
use crate::base::doc::Fact;
use crate::base::doc::Figure;
use crate::base::doc::FindingBlock;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Never;
use crate::base::doc::Penetration;
use crate::base::doc::Photo;
use crate::base::doc::Row;
use crate::base::doc::Run;
use crate::base::doc::Schedule;
use crate::base::doc::Shape;
use crate::base::doc::Side;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::base::doc::words;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::render::Document;
use crate::render::Job;
use crate::render::RenderError;
use crate::render::column_width;
use crate::render::fills_every_column;
use crate::render::markdown::anchor_name;
use crate::render::markdown::percent;
use crate::render::svg;
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

/// Words as HTML text or as the value of an attribute.
pub fn escape(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Bytes in base 64.
pub fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let byte = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let word = byte(0) << 16 | byte(1) << 8 | byte(2);
        for i in 0..4 {
            let digit = DIGITS[(word >> (18 - 6 * i) & 63) as usize];
            out.push(if i <= chunk.len() { char::from(digit) } else { '=' });
        }
    }
    out
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

    fn schedule(&mut self, table: &Schedule) {
        let sum: f64 = table.columns.iter().map(column_width).sum();
        let summary = escape(&table.summary);
        let _ = write!(self.text, "<table>\n<caption>{summary}</caption>\n<colgroup>");
        for column in &table.columns {
            let _ = write!(self.text, "<col style=\"width:{:.2}%\">", column_width(column) / sum * 100.0);
        }
        self.text.push_str("</colgroup>\n<thead><tr>");
        for column in &table.columns {
            let head: Vec<String> = column.head.iter().map(|h| escape(h)).collect();
            let class = if column.align == Align::Right { " class=\"number-cell\"" } else { "" };
            let _ = write!(self.text, "<th scope=\"col\"{class}>{}</th>", head.join("<br>"));
        }
        self.text.push_str("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.row(table, row);
        }
        self.text.push_str("</tbody></table>\n");
    }

    fn row(&mut self, table: &Schedule, row: &Row) {
        let id = self.id(row.anchor.as_deref().unwrap_or_default());
        let has_shape = |cell: &[Line]| cell.iter().flatten().any(|r| matches!(r, Run::Shape(_)));
        let shapes = row.cells.iter().filter(|c| has_shape(c)).count();
        let wide = if shapes == 1 { "" } else { " all-wide" };
        let bar = bar(row.bar);
        let (head, skipped) = row_head(row, table.columns.len());
        let _ = write!(self.text, "<tr{id} class=\"row{wide}{bar}\">{head}");
        for (i, (cell, column)) in row.cells.iter().zip(table.columns.iter().skip(skipped)).enumerate() {
            let (open, close) = if i + skipped == 0 { ("th scope=\"row\"", "th") } else { ("td", "td") };
            let is_empty = cell.iter().all(|l| words(l).trim().is_empty());
            let mut class = String::new();
            for (name, applies) in [
                ("number-cell ", column.align == Align::Right),
                ("verdict ", shapes == 1 && has_shape(cell)),
                ("empty ", is_empty),
            ] {
                class.push_str(if applies { name } else { "" });
            }
            let lines: String = cell.iter().map(|l| format!("<span class=\"cell-line\">{}</span> ", line(l))).collect();
            let label = escape(&column.head.join(" "));
            let class = if class.is_empty() { String::new() } else { format!(" class=\"{}\"", class.trim_end()) };
            let _ = write!(
                self.text,
                "<{open}{class}><span class=\"label\" aria-hidden=\"true\">{label}</span><span>{}</span></{close}>",
                lines.trim_end()
            );
        }
        self.text.push_str("</tr>\n");
        let span = table.columns.len().saturating_sub(1).max(1);
        for reason in &row.reasons {
            let (empty, words) = ("<td class=\"empty\"></td>", line(reason));
            let empty = if table.columns.len() > 1 { empty } else { "" };
            let _ = writeln!(self.text, "<tr class=\"reason{bar}\">{empty}<td colspan=\"{span}\">{words}</td></tr>");
        }
    }

    fn figure(&mut self, figure: &Figure) {
        let id = self.id(&figure.anchor);
        let caption = if figure.caption.is_empty() {
            String::new()
        } else {
            format!("<figcaption>{}</figcaption>", line(&figure.caption))
        };
        let drawing = self.drawing(&figure.drawing);
        let _ = writeln!(self.text, "<figure class=\"drawing\"{id}>{drawing}{caption}</figure>");
    }

    /// A drawing under names of its own, in a region that scrolls when it is wider than the screen.
    fn drawing(&mut self, drawing: &Drawing) -> String {
        self.figures += 1;
        let mut name = format!("figure-{}", self.figures);
        while self.used.contains(&format!("{name}-t")) || self.used.contains(&format!("{name}-d")) {
            name.push('x');
        }
        self.used.extend([format!("{name}-t"), format!("{name}-d")]);
        let svg = svg::svg(drawing, &name);
        let title = escape(&drawing.title);
        format!(
            "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"{title}, figure {}\">{svg}</div>",
            self.figures
        )
    }

    fn photos(&mut self, photos: &[Photo]) -> Result<(), RenderError> {
        self.text.push_str("<div class=\"photos\">\n");
        for photo in photos {
            self.photo(photo)?;
            self.send()?;
        }
        self.text.push_str("</div>\n");
        Ok(())
    }

    fn photo(&mut self, photo: &Photo) -> Result<(), RenderError> {
        let id = self.id(&photo.anchor);
        let _ = write!(self.text, "<figure class=\"photo\"{id}>");
        match &photo.file {
            Some(file) => self.image(photo, file)?,
            None => {
                let _ = write!(self.text, "<p class=\"frame\">{}</p>", escape(&photo.missing));
            }
        }
        let mut caption = if photo.id.is_empty() {
            String::new()
        } else {
            format!("<span class=\"id\">{}</span> ", escape(&photo.id))
        };
        caption.push_str(&line(&photo.caption));
        let caption = if caption.is_empty() { caption } else { format!("<figcaption>{caption}</figcaption>") };
        let _ = writeln!(self.text, "{caption}</figure>");
        Ok(())
    }

    fn step(&mut self, step: &Step) -> Result<(), RenderError> {
        let tag = self.heading_tag(2);
        let id = self.id(&step.anchor);
        let (number, head) = (escape(&step.number), escape(&step.head));
        let _ = writeln!(
            self.text,
            "<div class=\"step\"><{tag}{id}><span class=\"number\">{number}</span> <span>{head}</span></{tag}>"
        );
        for part in &step.parts {
            self.step_part(part)?;
        }
        self.text.push_str("</div>\n");
        Ok(())
    }

    fn step_part(&mut self, part: &StepPart) -> Result<(), RenderError> {
        match part {
            StepPart::Text(words) => {
                let _ = writeln!(self.text, "<p>{}</p>", line(words));
            }
            StepPart::Cases(cases) => {
                let case = |c: &Case| format!("<div><dt>{}</dt> <dd>{}</dd></div>\n", line(&c.found), line(&c.then));
                let cases: String = cases.iter().map(case).collect();
                let _ = writeln!(self.text, "<dl class=\"cases\">{cases}</dl>");
            }
            StepPart::Blanks(facts) => self.blanks(facts),
            StepPart::Picture(picture) => {
                let id = self.id(&picture.figure.anchor);
                let wide = self.drawing(&picture.figure.drawing);
                let narrow = self.drawing(&picture.upright);
                let _ = writeln!(
                    self.text,
                    "<figure class=\"drawing\"{id}><div class=\"level\">{wide}</div><div class=\"upright\">{narrow}</div></figure>"
                );
            }
            StepPart::Beside { photo, columns } => {
                self.text.push_str("<div class=\"beside\">");
                self.photo(photo)?;
                for column in columns {
                    let words: String = column.iter().map(|l| format!("<p>{}</p>", line(l))).collect();
                    let _ = writeln!(self.text, "<div>{words}</div>");
                }
                self.text.push_str("</div>\n");
            }
        }
        Ok(())
    }

    fn blanks(&mut self, facts: &[Fact]) {
        let fact = |f: &Fact| format!("<div><dt>{}</dt> <dd>{}</dd></div>", escape(&f.label), line(&f.value));
        let facts: String = facts.iter().map(fact).collect();
        let _ = writeln!(self.text, "<dl class=\"blanks\">{facts}</dl>");
    }

    fn never(&mut self, never: &Never) {
        let tag = self.heading_tag(2);
        let items: String = never.items.iter().map(|i| format!("<li>{}</li>", line(i))).collect();
        let _ = writeln!(
            self.text,
            "<div class=\"never\"><{tag} class=\"field\">{}</{tag}><ul>{items}</ul></div>",
            escape(&never.head)
        );
    }

    fn image(&mut self, photo: &Photo, file: &str) -> Result<(), RenderError> {
        let picture = self.job.photos.picture(file);
        let picture = picture.map_err(|why| RenderError::Photo { file: file.to_owned(), why })?;
        let _ = write!(
            self.text,
            "<div class=\"frame\"><img width=\"{}\" height=\"{}\" alt=\"{}\" src=\"data:image/jpeg;base64,{}\"></div>",
            picture.width,
            picture.height,
            escape(&photo.alt),
            base64(&picture.jpeg)
        );
        Ok(())
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

    fn penetration(&mut self, p: &Penetration) -> Result<(), RenderError> {
        let tag = self.heading_tag(3);
        let id = self.id(&p.anchor);
        let (name, head, bar) = (escape(&p.id), escape(&p.head), bar(p.bar));
        let case = |c: &Case| format!("<div><dt>{}</dt> <dd>{}</dd></div>\n", line(&c.found), line(&c.then));
        let faces: String = p.faces.iter().map(case).collect();
        let faces = if faces.is_empty() { faces } else { format!("<dl class=\"faces\">{faces}</dl>") };
        let facts: String = p.facts.iter().map(|f| paragraph("fact", f)).collect();
        let reasons: String = p.reasons.iter().map(|r| paragraph("fact", r)).collect();
        let _ = writeln!(
            self.text,
            "<div class=\"penetration{bar}\"{id}><div><{tag}><span class=\"id\">{name}</span> {head}</{tag}>{facts}{faces}{reasons}</div>"
        );
        self.photos(&p.photos)?;
        self.text.push_str("</div>\n");
        Ok(())
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

/// The first cell of a row, and how many columns it takes.
fn row_head(row: &Row, columns: usize) -> (String, usize) {
    if fills_every_column(row, columns) {
        return (String::new(), 0);
    }
    if row.id.is_empty() {
        return ("<td class=\"empty\"></td>".to_owned(), 1);
    }
    (format!("<th scope=\"row\" class=\"id\">{}</th>", escape(&row.id)), 1)
}

fn bar(bar: Bar) -> &'static str {
    match bar {
        Bar::None => "",
        Bar::Solid => " solid",
        Bar::Hollow => " hollow",
    }
}

fn paragraph(class: &str, runs: &Line) -> String {
    if runs.is_empty() { String::new() } else { format!("<p class=\"{class}\">{}</p>", line(runs)) }
}

fn part(class: &str, runs: &Line) -> String {
    if runs.is_empty() { String::new() } else { format!("<div class=\"{class}\">{}</div> ", line(runs)) }
}

/// A line of rich text.
fn line(runs: &Line) -> String {
    let mut out = String::new();
    for run in runs {
        match run {
            Run::Text { text, style } => out.push_str(&styled(text, *style)),
            Run::Shape(s) => out.push_str(&shape(*s)),
            Run::Link { text, to } => {
                let address = match to {
                    Target::Here(anchor) => format!("#{}", anchor_name(anchor)),
                    Target::Outside(address) => escape(&percent(address)),
                };
                let _ = write!(out, "<a href=\"{address}\">{}</a>", escape(text));
            }
            // There are no pages here; nor may the blank before the page's number be left over.
            Run::Page(_) => out.truncate(out.trim_end().len()),
            Run::WriteIn { .. } => out.push_str("not in the record"),
        }
    }
    out
}

fn styled(text: &str, style: Style) -> String {
    let text = escape(text);
    match style {
        Style::Plain => text,
        Style::Bold => format!("<b>{text}</b>"),
        Style::Italic => format!("<i>{text}</i>"),
        Style::Soft => format!("<span class=\"soft\">{text}</span>"),
        Style::Id => format!("<span class=\"id\">{text}</span>"),
    }
}

fn shape(shape: Shape) -> String {
    let inner = match shape {
        Shape::Disc => "<circle cx=\"5\" cy=\"5\" r=\"4.1\" stroke=\"none\"/>",
        Shape::HalfDisc => {
            "<circle cx=\"5\" cy=\"5\" r=\"4.1\" fill=\"none\" stroke-width=\"1.3\"/><path d=\"M5 .9A4.1 4.1 0 0 0 5 9.1Z\" stroke=\"none\"/>"
        }
        Shape::Ring => "<circle cx=\"5\" cy=\"5\" r=\"4\" fill=\"none\" stroke-width=\"1.4\"/>",
        Shape::Triangle => "<path d=\"M5 -.4L10.4 9.4H-.4Z\" stroke=\"none\"/>",
        Shape::Dash => "<path d=\"M.8 5H9.2\" stroke-width=\"1.6\"/>",
    };
    format!("<svg class=\"shape\" viewBox=\"0 0 10 10\" aria-hidden=\"true\">{inner}</svg>")
}
