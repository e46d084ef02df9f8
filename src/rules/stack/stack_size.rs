//! A discharge stack is as large as the WCs on it ask, and as every branch that enters it.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::record::facts::kind_of;
use crate::record::facts::stage_of;
use crate::record::pipework::Appliance;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::ApplianceKind;
use crate::record::words::Stage;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::governing;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("stack-size"),
    title: "Size of a discharge stack",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::STACK_SIZE_MINIMUM.path(), key::STACK_SIZE_NOT_SMALLER_THAN_BRANCH.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let all = ctx.new_stacks();
    all.filter_map(|(leg, item)| {
        governing([by_wcs(ctx, rule, leg, item)].into_iter().chain(by_branch(ctx, rule, leg, item)).collect())
    })
    .collect()
}

fn subject<'r>(item: &Item<Pipe>, rule: &'r Rule) -> Subject<'r> {
    let size = &item.body.size;
    Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.size", item.id),
        rule,
    }
}

/// Where a WC may drain through it that the record does not show, the size for one is asked for first.
fn by_wcs(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Finding {
    let subject = subject(item, rule);
    let flow = ctx.computed.flows.get(leg);
    let wcs = flow.map_or(0, |f| f.wcs);
    let lack = flow.and_then(|f| f.lacks).map(|lack| lack.words(ctx.network));
    let open = lack.or_else(|| flow.is_none_or(|f| f.appliances == 0).then(|| "what it carries".to_owned()));
    let Some(lack) = open.filter(|_| wcs == 0) else { return held(ctx, &subject, leg, item, wcs) };
    let mut out = held(ctx, &subject, leg, item, 1);
    if out.verdict != Verdict::Met && held(ctx, &subject, leg, item, 0).verdict == Verdict::Met {
        let subject = Subject { field: "pipes".to_owned(), ..subject };
        unsettled(&mut out, &subject, lack);
    }
    out
}

fn held(ctx: &Ctx<'_>, subject: &Subject<'_>, leg: usize, item: &Item<Pipe>, wcs: u32) -> Finding {
    let size = &item.body.size;
    let words = |label: &str| match wcs {
        0 => format!("{label}, no WC"),
        1 => format!("{label}, 1\u{a0}WC"),
        n => format!("{label}, {n}\u{a0}WCs"),
    };
    let measure = match size.get() {
        Some(s) => Measure::plain(s.nominal, ctx.record.how(size), words(&s.label)),
        None => Measure::Missing("its size".to_owned()),
    };
    let pan = only_pan(ctx, leg);
    let outlet = pan.and_then(|p| p.body.outlet.get().filter(|_| ctx.record.how(&p.body.outlet) != How::Believed));
    let facts = Facts::new().with(Fact::WcCount, wcs).with(Fact::Outlet, outlet.map(|o| o.nominal));
    let answer = ctx.rulebook.ask(key::STACK_SIZE_MINIMUM, &facts);
    let small = answer.limit().is_some_and(|l| size.get().is_some_and(|s| !l.met_by(&s.nominal)));
    let field = match pan {
        // An outlet that is not said can make no smaller stack than the smallest outlet do.
        Some(pan) if small && outlet.is_none() => format!("appliances.{}.outlet", pan.id),
        _ => subject.field.clone(),
    };
    let mut out = hold(&Subject { field, ..subject.clone() }, &measure, &answer, |limit: &Nominal, _| {
        (format!("narrower than {}", limit.words()), format!("a stack of {} or more", limit.words()))
    });
    let believed = matches!(measure, Measure::Is { how: How::Believed, .. });
    if believed && out.verdict == Verdict::NotMet {
        unsettled(&mut out, subject, "its size, which is only believed".to_owned());
    }
    out
}

/// The WC that drains through a stack, when it is one.
fn only_pan<'a>(ctx: &Ctx<'a>, stack: usize) -> Option<&'a Item<Appliance>> {
    if ctx.computed.flows.get(stack).is_none_or(|f| f.wcs != 1) {
        return None;
    }
    let wc = |a: &&Item<Appliance>| kind_of(a) == Some(ApplianceKind::Wc) && stage_of(&a.body.stage) != Stage::Removed;
    let through = |legs: &Vec<usize>| legs.iter().any(|leg| reaches(ctx, *leg, stack));
    let all = ctx.record.appliances.iter().zip(&ctx.computed.outlets);
    let mut found = all.filter(|(a, legs)| wc(a) && through(legs)).map(|(a, _)| a);
    found.next().filter(|_| found.next().is_none())
}

/// Whether the water of a leg comes to another.
fn reaches(ctx: &Ctx<'_>, leg: usize, stack: usize) -> bool {
    let down = std::iter::successors(Some(leg), |at| ctx.network.downstream(*at));
    down.take(ctx.network.legs.len()).any(|at| at == stack)
}

/// The stack held against the largest branch that enters it.
fn by_branch(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let own = item.body.size.get()?;
    let entering = ctx.network.feeding.get(leg)?.iter().filter_map(|i| ctx.network.legs.get(*i));
    let pipes = entering.filter_map(|l| ctx.record.pipes.at(l.pipe));
    let there = pipes.filter(|p| !p.broken && p.body.stage_now() != Stage::Removed);
    let largest = there.filter_map(|p| Some((p, p.body.size.get()?))).max_by_key(|(_, s)| s.nominal)?;
    let (branch, size) = largest;
    let believed = [ctx.record.how(&item.body.size), ctx.record.how(&branch.body.size)].contains(&How::Believed);
    let how = if believed { How::Believed } else { How::Computed };
    let words = format!("{} under {} of {}", own.label, branch.id, size.label);
    let answer = ctx.rulebook.ask(key::STACK_SIZE_NOT_SMALLER_THAN_BRANCH, &Facts::new());
    let measure = Measure::plain(own.nominal >= size.nominal, how, words);
    let mut out = hold(&subject(item, rule), &measure, &answer, |_: &bool, _| {
        (format!("smaller than {}, which enters it", branch.id), "a stack as large as its largest branch".to_owned())
    });
    if !out.limit.is_empty() {
        out.limit = "not smaller than what enters it".to_owned();
    }
    Some(out)
}
