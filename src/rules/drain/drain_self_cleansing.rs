//! A foul drain keeps itself clean: it is steep enough for its size, or what runs in it every day is fast enough.

use crate::base::finding::Finding;
use crate::base::finding::Moment;
use crate::base::finding::RuleId;
use crate::base::finding::Verdict;
use crate::base::finding::Weight;
use crate::base::known::How;
use crate::base::units::Gradient;
use crate::base::units::fixed;
use crate::compute::capacity::Capacity;
use crate::compute::capacity::Carries;
use crate::compute::capacity::Running;
use crate::compute::flow::DesignFlow;
use crate::record::pipework::Pipe;
use crate::record::sections::Item;
use crate::rulebook::Fact;
use crate::rulebook::Facts;
use crate::rulebook::Velocity;
use crate::rulebook::key;
use crate::rules::Ctx;
use crate::rules::Rule;
use crate::rules::driver::Measure;
use crate::rules::driver::Subject;
use crate::rules::driver::about;
use crate::rules::driver::hold;
use crate::rules::driver::unsettled;
use crate::rules::laid;

/// The rule.
pub const RULE: Rule = Rule {
    id: RuleId("drain-self-cleansing"),
    title: "A foul drain that keeps itself clean",
    weight: Weight::Advice,
    due: Moment::BeforeCover,
    keys: &[key::SELF_CLEANSING_GRADIENT_MINIMUM.path(), key::SELF_CLEANSING_VELOCITY_MINIMUM.path()],
    check,
};

fn check(ctx: &Ctx<'_>, rule: &Rule) -> Vec<Finding> {
    ctx.foul_drains().filter_map(|(leg, item)| judge(ctx, rule, leg, item)).collect()
}

/// Either will do. Of a drain without a fall nothing is said: its gradient is asked for already.
fn judge(ctx: &Ctx<'_>, rule: &Rule, leg: usize, item: &Item<Pipe>) -> Option<Finding> {
    let found = ctx.network.gradient(leg)?;
    let subject = |key: &str| Subject {
        field: format!("pipes.{}.{key}", item.id),
        ..laid::subject(item, rule, "fall", &item.body.fall)
    };
    let size = ctx.network.legs.get(leg).and_then(|l| l.nominal)?;
    let by_size = ctx.rulebook.ask(key::SELF_CLEANSING_GRADIENT_MINIMUM, &Facts::new().with(Fact::Size, size));
    let slope = laid::slope(ctx, leg, |how| laid::by_size(ctx, item, how), Gradient::in_words);
    let steep = hold(&subject("fall"), &slope, &by_size, |_: &Gradient, _| (String::new(), String::new()));
    let sure = steep.verdict == Verdict::Met && !steep.inside_spread;
    if sure || steep.verdict == Verdict::NotShown {
        return Some(steep);
    }
    let or = by_size.limit().map(|limit| format!(", or {}", limit.words()));
    let answer = ctx.rulebook.ask(key::SELF_CLEANSING_VELOCITY_MINIMUM, &Facts::new());
    let flow = ctx.computed.flows.get(leg)?;
    let capacity = ctx.computed.capacities.get(leg)?.as_ref();
    let how = found.how.with(flow.how);
    let (measure, field, settle) = match capacity.and_then(|c| fast(c, flow, laid::by_size(ctx, item, how))) {
        Some(measure) => (measure, "fall", None),
        None if capacity.is_none() => (Measure::Missing("its inside diameter".to_owned()), "bore", None),
        None => (Measure::Missing(String::new()), "from", Some(lack(ctx, flow))),
    };
    let mut out = hold(&subject(field), &measure, &answer, |limit: &Velocity, _| {
        let text = format!(
            "too flat for its size, and slower than {}\u{a0}m/s with what runs in it every day",
            fixed(i128::from(limit.thousandths()), 1000, 1)
        );
        (text, "more fall, or a pipe no larger than it needs".to_owned())
    });
    if let Some(what) = settle {
        unsettled(&mut out, &subject(field), what);
    }
    if out.verdict != Verdict::Met && steep.verdict == Verdict::Met {
        return Some(steep);
    }
    out.limit.push_str(or.as_deref().filter(|_| !out.limit.is_empty()).unwrap_or(""));
    Some(out)
}

fn lack(ctx: &Ctx<'_>, flow: &DesignFlow) -> String {
    flow.lacks.map_or("what it carries".to_owned(), |lack| lack.words(ctx.network))
}

/// The velocity with the foul flow of a usual day; what fills the pipe runs as fast as a full one. `None` where the flow
/// is not known or nothing runs.
fn fast(capacity: &Capacity, flow: &DesignFlow, how: How) -> Option<Measure<Velocity>> {
    let of = |carries: &Carries| match carries.daily? {
        Running::Dry => None,
        Running::Standing => Some(Velocity::from_thousandths(0)),
        Running::PartFull { velocity, .. } => Some(velocity),
        Running::Surcharged => Some(carries.full.velocity),
    };
    let value = of(&capacity.here)?;
    let velocity = fixed(i128::from(value.thousandths()), 1000, 2);
    let litres = fixed(i128::from(flow.total.ml_s()), 1000, 1);
    let words = format!("{velocity}\u{a0}m/s with {litres}\u{a0}l/s, {}", capacity.gradient.value.in_words());
    let (low, high) = (of(&capacity.flattest)?, of(&capacity.steepest)?);
    Some(Measure::Is { value, low, high, how, words: about(how, &words) })
}
