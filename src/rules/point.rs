//! What the rules on access points have in common: the point as what is judged, and yes, no and words held for it.

use crate::base::citation::Citation;
use crate::base::finding::Finding;
use crate::base::finding::Verdict;
use crate::base::known::How;
use crate::base::known::Known;
use crate::base::size::Nominal;
use crate::base::units::Length;
use crate::network::ends::End;
use crate::network::legs::Leg;
use crate::record::facts::stage_of;
use crate::record::pipework::Access;
use crate::record::sections::Item;
use crate::record::value::Field;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::record::words::YesNo;
use crate::rulebook::Answer;
use crate::rulebook::Compare;
use crate::rulebook::Facts;
use crate::rulebook::Key;
use crate::rulebook::Limit;
use crate::rulebook::Words;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::hold;

/// An access point that the work puts in.
#[derive(Clone, Copy)]
pub struct Point<'a> {
    /// Everything that may be looked at.
    pub ctx: &'a Ctx<'a>,
    /// The rule.
    pub rule: &'a Rule,
    /// Its position in the record.
    pub position: usize,
    /// What is written of it.
    pub item: &'a Item<Access>,
    /// What it is.
    pub kind: AccessKind,
}

/// What a sub-check of yes or no is called, what is missing when nothing is said, and what it would mean to fail.
pub struct Asked<'a> {
    /// The key in the record.
    pub key: &'a str,
    /// What the record does not show: "whether its cover comes off".
    pub missing: &'a str,
    /// What was read, when yes and when no.
    pub words: (&'a str, &'a str),
    /// What is asked, in words.
    pub limit: &'a str,
    /// What is wrong with it, when it is not so.
    pub text: &'a str,
    /// What would do.
    pub remedy: &'a str,
}

/// Every access point that the work puts in and of which the record says what it is.
pub fn new<'a>(ctx: &'a Ctx<'a>, rule: &'a Rule) -> impl Iterator<Item = Point<'a>> {
    let all = ctx.record.access.iter().enumerate();
    all.filter(|(_, item)| !item.broken && !matches!(stage_of(&item.body.stage), Stage::Existing | Stage::Removed))
        .filter_map(move |(position, item)| {
            let kind = *item.body.what.get()?;
            Some(Point { ctx, rule, position, item, kind })
        })
}

impl<'a> Point<'a> {
    /// As what is judged by one of its fields; where that says nothing, its id is the place.
    pub fn subject<T>(&self, key: &str, field: &Field<T>) -> Subject<'a> {
        Subject {
            id: self.item.id.clone(),
            span: if field.is_absent() { self.item.id_span } else { field.span },
            planned: stage_of(&self.item.body.stage) == Stage::Planned,
            field: format!("access.{}.{key}", self.item.id),
            rule: self.rule,
        }
    }

    /// How a value is known of which the point's kind chooses the limit.
    pub fn how<T>(&self, field: &Field<T>) -> How {
        let own = self.ctx.record.how(field);
        if self.ctx.record.how(&self.item.body.what) == How::Believed { How::Believed } else { own }
    }

    /// Its depth from cover to the invert that leaves, unless that is only believed.
    pub fn depth(&self) -> Option<Known<Length>> {
        self.ctx.computed.depths.get(self.position).copied().flatten().filter(|d| !d.believed())
    }

    /// The field that would give its depth.
    pub fn depth_field(&self) -> String {
        let key = if self.item.body.cover.get().is_none() { "cover" } else { "il-out" };
        format!("access.{}.{key}", self.item.id)
    }

    /// The pipes that meet in it.
    pub fn meeting(&self) -> impl Iterator<Item = &'a Leg> {
        let here = End::Access(self.position);
        self.ctx.network.legs.iter().filter(move |leg| leg.ends.from == here || leg.ends.to == here)
    }

    /// The size of the largest of them; `None` while one of them, or all, are not known.
    pub fn largest(&self) -> Option<Nominal> {
        let sizes: Option<Vec<Nominal>> = self.meeting().map(|leg| leg.nominal).collect();
        sizes?.into_iter().max()
    }

    /// The first pipe that leaves it.
    pub fn leaving(&self) -> Option<usize> {
        self.ctx.network.leaving.get(self.position).copied().flatten()
    }

    /// Holds a yes or no that the record gives.
    pub fn yes_no(&self, asked: &Asked<'_>, field: &Field<YesNo>, limit: Key<bool>) -> Finding {
        let measure = match field.get() {
            Some(said) => {
                let words = if said.yes() { asked.words.0 } else { asked.words.1 };
                Measure::plain(said.yes(), self.how(field), words)
            }
            None => Measure::Missing(asked.missing.to_owned()),
        };
        self.plain(asked, self.subject(asked.key, field), &measure, &self.ctx.rulebook.ask(limit, &Facts::new()))
    }

    /// Holds something that is so or not, with the words of what is asked.
    pub fn plain(
        &self,
        asked: &Asked<'_>,
        subject: Subject<'_>,
        measure: &Measure<bool>,
        answer: &Answer<bool>,
    ) -> Finding {
        let mut out = hold(&subject, measure, answer, |_: &bool, _| (asked.text.to_owned(), asked.remedy.to_owned()));
        if answer.limit().is_some() {
            out.limit = asked.limit.to_owned();
        }
        out
    }
}

/// A limit of words as whether a word is one of them, with how it prints.
pub fn among(answer: Answer<Words>, said: Option<&str>) -> (Answer<bool>, bool, String) {
    let limit = match answer {
        Answer::Is(limit) => limit,
        Answer::NeedsApproval(c) => return (Answer::NeedsApproval(c), false, String::new()),
        Answer::NotPermitted(c) => return (Answer::NotPermitted(c), false, String::new()),
        Answer::AdopterFills(c) => return (Answer::AdopterFills(c), false, String::new()),
        Answer::Silent => return (Answer::Silent, false, String::new()),
        Answer::Unknown(facts) => return (Answer::Unknown(facts), false, String::new()),
    };
    let all: Vec<&str> = limit.value.iter().map(String::as_str).collect();
    let (fits, words) = (said.is_some_and(|said| limit.met_by(said)), crate::base::text::list(&all, "or"));
    let Limit { citation, recalled, cell, relaxed_by, would_ease, .. } = limit;
    let limit = Limit { value: true, compare: Compare::OneOf, citation, recalled, cell, relaxed_by, would_ease };
    (Answer::Is(limit), fits, words)
}

/// One finding for what a depth chooses, when it may lie on either side of an edge: all must agree.
pub fn at_depths(point: &Point<'_>, depth: Option<Known<Length>>, held: impl Fn(Option<Length>) -> Finding) -> Finding {
    let Some(known) = depth else { return held(None) };
    let found = held(Some(known.value));
    let ends = [known.value - known.half, known.value + known.half];
    if ends.into_iter().all(|depth| held(Some(depth)).verdict == found.verdict) {
        return found;
    }
    let mut out = held(Some(known.value + known.half));
    let subject = Subject { field: point.depth_field(), ..point.subject("cover", &point.item.body.cover) };
    crate::rules::driver::unsettled(
        &mut out,
        &subject,
        "its depth so closely that one line of the table is left".to_owned(),
    );
    out.verdict = Verdict::NotShown;
    out
}

/// Cites a line of the table where the record does not show which: the table is known all the same.
pub fn cited(out: &mut Finding, line: Option<&Citation>) {
    if out.verdict == Verdict::NotShown && out.citation.is_none() {
        cite(out, line);
        out.recalled = false;
    }
}
