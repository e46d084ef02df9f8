//! The lowest branch enters a stack high enough above the invert at the tail of the foot bend.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::units::Length;
use crate::compute::stacks::StackEntry;
use crate::compute::stacks::What;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use std::collections::BTreeMap;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("lowest-connection-above-foot"),
    title: "Height of the lowest branch above the foot of its stack",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_ENTRY_LOWEST_MINIMUM.path()],
    check,
};

/// A new branch on its stack.
type New<'a> = (&'a StackEntry, &'a Item<Pipe>);

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let mut stacks: BTreeMap<usize, Vec<New<'_>>> = BTreeMap::new();
    for entry in &ctx.computed.entries {
        let What::Branch(leg) = entry.what else { continue };
        let item = ctx.network.legs.get(leg).and_then(|l| ctx.record.pipes.at(l.pipe));
        let new = |i: &&Item<Pipe>| !i.broken && !matches!(i.body.stage_now(), Stage::Existing | Stage::Removed);
        if let Some(item) = item.filter(new) {
            stacks.entry(entry.stack).or_default().push((entry, item));
        }
    }
    stacks.values().flat_map(|branches| of_stack(ctx, rule, branches)).collect()
}

/// The lowest of a stack, every other that is too low, and every one whose height is not known.
fn of_stack(ctx: &Ctx<'_>, rule: &Rule, branches: &[New<'_>]) -> Vec<Finding> {
    let placed = branches.iter().filter_map(|(entry, _)| entry.height.map(|h| (h.value, entry.id.as_str())));
    let lowest = placed.min_by_key(|(height, _)| *height).map(|(_, id)| id);
    let speaks = |entry: &StackEntry, f: &Finding| {
        let own = entry.height.is_none() || lowest == Some(entry.id.as_str()) || f.verdict == Verdict::NotMet;
        own && f.verdict != Verdict::NotApplicable
    };
    let all = branches.iter().map(|(entry, item)| (entry, judge(ctx, rule, entry, item)));
    all.filter(|(entry, f)| speaks(entry, f)).map(|(_, f)| f).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, entry: &StackEntry, item: &Item<Pipe>) -> Finding {
    let at = &item.body.at;
    let answer = ctx.rulebook.ask(key::STACK_ENTRY_LOWEST_MINIMUM, &ctx.building());
    let stack = ctx.network.id(entry.stack);
    let no_foot = at.get().is_some() && ctx.network.solved(entry.stack).down.is_none();
    let eases = answer.limit().is_some_and(|l| entry.height.is_some_and(|h| !l.met_by(&h.value)));
    let field = match &answer {
        Answer::Unknown(_) => "job.storeys".to_owned(),
        Answer::Is(limit) if eases && limit.would_ease.contains(&Fact::BuildingDwellings) => "job.dwellings".to_owned(),
        _ if no_foot => format!("pipes.{stack}.foot.il"),
        _ => format!("pipes.{}.at", item.id),
    };
    let subject = Subject {
        id: item.id.clone(),
        span: if at.is_absent() { item.id_span } else { at.span },
        planned: item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let measure = match entry.height {
        Some(h) => Measure::length(h, format!("{}\u{a0}m above the foot of {stack}", h.value.metres(3))),
        None if no_foot => Measure::Missing(format!("the invert at the foot of {stack}")),
        None => Measure::Missing(format!("how high it enters {stack}")),
    };
    hold(&subject, &measure, &answer, |limit: &Length, found| {
        let low = (*limit - *found).metres(3);
        (
            format!("{low}\u{a0}m too low over the foot bend"),
            "an entry higher up, or its own way to the drain".to_owned(),
        )
    })
}
