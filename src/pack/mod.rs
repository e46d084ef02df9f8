//! What each document says: words, order and figures. No page, colour or font.
//!
//! 1. [`words`] says numbers and verdicts the same way everywhere. 2. [`first_page`] is the inspector's first page.
//! 3. [`drains`], [`branches`], [`appliances`] and [`stacks`] are schedules, [`chambers`] and [`access`] too; [`along`], [`ports`] and
//!    [`trail`] are what stands under a row; [`recorded`] prints the rest, [`protection`] what keeps the sewer out, [`old`]
//!    what was there before.
//! 4. [`findings`], [`photos`], [`cautions`] and [`basis`] close the pack; [`figure`] draws. 5. [`handover`](mod@handover) is the owner's.

mod access;
mod along;
mod appliances;
mod archive;
mod basis;
mod branches;
mod cautions;
mod chambers;
mod drains;
pub mod figure;
mod findings;
mod first_page;
mod flows;
mod ground;
mod handover;
mod laid;
mod old;
mod penetrations;
mod photos;
mod ports;
mod protection;
mod quantities;
mod recorded;
mod setting_out;
mod stacks;
mod tests;
mod trail;
mod words;

pub use crate::pack::handover::handover;
pub use crate::pack::handover::way::paces;
pub use crate::pack::handover::way::rods;
pub use archive::{Originals, archive};

use crate::Examined;
use crate::base::doc::Block;
use crate::base::doc::Line;
use crate::base::doc::Parts;
use crate::base::doc::bold;
use crate::base::doc::plain;
use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::span::SourceText;
use crate::rulebook::Prose;
use chrono::NaiveDate;
use serde_json::json;
use std::collections::BTreeMap;

/// A document ready for its template.
pub struct Pack {
    /// What templates see.
    pub context: serde_json::Value,
    /// The blocks and notes that templates place.
    pub parts: Parts,
    /// The template to begin with.
    pub template: &'static str,
    /// The document's title.
    pub title: String,
    /// Left in the running head.
    pub running_left: Line,
    /// Right in the running head.
    pub running_right: Line,
    /// Left in the foot.
    pub foot_left: Line,
    /// The document's date.
    pub date: NaiveDate,
}

/// What a document depends on beside the job.
pub struct Choice<'a> {
    /// The document's date.
    pub date: NaiveDate,
    /// The moment it is made for.
    pub moment: Moment,
    /// SHA-256 of the record's bytes, in hex.
    pub record_digest: String,
    /// The record's text.
    pub source: &'a SourceText,
    /// Explanations and ledger.
    pub prose: &'a Prose,
}

/// What every part of a pack looks at.
pub(crate) struct Desk<'a> {
    pub(crate) job: &'a Examined<'a>,
    pub(crate) choice: &'a Choice<'a>,
    /// What is missing where levels are not known.
    pub(crate) gaps: Vec<crate::network::gaps::Gap>,
    by_item: BTreeMap<&'static str, BTreeMap<&'a str, &'a Finding>>,
}

impl<'a> Desk<'a> {
    fn new(job: &'a Examined<'a>, choice: &'a Choice<'a>) -> Self {
        let mut by_item: BTreeMap<&'static str, BTreeMap<&str, &Finding>> = BTreeMap::new();
        for finding in &job.findings {
            by_item.entry(finding.rule.0).or_default().insert(&finding.item, finding);
        }
        Self { job, choice, gaps: crate::network::gaps::find(&job.network), by_item }
    }

    /// The finding of a rule on an item.
    pub(crate) fn finding_of(&self, rule: &str, item: &str) -> Option<&'a Finding> {
        self.by_item.get(rule).and_then(|items| items.get(item)).copied()
    }

    /// Of several rules on an item the finding that governs: not met before not shown before met.
    pub(crate) fn worst_of(&self, rules: &[&str], item: &str) -> Option<&'a Finding> {
        let found = rules.iter().filter_map(|rule| self.finding_of(rule, item));
        found
            .filter(|f| f.verdict != crate::base::finding::Verdict::NotApplicable)
            .min_by_key(|f| (f.verdict, !f.inside_spread))
    }

    /// Photos that show an item or a part of it, by id.
    pub(crate) fn photos_of(&self, item: &str) -> Vec<&'a str> {
        let shows = |p: &&'a crate::record::sections::Item<crate::record::evidence::PhotoItem>| {
            p.body.shows.get().is_some_and(|l| l.iter().any(|m| m.id == item))
        };
        self.job.record.photos.iter().filter(shows).map(|p| p.id.as_str()).collect()
    }

    /// A link to the first photo of an item, or the words "no photo".
    pub(crate) fn see_photo(&self, item: &str) -> Line {
        match self.photos_of(item).first() {
            Some(photo) => words::see(photo, &words::anchor(photo)),
            None => vec![plain("no photo")],
        }
    }

    /// The text of the record at a place, its white space folded.
    pub(crate) fn as_written(&self, span: crate::base::span::Span) -> String {
        self.choice.source.slice(span).split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// The inspection pack: for the inspector on site with ten minutes.
pub fn inspection(job: &Examined<'_>, choice: &Choice<'_>) -> Pack {
    let desk = Desk::new(job, choice);
    let mut parts = Parts::default();
    let mut has = serde_json::Map::new();
    first_page::add(&desk, &mut parts);
    let mut sections: [(&str, Part); 24] = [
        ("drains", drains::levels(&desk)),
        ("drains-flow", flows::schedule(&desk)),
        ("drains-laid", laid::laid(&desk)),
        ("drains-reached", laid::reached(&desk)),
        ("drains-shown", laid::shown(&desk)),
        ("branches", branches::schedule(&desk)),
        ("stack", stacks::schedule(&desk)),
        ("chambers", chambers::schedule(&desk)),
        ("access", access::schedule(&desk)),
        ("protection", protection::schedule(&desk)),
        ("old", old::schedule(&desk)),
        ("appliances", appliances::branches(&desk)),
        ("traps", appliances::traps(&desk)),
        ("tests", tests::schedule(&desk)),
        ("drawings", figure_part(&desk)),
        ("branches-set-out", setting_out::branches(&desk)),
        ("drains-set-out", setting_out::drains(&desk)),
        ("quantities", quantities::schedules(&desk)),
        ("findings", findings::blocks(&desk)),
        ("penetrations", penetrations::blocks(&desk)),
        ("record", recorded::rest(&desk)),
        ("photos", photos::plates(&desk)),
        ("cautions", Part::default()),
        ("basis", basis::blocks(&desk)),
    ];
    cautions::place(&desk, &mut sections);
    for (name, part) in sections {
        has.insert(name.replace('-', "_"), json!(!part.blocks.is_empty()));
        let block = if name == "tests" { "test-schedule" } else { name };
        parts.blocks.insert(block.to_owned(), part.blocks);
        parts.notes.insert(name.to_owned(), part.note);
    }
    let title = job.record.job.title.get().map_or("Job", |t| t.0.as_str()).to_owned();
    let job_id = job.record.job.id.get().map_or("", |t| t.0.as_str());
    let short = title.split(':').next().unwrap_or(&title).trim().to_owned();
    let digest: String = choice.record_digest.chars().take(8).collect();
    let (d1, d2) = digest.split_at(digest.len().min(4));
    Pack {
        context: json!({"title": title, "first_page": first_page::ORDER, "has": has}),
        parts,
        template: "inspection.md.tera",
        running_left: vec![bold(job_id), plain(format!("  {short}  ·  Inspection pack"))],
        running_right: vec![plain(basis::rulebook_words(&desk))],
        foot_left: vec![plain(format!("record to {}, digest {d1} {d2}", crate::base::text::date(choice.date)))],
        title,
        date: choice.date,
    }
}

/// A section's blocks and the note at the right of its head.
#[derive(Default)]
pub(crate) struct Part {
    pub(crate) blocks: Vec<Block>,
    pub(crate) note: Line,
}

fn figure_part(desk: &Desk<'_>) -> Part {
    let drawings = figure::long_sections(&desk.job.network);
    let figures = drawings.into_iter().enumerate().map(|(i, drawing)| {
        Block::Figure(crate::base::doc::Figure {
            anchor: format!("drg-{}", i + 1),
            drawing,
            upright: None,
            caption: Line::new(),
        })
    });
    Part { blocks: figures.collect(), note: vec![plain("made from the record alone")] }
}
