//! What can hurt on this job, each in its frame, at the head of the part that it belongs to.

use crate::base::doc::Block;
use crate::base::doc::Caution;
use crate::base::doc::Line;
use crate::base::doc::plain;
use crate::pack::Desk;
use crate::pack::Part;
use crate::readiness::cautions::Called;
use crate::readiness::cautions::Reader;
use crate::readiness::cautions::called;

/// The parts of the inspection pack at whose head the cautions of a section stand, and how many each takes.
const PLACES: [(&str, &str, usize); 7] = [
    ("ground", "drains-laid", 4),
    ("drains", "drains-reached", 4),
    ("drains", "chambers", 4),
    ("building", "penetrations", 4),
    ("joints", "branches", 4),
    ("height", "stack", 4),
    ("building", "branches-set-out", 4),
];

/// The cautions that this record calls for and that are meant for a reader.
pub(crate) fn blocks(desk: &Desk<'_>, reader: Reader) -> Part {
    Part { blocks: for_reader(desk, reader).iter().map(block).collect(), note: Line::new() }
}

/// Puts each caution of the work at the head of its part; what has no part that stands goes to the part of its own.
pub(crate) fn place(desk: &Desk<'_>, parts: &mut [(&str, Part)]) {
    let mut left = for_reader(desk, Reader::Work);
    for (section, name, most) in PLACES {
        let Some((_, part)) = parts.iter_mut().find(|(n, p)| *n == name && !p.blocks.is_empty()) else { continue };
        let mut taken = 0;
        let (here, rest): (Vec<Called>, Vec<Called>) = left.into_iter().partition(|c| {
            let takes = c.caution.section == section && taken < most;
            taken += usize::from(takes);
            takes
        });
        left = rest;
        part.blocks.splice(0..0, here.iter().map(block));
    }
    if let Some((_, own)) = parts.iter_mut().find(|(n, _)| *n == "cautions") {
        own.blocks.extend(left.iter().map(block));
    }
}

fn for_reader(desk: &Desk<'_>, reader: Reader) -> Vec<Called> {
    let job = desk.job;
    let all = called(&job.network, &job.computed, &job.findings);
    all.into_iter().filter(|c| c.caution.reader.reaches(reader)).collect()
}

fn block(called: &Called) -> Block {
    Block::Caution(framed(called))
}

fn framed(called: &Called) -> Caution {
    Caution {
        ids: called.items.join(" "),
        text: vec![plain(called.caution.words)],
        leave_to: vec![plain(called.caution.leave_to)],
    }
}
