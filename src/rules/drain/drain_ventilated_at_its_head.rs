//! A flow of air runs through each drain, from an open ventilating pipe at or near its head.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Length;
use crate::compute::heads::Air;
use crate::compute::heads::Head;
use crate::compute::heads::ToAir;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::record::words::Water;
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
    keys: &[key::DRAIN_VENTILATED_AT_HEAD.path(), key::DRAIN_UNVENTILATED_LENGTH_MAXIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let pipes = ctx.record.pipes.iter().zip(&ctx.computed.heads);
    pipes
        .filter(|(item, _)| item.body.carries.get() != Some(&Water::Rain))
        .filter(|(item, _)| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed))
        .filter_map(|(item, head)| head.as_ref().map(|head| judge(ctx, rule, item, head)))
        .collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, item: &Item<Pipe>, head: &Head) -> Finding {
    let subject = |span, field: String| Subject {
        id: item.id.clone(),
        span,
        planned: item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let near = |way: &ToAir| {
        let span = if item.body.length.is_absent() { item.id_span } else { item.body.length.span };
        let missing = way.missing.map_or(item.id.as_str(), |leg| ctx.network.id(leg));
        branch(ctx, &subject(span, format!("pipes.{missing}.length")), way)
    };
    match (head.air, &head.below) {
        (Air::Shut { .. } | Air::None, Some(way)) => near(way),
        // Whatever stands on the stack, a drain that is short enough needs no vent of its own.
        (Air::Open { .. }, Some(way)) if near(way).verdict == Verdict::Met => near(way),
        (air, _) => at_head(ctx, item, air, &subject),
    }
}

fn at_head<'a>(
    ctx: &Ctx<'_>,
    item: &Item<Pipe>,
    air: Air,
    subject: &dyn Fn(crate::base::span::Span, String) -> Subject<'a>,
) -> Finding {
    let name = |leg: usize| ctx.network.id(leg).to_owned();
    let top = |stack: usize| subject(item.id_span, format!("pipes.{}.top", name(stack)));
    match air {
        Air::Vent { stack, terminal, planned, how } => {
            let terminal = ctx.record.terminals.at(terminal).map_or("", |t| t.id.as_str());
            let words = format!("{} at its head, open at {terminal}", name(stack));
            let subject = top(stack);
            let subject = Subject { planned: planned || subject.planned, ..subject };
            vented(ctx, &subject, &Measure::plain(true, how, words))
        }
        Air::Shut { stack, how, .. } => {
            let words = format!("{} at its head lets no air out", name(stack));
            vented(ctx, &top(stack), &Measure::plain(false, how, words))
        }
        Air::Open { stack } => {
            vented(ctx, &top(stack), &Measure::Missing(format!("what stands on top of {}", name(stack))))
        }
        Air::Unknown { drain } if name(drain) == item.id => {
            let subject = subject(item.id_span, format!("pipes.{}.from", item.id));
            vented(ctx, &subject, &Measure::Missing("what stands at its head".to_owned()))
        }
        Air::Unknown { drain } => {
            let subject = subject(item.id_span, format!("pipes.{}.from", name(drain)));
            vented(ctx, &subject, &Measure::Missing(format!("what stands at the head of {}", name(drain))))
        }
        Air::None => {
            let subject = subject(item.id_span, format!("pipes.{}.to", item.id));
            vented(
                ctx,
                &subject,
                &Measure::Missing("a vent at its head, or a ventilated drain that it joins".to_owned()),
            )
        }
    }
}

fn vented(ctx: &Ctx<'_>, subject: &Subject<'_>, measure: &Measure<bool>) -> Finding {
    let answer = ctx.rulebook.ask(key::DRAIN_VENTILATED_AT_HEAD, &Facts::new());
    let mut out = hold(subject, measure, &answer, |_: &bool, _| {
        let text = "a stack that ends in a valve or a plug lets no air out, so it does not ventilate the drain";
        (text.to_owned(), "an open ventilating pipe at the head of this drain, or of another drain on it".to_owned())
    });
    out.limit = "open vent".to_owned();
    out
}

/// A branch drain needs no vent of its own while it is short enough to a ventilated drain.
fn branch(ctx: &Ctx<'_>, subject: &Subject<'_>, way: &ToAir) -> Finding {
    let facts = Facts::new().with(Fact::ApplianceCount, way.appliances);
    let answer = ctx.rulebook.ask(key::DRAIN_UNVENTILATED_LENGTH_MAXIMUM, &facts);
    let drain = ctx.network.id(way.drain);
    let (planned, how) = match way.air {
        Air::Vent { planned, how, .. } => (planned, how),
        _ => (false, How::Computed),
    };
    let measure = match way.length {
        None => Measure::Missing(format!("its length to {drain}")),
        Some(mut l) => {
            l.how = l.how.with(how);
            Measure::length(l, format!("{}\u{a0}m to {drain}, which is ventilated", l.value.metres(2)))
        }
    };
    let mut out = hold(subject, &measure, &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too long without a vent of its own"), "a ventilating pipe at its head".to_owned())
    });
    // A vent that is still to come on the drain it joins makes this one a plan too.
    out.planned |= planned && out.verdict == Verdict::Met;
    out
}
