//! The branch of one appliance is neither flatter nor steeper than the guidance allows for that appliance and size.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::units::Gradient;
use crate::network::kind::Kind;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Window;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::hold;
use crate::rules::single_branch;
use crate::rules::single_branch::Own;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("branch-slope"),
    title: "Slope of a branch from one appliance",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::BRANCH_SLOPE_FLATTEST.path(),
        key::BRANCH_SLOPE_WINDOW.path(),
        key::DRAIN_PEAK_FLOW.path(),
        key::DRAIN_GRADIENT_MINIMUM.path(),
    ],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    single_branch::each(ctx, |own| own.single.legs.iter().filter_map(|leg| judge(ctx, rule, own, *leg)).collect())
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, own: &Own<'_>, leg: usize) -> Option<Finding> {
    let pipe = ctx.record.pipes.at(leg)?;
    let fall = &pipe.body.fall;
    let mut subject = own.subject(ctx, rule, "fall", fall.is_absent(), fall.span);
    if own.kind(ctx).is_some() && own.size.is_some() {
        subject.field = format!("pipes.{}.fall", pipe.id);
    }
    let (facts, found) = (own.facts(ctx), single_branch::slope(ctx, own, leg));
    let too_flat = |limit: Gradient, found: Gradient| {
        let words = format!("flatter than {}\u{a0}mm/m{}", limit.mm_per_m(), as_a_drain(ctx, leg, found));
        (words, "more fall".to_owned())
    };
    // Some lines of some tables give a flattest slope and no steepest.
    if let flattest @ Answer::Is(_) = ctx.rulebook.ask(key::BRANCH_SLOPE_FLATTEST, &facts) {
        return Some(hold(&subject, &found, &flattest, |limit: &Gradient, found| too_flat(*limit, *found)));
    }
    let window = ctx.rulebook.ask(key::BRANCH_SLOPE_WINDOW, &facts);
    Some(hold(&subject, &found, &window, |limit: &Window, found| {
        if *found < limit.flattest {
            return too_flat(limit.flattest, *found);
        }
        let words = format!("steeper than {}\u{a0}mm/m", limit.steepest.mm_per_m());
        (words, "less fall, or a vent of its own".to_owned())
    }))
}

/// Where the same pipe would do in the ground: that, and why this one is no drain.
fn as_a_drain(ctx: &Ctx<'_>, leg: usize, found: Gradient) -> String {
    let Some(own) = ctx.network.legs.get(leg) else { return String::new() };
    let flow = ctx.rulebook.ask(key::DRAIN_PEAK_FLOW, &Facts::new().with(Fact::Dwellings, 1));
    let facts = Facts::new().with(Fact::Size, own.nominal).with(Fact::WcCount, 1);
    let facts = facts.with(Fact::PeakFlow, flow.limit().map(|l| l.value));
    let drain = ctx.rulebook.ask(key::DRAIN_GRADIENT_MINIMUM, &facts);
    match drain.limit().filter(|limit| limit.met_by(&found)) {
        Some(limit) => format!(
            "; it would do as a {} ({}), but this is a {}: it {}",
            Kind::Drain.words(),
            limit.words(),
            own.derived.kind.words(),
            own.derived.reason
        ),
        None => String::new(),
    }
}
