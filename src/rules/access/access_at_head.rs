//! Each run of drain has an access point on or near its head.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::record::facts::stage_of;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::AccessKind;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::laid;
use crate::rules::spacing;
use std::collections::BTreeSet;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("access-at-head"),
    title: "Access at or near the head of a run of drain",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_AT_HEAD.path(), key::ACCESS_SPACING_MAXIMUM.path()],
    check,
};

/// Access on the head itself.
struct OnIt {
    words: String,
    how: How,
    planned: bool,
}

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let drained = drained(ctx);
    let heads = ctx.new_drains().filter(|(leg, _)| head(ctx, *leg, &drained));
    heads
        .map(|(leg, item)| match on_it(ctx, leg) {
            Some(there) => {
                let how = there.how;
                let mut out = held(ctx, rule, item, "from", &Measure::plain(true, how, there.words));
                out.planned |= there.planned;
                out
            }
            None => beside(ctx, rule, item, next_access(ctx, rule, leg).as_ref()),
        })
        .collect()
}

/// The access points into which a drain runs, found once for all heads.
fn drained(ctx: &Ctx<'_>) -> BTreeSet<usize> {
    let drains = ctx.network.legs.iter().filter(|l| l.derived.kind == Kind::Drain);
    drains.filter_map(|l| if let End::Access(a) = l.ends.to { Some(a) } else { None }).collect()
}

/// Whether nothing that is a drain runs into the upper end of a leg.
fn head(ctx: &Ctx<'_>, leg: usize, drained: &BTreeSet<usize>) -> bool {
    let drain = |leg: usize| ctx.network.legs.get(leg).is_some_and(|l| l.derived.kind == Kind::Drain);
    let Some(from) = ctx.network.legs.get(leg).map(|l| l.ends.from) else { return false };
    match from {
        End::Pipe(above) => !drain(above),
        End::Access(a) => !drained.contains(&a),
        _ => {
            !ctx.network.feeding.get(leg).into_iter().flatten().any(|i| {
                drain(*i) && ctx.network.legs.get(*i).is_some_and(|l| l.join.is_some_and(|j| j.along.is_none()))
            })
        }
    }
}

/// An access point at the upper end, or an access piece on the stack whose foot it is.
fn on_it(ctx: &Ctx<'_>, leg: usize) -> Option<OnIt> {
    match ctx.network.legs.get(leg)?.ends.from {
        End::Access(a) => {
            let item = ctx.record.access.at(a).filter(|x| !x.broken)?;
            let kind = item.body.what.get().filter(|k| **k != AccessKind::Gully)?;
            let words = format!("{}, {}, at its head", item.id, kind.word());
            let planned = stage_of(&item.body.stage) == Stage::Planned;
            Some(OnIt { words, how: ctx.record.how(&item.body.what), planned })
        }
        End::Pipe(stack) => {
            let item = ctx.record.pipes.at(stack).filter(|x| !x.broken)?;
            let (key, at) = item.body.access.get()?.0.first()?;
            let words = format!("{} on {} over its head", key.value, item.id);
            let planned = item.body.stage_now() == Stage::Planned;
            Some(OnIt { words, how: ctx.record.how(at), planned })
        }
        _ => None,
    }
}

/// The run from a leg down to the next access point, held against the guidance's table.
fn next_access(ctx: &Ctx<'_>, rule: &Rule, leg: usize) -> Option<Finding> {
    let run = ctx.computed.runs.iter().find(|run| run.first == leg && !run.unreadable)?;
    spacing::of_run(ctx, &spacing::subject(ctx, rule, run)?, run)
}

/// Near the head: the next access point down is no further than the guidance lets it be from the start of a drain.
fn beside(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, spacing: Option<&Finding>) -> Finding {
    let missing = |key: &str, what: &str| held(ctx, rule, item, key, &Measure::Missing(what.to_owned()));
    let Some(found) = spacing else { return missing("from", "what stands at its head") };
    match found.verdict {
        Verdict::Met => {
            let mut out = held(ctx, rule, item, "length", &Measure::plain(true, How::Computed, found.measured.clone()));
            out.inside_spread = found.inside_spread;
            out.planned |= found.planned;
            out.recalled |= found.recalled;
            out
        }
        Verdict::NotMet => held(ctx, rule, item, "from", &Measure::plain(false, How::Computed, found.measured.clone())),
        Verdict::NotShown | Verdict::NotApplicable => {
            let remedy = found.remedy.as_ref();
            let what = remedy.map_or("what stands at its head", |r| r.text.as_str());
            let mut out = missing("from", what);
            if let (Some(own), Some(field)) = (out.remedy.as_mut(), remedy.and_then(|r| r.field.clone())) {
                own.field = Some(field);
            }
            out
        }
    }
}

fn held(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, key: &str, measure: &Measure<bool>) -> Finding {
    let subject = Subject { ..laid::subject(item, rule, key, &item.body.from) };
    let answer = ctx.rulebook.ask(key::ACCESS_AT_HEAD, &Facts::new());
    let mut out = hold(&subject, measure, &answer, |_: &bool, _| {
        let text = "the next access point lies too far down for rods to reach the head";
        (text.to_owned(), "a rodding eye, or an access piece on the stack, at its head".to_owned())
    });
    out.limit = "on or near the head".to_owned();
    if let (Verdict::NotMet, Some(remedy)) = (out.verdict, out.remedy.as_mut()) {
        remedy.field = Some("access".to_owned());
    }
    out
}
