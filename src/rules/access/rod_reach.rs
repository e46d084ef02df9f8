//! Rods come into the whole length of each new drain from one access point or another.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::rods::Parts;
use crate::rules::rods::out_of_reach;
use crate::rules::rods::reach;
use crate::rules::rods_proposal;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("rod-reach"),
    title: "Every length of drain within reach of rods",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_REACHED.path(), key::ACCESS_ROD_LENGTH_MAXIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let Some(parts) = Parts::of(ctx) else { return Vec::new() };
    ctx.new_drains().map(|(leg, item)| judge(ctx, rule, leg, item, &parts)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>, parts: &Parts) -> Finding {
    let reach = reach(ctx, leg, parts);
    let subject = Subject {
        id: item.id.clone(),
        span: item.id_span,
        planned: item.body.stage_now() == Stage::Planned,
        field: reach.field,
        rule,
    };
    let answer = ctx.rulebook.ask(key::ACCESS_REACHED, &Facts::new());
    let mut out = hold(&subject, &reach.measure, &answer, |_: &bool, _| {
        (out_of_reach(ctx, leg, parts), rods_proposal::for_drain(ctx, leg, parts))
    });
    out.limit = "all of it".to_owned();
    out.planned |= reach.planned && out.verdict == Verdict::Met;
    out
}
