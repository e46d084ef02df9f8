//! A flow of air runs through each drain, from an open ventilating pipe at or near its head.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::heads::Head;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-ventilated-at-its-head"),
    title: "Drain ventilated at or near its head",
    weight: Weight::Clause,
    due: Moment::Completion,
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let pipes = ctx.record.pipes.iter().zip(&ctx.computed.heads);
    pipes
        .filter(|(item, _)| !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed))
        .filter_map(|(item, head)| head.as_ref().map(|head| judge(ctx, rule, item, head)))
        .collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, head: &Head) -> Finding {
    let subject = |planned: bool, field: String| Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: planned || item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let at_head = ctx.rulebook.ask(key::DRAIN_VENTILATED_AT_HEAD, &Facts::new());
    let vented = |subject: &Subject<'_>, measure: &Measure<bool>| {
        let mut out = hold(subject, measure, &at_head, |_: &bool, _| {
            let text = "a valve lets air in and none out, so the drain is not ventilated by it";
            (
                text.to_owned(),
                "an open ventilating pipe at the head of this drain, or of another drain on it".to_owned(),
            )
        });
        out.limit = "open vent at the head".to_owned();
        out
    };
    let name = |leg: usize| ctx.network.id(leg).to_owned();
    match head {
        Head::Vented { stack, terminal, planned } => {
            let terminal = ctx.record.terminals.at(*terminal).map_or("", |t| t.id.as_str());
            let words = format!("{} at its head, open at {terminal}", name(*stack));
            vented(&subject(*planned, format!("pipes.{}.top", name(*stack))), &Measure::plain(true, How::Stated, words))
        }
        Head::Valve { stack } => {
            let words = format!("{} at its head ends in a valve", name(*stack));
            vented(&subject(false, format!("pipes.{}.top", name(*stack))), &Measure::plain(false, How::Stated, words))
        }
        Head::Open { stack } => {
            let what = format!("what stands on top of {}", name(*stack));
            vented(&subject(false, format!("pipes.{}.top", name(*stack))), &Measure::Missing(what))
        }
        Head::Unknown => {
            let what = "what stands at its head".to_owned();
            vented(&subject(false, format!("pipes.{}.from", item.id)), &Measure::Missing(what))
        }
        Head::Branch { length, appliances, into } => {
            branch(ctx, &subject(false, format!("pipes.{}.length", item.id)), (*length, *appliances, *into))
        }
    }
}

type Branch = (Option<crate::base::known::Known<Length>>, u32, Option<usize>);

/// A branch drain needs no vent of its own while it is short enough to a ventilated drain.
fn branch(ctx: &Ctx<'_>, subject: &Subject<'_>, (length, appliances, into): Branch) -> Finding {
    let facts = Facts::new().with(Fact::ApplianceCount, appliances);
    let answer = ctx.rulebook.ask(key::DRAIN_UNVENTILATED_LENGTH_MAXIMUM, &facts);
    let measure = match (length, into) {
        (_, None) => Measure::Missing("a ventilated drain that it joins".to_owned()),
        (None, Some(into)) => Measure::Missing(format!("its length to {}", ctx.network.id(into))),
        (Some(l), Some(into)) => {
            Measure::length(l, format!("{}\u{a0}m to {}, which is ventilated", l.value.metres(2), ctx.network.id(into)))
        }
    };
    let mut out = hold(subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too long without a vent of its own"), "a ventilating pipe at its head".to_owned())
    });
    // A vent that is still to come at the head of the drain it joins makes this one a plan too.
    let waits = into.and_then(|i| ctx.computed.heads.get(i).cloned().flatten());
    if out.verdict == Verdict::Met && matches!(waits, Some(Head::Vented { planned: true, .. })) {
        out.planned = true;
    }
    out
}
