//! Blocks as one Markdown file that reads well as it is.
//!
//! Same words, numbers and order as the PDF. Figures are given by their words, photos by their captions.

use crate::base::doc::Block;
use crate::base::doc::Caution;
use crate::base::doc::Fact;
use crate::base::doc::Figure;
use crate::base::doc::FindingBlock;
use crate::base::doc::Heading;
use crate::base::doc::Line;
use crate::base::doc::Penetration;
use crate::base::doc::Photo;
use crate::base::doc::Run;
use crate::base::doc::Schedule;
use crate::base::doc::Side;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::render::Document;
use crate::render::RenderError;
use crate::render::fills_every_column;
use std::io::Write;

/// Writes a document as Markdown.
///
/// # Errors
/// When the place written to says no.
pub fn write(doc: &Document, out: &mut dyn Write) -> Result<(), RenderError> {
    let mut text = String::new();
    push(&mut text, &[line(&doc.meta.running_left), line(&doc.meta.running_right)].join(" · "));
    for block in &doc.blocks {
        push(&mut text, &markdown(block));
    }
    push(&mut text, &line(&doc.meta.foot_left));
    out.write_all(text.as_bytes())?;
    Ok(())
}

fn push(text: &mut String, part: &str) {
    let part = part.trim();
    if !part.is_empty() {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(part);
        text.push('\n');
    }
}

fn markdown(block: &Block) -> String {
    match block {
        Block::Title(title) => format!("# {}", line(title)),
        Block::Heading(h) => heading(h),
        Block::Paragraph(words) | Block::Key(words) => line(words),
        Block::List(items) => items.iter().map(|i| format!("- {}\n", line(i))).collect(),
        Block::Facts(facts) => facts.iter().map(fact).collect(),
        Block::Side(s) => side(s),
        Block::Schedule(s) => schedule(s),
        Block::Figure(f) => figure(f),
        Block::Photos(photos) => photos.iter().map(photo).collect(),
        Block::Finding(f) => finding(f),
        Block::Penetration(p) => penetration(p),
        Block::Caution(c) => caution(c),
        Block::Opening(o) => format!("# {}\n\n{}", line(&o.title), line(&o.under)),
        Block::Step(s) => step(s),
        Block::Never(n) => {
            let items: String = n.items.iter().map(|i| format!("> - {}\n", line(i))).collect();
            format!("> **{}**\n>\n{items}", plain(&n.head))
        }
        Block::NewPage => String::new(),
    }
}

fn heading(h: &Heading) -> String {
    let marks = if h.level <= 2 { "##" } else { "###" };
    let number = h.number.as_ref().map(|n| format!("{} ", plain(n))).unwrap_or_default();
    let note = if h.note.is_empty() { String::new() } else { format!("\n\n{}", line(&h.note)) };
    format!("{}{marks} {number}{}{note}", mark(h.anchor.as_deref()), line(&h.text))
}

/// An anchor that Markdown readers keep: links of the document lead to it.
fn mark(anchor: Option<&str>) -> String {
    match anchor {
        Some(name) if !name.is_empty() => format!("<a id=\"{}\"></a>\n\n", anchor_name(name)),
        _ => String::new(),
    }
}

/// An anchor's name with only letters, digits, `-`, `_` and `.`; the same in every output.
pub fn anchor_name(name: &str) -> String {
    let keep = |c: char| if c.is_alphanumeric() || "-_.".contains(c) { c } else { '_' };
    name.chars().map(keep).collect()
}

fn fact(fact: &Fact) -> String {
    format!("- {}: {}\n", plain(&fact.label), line(&fact.value))
}

fn side(side: &Side) -> String {
    let mut text = format!("{}## {}\n\n", mark(Some(&side.anchor)), plain(&side.head));
    if !side.note.is_empty() {
        text.push_str(&format!("{}\n\n", plain(&side.note)));
    }
    for row in &side.rows {
        let parts = [&row.ids, &row.text, &row.right].map(line);
        let parts: Vec<&str> = parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty()).collect();
        text.push_str(&format!("- {}\n", parts.join(" · ")));
    }
    if let Some(f) = &side.figure {
        text.push_str(&format!("\n{}", figure(f)));
    }
    text
}

fn schedule(table: &Schedule) -> String {
    let head = table.columns.iter().map(|c| plain(&c.head.join(", ")));
    let mut text = row_of(head);
    text.push_str(&row_of(table.columns.iter().map(|c| match c.align {
        crate::base::doc::Align::Left => "---".to_owned(),
        crate::base::doc::Align::Right => "--:".to_owned(),
    })));
    for row in &table.rows {
        let id = if row.id.is_empty() { String::new() } else { format!("**{}**", plain(&row.id)) };
        let cells = row.cells.iter().map(|cell| cell.iter().map(line).collect::<Vec<_>>().join("; "));
        let id = (!fills_every_column(row, table.columns.len())).then_some(id);
        text.push_str(&row_of(id.into_iter().chain(cells)));
    }
    for row in &table.rows {
        for reason in &row.reasons {
            text.push_str(&format!("\n**{}** {}\n", plain(&row.id), line(reason)));
        }
    }
    text
}

fn row_of(cells: impl Iterator<Item = String>) -> String {
    format!("|{}\n", cells.map(|c| format!(" {} |", c.trim())).collect::<String>())
}

fn figure(figure: &Figure) -> String {
    let title = plain(&figure.drawing.title);
    let caption = if figure.caption.is_empty() { String::new() } else { format!("\n{}\n", line(&figure.caption)) };
    format!("{}> **{title}** {}\n{caption}", mark(Some(&figure.anchor)), plain(&figure.drawing.alt))
}

fn photo(photo: &Photo) -> String {
    let id = if photo.id.is_empty() { String::new() } else { format!("**{}** ", plain(&photo.id)) };
    let missing = if photo.file.is_none() { format!("{}. ", plain(&photo.missing)) } else { String::new() };
    format!("- {id}{missing}{}\n", line(&photo.caption))
}

fn finding(f: &FindingBlock) -> String {
    let mut text = format!("{}### {}: {}\n\n", mark(Some(&f.anchor)), plain(&f.word), plain(&f.title));
    if !f.note.is_empty() {
        text.push_str(&format!("{}\n\n", plain(&f.note)));
    }
    if !f.clause.is_empty() {
        text.push_str(&format!("{}\n\n", line(&f.clause)));
    }
    for item in &f.items {
        let parts = [line(&item.ids), line(&item.measured), line(&item.limit), plain(&item.line), line(&item.see)];
        let parts: Vec<&str> = parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty()).collect();
        text.push_str(&format!("- {}\n", parts.join(" · ")));
    }
    if !f.closing.is_empty() {
        text.push_str(&format!("\n{}\n", line(&f.closing)));
    }
    text
}

fn penetration(p: &Penetration) -> String {
    let mut text = format!("{}### {} {}\n\n", mark(Some(&p.anchor)), plain(&p.id), plain(&p.head));
    for fact in &p.facts {
        text.push_str(&format!("- {}\n", line(fact)));
    }
    for face in &p.faces {
        text.push_str(&format!("- {}: {}\n", line(&face.found), line(&face.then)));
    }
    text.push_str(&p.photos.iter().map(photo).collect::<String>());
    for reason in &p.reasons {
        text.push_str(&format!("\n{}\n", line(reason)));
    }
    text
}

fn caution(c: &Caution) -> String {
    let ids = if c.ids.is_empty() { String::new() } else { format!(" ({})", plain(&c.ids)) };
    format!("> **Caution**{ids}: {}\n>\n> **Leave to:** {}", line(&c.text), line(&c.leave_to))
}

fn step(step: &Step) -> String {
    let mut text = format!("{}## {} {}\n\n", mark(Some(&step.anchor)), plain(&step.number), plain(&step.head));
    for part in &step.parts {
        text.push_str(&step_part(part));
        text.push('\n');
    }
    text
}

fn step_part(part: &StepPart) -> String {
    match part {
        StepPart::Text(words) => format!("{}\n", line(words)),
        StepPart::Cases(cases) => cases.iter().map(|c| format!("- {}: {}\n", line(&c.found), line(&c.then))).collect(),
        StepPart::Blanks(facts) => facts.iter().map(fact).collect(),
        StepPart::Picture(picture) => figure(picture),
        StepPart::Beside { photo: p, columns } => {
            let words: String = columns.iter().flatten().map(|l| format!("- {}\n", line(l))).collect();
            format!("{}{words}", photo(p))
        }
    }
}

/// A line of rich text as Markdown. An emphasis never holds the blanks at its ends: Markdown would not see it.
fn line(runs: &Line) -> String {
    let mut text = String::new();
    for run in runs {
        match run {
            Run::Text { text: words, style } => text.push_str(&styled(words, *style)),
            Run::Link { text: words, to } => text.push_str(&link(words, to)),
            Run::WriteIn { .. } => text.push_str("not in the record"),
            Run::Shape(_) => {}
            // There are no pages here; nor may the blank before the page's number be left over.
            Run::Page(_) => text.truncate(text.trim_end().len()),
        }
    }
    text.trim().to_owned()
}

fn styled(words: &str, style: Style) -> String {
    let marks = match style {
        Style::Plain | Style::Soft => return plain(words),
        Style::Bold | Style::Id => "**",
        Style::Italic => "*",
    };
    let inner = words.trim();
    if inner.is_empty() {
        return words.to_owned();
    }
    let start = words.len() - words.trim_start().len();
    let end = words.trim_end().len();
    format!("{}{marks}{}{marks}{}", &words[..start], plain(inner), &words[end..])
}

fn link(words: &str, to: &Target) -> String {
    let address = match to {
        Target::Here(anchor) => format!("#{}", anchor_name(anchor)),
        Target::Outside(address) => percent(address),
    };
    format!("[{}]({address})", plain(words))
}

/// An address with every byte outside printable ASCII, and those that would end it, percent-encoded.
pub fn percent(address: &str) -> String {
    let mut out = String::with_capacity(address.len());
    for b in address.bytes() {
        if b.is_ascii_graphic() && !b"<>\"{}|\\^`()".contains(&b) {
            out.push(char::from(b));
        } else {
            out.push_str(&format!("%{b:02X}"));
        }
    }
    out
}

/// Words with the marks escaped that Markdown reads anywhere, and those that it reads at the start of a line.
fn plain(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mark = words.find(|c: char| !c.is_ascii_digit()).unwrap_or(0);
    let is_rule = !words.trim().is_empty() && words.trim().chars().all(|c| "-=".contains(c));
    for (i, c) in words.char_indices() {
        let ends = words[i + c.len_utf8()..].chars().next().is_none_or(|next| next == ' ');
        let begins_a_list = ends && ((i == 0 && "-+".contains(c)) || (i == mark && i > 0 && ".)".contains(c)));
        let begins_a_rule = i == 0 && (is_rule || c == '#');
        if "\\|*_`<>[]&~$".contains(c) || begins_a_list || begins_a_rule {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
