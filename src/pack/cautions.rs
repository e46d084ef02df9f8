//! What can hurt on this job, each in its frame: four to a page at most.

use crate::base::doc::Block;
use crate::base::doc::Caution;
use crate::base::doc::Line;
use crate::base::doc::plain;
use crate::pack::Desk;
use crate::pack::Part;
use crate::readiness::cautions::Called;
use crate::readiness::cautions::Reader;
use crate::readiness::cautions::called;

/// So many stand on a page, and no more: who meets ten at once reads none.
const ON_A_PAGE: usize = 4;

/// The cautions that this record calls for and that are meant for a reader.
pub(crate) fn blocks(desk: &Desk<'_>, reader: Reader) -> Part {
    let job = desk.job;
    let all = called(&job.network, &job.computed, &job.findings);
    let mine: Vec<Called> = all.into_iter().filter(|c| c.caution.reader.reaches(reader)).collect();
    let mut blocks = Vec::new();
    for (i, called) in mine.iter().enumerate() {
        if i > 0 && i % ON_A_PAGE == 0 {
            blocks.push(Block::NewPage);
        }
        blocks.push(Block::Caution(framed(called)));
    }
    Part { blocks, note: Line::new() }
}

fn framed(called: &Called) -> Caution {
    Caution {
        ids: called.items.join(" "),
        text: vec![plain(called.caution.words)],
        leave_to: vec![plain(called.caution.leave_to)],
    }
}
