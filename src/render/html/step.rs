//! The owner's page: numbered steps, and the box of what must never be done.

use crate::base::doc::Case;
use crate::base::doc::Fact;
use crate::base::doc::Never;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::render::RenderError;
use crate::render::html::Writer;
use crate::render::html::text::escape;
use crate::render::html::text::line;
use std::fmt::Write as _;

impl Writer<'_> {
    pub(super) fn step(&mut self, step: &Step) -> Result<(), RenderError> {
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
            StepPart::Picture(picture) => self.figure(picture),
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

    pub(super) fn never(&mut self, never: &Never) {
        let tag = self.heading_tag(2);
        let items: String = never.items.iter().map(|i| format!("<li>{}</li>", line(i))).collect();
        let _ = writeln!(
            self.text,
            "<div class=\"never\"><{tag} class=\"field\">{}</{tag}><ul>{items}</ul></div>",
            escape(&never.head)
        );
    }
}
