//! A branch is nowhere smaller than the trap, or the pan's outlet, that feeds it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::Remedy;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::network::kind::Kind;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::single_branch;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("branch-not-smaller-than-trap"),
    title: "Size of a branch and of its trap",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::BRANCH_NOT_SMALLER_THAN_TRAP.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let legs = ctx.network.legs.iter().enumerate().filter(|(_, l)| l.derived.kind == Kind::Branch);
    legs.filter_map(|(i, leg)| judge(ctx, rule, i, ctx.record.pipes.at(leg.pipe)?)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    if item.broken || matches!(item.body.stage_now(), Stage::Existing | Stage::Removed) {
        return None;
    }
    let appliance = single_branch::appliance(ctx, leg).filter(|a| !a.broken && !a.body.trap.is_none())?;
    let trap = if appliance.body.trap.get().is_some() { &appliance.body.trap } else { &appliance.body.outlet };
    let size = &item.body.size;
    let field = match size.get() {
        None => format!("pipes.{}.size", item.id),
        Some(_) => format!("appliances.{}.trap", appliance.id),
    };
    let subject = Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let believed = [ctx.record.how(size), ctx.record.how(trap)].contains(&How::Believed);
    let how = if believed { How::Believed } else { How::Computed };
    let measure = match (size.get(), trap.get()) {
        (Some(size), Some(trap)) => {
            Measure::plain(size.nominal >= trap.nominal, how, format!("{} on a trap of {}", size.label, trap.label))
        }
        (None, _) => Measure::Missing("its size".to_owned()),
        (Some(_), None) => Measure::Missing(format!("the size of {}\u{2019}s trap or outlet", appliance.id)),
    };
    let answer = ctx.rulebook.ask(key::BRANCH_NOT_SMALLER_THAN_TRAP, &Facts::new());
    let mut out = hold(&subject, &measure, &answer, |_: &bool, _| {
        (format!("smaller than the trap of {}", appliance.id), "a pipe as large as the trap".to_owned())
    });
    // What is proposed is a larger pipe, never a smaller trap.
    if out.verdict == Verdict::NotMet {
        out.remedy = out.remedy.map(|r| Remedy { field: Some(format!("pipes.{}.size", item.id)), ..r });
    }
    out.limit = "not smaller than its trap".to_owned();
    Some(out)
}
