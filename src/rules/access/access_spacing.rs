//! From one access point, or the start of a drain, to the next is no further than the guidance allows for their kinds.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Weight;
use crate::base::units::Length;
use crate::compute::spacing::Run;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::spacing;
use crate::rules::spacing::Called;
use crate::rules::spacing::name;

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
    let joins = at_junction(ctx, &subject, run);
    governing(std::iter::once(whole).chain(joins).collect())
}

/// Where rods from an access point run into another drain on the way, the table has a column for that length too. A
/// dash there leaves it to the next access point.
fn at_junction(ctx: &Ctx<'_>, subject: &Subject<'_>, run: &Run) -> Option<Finding> {
    let leg = ctx.network.legs.get(run.first)?;
    let End::Pipe(into) = leg.ends.to else { return None };
    let main = ctx.network.legs.get(into).filter(|l| l.derived.kind == Kind::Drain)?;
    let Called::These([kind]) = spacing::upper(ctx, run) else { return None };
    if main.ends.from == End::Pipe(run.first) {
        return None;
    }
    let facts = Facts::new().with(Fact::FromKind, *kind).with(Fact::ToKind, "junction");
    let answer = ctx.rulebook.ask(key::ACCESS_SPACING_MAXIMUM, &facts);
    answer.limit()?;
    let length = leg.length?;
    let words =
        format!("{}\u{a0}m, {} to its join with {}", length.value.metres(2), name(ctx, run.from), ctx.network.id(into));
    Some(hold(subject, &Measure::length(length, words), &answer, |limit: &Length, found| {
        let over = (*found - *limit).metres(2);
        (
            format!("{over}\u{a0}m too far for rods from {}", name(ctx, run.from)),
            "an access point in between".to_owned(),
        )
    }))
}
