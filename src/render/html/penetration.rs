//! A pipe through a wall or floor: what the record says of each face, with its photos beside.

use crate::base::doc::Case;
use crate::base::doc::Penetration;
use crate::render::RenderError;
use crate::render::html::Writer;
use crate::render::html::text::bar;
use crate::render::html::text::escape;
use crate::render::html::text::line;
use crate::render::html::text::paragraph;
use std::fmt::Write as _;

impl Writer<'_> {
    pub(super) fn penetration(&mut self, p: &Penetration) -> Result<(), RenderError> {
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
}
