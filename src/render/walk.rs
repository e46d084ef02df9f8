//! Visits every word of a block, whatever its kind.

use crate::base::doc::Block;
use crate::base::doc::Fact;
use crate::base::doc::Figure;
use crate::base::doc::FindingBlock;
use crate::base::doc::Line;
use crate::base::doc::Penetration;
use crate::base::doc::Photo;
use crate::base::doc::Schedule;
use crate::base::doc::Side;
use crate::base::doc::Step;
use crate::base::doc::StepPart;
use crate::base::drawing::Drawing;
use crate::base::drawing::Mark;

/// Words in a block.
pub enum Words<'a> {
    /// Rich text.
    Line(&'a mut Line),
    /// Plain words.
    Text(&'a mut String),
    /// The name of a place that links may lead to.
    Anchor(&'a mut String),
}

/// A visitor of words.
type Visit<'v> = &'v mut dyn FnMut(Words<'_>);

/// Shows all words of a block to `visit`.
pub fn block(block: &mut Block, visit: Visit) {
    match block {
        Block::Title(line) | Block::Paragraph(line) | Block::Key(line) => visit(Words::Line(line)),
        Block::Heading(heading) => {
            lines([&mut heading.text, &mut heading.note], visit);
            heading.number.iter_mut().for_each(|n| visit(Words::Text(n)));
            heading.anchor.iter_mut().for_each(|a| visit(Words::Anchor(a)));
        }
        Block::List(items) => lines(items, visit),
        Block::Facts(facts) => facts.iter_mut().for_each(|f| fact(f, visit)),
        Block::Side(s) => side(s, visit),
        Block::Schedule(table) => schedule(table, visit),
        Block::Figure(f) => figure(f, visit),
        Block::Photos(photos) => photos.iter_mut().for_each(|p| photo(p, visit)),
        Block::Finding(f) => finding(f, visit),
        Block::Penetration(p) => penetration(p, visit),
        Block::Caution(caution) => {
            visit(Words::Text(&mut caution.ids));
            lines([&mut caution.text, &mut caution.leave_to], visit);
        }
        Block::Opening(opening) => lines([&mut opening.title, &mut opening.under], visit),
        Block::Step(s) => step(s, visit),
        Block::Never(never) => {
            visit(Words::Text(&mut never.head));
            lines(&mut never.items, visit);
        }
        Block::NewPage => {}
    }
}

fn step(step: &mut Step, visit: Visit) {
    visit(Words::Text(&mut step.number));
    visit(Words::Text(&mut step.head));
    visit(Words::Anchor(&mut step.anchor));
    for part in &mut step.parts {
        match part {
            StepPart::Text(line) => visit(Words::Line(line)),
            StepPart::Cases(cases) => cases.iter_mut().for_each(|c| lines([&mut c.found, &mut c.then], visit)),
            StepPart::Blanks(facts) => facts.iter_mut().for_each(|f| fact(f, visit)),
            StepPart::Picture(picture) => figure(picture, visit),
            StepPart::Beside { photo: p, columns } => {
                photo(p, visit);
                lines(columns.iter_mut().flatten(), visit);
            }
        }
    }
}

fn fact(fact: &mut Fact, visit: Visit) {
    visit(Words::Text(&mut fact.label));
    visit(Words::Line(&mut fact.value));
}

fn lines<'a>(lines: impl IntoIterator<Item = &'a mut Line>, visit: Visit) {
    lines.into_iter().for_each(|line| visit(Words::Line(line)));
}

fn side(side: &mut Side, visit: Visit) {
    visit(Words::Text(&mut side.head));
    visit(Words::Text(&mut side.note));
    visit(Words::Anchor(&mut side.anchor));
    for row in &mut side.rows {
        lines([&mut row.ids, &mut row.text, &mut row.right], visit);
        row.anchor.iter_mut().for_each(|a| visit(Words::Anchor(a)));
    }
    side.figure.iter_mut().for_each(|f| figure(f, visit));
}

fn schedule(table: &mut Schedule, visit: Visit) {
    visit(Words::Text(&mut table.summary));
    table.columns.iter_mut().flat_map(|c| &mut c.head).for_each(|h| visit(Words::Text(h)));
    for row in &mut table.rows {
        visit(Words::Text(&mut row.id));
        lines(row.cells.iter_mut().flatten(), visit);
        lines(&mut row.reasons, visit);
        row.anchor.iter_mut().for_each(|a| visit(Words::Anchor(a)));
    }
}

fn figure(figure: &mut Figure, visit: Visit) {
    visit(Words::Line(&mut figure.caption));
    visit(Words::Anchor(&mut figure.anchor));
    drawing(&mut figure.drawing, visit);
}

fn drawing(drawing: &mut Drawing, visit: Visit) {
    visit(Words::Text(&mut drawing.alt));
    visit(Words::Text(&mut drawing.title));
    for mark in &mut drawing.marks {
        if let Mark::Text { text, .. } = mark {
            visit(Words::Text(text));
        }
    }
}

fn photo(photo: &mut Photo, visit: Visit) {
    visit(Words::Text(&mut photo.id));
    visit(Words::Text(&mut photo.missing));
    visit(Words::Text(&mut photo.alt));
    visit(Words::Line(&mut photo.caption));
    visit(Words::Anchor(&mut photo.anchor));
}

fn finding(finding: &mut FindingBlock, visit: Visit) {
    for text in [&mut finding.word, &mut finding.note, &mut finding.title] {
        visit(Words::Text(text));
    }
    lines([&mut finding.clause, &mut finding.closing], visit);
    visit(Words::Anchor(&mut finding.anchor));
    for item in &mut finding.items {
        visit(Words::Text(&mut item.line));
        lines([&mut item.ids, &mut item.measured, &mut item.limit, &mut item.see], visit);
    }
}

fn penetration(penetration: &mut Penetration, visit: Visit) {
    visit(Words::Text(&mut penetration.id));
    visit(Words::Anchor(&mut penetration.anchor));
    visit(Words::Text(&mut penetration.head));
    lines(&mut penetration.facts, visit);
    penetration.faces.iter_mut().for_each(|face| lines([&mut face.found, &mut face.then], visit));
    lines(&mut penetration.reasons, visit);
    penetration.photos.iter_mut().for_each(|p| photo(p, visit));
}
