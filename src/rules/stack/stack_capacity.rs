//! A discharge stack carries the flow of what drains through it. Flow and capacity are both those of the standard: the
//! guidance has a table of its own on another basis, and the two are never mixed.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::compute::flow::DesignFlow;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Entry;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Flow;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::cite;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("stack-capacity"),
    title: "Flow in a discharge stack",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[
        key::STACK_FLOW_MAXIMUM.path(),
        key::FLOW_UNITS.path(),
        key::FLOW_UNITS_WC.path(),
        key::FLOW_UNITS_DWELLING.path(),
        key::FLOW_FREQUENCY.path(),
    ],
    check,
};

/// What both figures rest on, for the reader.
const BASIS: &str = "by the units and the table of BS EN 12056-2";

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.new_stacks().map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let size = &item.body.size;
    let nominal = size.get().map(|s| s.nominal);
    let flow = ctx.computed.flows.get(leg).copied();
    let subject = Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: item.body.stage_now() == Stage::Planned,
        field: field(ctx, leg, item, flow.as_ref()),
        rule,
    };
    let believed = ctx.record.how(size) == How::Believed;
    let facts = Facts::new().with(Fact::Size, nominal).with(Fact::BranchEntry, entry(ctx, leg));
    let answer = ctx.rulebook.ask(key::STACK_FLOW_MAXIMUM, &facts);
    let measure = measure(flow.as_ref(), believed);
    let mut out = hold(&subject, &measure, &answer, |limit: &Flow, _| {
        let more = "a larger stack, a ventilating stack beside it, or swept entries throughout".to_owned();
        (format!("more than a stack of this size carries, {}\u{a0}l/s {BASIS}", tenths(limit.ml_s())), more)
    });
    out.recalled |= flow.is_some_and(|f| f.recalled) && !out.limit.is_empty();
    if matches!(answer, Answer::Silent) {
        let subject = Subject { field: format!("pipes.{}.size", item.id), ..subject.clone() };
        no_line(ctx, &subject, &mut out);
    }
    let lack = flow.and_then(|f| lack(ctx, &f));
    // More water can only make it worse: what is too much already stays so.
    if let (Verdict::Met, Some(lack)) = (out.verdict, lack) {
        unsettled(&mut out, &Subject { field: "pipes".to_owned(), ..subject }, lack);
    }
    out
}

/// The field that would settle it: the size, then what is only believed to drain in, then an entry that is not said.
fn field(ctx: &Ctx<'_>, leg: usize, item: &Item<Pipe>, flow: Option<&DesignFlow>) -> String {
    let sized = item.body.size.get().is_some() && ctx.record.how(&item.body.size) != How::Believed;
    let unsaid = entering(ctx, leg).find(|p| swept(ctx, p).is_none());
    match (sized, flow.map(|f| f.how), unsaid) {
        (true, Some(How::Believed), _) => "pipes".to_owned(),
        (true, _, Some(branch)) => format!("pipes.{}.entry", branch.id),
        _ => format!("pipes.{}.size", item.id),
    }
}

/// What is not known of what it carries.
fn lack(ctx: &Ctx<'_>, flow: &DesignFlow) -> Option<String> {
    let lack = flow.lacks.map(|lack| lack.words(ctx.network));
    lack.or_else(|| (flow.appliances == 0).then(|| "what it carries".to_owned()))
}

fn measure(flow: Option<&DesignFlow>, believed: bool) -> Measure<Flow> {
    let Some(flow) = flow else { return Measure::Missing("what it carries".to_owned()) };
    let how = if believed { How::Believed } else { flow.how };
    Measure::plain(
        flow.total,
        how,
        format!("{}\u{a0}l/s from {} units", tenths(flow.total.ml_s()), tenths(flow.units.thousandths())),
    )
}

/// One decimal of thousandths.
fn tenths(thousandths: i64) -> String {
    let tenths = thousandths.saturating_add(50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// A size for which the table has no line.
fn no_line(ctx: &Ctx<'_>, subject: &Subject<'_>, out: &mut Finding) {
    let any = Facts::new().with(Fact::Size, Nominal(100)).with(Fact::BranchEntry, "square");
    cite(out, ctx.rulebook.ask(key::STACK_FLOW_MAXIMUM, &any).citation());
    unsettled(out, subject, format!("what a stack of its size carries {BASIS}, which has no line for it"));
}

/// Swept when every branch is recorded so; square when one is known to be otherwise.
fn entry(ctx: &Ctx<'_>, stack: usize) -> Option<&'static str> {
    let square = entering(ctx, stack).any(|p| swept(ctx, p) == Some(false));
    if square {
        return Some("square");
    }
    entering(ctx, stack).all(|p| swept(ctx, p).is_some()).then_some("swept")
}

fn entering<'a>(ctx: &'a Ctx<'_>, stack: usize) -> impl Iterator<Item = &'a Item<Pipe>> {
    let legs = ctx.network.feeding.get(stack).into_iter().flatten();
    let pipes = legs.filter_map(|i| ctx.record.pipes.at(ctx.network.legs.get(*i)?.pipe));
    pipes.filter(|p| p.body.stage_now() != Stage::Removed)
}

fn swept(ctx: &Ctx<'_>, pipe: &Item<Pipe>) -> Option<bool> {
    let entry = &pipe.body.entry;
    entry.get().filter(|_| ctx.record.how(entry) != How::Believed).map(|e| *e == Entry::Swept)
}
