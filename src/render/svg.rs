//! A drawing as SVG. Colours are classes of the page's style sheet, so that figures turn dark with the page.

use crate::base::drawing::Anchor;
use crate::base::drawing::Drawing;
use crate::base::drawing::Face;
use crate::base::drawing::Mark;
use crate::base::drawing::Paint;
use crate::base::drawing::Pen;
use crate::base::drawing::Point;
use crate::render::html::text::escape;

/// Screen pixels for a millimetre: lettering of 9 pt comes out at 13 pixels.
const PIXELS: f64 = 4.1;

/// Writes a drawing; `id` begins the names of its title and its description.
pub fn svg(drawing: &Drawing, id: &str) -> String {
    let (w, h) = (number(drawing.width), number(drawing.height));
    let (title, alt) = (escape(&drawing.title), escape(&drawing.alt));
    let mut out = format!(
        "<svg viewBox=\"0 0 {w} {h}\" width=\"{}\" height=\"{}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\">\
         <title id=\"{id}-t\">{title}</title><desc id=\"{id}-d\">{alt}</desc>\n",
        number((drawing.width * PIXELS).round()),
        number((drawing.height * PIXELS).round()),
    );
    for mark in &drawing.marks {
        out.push_str(&element(mark));
        out.push('\n');
    }
    out.push_str("</svg>");
    out
}

/// A number of millimetres without needless digits.
fn number(value: f64) -> String {
    let rounded = if value.is_finite() { (value * 100.0).round() / 100.0 } else { 0.0 };
    let text = format!("{rounded:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn element(mark: &Mark) -> String {
    match mark {
        Mark::Line { points, pen, closed } => {
            let close = if *closed { "Z" } else { "" };
            format!("<path class=\"line-only\" d=\"{}{close}\"{}/>", path(points), stroke(*pen))
        }
        Mark::Fill { points, paint } => format!("<path class=\"{}\" d=\"{}Z\"/>", class(*paint), path(points)),
        Mark::Ellipse { centre, rx, ry, pen, paint } => {
            let shape = format!(
                "cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\"",
                number(centre.x),
                number(centre.y),
                number(*rx),
                number(*ry)
            );
            let fill = paint.map(|p| format!("<ellipse class=\"{}\" {shape}/>", class(p))).unwrap_or_default();
            let line = pen.map(|p| format!("<ellipse class=\"line-only\" {shape}{}/>", stroke(p))).unwrap_or_default();
            fill + &line
        }
        Mark::Text { at, anchor, text, size, face, turned } => words(*at, *anchor, text, *size, *face, *turned),
    }
}

fn words(at: Point, anchor: Anchor, text: &str, size: f64, face: Face, turned: bool) -> String {
    let anchor = match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let class = match face {
        Face::Regular => "",
        Face::Bold => " class=\"bold\"",
        Face::Italic => " class=\"italic\"",
    };
    let (x, y) = (number(at.x), number(at.y));
    let turn = if turned { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    format!("<text x=\"{x}\" y=\"{y}\" font-size=\"{}\"{anchor}{class}{turn}>{}</text>", number(size), escape(text))
}

fn path(points: &[Point]) -> String {
    let mut out = String::new();
    for (i, point) in points.iter().enumerate() {
        out.push(if i == 0 { 'M' } else { 'L' });
        out.push_str(&format!("{} {}", number(point.x), number(point.y)));
    }
    out
}

fn stroke(pen: Pen) -> String {
    let dashes: Vec<String> = pen.dashes().iter().map(|d| number(*d)).collect();
    let dashes = if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
    format!(" stroke-width=\"{}\"{dashes}", number(pen.thickness()))
}

fn class(paint: Paint) -> &'static str {
    match paint {
        Paint::Black => "fill-black",
        Paint::Paper => "fill-paper",
        Paint::Grey => "fill-grey",
    }
}
