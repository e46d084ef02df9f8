//! The handover pack: for the owner, at night, with a blocked drain.
//!
//! 1. [`way`] finds which covers stand on the way out of the house. 2. [`night`] is the first page, with no level, clause
//!    or verdict on it. 3. [`guide`] says what is where; [`calendar`] what needs doing when; [`open`] what was left open and
//!    whose the pipes are. 4. [`glossary`] explains the words that were used, and no others.

mod calendar;
mod glossary;
mod guide;
mod names;
mod night;
mod open;
pub mod way;

use crate::Examined;
use crate::base::doc::Line;
use crate::base::doc::Parts;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::finding::Moment;
use crate::pack::Choice;
use crate::pack::Desk;
use crate::pack::Pack;
use crate::pack::Part;
use crate::pack::cautions;
use crate::pack::photos;
use crate::readiness::cautions::Reader;
use serde_json::json;

/// The handover pack: for the owner.
pub fn handover(job: &Examined<'_>, choice: &Choice<'_>) -> Pack {
    let desk = Desk::new(job, choice);
    let mut parts = Parts::default();
    let order = night::add(&desk, &mut parts);
    let mut all: Vec<(&str, &str, Part)> = vec![
        ("system", "Your drains in one picture", guide::picture(&desk)),
        ("how", "How it works", guide::how_it_works(&desk)),
        ("guide", "What is where", guide::what_is_where(&desk)),
        ("use", "How to live with it", guide::how_to_use()),
        ("access", "Where to get at it", guide::access(&desk)),
        ("hidden", "What lies behind what", guide::hidden(&desk)),
        ("calendar", "What needs doing, and when", calendar::table(&desk)),
        ("whose", "Whose the pipes are", open::whose(&desk)),
        ("spare", "Spare entries", guide::spare(&desk)),
        ("left-open", "What was left open", open::left_open(&desk)),
        ("cautions", "Before you open or dig anything", cautions::blocks(&desk, Reader::Owner)),
    ];
    let glossary = glossary::of(all.iter().flat_map(|(_, _, part)| &part.blocks));
    all.push(("words", "Words used here", glossary));
    all.push(("photos", "Photos", photos::plates(&desk)));
    all.push(("this-is-not", "What this is not", open::this_is_not()));
    let mut sections = Vec::new();
    for (name, title, part) in all.into_iter().filter(|(_, _, part)| !part.blocks.is_empty()) {
        sections.push(json!({"name": name, "title": title}));
        parts.blocks.insert(name.to_owned(), part.blocks);
        parts.notes.insert(name.to_owned(), part.note);
    }
    let title = job.record.job.title.get().map_or("Job", |t| t.0.as_str()).to_owned();
    let job_id = job.record.job.id.get().map_or("", |t| t.0.as_str());
    let short = title.split(':').next().unwrap_or(&title).trim().to_owned();
    Pack {
        context: json!({"title": title, "first_page": order, "sections": sections}),
        parts,
        template: "handover.md.tera",
        running_left: vec![bold(job_id), plain(format!("  {short}  ·  for the owner"))],
        running_right: vec![plain(keep_where(&desk))],
        foot_left: foot(choice),
        title,
        date: choice.date,
    }
}

fn keep_where(desk: &Desk<'_>) -> String {
    let homes = night::dwellings(desk);
    let who = if homes.len() > 1 { "everyone who lives here" } else { "you" };
    format!("keep this page where {who} can find it")
}

/// "as recorded to 12 Mar 2026, while work was going on; digest 7f3c 91d2".
fn foot(choice: &Choice<'_>) -> Line {
    let digest: String = choice.record_digest.chars().take(8).collect();
    let (d1, d2) = digest.split_at(digest.len().min(4));
    let going_on = if choice.moment < Moment::Completion { ", while work was going on" } else { "" };
    let day = crate::base::text::date(choice.date);
    vec![plain(format!("as recorded to {day}{going_on}; digest {d1} {d2}"))]
}
