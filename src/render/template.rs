//! Templates: the only room that knows tera.
//!
//! Words from the record pass through the filter `text`, which escapes all that Markdown could take for markup.

use crate::render::RenderError;

/// The templates that come with the program, by name.
pub const BUILT_IN: &[(&str, &str)] = &[
    ("inspection.md.tera", include_str!("../../templates/inspection.md.tera")),
    ("archive.md.tera", include_str!("../../templates/archive.md.tera")),
    ("handover.md.tera", include_str!("../../templates/handover.md.tera")),
    ("page.html.tera", include_str!("../../templates/page.html.tera")),
    ("pack.css", include_str!("../../templates/pack.css")),
];

/// Fills a template with facts.
///
/// # Errors
/// When a template does not parse, names something that is not there, or includes one that is not given.
pub fn fill(name: &str, templates: &[(String, String)], context: &serde_json::Value) -> Result<String, RenderError> {
    let mut engine = tera::Tera::new();
    engine.register_filter("text", |words: String, _: tera::Kwargs, _: &tera::State| escape(&words));
    let own = templates.iter().map(|(n, t)| (n.as_str(), t.as_str()));
    let built_in = BUILT_IN.iter().copied().filter(|(n, _)| templates.iter().all(|(own, _)| own != n));
    let all: Vec<(&str, &str)> = built_in.chain(own).filter(|(n, _)| n.ends_with(".tera")).collect();
    // Pages escape their few facts themselves; `page.html.tera` is no `.html` to tera anyway.
    engine.add_raw_templates(all).map_err(|e| fault(&e))?;
    let context = tera::Context::from_serialize(context).map_err(|e| fault(&e))?;
    engine.render(name, &context).map_err(|e| fault(&e))
}

/// The text of a template, a firm's own before the built-in one.
pub fn text_of<'a>(name: &str, templates: &'a [(String, String)]) -> Option<&'a str> {
    let own = templates.iter().find(|(n, _)| n == name).map(|(_, t)| t.as_str());
    own.or_else(|| BUILT_IN.iter().find(|(n, _)| *n == name).map(|(_, t)| *t))
}

fn fault(error: &tera::Error) -> RenderError {
    RenderError::Template(error.to_string())
}

/// Escapes words so that Markdown shows them as they are, on one line.
///
/// Every ASCII mark gets a backslash, which Markdown allows for all of them; so nothing depends on where in a line
/// the words come to stand. A full stop or bracket after leading digits would begin a list and is escaped with them.
pub fn escape(words: &str) -> String {
    let mut out = String::with_capacity(words.len() + 8);
    for c in words.chars() {
        match c {
            '\n' | '\r' | '\t' => out.push(' '),
            c if c.is_control() => {}
            c if c.is_ascii_punctuation() => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}
