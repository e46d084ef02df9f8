//! Lines of rich text, shapes and classes as HTML.

use crate::base::doc::Bar;
use crate::base::doc::Line;
use crate::base::doc::Run;
use crate::base::doc::Shape;
use crate::base::doc::Style;
use crate::base::doc::Target;
use crate::render::markdown::anchor_name;
use crate::render::markdown::percent;
use std::fmt::Write as _;

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

pub(super) fn bar(bar: Bar) -> &'static str {
    match bar {
        Bar::None => "",
        Bar::Solid => " solid",
        Bar::Hollow => " hollow",
    }
}

pub(super) fn paragraph(class: &str, runs: &Line) -> String {
    if runs.is_empty() { String::new() } else { format!("<p class=\"{class}\">{}</p>", line(runs)) }
}

pub(super) fn part(class: &str, runs: &Line) -> String {
    if runs.is_empty() { String::new() } else { format!("<div class=\"{class}\">{}</div> ", line(runs)) }
}

/// A line of rich text.
pub(super) fn line(runs: &Line) -> String {
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

pub(super) fn shape(shape: Shape) -> String {
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
