//! From one access point, or the start of a drain, to the next is no further than the guidance allows for their kinds.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::compute::spacing::Run;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::governing;
use crate::rules::spacing;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("access-spacing"),
    title: "Length of drain from one access point to the next",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::ACCESS_SPACING_MAXIMUM.path(), key::ACCESS_SHALLOW_DEPTH_MAXIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.computed.runs.iter().filter(|run| !run.unreadable).filter_map(|run| judge(ctx, rule, run)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, run: &Run) -> Option<Finding> {
    let subject = spacing::subject(ctx, rule, run)?;
    let whole = spacing::of_run(ctx, &subject, run)?;
    let joins = spacing::to_join(ctx, &subject, run, key::ACCESS_SPACING_MAXIMUM);
    governing(std::iter::once(whole).chain(joins).collect())
}
