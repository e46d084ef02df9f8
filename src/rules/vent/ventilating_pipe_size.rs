//! The ventilating part of a stack, and the ventilating pipe of a branch, are large enough.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::size::Nominal;
use crate::network::ends::End;
use crate::network::kind::Kind;
use crate::network::legs::Leg;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::record::words::Stage;
use crate::rulebook::Answer;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("ventilating-pipe-size"),
    title: "Size of a ventilating pipe",
    weight: Weight::Clause,
    due: Moment::BeforeCover,
    keys: &[key::VENT_SIZE_MINIMUM.path(), key::VENT_BRANCH_SIZE_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    let vents = ctx.network.legs.iter().filter(|l| l.derived.kind == Kind::Vent);
    let new = |item: &&Item<Pipe>| !item.broken && !matches!(item.body.stage_now(), Stage::Existing | Stage::Removed);
    vents.filter_map(|leg| judge(ctx, rule, leg, ctx.record.pipes.at(leg.pipe).filter(new)?)).collect()
}

fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: &Leg, item: &Item<Pipe>) -> Option<Finding> {
    let End::Pipe(below) = leg.ends.from else { return None };
    let size = &item.body.size;
    let subject = Subject {
        id: item.id.clone(),
        span: if size.is_absent() { item.id_span } else { size.span },
        planned: item.body.stage_now() == Stage::Planned,
        field: format!("pipes.{}.size", item.id),
        rule,
    };
    let measure = match size.get() {
        Some(s) => Measure::plain(s.nominal, ctx.record.how(size), s.label.clone()),
        None => Measure::Missing("its size".to_owned()),
    };
    let (answer, field) = match ctx.network.legs.get(below)?.derived.kind {
        Kind::Stack => on_stack(ctx, below, leg.nominal),
        Kind::Branch | Kind::CommonBranch => on_branch(ctx, below, leg, item),
        Kind::Vent | Kind::Drain => return None,
    };
    // What would ease the limit is asked for only where the size does not do without it.
    let small = answer.limit().is_some_and(|l| leg.nominal.is_some_and(|n| !l.met_by(&n)));
    let asks = small || matches!(answer, Answer::Unknown(_));
    let subject = Subject { field: field.filter(|_| asks).unwrap_or_else(|| subject.field.clone()), ..subject };
    let mut out = hold(&subject, &measure, &answer, |limit: &Nominal, _| {
        (format!("narrower than {}", limit.words()), format!("a pipe of {} or more", limit.words()))
    });
    if ctx.record.how(size) == How::Believed && out.verdict == Verdict::NotMet {
        unsettled(&mut out, &subject, "its size, which is only believed".to_owned());
    }
    (out.verdict != Verdict::NotApplicable).then_some(out)
}

/// Above a stack; with the field that would settle or ease it.
fn on_stack(ctx: &Ctx<'_>, stack: usize, own: Option<Nominal>) -> (Answer<Nominal>, Option<String>) {
    let item = ctx.network.legs.get(stack).and_then(|l| ctx.record.pipes.at(l.pipe));
    let believed = item.is_some_and(|i| ctx.record.how(&i.body.size) == How::Believed);
    let size = ctx.network.legs.get(stack).and_then(|l| l.nominal).filter(|_| !believed);
    let answer = ctx.rulebook.ask(key::VENT_SIZE_MINIMUM, &ctx.building().with(Fact::Size, size));
    let field = match size {
        None => Some(format!("pipes.{}.size", ctx.network.id(stack))),
        Some(_) if own.is_none() => None,
        Some(_) => answer.limit().and_then(|l| l.would_ease.first().copied()).map(|fact| match fact {
            Fact::Storeys => "job.storeys".to_owned(),
            _ => "job.dwellings".to_owned(),
        }),
    };
    (answer, field)
}

/// On a branch: the appliances that use it, its own length and its bends.
fn on_branch(ctx: &Ctx<'_>, branch: usize, leg: &Leg, item: &Item<Pipe>) -> (Answer<Nominal>, Option<String>) {
    let length = leg.length.filter(|l| !l.believed()).map(|l| l.value + l.half);
    let flow = ctx.computed.flows.get(branch).filter(|f| f.lacks.is_none());
    let facts = Facts::new()
        .with(Fact::ApplianceCount, flow.map(|f| f.appliances))
        .with(Fact::VentLength, length)
        .with(Fact::Bends, laid::bends(ctx.record, &item.body));
    let answer = ctx.rulebook.ask(key::VENT_BRANCH_SIZE_MINIMUM, &facts);
    let open = answer.limit().and_then(|l| l.would_ease.first().copied());
    let field = open.map(|fact| match fact {
        Fact::VentLength => format!("pipes.{}.length", item.id),
        Fact::Bends => format!("pipes.{}.bends", item.id),
        _ => format!("pipes.{}.from", ctx.network.id(branch)),
    });
    (answer, field)
}
