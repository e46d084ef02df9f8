//! Where another drain is near that it might have been led into, dye shows that foul water comes down the foul drain.
//!
//! It is asked where the work joins a drain that was there before, and where the job has drains for rain as well: once
//! for each drain by which foul water leaves the new work.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::text::day;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::evidence::Test;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Mention;
use crate::record::words::Stage;
use crate::record::words::TestKind;
use crate::record::words::Water;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("foul-proven-to-foul"),
    title: "Foul water shown to run into the foul drain",
    weight: Weight::Clause,
    due: Moment::Completion,
    keys: &[key::DRAIN_FOUL_TO_FOUL.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let rain = ctx
        .record
        .pipes
        .iter()
        .any(|p| p.body.carries.get() == Some(&Water::Rain) && p.body.stage_now() != Stage::Removed && !p.broken);
    let last = |leg: usize| match leaves(ctx, leg) {
        Leaves::IntoOld => true,
        Leaves::Job => rain,
        Leaves::IntoNew => false,
    };
    ctx.foul_drains().filter(|(leg, _)| last(*leg)).map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

/// Where the water of a drain goes next.
enum Leaves {
    /// Into another drain of the work.
    IntoNew,
    /// Into a drain that was there before.
    IntoOld,
    /// Out of the job.
    Job,
}

fn leaves(ctx: &Ctx<'_>, leg: usize) -> Leaves {
    let below = ctx.network.downstream(leg).and_then(|next| ctx.network.legs.get(next));
    let below = below.filter(|l| l.derived.kind == Kind::Drain).and_then(|l| ctx.record.pipes.at(l.pipe));
    match below.map(|pipe| pipe.body.stage_now()) {
        Some(Stage::Existing) => Leaves::IntoOld,
        Some(_) => Leaves::IntoNew,
        None => match ctx.network.legs.get(leg).map(|l| l.ends.to) {
            Some(End::Outfall(_)) => Leaves::Job,
            // Where it leads is not known, or it ends at a chamber from which the record draws no drain.
            _ => Leaves::IntoOld,
        },
    }
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let subject = Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: item.body.stage_now() == Stage::Planned,
        field: "tests".to_owned(),
        rule,
    };
    let outcomes = ctx.record.tests.iter().zip(&ctx.computed.tests);
    let dyes = outcomes.filter(|(t, o)| !t.broken && o.kind == Some(TestKind::Dye) && o.replaced_by.is_none());
    let told = dyes.filter_map(|(test, _)| Some((test, course(ctx, test)?))).filter(|(_, way)| way.legs.contains(&leg));
    // The newest speaks.
    let newest = told.max_by_key(|(test, _)| test.body.date.get().copied());
    let answer = ctx.rulebook.ask(key::DRAIN_FOUL_TO_FOUL, &Facts::new());
    let measure = match &newest {
        None => Measure::Missing(format!("a test with dye that comes down {}", item.id)),
        Some((test, way)) => match seen(ctx, test, way, leg) {
            Some(seen) => Measure::plain(seen, How::Stated, words(test)),
            None => Measure::Missing(format!("where the dye of {} was seen", test.id)),
        },
    };
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        let text = format!("what goes in there does not come down {} alone", item.id);
        (text, "find where it goes, put the connection right, then test again".to_owned())
    });
    out.limit = "dye comes down the foul drain and nowhere else".to_owned();
    if let Some((test, way)) = newest {
        dated(ctx, &subject, &mut out, test, &way.legs);
    }
    out
}

/// A test without a day, and one before a pipe on its way was changed, shows nothing.
fn dated(ctx: &Ctx<'_>, subject: &Subject<'_>, out: &mut Finding, test: &Item<Test>, legs: &[usize]) {
    let Some(on) = test.body.date.get().copied().filter(|_| out.verdict != Verdict::NotShown) else {
        if out.verdict != Verdict::NotShown {
            let at = Subject { field: format!("tests.{}.date", test.id), ..subject.clone() };
            unsettled(out, &at, format!("the day of {}", test.id));
        }
        return;
    };
    let pipes = legs.iter().filter_map(|leg| ctx.record.pipes.at(*leg));
    let changed =
        pipes.filter_map(|p| p.body.changed.get().map(|d| (p, *d))).filter(|(_, d)| *d > on).max_by_key(|c| c.1);
    if let Some((pipe, when)) = changed {
        unsettled(out, subject, format!("a test with dye since {} was changed on {}", pipe.id, day(when)));
    }
}

/// The way of the water from where dye was put in.
struct Way {
    legs: Vec<usize>,
    /// The legs with the places they end at.
    places: Vec<(usize, String)>,
}

/// Down from where it was put in; `None` where the record does not say where, or that is on no pipe.
fn course(ctx: &Ctx<'_>, test: &Item<Test>) -> Option<Way> {
    let (record, network) = (ctx.record, ctx.network);
    let id = test.body.put_in.get()?.0.as_str();
    let host = |a: usize| {
        record.appliances.at(a).and_then(|x| x.body.into.get()).and_then(|r| record.appliances.position(&r.0))
    };
    let of = |a: usize| ctx.computed.outlets.get(a).and_then(|legs| legs.first()).copied();
    let from_appliance = |a: usize| of(a).or_else(|| host(a).and_then(of));
    let first = record.appliances.position(id).and_then(from_appliance);
    let first = first.or_else(|| record.pipes.position(id));
    let first = first.or_else(|| record.access.position(id).and_then(|a| network.leaving.get(a).copied().flatten()));
    let mut way = Way { legs: Vec::new(), places: Vec::new() };
    let mut next = first;
    while let Some(leg) = next.filter(|leg| !way.legs.contains(leg)) {
        way.legs.push(leg);
        let end = network.legs.get(leg).map_or(End::Absent, |l| l.ends.to);
        way.places.push((leg, network.end_id(end).to_owned()));
        next = network.downstream(leg);
    }
    first.map(|_| way)
}

/// Whether it was seen at or below the lower end of a drain, and missed at none of those places nor seen coming by
/// another way; `None` where the record does not say.
fn seen(ctx: &Ctx<'_>, test: &Item<Test>, way: &Way, leg: usize) -> Option<bool> {
    let at = test.body.seen_at.get();
    let missed = test.body.not_at.get().into_iter().flat_map(|l| l.iter());
    let below: Vec<usize> = way.legs.iter().copied().skip_while(|l| *l != leg).collect();
    let here = |mention: &Mention| {
        let end = way.places.iter().any(|(l, place)| below.contains(l) && *place == mention.id);
        let along = below.iter().any(|l| ctx.network.id(*l) == mention.id);
        let from = mention.part.as_deref().and_then(|p| p.strip_prefix("from "));
        let by = from.is_none_or(|id| way.legs.iter().any(|l| ctx.network.id(*l) == id.trim()));
        (end || along) && by
    };
    if missed.into_iter().any(here) {
        return Some(false);
    }
    at.map(here)
}

/// `T8: put in at WC1, seen at MH1 from D3`.
fn words(test: &Item<Test>) -> String {
    let put = test.body.put_in.get().map_or("", |r| r.0.as_str());
    let seen = test.body.seen_at.get().map_or("not seen".to_owned(), |m| format!("seen at {}", m.words()));
    format!("{}: put in at {put}, {seen}", test.id)
}
