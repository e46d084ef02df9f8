//! The branch of one appliance is no longer than the guidance allows for that appliance and size.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::units::Length;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::hold;
use crate::rules::single_branch;
use crate::rules::single_branch::Own;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("branch-length"),
    title: "Length of a branch from one appliance",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::BRANCH_LENGTH_MAXIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    single_branch::each(ctx, |own| vec![judge(ctx, rule, own)])
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, own: &Own<'_>) -> Finding {
    let length = &own.item.body.length;
    let subject = own.subject(ctx, rule, "length", length.is_absent(), length.span);
    let answer = ctx.rulebook.ask(key::BRANCH_LENGTH_MAXIMUM, &own.facts(ctx));
    hold(&subject, &single_branch::length(ctx, own), &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (format!("{over}\u{a0}m too long without its own vent"), "a larger pipe, or a vent of its own".to_owned())
    })
}
