//! A discharge stack carries the flow that the guidance reckons for the dwellings on it. Flow and capacity are both
//! those of the guidance: what the standard reckons from discharge units is held against the standard's own table.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("stack-capacity-by-dwellings"),
    title: "Flow in a discharge stack, by dwellings",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_SIZE_FLOW_MAXIMUM.path(), key::DRAIN_PEAK_FLOW.path()],
    check,
};

/// A whole dwelling brings a WC: a stack of sinks and baths alone has no line in the table of dwellings.
fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let whole =
        |leg: &usize| ctx.computed.flows.get(*leg).is_none_or(|f| f.wcs > 0 || f.dwellings > 0 || f.lacks.is_some());
    ctx.new_stacks().filter(|(leg, _)| whole(leg)).map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

/// No more dwellings drain into it than the building holds and the record adds; no fewer than the record adds. What the
/// greatest number satisfies is met, what the least exceeds is not met, and between them the number is to be shown.
fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let size = &item.body.size;
    let subject = |field: String| Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: item.body.stage_now() == Stage::Planned,
        field,
        rule,
    };
    let own = subject(format!("pipes.{}.size", item.id));
    let flow = ctx.computed.flows.get(leg);
    let least = flow.map_or(0, |f| f.dwellings);
    let building = &ctx.record.job.dwellings;
    let most = building.get().filter(|_| ctx.record.how(building) != How::Believed);
    let most = most.map(|c| c.0.saturating_add(least)).filter(|_| flow.is_some_and(|f| f.lacks.is_none()));
    let believed = ctx.record.how(size) == How::Believed || flow.is_some_and(|f| f.how == How::Believed);
    let how = if believed { How::Believed } else { How::Computed };
    let facts = Facts::new().with(Fact::Size, size.get().map(|s| s.nominal));
    let answer = ctx.rulebook.ask(key::STACK_SIZE_FLOW_MAXIMUM, &facts);
    let held = |dwellings: u32| {
        let peak = ctx.rulebook.ask(key::DRAIN_PEAK_FLOW, &Facts::new().with(Fact::Dwellings, dwellings));
        let measure = match peak.limit() {
            Some(limit) => Measure::plain(limit.value, how, words(limit.value, dwellings)),
            None => {
                Measure::Missing(format!("a design flow for {dwellings} dwellings, which the table has no line for"))
            }
        };
        hold(&own, &measure, &answer, |limit: &Flow, _| {
            let over =
                format!("more than the {}\u{a0}l/s of a stack of this size in the guidance", tenths(limit.ml_s()));
            (over, "a larger stack".to_owned())
        })
    };
    if least > 0 {
        let fewest = held(least);
        if fewest.verdict == Verdict::NotMet {
            return fewest;
        }
    }
    let Some(most) = most else {
        let mut out = held(least.max(1));
        let field =
            if building.get().is_none() { "job.dwellings".to_owned() } else { format!("pipes.{}.from", item.id) };
        unsettled(&mut out, &subject(field), "how many dwellings drain into it".to_owned());
        out.measured.clear();
        return out;
    };
    let mut out = held(most.max(1));
    if out.verdict == Verdict::NotMet {
        // The building may have another stack, and a part of a dwelling has no line in the table.
        let field = format!("pipes.{}.also-carries", item.id);
        unsettled(
            &mut out,
            &subject(field),
            "that fewer dwellings than all drain into it, or a larger size".to_owned(),
        );
    }
    out
}

fn words(flow: Flow, dwellings: u32) -> String {
    let of = if dwellings == 1 { "dwelling" } else { "dwellings" };
    format!("{}\u{a0}l/s for {dwellings} {of}", tenths(flow.ml_s()))
}

/// One decimal of thousandths.
fn tenths(thousandths: i64) -> String {
    let tenths = thousandths.saturating_add(50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}
